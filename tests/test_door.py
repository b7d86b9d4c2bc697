"""No visible string stands outside the door of `pourday.language`: what looks like a text for people has to go through it.

A sentence is told from data by where it stands. What decides (comparisons, keys, patterns, the members of a Literal), what
a docstring says, what goes on record as it is (facts, identities of acts, evidence and its values) and how a piece is drawn
are no texts for people. The few that are left are listed, each with why.
"""

from __future__ import annotations

import ast
import csv
import re
from functools import cache
from pathlib import Path

import pytest

import pourday

ROOT = Path(pourday.__file__).parent
DOOR = {"tr", "ntr", "word", "figures", "dated", "_in_context", "typed_words"}
RECORDED = {
    "ActId",
    "read_act_id",
    "told",
    "untold",
    "chosen",
    "BurnQuestion",
    "Card",
    "Deviation",
    "Row",
    "RegexTag",
}
"""Calls whose words go on record or decide, as they stand."""
DRAWN = re.compile(r"^:?(ink|soft|glow|rule|late|alarm|calm|own)?( bold)?( @.*)?$")
KEYS = re.compile(r"^((Up|Down|Left|Right|Home|End|PgUp|PgDn|Esc|Enter|Space|Tab|[a-z\[\]0-9.,]) ?)+$")
NOT_SHOWN = {
    "language.py": "the door itself",
    "reports/spreadsheet.py": "columns and words of a table for machines",
    "session/events.py": "names of facts, as they are on record",
    "session/act_id.py": "identities of acts, as they are on record",
    "shelf/making.py": "words that a day is found by, the same in each language",
    "shelf/card.py": "words that a day is found by, the same in each language",
    "store/migrate.py": "words of older records",
    "faults/table.py": "older names of faults, as they are on record",
    "reports/papers/day_chart.py": "a drawing's code",
    "reports/papers/mould_svg.py": "a drawing's code",
}
"""Files whose sentences-like strings are no texts for people; what they raise as `Trouble` is looked at all the same."""


@cache
def decides() -> frozenset[str]:
    """Every string that something is decided by anywhere in the program."""
    words: set[str] = set()
    for path in ROOT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            found: list[ast.AST] = []
            if isinstance(node, ast.Compare):
                found = [node.left, *node.comparators]
            elif isinstance(node, ast.MatchValue):
                found = [node.value]
            elif isinstance(node, ast.Dict):
                found = [key for key in node.keys if key is not None]
            elif isinstance(node, ast.Subscript):
                found = [node.slice]
            elif isinstance(node, ast.ClassDef):
                found = [keyword.value for keyword in node.keywords]
            words |= {
                each.value
                for one in found
                for each in ast.walk(one)
                if isinstance(each, ast.Constant) and isinstance(each.value, str)
            }
    for name in ("weights", "causes", "faults", "evidence"):
        with (ROOT / "faults" / f"{name}.csv").open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                words |= {
                    text for column, text in row.items() if column in ("cause", "evidence", "value", "fault")
                }
    return frozenset(words)


def called(node: ast.Call) -> str:
    """The name of what is called."""
    return node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")


def outside(path: Path) -> list[str]:
    """`line: text` of what looks like a text for people and does not go through the door."""
    source = path.read_text(encoding="utf-8")
    tree = ast.parse(source)
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    trouble_only = path.relative_to(ROOT).as_posix() in NOT_SHOWN
    found = []
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Constant) and isinstance(node.value, str)):
            continue
        text = node.value
        if (
            not re.search(r"[^\W\d_]{2,} [^\W\d_]{2,}", text)
            or text in decides()
            or DRAWN.match(text)
            or KEYS.match(text)
        ):
            continue
        above = [node]
        while above[-1] in parents:
            above.append(parents[above[-1]])  # type: ignore[arg-type]
        calls = [each for each in above if isinstance(each, ast.Call)]
        if trouble_only and not any(called(each) == "Trouble" for each in calls):
            continue
        if isinstance(above[1], ast.Expr) or any(called(each) in DOOR | RECORDED for each in calls):
            continue
        if any(ast.unparse(each.func).startswith(("ev.", "re.")) for each in calls):
            continue
        whole = above[1] if isinstance(above[1], ast.JoinedStr) else node
        if re.match(r"(?i)(r|rf|fr)['\"]", ast.get_source_segment(source, whole) or ""):
            continue
        found.append(f"{node.lineno}: {text[:80]}")
    return found


LEFT = {
    "# Settings of pourday. A line that is left out has its default; comments are kep": "what stands at the top of a file",
    'pot = "-0.40 K in ice on 2026-11-30"': "a line of a file, as it has to be written there",
    "The probe ": "a doubt that goes on record as it is",
}
"""Beginnings of what else is left outside, and why."""


@pytest.mark.parametrize(
    "path", sorted(ROOT.rglob("*.py")), ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_no_visible_string_is_outside_the_door(path):
    assert [each for each in outside(path) if each.partition(": ")[2] not in LEFT] == []


def test_what_is_said_in_one_case_is_no_bare_word_in_the_other():
    """`tr("not read") if … else "set"`: the bare word would stay English in every language, or is data and no text."""
    assert [each for path in sorted(ROOT.rglob("*.py")) for each in half_said(path)] == []


def half_said(path: Path) -> list[str]:
    """`file:line: word` of each bare word beside a text that goes through the door."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.IfExp):
            cases = [node.body, node.orelse]
        elif isinstance(node, ast.FunctionDef):
            cases = [each.value for each in ast.walk(node) if isinstance(each, ast.Return) and each.value]
        else:
            continue
        if any(isinstance(each, ast.Call) and called(each) in ("tr", "ntr") for each in cases):
            found += [
                f"{path.name}:{each.lineno}: {each.value}"
                for each in cases
                if isinstance(each, ast.Constant)
                and isinstance(each.value, str)
                and re.fullmatch("[A-Za-z-]{3,}", each.value)
            ]
    return found
