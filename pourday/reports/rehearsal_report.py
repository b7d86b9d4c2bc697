"""The day of a plan, rehearsed, as text."""

from __future__ import annotations

from pourday.columns import padded
from pourday.guide.ahead.alternatives import WORTH, shorter, summary
from pourday.guide.ahead.begin import rehearsed
from pourday.guide.ahead.day import DayForecast, Step
from pourday.language import tr
from pourday.learning.kitchen import LearnedKitchen
from pourday.plan.model import Plan
from pourday.session.quiet_hours import PersonsClock
from pourday.times import clock


def rehearsal_text(
    plan: Plan,
    now: float,
    *,
    persons: PersonsClock | None = None,
    try_shorter: bool = True,
    begins_at: float | None = None,
    done_at: float | None = None,
    kitchen: LearnedKitchen | None = None,
) -> list[str]:
    """Every act with its time and spread, what the day comes to, and what would shorten it.

    The day begins `now`, at `begins_at`, or so that it is done by `done_at` (seconds since the epoch; see
    `rehearsed`); `persons` is their own clock, else the usual one; `kitchen` what earlier days taught. Raises `Trouble` where the plan cannot be weighed out.
    """
    day_ahead, says = rehearsed(
        plan, now, persons=persons, begins_at=begins_at, done_at=done_at, kitchen=kitchen
    )
    begun = clock(day_ahead.now, now)
    lines = [
        tr(
            "Rehearsal: {title}, begun {begun}. An estimate; nothing is recorded.",
            title=plan.title or tr("a plan"),
            begun=begun,
        )
    ]
    lines += [says, ""] if says else [""]
    lines += [
        tr("{likely:>9}  {spread:<31}  act", likely=tr("likely"), spread=tr("one day in ten sooner or later"))
    ]
    lines += [line for step in day_ahead.steps for line in _step(day_ahead, step)]
    lines += ["", *summary(day_ahead)]
    if try_shorter:
        lines += _shorter(day_ahead, persons)
    return [*lines, "", tr("What is seen on the day decides. The supplier's sheet outranks all of this.")]


def _step(day_ahead: DayForecast, step: Step) -> list[str]:
    """One act of the day, and its caution where it has one."""
    early, likely, late = (clock(t, day_ahead.now) for t in (step.at.early, step.at.likely, step.at.late))
    name = f"{step.word} {' '.join(step.moulds)}".strip()
    line = f"{likely:>9}  {f'{early} - {late}':<31}  {padded(name, 13)} {step.says}"
    return [line, f"{'':<44}{step.caution}"] if step.caution else [line]


def _shorter(day_ahead: DayForecast, persons: PersonsClock | None) -> list[str]:
    """What would shorten the day, the most first, and what would not."""
    ways = list(shorter(day_ahead, clock=persons))
    useful = sorted((w for w in ways if w.saves >= WORTH), key=lambda w: -w.saves)
    none = [w.name[:1].lower() + w.name[1:] for w in ways if w.saves < WORTH]
    lines = ["", tr("What would shorten it, and at what price:"), *(f"  {w.says}" for w in useful)]
    return [*lines, tr("  No shorter by: {none}.", none=", ".join(none))] if none else lines
