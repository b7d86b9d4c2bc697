"""The tables of this room: faults by what one sees, their causes, and how much each thing in a record speaks for a cause.

`faults.csv` says how a fault looks and what it is mistaken for, `candidates.csv` what it can come from and how often
that is so (1 seldom, 2 now and then, 3 often, 4 the usual cause), `causes.csv` what one does about a cause,
`evidence.csv` how a thing is told and what to say where it was not, and `weights.csv` how many times as likely a thing
is to be so where the cause was at work as where another one was. Weights are estimates; nothing was tuned on real days.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, cast

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.text import plain

Where = Literal["top", "side", "join", "base", "inside", "flame"]
WHERES: tuple[Where, ...] = ("top", "side", "join", "base", "inside", "flame")
About = Literal["seam", "first", "top-up", "any", "burn"]
"""Which pours of a candle a fault is about: those onto another colour, the first, the top-ups, any; or its burns."""
SOMETHING_ELSE = "something else"
"""The cause that stands for all that the table does not know."""
ELSE_OFTEN = 0.4
"""How often it is something else, on the scale of `candidates.csv`: estimate."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One cause that a fault can come from."""

    cause: str
    often: float
    source: str


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault, as the trade calls it."""

    name: str
    where: Where
    about: About
    looks: str
    confused_with: str
    caution: str
    """What comes before the causes where the fault can hurt somebody; empty where it cannot."""
    candidates: tuple[Candidate, ...]


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause, in words, and what is done about it where nothing can be computed; `{K:5}` and the like are figures."""

    name: str
    says: str
    change: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What to say where a thing was not recorded, and what to do to have it next time; empty where a record always tells."""

    untold: str
    note: str


def _rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the CSV files beside this module, by the names of their columns."""
    text = files("pourday.faults").joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def faults() -> Mapping[str, Fault]:
    """Every fault by its name, in the order of the table."""
    candidates: dict[str, list[Candidate]] = {}
    for row in _rows("candidates.csv"):
        one = Candidate(row["cause"], float(row["often"]), row["source"])
        candidates.setdefault(row["fault"], []).append(one)
    return {
        row["fault"]: Fault(
            row["fault"],
            cast("Where", row["where"]),
            cast("About", row["about"]),
            tr(row["looks"]),
            tr(row["confused_with"]),
            tr(row["caution"]),
            (*candidates[row["fault"]], Candidate(SOMETHING_ELSE, ELSE_OFTEN, "ours")),
        )
        for row in _rows("faults.csv")
    }


@cache
def causes() -> Mapping[str, Cause]:
    """Every cause by its name."""
    return {
        row["cause"]: Cause(row["cause"], tr(row["says"]), tr(row["change"])) for row in _rows("causes.csv")
    }


@cache
def asked() -> Mapping[str, Asked]:
    """What is asked of a record, by the key of each thing."""
    return {row["evidence"]: Asked(tr(row["untold"]), tr(row["note"])) for row in _rows("evidence.csv")}


@cache
def weights() -> Mapping[str, Mapping[str, Mapping[str, float]]]:
    """By cause, then key of the evidence, then its value: how many times as likely it is where this cause was at work."""
    table: dict[str, dict[str, dict[str, float]]] = {}
    for row in _rows("weights.csv"):
        table.setdefault(row["cause"], {}).setdefault(row["evidence"], {})[row["value"]] = float(row["ratio"])
    return table


OTHER_NAMES: Mapping[str, str] = {
    "seam split": "join split",
    "smeared seam": "smeared join",
    "layers separate": "join split",
    "layers apart": "join split",
    "pits or bubbles": "pits",
    "cracks": "web cracks",
    "colour bled": "colour bleeding",
    "cavern": "hollow",
    "hidden cavern": "hollow",
    "wet spots": "pull-away patch",
    "chatter lines": "rings",
    "jump lines": "rings",
    "sweating": "greasy skin",
    "sink after top-up": "sunk base",
    "guttering": "wall breach",
    "wick drowns": "drowning wick",
}
"""Names that older records or other makers use."""


def fault_named(name: str) -> Fault:
    """The fault of this name, whatever its case. Raises `Trouble` with what there is."""
    wanted = " ".join(name.lower().split())
    wanted = next((each for each in faults() if word(each).lower() == wanted), wanted)
    fault = faults().get(OTHER_NAMES.get(wanted, wanted))
    if fault is not None:
        return fault
    near = [each for each in faults() if any(part in each.split() for part in wanted.split())]
    there = near or list(faults())
    raise Trouble(
        tr("No fault is called “{name}”.", name=plain(name, 60)),
        instead=tr("There is: {there}.", there=", ".join(word(each) for each in there)),
    )


def at(where: Where) -> tuple[Fault, ...]:
    """The faults that are seen in one place."""
    return tuple(fault for fault in faults().values() if fault.where == where)
