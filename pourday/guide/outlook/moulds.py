"""What the computed heat means for the layer on top of one mould: when to look, when to pour, when it is late."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pourday.forecast import fuse
from pourday.forecast.fuse import Window
from pourday.forecast.mould import MouldRun
from pourday.forecast.mould_case import ROUGH, PourInto, Resolution
from pourday.forecast.spread import Quantiles
from pourday.guide.outlook.cases import case_of, pour_of
from pourday.guide.outlook.learned import with_factors
from pourday.guide.outlook.mould_heat import MouldHeat, MouldHeatCache
from pourday.learning.factors import Factors
from pourday.plan.bench import bench
from pourday.plan.model import Mould
from pourday.plan.pour_order import ToPour
from pourday.plan.weigh import WeighSheet, waxes_of
from pourday.session.events import Part
from pourday.session.state import MouldState, State
from pourday.units import show_length, show_temperature
from pourday.wax.materials import Wax

MODEL = "Computed from the heat in the layers"
"""What a forecast is said to rest on; it goes on record with each."""
AT_FIRST = "Roughly computed from the heat in the layers, until that is done more closely"
"""The same while a better one is on its way; it goes on no record."""
WELD = 3.0
"""K by which a top-up is hotter than the first pour, to weld (common practice, no source: 3-6 K)."""
NEVER = float("inf")


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
    def likely(self) -> MouldRun:
        """The mould as it is computed when nothing is faster or slower than expected."""
        return self.heat.spread.likely


def on_bench(state: State) -> frozenset[str]:
    """Letters of the moulds that the plan has; a revision may have taken out one that was poured."""
    return frozenset(standing.letter for standing in bench(state.plan))


def mould_outlooks(
    state: State,
    sheet: WeighSheet,
    cache: MouldHeatCache,
    grid: Resolution,
    learned: Factors | None = None,
) -> dict[str, MouldOutlook]:
    """The outlook of every mould with wax in it, by letter; a mould that cannot be computed has none.

    `learned` is what was seen today of the heat they lose; None while that is nothing.
    """
    cases = {
        letter: case_of(state, sheet, mould)
        for letter, mould in state.moulds.items()
        if mould.pours and mould.demoulded_at is None and letter in on_bench(state)
    }
    wanted = {x: (t, with_factors(case, learned, x)) for x, (t, case) in cases.items()}
    return {
        letter: _outlook(state, sheet, state.moulds[letter], heat, learned)
        for letter, heat in cache.moulds(wanted, grid).items()
    }


def planned_c(sheet: WeighSheet, letter: str, layer: int, part: Part) -> float:
    """What a pour is planned at, °C."""
    return sheet.top_up(letter).pour_c + WELD if part == "top-up" else sheet.pour(letter, layer).pour_c


def may_get_c(mould: Mould, wax: Wax) -> float:
    """The hottest a pour of this wax into this mould may be, °C."""
    return wax.max_working_c if mould.limit_c is None else min(mould.limit_c, wax.max_working_c)


def imagined(
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
    state: State, sheet: WeighSheet, mould: MouldState, heat: MouldHeat, learned: Factors | None
) -> MouldOutlook:
    """What is to be seen and done at a mould, as times, from its heat in the three runs."""
    letter, top = mould.letter, len(mould.pours) - 1
    # Where nothing comes any more, a top-up stands in: how firm the surface is shows all the same.
    layer, part = state.next_pour(letter) or ToPour(mould.pours[-1].layer, "top-up")
    next_c = planned_c(sheet, letter, layer, part)
    wax = waxes_of(state.plan, sheet.wax)[layer]
    standing = next(s.mould for s in bench(state.plan) if s.letter == letter)
    hottest = may_get_c(standing, wax)
    runs = (heat.spread.early, heat.spread.likely, heat.spread.late)
    windows = [fuse.window(run, next_c, wax, hottest_c=hottest) for run in runs]
    likely = windows[1]
    closes = [w.closes_s for w in windows]
    opens = _spread(heat.first_pour_t, [w.opens_s for w in windows])
    return MouldOutlook(
        letter=letter,
        skinned=_spread(heat.first_pour_t, heat.spread.times(top, "skin")),
        opens=opens,
        firm=_later(opens, _spread(heat.first_pour_t, heat.spread.times(top, "crust_2mm"))),
        best=opens.likely if likely.best_s is None else heat.first_pour_t + likely.best_s,
        closes=None if likely.closes_s is None else heat.first_pour_t + likely.closes_s,
        closes_spread=None if likely.closes_s is None else _spread(heat.first_pour_t, closes),
        solid=_spread(heat.first_pour_t, heat.spread.solid_s),
        cold=_spread(heat.first_pour_t, heat.spread.demould_s),
        next_c=next_c,
        empty=likely.empty,
        advice=_advice(likely, state),
        why=_why(state, heat, top, learned),
        heat=heat,
        window=likely,
    )


def _spread(first_pour_t: float, times: tuple[float | None, ...] | list[float | None]) -> Quantiles:
    early, likely, late = sorted(NEVER if t is None else first_pour_t + t for t in times)
    return Quantiles(early, likely, late)


def _later(one: Quantiles, other: Quantiles) -> Quantiles:
    return Quantiles(max(one.early, other.early), max(one.likely, other.likely), max(one.late, other.late))


def _show(state: State) -> Callable[[float], str]:
    return lambda celsius: show_temperature(celsius, state.plan.units)


def _advice(window: Window, state: State) -> str:
    if not window.empty:
        return ""
    ways = fuse.what_would_open(window, _show(state))
    return " ".join([fuse.why(window, _show(state)), "What would help:", *ways])


def _why(state: State, heat: MouldHeat, top: int, learned: Factors | None) -> str:
    """What the times rest on, in a sentence."""
    pour = heat.case.pours[top]
    room = heat.case.at(pour.at_s).room_c
    show = _show(state)
    may = "cooling may be a fifth faster or slower."
    if learned is not None:
        may = f"open top times {learned.top.likely:.2f} ({learned.top.low:.2f}-{learned.top.high:.2f}) by today's looks."
    return (
        f"{AT_FIRST if heat.grid == ROUGH else MODEL}, an estimate: {show_length(round(pour.height, 3), state.plan.units)} poured at {show(pour.celsius)} into "
        f"{heat.case.vessel.material}, room {show(room)}; {may}"
    )


def next_layer_of(state: State, letter: str) -> int | None:
    """The next layer that goes into a mould, its number; None where only the top-up, or nothing, is left."""
    return next((pour.layer for pour in state.remaining(letter) if pour.part == "layer"), None)
