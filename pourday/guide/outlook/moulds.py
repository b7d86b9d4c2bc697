"""What the computed heat means for the layer on top of one mould: when to look, when to pour, when it is late."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

from pourday.forecast import fuse
from pourday.forecast.fuse import Window
from pourday.forecast.mould import MouldRun
from pourday.forecast.mould_case import ROUGH, PourInto, Resolution
from pourday.forecast.spread import Quantiles
from pourday.guide.outlook.cases import case_of, pour_of
from pourday.guide.outlook.learned import bounds, likely_factors, with_factors
from pourday.guide.outlook.mould_heat import MouldHeat, MouldHeatCache
from pourday.language import tr, word
from pourday.learning.factors import Factors, Posterior
from pourday.learning.heat import LayerHeat
from pourday.learning.times import EventTimes, Kind, LayerTimes, Read, RoughTimes, either
from pourday.plan.bench import bench
from pourday.plan.model import Mould
from pourday.plan.pour_order import ToPour
from pourday.plan.weigh import WeighSheet, waxes_of
from pourday.session.events import Part
from pourday.session.state import MouldState, State
from pourday.units import show_length, show_temperature
from pourday.wax.materials import Wax

MODEL = tr("Computed from the heat in the layers")
"""What a forecast is said to rest on; it goes on record with each."""
AT_FIRST = tr("Roughly computed from the heat in the layers, until that is done more closely")
"""The same while a better one is on its way; it goes on no record."""
WELD = 3.0
"""K by which a top-up is hotter than the first pour, to weld (common practice, no source: 3-6 K)."""
NEVER = float("inf")
ANY_TIME = (-math.inf, math.inf)


@dataclass(frozen=True, slots=True, eq=False)
class MouldOutlook:
    """What is ahead for the layer on top of one mould. Times in seconds since the epoch; `inf`: not in sight."""

    letter: str
    skinned: Quantiles
    """Half of the surface solid."""
    opens: Quantiles
    """The surface can carry the next colour."""
    firm: Quantiles
    """It also takes no fingerprint: the crust is as thick as it should be to pour on."""
    carries: Quantiles
    """When this person will say that it carries: one says so as soon as it has set (`opens`), another once it has a
    crust (`firm`)."""
    crust: float
    """How likely they go by the crust, 0 to 1."""
    best: float
    """A good time to pour, likely."""
    closes: float | None
    """From then on the next colour no longer melts the edge; None while that is not in sight."""
    closes_spread: Quantiles | None
    solid: Quantiles
    """Nothing liquid left in it."""
    cold: Quantiles
    """The whole candle within 3 K of the room."""
    next_c: float
    """What the next pour is planned at, °C."""
    empty: bool
    """At that temperature it closes before it opens."""
    advice: str
    """For an empty window: why, and what would open it."""
    why: str
    """What the forecast rests on, in a sentence."""
    heat: MouldHeat
    window: Window
    """The likely one, with its times on the clock of the pours."""

    def at(self, t: float) -> float:
        """A time of day (seconds since the epoch) as seconds on the clock of the pours."""
        return t - self.heat.first_pour_t

    @property
    def by_crust(self) -> bool:
        """Whether `carries` goes by the crust, as is likelier of this person."""
        return likelier_by_crust(self.crust)

    @property
    def likely(self) -> MouldRun:
        """The mould as it is computed when nothing is faster or slower than expected."""
        return self.heat.spread.likely


def likelier_by_crust(crust: float) -> bool:
    """Whether a person who goes by the crust with this chance, 0 to 1, is likelier to than not."""
    return crust > 0.5


def on_bench(state: State) -> frozenset[str]:
    """Letters of the moulds that the plan has; a revision may have taken out one that was poured."""
    return frozenset(standing.letter for standing in bench(state.plan))


def mould_outlooks(
    state: State, sheet: WeighSheet, cache: MouldHeatCache, grid: Resolution, known: Posterior
) -> dict[str, MouldOutlook]:
    """The outlook of every mould with wax in it, by letter; a mould that cannot be computed has none.

    `known` is what is known of the heat they lose.
    """
    cases = {
        letter: case_of(state, sheet, mould)
        for letter, mould in state.moulds.items()
        if mould.pours and mould.demoulded_at is None and letter in on_bench(state)
    }
    wanted = {x: (t, with_factors(case, known.factors, x)) for x, (t, case) in cases.items()}
    unlearned = {letter: case for letter, (_, case) in cases.items()}
    nine = cache.learned.heats(unlearned, only_known=grid == ROUGH)
    return {
        letter: _last_or_new(cache, state, sheet, state.moulds[letter], heat, nine.get(letter), known)
        for letter, heat in cache.moulds(wanted, grid).items()
    }


def _last_or_new(
    cache: MouldHeatCache,
    state: State,
    sheet: WeighSheet,
    mould: MouldState,
    heat: MouldHeat,
    nine: LayerHeat | None,
    known: Posterior,
) -> MouldOutlook:
    """The outlook of a mould (see `_outlook`), or the last one as it was while nothing has changed that it rests on.

    A reading of the pot, something told, or a look at another mould that taught nothing leaves it as it was.
    """
    rests_on = (state.plan, state.waived, mould, heat, nine, known)
    last = cache.read_off.get(mould.letter)
    if last is None or last[0] != rests_on:
        last = rests_on, _outlook(state, sheet, mould, heat, nine, known)
        cache.read_off[mould.letter] = last
    return cast("MouldOutlook", last[1])


def planned_c(sheet: WeighSheet, letter: str, layer: int, part: Part) -> float:
    """What a pour is planned at, °C."""
    return sheet.top_up(letter).pour_c + WELD if part == "top-up" else sheet.pour(letter, layer).pour_c


def hottest_allowed_c(mould: Mould, wax: Wax) -> float:
    """The hottest a pour of this wax into this mould may be, °C."""
    return wax.max_working_c if mould.limit_c is None else min(mould.limit_c, wax.max_working_c)


def imagined_pour(
    state: State, sheet: WeighSheet, letter: str, at_s: float, celsius: float | None = None
) -> PourInto | None:
    """The next pour into a mould, as if it were made `at_s` on the clock of its pours; None where none is left.

    At `celsius`, or as planned where None.
    """
    following = state.next_pour(letter)
    if following is None:
        return None
    at_c = planned_c(sheet, letter, *following) if celsius is None else celsius
    return pour_of(sheet, waxes_of(state.plan, sheet.wax), letter, *following, at_s, at_c)


def _outlook(
    state: State,
    sheet: WeighSheet,
    mould: MouldState,
    heat: MouldHeat,
    nine: LayerHeat | None,
    known: Posterior,
) -> MouldOutlook:
    """What is to be seen and done at a mould, as times: the likely run has the level, nine coarser ones the spread.

    `nine` is None while those have not been computed.
    """
    letter, top = mould.letter, len(mould.pours) - 1
    # Where nothing comes any more, a top-up stands in: how firm the surface is shows all the same.
    layer, part = state.next_pour(letter) or ToPour(mould.pours[-1].layer, "top-up")
    next_c = planned_c(sheet, letter, layer, part)
    wax = waxes_of(state.plan, sheet.wax)[layer]
    standing = next(s.mould for s in bench(state.plan) if s.letter == letter)
    run = heat.spread.likely
    likely = fuse.window(run, next_c, wax, hottest_c=hottest_allowed_c(standing, wax))
    times = _times(heat, nine, known, letter)

    def spread(kind: Kind, read: Read, ends: tuple[float, float] = ANY_TIME) -> Quantiles:
        after, before = (t - heat.first_pour_t for t in ends)
        return Quantiles(*(heat.first_pour_t + t for t in times.spread(kind, read, after, before)))

    # Not yet carrying may mean no crust yet, carrying that it has at least set.
    seen, by_crust = bounds(state, letter), likelier_by_crust(known.crust)
    after, before = seen.get("carries", ANY_TIME)
    once_set = spread("opens", fuse.opens_s, (after, before))
    opens = spread("opens", fuse.opens_s, (-math.inf, before)) if by_crust else once_set
    firm = spread("firm", _crust_of(top), (after, before if by_crust else math.inf))
    poured = heat.first_pour_t + run.case.pours[-1].at_s
    # Whichever of the two they mean, what was not so yet when they looked comes after that look.
    with_crust = spread("firm", _crust_of(top), (after, before))
    carries = either(once_set.after(-poured), with_crust.after(-poured), known.crust).after(poured)
    closes = spread("closes", lambda run: fuse.window(run, next_c, wax).closes_s)
    shown = likely.closes_s is not None and math.isfinite(closes.likely)
    return MouldOutlook(
        letter=letter,
        skinned=spread("skin", lambda run: run.layers[top].times["skin"], seen.get("skin", ANY_TIME)),
        opens=opens,
        firm=_later(opens, firm),
        carries=_later(opens, carries),
        crust=known.crust,
        best=_best(likely, opens.likely, closes.likely if shown else None),
        closes=closes.likely if shown else None,
        closes_spread=closes if shown else None,
        solid=spread("solid", lambda run: run.solid_s),
        cold=spread("cold", lambda run: run.demould_s),
        next_c=next_c,
        empty=likely.empty,
        advice=_advice(likely, state),
        why=_why(state, heat, top, known.factors),
        heat=heat,
        window=likely,
    )


def _crust_of(top: int) -> Read:
    """A function that reads off a run when its layer number `top` has a crust that takes no fingerprint."""
    return lambda run: run.layers[top].times["crust_2mm"]


def _times(heat: MouldHeat, nine: LayerHeat | None, known: Posterior, letter: str) -> EventTimes:
    """From what the early, likely and late times of a mould are taken: from its nine runs under moved factors where those are
    computed, else from its own three."""
    s = heat.spread
    if nine is None:
        return RoughTimes((s.early, s.likely, s.late))
    at, factors = known.prior.whereabouts(letter), likely_factors(known.factors, letter)
    return LayerTimes(nine, at, known.of(letter), s.likely, factors)


def _best(run: Window, opens: float, closes: float | None) -> float:
    """The best time to pour, seconds since the epoch, between `opens` and `closes`: as far into this window, as a share of
    its length, as the best time of the likely `run` is into its own."""
    if run.opens_s is None or run.best_s is None:
        return opens
    into = run.best_s - run.opens_s
    if run.closes_s is None or closes is None or run.closes_s <= run.opens_s:
        return opens + into
    return opens + into / (run.closes_s - run.opens_s) * max(0.0, closes - opens)


def _later(one: Quantiles, other: Quantiles) -> Quantiles:
    """The spread of the time at which both of two events have come: early, likely and late each the later of the two."""
    return Quantiles(max(one.early, other.early), max(one.likely, other.likely), max(one.late, other.late))


def _show(state: State) -> Callable[[float], str]:
    """Writes a temperature, °C, in the units of the plan."""
    return lambda celsius: show_temperature(celsius, state.plan.units)


def _advice(window: Window, state: State) -> str:
    """Why a window never opens and what would open it, in sentences; empty for one that does."""
    if not window.empty:
        return ""
    ways = fuse.what_would_open(window, _show(state))
    return " ".join([fuse.why(window, _show(state)), tr("What would help:"), *ways])


def _why(state: State, heat: MouldHeat, top: int, known: Factors) -> str:
    """What the times rest on, in a sentence."""
    pour = heat.case.pours[top]
    room = heat.case.at(pour.at_s).room_c
    show = _show(state)
    low, likely, high = known.top.low, known.top.likely, known.top.high
    rests = (
        tr("by today's looks")
        if known.looks
        else tr("by earlier days")
        if known.usual != 1.0
        else tr("before any look")
    )
    return tr(
        "{at_first}, an estimate: {thick} poured at {degrees} into {material}, room {room}; the open top cools {likely:.2f} times as fast as computed ({low:.2f}-{high:.2f}), {rests}.",
        at_first=AT_FIRST if heat.grid == ROUGH else MODEL,
        thick=show_length(round(pour.height, 3), state.plan.units),
        degrees=show(pour.celsius),
        material=word(heat.case.vessel.material),
        room=show(room),
        likely=likely,
        low=low,
        high=high,
        rests=rests,
    )


def next_layer_of(state: State, letter: str) -> int | None:
    """The next layer that goes into a mould, its number; None where only the top-up, or nothing, is left."""
    return next((pour.layer for pour in state.remaining(letter) if pour.part == "layer"), None)
