"""Probes at the stove without a terminal: a recorded day replayed, eight hours of four sources, places and tests by a key."""

from __future__ import annotations

import gc
import random
from dataclasses import replace
from pathlib import Path

import psutil
import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.errors import Trouble
from pourday.probes.offset import ProbeTest
from pourday.probes.source import ProbeSpot, read_source
from pourday.probes.watch import ProbeWatch
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.session.fold import fold
from pourday.store.live import LiveSession
from pourday.store.names import journal_path
from pourday.store.reading import read_session
from pourday.store.settings import load
from pourday.store.settings_probes import probe_sources_of, probe_tests_of
from pourday.tui.drawing.lines import text_of
from pourday.tui.probe_reader import FromProbe
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.live_probes import HOLD, HOLD_ASKED, LiveProbes
from pourday.tui.stove.probe_card import ProbeCard
from pourday.tui.stove.probe_page import draw_probes

SESSION = "2026-10-25-a"
SAMPLES = Path(__file__).parents[2] / "sessions"


class ByHand:
    """A reader whose sources say what a test puts into them."""

    def __init__(self) -> None:
        self.came: list[FromProbe] = []
        self.open = False

    def say(self, t: float, *lines: object, source: str = "pot") -> None:
        self.came.append(FromProbe(source, t, tuple(str(line).encode() for line in lines)))

    def start(self) -> None:
        self.open = True

    def fetch(self) -> list[FromProbe]:
        came, self.came = self.came, []
        return came

    def close(self) -> None:
        self.open = False


def opened(folder: Path, **sources: str) -> tuple[LiveSession, LiveProbes, ByHand]:
    live = LiveSession.create(folder, SESSION, now=START)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    reader = ByHand()
    specs = {name: read_source(text) for name, text in sources.items()}
    return live, LiveProbes(live, ProbeWatch(specs), reader), reader  # type: ignore[arg-type]


def readings(live: LiveSession) -> list[tuple[float, float]]:
    return [(r.t - START, r.celsius) for r in live.state.readings]


def test_a_reading_waits_a_little_for_the_record_and_longer_while_something_is_asked(tmp_path):
    live, probes, reader = opened(tmp_path, pot="file:/x")
    reader.say(START + 10, 60.0)
    assert probes.hear() == (True, [])
    assert probes.file(START + 11) == 0
    assert probes.file(START + 10 + HOLD, asked=True) == 0
    assert probes.file(START + 10 + HOLD) == 1
    assert readings(live) == [(10.0, 60.0)]
    assert live.entries[-1].by == "probe"
    reader.say(START + 60, 61.0)
    probes.hear()
    assert probes.file(START + 61 + HOLD_ASKED, asked=True) == 1
    live.close()


def test_what_is_measured_before_somebody_files_something_stands_before_it(tmp_path):
    live, probes, reader = opened(tmp_path, pot="file:/x")
    stove = StoveController(live)
    stove.listen(probes, lambda _n, _t: None)
    stove.look(START + 5, 5.0)
    reader.say(START + 10, 60.0)
    stove.hear(START + 10.1)
    for key in ("6", "1", ".", "0"):
        stove.press(key, key, START + 11, 11.0)
    stove.press("enter", "\r", START + 12, 12.0)
    assert readings(live) == [(10.0, 60.0), (12.0, 61.0)]
    live.close()


def test_typed_against_a_probe_is_asked_once_and_the_probe_is_left_out_from_then_on(tmp_path):
    live, probes, reader = opened(tmp_path, pot="file:/x")
    stove = StoveController(live, on_filed=lambda fact: probes.typed(fact, START + 13))
    stove.listen(probes, lambda _n, _t: None)
    stove.look(START + 5, 5.0)
    for n in range(5):
        reader.say(START + 5 + n, 20.0 + n / 10)
    stove.hear(START + 10.0)

    def typed(text: str, at: float) -> None:
        for key in text:
            stove.press(key, key, START + at, at)
        stove.press("enter", "\r", START + at, at)

    typed("25", 12.0)
    assert stove.question is not None
    assert "you typed 25.0 °C, the probe says 20.4 °C" in stove.question.asks
    stove.press("t", "t", START + 13, 14.0)
    assert stove.question is None
    assert live.state.newest["pot", ""].celsius == 25.0
    reader.say(START + 20, 20.6)
    reader.say(START + 60, 20.9)
    stove.hear(START + 90.0)
    assert live.state.newest["pot", ""].celsius == 25.0
    typed("25.2", 91.0)
    assert stove.question is None
    live.close()


def test_pulled_over_a_lit_burner_and_plugged_again_the_alarm_comes_and_goes(tmp_path):
    live, probes, reader = opened(tmp_path, pot="file:/x")
    stove = StoveController(live)
    stove.listen(probes, lambda _n, _t: None)
    live.file(ev.BurnerSet(state="on"), now=START)
    for n in range(20):
        reader.say(START + n, f"{60 + n / 20:.2f}")
        stove.hear(START + n)
        stove.look(START + n, float(n))
    assert stove.advice.now is not None
    assert stove.advice.now.probe == "pot"
    for n in (20, 21):
        reader.came.append(FromProbe("pot", START + n, trouble="The port is gone. Is it plugged in?"))
    stove.hear(START + 21)
    assert stove.message == "Probe pot: The port is gone. Is it plugged in?"
    for n in (25, 28, 31):
        stove.hear(START + n)
        stove.look(START + n, float(n))
    assert list(live.state.alarms) == ["signal"]
    says = live.state.alarms["signal"].says
    assert "says nothing since" in says
    assert "12 s ago" in says
    assert stove.advice.now.word == "READ"
    for n in (40, 41, 42):
        reader.say(START + n, "62.0")
        stove.hear(START + n)
        stove.look(START + n, float(n))
    assert live.state.alarms == {}
    assert stove.advice.now.probe == "pot"
    live.close()


def test_nothing_goes_on_record_of_a_session_that_is_finished(tmp_path):
    live, probes, reader = opened(tmp_path, pot="file:/x")
    live.finish("", now=START + 1)
    reader.say(START + 10, 60.0)
    probes.hear()
    assert probes.file(START + 60) == 0


def test_a_recorded_day_replayed_through_probes_is_the_same_state_as_typed():
    """Each reading of a sample record comes as a line at its time instead, all else as it was."""
    stored = read_session(SAMPLES, "2026-10-25-demo-b")
    typed = [e for e in stored.entries if isinstance(e.fact, ev.Reading) and not e.fact.doubt]
    places = sorted({(e.fact.place, e.fact.mould) for e in typed})
    name_of = {where: f"probe {n}" for n, where in enumerate(places)}
    watch = ProbeWatch(
        {name: read_source(f"place={p}{':' + m if m else ''} file:/x") for (p, m), name in name_of.items()}
    )
    replayed: list[Entry] = []
    last: dict[str, float] = {}
    for entry in stored.entries:
        fact = entry.fact
        if not isinstance(fact, ev.Reading) or fact.doubt:
            replayed.append(entry)
            continue
        name = name_of[fact.place, fact.mould]
        if entry.t - last.get(name, float("-inf")) < 120:
            # Typed twice in two minutes: a probe would have said all that lies between as well.
            watch.channel(name).put_into(None)
            watch.put_into(name, ProbeSpot(fact.place, fact.mould, fact.jug))
        last[name] = entry.t
        watch.around = replace(watch.around, disturbed_at=entry.t)
        watch.heard(name, [f"{fact.celsius:.2f} C".encode()], entry.t)
        (kept,) = watch.kept()
        assert (kept.t, kept.fact.doubt) == (entry.t, "")
        replayed.append(
            Entry(seq=entry.seq, at=entry.at, logged_at=entry.logged_at, by="probe", fact=kept.fact)
        )
    one, other = fold(stored.entries), fold(replayed)
    assert len(one.readings) >= 15, "of the two samples the one with more readings"

    def seen(state):
        return [(r.t, r.place, r.mould, round(r.celsius, 2), r.doubt) for r in state.readings]

    assert seen(one) == seen(other)
    for part in ("moulds", "jugs", "burner_spans", "additions", "alarms", "stage", "finished_at", "told"):
        assert getattr(one, part) == getattr(other, part), part


@pytest.mark.slow
def test_eight_hours_of_four_sources_with_ten_lines_a_second_stay_small(tmp_path):
    """Simulated time: 1,152,000 lines."""
    hours_of_four(tmp_path, 8.0)


def test_three_minutes_of_the_same_stay_small(tmp_path):
    hours_of_four(tmp_path, 1 / 20)


def hours_of_four(folder: Path, hours: float) -> None:
    live, probes, reader = opened(
        folder, pot="file:/a", jug="place=jug file:/b", bath="place=bath file:/c", room="place=room file:/d"
    )
    begun = journal_path(folder, SESSION).stat().st_size
    rng = random.Random(21)
    true = {"pot": 62.0, "jug": 74.0, "bath": 80.0, "room": 21.0}
    t, sizes = START + 1, []
    rows = round(hours * 36_000)
    for n in range(rows):
        for name, celsius in true.items():
            slow = {"pot": 12.0, "jug": -4.0, "bath": 5.0, "room": 1.0}[name]
            value = celsius + slow * abs((n / 36_000) % 2 - 1) + rng.gauss(0, 0.5)
            reader.say(t, f"{value:.2f}", source=name)
        if n % 5 == 0:
            probes.hear()
            probes.file(t)
        if n % (rows // 8) == rows // 16:
            gc.collect()
            sizes.append((psutil.Process().memory_info().rss, len(live.entries)))
        t += 0.1
    probes.hear()
    probes.file(t, all_of_it=True)
    assert all(probe.lie is None for probe in probes.probes)
    written = journal_path(folder, SESSION).stat().st_size - begun
    assert written < 2_000_000 * hours / 8, f"{written:,} bytes in {hours:g} h"
    # What is kept in memory beyond the record itself does not grow: a kilobyte and a half an entry is the record's.
    (first, before), (last, after) = sizes[1], sizes[-1]
    assert last - first < 1_500 * (after - before) + 3_000_000
    live.close()


# -- the card ------------------------------------------------------------------------------------------


def card(folder: Path, **sources: str) -> tuple[ProbeCard, ProbeWatch, LiveSession, dict[str, ProbeTest]]:
    live, probes, _ = opened(folder, **sources)
    kept: dict[str, ProbeTest] = {}
    return ProbeCard(probes.watch, kept.__setitem__), probes.watch, live, kept


def test_a_letter_says_where_the_chosen_probe_is_and_s_goes_from_mould_to_mould(tmp_path):
    made, watch, live, _ = card(tmp_path, pot="file:/x", other="file:/y")
    made.press("s", "s", live.state, START)
    assert "no surface before something is poured" in made.message
    made.press("down", None, live.state, START)
    made.press("j", "j", live.state, START)
    assert [(p.place, p.mould) for p in watch.probes] == [("pot", ""), ("jug", "")]
    for mould in "AB":
        live.file(ev.Poured(mould=mould, layer=0, part="plug"), now=START)
    for letter in "ABA":
        made.press("s", "s", live.state, START)
        assert (watch.probes[1].place, watch.probes[1].mould) == ("surface", letter)
    made.press("x", "x", live.state, START)
    assert watch.probes[1].place is None
    live.close()


def test_a_test_in_boiling_water_corrects_the_probe_and_is_kept(tmp_path):
    made, watch, live, kept = card(tmp_path, pot="file:/x")
    made.press("w", "w", live.state, START)
    assert "not been in there long enough" in made.message
    for n in range(20):
        watch.heard("pot", [f"{99.3 + n % 2 / 10}".encode()], START + n)
    made.press("w", "w", live.state, START + 20)
    assert kept["pot"].bath == "boiling water"
    assert kept["pot"].kelvin == pytest.approx(0.65, abs=0.01)
    watch.heard("pot", [b"74.0"], START + 21)
    assert watch.probes[0].celsius == pytest.approx(74.65, abs=0.01)
    live.close()


def test_a_test_that_cannot_be_stored_is_said(tmp_path):
    def full(_name: str, _test: ProbeTest) -> None:
        raise Trouble("The settings could not be saved.")

    live, probes, _ = opened(tmp_path, pot="file:/x")
    made = ProbeCard(probes.watch, full)
    for n in range(20):
        probes.watch.heard("pot", [b"0.3"], START + n)
    made.press("i", "i", live.state, START + 20)
    assert "until the program ends" in made.message
    live.close()


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 40)])
def test_the_page_has_the_size_of_its_window_and_shows_the_chosen_probe(tmp_path, size):
    made, watch, live, _ = card(tmp_path, **{f"p{n}": f"file:/{n}" for n in range(8)})
    for n in range(8):
        watch.heard(f"p{n}", [f"T={60 + n}".encode()], START)
    for at in range(8):
        made.at = at
        drawn = draw_probes(made, {}, "metric", START + 1, *size)
        assert len(drawn) == size[1]
        texts = [text_of(row) for row in drawn]
        assert all(len(text) <= size[0] for text in texts)
        assert any(text.startswith("›") and f"probe p{at}" in text for text in texts)
    live.close()


def test_sources_and_tests_come_from_the_settings(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text('[probes]\npot = "file:/x"\n[probe_tests]\npot = "-0.40 K in ice on 2026-11-30"\n')
    settings = load(path).settings
    assert probe_sources_of(settings)["pot"].target == "file:/x"
    assert probe_tests_of(settings)["pot"].kelvin == -0.4
