"""What the burn screen knows, and what a key does there. It knows nothing of Textual and reads no clock.

What is asked follows from the record and the time alone, so a test that was killed asks the same again. A key
answers the question that was last shown, never one that came up meanwhile.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from pourday.burn.candle import Candle, candles_of
from pourday.burn.limits import stop_now
from pourday.burn.looks import APART, CYCLE, WATCH_EVERY, cycle_over, next_look
from pourday.burn.rate import STUB, is_low
from pourday.burn.verdict import BurnVerdict, judge
from pourday.burn.weighed import weight_doubt
from pourday.errors import Trouble
from pourday.language import ntr, tr
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.state import State
from pourday.store.live import LiveSession
from pourday.text import plain
from pourday.times import clock, letters, span
from pourday.tui.burn.questions import (
    BurnQuestion,
    chosen_for,
    leave_question,
    question_of,
    read_answer,
    weigh_question,
)
from pourday.tui.live_controller import TOO_SOON, LiveController
from pourday.tui.terminal.rubbing import rubbed
from pourday.units import show_length

LAST_LOOK = 600.0
"""s after the end of a cycle that measuring for the last time may take, before it is rung for: estimate."""
LONGEST = 200
USUAL_TRIM = 0.006
"""m of wick above the wax: common practice, no source."""


@dataclass(slots=True)
class Lighting:
    """What is told before several candles are lit together, question by question; nothing of it is on record yet."""

    letters: str
    kg: dict[str, tuple[float, str]] = field(default_factory=dict)
    trimmed: float | None = None
    draught: ev.Draught | None = None
    room_c: float | None = None
    step: int = 0


class BurnController(LiveController):
    """The candles of one batch, and the tests of them."""

    def __init__(self, live: LiveSession, batch: State, now: float) -> None:
        super().__init__(live)
        self.batch = batch
        self.at = 0
        self.marked: set[str] = set()
        self.question: BurnQuestion | None = None
        """The one on the screen."""
        self.own: BurnQuestion | None = None
        """One that a key opened; it stands before what the record asks."""
        self.lighting: Lighting | None = None
        self._doubted = ("", "")
        """The question and the weight typed for it that could hardly be: the same once more is meant."""
        self.skipped: frozenset[str] = frozenset()
        self.reading = False
        """Whether the chosen candle's reading is shown in full."""
        self.candles: tuple[Candle, ...] = candles_of(batch, live.state)
        self.look(now)
        lit = [n for n, candle in enumerate(self.candles) if candle.life.burning]
        self.at = lit[0] if lit else 0

    # -- what there is ------------------------------------------------------------------------------

    @property
    def plan(self) -> Plan:
        return self.batch.plan

    @property
    def chosen(self) -> Candle | None:
        return self.candles[self.at] if self.candles else None

    @property
    def lit(self) -> tuple[Candle, ...]:
        return tuple(candle for candle in self.candles if candle.life.burning)

    @property
    def picked(self) -> str:
        """Letters that a key is about: those that are marked, else the chosen one."""
        if self.marked:
            return "".join(sorted(self.marked))
        return self.chosen.letter if self.chosen else ""

    def look(self, now: float) -> None:
        self.candles = candles_of(self.batch, self.live.state)
        self.at = max(0, min(self.at, len(self.candles) - 1))
        super().look(now)
        question = self._asked(now)
        if (question.id if question else "") != (self.question.id if self.question else ""):
            self._changed_at = now
            if self.own is None and self.lighting is None:
                self.text = ""
        self.question = question

    def to_put_out(self, now: float) -> dict[str, list[str]]:
        """Letters of the lit candles that are to be put out at once, each with the sentences that say why."""
        why: dict[str, list[str]] = {}
        for candle in self.lit:
            burn = candle.life.burning
            if burn is None:
                continue
            says = [
                tr(
                    "Put {letter} out: {says} ({source}).",
                    letter=candle.letter,
                    says=one.says,
                    source=one.limit.source,
                )
                for one in stop_now(burn, self.plan.units)
            ]
            if cycle_over(burn, now - LAST_LOOK):
                says.append(
                    tr("Put {letter} out: it has burned {span}.", letter=candle.letter, span=span(CYCLE))
                )
            if says:
                why[candle.letter] = says
        return why

    def alarms(self, now: float) -> tuple[str, ...]:
        says = [each for sentences in self.to_put_out(now).values() for each in sentences]
        if self.unheard(now):
            says.append(tr("Is somebody in the room with the candles? Any key answers."))
        return tuple(says)

    def is_lit(self) -> bool:
        return bool(self.lit)

    def unheard(self, now: float) -> bool:
        return self.is_lit() and now - self.live.state.heard_at > WATCH_EVERY

    def _asked(self, now: float) -> BurnQuestion | None:
        if self.own is not None:
            return self.own
        if self.lighting is not None:
            return self._lighting_question(self.lighting)
        if self.to_put_out(now):
            return None
        questions = (question_of(candle, now, self.skipped) for candle in (*self.lit, *self.candles))
        return next((question for question in questions if question is not None), None)

    @property
    def apart(self) -> str:
        """The caution that belongs to lit candles."""
        return tr(
            "{length} apart, on a plate that cannot burn, nothing above; never left alone. Your local rules outrank this.",
            length=show_length(APART, self.plan.units),
        )

    def word(self, now: float) -> tuple[str, str]:
        alarms = self.alarms(now)
        if self.own is not None and self.own.id == "leave":
            return self.own.word, self.own.says
        outs = "".join(self.to_put_out(now))
        if outs:
            return tr("PUT OUT {outs}", outs=outs), " ".join(alarms)
        if self.question is not None:
            return self.question.word, self.question.says
        if alarms:
            return tr("THERE?"), " ".join(alarms)
        over = "".join(c.letter for c in self.lit if c.life.burning and cycle_over(c.life.burning, now))
        if over:
            return tr("PUT OUT {over}", over=over), tr(
                "{letters} burned {span}: snuff, then x.", letters=letters(over), span=span(CYCLE)
            )
        if self.lit:
            burning = [c.life.burning for c in self.lit if c.life.burning]
            coming = [t for burn in burning if (t := next_look(burn, now)) is not None]
            after = (
                tr("The next look is at {clock}.", clock=clock(min(coming), now))
                if coming
                else tr("Put them out.")
            )
            return tr("WATCH"), f"{after} {self.apart}"
        if not self.candles:
            return tr("NONE YET"), tr("No candle of this batch has left its mould.")
        return (
            tr("CANDLES"),
            tr("b burns what is marked, or the one that is chosen; Space marks several."),
        )

    def verdict(self) -> BurnVerdict | None:
        """What the readings of the chosen candle say of its wick."""
        return judge(self.chosen, self.plan.scale_step, self.plan.units) if self.chosen else None

    # -- keys ---------------------------------------------------------------------------------------

    def _means_more(self) -> bool:
        return self.question is not None and self.question.kind not in ("choice", "confirm")

    def paste(self, text: str) -> None:
        """Text from the clipboard goes to where words or figures are typed, and nowhere else; Enter files it."""
        if self.question is not None and self.question.kind not in ("choice", "confirm"):
            most = LONGEST if self.question.kind == "words" else 20
            self.text = (self.text + plain(text, LONGEST))[:most]

    def typing(self) -> bool:
        return self.question is not None and self.question.kind == "words"

    def takes(self, sign: str) -> bool:
        question = self.question
        if question is None or question.kind in ("choice", "confirm") or not sign:
            return False
        follows = bool(self.text) and (sign.isalpha() or sign in " ./,")
        return question.kind == "words" or sign.isdigit() or sign in ".," or follows

    def _typed(self, key: str, sign: str, now: float) -> bool:
        question = self.question
        if question is None or question.kind in ("choice", "confirm"):
            return False
        if (left := rubbed(self.text, key)) is not None:
            self.text = left
        elif key == "enter":
            self._entered(question, now)
        elif self.takes(sign):
            self.text = (self.text + sign)[: LONGEST if question.kind == "words" else 20]
        else:
            return False
        return True

    def _entered(self, question: BurnQuestion, now: float) -> None:
        """Enter: file what was typed; with nothing typed, leave the question out."""
        text = self.text.strip()
        if not text:
            self._skip(question)
            return
        try:
            value = read_answer(question, text, self.plan.units)
            facts = question.answer(value, text)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        doubt = weight_doubt(question.weighs, value, self.plan) if question.weighs is not None else ""
        if doubt and self._doubted != (question.id, text):
            self._doubted = question.id, text
            self.message = tr("{doubt} Enter once more files it all the same.", doubt=doubt)
            return
        self.text = ""
        self._done(facts, now)

    def _skip(self, question: BurnQuestion) -> None:
        if self.own is not None:
            self.own = None
            if question.id == "out":
                self.message = tr("Nothing was filed: by the record it still burns. x puts it out.")
        elif self.lighting is not None:
            self.lighting.step += 1
        else:
            self.skipped |= {question.id}
            self.message = tr("Left out: not measured.")

    def _answered(self, key: str, sign: str, now: float) -> bool:
        question = self.question
        if question is None:
            return False
        if question.kind == "confirm" and key == "space":
            self._done(question.answer(0.0, ""), now)
            return True
        if question.id == "defect" and sign == "o":
            self.own = chosen_for(self.picked, "own words")
            return True
        if question.id == "leave" and sign == "y":
            self.leaving = True
            return True
        if question.kind == "choice" and sign in dict(question.choices):
            if self.own is None and self.lighting is None and now - self._changed_at < TOO_SOON:
                return True
            self._done(question.answer(0.0, sign), now)
            return True
        if question.kind == "choice" and key == "enter":
            self._skip(question)
            return True
        return False

    def _done(self, facts: tuple[Fact, ...], now: float) -> None:
        """Put an answer on record; nothing is to be filed yet of a lighting that goes on."""
        if self.own is not None:
            self.own = None
        elif self.lighting is not None:
            self.lighting.step += 1
            if any(isinstance(fact, ev.CandleLit) for fact in facts):
                self.lighting, self.marked = None, set()
        if facts:
            self.file(facts, now=now)
        # What an answer brings up is answered at once; only what the clock brings up waits.
        self.look(now)
        self._changed_at = -1e9

    def _command(self, key: str, sign: str, now: float) -> None:
        if key == "escape":
            self._back()
            return
        steps = {"left": -1, "up": -1, "right": 1, "down": 1}
        if key in steps and self.candles:
            self.at = max(0, min(len(self.candles) - 1, self.at + steps[key]))
            return
        if key == "space":
            self._mark()
            return
        if sign in ("q", "r", "z", "u"):
            self._always(sign, now)
            return
        if self.live.readonly and sign:
            self.message = tr("This can only be read here.")
            return
        self._say(sign)

    def _always(self, sign: str, now: float) -> None:
        """Keys that need no candle."""
        if sign == "q":
            self._leave()
        elif sign == "r":
            self.reading = not self.reading
        else:
            self.take_back(now, back=sign == "z")

    def _say(self, sign: str) -> None:
        """Keys that say something of the candles that are meant."""
        picked = self.picked
        if not picked:
            return
        words = {"f": "finish", "g": "goes", "d": "defect", "p": "photo", "l": "label"}
        if sign in words:
            self.own = chosen_for(picked, words[sign])
        elif sign == "b":
            self._begin_lighting(picked)
        elif sign == "x":
            burning = "".join(c.letter for c in self.lit if c.letter in picked)
            first = burning or "".join(c.letter for c in self.lit[:1])
            self.own = chosen_for(first, "out") if first else None
            self.message = "" if first else tr("Nothing burns.")
        elif sign == "w" and self.chosen and self.chosen.life.burns and not self.chosen.life.burning:
            self.own = weigh_question(self.chosen)
        elif sign == "s":
            self.own = self._second_flame()
        elif sign == "j":
            self.own = self._judging()
        elif sign == "n":
            note = lambda _, text: (ev.Noted(text=plain(text, 400)),)  # noqa: E731
            self.own = BurnQuestion("note", tr("NOTE"), tr("What is to be noted?"), "words", note)
        elif sign and self.question is not None and self.question.choices:
            keys = ", ".join(key for key, _ in self.question.choices)
            self.message = tr("Answer with {keys}, or Esc to step back.", keys=keys)

    def _back(self) -> None:
        """One step back: what is typed, then the question, then the page, then out."""
        if self.text:
            self.text = ""
        elif self.own is not None or self.lighting is not None:
            self.own = self.lighting = None
        elif self.reading:
            self.reading = False
        elif self.question is not None:
            self._skip(self.question)
        else:
            self._leave()

    def _leave(self) -> None:
        """Out, where nothing burns; else it takes another key than the one that asked for it."""
        if self.lit and not self.live.readonly:
            self.own = leave_question("".join(candle.letter for candle in self.lit))
        else:
            self.leaving = True

    def _mark(self) -> None:
        chosen = self.chosen
        if chosen is not None:
            self.marked ^= {chosen.letter}

    # -- lighting -----------------------------------------------------------------------------------

    def _begin_lighting(self, picked: str) -> None:
        """Begin to ask what is told before candles are lit; those that burn already are left out."""
        burning = {candle.letter for candle in self.lit}
        ready = "".join(letter for letter in picked if letter not in burning)
        if not ready:
            self.message = ntr(
                "{letters} burns already.", "{letters} burn already.", len(picked), letters=letters(picked)
            )
            return
        self.lighting = Lighting(ready)
        low = "".join(c.letter for c in self.candles if c.letter in ready and is_low(c))
        if low:
            left = show_length(STUB, self.plan.units)
            self.message = tr(
                "{letters}: {left} or less is left, where a pillar is no longer burned.",
                letters=letters(low),
                left=left,
            )

    def _lighting_question(self, lighting: Lighting) -> BurnQuestion:
        """What is asked next before these are lit."""

        def weight(value: float, typed: str) -> tuple[Fact, ...]:
            lighting.kg[lighting.letters[lighting.step]] = value, typed
            return ()

        def trim(value: float, _: str) -> tuple[Fact, ...]:
            lighting.trimmed = value
            return ()

        def draught(_: float, key: str) -> tuple[Fact, ...]:
            lighting.draught = "some" if key == "s" else "none"
            return ()

        def room(value: float, _: str) -> tuple[Fact, ...]:
            lighting.room_c = value
            return ()

        step = lighting.step - len(lighting.letters)
        if step < 0:
            letter = lighting.letters[lighting.step]
            says = tr("What does {letter} weigh? (Enter alone: not weighed)", letter=letter)
            candle = next(each for each in self.candles if each.letter == letter)
            return BurnQuestion(
                f"light kg {letter}",
                tr("WEIGH {letter}", letter=letter),
                says,
                "weight",
                weight,
                weighs=candle,
            )
        if step == 0:
            usual = show_length(USUAL_TRIM, self.plan.units)
            says = tr("How long is the wick, trimmed? About {usual} is usual (common practice).", usual=usual)
            return BurnQuestion("light trim", tr("TRIM"), says, "length", trim)
        if step == 1:
            choices = (("n", tr("none")), ("s", tr("some")))
            return BurnQuestion(
                "light draught", tr("AIR"), tr("Is there a draught?"), "choice", draught, choices
            )
        if step == 2:
            return BurnQuestion("light room", tr("ROOM"), tr("How warm is the room?"), "temperature", room)
        says = tr("Light {letters}, then Space. {apart}", letters=letters(lighting.letters), apart=self.apart)
        return BurnQuestion(
            "light",
            tr("LIGHT {letters}", letters=lighting.letters),
            says,
            "confirm",
            lambda _v, _t: self._lit_facts(lighting),
        )

    def _lit_facts(self, lighting: Lighting) -> tuple[Fact, ...]:
        wicks = {candle.letter: candle.wick for candle in self.candles}
        return tuple(
            ev.CandleLit(
                mould=letter, wick=plain(wicks.get(letter, ""), 80), trimmed=lighting.trimmed, room_c=lighting.room_c,
                draught=lighting.draught, kg=lighting.kg.get(letter, (None, ""))[0], typed=lighting.kg.get(letter, (None, ""))[1],
            )
            for letter in lighting.letters
        )  # fmt: skip

    # -- judging ------------------------------------------------------------------------------------

    def _second_flame(self) -> BurnQuestion | None:
        """How long a flame burned beside the wick's, of the chosen candle."""
        chosen = self.chosen
        if chosen is None or chosen.life.burning is None:
            self.message = tr("Choose a candle that burns.")
            return None
        look = chosen.life.burning.looks[-1].seen.look if chosen.life.burning.looks else 0.0

        def answer(value: float, _: str) -> tuple[Fact, ...]:
            return (ev.BurnSeen(mould=chosen.letter, look=look, second_flame=value),)

        says = tr("How many seconds did a second flame burn on {letter}?", letter=chosen.letter)
        return BurnQuestion("second", tr("FLAME {letter}", letter=chosen.letter), says, "seconds", answer)

    def _judging(self) -> BurnQuestion | None:
        """The person's word on a wick, beside what the readings say."""
        chosen, verdict = self.chosen, self.verdict()
        if chosen is None or verdict is None or not chosen.life.burns:
            self.message = tr("There is no burn to judge by yet.")
            return None
        keys: dict[str, ev.WickVerdict] = {
            "p": "passed", "u": "one up", "d": "one down", "f": "other family", "c": "other cause"
        }  # fmt: skip

        def answer(_: float, key: str) -> tuple[Fact, ...]:
            wick = plain(chosen.wick, 80)
            return (ev.WickJudged(mould=chosen.letter, wick=wick, came=keys[key], says=verdict.says),)

        says = tr("{says} What do you say of {wick}?", says=verdict.says, wick=chosen.wick or tr("its wick"))
        return BurnQuestion(
            "judge", tr("WICK {letter}", letter=chosen.letter), says, "choice", answer, tuple(keys.items())
        )
