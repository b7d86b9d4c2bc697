"""Days laid side by side: what each says of the same thing, and where they differ.

Two figures differ where they are written differently: what no scale or thermometer of theirs shows is no difference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pourday.columns import cells_of, padded
from pourday.errors import Trouble
from pourday.language import tr
from pourday.shelf.stacks import DayStack, stacks_of
from pourday.shelf.told_of_day import ComparedDay as ComparedDay
from pourday.shelf.told_of_day import told_of_day

ABSENT = "-"
"""What stands where a day has no such mould, layer or pour."""
MOST = 3
"""Days that can be read side by side."""


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One thing and what each day says of it, in words and in the units of the first day."""

    group: str
    label: str
    values: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether not all days say the same."""
        return len(set(self.values)) > 1


@dataclass(frozen=True, slots=True)
class Comparison:
    """Days side by side, the first one's order of things."""

    sessions: tuple[str, ...]
    rows: tuple[ComparedRow, ...]
    stacks: tuple[tuple[DayStack, ...], ...] = ()
    """What was poured into each mould, a row a day."""

    @property
    def differences(self) -> tuple[ComparedRow, ...]:
        """The rows on which not all days say the same."""
        return tuple(row for row in self.rows if row.differs)


def compare(days: Sequence[ComparedDay]) -> Comparison:
    """Days side by side. Raises `Trouble` for fewer than two or more than three."""
    if not 2 <= len(days) <= MOST:
        raise Trouble(
            tr("{count} cannot be laid side by side.", count=len(days)),
            instead=tr("Choose two days, or three."),
        )
    units = days[0].state.plan.units
    told = [dict(told_of_day(day, units)) for day in days]
    keys = _in_order([list(each) for each in told])
    rows = tuple(
        ComparedRow(group, label, tuple(each.get((group, label), ABSENT) for each in told))
        for group, label in keys
    )
    return Comparison(
        tuple(day.state.session for day in days), rows, tuple(stacks_of(day.state) for day in days)
    )


def _in_order(orders: Sequence[list[tuple[str, str]]]) -> list[tuple[str, str]]:
    """All keys once, those of a group together: in the order of the first day; a key that only others have comes
    after the one it follows there."""
    every = list(orders[0])
    for order in orders[1:]:
        at = 0
        for key in order:
            if key in every:
                at = every.index(key) + 1
            else:
                every.insert(at, key)
                at += 1
    groups = dict.fromkeys(group for group, _ in every)
    return [key for group in groups for key in every if key[0] == group]


# -- as text and as data --------------------------------------------------------------------------------


def compare_text(comparison: Comparison, *, everything: bool = False) -> list[str]:
    """The differences as lines, or every row; a group's name stands above its rows."""
    rows = comparison.rows if everything else comparison.differences
    if not rows:
        return [", ".join(comparison.sessions), tr("Nothing differs of what is on record.")]
    label = max(cells_of(row.label) for row in rows)
    columns = [comparison.sessions, *(row.values for row in rows)]
    wide = [max(cells_of(column[n]) for column in columns) for n in range(len(comparison.sessions))]
    lines = [f"  {'':<{label}}  {_columns(comparison.sessions, wide)}"]
    group = ""
    for row in rows:
        if row.group != group:
            group = row.group
            lines.append(group)
        mark = "*" if everything and row.differs else " "
        lines.append(f" {mark}{padded(row.label, label)}  {_columns(row.values, wide)}")
    alike = len(comparison.rows) - len(comparison.differences)
    if not everything:
        lines.append(tr("Alike: {alike} more; --all shows them.", alike=alike))
    return lines


def _columns(values: Sequence[str], wide: Sequence[int]) -> str:
    """What each day says, under each other."""
    return "   ".join(padded(value, cells) for value, cells in zip(values, wide, strict=True)).rstrip()


def compare_data(comparison: Comparison) -> dict[str, Any]:
    """Plain data for `--json`: every row, with whether it differs."""
    return {
        "sessions": list(comparison.sessions),
        "rows": [
            {"group": row.group, "what": row.label, "values": list(row.values), "differs": row.differs}
            for row in comparison.rows
        ],
    }
