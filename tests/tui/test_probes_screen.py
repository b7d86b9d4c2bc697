"""Probes at the stove, at a real terminal: live figures, plugged and pulled, typed against measured, hostile lines, a kill."""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from pathlib import Path

import pytest

from pourday.session import events as ev
from pourday.store.reading import read_session
from tests.tui.conftest import Kitchen, Terminal

LIT = (ev.BurnerSet(state="on"), ev.Reading(place="pot", celsius=60.0, typed="60"))
QUICK = 0.2
"""s from a line to the screen."""


def say(path: Path, *values: object) -> None:
    with path.open("a") as file:
        file.writelines(f"{value}\n" for value in values)


def with_probes(
    kitchen: Kitchen, tmp_path: Path, size: tuple[int, int] = (80, 24)
) -> tuple[Terminal, Path, Path]:
    """A lit stove with one probe in the pot and one in the jug, and the logs they write."""
    pot, jug = tmp_path / "pot.log", tmp_path / "jug.log"
    pot.touch()
    jug.touch()
    terminal = kitchen.run(
        "resume",
        kitchen.begin(*LIT, ago=30.0),
        "--probe",
        f"file:{pot}",
        "--probe",
        f"place=jug file:{jug}",
        size=size,
    )
    terminal.wait_for("is it lit?")
    terminal.type(" ")
    terminal.wait_for("The burner is:")
    terminal.type("l")
    terminal.wait_for("Filed: burner")
    return terminal, pot, jug


def readings(kitchen: Kitchen) -> list[ev.Reading]:
    return [e.fact for e in kitchen.entries() if e.by == "probe" and isinstance(e.fact, ev.Reading)]


def test_a_line_is_on_the_screen_with_its_place_and_on_record_a_little_later(kitchen, tmp_path):
    terminal, pot, jug = with_probes(kitchen, tmp_path)
    say(pot, 61.2)
    terminal.wait_for("probe, pot")
    say(jug, 55.5)
    terminal.wait_for("jug 55.5°")
    terminal.type("q")
    terminal.wait_for("burner")
    terminal.type("x")
    assert terminal.ended() == 0
    assert ("pot", 61.2, "1") in [(r.place, r.celsius, r.probe) for r in readings(kitchen)]
    assert "2" in {r.probe for r in readings(kitchen)}


@pytest.mark.slow
def test_a_line_is_on_the_screen_at_once(kitchen, tmp_path):
    """To be run alone: on a busy machine half of the lines are late."""
    terminal, pot, jug = with_probes(kitchen, tmp_path)
    say(pot, 61.2)
    terminal.wait_for("probe, pot")
    waited = []
    for n in range(30):
        began = time.monotonic()
        say(jug, f"55.{n % 10}")
        terminal.wait_for(f"jug 55.{n % 10}°")
        waited.append(time.monotonic() - began)
        time.sleep(0.05)
    assert sorted(waited)[15] < QUICK, waited


@pytest.mark.slow
def test_pulled_over_a_lit_burner_is_an_alarm_and_plugged_again_ends_it(kitchen, tmp_path):
    sensor = tmp_path / "temp1_input"
    sensor.write_text("61200")
    terminal = kitchen.run("resume", kitchen.begin(*LIT, ago=30.0), "--probe", f"file:{sensor}")
    terminal.wait_for("is it lit?")
    terminal.type(" ")
    terminal.wait_for("The burner is:")
    terminal.type("l")
    terminal.wait_for("Filed: burner", "probe, pot")
    sensor.unlink()
    text = terminal.wait_for("cannot be read")
    assert "Traceback" not in text
    terminal.wait_for("signal", "Look at the pot, read by hand", timeout=40)
    sensor.write_text("62300")
    terminal.wait_for("probe, pot", timeout=40)
    terminal.wait_gone("Look at the pot, read by hand", timeout=40)


def test_what_is_typed_against_a_probe_is_asked_about_once_and_wins(kitchen, tmp_path):
    terminal, pot, _ = with_probes(kitchen, tmp_path)
    say(pot, 61.2)
    terminal.wait_for("probe, pot")
    terminal.type("66.0\r")
    terminal.wait_for("you typed 66.0 °C, the probe says 61.2 °C. Which counts?")
    terminal.type("t")
    terminal.wait_for("Filed: read 66.0 °C", "pot ?")
    say(pot, 61.4)
    terminal.type("65.5\r")
    assert "Which counts?" not in terminal.wait_for("65.5 °C kept")
    typed = [f for f in kitchen.facts(ev.Reading) if not f.probe and f.celsius > 65]
    assert [f.celsius for f in typed] == [66.0, 65.5]
    assert typed[0].doubt == ""


def test_the_page_shows_raw_beside_understood_and_a_key_says_where_a_probe_is(kitchen, tmp_path):
    terminal, pot, _ = with_probes(kitchen, tmp_path)
    say(pot, "T=61.2 C")
    terminal.wait_for("probe, pot")
    terminal.type("m")
    terminal.wait_for("Probes: what comes in", "61.2 °C  probe 1, pot", "sent “T=61.2 C”")
    terminal.type("b")
    terminal.wait_for("probe 1, bath", "Probe 1 is in the bath from now on.")
    terminal.type("\x1b")
    terminal.wait_gone("Probes: what comes in")
    say(pot, "T=61.4 C")
    terminal.wait_for("bath 61.4°")


def test_hostile_lines_never_reach_the_terminal_and_take_no_key_away(kitchen, tmp_path):
    terminal, pot, _ = with_probes(kitchen, tmp_path)
    marks = b"\x1b]0;pwned\x07\x1b[2J\x1b[31mboo\x9b5n\x00\x07"
    with pot.open("ab") as file:
        for _ in range(5):
            file.write(marks + b"\n")
        file.write(b"x" * 1_000_000 + b"\n" + b"\0" * 5000 + b"\n")
        file.write("\u202e74.6 \u202d\n".encode())
    terminal.wait_for("lines without a temperature")
    say(pot, 74.8)
    terminal.type("m")
    terminal.wait_for("74.8 °C  probe 1, pot")
    terminal.type("\x1b")
    terminal.wait_gone("Probes: what comes in")
    terminal.type("n")
    terminal.wait_for("note:")
    assert b"pwned" not in terminal.raw
    assert b"\x1b[31mboo" not in terminal.raw
    assert b"\x9b5n" not in terminal.raw


@pytest.mark.slow
def test_a_flood_of_a_thousand_lines_a_second_takes_no_key_away(kitchen, tmp_path):
    flood = tmp_path / "flood.py"
    flood.write_text(
        "import time\nn = 0\nwhile True:\n    print(''.join(f'{61 + n % 7 / 10:.1f}\\n' for _ in range(20)), end='', flush=True)\n"
        "    n += 1\n    time.sleep(0.02)\n"
    )
    terminal = kitchen.run(
        "resume", kitchen.begin(*LIT, ago=30.0), "--probe", f"command:{sys.executable} {flood}"
    )
    # Whether the burner is lit stands without degrees; the head of the screen has the probe's.
    terminal.until(lambda text: "is it lit?" in text and re.search(r" pot 6\d\.\d°", text.split("\n")[0]))
    terminal.type(" ")
    terminal.wait_for("The burner is:")
    terminal.type("l")
    terminal.wait_for("Filed: burner")
    waited = []
    for _ in range(10):
        terminal.pump(0.3)
        began = time.monotonic()
        terminal.type("7")
        terminal.wait_for("7▏")
        waited.append(time.monotonic() - began)
        terminal.type("\x7f")
        terminal.wait_gone("7▏")
    assert sorted(waited)[7] < 0.25, waited
    assert terminal.cpu(3.0) < 0.5


def test_a_kill_loses_no_reading_that_was_on_record_and_the_probe_goes_on_after_it(kitchen, tmp_path):
    terminal, pot, jug = with_probes(kitchen, tmp_path)
    for n in range(3):
        say(pot, 61.0 + n / 2)
        say(jug, 55.0 - n / 2)
        terminal.pump(1.1)
    terminal.type("n")
    terminal.wait_for("note:")
    terminal.type("a note\r")
    terminal.wait_for("Note filed.")
    known = kitchen.entries()
    assert len(readings(kitchen)) >= 4
    terminal.kill(signal.SIGKILL)
    terminal.ended()
    assert read_session(kitchen.folder, kitchen.session()).entries[: len(known)] == known
    again = kitchen.run("resume", "--probe", f"file:{pot}", "--probe", f"place=bath file:{jug}")
    again.wait_for("is it lit?")
    say(jug, 52.0)
    # Where it was last by the record, and not where the command says it begins.
    again.wait_for("jug 52.0°")


@pytest.mark.skipif(not hasattr(os, "setsid"), reason="needs a terminal of its own")
def test_readings_come_from_standard_input_while_the_terminal_is_the_keyboard(kitchen, tmp_path):
    session = kitchen.begin(*LIT, ago=30.0)
    feed = tmp_path / "feed"
    feed.write_text(
        "import sys, time\nfor n in range(400):\n    print(f'T={61 + n / 100:.1f}', flush=True)\n    time.sleep(0.1)\n"
    )
    shell = f"{sys.executable} {feed} | {sys.executable} -m pourday resume {session} --probe -"
    terminal = kitchen.run("-c", shell, command=("sh",))
    # Whether the burner is lit stands without degrees; the head of the screen has the probe's, while it still brings some.
    terminal.until(lambda text: "is it lit?" in text and re.search(r" pot 6\d\.\d°", text.split("\n")[0]))
    terminal.type(" ")
    terminal.wait_for("The burner is:")
    terminal.type("l")
    terminal.wait_for("Filed: burner")
    terminal.type("q")
    terminal.wait_for("burner")
    terminal.type("x")
    assert terminal.ended() == 0
    assert readings(kitchen)


def test_without_a_probe_named_nothing_is_opened_and_the_page_says_how(kitchen):
    terminal = kitchen.at_the_stove()
    terminal.type("m")
    terminal.wait_for("No probe is named", "serial:/dev/ttyUSB0")
