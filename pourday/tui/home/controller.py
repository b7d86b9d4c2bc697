"""What the first screen knows, and what a key does there. It knows nothing of Textual and reads no clock.

The screen does what a `HomeCommand` says; everything else (cursor, questions, sentences) is here, and in the pages that lie
over the list (`pages.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pourday.errors import Trouble
from pourday.language import tr
from pourday.tui.home.command import LEADS_TO, HomeCommand, HomeQuestion
from pourday.tui.home.finder import Finder
from pourday.tui.home.new_plan import ask_altitude, ask_units, begin_from
from pourday.tui.home.pages import BesidePage, FamilyPage, PlansPage
from pourday.tui.terminal.cursor import moved
from pourday.tui.terminal.rubbing import rubbed

if TYPE_CHECKING:
    from pourday.burn.due import CandleDue
    from pourday.session.state import State
    from pourday.shelf.compare import Comparison
    from pourday.shelf.index import Progress
    from pourday.store.library import Summary

Page = Literal["list", "plans", "beside", "family"]
MOST_BESIDE = 3
"""Days that are laid side by side at most."""
AT_ONCE = 32
"""Files that are read before the list shows; where more have changed, the rest is read beside the screen."""
FEW = 500
"""Sessions up to which the list is put in order anew with every few that become known."""


@dataclass(frozen=True, slots=True)
class NextOfSession:
    """What an open session asks for next."""

    says: str
    """`POUR A, about 14:30`; empty where that cannot be told."""
    due: float
    """Seconds since the epoch; infinite for what has no time of its own."""


class HomeController:
    """The sessions of a folder, and where the person stands among them."""

    def __init__(self, folder: Path, *, first: bool = False) -> None:
        self.folder = folder
        self.first = first
        """Whether nobody ever said in which units they weigh and measure."""
        self.sessions: list[Summary] = []
        self.known = False
        """Whether the folder was read yet."""
        self.unread: list[str] = []
        """Files of which only the name is known as yet."""
        self.stale = False
        """Whether more is known by now than the list shows."""
        self.next: dict[str, NextOfSession] = {}
        """By session, of those that are open."""
        self.due: tuple[CandleDue, ...] = ()
        """What is due with candles now, over all sessions."""
        self.page: Page = "list"
        self.finder = Finder()
        self.shown: list[Summary] = []
        """The sessions that are in sight: all, or those that have the words that are looked for."""
        self.at = 0
        """The session that the cursor is on, by its place in `shown`."""
        self.marked: tuple[str, ...] = ()
        """Sessions that are to be laid side by side, in the order they were marked."""
        self.beside: BesidePage | None = None
        """Days side by side, once they are worked out."""
        self.family: FamilyPage | None = None
        """Days made after each other, once they were asked for."""
        self.plans = PlansPage(folder)
        self.now = 0.0
        """Seconds since the epoch, at the last key."""
        self.question: HomeQuestion | None = None
        self.message = ""
        """What the last key came to, in a sentence; empty where that shows by itself."""
        self._listed: dict[str, Summary] = {}
        """By file, what became known of those that were unread."""
        self._moved = False
        """Whether the person moved the cursor: it then stays on its session, else on the first."""
        self._acts: dict[str, Callable[[], HomeCommand | None]] = {
            "enter": self._open,
            "space": self._open,
            " ": self._open,
            "n": self._new,
            "c": self._begin_from,
            "p": self._show_plans,
            "r": self._rehearse,
            "b": self._candles,
            "f": self.finder.begin,
            "m": self._mark,
            "s": self._lay_beside,
            "t": self._show_family,
        }
        """What else a key does at the list."""

    # -- what there is ------------------------------------------------------------------------------

    @property
    def asks_first(self) -> bool:
        """Whether the very first question stands there: nothing was planned yet, and no units were chosen."""
        return self.first and self.known and not self.sessions

    @property
    def chosen(self) -> Summary | None:
        """The session that the cursor is on; None where there is none."""
        return self.shown[self.at] if self.shown else None

    @property
    def moved(self) -> bool:
        """Whether the person chose a session."""
        return self._moved

    def read(self) -> None:
        """Read the folder as it is now. What a session asks for next is forgotten where it has changed."""
        from pourday.store.library import list_known

        self.known = True
        before = {s.session: s for s in self.sessions}
        try:
            sessions, self.unread = list_known(self.folder, AT_ONCE)
        except Trouble as trouble:
            sessions, self.unread, self.message = [], [], str(trouble)
        # What became of candles is no day of its own: what is due with it stands on top.
        sessions = [session for session in sessions if not session.batch]
        same = {s.session for s in sessions if before.get(s.session) == s}
        self.next = {name: upcoming for name, upcoming in self.next.items() if name in same}
        self._put(self._ordered(sessions))

    def waiting(self) -> list[str]:
        """Open sessions whose next act is not known yet."""
        unread = set(self.unread)
        return [
            s.session
            for s in self.sessions
            if is_open(s) and s.session not in self.next and s.file not in unread
        ]

    def learn(self, upcoming: dict[str, NextOfSession]) -> None:
        """Take in what open sessions ask for next, by session; what is due first goes to the top."""
        self.next |= upcoming
        self._put(self._ordered(self.sessions))

    def _ordered(self, sessions: list[Summary]) -> list[Summary]:
        by_due = sorted((s for s in sessions if is_open(s)), key=self._rank)
        return [*by_due, *(s for s in sessions if not is_open(s))]

    def _rank(self, session: Summary) -> tuple[bool, float]:
        """Sort key of an open session: hot wax before what only cures, then by what is due first."""
        due = self.next[session.session].due if session.session in self.next else float("inf")
        return session.stage not in ("melt", "pour"), due

    def _put(self, sessions: list[Summary]) -> None:
        """Show these sessions in this order, the cursor where it was."""
        self.sessions = sessions
        self.narrow()

    def narrow(self) -> None:
        """Show what has the words that are looked for, the cursor where it was."""
        chosen = self.chosen
        self.shown = self.finder.left(self.sessions, self.now) if self.finder.looks else self.sessions
        here = (chosen.session, chosen.file) if chosen and self._moved else None
        self.at = next((n for n, each in enumerate(self.shown) if (each.session, each.file) == here), 0)

    def learn_cards(self, progress: Progress) -> None:
        """Take in what is known of more sessions; a long list shows it with the next `settle`."""
        self.finder.learn(progress)
        if progress.listed:
            self._listed |= {row.file: row for row in progress.listed}
        self.stale = True
        if len(self.sessions) <= FEW or progress.done >= progress.of:
            self.settle()

    def settle(self) -> None:
        """Show all that is known by now."""
        from pourday.store.library import in_order

        self.stale = False
        if self._listed:
            listed, self._listed = self._listed, {}
            self.unread = [name for name in self.unread if name not in listed]
            known = [listed.get(each.file, each) for each in self.sessions]
            self._put(self._ordered(in_order([each for each in known if not each.batch])))
        elif self.finder.looks:
            self.narrow()

    # -- keys ---------------------------------------------------------------------------------------

    def press(self, key: str, character: str | None, now: float | None = None) -> HomeCommand | None:
        """What the screen is to do for a key, by its name and the character it types; None where that is nothing.

        `now`: seconds since the epoch, by which words like `older than spring` are meant.
        """
        self.message = ""
        self.now = self.now if now is None else now
        sign = character if character and character.isprintable() else key
        try:
            if self.question is not None:
                return self._answer(key, sign)
            if self.page == "family" and self.family is not None:
                return self._family(self.family, key, sign)
            if self.page == "beside" and self.beside is not None:
                self.page = "beside" if self.beside.press(key, sign) else "list"
                return None
            if self.finder.typing and self._finds(key, character):
                return None
            return self._plans(key) if self.page == "plans" else self._list(key, sign)
        except Trouble as trouble:
            self.message = str(trouble)
            return None

    def point(self, row: int) -> bool:
        """Stand on a row of the list that shows; True where one stood there already."""
        over = self.family if self.page == "family" else self.plans if self.page == "plans" else None
        if over is not None:
            rows = over.rows if isinstance(over, FamilyPage) else over.plans
            there, over.at = over.at, max(0, min(len(rows) - 1, row))
            return there == over.at
        there, self.at = self.at, max(0, min(len(self.shown) - 1, row))
        stood, self._moved = self._moved or there == 0, True
        return stood and there == self.at

    def _answer(self, key: str, sign: str) -> HomeCommand | None:
        """A key while a question is open: one of its choices, or away with it."""
        question = self.question
        assert question is not None
        if question.typed is not None:
            return self._type(question, key, sign)
        if key in ("escape", "q"):
            self.question = None
        elif any(sign.lower() == choice for choice, _ in question.choices):
            self.question = None
            return self._follow(question.answer(sign.lower()))
        return None

    def _type(self, question: HomeQuestion, key: str, sign: str) -> HomeCommand | None:
        """A key while an answer is typed; one that cannot be taken stays there, with a sentence."""
        typed = question.typed or ""
        if key == "enter":
            self.question = replace(question, refused=True)
            outcome = question.answer(typed)
            self.question = None
            return self._follow(outcome)
        if key == "escape":
            self.question = None
        elif (left := rubbed(typed, key)) is not None:
            self.question = replace(question, typed=left, refused=False)
        elif len(sign) == 1 or key == "space":
            begun = "" if question.refused else typed
            longer = (begun + (" " if key == "space" else sign))[: question.longest]
            self.question = replace(question, typed=longer, refused=False)
        return None

    def _follow(self, outcome: HomeCommand | HomeQuestion | None) -> HomeCommand | None:
        """Ask what an answer leads to, or hand on what it has the screen do."""
        if isinstance(outcome, HomeQuestion):
            self.question = outcome
            return None
        if outcome is not None and outcome.act == "keep":
            self.first = False
        return outcome

    def _list(self, key: str, sign: str) -> HomeCommand | None:
        """A key at the list of sessions."""
        if self.asks_first and sign in ("m", "u"):
            self.question = ask_altitude(False, sign)
            return None
        row = moved(self.at, key, len(self.shown))
        if row is not None:
            self.at, self._moved = row, True
            return None
        if key == "escape" and self.finder.looks:
            self.finder.text = ""
            self.narrow()
            return None
        pressed = sign if len(sign) == 1 else key
        if pressed in LEADS_TO:
            return HomeCommand(LEADS_TO[pressed])
        act = self._acts.get(pressed)
        return act() if act is not None else None

    # -- finding, and side by side --------------------------------------------------------------------

    def _finds(self, key: str, character: str | None) -> bool:
        """Whether a key belonged to the words that are typed."""
        if key == "escape":
            self.finder.text, self.finder.typing = "", False
        elif key == "enter":
            self.finder.typing = False
        elif not self.finder.type(key, character if character and character.isprintable() else ""):
            return False
        self._moved = self._moved and key == "enter"
        self.narrow()
        return True

    def _mark(self) -> None:
        """Mark the chosen session to be laid beside another, or take its mark away."""
        chosen = self.chosen
        if chosen is None or chosen.trouble:
            self.message = chosen.trouble if chosen else tr("There is no session to mark.")
        elif chosen.session in self.marked:
            self.marked = tuple(name for name in self.marked if name != chosen.session)
        elif len(self.marked) == MOST_BESIDE:
            self.message = tr("Three are marked already. m on one of them takes its mark away.")
        else:
            self.marked = (*self.marked, chosen.session)

    def _lay_beside(self) -> HomeCommand | None:
        """Lay what is marked side by side; with one marked, the chosen one beside it."""
        names = self.marked
        if len(names) == 1 and self.chosen is not None and self.chosen.session not in names:
            names = (*names, self.chosen.session)
        if len(names) < 2:
            self.message = tr("Mark two or three sessions with m, then s lays them side by side.")
            return None
        self.message = tr("Laying them side by side.")
        return HomeCommand("compare", sessions=names)

    def show_beside(self, beside: Comparison | str) -> None:
        """Show days side by side, or why that cannot be."""
        self.message = ""
        if isinstance(beside, str):
            self.message = beside
            return
        self.beside, self.page = BesidePage(beside), "beside"

    def _show_family(self) -> None:
        """Turn to the tree of the days that the chosen one was made after, and that were made after it."""
        from pourday.shelf.family import family_lines, family_of

        chosen = self.chosen
        if chosen is None or chosen.session not in self.finder.cards:
            self.message = (
                tr("This session has not been looked into yet.") if chosen else tr("There is no session yet.")
            )
            return
        rows = family_lines(family_of(self.finder.cards, chosen.session))
        self.family = FamilyPage(rows, next(n for n, row in enumerate(rows) if row[1] == chosen.session))
        self.page = "family"

    def _family(self, page: FamilyPage, key: str, sign: str) -> HomeCommand | None:
        """A key at the tree: move, open the day, or back."""
        row = moved(page.at, key, len(page.rows))
        if row is not None:
            page.at = row
        elif key in ("enter", "space"):
            self.page = "list"
            return HomeCommand("open", session=page.session)
        elif key == "escape" or sign in ("q", "t"):
            self.page = "list"
        return None

    def _new(self) -> HomeCommand | None:
        """A new plan; before the very first one the units are asked."""
        if not self.known:
            self.read()
        if self.asks_first:
            self.question = ask_units(begins=True)
            return None
        return HomeCommand("begin")

    def _candles(self) -> HomeCommand | None:
        """The candles of the chosen session; of what is due first, as long as nobody chose."""
        if self.due and not self._moved:
            return HomeCommand("candles", session=self.due[0].batch)
        chosen = self.chosen
        if chosen is None or chosen.trouble:
            self.message = chosen.trouble if chosen else tr("There are no candles yet. n plans a day.")
            return None
        if chosen.stage not in ("pour", "cure", "finished") or not chosen.moulds:
            self.message = tr("No candle of this session has left its mould yet.")
            return None
        return HomeCommand("candles", session=chosen.session)

    def _open(self) -> HomeCommand | None:
        """Go on with the chosen session, or say why it cannot be opened."""
        if not self.known:
            self.read()
        chosen = self.chosen
        if chosen is None:
            self.message = (
                tr("There is no session yet. n plans one, d shows a whole day.") if self.known else ""
            )
            return None
        if chosen.trouble:
            self.message = chosen.trouble
            return None
        return HomeCommand("open", session=chosen.session)

    def _rehearse(self) -> HomeCommand | None:
        """The rest of a day that has begun, else the plan of the chosen session."""
        from pourday.store.reading import read_session

        chosen = self.chosen
        if chosen is None or chosen.trouble:
            return HomeCommand("rehearse")
        state = read_session(self.folder, chosen.session).state
        if state.heap is not None:
            self.message = tr("There is no day in it to rehearse. c begins a plan with this wax.")
            return None
        if is_open(chosen) and state.fixed_plan is not None:
            return HomeCommand("rehearse", state=state)
        return HomeCommand("rehearse", plan=state.fixed_plan or state.plan)

    # -- start from before --------------------------------------------------------------------------

    def _begin_from(self) -> HomeCommand | None:
        """Start a plan from the chosen session; where something was poured, ask first whether as planned or as it went."""
        from pourday.store.reading import read_session

        chosen = self.chosen
        if chosen is None:
            self.message = tr("There is no session here to start from. n plans a new one.")
            return None
        if chosen.trouble:
            self.message = chosen.trouble
            return None
        state = read_session(self.folder, chosen.session).state
        if state.heap is not None:
            return self._from_wax(state)
        return self._follow(begin_from(state, chosen.title or chosen.session))

    def _from_wax(self, state: State) -> HomeCommand | None:
        """Begin a plan with a lot of wax that nobody knew before."""
        from pourday.heap.lot import plan_with

        if state.heap is None or not state.heap.name:
            self.message = tr("This wax has no name yet. Enter goes on with it.")
            return None
        return HomeCommand("begin", plan=plan_with(state))

    # -- kept plans ---------------------------------------------------------------------------------

    def _show_plans(self) -> None:
        """Turn to the kept plans, read anew."""
        self.page, self.message = "plans", self.plans.read()

    def _plans(self, key: str) -> HomeCommand | None:
        """A key at the list of kept plans."""
        from pourday.session.repeat import again

        page, chosen = self.plans, self.plans.chosen
        row = moved(page.at, key, len(page.plans))
        if row is not None:
            page.at = row
        elif key in ("left", "right") and chosen is not None:
            self.message = page.turn(1 if key == "left" else -1)
        elif key in ("escape", "q", "p"):
            self.page = "list"
        elif chosen is not None and key in ("enter", "space"):
            return HomeCommand("begin", plan=again(chosen.plan))
        elif chosen is not None and key == "r":
            return HomeCommand("rehearse", plan=chosen.plan)
        elif chosen is not None and key in ("delete", "backspace"):
            choices = (("y", tr("forget it")),)
            self.question = HomeQuestion(
                tr("Forget the plan “{name}”?", name=chosen.name),
                choices,
                partial(self._forget, chosen.name),
                tr("keep it"),
            )
        return None

    def _forget(self, name: str, _key: str) -> None:
        """Forget a kept plan, after the question was answered."""
        self.message = self.plans.forget(name)


def is_open(session: Summary) -> bool:
    """Whether a session can still be gone on with."""
    return not session.finished and not session.trouble
