"""The person's own timers: a word before, at, and after, ever seldomer, until they are ended."""

from __future__ import annotations

from pourday.guide.acts.act import Act, Urgency
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State, TimerState
from pourday.times import MINUTE, clock, span

BEFORE = 2 * MINUTE
"""s before it ends that a timer is announced, where it was set for more than twice that. Chosen."""
AFTER = 5 * MINUTE
"""s after which a timer that nobody has ended is said again; then after twice as long, and so on. Chosen."""


def timer_acts(state: State, now: float) -> list[Act]:
    """One act for each timer; its announcement beforehand hides nothing and asks for nothing."""
    return [_act(timer, now) for timer in state.timers]


def _act(timer: TimerState, now: float) -> Act:
    """What a timer says at this moment."""
    announced = timer.due - BEFORE
    if announced <= now < timer.due and timer.due - timer.set_at > 2 * BEFORE:
        return Act(
            id=ActId("timer soon", name=timer.name),
            kind="timer",
            word=tr("SOON"),
            says=tr("Your timer “{name}” runs out at {clock}.", name=timer.name, clock=clock(timer.due, now)),
            why=tr("You set it."),
            due=announced,
            closes=timer.due,
            urgency=Urgency.LAST,
        )
    late = (
        tr("ran out {span} ago", span=span(now - timer.due))
        if now - timer.due >= AFTER
        else tr("has run out")
    )
    return Act(
        id=ActId("timer", name=timer.name, nth=_times_said(now - timer.due) or None),
        kind="timer",
        word=tr("TIMER"),
        says=tr("Your timer “{name}” {late}.", name=timer.name, late=late),
        why=tr("You set it."),
        due=timer.due,
        records=(ev.TimerEnded(name=timer.name),),
        urgency=Urgency.USUAL,
    )


def _times_said(late: float) -> int:
    """How often a timer that ran out so many seconds ago was said again: after 5, 15, 35 minutes and so on."""
    times, step, passed = 0, AFTER, AFTER
    while late >= passed:
        times, step = times + 1, step * 2
        passed += step
    return times
