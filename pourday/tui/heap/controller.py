"""What the screen of unknown wax knows, and what a key does there. It knows nothing of Textual and reads no clock.

What is asked follows from the record and the time alone, so a run that was killed asks the same again. A key answers
the step that was last shown, never one that came up meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable

from pourday.curve.reading import CurveReading
from pourday.errors import Trouble
from pourday.heap.beat import enough, next_beat, reading_of
from pourday.heap.lot import as_wax, last_reading, odds_of, stock_lot
from pourday.heap.steps import (
    LEFT_OUT,
    RunStep,
    StepId,
    next_step,
    steps_of,
)
from pourday.heap.watch import alarms_of, nobody_heard
from pourday.heap.words import beat_says, curve_says, odds_says
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.plan.water import bath_reach
from pourday.session import events as ev
from pourday.session.heap import CoolingAt, HeapState
from pourday.session.state import LIT
from pourday.stock.lot import StockLot
from pourday.store.live import LiveSession
from pourday.text import plain
from pourday.times import countdown
from pourday.tui.heap.figures import step_value, wax_temperature
from pourday.tui.live_controller import TOO_SOON, LiveController
from pourday.tui.terminal.rubbing import rubbed
from pourday.units import read_temperature, show_temperature
from pourday.wax.materials import Wax

LONGEST = 60
JUMP = 12.0
"""K between two readings of a tin from which on somebody is asked: it falls 3 K in a quarter of a minute at most. Estimate."""
TYPED = ("weight", "temperature", "number", "words", "beat")
"""Kinds of step that take what is typed."""


class HeapController(LiveController):
    """One run with wax that nobody knows."""

    def __init__(
        self,
        live: LiveSession,
        now: float,
        keep: Callable[[Wax, StockLot | None], None],
        watch_every: float = 600.0,
    ) -> None:
        super().__init__(live)
        self._keep = keep
        """Puts a wax among the person's own and its lot on the shelf, or raises `Trouble`."""
        self._watch_every = watch_every
        self._typed_at = now
        """When the first sign of what is half typed was."""
        self.again = False
        """Somebody wants another curve, of which nothing is on record yet."""
        self.skipped: frozenset[StepId] = frozenset()
        self.noting = False
        self._chosen: StepId | None = None
        """A step that somebody went to; None: the first that is not done."""
        self._ends: CoolingAt | None = None
        """The curve that Space was pressed on although too little of it is seen."""
        self._leaves_lit = False
        """Somebody wants to leave although the burner is lit, and was told so."""
        self._doubted: float | None = None
        """°C of a reading of the tin that is far from the last one, until it is said again."""
        self._known_at = -1
        """Number of the last entry that what stands below was worked out of: a curve is read once, not at every frame."""
        self._reading: CurveReading | None = None
        self._result: tuple[str, ...] = ()
        self.steps: tuple[RunStep, ...] = ()
        self.at = 0
        self.look(now)

    # -- what there is ------------------------------------------------------------------------------

    @property
    def plan(self) -> Plan:
        return self.live.state.plan

    @property
    def heap(self) -> HeapState:
        return self.live.state.heap or HeapState()

    @property
    def step(self) -> RunStep:
        """The one on the screen."""
        return self.steps[self.at]

    @property
    def cooling(self) -> CoolingAt | None:
        return self.heap.cooling

    @property
    def reading(self) -> CurveReading | None:
        """What the curve that is being taken says so far; else what the last one said."""
        self._know()
        return self._reading

    @property
    def result(self) -> tuple[str, ...]:
        """What is known by now of where it sets and what it can be, in sentences; empty before anything is."""
        self._know()
        return self._result

    def _know(self) -> None:
        """Read the curve anew where the record went on."""
        heap, seq = self.heap, self.live.state.last_seq
        if self._known_at == seq:
            return
        self._known_at = seq
        self._reading = last_reading(heap) if heap.cooling is None else reading_of(heap.cooling)
        seen, says = heap.seen, list[str]()
        if heap.curve is not None:
            read = self._reading if heap.cooling is None else last_reading(heap)
            says.append(curve_says(read, self.plan.units))
        if heap.curve is not None or any((seen.smell, seen.surface, seen.nail, heap.water_kg)):
            says.append(odds_says(odds_of(heap, self.plan.scale_step)))
        self._result = tuple(says)

    def look(self, now: float) -> None:
        before = self.step.id if self.steps else None
        self.steps = steps_of(self.live.state, self.skipped, again=self.again)
        ids = [step.id for step in self.steps]
        if self._chosen in ids and not self.steps[ids.index(self._chosen)].done:
            self.at = ids.index(self._chosen)
        else:
            self._chosen = None
            self.at = ids.index("curve") if self.heap.cooling is not None else next_step(self.steps)
        super().look(now)
        if before != self.step.id:
            self._changed_at = now
            self.text = ""

    def is_lit(self) -> bool:
        return self.live.state.burner in LIT

    def unheard(self, now: float) -> bool:
        return nobody_heard(self.live.state, now, self._watch_every)

    def alarms(self, now: float) -> tuple[str, ...]:
        return alarms_of(self.live.state, now, self._watch_every)

    def word(self, now: float) -> tuple[str, str]:
        if self.live.state.finished_at is not None:
            reading = self.reading
            known = reading is not None and reading.congealing_c is not None
            word = (
                show_temperature(reading.congealing_c or 0.0, self.plan.units, 1)
                if known and reading
                else tr("DONE")
            )
            return (
                word,
                tr(
                    "On the shelf, and among your own waxes, as “{name}”. c in the list begins a plan with it.",
                    name=self.heap.name,
                ),
            )
        if alarms := self.alarms(now):
            # Who was not heard is asked after last.
            hot = len(alarms) > self.unheard(now)
            return (tr("FLAME DOWN") if hot else tr("THERE?")), " ".join(alarms)
        step = self.step
        if self.noting:
            return tr("NOTE"), tr("What is to be noted?")
        if step.kind == "beat":
            return tr("READ"), beat_says(self.heap, self.reading, self.plan.units, now)
        return step.word, step.says

    def clock_left(self, now: float) -> str:
        """The time to the next beat, or left of a wait, for big digits; empty where nothing runs."""
        if self.heap.cooling is not None and self.step.kind == "beat":
            return f"{next_beat(self.heap.cooling, now):.0f}"
        return countdown(self.step.until - now) if self.step.until is not None and not self.step.done else ""

    def waiting(self, now: float) -> bool:
        """Whether the step on the screen only waits for its time."""
        return self.step.until is not None and now < self.step.until

    # -- keys ---------------------------------------------------------------------------------------

    def press(self, key: str, character: str | None, now: float) -> None:
        self._leaves_lit = self._leaves_lit and (key == "escape" or character == "q")
        super().press(key, character, now)

    def _means_more(self) -> bool:
        return bool(self.text)

    def paste(self, text: str, now: float) -> None:
        """Text from the clipboard goes to where words or figures are typed; Enter files it."""
        if self.noting or self.step.kind in TYPED:
            self._typed_at = now
            self.text = (self.text + plain(text, LONGEST))[:LONGEST]

    def typing(self) -> bool:
        return self.noting or self.step.kind == "words"

    def _typed(self, key: str, sign: str, now: float) -> bool:
        if self.text and (left := rubbed(self.text, key)) is not None:
            self.text = left
        elif key == "enter" and (self.text.strip() or self.noting or self.step.kind in TYPED):
            self._entered(now)
        elif self.takes(sign):
            if not self.text:
                self._typed_at = now
            self.text = (self.text + sign)[: LONGEST if self.typing() else 20]
        else:
            return False
        return True

    def takes(self, sign: str) -> bool:
        if not sign or self.typing():
            return bool(sign)
        if self.step.kind == "choice":
            # Digits choose.
            return False
        return sign.isdigit() or sign in ".,-" or bool(self.text and (sign.isalpha() or sign in " °/"))

    def _entered(self, now: float) -> None:
        """Enter: file what was typed; with nothing typed, leave the step out."""
        text, step = self.text.strip(), self.step
        if self.noting:
            self.noting, self.text = False, ""
            if text:
                self.file((ev.Noted(text=plain(text, 400)),), now=now)
            return
        if not text:
            if step.kind != "beat" and step.can_leave:
                self._leave_out(step, now, by_enter=True)
            return
        try:
            if step.kind in ("confirm", "wait"):
                self._read_pot(text, now)
            elif step.kind == "beat":
                self._read_tin(text, now)
            else:
                self._file_answer(step, step_value(step, text, self.plan, self.heap), text, now)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        self.text = ""

    def _read_pot(self, text: str, now: float) -> None:
        """A number where nothing asks for one is the heat of the pot."""
        read = wax_temperature(text, self.plan.units)
        self.file((ev.Reading(place="pot", celsius=read.celsius, typed=read.typed),), now=now)

    def _read_tin(self, text: str, now: float) -> None:
        """A reading of the tin, as of the moment its first digit was typed: that is when somebody looked."""
        read = read_temperature(text, self.plan.units, "wax")
        cooling = self.heap.cooling
        if cooling is None:
            return
        last = cooling.readings[-1][1] if cooling.readings else None
        if read.doubt and last is None:
            raise Trouble(f"“{read.typed}”: {read.doubt}", instead=tr("Type c or f behind it."))
        if last is not None and abs(read.celsius - last) > JUMP and self._doubted != read.celsius:
            self._doubted = read.celsius
            was, now_c = (show_temperature(c, self.plan.units, 1) for c in (last, read.celsius))
            raise Trouble(
                tr("{now_c} after {was}: is that right?", now_c=now_c, was=was),
                instead=tr("Enter again files it; Backspace puts it right."),
            )
        self._doubted = None
        at = max(self._typed_at, cooling.begun_at)
        if cooling.readings:
            at = max(at, cooling.readings[-1][0] + 0.001)
        self.file((ev.CoolingRead(celsius=read.celsius, typed=read.typed),), now=now, at=min(at, now))

    def hear(self, probe: str, celsius: float, at: float, now: float) -> None:
        """A reading of the tin that came by itself."""
        if self.heap.cooling is not None and not self.live.readonly and not self.live.unsaved:
            self.live.file(ev.CoolingRead(celsius=celsius, probe=probe), now=now, by="probe", at=at)

    def _file_answer(self, step: RunStep, value: float, text: str, now: float) -> None:
        """The facts of an answer on record; what an answer brings up is answered at once."""
        facts = step.answer(value, text)
        if facts:
            self.file(facts, now=now)
        self._chosen = None
        self.look(now)
        self._changed_at = -1e9

    def _answered(self, key: str, sign: str, now: float) -> bool:
        step = self.step
        if self.live.readonly or step.done:
            return False
        if step.kind == "choice" and sign.isdigit() and 1 <= int(sign) <= len(step.choices):
            if now - self._changed_at >= TOO_SOON:
                self._file_answer(step, 0.0, sign, now)
            return True
        if step.kind == "choice" and key == "enter" and step.can_leave:
            self._leave_out(step, now)
            return True
        if key != "space" or step.kind in ("choice", "words"):
            return False
        if now - self._changed_at < TOO_SOON:
            return True
        if step.kind == "beat":
            self._end_curve(now)
        elif step.id == "end":
            self._finish(now)
        elif step.kind in ("confirm", "wait"):
            self._file_answer(step, 0.0, "", now)
            if step.id == "cool":
                self.again = False
                self.look(now)
        else:
            return False
        return True

    def _end_curve(self, now: float) -> None:
        """Space while a curve is taken: it ends, at the second press where too little of it is seen."""
        cooling = self.heap.cooling
        if cooling is None:
            return
        reading = self.reading
        if not enough(cooling, reading) and self._ends is not cooling:
            self._ends = cooling
            self.message = tr("Too little is seen yet to be sure. Space again ends the curve all the same.")
            return
        kind = reading.kind if reading is not None else "none"
        says = curve_says(reading, self.plan.units)
        told = ev.CoolingEnded(curve=kind, says=says)
        if reading is not None and reading.congealing_c is not None:
            told = ev.CoolingEnded(
                curve=kind,
                congealing_c=reading.congealing_c,
                early_c=reading.early_c,
                late_c=reading.late_c,
                says=says,
            )
        self.file((told,), now=now, silent=True)
        self._chosen = None

    def wax(self) -> Wax:
        """The lot as a wax of one's own. Raises `Trouble` for a name that no wax can have."""
        return as_wax(self.heap, self.heap.name, self.plan.scale_step, bath_reach(self.plan.altitude).best_c)

    def _finish(self, now: float) -> None:
        """The lot goes among the own waxes, and the run ends."""
        if not self.heap.name:
            self.message = tr("Give it a name first.")
            return
        if self.live.state.burner in LIT:
            self.message = tr("The burner is lit. Put it out and press h, then Space.")
            return
        try:
            wax = self.wax()
            self._keep(wax, stock_lot(self.live.state, wax))
            self.live.finish(f"{self.heap.name}: {' '.join(self.result)}".strip(": "), now=now)
        except Trouble as trouble:
            self.message = str(trouble)
            return
        self.leaving = True

    def _leave_out(self, step: RunStep, now: float, *, by_enter: bool = False) -> None:
        """Leave a step out: on record where that says something of the wax."""
        if step.id in ("sample", "around") and by_enter:
            self.file((ev.TinTold(what="weight" if step.id == "sample" else "around"),), now=now)
            return
        fact = LEFT_OUT.get(step.id)
        self._chosen = None
        if step.id in ("sample", "around", "cool") and self.heap.curves:
            self._no_further_curve(now)
        elif fact is not None:
            self.file((ev.HeapStepDone(step=fact, came="left out"),), now=now)
        else:
            self.skipped |= {step.id}
            self.message = tr("Left out: not said.")

    def _command(self, key: str, sign: str, now: float) -> None:
        if key == "escape":
            self._back(now)
        elif key in ("up", "down", "left", "right"):
            self.choose(self.at + (1 if key in ("down", "right") else -1), -1 if key in ("up", "left") else 1)
        elif sign == "q":
            self._leave()
        elif self.live.readonly and sign:
            self.message = tr("This can only be read here.")
        elif sign in ("z", "u"):
            self.take_back(now, back=sign == "z")
        elif sign in ("h", "d"):
            self._burner(sign, now)
        elif sign == "n":
            self.noting, self.text = True, ""
        elif sign == "a":
            self._again(now)
        elif sign == "x" and not self.step.done and self.step.can_leave:
            self._leave_out(self.step, now)

    def choose(self, row: int, by: int = 1) -> None:
        """Go to a step that is not done: from `row` on, in the direction `by`."""
        while 0 <= row < len(self.steps):
            if not self.steps[row].done:
                self._chosen, self.text = self.steps[row].id, ""
                return
            row += by

    def _burner(self, key: str, now: float) -> None:
        """The burner full on or off (h), or down to low (d)."""
        if key == "d":
            self.file((ev.BurnerSet(state="low"),), now=now)
            return
        lit = self.live.state.burner in LIT
        self.file((ev.BurnerSet(state="off" if lit else "on"),), now=now)

    def _leave(self) -> None:
        """Leave; while the burner is lit, at the second key."""
        if self.live.state.burner in LIT and not self.live.readonly and not self._leaves_lit:
            self._leaves_lit = True
            self.message = tr("The burner is lit. Put it out and press h; q again leaves all the same.")
            return
        self.leaving = True

    def _again(self, now: float) -> None:
        """Take another curve, where one was taken."""
        if self.heap.cooling is not None:
            self.message = tr("A curve is being taken now. Space ends it, then a takes another one.")
        elif not self.heap.curves:
            self.message = tr("No curve was taken yet.")
        else:
            self._forget_tin(now)
            self.again, self._chosen = True, None
            self.message = tr("Another curve: melt the tin again, wholly clear.")

    def _no_further_curve(self, now: float) -> None:
        """The curves that there are will do."""
        self._forget_tin(now)
        self.again = False
        self.message = tr("No further curve.")

    def _forget_tin(self, now: float) -> None:
        """What was said of a tin whose curve never began counts no more."""
        if self.heap.tin.told:
            self.file((ev.TinTold(what="nothing"),), now=now, silent=True)

    def _back(self, now: float) -> None:
        """One step back: what is typed, then the step somebody went to, then out."""
        if self.noting or self.text:
            self.noting, self.text = False, ""
        elif self._chosen is not None:
            self._chosen = None
        elif self.again or (self.heap.curves and self.heap.tin.told):
            self._no_further_curve(now)
        else:
            self._leave()

    def take_back(self, now: float, *, back: bool) -> bool:
        done = super().take_back(now, back=back)
        if done:
            self.skipped = frozenset()
        return done
