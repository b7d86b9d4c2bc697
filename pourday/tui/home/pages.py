"""The pages that lie over the list of sessions: days side by side, days made after each other, and kept plans."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pourday.language import tr
from pourday.tui.terminal.cursor import moved

if TYPE_CHECKING:
    from pathlib import Path

    from pourday.shelf.compare import Comparison
    from pourday.store.memories import KeptPlan


@dataclass(slots=True)
class BesidePage:
    """Two or three days side by side, and what is shown of them."""

    days: Comparison
    everything: bool = False
    """Whether what is alike shows as well."""
    top: int = 0
    """The first row in sight; drawing keeps it on the page."""
    candles: bool = False
    """Whether the candles are drawn alone."""
    mould: int = 0
    """Which mould of each day is drawn, from 0."""

    def press(self, key: str, sign: str) -> bool:
        """A key; whether the page stays."""
        top = moved(self.top, key)
        if top is not None:
            self.top = top
        elif key in ("left", "right"):
            last = max((len(stacks) for stacks in self.days.stacks), default=1) - 1
            self.mould = max(0, min(last, self.mould + (1 if key == "right" else -1)))
        elif sign == "d":
            self.candles = not self.candles
        elif sign == "a":
            self.everything, self.top = not self.everything, 0
        return not (key in ("escape", "enter") or sign in ("q", "s"))


@dataclass(slots=True)
class FamilyPage:
    """The tree of days that were made after each other."""

    rows: list[tuple[str, str, str]]
    """(branch as it is drawn, session, what is told of it); never empty."""
    at: int = 0
    """The row that the cursor is on."""

    @property
    def session(self) -> str:
        """The day that the cursor is on."""
        return self.rows[self.at][1]

    @property
    def about(self) -> str:
        """What is told of that day."""
        return self.rows[self.at][2]


@dataclass(slots=True)
class PlansPage:
    """The plans that were kept for another day, each in its newest version or the one that was turned to."""

    folder: Path
    plans: list[KeptPlan] = field(default_factory=list)
    at: int = 0
    """The plan that the cursor is on."""

    @property
    def chosen(self) -> KeptPlan | None:
        """The plan that the cursor is on; None where none was kept."""
        return self.plans[self.at] if self.plans else None

    def read(self) -> str:
        """Read the kept plans anew. Returns what there is to say of their file, empty where that is nothing."""
        from pourday.store.memories import Memories

        memories = Memories(self.folder)
        self.plans = memories.plans()
        self.at = max(0, min(self.at, len(self.plans) - 1))
        return " ".join(memories.remarks)

    def turn(self, by: int) -> str:
        """Show an older version of the chosen plan in its row (1), or a newer one (-1). Returns why not, else nothing."""
        from pourday.store.memories import Memories

        chosen = self.chosen
        if chosen is None:
            return ""
        versions = Memories(self.folder).versions(chosen.name)
        at = next((n for n, each in enumerate(versions) if each.version == chosen.version), 0)
        if 0 <= at + by < len(versions):
            self.plans[self.at] = versions[at + by]
            return ""
        return tr(
            "There is no {by} version of “{name}”.",
            by=tr("older") if by > 0 else tr("newer"),
            name=chosen.name,
        )

    def forget(self, name: str) -> str:
        """Forget a kept plan with all its versions. Returns a sentence about it."""
        from pourday.store.memories import Memories

        Memories(self.folder).forget_plan(name)
        return self.read() or tr("“{name}” is forgotten.", name=name)
