"""A demo that plays itself: it begins in the morning, stops its clock to decide, and does the same on any machine."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from pourday.demo.opening import begin_demo
from pourday.demo.station import FACTORS, READING
from pourday.guide.advice.adviser import Adviser
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.times import HOUR, local

MORNING = 14
"""Things that hands do, which the tests play: up to the first layer in the moulds."""


class Played:
    """A demo before a screen that looks at it every `frame` seconds of the wall."""

    def __init__(
        self, folder: Path, frame: float, speed: float | None = None, plan: Plan | None = None
    ) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.live, self.station = begin_demo(folder, speed=speed, plan=plan)
        self.frame, self.real = frame, 0.0
        self.adviser = Adviser()
        self.lines: list[str] = []

    def file(self, fact: Fact) -> None:
        now = self.station.now(self.real)
        if isinstance(fact, ev.Finished):
            self.live.finish(fact.verdict, now=now)
            return
        self.live.file(fact, now=now)
        self.station.filed(fact, self.live.state, now)

    def look(self) -> None:
        self.real += self.frame
        now = self.station.now(self.real)
        for fact in self.adviser.advise(self.live.state, now).to_file:
            self.live.file(fact, now=now, by="program")
        if self.station.tick(self.adviser.advise(self.live.state, now), now, self.real, self.file):
            self.lines.append(self.station.did)

    def until(self, done: int) -> Played:
        while len(self.lines) < done and self.live.state.finished_at is None:
            self.look()
        self.live.close()
        return self

    def until_jug(self, layer: int, hours: float) -> list[Fact]:
        """What hands did until the jug of a layer was made, at most so many hours of the kitchen into the day."""
        latest = self.live.entries[0].t + hours * HOUR
        while layer not in self.live.state.jugs and self.station.now(self.real) < latest:
            self.look()
        self.live.close()
        assert layer in self.live.state.jugs
        return [entry.fact for entry in self.by_person()]

    def by_person(self) -> list[Entry]:
        """What hands did, without the preparations."""
        return [e for e in self.live.entries if e.by == "person"]


@pytest.mark.parametrize("speed", [None, pytest.param(600.0, marks=pytest.mark.slow)])
def test_a_slow_machine_plays_the_same_morning_and_only_takes_longer(
    tmp_path: Path, speed: float | None
) -> None:
    """What is done, and when in the kitchen, does not depend on how often anybody looks at it."""
    quick = Played(tmp_path / "quick", 0.05, speed).until(MORNING)
    slow = Played(tmp_path / "slow", 3.0, speed).until(MORNING)
    for day in (quick, slow):
        assert not [e.fact for e in day.live.entries if isinstance(e.fact, ev.AlarmRaised)]
        assert any(isinstance(e.fact, ev.Poured) for e in day.by_person())
    one, other = ([e.t for e in day.by_person() if isinstance(e.fact, ev.Poured)] for day in (quick, slow))
    # Forecasts are worked out anew each minute of the kitchen, at another second on each machine; near its target wax is
    # read every two.
    assert one == pytest.approx(other, abs=120.0)
    assert slow.real > 3 * quick.real


def small_pot() -> Plan:
    """Two narrow moulds, a fifth of palm wax: four hundred grams that are worked two kelvin below their ceiling."""
    slim, stub = Cylinder(diameter=0.060, height=0.110), Cylinder(diameter=0.050, height=0.080)
    return Plan(
        title="Small pot",
        room_c=17.0,
        altitude=620.0,
        moulds=(Mould(shape=slim, material="bright metal"), Mould(shape=stub, material="dull metal")),
        layers=(Layer(colour="dark teal"), Layer(colour="pale teal")),
        blend=(BlendPart(wax="paraffin_pillar", share=0.8), BlendPart(wax="palm", share=0.2)),
    )


def test_a_small_pot_that_was_put_out_at_its_ceiling_is_drawn_from(tmp_path: Path) -> None:
    """It never gets all the way to what is worked with; lit again and again for that it took an hour and a half."""
    did = Played(tmp_path, 0.3, plan=small_pot()).until_jug(0, 1.5)
    assert len([fact for fact in did if isinstance(fact, ev.BurnerSet)]) <= 4


@pytest.fixture(scope="module")
def morning(tmp_path_factory: pytest.TempPathFactory) -> Played:
    """The usual demo up to its second jug, at most three hours of it, played once for all tests that look at it."""
    day = Played(tmp_path_factory.mktemp("morning"), 0.3)
    day.until_jug(1, 3.0)
    return day


def test_a_jug_that_the_flame_was_put_out_for_is_drawn_before_it_is_lit_again(morning: Played) -> None:
    """Colour and scent take their minutes, in which the pot cools and moulds are looked at."""
    did = [entry.fact for entry in morning.by_person()]
    poured = max(at for at, fact in enumerate(did) if isinstance(fact, ev.Poured))
    assert len([fact for fact in did[poured:] if isinstance(fact, ev.BurnerSet)]) <= 4


def test_the_clock_of_the_kitchen_stands_still_while_nobody_decides(tmp_path: Path) -> None:
    day = Played(tmp_path, 0.05, 600.0)
    for _ in range(4):
        day.look()
    stops = day.station.now(day.real + 60.0)
    assert day.station.now(day.real + 3600.0) == stops < day.live.state.last_t + 300.0
    day.live.close()


def test_a_demo_begins_in_the_morning_whatever_the_clock_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for zone in ("Pacific/Auckland", "America/Los_Angeles", "UTC"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        folder = tmp_path / zone.replace("/", "-")
        folder.mkdir()
        live, _ = begin_demo(folder)
        assert local(live.entries[0].t).hour == 8
        live.close()
    monkeypatch.undo()
    time.tzset()


def test_each_line_says_what_was_done_and_why(morning: Played) -> None:
    assert len(morning.lines) >= 12
    for line in morning.lines:
        assert "Why: " in line, line
    assert "Burner on" in morning.lines[1]


@pytest.mark.slow
def test_a_wait_of_hours_goes_by_in_a_second_and_a_sentence_can_be_read(tmp_path: Path) -> None:
    """Of the whole day with its night and its cure no stretch without a decision takes long on the wall."""
    day = Played(tmp_path, 0.1)
    longest, since, at = 0.0, 0.0, 0
    while day.live.state.finished_at is None and day.real < 400.0:
        day.look()
        if len(day.lines) > at:
            longest, since, at = max(longest, day.real - since), day.real, len(day.lines)
    assert day.live.state.finished_at is not None
    assert day.live.state.last_t - day.live.entries[0].t > 24 * 3600
    assert day.real < 180.0, "about three minutes, the machine's own thinking left out"
    assert longest < 8.0


def test_by_hand_planning_takes_no_time_of_the_morning_and_waits_run_fast(tmp_path: Path) -> None:
    live, station = begin_demo(tmp_path, by_hand=True)
    began = station.now(0.0)
    assert station.now(300.0) - began == 300.0
    live.close()


def test_faster_and_slower_shorten_what_is_shown(tmp_path: Path) -> None:
    day = Played(tmp_path, 0.1)
    for _ in FACTORS:
        day.station.faster(+1, day.real)
    day.look()
    day.look()
    began = day.real
    while not day.lines:
        day.look()
    assert day.real - began < READING / 2
    assert "4x its own pace" in day.station.strip(day.live.state)
    day.live.close()


def test_what_is_true_in_the_kitchen_is_told_by_the_names_of_the_screen(tmp_path: Path) -> None:
    day = Played(tmp_path, 0.25)
    while day.station.kitchen is None or not day.live.state.jugs:
        day.look()
    strip = day.station.strip(day.live.state)
    kitchen = day.station.kitchen
    assert f"in truth pot {kitchen.true('pot'):.0f} °C, rust {kitchen.true('jug', 0):.0f} °C" in strip
    assert strip.startswith("demo, plays itself · ")
    day.live.close()
