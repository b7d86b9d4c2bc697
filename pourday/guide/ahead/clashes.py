"""Whether a day is too much for one pair of hands and one stove, seen before the burner is lit, and what would ease it.

A clash is a pour that is made after its window closed because hands or stove were elsewhere: on the likely way
through the day, or only on one that cools quicker or slower. What would ease it is the same day computed again with
one thing changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.guide.acts.durations import LATE
from pourday.guide.ahead.schedule import PlannedAct, Scenario
from pourday.guide.outlook.outlook import Outlook
from pourday.language import ntr, tr
from pourday.times import clock, letters, span

LIKELY = 1
"""Place of the likely way among the three."""
NAMED = 2
"""How many of the acts that keep the hands busy are named at most."""
AT_HAND = {
    "jug": tr("draw jug"),
    "look": tr("look at"),
    "pour": tr("pour"),
    "top-up": tr("top up"),
    "relief": tr("open holes in"),
}


@dataclass(frozen=True, slots=True)
class Clash:
    """One pour that one pair of hands does not get to in time."""

    moulds: str
    layer: int
    at: float
    """When it would be made, on its way; seconds since the epoch."""
    closes: float
    late: float
    """Seconds after its window closed."""
    way: int
    """0 only where all cools quickly, 1 likely, 2 only where all cools slowly."""
    meanwhile: tuple[PlannedAct, ...]
    """What the hands do while it waits."""


def clashes_of(ways: Sequence[Scenario]) -> tuple[Clash, ...]:
    """Every clash of a day, each pour once, on the likely way where it is late there."""
    by_pour: dict[tuple[str, int], Clash] = {}
    for index in sorted(range(len(ways)), key=lambda i: i != LIKELY):
        for act in ways[index].acts:
            clash = _clash(ways[index], act, index)
            if clash is not None and not any(
                set(m) & set(clash.moulds) and n == clash.layer for m, n in by_pour
            ):
                by_pour[clash.moulds, clash.layer] = clash
    return tuple(sorted(by_pour.values(), key=lambda c: (c.way != LIKELY, c.at)))


def _clash(way: Scenario, act: PlannedAct, index: int) -> Clash | None:
    """The clash that a planned act is; None for one that is no pour, is in time, or is late for another reason."""
    if act.kind != "pour" or act.closes is None or act.layer is None:
        return None
    last = act.start + act.takes * (1 - 1 / max(1, len(act.moulds)))
    late = last - act.closes
    if late <= LATE or act.ready_at >= act.closes:
        return None  # In time, or its window would have been missed with free hands as well.
    meanwhile = [m for m in way.acts if m.takes > 0 and act.ready_at < m.end and m.start < act.start]
    others = [m for m in meanwhile if m is not act and not set(m.moulds) & set(act.moulds)]
    return Clash(
        act.moulds, act.layer, last, act.closes, late, index, tuple(sorted(others, key=lambda m: m.start))
    )


def too_much(clashes: Sequence[Clash], outlook: Outlook, now: float) -> str:
    """Which pours collide and by how much; empty where one pair of hands is enough."""
    if not clashes:
        return ""
    worst = max(clashes, key=lambda c: (c.way == LIKELY, c.late))
    when = (
        ""
        if worst.way == LIKELY
        else tr(" on a day that cools {way}", way=tr("quickly") if worst.way == 0 else tr("slowly"))
    )
    says = tr(
        "Too much for one pair of hands{when}: {colour} into {letters} about {clock} comes {span} after its window closes",
        when=when,
        colour=outlook.colour(worst.layer),
        letters=letters(worst.moulds),
        clock=clock(worst.at, now),
        span=span(worst.late),
    )
    busy = [f"{AT_HAND.get(m.kind, m.kind)} {_of(m)}" for m in worst.meanwhile if m.kind in AT_HAND]
    why = (
        tr(", while you {fromkeys}", fromkeys=tr(" and ").join(dict.fromkeys(busy[-NAMED:]))) if busy else ""
    )
    more = (
        ntr(
            " {count} more pour is late.",
            " {count} more pours are late.",
            len(clashes) - 1,
            count=len(clashes) - 1,
        )
        if len(clashes) > 1
        else ""
    )
    return f"{says}{why}.{more}"


def _of(act: PlannedAct) -> str:
    """What an act is done to, in words: moulds, or the number of a jug."""
    return letters(act.moulds) if act.moulds else f"{(act.layer or 0) + 1}"
