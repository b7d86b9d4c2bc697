"""What one day says of one mould: how it was used, and what came out of it."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from pourday.plan.bench import bench
from pourday.plan.model import Material, Mould, Shape
from pourday.plan.own_layers import waxes_in
from pourday.plan.wick import chosen_wick
from pourday.session.candle import CandleState, faults_seen
from pourday.session.events import Release
from pourday.session.state import State
from pourday.text import plain

MouldKey = str
"""The name of a mould in small letters; of one without, its shape."""


class MouldUse(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One mould on one day. None and empty: not known, or nobody said."""

    letter: str
    name: str = ""
    shape: Shape
    below_rim: float
    """m"""
    material: Material
    holes: int | None = None
    limit_c: float | None = None
    wax: dict[str, float] = {}
    """Share of each wax in its candle, by id."""
    kg: float | None = None
    """What the candle weighed."""
    wick: str = ""
    """What the plan had for it."""
    passed: str = ""
    """A wick that passed its burn test in it."""
    release: Release | None = None
    wept: bool = False
    """Its seal was seen to weep."""
    faults: tuple[str, ...] = ()
    at: float
    """When it was last poured into, s since the epoch."""


def mould_key(mould: Mould | MouldUse) -> MouldKey:
    """How a mould is known again from day to day."""
    name = plain(mould.name).casefold()
    return name or f"{msgspec.json.encode(mould.shape).decode()} {mould.below_rim:.4f}"


def uses_of(state: State, log: State | None) -> tuple[MouldUse, ...]:
    """What a day, and the record of its candles (`log`), say of its moulds; nothing of a demo, and of a mould that was not poured."""
    if state.demo or state.batch:
        return ()
    later: Mapping[str, CandleState] = log.candles if log is not None else {}
    uses = []
    for standing in bench(state.plan):
        mould, poured = standing.mould, state.moulds.get(standing.letter)
        if poured is None or not poured.pours:
            continue
        lives = [told[standing.letter] for told in (state.candles, later) if standing.letter in told]
        judged = [life.judged for life in lives if life.judged is not None and life.judged.came == "passed"]
        uses.append(
            MouldUse(
                letter=standing.letter,
                name=mould.name,
                shape=mould.shape,
                below_rim=mould.below_rim,
                material=mould.material,
                holes=mould.holes,
                limit_c=mould.limit_c,
                wax={wax: round(share, 4) for wax, share in waxes_in(state.plan, mould).items()},
                kg=poured.candle_kg,
                wick=chosen_wick(state.plan, mould),
                passed=judged[-1].wick if judged else "",
                release=poured.release,
                wept=bool(poured.weeps),
                faults=tuple(dict.fromkeys(defect.defect for defect in faults_seen(*lives).defects)),
                at=poured.pours[-1].t,
            )
        )
    return tuple(uses)
