"""The faults of a candle on the screen: over the stove, the record or the burn test, which go on beneath it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourday.errors import Trouble
from pourday.guide.advice.queries import Failed, Query
from pourday.language import tr, word
from pourday.plan.model import Plan
from pourday.reports.faults_report import Why
from pourday.session import events as ev
from pourday.session.describe import say_fact
from pourday.session.events import Fact
from pourday.session.state import State
from pourday.store.candles import open_log, read_log
from pourday.store.live import LiveSession
from pourday.times import local
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.faults.controller import FaultsController, FaultsDoing
from pourday.tui.faults.layout import draw_faults
from pourday.tui.faults.query import WhyQuery


class FaultsScreen(LineScreen):
    """What is wrong with the candles of a batch, and why; `letters` are those that can be looked at."""

    HELP = "faults"

    def __init__(
        self,
        folder: Path,
        batch: State,
        letters: tuple[str, ...],
        when: ev.SeenWhen,
        now: Callable[[], float],
        live: LiveSession | None,
        first: str = "",
    ) -> None:
        """`live` is the record that what is said goes into; None opens that of the batch's candles for it."""
        super().__init__()
        self.folder, self.day, self.now, self.live = folder, batch, now, live
        try:
            log = read_log(folder, batch.session)
            trouble = ""
        except Trouble as broken:
            log, trouble = None, str(broken)
        self._asked: list[tuple[str, str]] = []
        doing = FaultsDoing(self._file, self._ask, self._begin)
        at = letters.index(first) if first in letters else 0
        self.controller = FaultsController(batch, log, letters, when, doing, at)
        self.controller.message = trouble

    def on_mount(self) -> None:
        super().on_mount()
        for letter, fault in self._asked:
            self._ask_worker(letter, fault)

    # -- what is done for the controller ------------------------------------------------------------

    def _file(self, facts: tuple[Fact, ...]) -> str:
        """Put facts on record, in the day's own or in that of its candles."""
        if self.live is not None:
            return self._filed(self.live, facts)
        log = open_log(self.folder, self.day, now=self.now())
        try:
            return self._filed(log, facts)
        finally:
            log.close()

    def _filed(self, live: LiveSession, facts: tuple[Fact, ...]) -> str:
        if live.readonly:
            raise Trouble(
                tr("This record can only be read here."),
                instead=tr("Close it where it is open, and say it again."),
            )
        for fact in facts:
            live.file(fact, now=self.now())
        if live.unsaved:
            return tr("NOT SAVED: {trouble}", trouble=live.trouble)
        return tr("Filed: {facts}.", facts="; ".join(say_fact(fact, self.day.plan) for fact in facts))

    def _ask(self, letter: str, fault: str) -> None:
        if self.is_attached:
            self._ask_worker(letter, fault)
        else:
            self._asked.append((letter, fault))

    def _ask_worker(self, letter: str, fault: str) -> None:
        query: Query[Why | Trouble] = WhyQuery(self.folder, self.day.session, letter, fault)

        def take(answer: Why | Trouble | Failed) -> None:
            if isinstance(answer, Why):
                self.controller.arrived(letter, fault, answer)
            else:
                why = (
                    str(answer)
                    if isinstance(answer, Trouble)
                    else tr("It could not be weighed: {why}", why=word(answer.why))
                )
                self.controller.arrived(letter, fault, why)
            self.draw()

        self.pourday.worker.ask(query, take)

    def _begin(self, plan: Plan) -> str:
        """A new session that holds this plan; the screen stays here."""
        now = self.now()
        live = LiveSession.begin(self.folder, f"{local(now):%Y-%m-%d}", now=now, demo=self.day.demo)
        live.file(ev.PlanDrafted(plan=plan), now=now)
        live.end("left", now=now)
        live.close()
        return tr(
            "The plan with this one change is {session}, in the list of sessions.", session=live.state.session
        )

    # -- screen -------------------------------------------------------------------------------------

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_faults(self.controller, cells, rows, self.pourday.signals.alarm)

    def words(self) -> str:
        return tr("pourday: what is wrong with {letter}", letter=self.controller.letter)

    def tick(self) -> None:
        # An alarm of the stove behind this screen has to show here too.
        self.draw()

    def pointed(self, row: int) -> bool:
        if self.controller.page != "list":
            return False
        if self.controller.row_at == row:
            self._act_on("space", " ")
            return True
        self.controller.row_at = row
        return False

    def pressed(self, key: str, character: str | None) -> None:
        self.controller.press(key, character)
        if self.controller.leaving:
            self.leave()

    def leave(self) -> None:
        """Back to where it was opened from; a session there stays what it is."""
        self.app.pop_screen()
