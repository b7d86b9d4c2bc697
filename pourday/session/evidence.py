"""From what a session's state holds to rows of evidence: what was seen of each layer, and nothing that was not.

When a pour was made is no evidence: it may be late because of the telephone. Readings in doubt are none either.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from pourday.learning.evidence import SeenBetween, SeenEvent, SurfaceRead, between
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
SURFACE_ERROR: Mapping[Means, float] = {"infrared": 3.0, "probe": 2.0}
"""K, one standard deviation of a reading of open wax; a touch or a guess is no reading (estimates)."""


def evidence(state: State, until: float = math.inf) -> tuple[SeenBetween | SurfaceRead, ...]:
    """Every row of the session as it stands, of all moulds; of wax that came out again there is none.

    Only by what was seen before `until`, seconds since the epoch.
    """
    return tuple(row for mould in state.moulds.values() for row in _of_mould(state, mould, until))


def _of_mould(state: State, mould: MouldState, until: float) -> list[SeenBetween | SurfaceRead]:
    rows: list[SeenBetween | SurfaceRead] = []
    if not mould.pours:
        return rows
    pours = sorted(mould.pours, key=lambda p: p.t)
    ends = [*(p.t for p in pours[1:]), mould.demoulded_at or math.inf]
    for k, (pour, end) in enumerate(zip(pours, ends, strict=True), start=1):
        start = max(pour.t, mould.emptied_at or -math.inf)
        looks = [(x.t, ORDER.index(x.cue)) for x in mould.looks if start < x.t <= end and x.t < until]
        for event, cue in SAYS.items():
            # That it is not cold yet is not what somebody means who says that it carries.
            told = [
                (t, n >= ORDER.index(cue))
                for t, n in looks
                if event in ("skin", "carries") or n >= ORDER.index(cue)
            ]
            rows += between(mould.letter, k, event, told)
        rows += [
            SurfaceRead(mould.letter, k, r.t, r.celsius, SURFACE_ERROR[r.means])
            for r in state.readings
            if r.place == "surface" and r.mould == mould.letter and not r.doubt
            and r.means in SURFACE_ERROR and start < r.t <= end and r.t < until
        ]  # fmt: skip
    return rows
