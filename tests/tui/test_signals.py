"""Signals: a prompt and an alarm differ to eye and ear, nothing typed can steer a terminal, nothing is waited for."""

from __future__ import annotations

import os
import re
import sys
import threading
import time
from itertools import pairwise

import psutil
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.tui.terminal.signals import (
    GIVE_TITLE_BACK,
    KEEP_TITLE,
    MARKS,
    AlarmProgram,
    Signals,
    lit,
    notice_sequence,
    title_sequence,
    title_text,
)

HEARTBEAT = 0.25


class Ears:
    """What reached the terminal, and when."""

    def __init__(self) -> None:
        self.now = 100.0
        self.written: list[str] = []
        self.bells: list[float] = []
        self.signals = Signals(self.written.append, lambda: self.bells.append(self.now), lambda: self.now)

    def stand(self, seconds: float, word: str = "WAIT", alarm: str = "", quiet: bool = False) -> None:
        for _ in range(round(seconds / HEARTBEAT)):
            self.signals.look(word, f"{word} now.", alarm, quiet, word == "WAIT")
            self.now += HEARTBEAT


@pytest.fixture
def ears():
    ears = Ears()
    ears.stand(1)
    return ears


def test_a_prompt_rings_once_and_waiting_does_not_ring(ears):
    ears.stand(30, "POUR A")
    assert len(ears.bells) == 1
    ears.stand(30, "WAIT")
    assert len(ears.bells) == 1


def test_an_alarm_rings_three_times_again_and_again_ever_slower_and_never_stops(ears):
    ears.stand(300, "HEAT OFF", "Dry pot.")
    gaps = [b - a for a, b in pairwise(ears.bells)]
    assert gaps[:2] == [0.5, 0.5]
    pauses = [gap for gap in gaps if gap > 1]
    assert pauses == sorted(pauses)
    assert pauses[0] < 5 < 25 < pauses[-1] <= 30
    assert ears.now - ears.bells[-1] < 31


def test_a_key_silences_an_alarm_on_every_screen_and_a_new_one_rings_anew(ears):
    ears.stand(3, "HEAT OFF", "Dry pot.")
    rung = len(ears.bells)
    ears.signals.hush()
    ears.stand(60, "HEAT OFF", "Dry pot.")
    assert len(ears.bells) == rung
    ears.stand(2, "HEAT OFF", "Dry pot. Wax over its ceiling.")
    assert len(ears.bells) == rung + 3
    ears.stand(60, "HEAT OFF", "Dry pot. Wax over its ceiling.", quiet=True)
    assert len(ears.bells) == rung + 3


def test_a_bell_that_is_off_is_off_and_hearing_it_says_so(ears):
    ears.signals.sound = False
    ears.stand(30, "HEAT OFF", "Dry pot.")
    assert ears.bells == []
    assert ears.signals.ring("alarm") is False
    ears.signals.sound = True
    assert ears.signals.ring("prompt") is True


def test_marks_differ_by_sign_and_word_and_flash_at_most_twice_a_second():
    prompt, alarm = MARKS["prompt"], MARKS["alarm"]
    assert prompt.sign != alarm.sign
    assert prompt.word != alarm.word
    moments = [lit(n / 1000) for n in range(10_000)]
    flashes = sum(now and not before for before, now in pairwise(moments))
    assert flashes / 10 <= 2


def test_the_title_is_written_once_for_each_word(ears):
    ears.written.clear()
    ears.stand(5, "POUR A")
    ears.stand(5, "HEAT OFF", "Dry pot.")
    assert ears.written == ["\x1b]2;POUR A · pourday\x1b\\", "\x1b]2;▲ HEAT OFF · pourday\x1b\\"]


def test_notices_come_by_the_way_that_is_set_once_for_each_prompt_and_alarm(ears):
    ears.signals.notify = "osc777"
    ears.written.clear()
    ears.stand(5, "POUR A")
    ears.stand(50, "HEAT OFF", "Dry pot; heat off.")
    notices = [w for w in ears.written if "notify" in w]
    assert notices == [
        "\x1b]777;notify;pourday;POUR A: POUR A now.\x1b\\",
        "\x1b]777;notify;pourday;ALARM: Dry pot, heat off.\x1b\\",
    ]
    assert notice_sequence("osc9", "look") == "\x1b]9;look\x1b\\"
    assert notice_sequence("off", "look") == ""


@given(st.text(st.characters(min_codepoint=0, max_codepoint=0x2FFF, exclude_categories=["Cs"]), max_size=80))
def test_nothing_in_a_text_can_end_its_sequence_or_begin_another(text):
    for sequence, ends in (
        (title_sequence(title_text(text, True)), "\x1b\\"),
        (notice_sequence("osc9", text), "\x1b\\"),
        (notice_sequence("osc777", text), "\x1b\\"),
    ):
        inside = sequence.removeprefix("\x1b]").removesuffix(ends)
        assert sequence == f"\x1b]{inside}{ends}"
        assert not any(ord(c) < 32 or 0x7F <= ord(c) <= 0x9F for c in inside)
        assert inside.count(";") == 3 or not inside.startswith("777")


# -- the program of the person's own -------------------------------------------------------------------


def soon(holds, seconds: float = 60.0) -> None:
    limit = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < limit
        time.sleep(0.01)


@pytest.fixture
def started_programs():
    """Makes alarm programs, and ends what they have started."""
    made: list[AlarmProgram] = []

    def make() -> AlarmProgram:
        made.append(AlarmProgram())
        return made[-1]

    yield make
    for program in made:
        program.stop()


FAMILY = """
import subprocess, sys, time, pathlib
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(300)"])
pathlib.Path(sys.argv[1]).write_text(str(child.pid))
time.sleep(float(sys.argv[2]))
child.returncode = 0
"""


@pytest.mark.parametrize("lives", [300.0, 0.0])
@pytest.mark.parametrize("end", ["acknowledged", "left"])
def test_the_alarm_program_and_all_it_started_end_with_the_alarm_and_with_the_screen(tmp_path, lives, end):
    """Also what a program left behind that has itself ended: a player in the background plays on."""
    told = tmp_path / "child"
    signals = Signals(lambda _: None, lambda: None, lambda: 1.0)
    signals.command = (sys.executable, "-c", FAMILY, str(told), str(lives))
    signals.look("POUR", "pour", "the pot is too hot", quiet=False, waits=False)
    soon(lambda: told.exists() and told.read_text())
    child = psutil.Process(int(told.read_text()))
    if not lives:
        soon(lambda: not any(thread.name == "alarm program" for thread in threading.enumerate()))
    assert child.is_running()
    if end == "left":
        signals.leave()
    else:
        signals.look("POUR", "pour", "", quiet=True, waits=False)
    soon(lambda: not child.is_running() or child.status() == psutil.STATUS_ZOMBIE)
    assert signals.program.trouble() == ""


def test_the_alarm_program_gets_its_arguments_as_they_are_without_a_shell(started_programs, tmp_path):
    told = tmp_path / "told"
    program = started_programs()
    code = "import sys, pathlib; pathlib.Path(sys.argv[1]).write_text(sys.argv[2])"
    program.start((sys.executable, "-c", code, str(told), "$(date); `id` ; 'x'"))
    soon(lambda: told.exists() and told.read_text())
    assert told.read_text() == "$(date); `id` ; 'x'"


def test_a_program_that_hangs_is_not_waited_for_nor_started_twice(started_programs, tmp_path):
    go, told = tmp_path / "go", tmp_path / "n"
    code = (
        f"import os, time\nwith open({str(told)!r}, 'a') as file: file.write('x')\n"
        f"while not os.path.exists({str(go)!r}): time.sleep(0.02)"
    )
    program = started_programs()
    for _ in range(20):
        program.start((sys.executable, "-c", code))
    soon(lambda: told.exists() and told.read_text())
    program.start((sys.executable, "-c", code))
    assert told.read_text() == "x"
    go.touch()
    soon(lambda: not any(thread.name == "alarm program" for thread in threading.enumerate()))
    assert told.read_text() == "x"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("no-such-program-here",), "is not there"),
        ((os.devnull,), "may not be started"),
        ((sys.executable, "-c", "raise SystemExit(3)"), "ended with status 3"),
        (("nul\0l",), "cannot be started"),
    ],
)
def test_a_program_that_fails_gets_one_plain_sentence_once(started_programs, words, says):
    program = started_programs()
    said: list[str] = []
    program.start(words)
    soon(lambda: said.append(program.trouble()) or said[-1])
    assert says in said[-1]
    program.start(words)
    time.sleep(0.1)
    assert program.trouble() == ""


# -- through the real program --------------------------------------------------------------------------


def test_title_bell_notice_and_mark_come_through_the_terminal_and_the_title_is_given_back(kitchen):
    config = kitchen.folder.parent / "settings.toml"
    config.write_text('notify = "osc9"\nalarm_command = ["no-such-program-here"]\n')
    kitchen.env["POURDAY_CONFIG"] = str(config)
    stove = kitchen.cold_at_the_stove()
    assert KEEP_TITLE.encode() in stove.raw
    stove.until(lambda _: "HEAT ON · pourday".encode() in stove.raw)
    before = len(stove.raw)
    stove.type("108\r")
    stove.wait_for("▲", "ALARM", "g got it")
    title = re.compile("\x1b]2;▲ [A-Z ]+ · pourday\x1b\\\\".encode())
    stove.until(lambda _: title.search(stove.raw[before:]))
    stove.until(lambda _: b"\x1b]9;ALARM: " in stove.raw[before:])
    stove.until(lambda _: stove.raw[before:].count(b"\x07") >= 1)
    stove.wait_for("The alarm program “no-such-program-here” is not there.")
    stove.type("q")
    stove.pump(0.3)
    stove.type("x")
    stove.until(lambda _: stove.process.poll() is not None or GIVE_TITLE_BACK.encode() in stove.raw)
    assert GIVE_TITLE_BACK.encode() in stove.raw
