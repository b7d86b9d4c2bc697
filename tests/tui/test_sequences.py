"""Whatever a terminal sends, the keyboard goes on working and no part of a sequence is taken for a key."""

from __future__ import annotations

import random
from codecs import getincrementaldecoder

import pytest
from textual.events import Key

from pourday.session import events as ev
from pourday.tui.terminal.driver import Reader
from pourday.tui.terminal.input import CUT_OFF, Pasting, Sequences


class Keyboard:
    """What the keys are called that come of some bytes."""

    def __init__(self) -> None:
        self.reader, self.sequences = Reader(), Sequences()
        self.pasting = Pasting(lambda: 0.0)
        self.decode = getincrementaldecoder("utf-8")("replace").decode

    def _keys(self, whole: list[str]) -> list[str]:
        return [m.key for one in whole for m in self.reader.read(one) if isinstance(m, Key)]

    def gets(self, data: bytes) -> list[str]:
        return self._keys(self.sequences.whole(self.pasting.clean(self.decode(data))))

    def waits(self, seconds: float) -> list[str]:
        return self._keys(self.sequences.nothing_more(seconds))


ANSWERS = (
    b"\x1b[?1;2c", b"\x1b[>0;276;0c", b"\x1b[?62;22c", b"\x1b[0n", b"\x1b[?997;1n", b"\x1b[3;0;0t",
    b"\x1b[4;800;600t", b"\x1b]11;rgb:0000/0000/0000\x07", b"\x1b]11;rgb:ffff/ffff/ffff\x1b\\",
    b"\x1bP1$r0m\x1b\\", b"\x1bP>|term(372)\x1b\\", b"\x1b_Gi=1;OK\x1b\\", b"\x1b[58;1x", b"\x1b[;;;;M",
    b"\x1b[-1u", b"\x1b[24;80R", b"\x1b[I", b"\x1b[O", b"\x1b[<0;10;20M", b"\x1b[M !!", b"\x1b[M\xc2\x80hh",
    b"\x1b[?2048;1$y", b"\x1b[48;1;1;1;1t", b"\x1b[48;99999;99999;1;1t", b"\x1b[99999999999;99999999999R",
    b"\x1b[<99;99999;99999M", b"\x1b[" + b"7" * 500 + b"h", b"\x1b]" + b"h" * 5000 + b"\x07",
)  # fmt: skip
"""Device attributes, status, colour scheme and colours, window sizes, focus, mouse (xterm control sequences)."""
IMPOSSIBLE = (
    b"\x1b[1114112u", b"\x1b[999999999999u", b"\x1b[97:98:99;1:2;97u", b"\x1b[97;1:3u", b"\x1b[55296u",
)  # fmt: skip
"""Keys by numbers that no character has, or that say more than Textual reads (the kitty keyboard protocol)."""


@pytest.mark.parametrize("data", ANSWERS + IMPOSSIBLE)
@pytest.mark.parametrize("size", [1, 3, 10_000])
def test_what_a_terminal_answers_presses_no_key_and_the_next_key_is_read(data, size):
    keyboard = Keyboard()
    pressed = [k for i in range(0, len(data), size) for k in keyboard.gets(data[i : i + size])]
    assert pressed == []
    assert keyboard.gets(b"q") == ["q"]


@pytest.mark.parametrize(
    ("data", "key"),
    [
        (b"\x1b[A", "up"), (b"\x1bOA", "up"), (b"\x1bOP", "f1"), (b"\x1b[[A", "f1"), (b"\x1b[11~", "f1"),
        (b"\x1b[5~", "pageup"), (b"\x1b[1;5A", "ctrl+up"), (b"\x1b[97u", "a"), (b"\x1bOq", "1"),
        (b"\x1bh", "alt+h"), (b"\r", "enter"), (b"\x7f", "backspace"), (b"\x03", "ctrl+c"), ("é".encode(), "é"),
    ],
)  # fmt: skip
def test_keys_keep_their_names_however_they_arrive(data, key):
    assert Keyboard().gets(data) == [key]
    keyboard = Keyboard()
    text = data.decode()
    assert [k for one in text for k in keyboard.gets(one.encode())] == [key]


def test_a_lone_esc_is_known_for_one_after_a_moment_and_esc_twice_is_esc_twice():
    keyboard = Keyboard()
    assert keyboard.gets(b"\x1b") == []
    assert keyboard.waits(0.1) == ["escape"]
    assert keyboard.gets(b"\x1b\x1b") + keyboard.waits(0.1) == ["escape", "escape"]


def test_a_sequence_that_breaks_off_is_waited_for_and_then_forgotten():
    keyboard = Keyboard()
    assert keyboard.gets(b"\x1b[1;") + keyboard.waits(0.1) + keyboard.gets(b"5A") == ["ctrl+up"]
    assert keyboard.gets(b"\x1b[20") + keyboard.waits(CUT_OFF) == []
    assert keyboard.gets(b"h") == ["h"]
    assert keyboard.gets(b"\x1b[20\r") == ["enter"]


@pytest.mark.parametrize("seed", range(20))
def test_after_any_bytes_at_all_and_a_moment_the_keyboard_works(seed):
    chance, keyboard = random.Random(seed), Keyboard()
    some = [x for x in (*ANSWERS, *IMPOSSIBLE) if len(x) < 100]
    for _ in range(60):
        data = chance.choice(some) if chance.random() < 0.5 else chance.randbytes(chance.randrange(1, 6))
        cut = chance.randrange(1, len(data) + 1)
        keyboard.gets(data[:cut].replace(b"200~", b""))
    keyboard.waits(CUT_OFF)
    assert keyboard.gets(b"7q")[-2:] == ["7", "q"]


def test_at_the_stove_no_answer_of_a_terminal_files_anything_or_stops_the_keys(kitchen):
    stove = kitchen.at_the_stove()
    before = len(kitchen.facts(ev.Reading))
    for data in (*ANSWERS[:-2], *IMPOSSIBLE):
        stove.type(data)
    stove.type("7")
    stove.wait_for("pot: 7▏")
    stove.type("\x7f21.5\r")
    stove.wait_for("21.5 °C filed")
    assert [r.celsius for r in kitchen.facts(ev.Reading)[before:]] == [21.5]
