"""What a key at the stove does: one path for every key, no focus, no widget, no clock of its own.

The desk holds what is half typed and what is being asked, turns keys into facts and files them. It
knows nothing of Textual, so every rule of the keyboard can be tried without a terminal.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import gettempdir

from pourday.errors import Trouble
from pourday.guide.act import Choice, Question
from pourday.guide.adviser import Advice, Adviser
from pourday.guide.describe import say_fact
from pourday.guide.menu import away_question, look_question, menu
from pourday.guide.rescue_cards import card_question
from pourday.guide.stove_acts import burner_question
from pourday.guide.words import clock
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.fold import last_undoable
from pourday.store.live import LiveSession
from pourday.text import plain
from pourday.tui.entry import Entry, Target, read_timer, targets
from pourday.tui.farewell import COPY, LEAVE, RETRY, STILL_LIT, before_leaving
from pourday.tui.keys import BINDINGS, BY_KEY
from pourday.tui.readings import reading_of, unit_question, weight_of
from pourday.units import show_temperature

FIRE = next(binding for binding in BINDINGS if binding.id == "fire")
"""Works whatever is typed or asked, but in the middle of a written note."""
DOUBLE = 0.5
"""Seconds within which a second "done" is a slip or a held key."""
ASLEEP = 120.0
"""Seconds without a key after which the first "done" only shows the sentence."""
MANY = 9
"""Answers above which a wrong key does not list them all."""
NONSENSE = "is not a reading and not a key here"
HEARD_EVERY = 60.0
"""An answer to the watch goes on record at most this often, s."""


class Desk:
    """Keys in, facts filed; `real` is a clock that only measures how fast keys follow each other."""

    def __init__(
        self,
        live: LiveSession,
        on_filed: Callable[[Fact], None] | None = None,
        copy_to: Path | None = None,
        adviser: Adviser | None = None,
    ) -> None:
        self.live = live
        self.adviser = adviser or Adviser()
        self.advice: Advice = Advice(live.state, None, None)
        self.entry = Entry()
        self.question: Question | None = None
        self.writing: str = ""
        """What is being written: `note`, `timer` or nothing."""
        self.message = ""
        self.card = ""
        """A card over the screen: `fire`, `help`, `sheet` or none."""
        self.chosen: int | None = None
        self.finished_view = False
        self.leaving = False
        """The person asked to leave and nothing speaks against it."""
        self.quiet = False
        """A key was pressed since the bell began."""
        self._on_filed = on_filed
        self._copy_to = copy_to or Path(gettempdir())
        self._farewell: Question | None = None
        self._last_done = self._last_key = float("-inf")

    def wake(self, real: float) -> None:
        """The screen has just opened: somebody is there."""
        self._last_key = real

    # -- time ---------------------------------------------------------------------------------------

    def look(self, now: float) -> Advice:
        """The guide's word at this moment; what it has to put on record is filed."""
        self.advice = self.adviser.advise(self.live.state, now)
        if self.advice.to_file and not self.live.readonly and not self.live.unsaved:
            for fact in self.advice.to_file:
                if self.live.over:
                    break
                self.live.file(fact, now=now, by="program")
                if isinstance(fact, ev.AlarmRaised):
                    self.quiet = False
            self.advice = self.adviser.advise(self.live.state, now)
        if self.adviser.trouble and not self.message:
            self.message = f"{self.adviser.trouble} Go by what you see."
        return self.advice

    # -- keys ---------------------------------------------------------------------------------------

    def press(self, key: str, character: str | None, now: float, real: float) -> None:
        """One key. `key` as Textual names it, `character` what it types, if anything."""
        woken = real - self._last_key > ASLEEP
        self._last_key = real
        self.quiet = True
        self._heard(now)
        if BY_KEY.get(key) is FIRE and not self.writing:
            self.card = "" if self.card == "fire" else "fire"
        elif self.card:
            self._on_card(key)
        elif self.writing:
            self._write(key, character, now)
        elif self._types(key, character):
            self._type(key, character, now)
        elif self.question is not None:
            self._answer(key, character, now)
        else:
            self._command(key, character, now, real, woken)

    def _heard(self, now: float) -> None:
        """Any key answers the watch."""
        state = self.live.state
        if state.burner != "off" and now - state.heard_at > HEARD_EVERY and not self.live.readonly:
            self._file(ev.WatchAnswered(), now)

    def _on_card(self, key: str) -> None:
        if key in ("escape", "space", "enter", "slash"):
            self.card = ""

    # -- readings -----------------------------------------------------------------------------------

    def _types(self, key: str, character: str | None) -> bool:
        if character is not None and character.isascii() and character.isdigit():
            return not (self.question and any(c.key == character for c in self.question.choices))
        if not self.entry.text:
            return character == "-" or (character in (".", ",") and self.question is None)
        if character in (".", ",", "-"):
            return True
        return key in ("enter", "backspace", "tab", "escape", "space") or (
            character is not None and character.isalpha()
        )

    def _type(self, key: str, character: str | None, now: float) -> None:
        self.message = ""
        if key == "enter":
            self._file_entry(now)
        elif key == "escape":
            self.entry = Entry(target=self.entry.target)
        elif key == "backspace":
            self.entry = self.entry.rubbed()
        elif key == "tab":
            self._next_place()
        elif key == "space":
            self.message = f"Enter files {self.entry.text}; Esc drops it. Nothing else was done."
        elif character is not None:
            self.entry, self.message = self.entry.typed(character)

    def places(self) -> list[Target]:
        """Where digits can go now, the likeliest first."""
        act = self.advice.now.act if self.advice.now else None
        return targets(self.live.state, act)

    def target(self) -> Target:
        """Where digits go as it stands."""
        return self.entry.target or self.places()[0]

    def _next_place(self) -> None:
        places = self.places()
        here = self.target()
        index = places.index(here) if here in places else -1
        self.entry = replace(self.entry, target=places[(index + 1) % len(places)])

    def _file_entry(self, now: float) -> None:
        target = self.target()
        try:
            if target.place == "weight":
                self._file_weight(target, now)
                return
            reading = self.entry.temperature(self.live.state.plan.units, target.place)
        except Trouble as trouble:
            self.message = str(trouble)
            self.entry = Entry(target=self.entry.target)
            return
        typed = self.entry.text
        self.entry = Entry(target=None)
        if reading.doubt:
            self.question = unit_question(self.live.state, self.advice.outlook, target, typed, now)
        else:
            self._file_reading(reading.celsius, reading.typed, target, now)

    def _file_reading(self, celsius: float, typed: str, target: Target, now: float) -> None:
        fact = reading_of(self.live.state, self.advice.outlook, target, celsius, typed, now)
        if self._file(fact, now):
            read = show_temperature(celsius, self.live.state.plan.units, 1)
            self.message = f"{target.name}: {read} filed."
            if fact.doubt:
                self.message = f"{read} kept, but left out of the forecast. {fact.doubt}"

    def _file_weight(self, target: Target, now: float) -> None:
        fact = weight_of(self.live.state, target, self.entry)
        self.entry = Entry()
        if self._file(fact, now):
            self.message = f"{target.name}: {fact.typed} filed."

    # -- questions ----------------------------------------------------------------------------------

    def _answer(self, key: str, character: str | None, now: float) -> None:
        assert self.question is not None
        if key == "escape":
            self.question, self.message = None, ""
            return
        choice = self._choice(character)
        if choice is None:
            keys = ", ".join(c.key for c in self.question.choices)
            few = len(self.question.choices) <= MANY
            self.message = (
                f"Answer with {keys if few else 'one of the keys shown'}, or Esc to leave the question."
            )
            return
        asked = self.question
        self.question, self.message = choice.then, ""
        if asked is self._farewell and self._said_on_leaving(choice.key, asked):
            return
        self._file_all(choice.facts, now)

    def _said_on_leaving(self, key: str, asked: Question) -> bool:
        """Act on an answer to the question that stands before leaving; False for one that only files facts."""
        if key == LEAVE and asked is not STILL_LIT and self.live.state.burner != "off":
            self.question = self._farewell = STILL_LIT
        elif key == LEAVE:
            self.leaving = True
        elif key == COPY:
            try:
                self.message = f"A copy of everything is now {self.live.emergency_copy(self._copy_to)}."
            except Trouble as trouble:
                self.message = str(trouble)
        elif key == RETRY:
            self.message = "Everything is saved now." if self.live.retry() else ""
        else:
            return False
        return True

    def _choice(self, character: str | None) -> Choice | None:
        if self.question is None or character is None:
            return None
        return next((c for c in self.question.choices if c.key == character.lower()), None)

    # -- commands -----------------------------------------------------------------------------------

    def _command(self, key: str, character: str | None, now: float, real: float, woken: bool) -> None:
        binding = BY_KEY.get(key)
        unknown, self.message = self.message, ""
        match binding.id if binding else "":
            case "done":
                self._done(now, real, woken)
            case "heat":
                self._heat(now)
            case "ack":
                self._acknowledge(now)
            case "away":
                self._away(now)
            case "other":
                self._other(now)
            case "look":
                self._look_at()
            case "rescue":
                self._rescue(now)
            case "sheet":
                self.card = "sheet"
            case "undo":
                self._undo(now)
            case "note" | "timer" as what:
                self.writing, self.entry = what, Entry()
            case "view":
                self.finished_view = not self.finished_view
            case "up" | "down" as way:
                self._choose(1 if way == "down" else -1)
            case "help":
                self.card = "help"
            case "leave":
                self._leave()
            case "back":
                self._back()
            case "place":
                self._next_place()
            case "file" | "rub":
                self.message = unknown
            case _:
                self._nonsense(character, unknown)

    def _nonsense(self, character: str | None, before: str) -> None:
        if character is None or not character.isprintable():
            return
        known = before.split("”")[0][1:] if NONSENSE in before else ""
        said = plain(known + character, 12)
        self.message = f"“{said}” {NONSENSE}. Type digits, like 74.5, or / for the keys."

    def _back(self) -> None:
        if self.chosen is not None:
            self.chosen = None
        else:
            self._leave()

    def _choose(self, step: int) -> None:
        count = len(self.advice.acts)
        if count:
            self.chosen = 0 if self.chosen is None else (self.chosen + step) % count

    def _done(self, now: float, real: float, woken: bool) -> None:
        slip = real - self._last_done < DOUBLE
        self._last_done = real
        if slip or self.advice.now is None:
            return
        act = self.advice.now.act
        if woken and act.urgency < 9:
            self.message = "That key only woke the screen. Space again says it is done."
            return
        if act.question is not None and act.word != "WAIT":
            self.question = act.question
        elif act.kind == "finish" and act.files:
            self._finish(now)
        elif act.files and act.word != "WAIT":
            self._file_all(act.files, now)
        else:
            self.message = "Nothing to do but wait; the next act is in the agenda."

    def _finish(self, now: float) -> None:
        try:
            self.live.finish("", now=now)
        except Trouble as trouble:
            self.message = str(trouble)

    def _heat(self, now: float) -> None:
        lit = self.live.state.burner
        if lit == "unknown":
            self.question = burner_question()
            return
        self._file_all((ev.BurnerSet(state="off" if lit == "on" else "on"),), now)

    def _acknowledge(self, now: float) -> None:
        waiting = [k for k, a in self.live.state.alarms.items() if a.acknowledged_at is None]
        if not waiting:
            self.message = "No alarm is waiting to be acknowledged."
            return
        self._file_all(tuple(ev.AlarmAcknowledged(alarm=k) for k in waiting), now)

    def _away(self, now: float) -> None:
        if self.live.state.away_since is not None:
            self._file_all((ev.CameBack(),), now)
            return
        self.question = away_question(self.live.state, now, self.advice.acts, self.advice.outlook)

    def _other(self, now: float) -> None:
        if self.advice.outlook is not None and self.advice.now is not None:
            self.question = menu(self.live.state, self.advice.outlook, self.advice.now.act, now)

    def _rescue(self, now: float) -> None:
        if self.advice.outlook is not None:
            self.question = card_question(self.live.state, self.advice.outlook, now)

    def _look_at(self) -> None:
        self.question = look_question(self.live.state)

    def _undo(self, now: float) -> None:
        try:
            taken = self._taken_back(now)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        if not taken:
            self.message = "There is nothing to take back."
        else:
            said = "; ".join(say_fact(entry.fact, self.live.state.plan) for entry in taken)
            self.message = f"Taken back: {said} ({clock(taken[0].t, now)}). It stays readable in the record."
            self.look(now)

    def _taken_back(self, now: float) -> list[ev.Entry]:
        """The last thing said, taken back; a rescue or a new plan with all that was filed in the same answer."""
        taken: list[ev.Entry] = []
        while (last := last_undoable(self.live.entries)) is not None:
            whole = any(isinstance(e.fact, ev.RescueChosen | ev.PlanRevised) for e in (*taken, last))
            if taken and not (whole and last.t == taken[0].t):
                break
            self.live.undo(now=now)
            taken.append(last)
        return taken

    def leave(self) -> None:
        """Asked to leave from anywhere: what is half typed or asked is dropped, and stands in nobody's way."""
        self.entry, self.writing, self.card = Entry(), "", ""
        self.question, self.message, self.chosen = None, "", None
        self._leave()

    def _leave(self) -> None:
        self.question = self._farewell = before_leaving(self.live, self._copy_to)
        self.leaving = self.question is None

    # -- writing ------------------------------------------------------------------------------------

    def _write(self, key: str, character: str | None, now: float) -> None:
        if key == "escape":
            self.writing, self.entry = "", Entry()
        elif key == "backspace":
            self.entry = replace(self.entry, text=self.entry.text[:-1])
        elif key == "enter":
            self._file_writing(now)
        elif character is not None and character.isprintable():
            self.entry = replace(self.entry, text=(self.entry.text + character)[:300])

    def _file_writing(self, now: float) -> None:
        text, what = plain(self.entry.text, 300), self.writing
        self.writing, self.entry = "", Entry()
        if not text:
            return
        if what == "note":
            if self._file(ev.Noted(text=text), now):
                self.message = "Note filed."
            return
        try:
            timer = read_timer(text, now)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        if self._file(timer, now):
            self.message = f"Timer {timer.name} until {clock(timer.due.timestamp())}."

    # -- filing -------------------------------------------------------------------------------------

    def _file_all(self, facts: tuple[Fact, ...], now: float) -> None:
        said = [say_fact(fact, self.live.state.plan) for fact in facts if self._file(fact, now)]
        if said:
            self.message = f"Filed: {'; '.join(said)}".rstrip("?.") + "."

    def _file(self, fact: Fact, now: float) -> bool:
        """File one fact; True once it is on disk, False where it is refused or not saved yet."""
        try:
            self.live.file(fact, now=now)
        except Trouble as trouble:
            self.message = str(trouble)
            return False
        if self._on_filed is not None:
            self._on_filed(fact)
        self.look(now)
        return not self.live.unsaved
