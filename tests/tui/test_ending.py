"""However the program is told to end, it ends, says so in the record, and leaves the terminal usable.

How long that takes is held on an idle machine only, in tests/bench.
"""

from __future__ import annotations

import os
import signal
import sys
import time

import psutil
import pytest

from pourday.session import events as ev

PATIENCE = 60.0


@pytest.fixture(autouse=True)
def whole(kitchen, request) -> None:
    """How an interpreter ends belongs to how the program ends; where it only asks first, or goes on, it is forked."""
    kitchen.fresh = "goes_on" not in request.fixturenames


@pytest.fixture
def goes_on() -> None:
    """For a test in which the program does not end, or as another test of this file has it end."""


def last_stop(kitchen) -> str:
    stops = kitchen.facts(ev.Stopped)
    return stops[-1].how if stops else "not noted"


def clog(kitchen, stove) -> list[str]:
    """Have it draw and draw while nobody reads, until a reading is not heard any more; all that were typed."""
    typed: list[str] = []
    while len(kitchen.facts(ev.Reading)) == len(typed):
        assert len(typed) < 30, "it never waits for its terminal"
        for number in range(80):
            stove.window(80 + number % 2, 24)
            time.sleep(0.015)
        typed.append(f"{61.5 + len(typed):.1f}")
        stove.type(f"{typed[-1]}\r")
        limit = time.monotonic() + 2.0
        while len(kitchen.facts(ev.Reading)) < len(typed) and time.monotonic() < limit:
            time.sleep(0.05)
    assert stove.process.poll() is None
    return typed


@pytest.mark.parametrize(
    ("number", "how"),
    [(signal.SIGHUP, "hangup"), pytest.param(signal.SIGTERM, "terminated", marks=pytest.mark.slow)],
)
def test_a_signal_ends_it_with_its_status_and_a_usable_terminal(kitchen, number, how):
    stove = kitchen.at_the_stove()
    stove.type("7")
    stove.wait_for("pot: 7▏")
    stove.kill(number)
    assert stove.ended() == 128 + number
    assert stove.restored()
    assert last_stop(kitchen) == how
    assert isinstance(kitchen.entries()[-1].fact, ev.Stopped)


def test_an_interrupt_from_outside_ends_it_with_its_status_and_a_usable_terminal(kitchen):
    stove = kitchen.at_the_stove()
    stove.kill(signal.SIGINT)
    assert stove.ended() == 128 + signal.SIGINT
    assert stove.restored()
    assert last_stop(kitchen) == "terminated"


@pytest.mark.parametrize(
    ("at", "number"),
    [("home", signal.SIGTERM), pytest.param("setup", signal.SIGHUP, marks=pytest.mark.slow)],
)
def test_a_signal_ends_the_other_screens_as_well(kitchen, number, at):
    if at == "home":
        terminal = kitchen.run()
        terminal.wait_for("Nothing here yet.")
    else:
        terminal = kitchen.run("demo", "--by-hand")
        terminal.wait_for("Weigh sheet")
    terminal.kill(number)
    assert terminal.ended() == 128 + number
    assert terminal.restored()
    if at == "setup":
        assert last_stop(kitchen) == "hangup"


def test_two_signals_at_once_end_it_once(kitchen):
    stove = kitchen.at_the_stove()
    stove.kill(signal.SIGTERM)
    stove.kill(signal.SIGHUP)
    assert stove.ended() in (129, 143)
    assert stove.restored()
    assert 1 <= len(kitchen.facts(ev.Stopped)) <= 2


def test_a_closed_window_ends_it_and_is_noted(kitchen):
    stove = kitchen.at_the_stove()
    stove.hang_up()
    assert stove.ended(reading=False) == 129
    assert last_stop(kitchen) == "hangup"


def test_a_closed_window_that_nobody_tells_it_of_neither_keeps_it_alive_nor_burns_the_processor(kitchen):
    """As under nohup: the leader of the terminal ignores the hangup, so that no signal reaches the program."""
    kitchen.begin()
    shell = ["sh", "-c", f'trap "" HUP; "{sys.executable}" -m pourday resume; echo $? >"$0"; sleep 60']
    status = kitchen.folder.parent / "status"
    terminal = kitchen.run(str(status), command=shell)
    terminal.wait_for("is it lit?")
    (program,) = psutil.Process(terminal.process.pid).children()
    program.cpu_percent(None)
    terminal.hang_up()
    limit, spent = time.monotonic() + PATIENCE, []
    while time.monotonic() < limit and program.is_running() and program.status() != psutil.STATUS_ZOMBIE:
        spent.append(sum(program.cpu_times()[:2]))
        time.sleep(0.05)
    assert time.monotonic() < limit, "it lives on without a terminal"
    assert spent[-1] - spent[0] < 1.5
    while not (status.exists() and status.read_text().strip()) and time.monotonic() < limit:
        time.sleep(0.02)
    assert status.read_text().strip() == "129"
    assert last_stop(kitchen) == "hangup"


@pytest.mark.parametrize(
    ("number", "how"),
    [(signal.SIGTERM, "terminated"), pytest.param(signal.SIGHUP, "hangup", marks=pytest.mark.slow)],
)
def test_a_terminal_that_stopped_reading_does_not_keep_it_alive(kitchen, number, how):
    """A hung ssh: what is drawn goes nowhere, the screen waits for it, and then the program is told to end."""
    stove = kitchen.at_the_stove()
    clog(kitchen, stove)
    stove.kill(number)
    assert stove.ended(reading=False) == 128 + number
    assert last_stop(kitchen) == how


def test_a_terminal_that_stopped_reading_and_comes_back_finds_everything_as_it_was_typed(kitchen):
    stove = kitchen.at_the_stove()
    typed = [*clog(kitchen, stove), "40.5", "41.5"]
    stove.type("40.5\r41.5\r")
    stove.wait_for("41.5 °C")
    assert [r.typed for r in kitchen.facts(ev.Reading)] == typed


@pytest.mark.usefixtures("goes_on")
def test_stopped_and_continued_it_comes_back_with_what_was_half_typed(kitchen):
    stove = kitchen.at_the_stove()
    stove.type("74.")
    stove.wait_for("pot: 74.▏")
    stove.kill(signal.SIGTSTP)
    stove.until(lambda _: psutil.Process(stove.process.pid).status() == psutil.STATUS_STOPPED)
    stove.pump(0)
    assert stove.restored(), "the shell gets a usable terminal meanwhile"
    heard = len(stove.raw)
    stove.kill(signal.SIGCONT)
    stove.until(lambda _: b"\x1b[?1049h" in stove.raw[heard:])
    # What is typed while the terminal is still being set is dropped by the system; no hand is that quick.
    stove.pump(0.5)
    stove.type("5\r")
    stove.wait_for("74.5 °C")
    assert [r.typed for r in kitchen.facts(ev.Reading)] == ["74.5"]


@pytest.mark.usefixtures("goes_on")
def test_a_long_stop_is_on_record_as_a_gap(kitchen):
    begun = time.monotonic()
    stove = kitchen.at_the_stove()
    before = len(kitchen.facts(ev.GapSeen))
    stove.kill(signal.SIGSTOP)
    time.sleep(2.5)
    stove.kill(signal.SIGCONT)
    stove.until(lambda _: len(kitchen.facts(ev.GapSeen)) > before)
    gap = kitchen.facts(ev.GapSeen)[-1]
    assert gap.cause == "stalled"
    assert 2.0 < gap.seconds < time.monotonic() - begun


def test_standard_input_at_its_end_in_a_terminal_is_no_terminal(kitchen):
    """Screen and errors go to a terminal, but nobody can type: `pourday </dev/null`."""
    terminal = kitchen.run(command=["sh", "-c", f'"{sys.executable}" -m pourday </dev/null'])
    assert terminal.ended() == 1
    assert "There is no terminal here" in terminal.text()
    assert b"\x1b[?1049h" not in terminal.raw


@pytest.mark.parametrize("key", ["q", pytest.param("\x03", marks=pytest.mark.slow)])
def test_leaving_from_the_keyboard_ends_well(kitchen, key):
    """q, ctrl+q and ctrl+c are the same at the stove: with the burner off nothing speaks against it."""
    stove = kitchen.at_the_stove()
    stove.type(key)
    assert stove.ended() == 0
    assert stove.restored()
    assert last_stop(kitchen) == "left"


@pytest.mark.usefixtures("goes_on")
@pytest.mark.parametrize(("before", "key"), [("74", "\x11"), ("n", "\x03")])
def test_ctrl_q_and_ctrl_c_ask_or_leave_whatever_is_half_done(kitchen, key, before):
    """The way out is never shut by a note, a card, a question or a half typed number."""
    stove = kitchen.at_the_stove()
    stove.type(before)
    stove.pump(0.3)
    stove.type(key)
    assert stove.ended() == 0
    assert kitchen.facts(ev.Reading) == []
    assert kitchen.facts(ev.Noted) == []
    assert last_stop(kitchen) == "left"


@pytest.mark.usefixtures("goes_on")
def test_leaving_with_the_burner_lit_needs_a_second_different_key(kitchen):
    stove = kitchen.at_the_stove()
    stove.type("h")
    stove.wait_for("Filed: burner on.")
    stove.type("q")
    stove.wait_for("The burner is lit. Turn it off before you go.")
    for key in ("q", "\x03", "\x11"):
        stove.type(key)
        stove.pump(0.3)
    assert stove.process.poll() is None
    stove.type("x")
    assert stove.ended() == 0
    assert last_stop(kitchen) == "left"


@pytest.mark.slow
def test_a_signal_while_the_program_is_still_starting_leaves_no_broken_terminal(kitchen):
    """At several instants of the start, from the first moment to the first paint."""
    kitchen.begin()
    for step in range(10):
        terminal = kitchen.run("resume")
        limit = time.monotonic() + 0.08 * step
        while time.monotonic() < limit:
            terminal.pump(0.01)
        terminal.kill(signal.SIGTERM)
        status = terminal.ended()
        assert status in (143, -signal.SIGTERM)
        assert terminal.restored() or b"\x1b[?1049h" not in terminal.raw, f"killed after {0.08 * step:.2f} s"
        assert os.path.exists(kitchen.folder / "2026-11-25-a.journal")
