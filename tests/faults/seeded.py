"""Days in the simulated kitchen in each of which one thing was wrong, written down as a maker would, with gaps.

The truth of a case is the kitchen's own: the same day is run twice, by the same clock, once with the thing that is wrong and once
without it; a flaw that only the first candle has came from that. Whoever weighs the causes sees only what was written down.
Even seeds were looked at while the tables were made, odd ones were held back.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from msgspec.structs import replace

from pourday.faults.record import CandleRecord, EarlierDay
from pourday.kitchen import mishaps
from pourday.kitchen.burning import BurningNow, BurningWax, SimulatedCandle, SimulatedWick
from pourday.kitchen.flaws import CandleWatch, burn_flaws, oily
from pourday.kitchen.kitchen import Kitchen
from pourday.kitchen.looks import Look
from pourday.kitchen.truth import near
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.volumes import fill_height
from pourday.plan.weigh import weigh_sheet
from pourday.plan.wick import PLIES, wicks_of
from pourday.session import events as ev
from pourday.wax.materials import family
from tests.burn.simulated import LADDER, fault
from tests.faults.days import DAY, START, WrittenDay

MINUTE, HOUR = 60.0, 3600.0
WRONG = {
    "poured cold": "poured cool",
    "poured late": "poured late",
    "draughty room": "draught",
    "cold mould": "cold mould",
    "thermometer off": "thermometer",
    "topped up early": "topped early",
    "topped up little": "topped little",
    "overfilled": "overfilled",
    "wet wax": "water",
    "overloaded scent": "scent over",
    "another lot": "lot",
    "wick too small": "wick small",
    "wick too large": "wick large",
}
"""What was wrong, and the cause by which the table knows it."""
NAMES = {
    "parts": "join split", "smears": "smeared join", "hollow": "hollow", "sunk": "sunk base", "collar": "collar", "rings": "rings",
    "crazed": "web cracks", "oily": "greasy skin", "tunnels": "tunnelling", "drowns": "drowning wick", "knob": "mushrooming",
    "soots": "sooting", "tall": "tall flame", "breaks out": "wall breach", "spits": "spitting",
}  # fmt: skip
"""What the kitchen's flaws are called by the trade."""


@dataclass(frozen=True)
class Seeded:
    """One candle with a fault, what was wrong, and what was written down."""

    seed: int
    wrong: str
    fault: str
    day: WrittenDay
    earlier: tuple[EarlierDay, ...]

    @property
    def cause(self) -> str:
        return WRONG[self.wrong]

    @property
    def record(self) -> CandleRecord:
        return self.day.record(earlier=self.earlier)


@dataclass
class Person:
    """What one maker does and writes down; chances of each thing being told."""

    dice: random.Random
    lip: float = 0.8
    looks: float = 0.8
    rooms: float = 0.7
    bath: float = 0.45
    wall: float = 0.4
    weighs: float = 0.9
    holes: float = 0.85
    lot: float = 0.75
    plies: float = 0.75
    surface: float = 0.4
    measures: float = 0.85

    def tells(self, chance: float) -> bool:
        return self.dice.random() < chance


@dataclass
class Clock:
    """When things were done on the day without the fault, s: the other day goes by the same clock."""

    waits: list[float] = field(default_factory=list)
    tops: list[float] = field(default_factory=list)


def case(seed: int) -> Seeded | None:
    """The case of a seed; None where what was wrong made nothing that can be seen."""
    dice = random.Random(seed * 104_729 + 7)
    wrong = list(WRONG)[seed // 2 % len(WRONG)]
    plan = _plan(dice, wrong)
    if wrong in ("wet wax", "overloaded scent", "wick too small", "wick too large") or (
        wrong == "another lot" and dice.random() < 0.4
    ):
        return _burned(seed, dice, wrong, plan)
    clock, size = Clock(), dice.uniform(0.6, 1.3)
    clean, _ = _poured(seed, plan, "", size, clock, None)
    person = Person(random.Random(seed * 31 + 5))
    flawed, day = _poured(seed, plan, wrong, size, clock, person)
    new = {name: worse for name, worse in flawed.items() if name not in clean}
    if not new or day is None:
        return None
    name = random.Random(seed).choice(sorted(new))
    return Seeded(seed, wrong, NAMES[name], day, _before(person, plan, wrong))


def _plan(dice: random.Random, wrong: str) -> Plan:
    diameter, height = dice.uniform(0.052, 0.088), dice.uniform(0.09, 0.16)
    material = dice.choice(["bright metal", "bright metal", "dull metal", "plastic", "silicone"])
    count = dice.choice([2, 2, 3])
    most = family("paraffin_pillar").scent_max
    load = dice.choice([0.0, dice.uniform(0.3, 0.85) * most])
    if wrong == "overloaded scent":
        load = dice.uniform(1.15, 2.0) * most
    names = ("rust", "cream", "moss")
    plan = Plan(
        title="A pillar", room_c=round(dice.uniform(17.5, 24.0)),
        moulds=(Mould(shape=Cylinder(diameter=diameter, height=height), material=material),),
        blend=(BlendPart(wax="paraffin_pillar"),),
        layers=tuple(
            Layer(colour=names[n], share=dice.uniform(0.8, 1.2), scent_load=round(load, 4), dye_load=0.0005)
            for n in range(count)
        ),
    )  # fmt: skip
    return plan


def _before(person: Person, plan: Plan, wrong: str) -> tuple[EarlierDay, ...]:
    """A day before it, with its lot where that was written down."""
    del plan, wrong
    return (
        (EarlierDay("2026-02-20-a", START - 15 * DAY, {"paraffin_pillar": "sack 1"}),)
        if person.tells(0.9)
        else ()
    )


def _lot_of(person: Person, wrong: str) -> str:
    """A sack is a new one now and then; one that melts elsewhere always is."""
    new = wrong == "another lot" or person.dice.random() < 0.2
    return ("sack 2" if new else "sack 1") if person.tells(person.lot) else ""


# -- a day at the moulds ------------------------------------------------------------------------------


class _Bench:
    """The kitchen of one day, and what is written down of it."""

    def __init__(self, seed: int, plan: Plan, wrong: str, size: float, person: Person | None) -> None:
        dice = random.Random(seed * 13 + 1)
        self.own = (
            mishaps.other_lot("paraffin_pillar", dice.choice([-1, 1, 1, 1]) * (3.0 + 3.5 * size))
            if wrong == "another lot"
            else None
        )
        self.kitchen = Kitchen(plan, seed, START, own=self.own)
        self.watch = CandleWatch(self.kitchen, seed)
        self.person, self.plan = person, plan
        self.day = None if person is None else WrittenDay(replace(
            plan, blend=(BlendPart(wax="paraffin_pillar", lot=_lot_of(person, wrong)),)
        ))  # fmt: skip
        self.off = 0.0
        if wrong == "draughty room":
            mishaps.draught(self.kitchen, 1.2 + 1.2 * size, dice.uniform(1.5, 6.0))
        if wrong == "cold mould":
            mishaps.cold_moulds(self.kitchen, dice.uniform(2.0, 9.0))
        if wrong == "thermometer off":
            self.off = dice.uniform(5.0, 7.0)
            mishaps.thermometer_off(self.kitchen, self.off)

    def tell(self, chance: float, *facts: ev.Fact) -> None:
        """Written down, maybe."""
        if self.person is not None and self.day is not None and self.person.tells(chance):
            self.day.tell(*facts, at=(self.kitchen.now - START) / MINUTE)

    def told(self, *facts: ev.Fact) -> None:
        self.tell(1.1, *facts)

    def wait(self, seconds: float) -> None:
        until = self.kitchen.now + max(0.0, seconds)
        while self.kitchen.now < until - 1:
            self.kitchen.advance(min(until, self.kitchen.now + 300.0))
            self.watch.look()

    def pour(self, kg: float, layer: int, wanted: float, part: ev.Part, planned: float) -> None:
        """Pour wax that the thermometer shows to be so hot."""
        kitchen, filling = self.kitchen, self.kitchen.fillings["A"]
        jug = wanted - self.off
        room = kitchen.room_at(kitchen.now)
        lands = jug - 0.012 * (jug - room)
        filling.pour(layer, kg, float(kitchen.lot.enthalpy_at(lands)), room, kitchen.now)
        self.watch.poured("A", lands)
        if self.person is None:
            return
        lip = (
            round(wanted + self.person.dice.gauss(0, 0.6), 1) if self.person.tells(self.person.lip) else None
        )
        weight = round(kg, 3) if self.person.tells(self.person.weighs) else None
        self.told(ev.Poured(mould="A", layer=layer, part=part, kg=weight, planned_kg=planned, celsius=lip))


CUES: Mapping[Look, ev.Cue] = {
    "wet": "wet", "skinned": "skinned", "firm": "firm", "cold": "cold", "pulled": "pulled away"
}  # fmt: skip


def _poured(
    seed: int, plan: Plan, wrong: str, size: float, clock: Clock, person: Person | None
) -> tuple[Mapping[str, float], WrittenDay | None]:
    """A day: the flaws of its candle, and what was written down. Without a person it sets the clock."""
    dice = random.Random(seed * 17 + 3)
    at = _Bench(seed, plan, wrong, size, person)
    kitchen, sheet = at.kitchen, weigh_sheet(plan)
    colder = dice.uniform(9.0, 18.0) if wrong == "poured cold" else 0.0
    slack = [dice.uniform(0, 35) * MINUTE for _ in plan.layers]
    hand = dice.gauss(0, 1.5)
    at.told(ev.Prepared(item="wick", mark="done"), ev.Prepared(item="level", mark="done"))
    _morning(at, dice, wrong)
    plug = sheet.plug("A")
    first = sheet.pour("A", 0)
    if plug is not None:
        at.pour(plug.kg, 0, first.pour_c - colder + hand, "plug", plug.kg)
        at.wait(15 * MINUTE)
    for layer in range(len(plan.layers)):
        planned = sheet.pour("A", layer)
        if layer:
            _until_firm(at, clock, layer - 1, slack[layer])
            if wrong == "poured late" and layer == len(plan.layers) - 1:
                at.wait(size * 110 * MINUTE)
            at.tell(person.looks if person else 0, ev.Looked(mould="A", cue=CUES[kitchen.look("A")]))
            at.tell(0.5, ev.Reading(place="room", celsius=kitchen.read("room")))
        kg = kitchen.fits("A", planned.below_rim, planned.pour_c)
        at.pour(kg, layer, planned.pour_c - colder + hand, "layer", planned.kg)
        at.wait(MINUTE)
    _top_ups(at, dice, wrong, size, clock, sheet.top_up("A").kg, sheet.top_up("A").pour_c + 3 + hand - colder)
    at.wait(13 * HOUR)
    at.told(ev.Demoulded(mould="A", release="dropped out"))
    at.tell(0.7, ev.Weighed(mould="A", what="candle", kg=kitchen.weigh("A")))
    return at.watch.flaws("A", fill_height(plan.moulds[0])), at.day


def _morning(at: _Bench, dice: random.Random, wrong: str) -> None:
    """Readings before the first pour."""
    kitchen, person = at.kitchen, at.person
    at.tell(person.rooms if person else 0, ev.Reading(place="room", celsius=kitchen.read("room")))
    boils = dice.random() < 0.5
    if boils:
        # A stick in water at a rolling boil, 100 °C at sea level.
        shows = round(100.0 + at.off + dice.gauss(0, 0.5), 1)
        at.tell(person.bath if person else 0, ev.Reading(place="bath", celsius=shows))
    else:
        at.tell(
            person.bath if person else 0,
            ev.Reading(place="bath", celsius=round(dice.uniform(88, 95) + at.off, 1)),
        )
    filling = kitchen.fillings["A"]
    wall = filling.mould_c if filling.mould_c is not None else kitchen.room_at(kitchen.now)
    reads = round(wall + dice.gauss(0, 1.0), 1)
    at.tell(
        person.wall if person else 0, ev.Reading(place="surface", celsius=reads, mould="A", means="infrared")
    )
    del wrong


def _until_firm(at: _Bench, clock: Clock, nth: int, slack: float) -> None:
    """Wait until the surface carries the next colour and a while more; by the clock of the other day where there was one."""
    kitchen = at.kitchen
    if nth < len(clock.waits):
        half = clock.waits[nth] * 0.6
        at.wait(half)
        at.tell(at.person.looks * 0.6 if at.person else 0, ev.Looked(mould="A", cue=CUES[kitchen.look("A")]))
        reads = round(kitchen.read("surface", "A"), 1)
        at.tell(
            at.person.surface if at.person else 0,
            ev.Reading(place="surface", celsius=reads, mould="A", means="infrared"),
        )
        at.wait(clock.waits[nth] - half)
        return
    begun = kitchen.now
    while kitchen.look("A") in ("wet", "skinned") and kitchen.now - begun < 8 * HOUR:
        at.wait(5 * MINUTE)
    at.wait(slack)
    clock.waits.append(kitchen.now - begun)


def _top_ups(
    at: _Bench, dice: random.Random, wrong: str, size: float, clock: Clock, planned: float, celsius: float
) -> None:
    """Holes and top-ups until nothing sinks; too early, too little or too much of it where that is what is wrong."""
    kitchen, layer = at.kitchen, len(at.plan.layers) - 1
    line = at.plan.moulds[0].below_rim
    if wrong == "topped up early":
        waits, share = [dice.uniform(12, 30) * MINUTE], 1.0
    else:
        waits, share = [100 * MINUTE, 60 * MINUTE, 60 * MINUTE], 0.35 if wrong == "topped up little" else 1.0
    for n, wait in enumerate(waits):
        at.wait(wait)
        kitchen.relieve("A")
        at.tell(at.person.holes if at.person else 0, ev.Relieved(mould="A"))
        kg = kitchen.fits("A", line, celsius) * share
        if wrong == "topped up little" and n:
            break
        if wrong == "overfilled" and n == len(waits) - 1:
            kg += (0.5 + size) * 0.6 * planned
        if kg > 0.0015:
            at.pour(kg, layer, celsius, "top-up", planned)
    del clock


# -- a candle that burns ------------------------------------------------------------------------------


def _burned(seed: int, dice: random.Random, wrong: str, plan: Plan) -> Seeded | None:
    """A candle that was poured well, and burned."""
    person = Person(random.Random(seed * 31 + 5))
    rng = np.random.default_rng(seed)
    holds = family("paraffin_pillar").scent_max * near(rng, 0.15)
    load = plan.layers[0].scent_load
    wax = BurningWax(
        melts_at=dice.uniform(55, 60), melt=dice.uniform(2.4e5, 2.9e5), thickness=dice.uniform(0.95, 1.1)
    )
    width, height = plan.moulds[0].shape.diameter, plan.moulds[0].shape.height  # type: ignore[union-attr]
    air = dice.uniform(0.0, 0.08)

    def cycles(size: int, of: BurningWax, clogs: float, moisture: float) -> list[list[BurningNow]]:
        feed = LADDER[size] * max(0.25, 1 - 90 * moisture)
        candle = SimulatedCandle(
            width, height, SimulatedWick(feed, clogs), of, room_c=plan.room_c, draught=air
        )
        return [list(candle.cycle(4 * HOUR)) for _ in range(2)]

    best = min(range(len(LADDER)), key=lambda size: fault(cycles(size, wax, 0.0, 0.0)))
    step = {"wick too small": -dice.choice([1, 2, 2, 3]), "wick too large": dice.choice([1, 2, 2, 3])}.get(
        wrong, 0
    )
    size = max(0, min(len(LADDER) - 1, best + step))
    moisture = dice.uniform(0.0015, 0.006) if wrong == "wet wax" else 0.0
    clogs = dice.uniform(0.08, 0.2) if wrong == "overloaded scent" and load > holds else 0.0
    harder = dice.uniform(4.0, 8.0) if wrong == "another lot" else 0.0
    burning = BurningWax(
        wax.density, wax.melt * (1 + harder / 60), wax.melts_at + harder, wax.thickness * (1 + harder / 25)
    )
    clean = burn_flaws(cycles(best, wax, 0.0, 0.0), width, 0.0)
    burned = cycles(size, burning, clogs, moisture)
    flawed = dict(burn_flaws(burned, width, moisture))
    if wrong == "overloaded scent" and oily(load, holds):
        flawed["oily"] = load / holds
    new = sorted(name for name in flawed if name not in clean)
    if not new:
        return None
    name = random.Random(seed).choice(new)
    day = _written_burn(seed, dice, person, plan, wrong, size - best, burned, moisture)
    return Seeded(seed, wrong, NAMES[name], day, _before(person, plan, wrong))


def _written_burn(
    seed: int,
    dice: random.Random,
    person: Person,
    plan: Plan,
    wrong: str,
    step: int,
    burned: list[list[BurningNow]],
    moisture: float,
) -> WrittenDay:
    """A day without a fault, and two burns, as they were written down."""
    del seed
    low, high = wicks_of(plan)[0].plies
    right = PLIES.index(dice.choice([low, high]))
    plies = PLIES[max(0, min(len(PLIES) - 1, right + step))]
    wick = f"flat braid, {plies} ply" if person.tells(person.plies) else "flat braid"
    blend = (BlendPart(wax="paraffin_pillar", lot=_lot_of(person, wrong)),)
    layers = plan.layers
    if not person.tells(0.85):
        layers = tuple(replace(layer, scent_by_eye=True) for layer in layers)
    day = WrittenDay(replace(plan, wick=wick, blend=blend, layers=layers))
    celsius = day.sheet.pour("A", 0).pour_c
    if person.tells(person.rooms):
        day.tell(ev.Reading(place="room", celsius=plan.room_c), at=10)
    boiled = person.dice.random() < (0.7 if wrong == "wet wax" else 0.3)
    if person.tells(person.bath + 0.15):
        day.tell(ev.Reading(place="bath", celsius=round(99.5 if boiled else dice.uniform(86, 93), 1)), at=20)
    if moisture > 0 and person.tells(0.4):
        day.tell(ev.RescueChosen(card="water in wax", option="settle"), at=25)
    plug = day.sheet.plug("A")
    if plug is not None:
        day.tell(ev.Poured(mould="A", layer=0, part="plug", kg=round(plug.kg, 3), planned_kg=plug.kg), at=30)
    for layer in range(len(plan.layers)):
        lip = celsius + dice.gauss(0, 1) if person.tells(person.lip) else None
        day.pour(layer, 45 + 100 * layer, lip)
    day.top_up(day.at + 180, 0.7, celsius + 3).top_up(day.at + 90, 0.35, celsius + 3).out(day.at + 14 * 60)
    start = person.dice.uniform(2, 15) * DAY / MINUTE
    for cycle in burned:
        air = person.tells(0.7)
        trim = 0.006 if person.tells(0.7) else None
        day.tell(ev.CandleLit(mould="A", trimmed=trim, draught="none" if air else None), at=start)
        for mark in (HOUR, 3 * HOUR, 4 * HOUR):
            now = next((one for one in cycle if one.t >= mark - 61), None)
            if now is None or now.out:
                continue
            day.tell(_look(mark, now, person), at=start + mark / MINUTE)
        end = cycle[-1]
        day.tell(ev.BurnEnded(mould="A", how="went out" if end.out else "snuffed"), at=start + end.t / MINUTE)
        start += 24 * 60
    return day


def _look(mark: float, now: BurningNow, person: Person) -> ev.BurnSeen:
    """What of one look is measured, to the millimetre, a little wrong."""

    def length(metres: float, off: float) -> float | None:
        return (
            max(0.0, round(metres + person.dice.gauss(0, off), 3)) if person.tells(person.measures) else None
        )

    return ev.BurnSeen(
        mould="A", look=mark, flame=length(now.flame, 0.003), across=length(now.across, 0.001),
        across_other=length(now.across_other, 0.001), wall=length(now.wall, 0.001), depth=length(now.depth, 0.0015),
        mushroom=now.mushroom if person.tells(person.measures) else None, soot=now.soot if person.tells(person.measures) else None,  # type: ignore[arg-type]
    )  # fmt: skip


def cases(seeds: range) -> list[Seeded]:
    """Every case of these seeds that came to a fault."""
    return [made for seed in seeds if (made := case(seed)) is not None]
