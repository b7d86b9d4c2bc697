"""Pasted text is never taken for keys, whatever is in it and however it arrives; nothing is filed by it."""

from __future__ import annotations

import os
import random

import pytest
from textual import events

from pourday.session import events as ev
from pourday.tui.app import PourdayApp
from pourday.tui.base import LineScreen
from pourday.tui.home.screen import HomeScreen
from pourday.tui.settings.screen import SettingsScreen
from pourday.tui.terminal.input import BEGIN, CUT_OFF, END, GIVEN_UP, MOST, Pasting, Sequences


class Clock:
    def __init__(self) -> None:
        self.t = 0.0

    def __call__(self) -> float:
        return self.t


def in_pieces(text: str, size: int) -> list[str]:
    return [text[i : i + size] for i in range(0, len(text), size)]


@pytest.mark.parametrize("size", [1, 2, 5, 6, 7, 4096])
def test_keys_outside_a_paste_pass_at_once_and_unchanged(size):
    keys = "74.5\r\x1b\x1b[A\x1b[20~ h\x1b[200"
    pasting = Pasting(Clock())
    assert [pasting.clean(piece) for piece in in_pieces(keys, size)] == in_pieces(keys, size)


@pytest.mark.parametrize("size", [1, 3, 6, 4096])
def test_a_paste_keeps_its_words_and_lines_and_loses_what_could_steer(size):
    sent = f"a{BEGIN}one\x1b[31m two\x1b\r\nthree\x07 \x1b]0;x\x07four\x1b[20{END}b{BEGIN}{END}c"
    pasting = Pasting(Clock())
    sequences = Sequences()
    got = [one for piece in in_pieces(sent, size) for one in sequences.whole(pasting.clean(piece))]
    assert got == ["a", f"{BEGIN}one two\nthree four{END}", "b", f"{BEGIN}{END}", "c"]


def test_a_pause_in_the_middle_of_the_mark_does_not_turn_a_paste_into_keys():
    clock = Clock()
    pasting, sequences = Pasting(clock), Sequences()
    got = sequences.whole(pasting.clean("\x1b[20"))
    clock.t += 2 * CUT_OFF
    got += sequences.nothing_more(2 * CUT_OFF)
    got += sequences.whole(pasting.clean(f"0~h 74{END}q"))
    assert got == [f"{BEGIN}h 74{END}", "q"]


@pytest.mark.parametrize("seed", range(30))
def test_between_the_marks_there_is_never_a_control_character_however_it_is_cut(seed):
    chance = random.Random(seed)
    signs = ["\x1b", "\x1b[", BEGIN, "h", " ", "7", "\r", "\x9b31m", "\x1b[20", "é", "\0"]
    body = "".join(chance.choice(signs) for _ in range(chance.randrange(400)))
    pasting, sequences, got, sent = Pasting(Clock()), Sequences(), list[str](), f"{BEGIN}{body}{END}q"
    while sent:
        size = chance.randrange(1, 9)
        got, sent = got + sequences.whole(pasting.clean(sent[:size])), sent[size:]
    pasted, last = got
    assert last == "q"
    assert pasted.startswith(BEGIN)
    assert pasted.endswith(END)
    inside = pasted[len(BEGIN) : -len(END)]
    assert all(c.isprintable() or c == "\n" for c in inside)


def test_of_a_very_long_paste_only_the_beginning_is_read_and_its_end_is_found():
    pasting = Pasting(Clock())
    got = "".join(pasting.clean(piece) for piece in in_pieces(BEGIN + "wax " * 500_000 + END + "q", 4096))
    assert got.endswith(END + "q")
    assert MOST / 2 < len(got) < MOST + 20


def test_a_paste_whose_end_never_comes_does_not_make_the_keyboard_deaf():
    clock = Clock()
    pasting = Pasting(clock)
    assert pasting.clean(BEGIN + "half") == BEGIN
    clock.t += GIVEN_UP + 0.1
    assert pasting.clean("e") == f"half{END}e"


# -- at the stove -----------------------------------------------------------------------------------------


def send(stove, data: bytes) -> None:
    at = 0
    while at < len(data):
        try:
            at += os.write(stove.master, data[at : at + 2000])
        except BlockingIOError:
            stove.pump(0.01)


def count(kitchen) -> int:
    return len(
        [e for e in kitchen.entries() if e.by == "person" and not isinstance(e.fact, ev.WatchAnswered)]
    )


HOSTILE = (
    b"74.5\r h q a heat\r",
    b"one \x1b[31mred\x1b[0m h h a o p y z " + b"h a q " * 20,
    b"\x1b" * 40 + b"h",
    b"h 7\n" * 60_000,
    b"\xff\xfe\x80 74\r",
)  # fmt: skip


def test_a_paste_at_the_stove_does_nothing_but_say_one_sentence(kitchen):
    stove = kitchen.at_the_stove()
    before = count(kitchen)
    for text in HOSTILE:
        send(stove, b"\x1b[200~" + text + b"\x1b[201~")
        shown = stove.wait_for("Pasted text is not taken here: type the reading. Nothing was done.")
        assert "burner OFF" in shown
        stove.type("7")
        stove.wait_for("pot: 7▏")
        stove.type("\x1b")
        stove.wait_gone("pot: 7▏")
    assert count(kitchen) == before


def test_a_paste_into_a_note_is_one_line_of_it_and_filed_by_enter_only(kitchen):
    stove = kitchen.at_the_stove()
    stove.type("n")
    stove.wait_for("note: ▏")
    send(stove, b"\x1b[200~seam \x1b[31mA\r\nis soft\x1b[201~")
    stove.wait_for("note: seam A is soft▏")
    assert not kitchen.facts(ev.Noted)
    send(stove, b"\x1b[200~ " + b"word " * 5000 + b"\x1b[201~")
    stove.wait_for("Only the first 300 characters were taken.")
    stove.type("\r")
    stove.wait_for("Note filed.")
    (note,) = kitchen.facts(ev.Noted)
    assert note.text.startswith("seam A is soft")
    assert len(note.text) <= 300


def test_bytes_that_are_no_text_do_not_make_the_keyboard_deaf(kitchen):
    stove = kitchen.at_the_stove()
    stove.type(b"\xff\xfe\xc3")
    stove.wait_for("not a reading and not a key here")
    stove.type("20\r")
    stove.wait_for("20.0 °C filed")


async def test_a_paste_in_one_go_with_the_key_that_left_a_screen_is_for_the_next_one(tmp_path, monkeypatch):
    app = PourdayApp(tmp_path / "sessions", config=tmp_path / "settings.toml")
    got = []
    monkeypatch.setattr(LineScreen, "pasted", lambda self, text: got.append((type(self).__name__, text)))
    monkeypatch.setattr(HomeScreen, "pasted", LineScreen.pasted)
    monkeypatch.setattr(SettingsScreen, "pasted", LineScreen.pasted)
    async with app.run_test() as pilot:
        await pilot.pause()
        home = app.screen
        app.open_settings()
        await pilot.pause()
        home.post_message(events.Paste("74.5"))
        await pilot.pause()
    assert got == [("SettingsScreen", "74.5")]
