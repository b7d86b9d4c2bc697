"""What the first screen knows, and what a key does there. It knows nothing of Textual and reads no clock.

The screen does what an `HomeCommand` says; everything else (cursor, questions, pages, sentences) is here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pourday.errors import Trouble
from pourday.language import tr
from pourday.tui.home.finder import Finder
from pourday.tui.terminal.cursor import moved
from pourday.tui.terminal.rubbing import rubbed

if TYPE_CHECKING:
    from pourday.burn.due import CandleDue
    from pourday.plan.model import Plan
    from pourday.session.state import State
    from pourday.shelf.compare import Comparison
    from pourday.shelf.index import Progress
    from pourday.store.library import Summary
    from pourday.store.memories import KeptPlan
    from pourday.units import Units

Page = Literal["list", "plans", "beside", "family"]
MEASURES = (("m", tr("metric: g, mm, °C")), ("u", tr("US: oz, in, °F")))
"""What is asked once, before the first plan."""
MOST_BESIDE = 3
"""Days that are laid side by side at most."""
AT_ONCE = 32
"""Files that are read before the list shows; where more have changed, the rest is read beside the screen."""
FEW = 500
"""Sessions up to which the list is put in order anew with every few that become known."""
LONGEST = 20
"""Characters of an answer that is typed."""


HomeAct = Literal[
    "leave",
    "open",
    "begin",
    "demo",
    "rehearse",
    "settings",
    "candles",
    "keep",
    "compare",
    "stock",
    "moulds",
    "kitchen",
    "heap",
]
LEADS_TO: dict[str, HomeAct] = {
    "d": "demo",
    ",": "settings",
    "comma": "settings",
    "k": "settings",
    "w": "stock",
    "v": "moulds",
    "l": "kitchen",
    "h": "heap",
    "q": "leave",
    "escape": "leave",
}
"""Keys that only lead elsewhere, whatever the cursor is on."""


@dataclass(frozen=True, slots=True)
class HomeCommand:
    """What the screen is to do: what a controller that knows no Textual and no files cannot."""

    act: HomeAct
    session: str = ""
    plan: Plan | None = None
    """What to begin with, or to rehearse; None for an empty plan."""
    state: State | None = None
    """The day that has begun, where its rest is to be rehearsed."""
    sessions: tuple[str, ...] = ()
    """Those to be laid side by side."""
    keep: tuple[tuple[str, str], ...] = ()
    """Settings to be saved, by name, as typed;"""
    begins: bool = False
    """and whether a plan is begun with them."""


@dataclass(frozen=True, slots=True)
class HomeQuestion:
    """A question with the keys that answer it, or with a text that is typed."""

    says: str
    choices: tuple[tuple[str, str], ...]
    answer: Callable[[str], HomeCommand | None]
    neither: str = "neither"
    """What Escape does."""
    typed: str | None = None
    """What is typed so far; None where a key answers."""
    longest: int = LONGEST
    """Characters that can be typed."""
    refused: bool = False
    """What is typed was not taken: the next letter begins anew, Backspace mends it."""


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
        self.beside: Comparison | None = None
        """Days side by side, once they are worked out,"""
        self.beside_all = False
        """whether what is alike shows as well,"""
        self.beside_at = 0
        """and the first row in sight;"""
        self.beside_drawn = False
        """or the candles alone,"""
        self.beside_mould = 0
        """those of which mould."""
        self.family: list[tuple[str, str, str]] = []
        """Days made after each other: branch, session and what is told of it, a row each,"""
        self.family_at = 0
        """and the row that one stands on."""
        self.plans: list[KeptPlan] = []
        self.plan_at = 0
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

    @property
    def chosen_plan(self) -> KeptPlan | None:
        """The kept plan that the cursor is on; None where none was kept."""
        return self.plans[self.plan_at] if self.plans else None

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
            if self.page == "family":
                return self._family(key, sign)
            if self.page == "beside":
                self._beside(key, sign)
                return None
            if self.finder.typing and self._finds(key, character):
                return None
            return self._plans(key) if self.page == "plans" else self._list(key, sign)
        except Trouble as trouble:
            self.message = str(trouble)
            return None

    def point(self, row: int) -> bool:
        """Stand on a row of the list that shows; True where one stood there already."""
        if self.page == "family":
            there, self.family_at = self.family_at, max(0, min(len(self.family) - 1, row))
            return there == self.family_at
        if self.page == "plans":
            there, self.plan_at = self.plan_at, max(0, min(len(self.plans) - 1, row))
            return there == self.plan_at
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
            return question.answer(sign.lower())
        return None

    def _type(self, question: HomeQuestion, key: str, sign: str) -> HomeCommand | None:
        """A key while an answer is typed; one that cannot be taken stays there, with a sentence."""
        typed = question.typed or ""
        if key == "enter":
            self.question = replace(question, refused=True)
            command = question.answer(typed)
            self.question = None
            return command
        if key == "escape":
            self.question = None
        elif (left := rubbed(typed, key)) is not None:
            self.question = replace(question, typed=left, refused=False)
        elif len(sign) == 1 or key == "space":
            begun = "" if question.refused else typed
            longer = (begun + (" " if key == "space" else sign))[: question.longest]
            self.question = replace(question, typed=longer, refused=False)
        return None

    # -- the very first start -------------------------------------------------------------------------

    def _ask_units(self, *, begins: bool) -> None:
        """In which units somebody weighs and measures: asked once, for all plans."""
        says = tr("First, once: how do you weigh and measure? (, changes it later)")
        self.question = HomeQuestion(says, MEASURES, partial(self._ask_altitude, begins), tr("later"))

    def _ask_altitude(self, begins: bool, key: str) -> None:
        """How high the kitchen lies, which says where water boils."""
        units: Units = "us" if key == "u" else "metric"
        like = tr("like 1500 ft or 450 m") if units == "us" else tr("like 450 m")
        says = tr(
            "How high above the sea is your kitchen ({like}; it says where water boils)? Enter alone: near it.",
            like=like,
        )
        answer = partial(self._keep_kitchen, units, begins)
        self.question = HomeQuestion(says, (), answer, tr("later"), typed="")

    def _keep_kitchen(self, units: Units, begins: bool, typed: str) -> HomeCommand:
        """Keep both for all plans. Raises `Trouble` for what is no altitude."""
        from pourday.store.settings_fields import BY_NAME

        keep: tuple[tuple[str, str], ...] = (("units", units),)
        if typed.strip():
            BY_NAME["altitude"].read(typed, units)
            keep = (*keep, ("altitude", typed.strip()))
        self.first = False
        return HomeCommand("keep", keep=keep, begins=begins)

    def _list(self, key: str, sign: str) -> HomeCommand | None:
        """A key at the list of sessions."""
        if self.asks_first and sign in ("m", "u"):
            self._ask_altitude(False, sign)
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
        self.beside, self.beside_at, self.beside_all, self.page = beside, 0, False, "beside"
        self.beside_drawn, self.beside_mould = False, 0

    def _beside(self, key: str, sign: str) -> None:
        """A key while days stand side by side."""
        row = moved(self.beside_at, key)
        if row is not None:
            self.beside_at = row
        elif key in ("left", "right") and self.beside is not None:
            most = max((len(stacks) for stacks in self.beside.stacks), default=1) - 1
            self.beside_mould = max(0, min(most, self.beside_mould + (1 if key == "right" else -1)))
        elif sign == "d":
            self.beside_drawn = not self.beside_drawn
        elif sign == "a":
            self.beside_all, self.beside_at = not self.beside_all, 0
        elif key in ("escape", "enter") or sign in ("q", "s"):
            self.page = "list"

    def _show_family(self) -> None:
        """Turn to the tree of the days that the chosen one was made after, and that were made after it."""
        from pourday.shelf.family import family_lines, family_of

        chosen = self.chosen
        if chosen is None or chosen.session not in self.finder.cards:
            self.message = (
                tr("This session has not been looked into yet.") if chosen else tr("There is no session yet.")
            )
            return
        self.family = family_lines(family_of(self.finder.cards, chosen.session))
        self.family_at = next(n for n, row in enumerate(self.family) if row[1] == chosen.session)
        self.page = "family"

    def _family(self, key: str, sign: str) -> HomeCommand | None:
        """A key at the tree: move, open the day, or back."""
        row = moved(self.family_at, key, len(self.family))
        if row is not None:
            self.family_at = row
        elif key in ("enter", "space"):
            self.page = "list"
            return HomeCommand("open", session=self.family[self.family_at][1])
        elif key == "escape" or sign in ("q", "t"):
            self.page = "list"
        return None

    def _new(self) -> HomeCommand | None:
        """A new plan; before the very first one the units are asked."""
        if not self.known:
            self.read()
        if self.asks_first:
            self._ask_units(begins=True)
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
        from pourday.session.repeat import as_planned, poured_moulds
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
        letters = poured_moulds(state)
        if not letters:
            return HomeCommand("begin", plan=as_planned(state))
        self.question = HomeQuestion(
            tr("A new plan from “{title}”:", title=chosen.title or chosen.session),
            (("p", tr("as it was planned")), ("w", tr("as it really went"))),
            partial(self._how, state, letters),
        )
        return None

    def _from_wax(self, state: State) -> HomeCommand | None:
        """Begin a plan with a lot of wax that nobody knew before."""
        from pourday.heap.lot import plan_with

        if state.heap is None or not state.heap.name:
            self.message = tr("This wax has no name yet. Enter goes on with it.")
            return None
        return HomeCommand("begin", plan=plan_with(state))

    def _how(self, state: State, letters: list[str], key: str) -> HomeCommand | None:
        """Begin as it was planned (p), or as it went (w): in which mould is asked where several were poured."""
        from pourday.session.repeat import as_planned

        if key == "p":
            self._ask_change(as_planned(state))
            return None
        if len(letters) == 1:
            self._as_it_went(state, letters[0])
            return None
        self.question = HomeQuestion(
            tr("The layers as they came out in which mould?"),
            tuple((letter.lower(), tr("mould {letter}", letter=letter)) for letter in letters),
            partial(self._as_it_went, state),
        )
        return None

    def _as_it_went(self, state: State, letter: str) -> None:
        from pourday.session.repeat import as_it_went

        self._ask_change(as_it_went(state, letter.upper()))

    def _ask_change(self, plan: Plan) -> None:
        """What is to be changed against the day a plan was made after, and why: one thing, or nothing said yet."""
        says = tr(
            "What is the one thing you change, and why? Like: pour at 78C because of rings. Enter alone: say it later."
        )
        self.question = HomeQuestion(
            says, (), partial(self._with_change, plan), tr("no new plan"), typed="", longest=160
        )

    def _with_change(self, plan: Plan, typed: str) -> HomeCommand:
        from pourday.session.repeat import with_change

        return HomeCommand("begin", plan=with_change(plan, typed))

    # -- kept plans ---------------------------------------------------------------------------------

    def _show_plans(self) -> None:
        """Turn to the kept plans, read anew."""
        from pourday.store.memories import Memories

        memories = Memories(self.folder)
        self.plans = memories.plans()
        self.plan_at = max(0, min(self.plan_at, len(self.plans) - 1))
        self.page = "plans"
        self.message = " ".join(memories.remarks)

    def _plans(self, key: str) -> HomeCommand | None:
        """A key at the list of kept plans."""
        from pourday.session.repeat import again

        chosen = self.chosen_plan
        row = moved(self.plan_at, key, len(self.plans))
        if row is not None:
            self.plan_at = row
        elif key in ("left", "right") and chosen is not None:
            self._turn(chosen, 1 if key == "left" else -1)
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

    def _turn(self, chosen: KeptPlan, by: int) -> None:
        """Show an older version of a kept plan in its row, or a newer one."""
        from pourday.store.memories import Memories

        versions = Memories(self.folder).versions(chosen.name)
        at = next((n for n, each in enumerate(versions) if each.version == chosen.version), 0)
        if 0 <= at + by < len(versions):
            self.plans[self.plan_at] = versions[at + by]
        else:
            self.message = tr(
                "There is no {by} version of “{name}”.",
                by=tr("older") if by > 0 else tr("newer"),
                name=chosen.name,
            )

    def _forget(self, name: str, _key: str) -> None:
        """Forget a kept plan, after the question was answered."""
        from pourday.store.memories import Memories

        Memories(self.folder).forget_plan(name)
        self._show_plans()
        self.message = self.message or tr("“{name}” is forgotten.", name=name)


def is_open(session: Summary) -> bool:
    """Whether a session can still be gone on with."""
    return not session.finished and not session.trouble
