"""A cast of the demo: it plays, as far as it goes, to what the terminal showed."""

from __future__ import annotations

import json
from pathlib import Path

import pyte
import pytest

from pourday.errors import Trouble
from pourday.tui.terminal.cast import CastFile
from tests.tui.conftest import UNKNOWN_TO_PYTE


def test_what_was_shown_is_shown_again_by_the_cast(kitchen, tmp_path: Path) -> None:
    """asciicast v2: a header, then [seconds, code, text]; played into a terminal emulator it ends on the same screen."""
    cast = tmp_path / "demo.cast"
    demo = kitchen.run("demo", "--record", str(cast))
    demo.wait_for("burner ON")
    demo.resize(100, 30)
    demo.wait_for("burner ON")
    demo.pump(0.5)
    demo.kill()
    demo.ended()
    head, *rows = [json.loads(line) for line in cast.read_text("utf-8").splitlines()]
    assert (head["version"], head["width"], head["height"]) == (2, 80, 24)
    assert head["env"] == {"TERM": "xterm-256color"}
    assert {code for _, code, _ in rows} == {"o", "r"}
    times = [seconds for seconds, _, _ in rows]
    assert times == sorted(times)
    assert times[0] >= 0
    screen = pyte.Screen(80, 24)
    stream = pyte.ByteStream(screen)
    for _, code, text in rows:
        if code == "r":
            columns, lines = map(int, text.split("x"))
            screen.resize(lines, columns)
        else:
            stream.feed(UNKNOWN_TO_PYTE.sub(b"", text.encode()))
    shown = "\n".join(row.rstrip() for row in screen.display)
    assert "Two pillars, rust and cream" in shown
    assert "burner ON" in shown


def test_a_cast_is_a_new_file_and_a_full_disk_ends_only_the_cast(tmp_path: Path) -> None:
    there = tmp_path / "there.cast"
    there.write_text("mine")
    with pytest.raises(Trouble, match="already"):
        CastFile(there, lambda: 0.0, 0.0, "")
    with pytest.raises(Trouble, match="could not be written"):
        CastFile(tmp_path / "no" / "such.cast", lambda: 0.0, 0.0, "")
    assert there.read_text() == "mine"
    cast = CastFile(tmp_path / "new.cast", lambda: 7.0, 1.8e9, "dumb")
    cast.wrote("before its size is known")
    cast.sized(80, 24)
    cast.close()
    cast.wrote("after it was closed")
    assert len((tmp_path / "new.cast").read_text().splitlines()) == 1


def test_text_has_no_cast(kitchen) -> None:
    said = kitchen.plain("demo", "--plain", "--record", "x.cast")
    assert said.returncode == 1
    assert "--plain has none" in said.stderr
