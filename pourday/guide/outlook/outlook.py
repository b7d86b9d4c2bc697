"""What the forecasts say about the state as it stands: one bundle that the whole guide reads.

It depends on the facts only, not on the hour: the same state gives the same outlook until a new fact
is filed. Times in it are of the clock, seconds since the epoch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.forecast.jug_law import USUAL_JUG, JugLaw
from pourday.forecast.mould_case import COARSE, ROUGH, Resolution
from pourday.forecast.pot import Guess, PotForecast
from pourday.forecast.pot_law import USUAL_POT, PotLaw
from pourday.forecast.remelt import Verdict
from pourday.forecast.spread import Quantiles
from pourday.guide.outlook.absence import last_gap
from pourday.guide.outlook.blend_parts import still_out, wax_added
from pourday.guide.outlook.cases import planned_kg
from pourday.guide.outlook.jug_readings import jug_laws
from pourday.guide.outlook.learned import learned_news
from pourday.guide.outlook.mould_heat import MouldHeatCache, PourTrials
from pourday.guide.outlook.moulds import MouldOutlook, imagined_pour, mould_outlooks
from pourday.guide.outlook.pot import pot_forecast, pot_stretches
from pourday.guide.outlook.wax_left import discarded, share_wanted, wax_left
from pourday.language import tr
from pourday.learning.factors import USUAL, Factors, Prior, posterior
from pourday.plan.jug_names import the_jug
from pourday.plan.on_scale import on_scale, whole
from pourday.plan.water import boiling_c
from pourday.plan.weigh import Jug, WeighSheet, sheet_of, waxes_of
from pourday.session.events import Part
from pourday.session.state import State
from pourday.units import show_length, show_mass, show_temperature
from pourday.wax.cure import cure_of
from pourday.wax.materials import NOBODY_KNOWS, Wax
from pourday.wax.unsure import FOUR_IN_FIVE, TABLE_KELVIN, kelvin_sd, moved

USUAL_FACTORS = posterior([]).factors
"""Before anything is known of a kitchen."""
WAX_NEWS_FOR = 600.0
"""Seconds for which it is said what the melt told of a wax that nobody knows. An estimate of ours."""
MEANWHILE = 60.0
"""s for which the last pot serves while moulds are computed only roughly. Chosen: no longer than any outlook serves (`AGE` of
the adviser)."""
TOLD_SOMETHING = 0.6
"""What an unknown wax says by how it melts counts only where it leaves at most this share of what was open about
where it sets (estimate)."""
READY_WITHIN = 2.0
"""K below the pour temperature that still counts: a jug loses more than a thermometer can tell. Estimate."""
STILL_READY = 600.0
"""Seconds for which a reading that was hot enough is taken to hold. Estimate."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """A state, its plan weighed out, and what is forecast of its pot and moulds."""

    wax: Wax
    """The blend of the plan as one wax."""
    sheet: WeighSheet
    """The plan weighed out exactly,"""
    paper: WeighSheet
    """and in whole steps of the scale, as a person reads it."""
    boiling_c: float
    """Where water boils at the altitude of the plan, and so the hottest its bath gets, °C."""
    pot: PotForecast | None
    """None before the day begins."""
    moulds: dict[str, MouldOutlook] = field(default_factory=dict)
    """By letter; see `mould`."""
    state: State = field(default_factory=State)
    trials: PourTrials = field(default_factory=PourTrials, compare=False)
    """Where a pour is tried before it is made."""
    learned: Factors = USUAL_FACTORS
    """How fast this kitchen cools, by what was seen today and by what earlier days taught,"""
    news: str = ""
    """and what the newest look taught of it, in a sentence; empty where that is not worth saying."""
    wax_moved: float = 0.0
    """K by which a wax that nobody knows melted and sets higher than it was taken to, by today's readings,"""
    moved_at: float = 0.0
    """and since when that is held, s since the epoch."""
    law: PotLaw = USUAL_POT
    """What earlier days say of the stove,"""
    jug_laws: Mapping[int, JugLaw] = field(default_factory=dict)
    """and what they and today's readings say of each jug, by layer; see `jug_law`."""

    def jug_law(self, layer: int) -> JugLaw:
        """How fast the jug of a layer warms and cools."""
        return self.jug_laws.get(layer, USUAL_JUG)

    # -- temperatures -------------------------------------------------------------------------------

    @property
    def pour_c(self) -> float:
        """°C of the hottest pour of the plan, which the pot has to serve; a cooler mould is told its own."""
        return max(pour.pour_c for mould in self.sheet.moulds for pour in mould.pours)

    @property
    def melt_c(self) -> float:
        """°C that the pot is heated to."""
        return self.sheet.melt_to_c

    @property
    def ceiling_c(self) -> float:
        """°C that the wax in the pot must never pass."""
        return self.sheet.ceiling_c

    @property
    def cure_days(self) -> tuple[int, int]:
        """Days from the mould after which a candle of this plan may be burnt to test, and after which it may be given."""
        plan = self.state.plan
        scented = any(layer.scent_load > 0 for layer in plan.layers)
        cure = cure_of(tuple(dict.fromkeys(waxes_of(plan, self.sheet.wax))), scented)
        return cure.test_from, cure.give_from

    # -- amounts ------------------------------------------------------------------------------------

    def colour(self, layer: int) -> str:
        """The colour's name, or the layer's number where it has none."""
        name = self.state.plan.layers[layer].colour if layer < len(self.state.plan.layers) else ""
        return name or tr("layer {layer}", layer=layer + 1)

    def jug_name(self, layer: int) -> str:
        """What the jug of a layer is called within a sentence: `the rust jug`."""
        return the_jug(self.state.plan, layer)

    def portion(self, letter: str, layer: int, part: Part) -> float:
        """Planned weight of one pour, kg; the first layer's is what the plug left of it."""
        return planned_kg(self.paper, letter, layer, part) or planned_kg(self.sheet, letter, layer, part)

    def jug(self, layer: int) -> Jug:
        """What goes into a layer's jug, in steps of the scale; dye, and scent that rounds to none, exactly.

        Where the person left a colour out of a mould, or more stands below it than its line takes, that much less. A colour that is wanted nowhere is as planned.
        """
        exact, shown = self.sheet.jug(layer), self.paper.jug(layer)
        share = share_wanted(self.state, layer)
        if share in (0.0, 1.0):
            return replace(shown, scent=shown.scent or exact.scent, dye=exact.dye)
        step = self.state.plan.scale_step
        wax, scent = whole(exact.wax * share, step), exact.scent * share
        return replace(shown, wax=wax, scent=whole(scent, step) or scent, dye=exact.dye * share)

    def level(self, letter: str, layer: int) -> float:
        """Where the hot wax of this layer stands, m below the rim."""
        return self.sheet.pour(letter, layer).below_rim

    def mass(self, kg: float | None) -> str:
        """A weight in the units and steps of the plan; `not weighed` for None."""
        if kg is None:
            return tr("not weighed")
        return show_mass(kg, self.state.plan.units, self.state.plan.scale_step)

    def length(self, metres: float) -> str:
        """To the millimetre, as a ruler shows it."""
        return show_length(round(metres, 3), self.state.plan.units)

    def degrees(self, celsius: float) -> str:
        """A temperature in the units of the plan: `80 °C`."""
        return show_temperature(celsius, self.state.plan.units)

    def degrees_between(self, low_c: float, high_c: float) -> str:
        """`40-50 °C`, `104-122 °F`."""
        return f"{self.degrees(low_c).split()[0]}-{self.degrees(high_c)}"

    # -- times --------------------------------------------------------------------------------------

    def mould(self, letter: str) -> MouldOutlook | None:
        """What is computed for a mould; None while it is empty or demoulded, or where it cannot be."""
        return self.moulds.get(letter)

    def foresee(self, letter: str, now: float, celsius: float) -> Verdict | None:
        """What the next pour into a mould would do, were it made now at `celsius`; None while that is not known."""
        forecast = self.mould(letter)
        if forecast is None:
            return None
        pour = imagined_pour(self.state, self.sheet, letter, forecast.at(now), celsius)
        return self.trials.verdict(letter, forecast.heat, pour) if pour else None

    def pot_reaches(self, celsius: float) -> Quantiles:
        """When the pot gets to `celsius`, from above or below.

        Where it more likely never does, the likely time is infinite; the early one still says how soon it might.
        """
        arrival = self.pot.reaches(celsius) if self.pot else None
        if arrival is None or arrival.spread is None:
            early = arrival.earliest if arrival else float("inf")
            return Quantiles(early, float("inf"), float("inf"))
        return arrival.spread

    def pot_ready(self, now: float) -> float:
        """When the pot is hot enough to draw a jug from, seconds since the epoch; infinite where it never will be as
        things stand.

        A fresh reading decides, else the forecast. After an absence only a reading made since then does.
        """
        if self.pot is None:
            return float("inf")
        last, gap = self.state.last_reading("pot"), last_gap(self.state)
        if gap is not None and gap.end is not None and (last is None or last.t < gap.end):
            return float("inf")  # Nobody has read it since they came back.
        added = max((t for t, _ in self.state.additions), default=float("-inf"))
        fresh = last is not None and last.t > added and now - last.t < STILL_READY
        if last is not None and fresh and last.celsius >= self.pour_c - READY_WITHIN:
            return last.t
        if self.warmer_than(self.pour_c - READY_WITHIN, now):
            return now
        return self.pot_reaches(self.pour_c - READY_WITHIN).likely

    def warmer_than(self, celsius: float, now: float) -> bool:
        """Whether the pot is, as likely as not, above a temperature now."""
        return self.pot is not None and self.pot.at(now)[1] >= celsius

    def hot_at(self, celsius: float, now: float) -> float | None:
        """When the pot, as it is heated now, gets to a temperature from below; None if it does not."""
        if self.warmer_than(celsius, now):
            return now
        likely = self.pot_reaches(celsius).likely
        return likely if likely < float("inf") else None

    def cool_at(self, celsius: float, now: float) -> float | None:
        """When the pot, left as it is, falls to a temperature; None if it does not."""
        if not self.warmer_than(celsius, now):
            return now
        likely = self.pot_reaches(celsius).likely
        return likely if likely < float("inf") else None


def look_ahead(
    state: State,
    now: float,
    cache: MouldHeatCache | None = None,
    grid: Resolution = COARSE,
    before: Outlook | None = None,
    prior: Prior = USUAL,
) -> Outlook:
    """The outlook for a state; `cache` has the heat of its moulds so far, `grid` is how finely more is computed.

    `before` is the last outlook of this session and plan: its pot serves for a minute while some mould is computed only
    roughly, and where it was asked for this very moment. `prior` is what earlier days say of this kitchen.

    Raises `Trouble` when the plan cannot be weighed out yet.
    """
    sheet = sheet_of(state.plan)
    paper, boiling = on_scale(sheet, state.plan.scale_step), boiling_c(state.plan.altitude)
    cache = cache or MouldHeatCache()
    pot, lot = None, Guess(0.0, kelvin_sd(sheet.wax))
    if state.fixed_plan is not None and sheet.wax.confidence in NOBODY_KNOWS:
        last = before.pot if before is not None else None
        pot = _serves_meanwhile(before, state, now) if grid == ROUGH else None
        if pot is None:
            bath = _in_the_bath(state, sheet)
            pot = pot_forecast(state, sheet.wax, bath, room_c(state), boiling, now, last, prior.law)
        lot = as_it_melted(pot)
    as_melted = replace(sheet, wax=moved(sheet.wax, lot.mean))
    known, until_now = cache.learned.of(state, as_melted, prior, only_known=grid == ROUGH, kelvin=lot.sd)
    moulds = mould_outlooks(state, as_melted, cache, grid, known)
    news = learned_news(known.factors, until_now.factors)
    held = before is not None and before.wax_moved == lot.mean
    moved_at = before.moved_at if before is not None and held else now
    if lot.mean and now - moved_at <= WAX_NEWS_FOR:
        news = " ".join(part for part in (_wax_news(state, sheet, lot), news) if part)
    if state.fixed_plan is not None and pot is None:
        rough = any(mould.heat.grid == ROUGH for mould in moulds.values())
        pot = _serves_meanwhile(before, state, now) if rough else None
        if pot is None:
            bath, last = _in_the_bath(state, sheet), before.pot if before is not None else None
            pot = pot_forecast(state, sheet.wax, bath, room_c(state), boiling, now, last, prior.law)
    return Outlook(
        sheet.wax,
        sheet,
        paper,
        boiling,
        pot,
        moulds,
        state,
        learned=known.factors,
        news=news,
        wax_moved=lot.mean,
        moved_at=moved_at,
        law=prior.law,
        jug_laws=jug_laws(state, prior.jugs, sheet.wax.pour_max_c),
    )


def _serves_meanwhile(before: Outlook | None, state: State, now: float) -> PotForecast | None:
    """The last pot, to be used while moulds are computed only roughly; None where the burner was turned since, or it is
    old.

    Why it may not be old: each rough outlook takes its pot from the one before, so while rough ones follow each other a
    pot over a lit burner would stay as hot as it was.
    """
    if before is None or before.pot is None or before.state.burner_spans != state.burner_spans:
        return None
    return before.pot if 0.0 <= now - before.pot.now <= MEANWHILE else None


def as_it_melted(pot: PotForecast) -> Guess:
    """K by which the pot's wax melts higher than its figures have it, to whole ones, and how surely; 0 while the readings
    tell little, or its figures are known."""
    usual, moved_by = kelvin_sd(pot.setup.wax), pot.wax_moved
    if pot.setup.wax.confidence not in NOBODY_KNOWS or moved_by.sd > TOLD_SOMETHING * usual:
        return Guess(0.0, usual)
    return Guess(float(round(moved_by.mean)), max(moved_by.sd, TABLE_KELVIN))


def _wax_news(state: State, sheet: WeighSheet, lot: Guess) -> str:
    """What the melt said of a wax that nobody knows."""
    sets, off = sheet.wax.congealing_c + lot.mean, FOUR_IN_FIVE * lot.sd
    low, high = (show_temperature(end, state.plan.units) for end in (sets - off, sets + off))
    return tr(
        "By how it melted, this wax sets between {low} and {high}: its windows moved.", low=low, high=high
    )


def try_look_ahead(
    state: State,
    now: float,
    cache: MouldHeatCache | None = None,
    grid: Resolution = COARSE,
    before: Outlook | None = None,
    prior: Prior = USUAL,
) -> tuple[Outlook | None, Trouble | None]:
    """(the outlook, None), or (None, what stands in its way); see `look_ahead`."""
    try:
        return look_ahead(state, now, cache, grid, before, prior), None
    except Trouble as trouble:
        return None, trouble


def pot_of_day(state: State, sheet: WeighSheet) -> list[PotForecast]:
    """The pot at the end of every stretch of a day as its readings had it, whatever was known before it."""
    kg, boiling = _in_the_bath(state, sheet), boiling_c(state.plan.altitude)
    return pot_stretches(state, sheet.wax, kg, room_c(state), boiling)


def room_c(state: State) -> float:
    """The room as last read, else as planned."""
    reading = state.last_reading("room")
    return reading.celsius if reading else state.plan.room_c


def _in_the_bath(state: State, sheet: WeighSheet) -> float:
    """kg of wax that hang in the bath, in pot and jugs together: all that is melted by now, less what was poured."""
    if discarded(state):
        inventory = wax_left(state)
        return max(0.05, inventory.pot + sum(inventory.jugs.values()))
    poured = sum(pour.kg_best for mould in state.moulds.values() for pour in (*mould.pours, *mould.emptied))
    out = still_out(state, sheet) if state.burner_spans else None
    added = sum(kg or 0.0 for _, kg in wax_added(state))
    return max(0.05, sheet.total + added - poured - (out.later_kg if out else 0.0))
