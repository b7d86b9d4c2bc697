"""How much goes into a mould now: the room to its line, and what its hollow still wants until it has set.

Everything is taken from the wax as it stands, by the computed heat and by what was weighed. Volumes in m³, weights in kg;
times of `Hollow` are on the clock of the mould's pours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from pourday.forecast.level import Levels, Shrinkage, shrinkage
from pourday.forecast.mould import MouldRun
from pourday.forecast.spread import Quantiles
from pourday.guide.outlook.moulds import NEVER, MouldOutlook, planned_c
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.wax_left import SHUT_OR_ODD, wax_left
from pourday.plan.model import Mould
from pourday.plan.own_layers import mould_of
from pourday.plan.volumes import volume
from pourday.plan.weigh import WeighSheet, waxes_of
from pourday.session.events import Part
from pourday.session.mould import PourAt
from pourday.session.state import State
from pourday.wax.unsure import density_open

TOP_UP_BELOW = 0.002
"""m below the line of the last layer to which a top-up goes: above it wax runs down behind the candle (common practice, no
source, which says up to 6 mm; the wax sinks by itself after a top-up)."""
FIRST = 0.03
"""Share of the mould that is missing before the first top-up is worth its while (estimate),"""
STEP = 0.045
"""and before each further one (estimate)."""
LEFT = 0.002
"""Share of the mould that may still go missing after the last top-up (estimate),"""
LEFT_LATE = 0.004
"""and by the slow side of the forecast (estimate)."""
WORTH = 0.004
"""Share of the mould below which a hollow is left alone (estimate),"""
WORTH_AGAIN = 0.009
"""the same of one that was topped up before: about a millimetre of a pillar, for which nobody warms a jug again
(estimate),"""
SHOWS = 0.0015
"""and m of it, over the whole section: in a tall mould that is less than `WORTH_AGAIN`, and shows in the base all the same
(estimate),"""
WORTH_OPENING = 0.01
"""and where it has set, so that the candle would have to be opened with a hot rod for it (estimate)."""
CARRIES = 0.0025
"""m of crust from which a hole has to be made to reach the liquid wax (estimate)."""
SOON_LAST = 75 * 60.0
"""A top-up that would come less than so many s before the last one is left out: who waits until the candle is nearly
cold tops up once less (common practice, no source)."""
AGAIN = 30 * 60.0
"""s from one top-up to the next: what was poured in has to draw in before it shows what is missing (common practice, no
source: holes are opened again every 20-40 min)."""
SHUT_IN = 0.003
"""Share of the wax in a mould that may be missing under its crust when the next layer goes on (estimate)."""
DENSITY_KNOWN = 0.013
"""Share within which four of five lots of a wax are as dense as its row in the table, for as long as none of this one was
poured to a line (estimate: lots of the same wax differ by 2 % at the two-sigma edge),"""
LINE_SEEN = 0.005
"""and of the room in a mould once one was: how well a line is poured to (half a millimetre in 150), and how hot the wax was
that stood there (4 K to either side of what the jug read); both estimates."""
POUR_LASTS = 60.0
"""s after which a pour stands at its line and the wall has had its share of the heat (estimate)."""


@dataclass(frozen=True, slots=True)
class Amount:
    """What one pour takes: kg low, likely and high, up to a line."""

    low: float
    kg: float
    high: float
    below_rim: float
    """m"""
    planned: bool = False
    """As planned: nothing is in the mould yet, or nothing is computed of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Hollow:
    """What one mould wants in its hollow, by one way of its forecast."""

    levels: Levels
    whole: float
    """m³ of the mould to the line of its last layer."""
    line: float
    """m³ to the line of a top-up."""
    level: float
    """m from the inside bottom to the line of its last layer."""
    topped: bool
    """Whether it was topped up before."""

    def owed(self, at_s: float) -> float:
        """m³ missing inside at a time."""
        return max(0.0, self.line - self.levels.stands(at_s))

    @property
    def in_the_end(self) -> float:
        """m³ missing once all has set, if nothing more is poured."""
        return self.owed(float(self.levels.at_s[-1]))

    def wants_more(self, solid_s: float | None, has_set: bool = False) -> bool:
        """Whether another top-up is worth its while: whether enough will be missing in the end.

        More has to be missing where the candle would have to be opened with a hot rod for it: where it `has_set`, or,
        of a day ahead, will have set (at `solid_s`, s on the clock of its pours) by the time the top-up is due.
        """
        opened = has_set or (solid_s is not None and self.due_s() >= solid_s)
        again = min(WORTH_AGAIN, SHOWS / self.level)
        least = WORTH_OPENING if opened else again if self.topped else WORTH
        return self.in_the_end >= least * self.whole

    def last_s(self, share: float = LEFT) -> float:
        """From when so little goes missing any more that one top-up serves for the rest."""
        return self.levels.opens_only(share * self.whole)

    def carries_s(self) -> float:
        """From when a crust stands over the liquid."""
        return self.levels.crusted(CARRIES)

    def soonest_s(self) -> float:
        """From when a top-up through the crust is worth its while, for somebody who goes to bed before the best
        time."""
        opened = self.levels.stands_at(self.line - WORTH * self.whole)
        return max(self.carries_s(), float(self.levels.at_s[-1]) if opened is None else opened)

    def due_s(self, last: float | None = None) -> float:
        """When the next top-up is best made; `last` where another forecast says when little goes missing any more."""
        last = self.last_s() if last is None else last
        missing = (STEP if self.topped else FIRST) * self.whole
        opened = self.levels.stands_at(self.line - missing)
        due = last if opened is None or opened > last - SOON_LAST else opened
        again = float(self.levels.at_s[0]) + AGAIN if self.topped else due
        return max(due, again, self.carries_s())


@lru_cache(maxsize=64)
def shrinkage_of(heat: MouldRun) -> Shrinkage:
    """What each pour of a mould does with its room (see `level.shrinkage`), read off its heat and kept: the day ahead asks
    for it several times."""
    return shrinkage(heat)


def whole_volume(sheet: WeighSheet, mould: Mould, letter: str, level: float) -> float:
    """m³ a mould holds to a level (m), by what its candles weighed before where that is less than its shape says."""
    ours = sheet.mould(letter)
    scale = min(1.0, ours.finished / ours.estimate) if ours.estimate > 0 else 1.0
    return scale * volume(mould.shape, level)


def hollow_of(
    sheet: WeighSheet,
    mould: Mould,
    letter: str,
    layer: int,
    shrinks: Shrinkage,
    kgs: Sequence[float],
    topped: bool,
    bulk: float = 1.0,
) -> Hollow:
    """The hollow of a mould whose last layer is `layer`; `kgs` has the weight of each pour in it, in order.

    `bulk` as `bulk_of` reads it.
    """
    level = sheet.pour(letter, layer).level
    return Hollow(
        shrinks.levels(kgs, bulk),
        whole_volume(sheet, mould, letter, level),
        whole_volume(sheet, mould, letter, max(0.0, level - _below_line(mould))),
        level,
        topped,
    )


def kgs_in(state: State, letter: str) -> tuple[float, ...]:
    """kg of each pour in a mould in order of time, as weighed; where it was not, as planned."""
    return tuple(max(p.kg_best, 1e-6) for p in sorted(state.moulds[letter].pours, key=lambda p: p.t))


def line_poured_to(state: State, sheet: WeighSheet, letter: str) -> float | None:
    """m³ that were full below the line of a mould's last pour, where that was weighed; None where it is not known.

    Everybody pours to the line and looks at the scale afterwards. Where the jug may have had no more, what it gave less than
    was asked for is still missing. A plug, a wrong colour and what ran over stand at no line.
    """
    poured = state.moulds[letter].pours
    last = max(poured, key=lambda p: p.t) if poured else None
    if (
        last is None
        or last.kg is None
        or last.part == "plug"
        or last.instead_of is not None
        or last.spilled_kg
    ):
        return None
    mould = mould_of(state.plan, letter)
    level, _ = line_of(sheet, mould, letter, state.place_of(letter, last.layer), last.part)
    line = whole_volume(sheet, mould, letter, level)
    missing = (last.planned_kg or 0.0) - last.kg
    if missing <= 0 or _left_after(state, last) >= missing + state.plan.vessel_keeps:
        return line
    wax = waxes_of(state.plan, sheet.wax)[last.layer]
    return line - missing / wax.density_at(planned_c(sheet, letter, last.layer, last.part))


def _left_after(state: State, pour: PourAt) -> float:
    """kg left in the jug just after a pour from it was made."""
    later = sum(
        other.kg_left
        for mould in state.moulds.values()
        for other in (*mould.pours, *mould.emptied)
        if other.layer == pour.layer and other.t > pour.t
    )
    return wax_left(state).jugs.get(pour.layer, 0.0) + later


def bulk_of(line: float | None, shrinks: Shrinkage, kgs: Sequence[float]) -> float:
    """How many times as much room the wax in a mould takes as its row in the table says, judged by its last pour to a
    line.

    What is missing below a line that was reached is closed in, or the lot simply takes more room. Neither can be filled
    from above any more, so both count as full. `line` as `line_poured_to` gives it. 1 where nothing is known, or where
    the weight would be a mistake.
    """
    if line is None:
        return 1.0
    known = shrinks.levels(kgs)
    gap, takes = known.just_after(POUR_LASTS)
    bulk = (line - gap) / takes
    return bulk if abs(bulk - 1) <= SHUT_OR_ODD else 1.0


def _ways(forecast: MouldOutlook) -> tuple[Shrinkage, Shrinkage, Shrinkage]:
    """How the wax of a mould shrinks in its early, its likely and its late run."""
    return forecast.heat.shrinks


def hollows(outlook: Outlook, letter: str) -> tuple[Hollow, Hollow, Hollow] | None:
    """Early, likely and late hollow of a mould whose layers are all in; None where nothing is computed of it."""
    forecast, mould = outlook.mould(letter), outlook.state.moulds[letter]
    coming = outlook.state.next_pour(letter)
    if forecast is None or coming is None or coming.part != "top-up":
        return None
    topped = any(pour.part == "top-up" for pour in mould.pours)
    place = outlook.state.place_of(letter, coming.layer)
    kgs, line = kgs_in(outlook.state, letter), line_poured_to(outlook.state, outlook.sheet, letter)
    early, likely, late = (
        hollow_of(
            outlook.sheet,
            mould_of(outlook.state.plan, letter),
            letter,
            place,
            run,
            kgs,
            topped,
            bulk_of(line, run, kgs),
        )
        for run in _ways(forecast)
    )
    return early, likely, late


def _worth_it(state: State, forecast: MouldOutlook, likely: Hollow) -> bool:
    """Whether a hollow is worth another top-up, as things stood at the last entry of the record."""
    return likely.wants_more(None, forecast.solid.late <= state.last_t)


def next_top_up(outlook: Outlook, letter: str) -> Quantiles | None:
    """When the next top-up of a mould is best made, seconds since the epoch; None where it wants none any more."""
    ways, forecast = hollows(outlook, letter), outlook.mould(letter)
    if ways is None or forecast is None or not _worth_it(outlook.state, forecast, ways[1]):
        return None
    last = max(ways[1].last_s(), ways[2].last_s(LEFT_LATE))
    due = ways[1].due_s(last)
    others = [due, ways[0].due_s(), ways[2].due_s()]
    zero = forecast.heat.first_pour_t
    return Quantiles(zero + min(others), zero + due, zero + max(others))


def top_up_soonest(outlook: Outlook, letter: str) -> float:
    """From when the next top-up can be made well enough before bed, seconds since the epoch; never where none is wanted."""
    ways, forecast = hollows(outlook, letter), outlook.mould(letter)
    if ways is None or forecast is None or not _worth_it(outlook.state, forecast, ways[1]):
        return NEVER
    return forecast.heat.first_pour_t + ways[1].soonest_s()


def amount(outlook: Outlook, letter: str, layer: int, part: Part, at: float) -> Amount:
    """What a pour at a time takes to its line; as planned where the mould is empty or its heat is not computed."""
    state, forecast = outlook.state, outlook.mould(letter)
    mould = mould_of(state.plan, letter)
    level, below = line_of(outlook.sheet, mould, letter, state.place_of(letter, layer), part)
    planned = outlook.portion(letter, layer, part)
    if part == "plug" or forecast is None or not state.moulds[letter].pours:
        return Amount(planned, planned, planned, below, planned=True)
    wax = waxes_of(state.plan, outlook.sheet.wax)[layer]
    dense = wax.density_at(planned_c(outlook.sheet, letter, layer, part))
    line, kgs = whole_volume(outlook.sheet, mould, letter, level), kgs_in(state, letter)
    reached = line_poured_to(state, outlook.sheet, letter)
    bulks = [bulk_of(reached, run, kgs) for run in _ways(forecast)]
    fills = [
        run.levels(kgs, bulk).fills(forecast.at(at)) for run, bulk in zip(_ways(forecast), bulks, strict=True)
    ]
    dense /= bulks[1]
    # Once a line was seen, it is known how much room this very wax takes.
    unsure = (max(DENSITY_KNOWN, density_open(wax)) if reached is None else LINE_SEEN) * line
    rooms = sorted(
        max(0.0, line - each) * dense for each in (fills[1], min(fills) - unsure, max(fills) + unsure)
    )
    return Amount(rooms[0], max(0.0, line - fills[1]) * dense, rooms[-1], below)


def _below_line(mould: Mould) -> float:
    """m below the line of the last layer to which a top-up goes: none where it is the candle's own top."""
    return 0.0 if mould.stays else TOP_UP_BELOW


def line_of(sheet: WeighSheet, mould: Mould, letter: str, layer: int, part: Part) -> tuple[float, float]:
    """(m above the inside bottom, m below the rim) of the line a pour goes to."""
    pour = sheet.pour(letter, layer)
    if part == "top-up":
        return max(0.0, pour.level - _below_line(mould)), pour.below_rim + _below_line(mould)
    return pour.level, pour.below_rim


def liquid_share(outlook: Outlook, letter: str, at: float) -> float | None:
    """Share of all wax in a mould that is liquid; None where nothing is computed of it."""
    forecast = outlook.mould(letter)
    if forecast is None or not outlook.state.moulds[letter].pours:
        return None
    return forecast.heat.shrinks[1].levels(kgs_in(outlook.state, letter)).liquid_at(forecast.at(at))


def owed_in_the_end(outlook: Outlook, letter: str) -> float | None:
    """kg of hot wax that the hollow of a mould wants from now until it has set; None where its layers are not all in."""
    ways, coming = hollows(outlook, letter), outlook.state.next_pour(letter)
    if ways is None or coming is None:
        return None
    wax = waxes_of(outlook.state.plan, outlook.sheet.wax)[coming.layer]
    return ways[1].in_the_end * wax.density_at(planned_c(outlook.sheet, letter, *coming))


def left_inside(outlook: Outlook, letter: str, filled_at: float | None = None) -> tuple[float, float] | None:
    """(m³, kg of hot wax that fill it) of the hollow a mould sets over if nothing more is poured, or only one more top-up
    at `filled_at`; None where its layers are not all in."""
    ways, forecast, coming = hollows(outlook, letter), outlook.mould(letter), outlook.state.next_pour(letter)
    if ways is None or forecast is None or coming is None:
        return None
    wax = waxes_of(outlook.state.plan, outlook.sheet.wax)[coming.layer]
    dense, missing = wax.density_at(planned_c(outlook.sheet, letter, *coming)), ways[1].in_the_end
    if filled_at is not None:
        # What is filled hot shrinks in its turn.
        missing -= ways[1].owed(forecast.at(filled_at)) * dense / wax.density_solid
    return (missing, missing * dense) if missing >= WORTH_OPENING * ways[1].whole else (0.0, 0.0)


def runs_to(outlook: Outlook, letter: str, at: float) -> float:
    """m below the surface down to which wax in a mould is still liquid; 0 where none is."""
    forecast = outlook.mould(letter)
    if forecast is None or not outlook.state.moulds[letter].pours:
        return 0.0
    return forecast.heat.shrinks[1].levels(kgs_in(outlook.state, letter)).runs_to_at(forecast.at(at))


def crusted_at(outlook: Outlook, letter: str) -> float:
    """When a crust stands over the liquid of a mould, seconds since the epoch; never where nothing is computed."""
    forecast = outlook.mould(letter)
    if forecast is None:
        return NEVER
    return forecast.heat.first_pour_t + forecast.heat.shrinks[1].levels(
        kgs_in(outlook.state, letter)
    ).crusted(CARRIES)


def shut_in(outlook: Outlook, letter: str, at: float) -> bool:
    """Whether so much is missing under the crust of a mould that a layer poured on it would shut a hollow in."""
    forecast = outlook.mould(letter)
    last = outlook.state.moulds[letter].last_pour
    if forecast is None or last is None or last.part == "plug":
        # A plug is a finger deep at most: hot wax of the same colour goes onto it, and what it sank by is not felt.
        return False
    known = forecast.heat.shrinks[1].levels(kgs_in(outlook.state, letter))
    crusted, at_s = known.crusted(CARRIES), forecast.at(at)
    missing = known.stands(crusted) - known.stands(at_s) if at_s > crusted else 0.0
    return missing > SHUT_IN * known.stands(at_s)
