"""What a key in the setup form does: the same idea as at the stove, for text instead of readings."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Literal

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.moulds.memory import to_prepare
from pourday.plan.changes import changed_findings, changes
from pourday.plan.check import BadField
from pourday.plan.finding import Finding
from pourday.plan.form import LONGEST, Known, Row, act, row_for, rows, set_field
from pourday.plan.model import Plan, Preparation, preparations
from pourday.plan.rows import NOTHING, visible
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.session import events as ev
from pourday.stock.short import short
from pourday.store.live import LiveSession
from pourday.text import plain
from pourday.tui.form_typing import FormTyping

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pourday.moulds.memory import MouldMemory
    from pourday.moulds.use import MouldKey
    from pourday.stock.balance import StockNow
    from pourday.store.memories import Memories

ALL_DONE = "all prepared"
"""Path of the row that ticks all of the list that is open."""
MARKS = ("open", "done", "waived")
PAGES = ("weigh sheet", "findings", "where figures come from")
"""What Tab turns to, one after another, and then back to the form."""
_LEAP = 8
"""Lines that a page key goes on a page; in the form it goes from part to part."""
_STEPS = {"up": -1, "down": 1, "pageup": -_LEAP, "pagedown": _LEAP, "home": -10_000, "end": 10_000}


class SetupController(FormTyping):
    """Holds which row is being edited and its text; every row that is left is filed as a draft."""

    def __init__(self, live: LiveSession, memories: Memories | None = None) -> None:
        super().__init__(LONGEST)
        self.live = live
        self.memories = memories
        self.moulds: Mapping[MouldKey, MouldMemory] = {}
        """What is remembered of every mould, once that is known."""
        self.filed = ""
        """The row that was filed last: what it makes noteworthy is said before older findings."""
        self._changed_of: Plan | None = None
        self._changed: tuple[Finding, ...] = ()
        self.stock: StockNow | None = None
        """What is there of materials; None until it is known, and where nobody counted any."""
        self.known: Known = NOTHING
        """What is remembered; nothing until `recall`, so that the form is there before any file is read."""
        self._made: list[Row] = []
        self._rows_of: tuple[object, ...] = ()
        """The rows that were made last, and of what."""
        self._remarks: list[str] = []
        """What the memories said of themselves, said here once."""
        self.at = 0
        self.opened: frozenset[str] = frozenset()
        """Folds that are open."""
        self.page: int | None = None
        """Which of `PAGES` lies over the form."""
        self.scroll = 0
        self.message = ""
        self._confirms: Literal["", "begin", "leave"] = ""
        """What the message offers: Enter again begins with things not ticked, Delete leaves what is not saved."""
        self.leaving = False
        self.started = False
        self.rehearsing = False
        """The person asked to see the day played ahead."""

    @property
    def plan(self) -> Plan:
        return self.live.state.plan

    @property
    def row(self) -> Row:
        """The row the cursor is on."""
        shown = self.rows()
        return shown[min(self.at, len(shown) - 1)]

    def rows(self) -> list[Row]:
        """What shows: the form, the preparation list, and the row that lights the stove."""
        return visible(self._all(), self.opened)

    def _all(self) -> list[Row]:
        """Every row there is, folded in or not; made once for a plan: a key and its picture ask for them five times.

        With three moulds that was 20 ms of processor time a key, and is about 10.
        """
        of = self.live.state, self.known, self.memories, self.moulds
        if len(of) != len(self._rows_of) or any(a is not b for a, b in zip(of, self._rows_of, strict=True)):
            self._rows_of, self._made = of, self._rows_of_plan()
        return self._made

    def _rows_of_plan(self) -> list[Row]:
        """The form, the preparation list, then rehearse and begin."""
        prepared = self.live.state.prepared
        form_rows = rows(self.plan, self.known)
        if self.memories is not None:
            form_rows.append(
                Row("keep", tr("keep this plan as"), "", ghost=tr("a name"), head=tr("For another day"))
            )
        open_items = self._open_items()
        form_rows += [
            Row(f"prepare.{item.id}", item.text, prepared.get(item.id, "open"), "choice", MARKS,
                head=tr('Before the heat goes on') if index == 0 else "")
            for index, item in enumerate(self._to_prepare())
        ]  # fmt: skip
        if len(open_items) > 1:
            form_rows.append(
                Row(ALL_DONE, tr("All of this list is done"), "", "act", hint=tr("Enter ticks what is open"))
            )
        return [
            *form_rows,
            Row(
                "rehearse",
                tr("REHEARSE this day first"),
                "",
                "act",
                hint=tr("Enter; plays it ahead, records nothing"),
            ),
            Row("start", tr("BEGIN THE DAY with this plan"), "", "act", hint=tr("Enter; then to the stove")),
        ]

    def _to_prepare(self) -> tuple[Preparation, ...]:
        """The preparation list: what every day needs, and what is remembered of these moulds."""
        return (*to_prepare(self.plan, self.moulds), *preparations(self.plan))

    def _open_items(self) -> list[Preparation]:
        """What of the list is neither ticked nor waived."""
        prepared = self.live.state.prepared
        return [item for item in self._to_prepare() if prepared.get(item.id, "open") == "open"]

    def preview(self) -> Plan:
        """The plan as it would be if what is typed were filed, so that the sheet follows each key."""
        if self.text is None or self.row.put is None:
            return self.plan
        try:
            return set_field(self.plan, self.row.path, self.text, self.known)
        except Trouble:
            return self.plan

    def more_findings(self, plan: Plan, sheet: WeighSheet) -> tuple[Finding, ...]:
        """What the stock says of a plan, and what is otherwise in it than on the day it was made after."""
        noticed = short(plan, self.stock, sheet) if self.stock is not None else ()
        before = self._before
        if before is None:
            return noticed
        if self._changed_of is not plan:
            # Asked for several times a key, and all rows of the form are made for it.
            self._changed_of, self._changed = plan, changed_findings(before.parent, changes(before, plan))
        return (*noticed, *self._changed)

    @cached_property
    def _before(self) -> Plan | None:
        """The plan as it was made after an earlier day; None where it was made after none."""
        drafted = (entry.fact.plan for entry in self.live.entries if isinstance(entry.fact, ev.PlanDrafted))
        first = next(drafted, None)
        return first if first is not None and first.parent else None

    def meant(self) -> str:
        """What the row would say if what is typed were filed; empty where it says the same, or nothing."""
        plan = self.preview()
        if plan is self.plan or self.text is None:
            return ""
        path = self.row.path
        value = next((row.value for row in rows(plan, self.known) if row.path == path), "")
        return "" if value == self.text else value

    def recall(self) -> None:
        """Look up what is remembered of own waxes and of these moulds."""
        if self.memories is None:
            return
        weights = tuple(self.memories.weight_of(mould, self.plan) for mould in self.plan.moulds)
        passed = [self.memories.wick_of(mould, self.plan) for mould in self.plan.moulds]
        path = self.row.path
        wicks = tuple("" if wick is None else wick.words for wick in passed)
        self.known = Known(self.memories.own_waxes(), weights, wicks)
        self._stand(path)
        if self.memories.remarks != self._remarks:
            self._remarks = list(self.memories.remarks)
            self.message = self.message or " ".join(self._remarks)

    # -- keys ---------------------------------------------------------------------------------------

    def press(self, key: str, character: str | None, now: float) -> None:
        self.message = ""
        confirms, self._confirms = self._confirms, ""
        if self.page is not None:
            self._read(key)
            return
        row = self.row
        if key == "escape":
            self._back()
        elif key == "delete" and confirms == "leave":
            self.leaving = True
        elif key in ("tab", "shift+tab"):
            self.page, self.scroll = (0 if key == "tab" else len(PAGES) - 1), 0
        elif key in _STEPS or key == "enter":
            self._move(row, key, now, begins=confirms == "begin")
        elif row.kind == "fold" and key in ("space", "left", "right"):
            self._toggle(row)
        elif takes_text(row) and not (key in ("left", "right") or (key == "space" and not self.text)):
            self.type_into(row.value, key, character)
        elif row.kind == "choice" and (key in ("left", "right", "space") or (character or "").isalpha()):
            self._choose(row, key, character, now)
        elif row.kind == "text":
            self.type_into(row.value, key, character)

    def point(self, index: int, now: float) -> bool:
        """Stand on a row, what is typed filed; True where one stood there already and it does something."""
        self.message, self._confirms = ("", self._confirms) if index == self.at else ("", "")
        if index == self.at:
            return self.text is None and self.row.kind != "text"
        before, row = _trouble(self.plan), self.row
        path = self.rows()[index].path if index < len(self.rows()) else row.path
        if self.text is None or (self.commit(now) and not self._led(row, before)):
            self._stand(path)
        return False

    def paste(self, text: str) -> None:
        """Text from the clipboard, as if it had been typed; lines become one, with commas between them."""
        self._confirms = ""
        if not (self.row.kind == "text" or takes_text(self.row)) or self.page is not None:
            self.message = tr("Pasted text is not taken here; nothing was changed.")
            return
        joined = ", ".join(line.strip().rstrip(",;") for line in text.splitlines() if line.strip())
        cut = self.add_pasted(joined)
        self.message = tr("Only the first {longest} characters were taken.", longest=LONGEST) if cut else ""

    def _read(self, key: str) -> None:
        """The keys of a page: turn it, move through it, or put it away."""
        assert self.page is not None
        if key in ("tab", "shift+tab"):
            page = self.page + (1 if key == "tab" else -1)
            self.page, self.scroll = (page if 0 <= page < len(PAGES) else None), 0
        elif key in _STEPS:
            self.scroll = max(0, self.scroll + _STEPS[key])
        elif key in ("escape", "enter"):
            self.page = None

    def _back(self) -> None:
        if self.text is not None:
            self.put_away()
        else:
            self._leave()

    def leave(self, now: float) -> None:
        """Asked to leave from anywhere: what is typed is filed, and what is not on disk is not dropped unasked."""
        if self.commit(now):
            self._leave()

    def _leave(self) -> None:
        """Leave; where the plan is not saved, say so and ask first."""
        if self.live.unsaved and self.live.trouble:
            self._confirms = "leave"
            self.message = tr(
                "NOT SAVED. {why} The Delete key leaves all the same, losing it.",
                why=word(self.live.trouble.why),
            )
        else:
            self.leaving = True

    def _move(self, row: Row, key: str, now: float, *, begins: bool) -> None:
        """File what is typed, then go on: into a fold, into what a row does, or to another row."""
        if self.text is not None:
            before = _trouble(self.plan)
            if not self.commit(now) or self._led(row, before):
                return
        if key == "enter" and row.kind == "fold":
            self._toggle(row)
        elif key == "enter" and row.kind == "act":
            self._act(row, now, begins=begins)
        elif key in ("pageup", "pagedown"):
            self._turn(1 if key == "pagedown" else -1)
        else:
            self._step(_STEPS.get(key, 1))

    def _turn(self, by: int) -> None:
        """To where the next or the last part of the form begins, or to its end."""
        shown = self.rows()
        parts = [at for at, row in enumerate(shown) if row.head or row.path == "start"]
        if by > 0:
            self.at = next((at for at in parts if at > self.at), len(shown) - 1)
        else:
            self.at = next((at for at in reversed(parts) if at < self.at), 0)

    def _step(self, by: int) -> None:
        self.at = max(0, min(len(self.rows()) - 1, self.at + by))

    def _led(self, row: Row, before: Trouble | None) -> bool:
        """Whether what was filed led the cursor elsewhere: to a field that no longer fits, or a new sheet."""
        if self.row.path != row.path:
            return True
        trouble = _trouble(self.plan)
        if not isinstance(trouble, BadField) or (before is not None and str(before) == str(trouble)):
            return False
        self._say(trouble)
        return True

    def _toggle(self, row: Row) -> None:
        self.opened = self.opened ^ {row.path}

    def _choose(self, row: Row, key: str, character: str | None, now: float) -> None:
        """Turn a row of choices with the arrows or Space, or to the choice that begins with the typed letters."""
        chosen = self.chosen(row.path, row.choices, row.value, key, character, now)
        if chosen is None:
            return
        if row.path.startswith("prepare."):
            item = row.path.partition(".")[2]
            mark = next(m for m in ("open", "done", "waived") if m == chosen)
            self._file(ev.Prepared(item=item, mark=mark), now)
        else:
            self._draft(row, chosen, now)

    def goes_on(self, letter: str, now: float) -> bool:
        """Whether a letter belongs to the choice that is being typed, and is no key of its own."""
        row = self.row
        return self.page is None and row.kind == "choice" and self.spells(row.path, row.choices, letter, now)

    # -- what the keys amount to --------------------------------------------------------------------

    def commit(self, now: float) -> bool:
        """File what is typed; False, with a sentence, where it cannot be taken."""
        return True if self.text is None else self._draft(self.row, self.text, now)

    def _draft(self, row: Row, text: str, now: float) -> bool:
        """Put a text into the plan by its row and file the plan; False, with a sentence, where it does not fit."""
        try:
            if row.path == "keep":
                self._keep(text, now)
                plan = self.plan
            else:
                plan = set_field(self.plan, row.path, text, self.known)
        except Trouble as trouble:
            self.message, self.page, self._refused = str(trouble), None, self.text is not None
            return False
        self.put_away()
        return self._take(plan, row.path, now)

    def _keep(self, name: str, now: float) -> None:
        if self.memories is not None and plain(name):
            self.memories.keep_plan(name, self.plan, now)
            self.message = tr("Kept as “{name}”.", name=plain(name, 60))

    def _act(self, row: Row, now: float, *, begins: bool) -> None:
        """What Enter does on a row that does something."""
        if row.path == "start":
            self._start(now, although_open=begins)
            return
        if row.path == "rehearse":
            trouble = _trouble(self.plan)
            self.rehearsing = trouble is None
            if trouble is not None:
                self._say(trouble)
            return
        if row.path == ALL_DONE:
            # Each is a fact of its own: what is taken back later is one of them.
            for item in self._open_items():
                self._file(ev.Prepared(item=item.id, mark="done"), now)
            self._stand(row.path)
            return
        if row.path.endswith(".forget"):
            self._forget(row)
            return
        try:
            plan = act(self.plan, row.path, self.known)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        if self._take(plan, row.path, now) and row.goes:
            self.go_to(row.goes)

    def _take(self, plan: Plan, path: str, now: float) -> bool:
        """File a changed plan, and stand where one stood; False where it could not be filed."""
        before = self.plan
        if plan == before:
            return True
        if not self._file(ev.PlanDrafted(plan=plan), now):
            return False
        self.filed = path
        self._remember(before)
        self._stand(path)
        own_before = {wax.id for wax in before.own}
        if path.endswith(".own") and (fresh := [wax.id for wax in self.plan.own if wax.id not in own_before]):
            self.go_to(f"own.{fresh[0]}.congealing")
        return True

    def _remember(self, before: Plan) -> None:
        """Own waxes that were changed here are kept for other plans too."""
        if self.memories is None:
            return
        try:
            for wax in self.plan.own:
                if wax not in before.own and self.known.waxes.get(wax.id) != wax:
                    self.memories.keep_wax(wax)
        except Trouble as trouble:
            self.message = tr("In this plan, but not for others: {trouble}", trouble=trouble)
        self.recall()

    def _forget(self, row: Row) -> None:
        """Forget a wax of one's own for other plans; this plan holds a copy."""
        if self.memories is None:
            return
        try:
            self.memories.forget_wax(row.path.split(".")[1])
        except Trouble as trouble:
            self.message = str(trouble)
            return
        self.message = tr("Forgotten for other plans; this one has it still.")
        self.recall()

    def _start(self, now: float, *, although_open: bool) -> None:
        """Begin the day; things of the list that are not ticked are said once, and begun without if asked again."""
        trouble = _trouble(self.plan)
        if trouble is not None:
            self._say(trouble)
            return
        open_items = self._open_items()
        if open_items and not although_open:
            names = ", ".join(item.id for item in open_items)
            self._confirms = "begin"
            self.message = tr("Not ticked yet: {names}. Enter again begins all the same.", names=names)
            return
        if self._file(ev.PlanFixed(plan=self.plan), now):
            self.started = True

    def _say(self, trouble: Trouble) -> None:
        """Say what is wrong, standing on the row where it can be put right."""
        if isinstance(trouble, BadField):
            self.go_to(trouble.field)
        self.message = str(trouble)

    def go_to(self, field: str) -> None:
        """Stand on the row of a field, or the nearest there is, and open what it is folded in."""
        everything = self._all()
        row = row_for(self.plan, field, everything)
        if row is None:
            return
        parents = {each.path: each.within for each in everything if each.kind == "fold"}
        within = row.within
        while within:
            self.opened |= {within}
            within = parents.get(within, "")
        self._stand(row.path)

    def _stand(self, path: str) -> None:
        """On the row of this path, or where the cursor is, as far as there are rows."""
        shown = self.rows()
        here = min(self.at, len(shown) - 1)
        self.at = next((index for index, row in enumerate(shown) if row.path == path), here)

    def _file(self, fact: ev.Fact, now: float) -> bool:
        """File a fact; False, with a sentence, where it was refused. One that is not on the disk yet counts as filed."""
        try:
            self.live.file(fact, now=now)
        except Trouble as trouble:
            self.message = str(trouble)
            return False
        if self.live.unsaved and self.live.trouble:
            self._confirms = "leave"
            self.message = tr("NOT SAVED. {trouble}", trouble=self.live.trouble)
        return True


def takes_text(row: Row) -> bool:
    """Whether letters are typed into a row of choices."""
    return row.kind == "choice" and row.words


def _trouble(plan: Plan) -> Trouble | None:
    """What stands in the way of a weigh sheet."""
    try:
        weigh_sheet(plan)
    except Trouble as trouble:
        return trouble
    return None
