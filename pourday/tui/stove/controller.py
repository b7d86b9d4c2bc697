"""What a key at the stove does: one path for every key, no focus, no widget, no clock of its own.

The controller sends each key where it belongs: to what is being typed (`typed.py`), to what is being asked
(`question.py`), or to a command of its own. It knows nothing of Textual, so every rule of the keyboard can be
tried without a terminal.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from tempfile import gettempdir
from typing import ClassVar

from pourday.guide.acts.act import Question, Urgency, awaits
from pourday.guide.acts.menu import away_question, look_question, menu
from pourday.guide.acts.stove_acts import burner_question
from pourday.guide.advice.adviser import Advice, Adviser
from pourday.guide.rescue.cards_stove import card_question
from pourday.language import tr
from pourday.probes.offset import ProbeTest
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.store.live import LiveSession
from pourday.text import plain
from pourday.times import letters
from pourday.tui.stove.aside import Aside
from pourday.tui.stove.entry import PendingNumber, Target
from pourday.tui.stove.guard import SETTLES, KeyGuard
from pourday.tui.stove.jug_line import JugLine
from pourday.tui.stove.live_probes import LiveProbes
from pourday.tui.stove.probe_card import ProbeCard
from pourday.tui.stove.question import OpenQuestion
from pourday.tui.stove.reason_line import ReasonLine
from pourday.tui.stove.recorder import Recorder
from pourday.tui.stove.typed import PendingInput, Writing
from pourday.tui.terminal.held import LIGHT
from pourday.tui.terminal.keys import BINDINGS, BY_KEY, FIRE_ALWAYS, OVER_QUESTIONS

FIRE = next(binding for binding in BINDINGS if binding.id == "fire")
"""Works whatever is typed or asked, except while a note is being written; F1 works there, too."""
STANDS = 60.0
"""Seconds after which a message is taken down: by then the figures it names have changed. An estimate of ours."""


class StoveController:
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
        self.card = ""
        """A card over the screen: `fire`, `help`, `sheet`, `probes` or none."""
        self.live_probes: LiveProbes | None = None
        self.probe_card: ProbeCard | None = None
        self.second_screen = ""
        """Where a page to look on is offered, with the word that lets the next browser in; empty where none is."""
        self.chosen: int | None = None
        self.finished_view = False
        self._recorder = Recorder(live, self.adviser, on_filed)
        self._typed = PendingInput(self._recorder)
        self._open_question = OpenQuestion(self._recorder, copy_to or Path(gettempdir()))
        self._guard = KeyGuard()
        self.aside: Aside | None = None
        """What is asked in a line of its own about something that is on record already."""
        self._aside_since = float("-inf")
        self._of_sentence = ""
        """What was answered about the sentence that stands there: gone with it."""
        self._said, self._said_at = "", float("-inf")
        """The message that stands there, and since when."""
        self._unknown = self._unknown_before = ""
        """Characters pressed one after the other that mean nothing here: with the key pressed now, and before it."""

    # -- what there is to see -----------------------------------------------------------------------

    @property
    def advice(self) -> Advice:
        return self._recorder.advice

    @property
    def message(self) -> str:
        return self._recorder.message

    @message.setter
    def message(self, said: str) -> None:
        self._recorder.message = said

    @property
    def quiet(self) -> bool:
        """A key was pressed since the bell began."""
        return self._recorder.quiet

    @quiet.setter
    def quiet(self, quiet: bool) -> None:
        self._recorder.quiet = quiet

    @property
    def entry(self) -> PendingNumber:
        return self._typed.entry

    @property
    def writing(self) -> Writing:
        """What is being written: `note`, `timer` or nothing."""
        return self._typed.writing

    @property
    def question(self) -> Question | None:
        return self._open_question.question

    @property
    def nested(self) -> bool:
        """Whether Esc steps back to another question."""
        return self._open_question.nested

    @property
    def leaving(self) -> bool:
        """The person asked to leave and nothing speaks against it."""
        return self._open_question.leaving

    def goes_on(self) -> bool:
        """Whether Space goes on to a further number of the same line."""
        return self._typed.goes_on()

    def target(self) -> Target:
        """Where digits go as it stands."""
        return self._typed.target()

    def target_name(self) -> str:
        """Where digits go, in words; for a weight, which pour it would be of."""
        return self._typed.name_of(self.target())

    def place_letters(self) -> list[tuple[str, str]]:
        """The letters that say where a number was read, each with its place."""
        return self._typed.letters_shown()

    # -- probes -------------------------------------------------------------------------------------

    def listen(self, probes: LiveProbes, keep_test: Callable[[str, ProbeTest], None]) -> None:
        """Readings come by themselves from now on; `keep_test` stores how far a probe is off, by its name."""
        self.live_probes = probes
        self.probe_card = ProbeCard(probes.watch, keep_test)
        self._typed.probes = probes.watch
        self._recorder.before_filing = self._file_all_probes

    def hear(self, now: float) -> bool:
        """Take in what the probes sent, and put on record what has waited; whether there is anything new to show."""
        if self.live_probes is None:
            return False
        came, news = self.live_probes.hear()
        is_busy = self.question is not None or self.aside is not None
        filed = self.live_probes.file(now, self.advice.outlook, asked=is_busy)
        if news and not (is_busy or self.entry.text or self.writing):
            self.message = news[-1]
        self.adviser.probes = self.live_probes.probes
        return bool(came or news or filed)

    def _file_all_probes(self, now: float) -> None:
        """Put all on record that the probes said and that has waited."""
        assert self.live_probes is not None
        self.live_probes.file(now, all_of_it=True)

    # -- time ---------------------------------------------------------------------------------------

    def wake(self, real: float) -> None:
        """The screen has just opened: somebody is there."""
        self._guard.wake(real)

    def startle(self) -> None:
        """A gap was seen: the next key may be one that only woke the machine, and files nothing."""
        self._guard.startle()

    def look(self, now: float, real: float) -> Advice:
        """The guide's word at this moment; what it has to put on record is filed. A new alarm puts a question away."""
        known = self.live.state.alarms
        if self.live_probes is not None:
            self.live_probes.look_around(self.live.state, self.advice.outlook)
            self.adviser.probes = self.live_probes.probes
        advice = self._recorder.look(now)
        self._take_down(real)
        if self.question is not None and not self.live.state.alarms.keys() <= known.keys():
            self._open_question.ask(None)
            self.message = tr("An alarm: the question was put away, and nothing was filed.")
        self._sees(real)
        return advice

    def _take_down(self, real: float) -> None:
        """Take the last message down once it has stood for a while."""
        if self.message != self._said:
            self._said, self._said_at = self.message, real
        elif self.message and real - self._said_at > STANDS:
            self.message = ""

    def _sees(self, real: float) -> None:
        """Tell the guard what stands on the screen now, by which it judges the keys to come."""
        first = self.advice.now
        if first is not None:
            changed = self._guard.sees(str(first.act.id), first.word, real)
            if changed and self.message == self._of_sentence:
                self.message = ""
            self._typed.follow(real, self._guard.last_key)

    # -- keys ---------------------------------------------------------------------------------------

    def press(self, key: str, character: str | None, now: float, real: float) -> None:
        """One key. `key` as Textual names it, `character` what it types, if anything."""
        self._unknown_before, self._unknown = self._unknown, ""
        self.quiet = True
        against = self._guard.pressed(real, light=self.is_light(key, character))
        if against:
            self.message = against
            return
        known = len(self.live.entries)
        if not self._to_aside(key, character, now, real):
            self._act_on(key, character, now)
        self._ask_aside(known, real)
        # Whoever has just put something on record need not be asked whether they are there.
        self._recorder.heard(now)
        self._sees(real)

    def _to_aside(self, key: str, character: str | None, now: float, real: float) -> bool:
        """Whether a key was for the line that asks about what was just filed; any other puts that line away."""
        aside = self.aside
        if aside is None or self.card or self.writing or self._fires(key):
            return False
        if self.question is not None or not aside.takes(key, character):
            self.aside = None
            return False
        if key == "space" and not aside.touched and real - self._aside_since < SETTLES:
            self.message = tr("Only just asked: Space again skips it.")
            return True
        facts = aside.press(key, character)
        self.message = aside.message
        if not aside.open:
            self.aside = None
            self._recorder.file_all(facts, now)
        if isinstance(aside, ReasonLine) and aside.in_words:
            self._typed.begin("reason", aside.entry)
        return True

    def _ask_aside(self, known: int, real: float) -> None:
        """Ask about what the last key put on record, which is all after the first `known` entries.

        After a jug that is what really went into it; after something was taken back or put right, why.
        """
        if self.question is not None or self.advice.outlook is None:
            return
        aside: Aside | None = None
        out = ""
        for entry in self.live.entries[known:]:
            match entry.fact:
                case ev.Demoulded(mould=letter, release=release) if release != "stuck":
                    out += letter
                case ev.JugMade(layer=layer) if 0 <= layer < len(self.live.state.plan.layers):
                    aside = JugLine(self.live.state, self.advice.outlook, layer)
                case ev.Corrected():
                    aside = ReasonLine(entry.seq)
                case ev.Undone(entry=taken) if not isinstance(
                    self.live.entries[taken - 1].fact, ev.Undone | ev.JugWeighed | ev.JugDosed
                ):
                    aside = ReasonLine(entry.seq)
        if out:
            tried = self.live.state.plan.tried is not None and self.live.state.change_came is None
            self.message = tr(
                "{message} i: what {moulds} came out like, and {asks}.",
                message=self.message,
                moulds=letters(out),
                asks=tr("whether the change helped") if tried else tr("why"),
            ).strip()
        if aside is not None:
            self.aside, self._aside_since = aside, real

    def is_light(self, key: str, character: str | None) -> bool:
        """Whether a key puts nothing on record and asks nothing, so that it may repeat and needs no second press."""
        typed = character is not None and character.isprintable() and bool(self.writing)
        digit = character is not None and character.isascii() and (character.isdigit() or character in ".,-")
        question = None if awaits(self.question) else self.question
        answers = question is not None and any(choice.key == character for choice in question.choices)
        return key in LIGHT or typed or (digit and not answers) or self._fires(key)

    def _act_on(self, key: str, character: str | None, now: float) -> None:
        """Hand a key to what takes it: a card that lies over all, a text, a number, a question, else a command."""
        if self._fires(key):
            self.card = "" if self.card == "fire" else "fire"
        elif self.card:
            self._on_card(key, character, now)
        elif self.writing:
            self._typed.write(key, character, now)
        elif self._typed.takes(key, character, self.question):
            self._type(key, character, now)
        elif self.question is not None and not self._breaks_in(key, character):
            self._open_question.answer(key, character, now)
        else:
            self._command(key, character, now)

    def _fires(self, key: str) -> bool:
        """Whether a key is for the fire card."""
        return key == FIRE_ALWAYS or (BY_KEY.get(key) is FIRE and (bool(self.card) or not self.writing))

    def _breaks_in(self, key: str, character: str | None) -> bool:
        """Whether a key does its own work although something is asked; the question is put away then."""
        binding = BY_KEY.get(key)
        if binding is None or binding.id not in OVER_QUESTIONS or self._open_question.offers(character):
            return False
        self._open_question.ask(None)
        return True

    def paste(self, text: str) -> None:
        """Text from the clipboard. A card lies over what it could go into."""
        self.quiet = True
        if not self.card:
            self._typed.paste(text)

    def _on_card(self, key: str, character: str | None, now: float) -> None:
        """A key while the card of the probes lies over the stove."""
        if key in ("escape", "space", "enter", "slash") or (self.card == "probes" and key == "q"):
            self.card = ""
        elif self.card == "probes" and self.probe_card is not None:
            self.probe_card.press(key, character, self.live.state, now)

    def _type(self, key: str, character: str | None, now: float) -> None:
        """A key of a number."""
        asks = self._typed.type(key, character, now)
        if asks is not None:
            self._open_question.ask(asks)

    def _command(self, key: str, character: str | None, now: float) -> None:
        """What a key does when nothing is open."""
        binding = BY_KEY.get(key)
        name = binding.id if binding else ""
        if name in ("file", "rub"):
            return
        self.message = ""
        command = self._commands.get(name)
        if command is None:
            self._nonsense(character)
        else:
            command(self, now)

    def _nonsense(self, character: str | None) -> None:
        """Say that a key does nothing here."""
        if character is None or not character.isprintable():
            return
        self._unknown = plain(self._unknown_before + character, 12)
        self.message = tr(
            "“{unknown}” is not a reading and not a key here. Type digits, like 74.5, or / for the keys.",
            unknown=self._unknown,
        )

    # -- commands -----------------------------------------------------------------------------------

    def _back(self) -> None:
        """One step back; from the sentence itself there is none, and only its own key leaves."""
        self.chosen = None
        self._typed.drop()

    def _choose(self, step: int) -> None:
        """Move the cursor of the agenda."""
        count = len(self.advice.acts)
        if count:
            self.chosen = 0 if self.chosen is None else (self.chosen + step) % count

    def point(self, index: int) -> None:
        """Stand on an entry of the agenda, or step off the one that one stands on; nothing while something is open."""
        if not (self.card or self.question or self.entry.text or self.writing):
            self.chosen = index if index < len(self.advice.acts) and index != self.chosen else None

    def _done(self, now: float) -> None:
        """Space: the act of now is done. It is put on record, or its question is asked first."""
        if self.advice.now is None:
            return
        act = self.advice.now.act
        against = self._guard.against_done(harmless=act.urgency is Urgency.NOT_YET)
        if against:
            self.message = self._of_sentence = against
        elif act.question is not None:
            self._open_question.ask(act.question)
        elif act.kind == "finish":
            self._recorder.finish(now)
        elif act.records:
            self._recorder.file_all(act.records, now)
        elif act.urgency is not Urgency.NOT_YET:
            self.message = self._of_sentence = self._typed.what_to_type()
        else:
            self.message = self._of_sentence = tr("Nothing to do but wait; the next act is in the agenda.")

    def _heat(self, now: float) -> None:
        """The burner was turned; where nobody knows what it was, ask."""
        lit = self.live.state.burner
        if lit == "unknown":
            self._open_question.ask(burner_question())
            return
        self._recorder.file_all((ev.BurnerSet(state="on" if lit == "off" else "off"),), now)

    def _low(self, now: float) -> None:
        """The flame was turned low, from full or off."""
        if self.live.state.burner == "low":
            self.message = tr("The flame is low already.")
            return
        self._recorder.file_all((ev.BurnerSet(state="low"),), now)

    def _acknowledge(self, now: float) -> None:
        """Say of every alarm that it was heard."""
        waiting = [k for k, a in self.live.state.alarms.items() if a.acknowledged_at is None]
        if not waiting:
            self.message = tr("No alarm is waiting to be acknowledged.")
            return
        self._recorder.file_all(tuple(ev.AlarmAcknowledged(alarm=k) for k in waiting), now)

    def _away(self, now: float) -> None:
        """Ask somebody who goes away until when they will be back."""
        if self.live.state.away_since is not None:
            self._recorder.file_all((ev.CameBack(),), now)
            return
        self._open_question.ask(away_question(self.live.state, now, self.advice.acts, self.advice.outlook))

    def _other(self, now: float) -> None:
        """Ask what else happened."""
        if self.advice.outlook is not None and self.advice.now is not None:
            self._open_question.ask(menu(self.live.state, self.advice.outlook, self.advice.now.act, now))

    def _rescue(self, now: float) -> None:
        """Show the rescue cards."""
        if self.advice.outlook is not None:
            self._open_question.ask(card_question(self.live.state, self.advice.outlook, now))

    def _open(self, card: str) -> None:
        """Open one of the cards that lie over the stove, or close it."""
        self.card = card

    def _turn(self) -> None:
        """Show the moulds as finished candles, or as they stand."""
        self.finished_view = not self.finished_view

    _commands: ClassVar[Mapping[str, Callable[[StoveController, float], None]]] = {
        "done": _done,
        "heat": _heat,
        "low": _low,
        "ack": _acknowledge,
        "away": _away,
        "other": _other,
        "rescue": _rescue,
        "undo": lambda self, now: self._recorder.undo(now),
        "redo": lambda self, now: self._recorder.redo(now),
        "look": lambda self, _: self._open_question.ask(look_question(self.live.state)),
        "sheet": lambda self, _: self._open("sheet"),
        "help": lambda self, _: self._open("help"),
        "probes": lambda self, _: self._open("probes"),
        "note": lambda self, _: self._typed.begin("note"),
        "timer": lambda self, _: self._typed.begin("timer"),
        "place": lambda self, _: self._typed.next_place(),
        "view": lambda self, _: self._turn(),
        "up": lambda self, _: self._choose(-1),
        "down": lambda self, _: self._choose(1),
        "back": lambda self, _: self._back(),
        "leave": lambda self, _: self._open_question.leave(),
    }
    """What each key does where nothing is typed or asked, by the id of its binding."""

    def leave(self) -> None:
        """Asked to leave from anywhere: what is half typed or asked is dropped, and stands in nobody's way."""
        self._typed.drop()
        self.aside = None
        self.card, self.message, self.chosen = "", "", None
        self._open_question.leave()
