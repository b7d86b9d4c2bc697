"""How a command speaks and saves."""

from __future__ import annotations

import argparse

import pytest

from pourday.arguments import command_line
from pourday.commands import run
from pourday.console import complain, save_new, say
from pourday.errors import Trouble
from pourday.screen_commands import probe_specs


def test_what_is_said_steers_no_terminal(capsys):
    say("one\x1b[2Jtwo")
    complain("three\x1b]0;title\x07")
    out, err = capsys.readouterr()
    assert "\x1b" not in out + err
    assert "one" in out
    assert "three" in err


def test_nothing_that_stands_is_written_over(tmp_path):
    save_new(tmp_path / "a.html", b"mine")
    with pytest.raises(Trouble, match="There is a file"):
        save_new(tmp_path / "a.html", b"yours")
    assert (tmp_path / "a.html").read_bytes() == b"mine"
    with pytest.raises(Trouble, match="could not be written"):
        save_new(tmp_path / "nowhere" / "a.html", b"")


def test_a_command_without_what_it_needs_says_what_to_give():
    with pytest.raises(Trouble, match="No plan was named"):
        run(command_line().parse_args(["plan"]))


def test_probes_of_the_command_line_are_numbered():
    assert probe_specs(argparse.Namespace()) is None
    assert list(probe_specs(argparse.Namespace(probe=["file:/a", "file:/b"])) or {}) == ["1", "2"]
