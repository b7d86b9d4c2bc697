"""Every number that means something says beside it where it comes from.

What a constant may say, in the docstring under it or a comment on its line, is in `MARKS`; of a block of constants one docstring
serves all where it says so (`OF_ALL`). It is no proof of the figure: it tells a reader whether to look for a book, a test or
nothing at all.
Numbers inside functions are not read here; those of the simulated kitchen carry comments.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

import pourday

ROOT = Path(pourday.__file__).parent
ROOMS = (
    *("wax", "forecast", "kitchen", "learning", "guide", "burn", "curve", "heap", "faults"),
    *("plan", "probes", "session", "moulds", "store", "demo", "units.py", "times.py"),
)
"""Where numbers speak of wax, heat, the trade or the person. In the others they speak of files, tables and screens."""

MARKS = {
    "source": r"\b(ASTM [DF]\d|EN (ISO )?\d|IAPWS|CODATA|CRC Handbook|NIST|NUREG-\d|US \d{7} |PMC\d)|\bhandbook"
    r"|\bpublished\b|Incropera|Dortmund Data Bank|Fire and Rescue|candle association|\bof the paper\b|wax table",
    "estimate": r"\bestimates?\b|common practice|\bfrom memory\b|\bno source\b",
    "worked out": r"\btuned\b|\bset on\b|\btests/|\bderived\b",
    "chosen": r"\bchosen\b",
    "exact": r"\bby definition\b|\bexact\b|\bstandard gravity\b|\bof a normal (distribution|noise)\b",
}
"""What a number may say of itself: a source to look up, an estimate of ours or of the trade, how it was worked out, that it was
chosen (of the computation or the screen: another would do as well) or that it is exact."""

OF_ALL = r"\b(estimates|figures|coefficients|each|all|both)\b"
"""What a docstring says that speaks for more constants than the one above it: one estimate among sourced numbers is not all."""

UNITS = r"_(C|K|S|H|DAYS|KG|G|M|MM|W)$"
"""The end of a name whose whole number is no count of things."""


class Number(NamedTuple):
    where: str
    name: str
    says: str

    @property
    def kind(self) -> str:
        """The first of `MARKS` that it bears; "bare" where it bears none."""
        return next((kind for kind, words in MARKS.items() if re.search(words, self.says, re.I)), "bare")


def _means_something(value: ast.expr, name: str, *, of_a_class: bool) -> bool:
    """Whether a value holds a number with a fraction, a span of time, a share of whole numbers or one whose name has a unit. Any
    other whole number is mostly a count of something, and a field of a class that begins at nothing or one begins where
    nothing is told."""
    nothing = (0.0, 1.0) if of_a_class else ()
    has_unit = re.search(UNITS, name, re.I) is not None

    def means(part: ast.AST) -> bool:
        match part:
            case ast.Constant(value=float(number)):
                return number not in nothing
            case ast.Constant(value=int(number)):
                return has_unit and number not in (0, 1)
            case ast.Name(id=word):
                return word in ("MINUTE", "HOUR", "DAY")
            case ast.BinOp(left=ast.Constant(), op=ast.Div()):
                return True
        return False

    return any(map(means, ast.walk(value)))


def _docstring_after(block: list[ast.stmt], at: int, *, shared: bool = False) -> str:
    """The docstring under an assignment, or where `shared` under the last of the block that it begins."""
    while shared and at + 1 < len(block) and isinstance(block[at + 1], ast.Assign | ast.AnnAssign):
        if block[at + 1].lineno != (block[at].end_lineno or 0) + 1:
            return ""
        at += 1
    below = block[at + 1] if at + 1 < len(block) else None
    if isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant):
        return str(below.value.value)
    return ""


def _numbers(path: Path) -> Iterator[Number]:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()

    def read(block: list[ast.stmt], owner: str) -> Iterator[Number]:
        for at, line in enumerate(block):
            if isinstance(line, ast.ClassDef):
                yield from read(line.body, f"{line.name}.")
            if not isinstance(line, ast.Assign | ast.AnnAssign) or line.value is None:
                continue
            target = line.targets[0] if isinstance(line, ast.Assign) else line.target
            if not _means_something(line.value, ast.unparse(target), of_a_class=bool(owner)):
                continue
            own = "\n".join(lines[line.lineno - 1 : line.end_lineno])
            says = _docstring_after(block, at) + " ".join(re.findall(r"# (.*)", own))
            if not owner and re.search(OF_ALL, of_block := _docstring_after(block, at, shared=True), re.I):
                says += of_block
            yield Number(f"{path.relative_to(ROOT)}:{line.lineno}", owner + ast.unparse(target), says)

    yield from read(ast.parse(text).body, "")


def numbers_of(room: str) -> list[Number]:
    """Every constant and every default of one of `ROOMS` that means something."""
    files = sorted((ROOT / room).rglob("*.py")) or [ROOT / room]
    return [number for file in files for number in _numbers(file)]


@pytest.mark.parametrize("room", ROOMS)
def test_every_number_says_where_it_comes_from(room: str) -> None:
    bare = [number for number in numbers_of(room) if number.kind == "bare"]
    told = "\n".join(f"  pourday/{number.where}: {number.name}" for number in bare)
    assert not bare, (
        "These numbers say neither where they come from nor that they are an estimate. Put it into the docstring under each,\n"
        f"in words that `MARKS` of this file knows (a named source, “estimate”, “common practice, no source”, “chosen”):\n{told}"
    )


if __name__ == "__main__":
    counted = Counter(number.kind for room in ROOMS for number in numbers_of(room))
    print(", ".join(f"{kind} {counted[kind]}" for kind in (*MARKS, "bare")))
