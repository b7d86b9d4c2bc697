"""What is wrong with a candle, said by where and what; then what it can come from, and the one thing to change.

It knows nothing of Textual and no clock: what is filed, asked and begun goes through three functions it is given.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from pourday.errors import Trouble
from pourday.faults.record import faults_said
from pourday.faults.table import OTHER_NAMES, WHERES, Fault, Where, at, faults
from pourday.language import tr, word
from pourday.plan.model import Plan
from pourday.reports.faults_report import Why
from pourday.session import events as ev
from pourday.session.candle import FaultsSeen
from pourday.session.events import Fact
from pourday.session.state import State
from pourday.tui.terminal.cursor import moved

Page = Literal["list", "change", "causes"]
CAME: dict[str, ev.ChangeCame] = {"b": "better", "s": "same", "w": "worse"}
"""Keys of how a change came out."""


@dataclass
class FaultsDoing:
    """What the controller has done for it."""

    file: Callable[[tuple[Fact, ...]], str]
    """Put facts on record; a sentence of what became of that. Raises `Trouble` where that cannot be."""
    ask: Callable[[str, str], None]
    """Ask why the candle of a letter has a fault; the answer comes to `arrived`."""
    begin: Callable[[Plan], str]
    """Begin a new plan; a sentence that names it. Raises `Trouble`."""


@dataclass
class FaultsController:
    """The faults of the candles of one batch."""

    batch: State
    log: State | None
    letters: tuple[str, ...]
    when: ev.SeenWhen
    doing: FaultsDoing
    letter_at: int = 0
    page: Page = "list"
    where_at: int = 0
    row_at: int = 0
    marked: dict[str, Where] = field(default_factory=dict)
    """Faults that are meant, by name, with where they are seen."""
    told: list[str] = field(default_factory=list)
    """Faults of this candle that are on record."""
    fault_at: int = 0
    top: int = 0
    """First line of the causes that is shown."""
    message: str = ""
    leaving: bool = False
    _why: dict[tuple[str, str], Why | str] = field(default_factory=dict)
    _came: ev.ChangeCame | None = None
    _begun: set[tuple[str, str]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._came = self.batch.change_came or (self.log.change_came if self.log is not None else None)
        self._turn_to(self.letter_at)

    # -- what there is ------------------------------------------------------------------------------

    @property
    def letter(self) -> str:
        """The mould whose candle is looked at."""
        return self.letters[self.letter_at]

    @property
    def where(self) -> Where:
        """The part of the candle that is shown."""
        return WHERES[self.where_at]

    @property
    def rows(self) -> tuple[Fault, ...]:
        """The faults of the place that is shown."""
        return at(self.where)

    @property
    def row(self) -> Fault:
        return self.rows[self.row_at]

    @property
    def fault(self) -> str:
        """The fault whose causes are shown."""
        return self.told[self.fault_at]

    @property
    def why(self) -> Why | str | None:
        """The answer, the sentence that says why there is none, or None while it is worked out."""
        return self._why.get((self.letter, self.fault)) if self.told else None

    def seen(self) -> FaultsSeen:
        """What was said of this candle before."""
        return faults_said(self.batch, self.log, self.letter)

    def _turn_to(self, letter_at: int) -> None:
        """The candle of another letter: its causes where faults of it are known, else the list."""
        self.letter_at = letter_at % len(self.letters)
        self.marked, self.fault_at, self.top = {}, 0, 0
        names = [OTHER_NAMES.get(defect.defect, defect.defect) for defect in self.seen().defects]
        self.told = [name for name in dict.fromkeys(names) if name in faults()]
        self.page = "list"
        if self.told:
            self._show_causes()

    # -- answers ------------------------------------------------------------------------------------

    def arrived(self, letter: str, fault: str, answer: Why | str) -> None:
        """An answer to what was asked; a sentence where there is none."""
        self._why[letter, fault] = answer

    # -- keys ---------------------------------------------------------------------------------------

    def press(self, key: str, character: str | None) -> None:
        """What a key does."""
        self.message = ""
        sign = (character or "").lower()
        if key == "tab" and len(self.letters) > 1:
            self._turn_to(self.letter_at + 1)
        elif self.page == "list":
            self._on_list(key, sign)
        elif self.page == "change":
            self._on_change(key, sign)
        else:
            self._on_causes(key, sign)

    def _on_list(self, key: str, sign: str) -> None:
        steps = {"up": -1, "down": 1, "pageup": -5, "pagedown": 5}
        if key in steps:
            self.row_at = max(0, min(len(self.rows) - 1, self.row_at + steps[key]))
        elif key in ("left", "right"):
            self._place(self.where_at + (1 if key == "right" else -1))
        elif sign.isdigit() and 1 <= int(sign) <= len(WHERES):
            self._place(int(sign) - 1)
        elif key == "space":
            self._mark()
        elif key == "enter":
            self._file()
        elif sign == "n":
            self._none()
        elif key == "escape" or sign == "q":
            self._back()

    def _place(self, where_at: int) -> None:
        self.where_at, self.row_at = where_at % len(WHERES), 0

    def _mark(self) -> None:
        if self.row.name in self.marked:
            del self.marked[self.row.name]
        else:
            self.marked[self.row.name] = self.where

    def _file(self) -> None:
        """Put what is marked on record, or the row the cursor is on."""
        meant = self.marked or {self.row.name: self.where}
        new = {name: where for name, where in meant.items() if name not in self.told}
        facts = tuple(
            ev.DefectSeen(mould=self.letter, defect=name, where=where, when=self.when)
            for name, where in new.items()
        )
        if facts and not self._put(facts):
            return
        self.told = [
            *new,
            *(name for name in self.told if name not in meant),
            *(n for n in meant if n not in new),
        ]
        self.marked, self.fault_at = {}, 0
        self._after_answer()

    def _none(self) -> None:
        if self.told:
            self.message = tr(
                "{letter} has {told} on record; take that back first where it is wrong.",
                letter=self.letter,
                told=", ".join(word(each) for each in self.told),
            )
            return
        if self._put((ev.NoFaultSeen(mould=self.letter, when=self.when),)):
            self._after_answer()

    def _put(self, facts: tuple[Fact, ...]) -> bool:
        """Whether facts went on record."""
        try:
            self.message = self.doing.file(facts)
        except Trouble as trouble:
            self.message = str(trouble)
            return False
        return True

    def _after_answer(self) -> None:
        """After the faults were said: how the change came out, where one was tried; then the causes."""
        if self.batch.plan.tried is not None and self._came is None:
            self.page = "change"
        else:
            self._on_to_causes()

    def _on_change(self, key: str, sign: str) -> None:
        if sign in CAME:
            if self._put((ev.ChangeJudged(came=CAME[sign]),)):
                self._came = CAME[sign]
                self._on_to_causes()
        elif key in ("escape", "enter"):
            self._on_to_causes()

    def _on_to_causes(self) -> None:
        if self.told:
            self._show_causes()
        elif self.letter_at + 1 < len(self.letters):
            said = self.message
            self._turn_to(self.letter_at + 1)
            self.message = said
        else:
            self.leaving = True

    def _show_causes(self) -> None:
        self.page, self.top = "causes", 0
        if (self.letter, self.fault) not in self._why:
            self.doing.ask(self.letter, self.fault)

    def _on_causes(self, key: str, sign: str) -> None:
        top = moved(self.top, "pagedown" if key == "space" else key)
        if top is not None:
            self.top = top
        elif key in ("left", "right") and self.told:
            self.fault_at = (self.fault_at + (1 if key == "right" else -1)) % len(self.told)
            self._show_causes()
        elif sign == "a":
            self.page = "list"
        elif sign == "p":
            self._begin_plan()
        elif key == "escape" or sign == "q":
            self.leaving = True

    def _begin_plan(self) -> None:
        """A new plan with the one change in it; once, however often the key is pressed."""
        why = self.why
        if not isinstance(why, Why):
            self.message = tr("It is still being worked out.") if why is None else str(why)
            return
        if (self.letter, self.fault) in self._begun:
            self.message = tr("That plan stands in the list of sessions already.")
            return
        try:
            self.message = self.doing.begin(why.change.plan)
        except Trouble as trouble:
            self.message = str(trouble)
        else:
            self._begun.add((self.letter, self.fault))

    def _back(self) -> None:
        if self.marked:
            self.marked = {}
        elif self.told and self._why:
            self._show_causes()
        else:
            self.leaving = True
