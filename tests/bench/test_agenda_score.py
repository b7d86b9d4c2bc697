"""Whole simulated days scored: how many pours fell into a window that the kitchen's own truth calls one.

The kitchen shares no code with the forecasts. A pour is in its window when the surface carried it (it was not
wet, and the new colour did not melt through a crust that was still soft) and the joint welded: the old wax
melted again on average at least 0.2 mm, and at the wall at all.

Why "at all" at the wall, and no depth: the kitchen's rows at a joint are half a millimetre high, and what it
gives as a depth there is the melted share of the first row. Computed with rows of 0.5, 0.25 and 0.1 mm the same
pour melts 0.046, 0.031 and 0.016 mm at the wall: the figure follows the row, not the wax, and no limit below
half a row can be read off it. Whether the wax there came above its solidus does not depend on the row. How many
pours would pass with 0.02 mm is told beside it.

Fixed waits from a table are scored by the same rule in the same kitchen, with heat that is always right, which
flatters them. The days of `WORKED_ON` were looked at while the guide was written; those of `HELD_BACK` only scored.

Print the figures with `pytest -m bench -s tests/bench/test_agenda_score.py`.
"""

from __future__ import annotations

import copy
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from pourday.demo.day import Day
from pourday.demo.player import Player
from pourday.demo.scenario import START, two_pillars
from pourday.guide.acts.leaving import leave
from pourday.kitchen import looks
from pourday.kitchen.kitchen import Kitchen
from pourday.kitchen.looks import crust
from pourday.kitchen.moulds import Filling, Seam
from pourday.kitchen.pot import Pot
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev

MELTED, DEEP_AT_WALL = 0.2e-3, 0.02e-3
"""m of old wax that has to melt again for a weld, on average; and, only reported, at the wall."""
FIXED_WAITS = (30, 60, 90)
"""Minutes between two layers, whatever their height and mould: 20-40 min for thin bands, 1-2 h between layers
(common practice, no source)."""
FULL_MOST, FULL_ON_AVERAGE = 24.0, 18.0
"""Minutes of a full flame in an hour, by its heat, that a day may take, and that days may take on average.

24 was the limit on lit minutes while a flame was full or out: a low one may give no more heat than that. 18 is what holding costs
all day long: a bath at 85 °C of this kitchen loses some 80 W at its walls (1.2 W/K), 80 W as vapour (150 cm² of water, see
kitchen/pot.py) and 20 W at its wax, a quarter of the 750 W of a usual flame, 15 min an hour; melting a kilogram over 1.5 l
of water takes another 20 min once, 3 min an hour of a day of six. A low flame that boils its bath takes half as much again, and
fails both."""
COLOURS = ("rust", "cream", "moss", "navy", "plum", "sand")
TRIED = 300.0
"""s between the moments at which a missed pour is tried again, to find whether it had a window at all."""
Span = tuple[float, float]


def plan_of(moulds: int, layers: int, seed: int) -> Plan:
    """A day with that many moulds of mixed size and stuff, and that many even layers."""
    draw = random.Random(seed)
    chosen = []
    for _ in range(moulds):
        material = draw.choice(("bright metal", "bright metal", "plastic", "silicone"))
        shape = Cylinder(
            diameter=draw.choice((0.05, 0.065, 0.075, 0.085)), height=draw.choice((0.10, 0.12, 0.15))
        )
        limit = 85.0 if material == "plastic" else None
        chosen.append(Mould(shape=shape, material=material, limit_c=limit))
    return Plan(
        title=f"{moulds} moulds, {layers} layers",
        room_c=draw.choice((18.0, 20.0, 22.0, 24.0)),
        moulds=tuple(chosen),
        layers=tuple(Layer(colour=c, scent_load=0.03, dye_load=0.0005) for c in COLOURS[:layers]),
        blend=(BlendPart(wax="paraffin_pillar"),),
    )


@dataclass
class Made:
    """One pour onto another colour, with what the kitchen said before it."""

    letter: str
    layer: int
    at: float
    look: str
    crust: float
    before: Filling
    """The mould as the pour before left it."""
    since: float
    kg: float
    enthalpy: float
    """J/kg of the wax as planned, landing."""


@dataclass(frozen=True)
class Absence:
    left: float
    back: float
    said: float | None
    """When the guide said, as the person left, they had to be back; None where nothing was lost."""


@dataclass
class Score:
    plan: str
    good: int = 0
    pours: int = 0
    deep: int = 0
    """Of the good ones, those that melted deep at the wall as well."""
    windowless: int = 0
    """Pours that no moment would have made good at the planned temperature; not counted."""
    lit: float = 0.0
    """min with a flame, however low,"""
    full: float = 0.0
    """and as many min of a full flame as gave the same heat"""
    heat_kj: float = 0.0
    """that the burner gave to the bath."""
    hours: float = 0.0
    prompts: int = 0
    readings: int = 0
    alarms: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)
    absences: list[Absence] = field(default_factory=list)
    closed_as_said: int = 0
    """Missed, because the window closed while the person was away longer than the guide said they could be."""
    closed_unsaid: int = 0
    """Missed, because the window closed during an absence that the guide had called harmless."""

    @property
    def alarms_a_day(self) -> float:
        """In eight hours."""
        return self.alarms.total() * 8 / max(8.0, self.hours)

    @property
    def missed_though_there(self) -> int:
        return self.pours - self.good - self.closed_as_said - self.closed_unsaid


def watched(kitchen: Kitchen) -> list[Made]:
    """Every pour onto another colour from now on, as the kitchen sees the surface before it."""
    made: list[Made] = []
    pour, seen, left = kitchen.pour, set[tuple[str, int]](), dict[str, tuple[float, Filling]]()
    sheet = weigh_sheet(kitchen.plan)

    def and_noted(letter: str, kg: float, from_jug: int | None, layer: int | None = None) -> float:
        becomes = layer if layer is not None else (from_jug or 0)
        filling = kitchen._filling(letter)
        if becomes > 0 and (letter, becomes) not in seen:
            seen.add((letter, becomes))
            since, before = left[letter]
            heat = float(kitchen.lot.enthalpy_at(sheet.pour(letter, becomes).pour_c - 1.0))
            look = kitchen.look(letter), crust(filling)
            made.append(Made(letter, becomes, kitchen.now, *look, before, since, kg, heat))
        landed = pour(letter, kg, from_jug, layer)
        left[letter] = kitchen.now, copy.deepcopy(filling)
        return landed

    kitchen.pour = and_noted  # type: ignore[method-assign]
    return made


# -- the one rule --------------------------------------------------------------------------------------


def welds(seam: Seam, look: str, crust_m: float) -> bool:
    carried = look != "wet" and not (look == "skinned" and seam.mean > crust_m)
    return carried and look != "pulled" and seam.mean >= MELTED and seam.edge > 0


def window_of(kitchen: Kitchen, pour: Made, *, whole: bool = True) -> Span | None:
    """From when until when the planned pour would have been good, tried every five minutes; None: never.

    Without `whole` only its first moment is looked for, which is cheaper.
    """
    standing, t, good = copy.deepcopy(pour.before), pour.since, list[float]()
    for _ in range(48):
        standing.advance(t, t + TRIED, kitchen.room_at)
        t += TRIED
        look = looks.look(standing, kitchen.room_at(t))
        if look in ("wet", "pulled"):
            continue
        tried = copy.deepcopy(standing)
        tried.pour(pour.layer, pour.kg, pour.enthalpy, kitchen.room_at(t), t)
        tried.advance(t, t + 1800.0, kitchen.room_at)
        seam = tried.seam(pour.layer)
        if seam is not None and welds(seam, look, crust(standing)):
            good.append(t)
        if good and (not whole or good[-1] < t):
            break
    return (good[0], good[-1]) if good else None


def burned(pot: Pot) -> list[float]:
    """J that the burner gives to the bath in each step from now on."""
    given = list[float]()
    from_hob = pot._from_hob

    def and_noted(seconds: float) -> float:
        watts = from_hob(seconds)
        given.append(watts * seconds)
        return watts

    pot._from_hob = and_noted  # type: ignore[method-assign]
    return given


def judged(score: Score, kitchen: Kitchen, made: list[Made], *, whole: bool = True) -> Score:
    for pour in made:
        seam = kitchen.seam(pour.letter, pour.layer)
        good = welds(seam, pour.look, pour.crust)
        window = None if good else window_of(kitchen, pour, whole=whole)
        if not good and window is None:
            score.windowless += 1
            continue
        score.pours += 1
        score.good += good
        score.deep += good and seam.edge >= DEEP_AT_WALL
        if window is not None:
            where = f"{pour.letter}{pour.layer + 1} {pour.look}"
            late = f"{(pour.at - window[1]) / 60:+.0f} min"
            score.missed.append(f"{where}, melted {seam.mean * 1e3:.1f} mm, {late}")
            _away_meanwhile(score, window)
    return score


def _away_meanwhile(score: Score, window: Span) -> None:
    """A window that closed while nobody was there, or within the five minutes after that it takes to come back."""
    over = [a for a in score.absences if a.left <= window[1] <= a.back + TRIED]
    if any(a.said is not None and a.said < a.back for a in over):
        score.closed_as_said += 1
    elif over:
        score.closed_unsaid += 1


# -- days ----------------------------------------------------------------------------------------------


class Interrupted(Day):
    """A day on which the person is now and then called away for minutes to hours, the burner off, and says so."""

    def __init__(self, folder: Path, seed: int, plan: Plan) -> None:
        super().__init__(folder, lambda _: None, seed=seed, plan=plan)
        self.absences: list[Absence] = []
        self._draw = random.Random(seed + 1)

    def step(self) -> bool:
        advice = self.advise()
        calls = advice.now is not None and advice.now.act.word != "WAIT" and self.live.state.stage == "pour"
        if not calls or self.live.state.burner != "off" or self._draw.random() >= 0.05:
            return super().step()
        assert advice.outlook is not None
        left, back = self.now, self.now + self._draw.uniform(600.0, 7200.0)
        self.absences.append(Absence(left, back, leave(advice.outlook, advice.acts, left).back_by))
        self.file(ev.WentAway(back_by=ev.moment(back)))
        self._until(back)
        self.advise()
        self.file(ev.CameBack())
        return True


def guided(folder: Path, plan: Plan, seed: int, called_away: bool = False) -> Score:
    """The day of a person who does within two minutes what the guide says first."""
    folder.mkdir(parents=True, exist_ok=True)
    day = (
        Interrupted(folder, seed, plan) if called_away else Day(folder, lambda _: None, seed=seed, plan=plan)
    )
    day.player = Player(day.kitchen, seed, quick=15.0, slow=110.0)
    made, given = watched(day.kitchen), burned(day.kitchen.pot)
    day.play()
    state = day.live.state
    last = max(m.pours[-1].t for m in state.moulds.values() if m.pours)
    score = Score(plan.title, lit=sum((s.end or s.start) - s.start for s in state.burner_spans) / 60)
    score.heat_kj = sum(given) / 1000
    score.full = sum(given) / day.kitchen.pot.truth.power / 60
    score.hours = (last - day.start) / 3600
    score.absences = day.absences if isinstance(day, Interrupted) else []
    facts = [entry.fact for entry in day.live.entries]
    score.prompts = sum(isinstance(f, ev.Told) and not f.word.startswith("WAIT") for f in facts)
    score.readings = sum(isinstance(f, ev.Reading) for f in facts)
    score.alarms = Counter(f.alarm for f in facts if isinstance(f, ev.AlarmRaised))
    return judged(score, day.kitchen, made)


def by_the_table(plan: Plan, seed: int, wait: float, away: Sequence[Absence] = ()) -> Score:
    """The same day, and the same absences, with a fixed wait between layers and wax that lands as hot as planned."""
    kitchen, sheet, draw = Kitchen(plan, seed, START), weigh_sheet(plan), random.Random(seed)
    made, t, before = [], START, START
    for layer in range(len(plan.layers)):
        t += draw.uniform(15.0, 110.0) + (wait * 60 if layer else 0.0)
        t = max([t, *(a.back for a in away if a.left <= t < a.back)])
        left = {x.letter: copy.deepcopy(kitchen._filling(x.letter)) for x in sheet.moulds}
        kitchen.advance(t)
        for mould in sheet.moulds:
            pour, filling = mould.pours[layer], kitchen._filling(mould.letter)
            heat = float(kitchen.lot.enthalpy_at(pour.pour_c - 1.0))
            if layer:
                seen = kitchen.look(mould.letter), crust(filling)
                made.append(Made(mould.letter, layer, t, *seen, left[mould.letter], before, pour.kg, heat))
            filling.pour(layer, pour.kg, heat, kitchen.room_at(t), t)
        before = t
    kitchen.advance(t + 4 * 3600)
    return judged(Score(plan.title), kitchen, made, whole=False)


Days = Sequence[tuple[Plan, int]]


def share(scores: Sequence[Score]) -> float:
    return sum(s.good for s in scores) / max(1, sum(s.pours for s in scores))


def deep_share(scores: Sequence[Score]) -> float:
    return sum(s.deep for s in scores) / max(1, sum(s.pours for s in scores))


def tables(days: Days, scores: Sequence[Score]) -> dict[int, list[Score]]:
    return {
        wait: [by_the_table(p, seed, wait, s.absences) for (p, seed), s in zip(days, scores, strict=True)]
        for wait in FIXED_WAITS
    }


def lines(scores: Sequence[Score], by_table: dict[int, list[Score]]) -> Iterator[str]:
    for s in scores:
        away = f", away {len(s.absences)} times" if s.absences else ""
        yield (
            f"{s.plan:24} in window {s.good}/{s.pours} ({s.deep} deep at the wall, {s.windowless} had none), "
            f"{s.hours:.1f} h to the last top-up, lit {s.lit:.0f} min ({s.full:.0f} of a full flame, {s.heat_kj:.0f} kJ), {s.prompts} prompts, {s.readings} readings, "
            f"alarms {dict(s.alarms)}{away} {'; '.join(s.missed)}"
        )
    pours, hours = sum(s.pours for s in scores), sum(s.hours for s in scores)
    yield (
        f"guide: {share(scores):.1%} of {pours} pours inside their window ({deep_share(scores):.1%} deep at the wall "
        f"too; {sum(s.windowless for s in scores)} more had none), lit {sum(s.lit for s in scores) / hours:.1f} min an "
        f"hour, of a full flame {sum(s.full for s in scores) / hours:.1f}, alarms in eight hours {sum(s.alarms.total() for s in scores) * 8 / hours:.1f} on average, "
        f"{max(s.alarms_a_day for s in scores):.1f} at most"
    )
    if any(s.absences for s in scores):
        yield (
            f"missed: {sum(s.closed_as_said for s in scores)} closed while away as the guide had said, "
            f"{sum(s.closed_unsaid for s in scores)} while away though it had said nothing, "
            f"{sum(s.missed_though_there for s in scores)} though the person was there"
        )
    for wait, found in by_table.items():
        yield (
            f"{wait} min from a table: {share(found):.1%} ({deep_share(found):.1%} deep at the wall too; "
            f"{sum(s.windowless for s in found)} had none)"
        )


def score_all(folder: Path, days: Days, called_away: bool = False) -> list[Score]:
    return [guided(folder / f"{i}", plan, seed, called_away) for i, (plan, seed) in enumerate(days)]


def days_of(*sizes: tuple[int, int, int]) -> list[tuple[Plan, int]]:
    return [(plan_of(n, k, seed), seed) for n, k, seed in sizes]


SMALL = [(two_pillars(), 1), *days_of((1, 3, 1), (2, 3, 7))]
WORKED_ON = days_of(
    (1, 6, 16), (2, 4, 24), (2, 6, 26), (3, 3, 33), (3, 6, 36), (4, 2, 42),
    (4, 5, 45), (5, 3, 53), (5, 4, 54), (6, 2, 62), (6, 3, 63), (6, 4, 64),
)  # fmt: skip
HELD_BACK = days_of(
    (1, 3, 913), (1, 5, 915), (2, 3, 923), (2, 5, 925), (3, 2, 932), (3, 4, 934), (3, 5, 935), (4, 3, 943),
    (4, 4, 944), (4, 6, 946), (5, 2, 952), (5, 5, 955), (6, 3, 963), (6, 5, 965), (6, 6, 966),
)  # fmt: skip
WITH_ABSENCES = days_of((1, 4, 914), (2, 4, 924), (3, 3, 933), (5, 3, 953), (6, 2, 962))


def held(scores: Sequence[Score]) -> None:
    assert share(scores) >= 0.95
    assert all(s.alarms_a_day <= 6 for s in scores)
    assert all(not {"watch", "water", "silent", "away"} & set(s.alarms) for s in scores)
    assert all(s.full < FULL_MOST * s.hours for s in scores)
    assert sum(s.full for s in scores) < FULL_ON_AVERAGE * sum(s.hours for s in scores)
    assert sum(s.windowless for s in scores) <= 0.05 * sum(s.pours for s in scores)


@pytest.mark.slow
def test_a_person_who_follows_pours_inside_the_windows_hears_few_alarms_and_burns_little(
    tmp_path: Path,
) -> None:
    held(score_all(tmp_path, SMALL))


SETS = {"worked on": WORKED_ON, "held back": HELD_BACK}


@pytest.fixture(scope="module")
def scored(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Score]]:
    """Every day of both sets, told as it is done: they take minutes."""
    found: dict[str, list[Score]] = {}
    for name, days in SETS.items():
        print(f"\n{name}:")
        found[name] = []
        for plan, seed in days:
            found[name].append(guided(tmp_path_factory.mktemp("day") / "d", plan, seed))
            print(next(lines(found[name][-1:], {})), flush=True)
    return found


@pytest.mark.bench
def test_days_of_one_to_six_moulds_and_layers(scored: dict[str, list[Score]]) -> None:
    for name, scores in scored.items():
        print(f"{name}, {list(lines(scores, {}))[-1]}")
    held([s for scores in scored.values() for s in scores])


@pytest.mark.bench
def test_fixed_waits_from_a_table_do_worse(scored: dict[str, list[Score]]) -> None:
    for name, days in SETS.items():
        by_table = tables(days, scored[name])
        print("", *list(lines(scored[name], by_table))[len(days) :], sep="\n")
        assert share(scored[name]) > max(share(found) for found in by_table.values())


@pytest.mark.bench
def test_days_with_a_person_who_is_away_for_minutes_to_hours(tmp_path: Path) -> None:
    """A window that closed while nobody was there, as the guide had said it would, cannot be held to it."""
    scores = score_all(tmp_path, WITH_ABSENCES, called_away=True)
    by_table = tables(WITH_ABSENCES, scores)
    print("", *lines(scores, by_table), sep="\n")
    in_reach = sum(s.pours - s.closed_as_said for s in scores)
    assert sum(s.good for s in scores) / in_reach >= 0.9
    assert share(scores) > max(share(found) for found in by_table.values())
    assert all(s.alarms_a_day <= 6 for s in scores)
