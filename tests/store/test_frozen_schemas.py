"""A record written by this program is read by every program of its version: the shape is frozen.

When one of these fails, a fact or a field of the plan is new or changed. The shape of a released version never
changes: raise `SCHEMA` (DEVELOPERS.md, "Add a fact").
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from pathlib import Path

import msgspec
import pytest

import pourday
from pourday.reports.plan_report import plan_schema
from pourday.session.events import SCHEMA
from pourday.store.record import json_schema
from tests.store import shape as shapes
from tests.store.shape import draft, frozen, shape

FROZEN = {
    1: "ea0a037dfdce00f691e71b23d94a023a93e470f9be096c7a8fe959d67226c134",
    2: "d3a1222336e3620a3fba62055066921ff06a602083a866a184d420f059d6ee3b",
}
"""SHA-256 of each frozen version. A line is added when a version is released; none is ever changed:
the programs that write that version are in use, and call a record with an unknown field damaged."""


def test_the_record_has_the_shape_of_its_version():
    path = frozen(SCHEMA) if SCHEMA in FROZEN else draft(SCHEMA)
    assert path.exists(), f"SCHEMA {SCHEMA} is new: python -m tests.store.shape writes its draft"
    before, now = set(path.read_text(encoding="utf-8").splitlines()), set(shape(json_schema()).splitlines())
    advice = (
        f"raise SCHEMA to {SCHEMA + 1}" if SCHEMA in FROZEN else "python -m tests.store.shape draws it anew"
    )
    assert now == before, f"the shape of version {SCHEMA} changed: {advice}\n" + "\n".join(
        sorted(now ^ before)
    )


def test_a_plan_file_has_the_shape_of_the_plan_in_the_record():
    plan, record = json.loads(plan_schema())["$defs"], json.loads(json_schema())["$defs"]
    assert plan == {name: record[name] for name in plan}


@pytest.mark.parametrize("version", FROZEN)
def test_a_frozen_version_is_what_it_was(version):
    assert hashlib.sha256(frozen(version).read_bytes()).hexdigest() == FROZEN[version]


def test_every_version_is_frozen_but_the_one_that_is_being_made():
    made = {SCHEMA} - set(FROZEN)
    assert sorted(set(FROZEN) | made) == list(range(1, SCHEMA + 1))
    assert {path.name for path in shapes.FOLDER.iterdir()} == (
        {frozen(version).name for version in FROZEN} | {draft(version).name for version in made}
    )


def test_a_released_program_writes_a_frozen_version():
    assert SCHEMA in FROZEN or ".dev" in pourday.__version__, "python -m tests.store.shape --release"


def test_no_frozen_file_was_ever_changed_after_it_was_committed():
    """The hash stands beside the file and could be edited with it; the history cannot be."""
    top = Path(pourday.__file__).parent.parent
    if shutil.which("git") is None or not (top / ".git").exists():
        pytest.skip("no git history here")
    for version in FROZEN:
        command = ["git", "log", "--format=%h", "--diff-filter=MT", "--", str(frozen(version))]
        done = subprocess.run(command, cwd=top, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout) == (0, ""), done.stderr or frozen(version).name
        command = ["git", "diff", "--quiet", "--diff-filter=MT", "HEAD", "--", str(frozen(version))]
        assert subprocess.run(command, cwd=top, check=False).returncode == 0, frozen(version).name


def test_the_draft_of_a_frozen_version_cannot_be_written():
    if SCHEMA in FROZEN:
        with pytest.raises(SystemExit, match=f"Raise SCHEMA .* to {SCHEMA + 1}"):
            shapes.main([])


class Cup(msgspec.Struct, tag_field="kind", tag="cup", forbid_unknown_fields=True):
    full: bool


class Lid(msgspec.Struct, tag_field="kind", tag="lid", forbid_unknown_fields=True):
    on: bool


class LidWithNote(msgspec.Struct, tag_field="kind", tag="lid", forbid_unknown_fields=True):
    """Says more."""

    on: bool
    note: str = ""


class LidWithWords(msgspec.Struct, tag_field="kind", tag="lid", forbid_unknown_fields=True):
    """The lid of the pot, under another name and with a sentence about it."""

    on: bool


def of(kind) -> str:
    return shape(msgspec.json.encode(msgspec.json.schema(kind)))


def test_a_new_fact_a_new_field_and_a_new_limit_change_the_shape_and_words_do_not():
    assert of(list[Lid]) != of(list[Lid | Cup])
    assert of(list[Lid]) != of(list[LidWithNote])
    assert of(list[Lid]) == of(list[LidWithWords])
    assert of(list[Lid | Cup]) == of(list[Cup | LidWithWords])
