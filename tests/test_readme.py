"""The README's tables say what the program does: its commands with their options, and every key at the stove."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from pourday.arguments import command_line
from pourday.tui.terminal import keys

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")


def table(head: str) -> list[tuple[str, str]]:
    """The rows of the table whose first column is called so, as two texts."""
    _, _, after = README.partition(f"\n| {head} | what it does |\n|---|---|\n")
    assert after, f"README.md has no table of each {head}"
    rows = after.partition("\n\n")[0].splitlines()
    cells = [[cell.strip() for cell in row.strip("| ").split(" | ")] for row in rows]
    assert all(len(row) == 2 for row in cells)
    return [(row[0], row[1]) for row in cells]


def commands() -> dict[str, argparse.ArgumentParser]:
    choices = [a.choices for a in command_line()._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(choices[0])


def options(parser: argparse.ArgumentParser) -> set[str]:
    """What this command alone understands."""
    every = {text for action in parser._actions for text in action.option_strings}
    return every - {text for action in command_line()._actions for text in action.option_strings}


def taken(action):
    """What a command takes, as it is written in a table: `[ID]` may be left out, of `ID…` there may be several."""
    name = action.metavar or action.dest.upper()
    return {"?": f"[{name}]", "*": f"[{name}…]", "+": f"{name}…"}.get(action.nargs, action.dest.upper())


def test_every_command_has_its_row_with_all_its_options_and_no_others():
    rows = {call.strip("`"): says for call, says in table("command")}
    told = {call.split()[1] for call in rows if " " in call}
    assert told == set(commands()), (
        "each command of `arguments.py` has a row in README's table of commands, no other has"
    )
    for call, says in rows.items():
        if " " not in call:
            continue
        parser = commands()[call.split()[1]]
        assert set(re.findall(r"--[a-z-]+", says)) == options(parser), call
        takes = [action for action in parser._actions if not action.option_strings]
        written = [taken(action) for action in takes]
        assert call.split()[2:] == written


def test_every_key_at_the_stove_has_a_row_that_begins_as_its_help_does():
    rows = dict(table("key"))
    del rows["digits"]  # what belongs to a number that is being typed is no binding
    assert set(rows) == {binding.shows for binding in keys.BINDINGS}
    for binding in keys.BINDINGS:
        assert rows[binding.shows].startswith(binding.says), binding.id


def test_the_keys_of_a_demo_are_named():
    (line,) = [line for line in README.splitlines() if line.startswith("In a demo also:")]
    assert set(re.findall(r"`(.)`", line)) == set(keys._DEMO)
