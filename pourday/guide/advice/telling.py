"""What the program says goes on record, whenever it is something else than it said last."""

from __future__ import annotations

from pourday.guide.acts.act import Act
from pourday.guide.advice.now import Now
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.state import State

MOVED = 5 * 60.0
"""A window that moved by more than this, s, is told again. An estimate of ours."""


def fact_to_tell(state: State, now_act: Now) -> Fact | None:
    """What to put on record when the program says something else than it said last."""
    act = now_act.act
    if act.kind == "alarm" or (
        state.told is not None and state.told.act == str(act.id) and not has_moved(state.told, act)
    ):
        return None
    window = act.window
    return ev.Told(
        act=str(act.id),
        word=now_act.word,
        moulds=act.moulds,
        says=now_act.says,
        early=_moment(window.early) if window else None,
        likely=_moment(window.likely) if window else _moment(act.due),
        late=_moment(window.late) if window else None,
        closes=_moment(act.closes),
        why=act.why,
    )


def has_moved(before: ev.Told, act: Act) -> bool:
    """Whether what was told of this act has moved so far that it has to be told again."""
    window = act.window
    pairs = (
        (before.early, window.early if window else None),
        (
            before.likely,
            window.likely if window else act.due if act.kind == "wait" else _seconds(before.likely),
        ),
        (before.late, window.late if window else None),
        (before.closes, act.closes),
    )
    return any(_differ(_moment(t), said) for said, t in pairs)


def _differ(one: ev.Moment | None, other: ev.Moment | None) -> bool:
    """Whether two moments lie so far apart that it is told again."""
    if one is None or other is None:
        return (one is None) != (other is None)
    return abs((one - other).total_seconds()) > MOVED


def _seconds(moment: ev.Moment | None) -> float | None:
    """A moment of the record in seconds since the epoch."""
    return moment.timestamp() if moment is not None else None


def _moment(t: float | None) -> ev.Moment | None:
    """A time, seconds since the epoch, as the record writes it; None for never."""
    return ev.moment(t) if t is not None and t < 4e9 else None
