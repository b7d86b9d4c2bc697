"""What a key in the setup form does: the same idea as the desk, for text instead of readings."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.plan.form import Row, act, rows, set_field
from pourday.plan.model import PREPARATIONS, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.store.live import LiveSession

LONGEST = 120
MARKS = ("open", "done", "waived")


class Planner:
    """Holds which row is being edited and its text; every row that is left is filed as a draft."""

    def __init__(self, live: LiveSession) -> None:
        self.live = live
        self.at = 0
        self.text: str | None = None
        """What is being typed into the row; None while it stands as it was."""
        self.message = ""
        self.leaving = False
        self.started = False

    @property
    def plan(self) -> Plan:
        return self.live.state.plan

    def rows(self) -> list[Row]:
        """The form, the preparation list, and the row that lights the stove."""
        prepared = self.live.state.prepared
        checks = [
            Row(f"prepare.{item.id}", item.text, prepared.get(item.id, "open"), "choice", MARKS,
                head="Before the heat goes on" if index == 0 else "")
            for index, item in enumerate(PREPARATIONS)
        ]  # fmt: skip
        start = Row(
            "start", "BEGIN THE DAY with this plan", "", "act", head="", hint="Enter; then to the stove"
        )
        return [*rows(self.plan), *checks, start]

    def preview(self) -> Plan:
        """The plan as it would be if what is typed were filed, so that the sheet follows each key."""
        if self.text is None:
            return self.plan
        try:
            return set_field(self.plan, self.rows()[self.at].path, self.text)
        except Trouble:
            return self.plan

    def press(self, key: str, character: str | None, now: float) -> None:
        row = self.rows()[self.at]
        if key == "escape":
            self._back()
        elif key == "delete" and self.message.startswith("NOT SAVED"):
            self.leaving = True
        elif key in ("up", "shift+tab", "down", "tab", "enter"):
            self._move(row, key, now)
        elif key in ("pageup", "pagedown", "home", "end"):
            self._jump(key, now)
        elif row.kind == "choice" and (key in ("left", "right", "space") or (character or "").isalpha()):
            self._choose(row, key, character, now)
        elif row.kind == "text":
            self._edit(row, key, character)

    def paste(self, text: str) -> None:
        """Text from the clipboard, as if it had been typed."""
        if self.rows()[self.at].kind == "text":
            self.text = ((self.text or "") + text)[:LONGEST]

    def _back(self) -> None:
        if self.text is not None:
            self.text, self.message = None, ""
        elif self.live.unsaved and self.live.trouble:
            self.message = (
                f"NOT SAVED. {self.live.trouble.why} The Delete key leaves all the same, losing it."
            )
        else:
            self.leaving = True

    def _move(self, row: Row, key: str, now: float) -> None:
        if not self.commit(now):
            return
        if row.kind == "act" and key == "enter":
            self._act(row, now)
            return
        step = -1 if key in ("up", "shift+tab") else 1
        self.at = max(0, min(len(self.rows()) - 1, self.at + step))

    def _jump(self, key: str, now: float) -> None:
        if self.commit(now):
            last = len(self.rows()) - 1
            step = {"pageup": self.at - 8, "pagedown": self.at + 8, "home": 0, "end": last}[key]
            self.at = max(0, min(last, step))

    def _edit(self, row: Row, key: str, character: str | None) -> None:
        if key == "backspace":
            self.text = (row.value if self.text is None else self.text)[:-1]
        elif character is not None and character.isprintable():
            self.text = ((self.text or "") + character)[:LONGEST]

    def _choose(self, row: Row, key: str, character: str | None, now: float) -> None:
        here = row.choices.index(row.value) if row.value in row.choices else 0
        if key in ("left", "right", "space"):
            chosen = row.choices[(here + (-1 if key == "left" else 1)) % len(row.choices)]
        else:
            letter = (character or "").lower()
            after = [*row.choices[here + 1 :], *row.choices[: here + 1]]
            chosen = next((c for c in after if c.startswith(letter)), row.value)
        if row.path.startswith("prepare."):
            item = row.path.partition(".")[2]
            mark = next(m for m in ("open", "done", "waived") if m == chosen)
            self._file(ev.Prepared(item=item, mark=mark), now)
        else:
            self._draft(row.path, chosen, now)

    def commit(self, now: float) -> bool:
        """File what is typed; False, with a sentence, where it cannot be taken."""
        if self.text is None:
            return True
        path, text = self.rows()[self.at].path, self.text
        return self._draft(path, text, now)

    def _draft(self, path: str, text: str, now: float) -> bool:
        try:
            plan = set_field(self.plan, path, text)
        except Trouble as trouble:
            self.message = str(trouble)
            return False
        self.text, self.message = None, ""
        return plan == self.plan or self._file(ev.PlanDrafted(plan=plan), now)

    def _act(self, row: Row, now: float) -> None:
        if row.path == "start":
            self._start(now)
            return
        try:
            plan = act(self.plan, row.path)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        if self._file(ev.PlanDrafted(plan=plan), now):
            self._to_new(row.path)

    def _to_new(self, path: str) -> None:
        """After adding, stand on the first row of what was added."""
        group = path.partition(".")[0]
        count = len(getattr(self.plan, group))
        first = "name" if group == "moulds" else "colour"
        wanted = f"{group}.{count - 1}.{first}"
        self.at = next((i for i, row in enumerate(self.rows()) if row.path == wanted), self.at)

    def _start(self, now: float) -> None:
        try:
            weigh_sheet(self.plan)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        open_items = [i for i in PREPARATIONS if self.live.state.prepared.get(i.id, "open") == "open"]
        if open_items and not self.message.startswith("Not ticked"):
            names = ", ".join(item.id for item in open_items)
            self.message = f"Not ticked yet: {names}. Enter again begins all the same."
            return
        if self._file(ev.PlanFixed(plan=self.plan), now):
            self.started = True

    def _file(self, fact: ev.Fact, now: float) -> bool:
        try:
            self.live.file(fact, now=now)
        except Trouble as trouble:
            self.message = str(trouble)
            return False
        if self.live.unsaved and self.live.trouble:
            self.message = f"NOT SAVED. {self.live.trouble}"
        return True
