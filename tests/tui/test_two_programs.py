"""A second screen for a helper in the room: it looks on, says so, and follows what the first one files."""

from __future__ import annotations

import signal

import pytest

from pourday.session import events as ev


@pytest.fixture
def both(kitchen):
    first = kitchen.at_the_stove()
    second = kitchen.run("resume", kitchen.session())
    second.wait_for("READ ONLY.", f"process {first.process.pid}")
    return kitchen, first, second


def test_the_second_says_it_only_reads_and_follows_live(both):
    _, first, second = both
    first.type("h")
    first.wait_for("burner ON")
    second.wait_for("burner ON")
    first.type("21\r")
    first.wait_for("21.0 °C")
    second.wait_for("●")
    first.type("z")
    first.wait_for("Taken back")
    second.wait_gone("●")
    second.wait_for("READ ONLY.")


@pytest.mark.parametrize("keys", ["74.5\r", " ", "h", "z", "nnote\r", "s1", "t5\r", "owe"])
def test_no_key_at_the_second_changes_the_record(module_both, keys):
    kitchen, _, second = module_both
    before = kitchen.entries()
    second.type(keys)
    second.pump(0.4)
    while any(open_ in second.text() for open_ in ("Esc leaves", "Esc puts", "note:", "timer:", "Esc drops")):
        second.type("\x1b")
        second.pump(0.2)
    assert second.process.poll() is None
    said = [e.fact for e in kitchen.entries()[len(before) :] if not isinstance(e.fact, ev.Told)]
    assert said == []


@pytest.fixture(scope="module")
def module_both(module_kitchen):
    first = module_kitchen.at_the_stove()
    second = module_kitchen.run("resume", module_kitchen.session())
    second.wait_for("READ ONLY.")
    return module_kitchen, first, second


def test_however_the_second_ends_the_first_stays_at_work(both):
    kitchen, first, second = both
    second.type("q")
    assert second.ended() == 0
    third = kitchen.run("resume")
    third.wait_for("READ ONLY.")
    third.kill(signal.SIGTERM)
    assert third.ended() == 143
    assert third.restored()
    assert kitchen.facts(ev.Stopped) == []
    first.type("74.5\r")
    first.wait_for("74.5 °C")
    first.type("q")
    assert first.ended() == 0


def test_after_the_first_is_killed_the_next_start_writes_again(both):
    kitchen, first, second = both
    first.kill()
    first.ended()
    third = kitchen.run("resume")
    shown = third.wait_for("is it lit?")
    assert "READ ONLY" not in shown
    second.wait_for("READ ONLY.", "burner UNKNOWN")
    third.type("61\r")
    third.wait_for("61.0 °C")
    assert [r.celsius for r in kitchen.facts(ev.Reading)] == [61.0]


def test_the_second_lives_on_when_the_folder_goes_away_and_comes_back(both):
    kitchen, first, second = both
    first.kill()
    first.ended()
    journal = kitchen.folder / f"{kitchen.session()}.journal"
    away = kitchen.folder.parent / "away.journal"
    journal.rename(away)
    second.wait_for("There is no session called")
    away.rename(journal)
    second.wait_gone("There is no session called")
    second.wait_for("READ ONLY.")
