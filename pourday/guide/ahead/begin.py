"""When to begin a day, and when it is done: a start or an end may be given; a night is never rehearsed unsaid."""

from __future__ import annotations

from pourday.guide.ahead.day import DayForecast, ahead_of_plan, left_for_morning, past_bedtime
from pourday.guide.outlook.learned import prior_of
from pourday.language import tr
from pourday.learning.factors import Prior
from pourday.learning.kitchen import LearnedKitchen
from pourday.plan.model import Plan
from pourday.session.quiet_hours import PersonsClock
from pourday.times import clock, span

NEAR = 300.0
"""s by which the end of a day may miss what was asked for: nobody ends a day to the minute. Chosen."""
TRIES = 3
"""Days worked out at the most to meet an end: how long a day takes hardly hangs on when it begins."""


def rehearsed(
    plan: Plan,
    now: float,
    *,
    persons: PersonsClock | None = None,
    begins_at: float | None = None,
    done_at: float | None = None,
    kitchen: LearnedKitchen | None = None,
) -> tuple[DayForecast, str]:
    """The day of a plan, and a sentence on when it begins, which is empty for a day that begins now and ends in time.

    `now`, `begins_at` and `done_at` are seconds since the epoch; at most one of the last two is given. With `done_at`
    the day is begun so that the stove is done with about then, if that can still be. With neither it begins now, or,
    where it would run into the night, when the quiet hours end. `kitchen` is what earlier days taught.

    Raises `Trouble` for a plan that cannot be weighed out.
    """
    persons, prior = persons or PersonsClock(), prior_of(kitchen, plan)
    if done_at is not None:
        return _done_by(plan, now, done_at, persons, prior)
    day = ahead_of_plan(plan, now if begins_at is None else begins_at, clock=persons, prior=prior)
    if begins_at is None and _at_night(day, persons):
        morning = persons.morning(now)
        day = ahead_of_plan(plan, morning, clock=persons, prior=prior)
        why = tr("begun now it would run into the night")
        still = tr(" It runs past your bedtime even so.") if past_bedtime(day) else ""
        return day, tr("Begun {clock}: {why}.{still}", clock=clock(morning, now), why=why, still=still)
    return day, _late(day, persons)


def _done_by(
    plan: Plan, now: float, done_at: float, persons: PersonsClock, prior: Prior
) -> tuple[DayForecast, str]:
    """The day that ends about then."""
    day = ahead_of_plan(plan, now, clock=persons, prior=prior)
    for _ in range(TRIES):
        if day.end is None or abs(day.end.likely - done_at) <= NEAR:
            break
        start = day.now + done_at - day.end.likely
        if start < now:
            if day.now > now:
                day = ahead_of_plan(plan, now, clock=persons, prior=prior)
            break
        day = ahead_of_plan(plan, start, clock=persons, prior=prior)
    wanted = clock(done_at, now)
    if day.end is None:
        return day, ""
    if day.end.likely > done_at + NEAR:
        late = span(day.end.likely - done_at)
        return day, tr(
            "It cannot be done by {wanted} any more: begun now it ends {late} later.",
            wanted=wanted,
            late=late,
        )
    if done_at - day.end.likely > NEAR:
        return day, tr("No start comes out near {wanted}: this is the nearest.", wanted=wanted)
    sure = day.end.late - day.end.likely
    sooner = tr(" To be surely done by then, begin {span} sooner.", span=span(sure)) if sure > NEAR else ""
    said = _late(day, persons)
    return (
        day,
        tr(
            "Begin at {clock} to be done by about {wanted}.{sooner}{said}",
            clock=clock(day.now, now),
            wanted=wanted,
            sooner=sooner,
            said=f" {said}" if said else "",
        ),
    )


def _at_night(day: DayForecast, persons: PersonsClock) -> bool:
    """Whether it begins in the quiet hours, or runs past the bedtime."""
    return persons.quiet(day.now) or past_bedtime(day)


def _late(day: DayForecast, persons: PersonsClock) -> str:
    """That it goes into the night, where it does."""
    if persons.quiet(day.now):
        return tr("It begins in your quiet hours, at {clock}.", clock=clock(day.now))
    if left_for_morning(day):
        return tr("Some of it is left for the morning, after your quiet hours.")
    return tr("It runs past your bedtime.") if past_bedtime(day) else ""
