"""What is being typed at the stove: digits and where they go, or a note or timer; Enter files it."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import msgspec

from pourday.errors import Trouble
from pourday.guide.acts.act import Choice, Question, awaits
from pourday.guide.acts.pour_heat import kelvin_outside
from pourday.guide.acts.pour_size import POURS
from pourday.guide.acts.weighing import pour_question, poured_with, weight_name, weight_question
from pourday.guide.outlook.plausible import impossible
from pourday.guide.outlook.two_places import read_otherwise_words
from pourday.language import tr, word
from pourday.plan.jug_names import called_jug, jug_name
from pourday.probes.source import ProbeSpot
from pourday.probes.watch import ProbeWatch
from pourday.session import events as ev
from pourday.session.doubted import borne_out
from pourday.session.readings import reading_of, weight_of
from pourday.text import plain
from pourday.times import clock, letters
from pourday.tui.stove.entry import PLACE_KEYS, PendingNumber, Target, place_letters, read_timer, targets
from pourday.tui.stove.recorder import Recorder
from pourday.tui.terminal.rubbing import CLEAR, RUBS, rubbed
from pourday.units import Temperature, show_temperature

Writing = Literal["", "note", "timer", "reason"]
MOST = 2000
"""Characters of pasted text that are looked at."""
STEADY = 3.0
"""Seconds for which digits still go where they went before, after the sentence asks for another place: a hand may be
on its way. An estimate of ours."""
LONGEST_NOTE = 300
"""Characters of a note or a timer."""


class PendingInput:
    """What is half typed. Where a number could be in either unit, Enter gives the question that asks for it."""

    def __init__(self, recorder: Recorder) -> None:
        self._recorder = recorder
        self.probes: ProbeWatch | None = None
        """The watch over probes on wires, where there are any."""
        self.entry = PendingNumber()
        self.writing: Writing = ""
        """What is being written, if anything,"""
        self._about = 0
        """and for which entry, where it is a reason."""
        self._place: Target | None = None
        """Where digits go unless a place is chosen,"""
        self._asked: Target | None = None
        """where the sentence asks for them,"""
        self._asked_since = float("-inf")
        """and since when it does."""
        self._chosen = False
        """Whether the place of what is typed was chosen by a key."""

    def follow(self, real: float, last_key: float) -> None:
        """Let digits to come go where the sentence asks for them, once it has asked for a while and no key was
        pressed."""
        places = self.places()
        first_place = places[0]
        if first_place != self._asked:
            self._asked, self._asked_since = first_place, real
        # Once there are several jugs, `the jug` is no place any more.
        stands = self._place in places
        if not stands or real - max(self._asked_since, last_key) >= STEADY:
            self._place = first_place

    def drop(self) -> None:
        """What is half typed or written is given up."""
        self.entry, self.writing = PendingNumber(), ""

    def begin(self, what: Writing, about: int = 0) -> None:
        """Begin a note or a timer; or the reason for the entry of that number."""
        self.entry, self.writing, self._about = PendingNumber(), what, about

    # -- readings and weights -----------------------------------------------------------------------

    def takes(self, key: str, character: str | None, asked: Question | None) -> bool:
        """Whether a key belongs to a number, or to the one that is half typed; an answer to what is asked does not."""
        if character is not None and character.isascii() and character.isdigit():
            return not (asked and not awaits(asked) and any(c.key == character for c in asked.choices))
        if not self.entry.text:
            return character == "-" or (character in (".", ",") and asked is None)
        if character in (".", ",", "-"):
            return True
        return key in ("enter", "tab", "escape", "space", *RUBS) or (
            character is not None and character.isalpha()
        )

    def type(self, key: str, character: str | None, now: float) -> Question | None:
        """One key of a number."""
        self._recorder.message = ""
        if key == "enter":
            return self._file_entry(now)
        if key in ("escape", CLEAR):
            self.entry = PendingNumber()
        elif key == "backspace":
            self.entry = self.entry.rubbed()
        elif key == "tab":
            self.next_place()
        elif key == "space" and self.goes_on():
            self.entry = replace(self.entry, text=f"{self.entry.text} ")
        elif key == "space":
            self._recorder.message = tr(
                "Enter files {typed}; Esc drops it. Nothing else was done.", typed=self.entry.text
            )
        elif character is not None and character.isalpha() and " " in self.entry.text:
            self._recorder.message = tr(
                "Behind a space come weights. Enter files them, Backspace goes back, Esc drops all."
            )
        elif character is not None and character.lower() in (letters := self.letters()):
            self._to(letters[character.lower()], PLACE_KEYS.get(character.lower(), "jug"))
        elif character is not None:
            # Where a number goes stands beside it from its first digit on, whatever the sentence says meanwhile.
            self._chosen = self._chosen and self.entry.target is not None
            self.entry = replace(self.entry, target=self.target())
            self.entry, self._recorder.message = self.entry.typed(character)
        return None

    def goes_on(self) -> bool:
        """Whether Space goes on to the weight of the next mould of the same pour; after what the jug reads, to the first."""
        typed = self.entry.text
        return 0 < len(typed.split()) < self.target().numbers and not typed.endswith(" ")

    def places(self) -> list[Target]:
        """Where digits can go now, the likeliest first."""
        first = self._recorder.advice.now
        return targets(self._recorder.live.state, first.act if first else None)

    def target(self) -> Target:
        """Where digits go as it stands."""
        return self.entry.target or self._place or self.places()[0]

    def name_of(self, target: Target) -> str:
        """The name that stands beside the digits being typed for a place they may go to; for a weight, of which pour or candle."""
        at = len(self.entry.text.split(" ")) - (2 if target.place == "jug" else 1)
        if (moulds := target.pours or target.poured_from) and at >= 0:
            letter = moulds[min(at, len(moulds) - 1)]
            return tr("poured into {letter}, weight", letter=letter)
        if target.jug is not None and len(self._recorder.live.state.jugs) > 1:
            return called_jug(self._recorder.live.state.plan, target.jug)
        if target.place != "weight":
            return target.name
        if target.candles:
            letter = target.candles[min(at, len(target.candles) - 1)]
            return tr("weight of {weight_name}", weight_name=weight_name(self._recorder.live.state, letter))
        return tr("weight of {weight_name}", weight_name=weight_name(self._recorder.live.state, target.mould))

    def letters(self) -> dict[str, list[Target]]:
        """The letter of each place a reading can be of."""
        return place_letters(self.places())

    def letters_shown(self) -> list[tuple[str, str]]:
        """Each letter with what it stands for, as shown beside the digits; of several jugs each by its name."""
        plan, several = self._recorder.live.state.plan, len(self._recorder.live.state.jugs) > 1
        return [
            (
                letter,
                jug_name(plan, there[0].jug) if several and there[0].jug is not None else there[0].place,
            )
            for letter, there in self.letters().items()
            if there
        ]

    def what_to_type(self) -> str:
        """What answers a sentence that asks for a reading, where "done" does not."""
        first_place = self.places()[0]
        like = "165" if self._recorder.live.state.plan.units == "us" else "74.5"
        return tr(
            "Type what the {name_of} reads, like {like}, and press Enter: that says it is done.",
            name_of=self.name_of(first_place),
            like=like,
        )

    def _to(self, there: list[Target], place: str) -> None:
        """Digits go to this place; with several of its kind to the next of them."""
        if not there:
            self._recorder.message = tr("There is no {place} before something is poured.", place=word(place))
            return
        here, self._chosen = self.target(), True
        index = there.index(here) if here in there else -1
        self.entry = replace(self.entry, target=there[(index + 1) % len(there)])

    def next_place(self) -> None:
        """Digits go to the next place that there is."""
        places, here, self._chosen = self.places(), self.target(), True
        index = places.index(here) if here in places else -1
        self.entry = replace(self.entry, target=places[(index + 1) % len(places)])

    def _file_entry(self, now: float) -> Question | None:
        """File the number typed, as a weight or a reading; a question back where it could be °C or °F."""
        target, state = self.target(), self._recorder.live.state
        poured: tuple[ev.Fact, ...] | None = None
        try:
            if target.place == "weight":
                return self._file_pours(target, now) if target.pours else self._file_weight(target, now)
            reading = self.entry.temperature(state.plan.units, target.place)
            if with_pour := self.entry.with_pour:
                poured = self._poured(target)
        except Trouble as trouble:
            self._recorder.message = str(trouble)
            self.entry = PendingNumber(target=self.entry.target)
            return None
        typed = self.entry.text.split()[0] if with_pour else self.entry.text
        self.entry = PendingNumber()
        if self._asked_elsewhere(target):
            # Its question says where this one was read; the next number goes where the sentence asks for it.
            self._place = None
        asks = (
            self._unit_question(target, typed, now)
            if reading.doubt
            else self._place_question(reading, target, now) or self._probe_question(reading, target, now)
        )
        if asks is not None:
            return asks if poured is None else self._with_its_pour(asks, target, poured, now)
        if poured is not None:
            return self._file_read_and_poured(reading, target, poured, now)
        self._file_reading(reading.celsius, reading.typed, target, now)
        if with_pour:
            self._recorder.message = " ".join(
                (self._recorder.message, tr("Its pour is not asked for any more: no pour was filed."))
            )
        return None

    def _file_read_and_poured(
        self, reading: Temperature, target: Target, poured: tuple[ev.Fact, ...], now: float
    ) -> Question | None:
        """File what a jug read at its pour together with that pour; only the reading where the jug was too hot or too cold for
        it. A question back where a weight can hardly be."""
        if self._is_outside(reading.celsius):
            self._file_reading(reading.celsius, reading.typed, target, now)
            self._recorder.message = f"{self._recorder.message} {self._outside_words()}"
            return None
        facts = (self._reading(reading.celsius, reading.typed, target, now), *poured)
        asks = pour_question(self._recorder.live.state, self._recorder.advice.outlook, facts, now)
        if asks is None:
            self._recorder.file_all(facts, now)
        return asks

    def _with_its_pour(
        self, asks: Question, target: Target, poured: tuple[ev.Fact, ...], now: float
    ) -> Question:
        """A question about what a jug read at its pour, each answer with that pour behind it; the answers that leave it out,
        because the reading is of another place or outside what the pour wants, say so."""

        def with_pour(choice: Choice) -> Choice:
            if choice.then is not None:
                return replace(choice, then=self._with_its_pour(choice.then, target, poured, now))
            read = choice.facts[0]
            assert isinstance(read, ev.Reading)
            if (read.place, read.jug) != ("jug", target.jug) or self._is_outside(read.celsius):
                return replace(choice, label=tr("{answer}, and no pour", answer=choice.label))
            facts = (*choice.facts, *poured)
            doubted = pour_question(self._recorder.live.state, self._recorder.advice.outlook, facts, now)
            return (
                replace(choice, facts=facts) if doubted is None else replace(choice, facts=(), then=doubted)
            )

        return replace(asks, choices=tuple(with_pour(choice) for choice in asks.choices))

    def _is_outside(self, celsius: float) -> bool:
        """Whether the pour that the sentence asks for is not to be made at this temperature, °C."""
        first = self._recorder.advice.now
        between = first.act.between if first is not None else None
        return between is not None and bool(kelvin_outside(between, celsius))

    def _outside_words(self) -> str:
        """What is said where a pour was not filed because of what its jug read."""
        first = self._recorder.advice.now
        assert first is not None
        assert first.act.between is not None
        low, high = (show_temperature(c, self._recorder.live.state.plan.units, 0) for c in first.act.between)
        return tr("It may be poured at {low} to {high}: no pour was filed.", low=low, high=high)

    def _poured(self, target: Target) -> tuple[ev.Fact, ...] | None:
        """What the pour of a target puts on record, with the weights that were typed of it; None where that pour is not asked
        for any more. Raises `Trouble` for what is no weight."""
        first, moulds = self._recorder.advice.now, target.pours or target.poured_from
        kgs = self.entry.weights(self._recorder.live.state.plan.units)
        if first is None or first.act.moulds != moulds or first.act.kind not in POURS:
            return None
        if target.jug is not None and first.act.layer != target.jug:
            return None
        return poured_with(first.act, [kg for kg, _ in kgs]) if kgs else first.act.records

    def _probe_question(self, reading: Temperature, target: Target, now: float) -> Question | None:
        """Asks which of the two counts, where a probe on a wire says otherwise of the same place. None where no
        probe does, or where it was asked already."""
        if self.probes is None or target.place == "weight":
            return None
        other = self.probes.typed(ProbeSpot(target.place, target.mould, target.jug), reading.celsius, now)
        if other is None or other.counted is None:
            return None
        units = self._recorder.live.state.plan.units
        typed, says = (show_temperature(c, units, 1) for c in (reading.celsius, other.counted))
        fact = self._reading(reading.celsius, reading.typed, target, now)
        # The forecast that might doubt it rests on the probe.
        believed = msgspec.structs.replace(fact, doubt="")
        doubted = msgspec.structs.replace(fact, doubt=f"The probe {other.name} said {says}, and that counts.")
        return Question(
            tr(
                "{name_of}: you typed {typed}, the probe says {says}. Which counts?",
                name_of=self.name_of(target),
                typed=typed,
                says=says,
            ),
            (Choice("t", tr("what I typed"), (believed,)), Choice("p", tr("the probe"), (doubted,))),
        )

    def _place_question(self, reading: Temperature, target: Target, now: float) -> Question | None:
        """Asks where a reading was taken that can hardly be of its place; None where it can."""
        why = self._impossible(reading.celsius, target) or self._asked_elsewhere(target)
        if not why:
            return None
        others = [
            Choice(key, self.name_of(other), (self._reading(reading.celsius, reading.typed, other, now),))
            for key, there in self.letters().items()
            if (other := next(iter(there), target)) != target
            and other.place not in ("weight", "surface")
            and not self._impossible(reading.celsius, other)
        ]
        fact = self._reading(reading.celsius, reading.typed, target, now)
        read = show_temperature(reading.celsius, self._recorder.live.state.plan.units, 1)
        sure = Choice("y", tr("yes, {name_of}", name_of=self.name_of(target)), (fact,))
        return Question(
            tr(
                "{read} in the {name_of}? {why} It was read in the:",
                read=read,
                name_of=self.name_of(target),
                why=why,
            ),
            (*others, sure),
        )

    def _asked_elsewhere(self, target: Target) -> str:
        """That the sentence asks for a reading of another place, where nobody chose this one: digits go on to where they
        went for a while, and the thermometer may have been in either. Empty where that is not so."""
        first, asked = self._recorder.advice.now, self.places()[0]
        if first is None or first.act.kind != "read" or self._chosen or asked == target:
            return ""
        return tr("The sentence asks for the {name_of}.", name_of=self.name_of(asked))

    def _impossible(self, celsius: float, target: Target) -> str:
        """Why a reading can hardly be of its place; empty where it can."""
        outlook = self._recorder.advice.outlook
        if outlook is None or target.place == "weight":
            return ""
        return impossible(
            self._recorder.live.state, outlook, target.place, celsius, mould=target.mould, jug=target.jug
        )

    def _file_reading(self, celsius: float, typed: str, target: Target, now: float) -> None:
        """File a reading, and say so; with the doubt, where it is left out of the forecast."""
        fact = self._reading(celsius, typed, target, now)
        if self._recorder.file(fact, now):
            read = show_temperature(celsius, self._recorder.live.state.plan.units, 1)
            self._recorder.message = tr("{name_of}: {read} filed.", name_of=self.name_of(target), read=read)
            if fact.doubt:
                self._recorder.message = self._doubted(read, fact.doubt)
            elif otherwise := read_otherwise_words(self._recorder.live.state):
                self._recorder.message = f"{self._recorder.message} {otherwise}"

    def _doubted(self, read: str, doubt: str) -> str:
        """What is said of a reading that was kept in doubt: it counts once another one has borne it out."""
        readings = self._recorder.live.state.readings
        if any(second is readings[-1] for _, second in borne_out(readings)[0]):
            return tr(
                "{read} kept; two say the same, so the forecast now goes by both. {doubt}",
                read=read,
                doubt=doubt,
            )
        return tr("{read} kept, but left out of the forecast. {doubt}", read=read, doubt=doubt)

    def _reading(self, celsius: float, typed: str, target: Target, now: float) -> ev.Reading:
        """The reading as a fact, with a doubt where the forecast of the pot contradicts it."""
        assert target.place != "weight"
        outlook = self._recorder.advice.outlook
        pot = outlook.pot if outlook else None
        state = self._recorder.live.state
        return reading_of(state, pot, target.place, celsius, typed, now, mould=target.mould, jug=target.jug)

    def _unit_question(self, target: Target, typed: str, now: float) -> Question:
        """Asks for the unit of a number that could be either."""
        choices = []
        for unit in "cf":
            try:
                reading = PendingNumber(text=typed, unit=unit).temperature(
                    self._recorder.live.state.plan.units, target.place
                )
            except Trouble:
                continue
            doubted = self._place_question(reading, target, now)
            facts = (self._reading(reading.celsius, reading.typed, target, now),) if doubted is None else ()
            choices.append(Choice(unit, f"°{unit.upper()}", facts, doubted))
        return Question(tr("{typed}: C or F?", typed=typed), tuple(choices))

    def _file_weight(self, target: Target, now: float) -> Question | None:
        """File a typed weight; a question back where it may be another pour's or can hardly be. Raises `Trouble` for one
        that cannot be read."""
        if target.candles:
            return self._file_candles(target, now)
        state = self._recorder.live.state
        kg, typed = self.entry.weight(state.plan.units)
        self.entry = PendingNumber()
        asks = weight_question(state, self._recorder.advice.outlook, target.mould, kg, typed)
        name = self.name_of(target)
        if asks is None and self._recorder.file(weight_of(state, target.mould, kg, typed), now):
            self._recorder.message = tr("{name}: {typed} filed.", name=name, typed=typed)
        return asks

    def _file_candles(self, target: Target, now: float) -> Question | None:
        """File what several candles weigh; of those that can hardly be it is asked, one after the other, and the others are
        filed. Raises `Trouble` for what is no weight."""
        state, outlook = self._recorder.live.state, self._recorder.advice.outlook
        weights = list(zip(target.candles, self.entry.weights(state.plan.units), strict=False))
        self.entry = PendingNumber()
        asks = [weight_question(state, outlook, letter, kg, typed) for letter, (kg, typed) in weights]
        facts = [
            weight_of(state, letter, kg, typed)
            for (letter, (kg, typed)), doubted in zip(weights, asks, strict=True)
            if doubted is None
        ]
        self._recorder.file_all(tuple(facts), now)
        question: Question | None = None
        for doubted in reversed([each for each in asks if each is not None]):
            further = question
            choices = (replace(c, then=further) if c.then is None else c for c in doubted.choices)
            question = replace(doubted, choices=tuple(choices))
        return question

    def _file_pours(self, target: Target, now: float) -> Question | None:
        """File the pour that the sentence asks for with what was weighed of it, mould by mould; a question back where a
        weight can hardly be. Raises `Trouble` for what is no weight, or where that pour is not asked for any more."""
        state, facts = self._recorder.live.state, self._poured(target)
        if facts is None:
            raise Trouble(
                tr("The pour into {letters} is not asked for any more.", letters=letters(target.pours)),
                instead=tr("w again weighs a pour that is on record."),
            )
        self.entry = PendingNumber()
        asks = pour_question(state, self._recorder.advice.outlook, facts, now)
        if asks is None:
            self._recorder.file_all(facts, now)
        return asks

    # -- notes and timers ---------------------------------------------------------------------------

    def write(self, key: str, character: str | None, now: float) -> None:
        """One key of a note or timer."""
        if key == "escape":
            self.drop()
        elif (left := rubbed(self.entry.text, key)) is not None:
            self.entry = replace(self.entry, text=left)
        elif key == "enter":
            self._file_writing(now)
        elif character is not None and character.isprintable():
            self.entry = replace(self.entry, text=(self.entry.text + character)[:LONGEST_NOTE])

    def paste(self, text: str) -> None:
        """Text from the clipboard: into what is being written, as one line. A reading is typed, never pasted."""
        if not self.writing:
            self._recorder.message = tr("Pasted text is not taken here: type the reading. Nothing was done.")
            return
        whole = self.entry.text + plain(" ".join(text.split()), MOST)
        self.entry = replace(self.entry, text=whole[:LONGEST_NOTE])
        cut = len(whole) > LONGEST_NOTE
        self._recorder.message = (
            tr("Only the first {longest_note} characters were taken.", longest_note=LONGEST_NOTE)
            if cut
            else ""
        )

    def _file_writing(self, now: float) -> None:
        """File the note or the timer that was written; of an empty one nothing is filed."""
        text, what = plain(self.entry.text, LONGEST_NOTE), self.writing
        self.drop()
        if not text:
            return
        if what == "reason":
            self._recorder.file_all((ev.Reasoned(entry=self._about, why=text),), now)
            return
        if what == "note":
            if self._recorder.file(ev.Noted(text=text), now):
                self._recorder.message = tr("Note filed.")
            return
        try:
            timer = read_timer(text, now)
        except Trouble as trouble:
            self._recorder.message = str(trouble)
            return
        if self._recorder.file(timer, now):
            self._recorder.message = tr(
                "Timer {name} until {clock}.", name=timer.name, clock=clock(timer.due.timestamp(), now)
            )
