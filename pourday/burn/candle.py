"""The candles of a batch as things of their own: what was poured and weighed, beside what became of them since."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.plan.bench import bench
from pourday.plan.model import Layer, Mould, Plan
from pourday.plan.own_layers import shares_of
from pourday.plan.volumes import capacity, fill_height, like_cylinder
from pourday.plan.waxes import own_of, waxes_of
from pourday.plan.wick import chosen_wick, wicks_of
from pourday.session.candle import CandleState, batch_label
from pourday.session.state import MouldState, State
from pourday.wax.cure import Cure, cure_of
from pourday.wax.materials import Wax

HEAVY_SCENT = 0.08
"""kg per kg wax from which scent is a likely cause of a clogged wick. Common practice, no source."""
HEAVY_DYE = 0.002
"""The same of dye: estimate, no source."""


@dataclass(frozen=True, slots=True)
class Candle:
    """One candle of a batch."""

    batch: str
    letter: str
    label: str
    since: float
    """When it left its mould, or its vessel was filled; s since the epoch."""
    width: float
    """m, of a round candle of the same height and room."""
    height: float
    """m, as it left the mould."""
    kg: float | None
    """As it was weighed; None: not weighed."""
    wick: str
    """What was chosen, else what was proposed."""
    waxes: tuple[Wax, ...]
    scent_load: float
    """The heaviest of its layers, kg per kg wax."""
    dye_load: float
    in_vessel: bool
    cure: Cure
    life: CandleState
    """What was done and seen since."""

    def age_days(self, t: float) -> float:
        """Days since it left the mould."""
        return (t - self.since) / 86_400.0


def candles_of(batch: State, log: State | None = None) -> tuple[Candle, ...]:
    """Every candle that left its mould, or stands filled in its vessel, by letter; `log` is the record of what became of them.

    Raises `Trouble` for a plan with a wax that nobody knows.
    """
    lives = log.candles if log is not None else {}
    plan = batch.plan
    waxes, wicks = waxes_of(plan, own=own_of(plan)), wicks_of(plan)
    made = []
    for standing in bench(plan):
        mould, state = standing.mould, batch.moulds.get(standing.letter)
        since = None if state is None else _since(mould, state)
        if since is None or state is None:
            continue
        gets = [
            (layer, wax)
            for layer, wax, share in zip(plan.layers, waxes, shares_of(plan, mould), strict=True)
            if share > 0
        ]
        life = lives.get(standing.letter, CandleState(standing.letter))
        made.append(
            _made(batch.session, plan, mould, state, since, gets, life, wicks[plan.moulds.index(mould)].words)
        )
    return tuple(made)


def _made(
    session: str,
    plan: Plan,
    mould: Mould,
    state: MouldState,
    since: float,
    gets: list[tuple[Layer, Wax]],
    life: CandleState,
    proposed: str,
) -> Candle:
    scent = max((layer.scent_load for layer, _ in gets), default=0.0)
    waxes = tuple(dict.fromkeys(wax for _, wax in gets)) if gets else ()
    return Candle(
        batch=session,
        letter=state.letter,
        label=life.label or batch_label(session, state.letter),
        since=since,
        width=like_cylinder(mould.shape).diameter if capacity(mould.shape) > 0 else 0.0,
        height=fill_height(mould),
        kg=state.candle_kg,
        wick=chosen_wick(plan, mould) or proposed,
        waxes=waxes,
        scent_load=scent,
        dye_load=max((layer.dye_load for layer, _ in gets), default=0.0),
        in_vessel=mould.stays,
        cure=cure_of(waxes, scent > 0),
        life=life,
    )


def _since(mould: Mould, state: MouldState) -> float | None:
    """When a candle came to be one; None while it is not."""
    if mould.stays:
        topped = state.last_pour is not None and state.last_pour.part == "top-up"
        return state.last_pour.t if topped and state.last_pour else None
    return state.demoulded_at


def try_candles_of(batch: State, log: State | None = None) -> tuple[Candle, ...]:
    """As `candles_of`; none of a batch whose plan can no longer be worked out."""
    try:
        return candles_of(batch, log)
    except Trouble:
        return ()
