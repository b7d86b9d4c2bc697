"""The pot forecast where little is known, scored on the simulated kitchen by kind, through the record.

One early reading and no other; a program that was killed and resumed; "lit" taken back and said again; long
without a reading; a reading just after lighting; a small jug on the bench; 50-300 g in the bath; a pot of 3-6 kg.
Pots hold 0.3-6 kg otherwise. What is scored: whether the true time to a target lies between early and late, and
the true temperature now, in five and in fifteen minutes between its low and its high. Nothing the kitchen hides
is told to the forecast; the record is filed as the program files it, and folded.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest

from pourday.forecast.pot import PotForecast, PotSetup, forecast
from pourday.guide.outlook.pot import pot_forecast
from pourday.kitchen.kitchen import Kitchen
from pourday.kitchen.pot import Pot
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.events import By, Entry, Fact
from pourday.session.fold import fold
from pourday.wax.materials import family

WAXES = ("paraffin_pillar", "paraffin_low", "soy_pillar", "beeswax", "stearic_commercial", "palm")
LEVELS = (1.0, 1.0, 0.7, 0.5)
"""Where the knob stands; nobody files that."""
STEP = 20.0
AHEAD = (0.0, 300.0, 900.0)
"""s from now at which the temperature is scored."""


class Tale:
    """A kitchen and its record side by side, from a burner that was never lit; times in s."""

    def __init__(self, rng: np.random.Generator, least_kg: float, most_kg: float) -> None:
        self.rng = rng
        self.wax = family(WAXES[rng.integers(len(WAXES))])
        self.kg = float(np.exp(rng.uniform(math.log(least_kg), math.log(most_kg))))
        self.room_c = float(rng.uniform(16.0, 27.0))
        self.altitude = float(rng.choice([0.0, 0.0, 500.0, 1500.0]))
        self.level = float(rng.choice(LEVELS))
        self.noise = float(rng.uniform(0.3, 0.5))
        self.pot = Pot(self.wax, self.kg, float(rng.uniform(1.0, 3.0)), rng, self.room_c, self.altitude)
        self.now = self.lifted_at = 0.0
        self.entries: list[Entry] = []
        self.truth = [(0.0, self.pot.wax_c)]
        self.file(ev.Opened(session="tale", program="0"))
        self.file(ev.PlanFixed(plan=Plan(room_c=self.room_c, altitude=self.altitude)))

    def file(self, fact: Fact, by: By = "person") -> None:
        when = ev.moment(self.now)
        self.entries.append(Entry(seq=len(self.entries) + 1, at=when, logged_at=when, by=by, fact=fact))

    def burner(self, on: bool) -> None:
        self.pot.burner(on, self.level)
        self.file(ev.BurnerSet(state="on" if on else "off"))

    def wait(self, least: float, most: float | None = None) -> float:
        seconds = least if most is None else float(self.rng.uniform(least, most))
        steps = max(1, math.ceil(seconds / STEP))
        for _ in range(steps):
            self.pot.advance(seconds / steps)
            self.now += seconds / steps
            self.truth.append((self.now, self.pot.wax_c))
        return seconds

    def melt(self, least_c: float, most_c: float) -> None:
        celsius, until = float(self.rng.uniform(least_c, most_c)), self.now + 7200.0
        self.burner(True)
        while self.pot.wax_c < celsius and self.now < until:
            self.wait(STEP)

    def read(self, times: int = 1, least: float = 0.0, most: float = 0.0) -> None:
        for _ in range(times):
            self.wait(least, most) if most else None
            felt = self.pot.felt(self.pot.pan) + self.noise * float(self.rng.standard_normal())
            self.file(ev.Reading(place="pot", celsius=round(felt, 1)))

    def view(self) -> PotForecast:
        limit = self.pot.boiling_c
        if self.pot.pan.in_bath:
            return pot_forecast(fold(self.entries), self.wax, self.kg, self.room_c, limit, self.now)
        setup = PotSetup(
            wax=self.wax,
            kg=self.kg,
            room_c=self.room_c,
            bath_limit_c=limit,
            mode="in air",
            mode_since=self.lifted_at,
        )
        readings = [(e.t, e.fact.celsius) for e in self.entries if isinstance(e.fact, ev.Reading)]
        return forecast(setup, readings, self.now)


def one_early(tale: Tale) -> None:
    tale.wait(0.0, 120.0)
    tale.burner(True)
    tale.read(1, 30.0, 600.0)
    tale.wait(0.0, 900.0)


def long_unread(tale: Tale) -> None:
    tale.burner(True)
    tale.read(int(tale.rng.integers(2, 5)), 120.0, 400.0)
    tale.wait(600.0, 1500.0)


def resumed(tale: Tale) -> None:
    tale.burner(True)
    tale.read(int(tale.rng.integers(1, 4)), 120.0, 500.0)
    tale.wait(5.0, 100.0)
    away = tale.wait(30.0, 900.0)
    tale.file(ev.Reopened(program="0", away=away), by="program")
    tale.wait(5.0, 60.0)
    if tale.rng.random() < 0.8:
        tale.file(ev.BurnerSet(state="on"))
    tale.wait(0.0, 300.0)


def lit_by_mistake(tale: Tale) -> None:
    """Said to be lit while it was not yet, taken back, then really lit."""
    tale.file(ev.BurnerSet(state="on"))
    said = tale.entries[-1].seq
    tale.wait(60.0, 400.0)
    tale.file(ev.Undone(entry=said))
    tale.wait(10.0, 120.0)
    resumed(tale)


def just_lit(tale: Tale) -> None:
    """Never read before."""
    tale.melt(72.0, 90.0)
    tale.burner(False)
    tale.wait(300.0, 2400.0)
    tale.burner(True)
    tale.read(1, 5.0, 60.0)


def small_jug_out(tale: Tale) -> None:
    tale.melt(75.0, 90.0)
    tale.pot.lift(True)
    tale.lifted_at = tale.now
    tale.read(int(tale.rng.integers(1, 4)), 20.0, 120.0)


def small_pot(tale: Tale) -> None:
    tale.burner(True)
    tale.read(int(tale.rng.integers(1, 6)), 60.0, 300.0)
    if tale.rng.random() < 0.5:
        tale.melt(72.0, 88.0)
        tale.read()
        tale.burner(False)
        tale.read(int(tale.rng.integers(0, 4)), 60.0, 300.0)


def big_pot(tale: Tale) -> None:
    tale.burner(True)
    tale.read(int(tale.rng.integers(1, 6)), 60.0, 500.0)


KINDS: dict[str, tuple[Callable[[Tale], None], float, float]] = {
    "one early": (one_early, 0.3, 6.0),
    "long unread": (long_unread, 0.3, 6.0),
    "resumed": (resumed, 0.3, 6.0),
    "lit by mistake": (lit_by_mistake, 0.3, 6.0),
    "just lit": (just_lit, 0.3, 6.0),
    "small jug out": (small_jug_out, 0.05, 0.3),
    "small pot": (small_pot, 0.05, 0.3),
    "big pot": (big_pot, 3.0, 6.0),
}
"""How the tale goes, and between how many kg."""


@dataclass(frozen=True)
class Score:
    kind: str
    inside: bool
    error: float
    """(likely - true) / (true - now); nan where no time was given."""
    held: tuple[bool, ...]
    """Whether the temperature lay inside, for each of `AHEAD`."""


def score(number: int) -> Score:
    """Tales in which the target lies behind, or beyond hours, are told again."""
    kind = list(KINDS)[number % len(KINDS)]
    rng = np.random.default_rng([number, 77])
    while True:
        tell, least_kg, most_kg = KINDS[kind]
        tale = Tale(rng, least_kg, most_kg)
        tell(tale)
        now, view, begun = tale.now, tale.view(), len(tale.truth) - 1
        rising = tale.pot.burner_on and tale.pot.pan.in_bath
        tale.wait(9000.0)
        times, wax = np.array(tale.truth[begun:]).T
        lowest = max(52.0, tale.wax.solidus_c)
        low, high = (68.0, 86.0) if rising else (lowest, max(float(wax[0]) - 3.0, lowest + 1.0))
        target = float(rng.uniform(low, high))
        above = wax - target if rising else target - wax
        hits = np.flatnonzero((above[:-1] < 0) & (above[1:] >= 0))
        if above[0] >= 0 or not len(hits):
            continue
        i = int(hits[0])
        true_at = float(np.interp(0.0, above[i : i + 2], times[i : i + 2]))
        if true_at - now >= 60.0:
            break
    spread = (view.reaches(target) if rising else view.leaves(target, 150.0)).spread
    bands = [(view.at(now + s), float(np.interp(now + s, times, wax))) for s in AHEAD]
    return Score(
        kind,
        spread is not None and spread.early <= true_at <= spread.late,
        math.nan if spread is None else (spread.likely - true_at) / (true_at - now),
        tuple(low <= true <= high for (low, _, high), true in bands),
    )


def test_where_little_is_known_the_truth_still_lies_inside_about_eight_times_in_ten() -> None:
    """Sixty-four tales, eight of each kind: the binomial scatter of 80 % is 5 points."""
    scores = [score(n) for n in range(8 * len(KINDS))]
    assert 0.70 <= np.mean([s.inside for s in scores]) <= 0.95
    assert np.mean([s.held[0] for s in scores]) >= 0.70
    for kind in KINDS:
        assert sum(s.inside for s in scores if s.kind == kind) >= 4


@pytest.mark.slow
@pytest.mark.bench
def test_intervals_by_kind_where_little_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    """Over 960 tales 72-88 % of the times lie inside. By kind (120 each, scatter 4 points) as many at least;
    up to 95 % where little is known: too wide sends somebody to the thermometer, too narrow to the wrong act."""
    scores = [score(n) for n in range(120 * len(KINDS))]
    with capsys.disabled():
        print(
            f"\n{'':16}{'cases':>6}{'inside':>8}{'|err|':>7}{'bias':>7}{'now':>7}{'+5 min':>8}{'+15 min':>8}"
        )
        for kind in (*KINDS, "all"):
            some = [s for s in scores if kind in (s.kind, "all")]
            errors = [s.error for s in some]
            held = np.mean([s.held for s in some], axis=0)
            print(
                f"{kind:16}{len(some):6}{np.mean([s.inside for s in some]):8.2f}"
                f"{np.nanmedian(np.abs(errors)):7.2f}{np.nanmedian(errors):+7.2f}"
                f"{held[0]:7.2f}{held[1]:8.2f}{held[2]:8.2f}"
            )
    assert 0.72 <= np.mean([s.inside for s in scores]) <= 0.88
    for kind in KINDS:
        some = [s for s in scores if s.kind == kind]
        assert 0.72 <= np.mean([s.inside for s in some]) <= 0.95
        assert np.mean([s.held for s in some]) >= 0.65


# -- jugs of different weight in one bath -------------------------------------------------------------


def warm_again(shares: tuple[float, ...], seed: int) -> tuple[float, float, tuple[float, float, float]]:
    """Jugs that cooled in their bath, lit again: s until the fullest and until the smallest is at 80 °C, and what
    was told of it: early, likely, late."""
    rng = np.random.default_rng(seed)
    mould = Mould(shape=Cylinder(diameter=float(rng.uniform(0.06, 0.09)), height=0.15))
    plan = Plan(
        room_c=float(rng.uniform(17.0, 25.0)),
        moulds=(mould,) * int(rng.integers(1, 4)),
        layers=tuple(Layer(colour=f"{i}", share=share) for i, share in enumerate(shares)),
        blend=(BlendPart(wax="paraffin_pillar"),),
    )
    sheet, kitchen, entries = weigh_sheet(plan), Kitchen(plan, seed, 0.0), list[Entry]()

    def file(fact: Fact) -> None:
        when = ev.moment(kitchen.now)
        entries.append(Entry(seq=len(entries) + 1, at=when, logged_at=when, by="person", fact=fact))

    def burner(on: bool) -> None:
        kitchen.burner(on)
        file(ev.BurnerSet(state="on" if on else "off"))

    file(ev.Opened(session="tale", program="0"))
    file(ev.PlanFixed(plan=plan))
    kitchen.add_wax(sheet.total)
    burner(True)
    while kitchen.true("pot") < 84.0:
        kitchen.advance(kitchen.now + float(rng.uniform(240.0, 420.0)))
        file(ev.Reading(place="pot", celsius=kitchen.read("pot")))
    burner(False)
    for layer in range(len(shares)):
        kg = min(kitchen.wax_kg, sheet.jug(layer).total)
        kitchen.draw_jug(layer, kg)
        file(ev.JugMade(layer=layer, kg=kg))
        kitchen.advance(kitchen.now + 300.0)
    kitchen.advance(kitchen.now + float(rng.uniform(1800.0, 4800.0)))
    kitchen.read("jug", 0)
    kitchen.advance(kitchen.now + 20.0)
    file(ev.Reading(place="jug", celsius=kitchen.read("jug", 0)))
    burner(True)
    lit = kitchen.now
    view = pot_forecast(fold(entries), sheet.wax, sheet.total, plan.room_c, kitchen.pot.boiling_c, lit)
    spread = view.reaches(80.0).spread
    assert spread is not None
    hot: dict[int, float] = {}
    while len(hot) < len(shares):
        kitchen.advance(kitchen.now + 15.0)
        hot |= {
            j: kitchen.now - lit
            for j in range(len(shares))
            if j not in hot and kitchen.true("jug", j) >= 80.0
        }
    by_weight = sorted(range(len(shares)), key=kitchen.jug_kg)
    told = (spread.early - lit, spread.likely - lit, spread.late - lit)
    return hot[by_weight[-1]], hot[by_weight[0]], told


@pytest.mark.bench
@pytest.mark.parametrize("shares", [(0.55, 0.45), (0.8, 0.2), (0.7, 0.2, 0.1), (0.25, 0.25, 0.25, 0.25)])
def test_the_fullest_jug_is_hot_when_told_and_the_smallest_not_long_before(
    shares: tuple[float, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    found = [warm_again(shares, seed) for seed in range(12)]
    full = float(np.median([told[1] / last - 1.0 for last, _, told in found]))
    small = float(np.median([told[1] / first - 1.0 for _, first, told in found]))
    inside = np.mean([told[0] <= last <= told[2] for last, _, told in found])
    with capsys.disabled():
        print(f"\njugs {shares}: fullest {full:+.2f}, smallest {small:+.2f}, fullest inside {inside:.2f}")
    assert abs(full) <= 0.08
    assert -0.08 <= small <= 0.15
    assert inside >= 0.7
