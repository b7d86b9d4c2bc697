"""Commands called as the door calls them, without a shell around them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import msgspec
import pytest

from pourday.arguments import command_line
from pourday.commands import _ALONE, _IN_FOLDER, _WITH_BOTH, _WITH_SETTINGS
from pourday.errors import Trouble
from pourday.plan.model import Plan
from pourday.plan_commands import plan_command, schema_command
from pourday.record_commands import check_command, print_command, show_command

SAMPLES = Path(__file__).parents[1] / "sessions"


def asked(*words):
    return command_line().parse_args(list(words))


def test_every_command_that_is_understood_does_something():
    done = {*_ALONE, *_WITH_SETTINGS, *_IN_FOLDER, *_WITH_BOTH} - {None}
    commands = next(action.choices for action in command_line()._actions if action.dest == "command")
    assert commands is not None
    assert done == set(commands), (
        "name the function of each command in one of the tables at the end of commands.py"
    )


def test_a_record_as_data_is_the_file_itself(capfdbinary):
    name = sorted(SAMPLES.glob("*.json"))[0].stem
    assert show_command(SAMPLES, asked("show", name, "--json")) == 0
    shown = json.loads(capfdbinary.readouterr().out)
    assert shown["entries"] == json.loads((SAMPLES / f"{name}.json").read_bytes())["entries"]


def test_a_record_that_was_changed_by_hand_is_told_and_the_status_says_so(tmp_path, capfd):
    name = sorted(SAMPLES.glob("*.json"))[0].name
    shutil.copy(SAMPLES / name, tmp_path / name)
    assert check_command(tmp_path, asked("check")) == 0
    broken = (tmp_path / name).read_bytes().replace(b'"poured"', b'"purred"', 1)
    (tmp_path / name).write_bytes(broken)
    assert check_command(tmp_path, asked("check")) == 1
    assert name in capfd.readouterr().out


def test_the_record_is_no_paper_to_be_printed_as_text():
    name = sorted(SAMPLES.glob("*.json"))[0].stem
    with pytest.raises(Trouble, match="pourday show"):
        print_command(SAMPLES, asked("print", name, "record", "--text"))


def test_a_time_to_begin_belongs_to_a_rehearsal(tmp_path):
    path = tmp_path / "plan.json"
    path.write_bytes(msgspec.json.encode(Plan()))
    with pytest.raises(Trouble, match="--rehearse"):
        plan_command(asked("plan", str(path), "--begin", "9:00"))


def test_the_shape_of_a_plan_file_names_every_field_of_a_plan(capfd):
    assert schema_command(asked("schema", "--plan")) == 0
    shown = capfd.readouterr().out
    assert all(f'"{field}"' in shown for field in Plan.__struct_fields__)
