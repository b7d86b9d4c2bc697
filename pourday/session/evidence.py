"""From what a session's state holds to rows of evidence: what was seen of each layer, and nothing that was not.

When a pour was made is no evidence: it may be late because of the telephone. Readings in doubt are none either.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Literal

from pourday.learning.evidence import Row, SeenBetween, SeenEvent, SurfaceLook, SurfaceRead, between
from pourday.session.events import Cue, Means
from pourday.session.mould import MouldState
from pourday.session.state import State

ORDER: tuple[Cue, ...] = ("wet", "skinned", "firm", "cold", "pulled away")
"""The looks of a surface as they follow each other."""
SAYS: Mapping[SeenEvent, Cue] = {
    "skin": "skinned",
    "carries": "firm",
    "cold to the hand": "cold",
    "pulled away": "pulled away",
}
"""The first look that tells that an event has come."""
OF_THE_WALL: tuple[SeenEvent, ...] = ("cold to the hand", "pulled away")
"""What only counts where it is told: whoever says something else does not deny it."""
STAGES: tuple[Literal[0, 1, 2], ...] = (0, 1, 2, 2, 2)
"""What each look of `ORDER` says of the surface."""
SURFACE_ERROR: Mapping[Means, float] = {"infrared": 3.0, "probe": 2.0}
"""K, one standard deviation of a reading of open wax; a touch or a guess is no reading (estimates)."""


def evidence(state: State, until: float = math.inf) -> tuple[Row, ...]:
    """Every row of the session as it stands, of all moulds; of wax that came out again there is none.

    Each look by itself, what hand and eye told of the wall, and each reading; by what was seen before `until` only,
    seconds since the epoch.
    """
    rows: list[Row] = []
    surfaces = [
        r for r in state.readings if r.place == "surface" and not r.doubt and r.means in SURFACE_ERROR
    ]
    for mould in state.moulds.values():
        for pours, start, end in _layers(mould):
            looks = [(t, n) for t, n in _looks(mould, start, end) if t < until]
            rows += [SurfaceLook(mould.letter, pours, t, STAGES[n]) for t, n in looks]
            rows += _bounded(mould.letter, pours, looks, OF_THE_WALL)
            rows += [
                SurfaceRead(mould.letter, pours, r.t, r.celsius, SURFACE_ERROR[r.means])
                for r in surfaces
                if r.mould == mould.letter and start < r.t <= end and r.t < until
            ]
    return tuple(rows)


def seen_between(mould: MouldState) -> tuple[SeenBetween, ...]:
    """Between when and when each event of each layer of a mould came, as far as its looks bound it."""
    return tuple(
        row
        for pours, start, end in _layers(mould)
        for row in _bounded(mould.letter, pours, _looks(mould, start, end), tuple(SAYS))
    )


def _layers(mould: MouldState) -> list[tuple[int, float, float]]:
    """(how many pours stood in it, from when, until when) of every layer of a mould."""
    pours = sorted(mould.pours, key=lambda p: p.t)
    ends = [*(p.t for p in pours[1:]), mould.demoulded_at or math.inf]
    emptied = mould.emptied_at or -math.inf
    return [(k, max(p.t, emptied), end) for k, (p, end) in enumerate(zip(pours, ends, strict=False), start=1)]


def _looks(mould: MouldState, start: float, end: float) -> list[tuple[float, int]]:
    """Looks of one layer: when, and how far on in `ORDER`."""
    return [(x.t, ORDER.index(x.cue)) for x in mould.looks if start < x.t <= end]


def _bounded(
    letter: str, pours: int, looks: Sequence[tuple[float, int]], events: Sequence[SeenEvent]
) -> list[SeenBetween]:
    rows: list[SeenBetween] = []
    for event in events:
        n = ORDER.index(SAYS[event])
        # That it is not cold yet is not what somebody means who says that it carries.
        told = [(t, x >= n) for t, x in looks if event not in OF_THE_WALL or x >= n]
        rows += between(letter, pours, event, told)
    return rows
