"""The simulated kitchen behind a demo on screen: its clock, its hands, and the person it can play.

A demo that was stopped is picked up again by doing once more, in a fresh kitchen of the same seed, all
that its record says was done.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from hashlib import blake2s

from pourday.demo.hands import LEAST, enact
from pourday.demo.player import Player, cue_of
from pourday.errors import Trouble
from pourday.guide.acts.act import Act, Urgency
from pourday.guide.advice.adviser import Advice
from pourday.kitchen.clock import FASTEST, SLOWEST, KitchenClock
from pourday.kitchen.kitchen import Kitchen
from pourday.language import figures, tr
from pourday.plan.jug_names import called_jug, jug_name
from pourday.plan.model import Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.describe import say_facts
from pourday.session.events import Entry, Fact
from pourday.session.fold import effective
from pourday.session.looks import LOOK_SHORT
from pourday.session.state import State
from pourday.times import clock, letters_short
from pourday.units import show_temperature

SPEEDS = (1.0, 10.0, 60.0, 200.0, 600.0)
"""Seconds of the kitchen in one of the wall's. Chosen."""
READING, GLANCE = 1.8, 0.6
"""Seconds on the wall in which a sentence is read, and in which one is that has been read in much the same words before,
where no speed was asked for (estimates);"""
DOING, WAITING = 0.3, 0.7
"""in which both hands are at something, and in which a wait goes by, however long it is in the kitchen (chosen)."""
BY_HAND, PLANNING = 10.0, 1.0
"""Speed at which a person acts with their own hands, and at which they plan, where no speed was asked for (chosen),"""
LONG_WAIT = 8.0
"""and seconds on the wall after which what they wait for is due (chosen)."""
STANDS_BY, AT_HAND = ("heat off", "heat low", "read", "alarm"), 10.0
"""What a person who stands beside the stove does at once, and in how many seconds of the kitchen. An estimate of ours."""
LIT_STEP = 60.0
"""Most seconds of the kitchen between two looks at the guide while the burner is not known to be off (chosen),"""
WAIT_STEPS = 6
"""and looks in which any other wait goes by."""
FACTORS = (0.25, 0.5, 1.0, 2.0, 4.0)
"""How much faster than usual a day goes that chooses its own speed. Chosen."""


class Station:
    """A kitchen that follows one session's record; its seed is the session's name, so a day can be repeated.

    Without a `speed` it chooses its own: what is done can be read, what is only waited for goes by in a second.
    While it plays itself, its clock stops at the next thing to decide and goes on once that is decided: what happens
    does not depend on how often, or how late, anybody looks.
    """

    def __init__(
        self, session: str, start: float, *, speed: float | None = None, hands_free: bool = True
    ) -> None:
        # By name, so that a demo that is opened again has the same hidden kitchen.
        self.seed = int.from_bytes(blake2s(session.encode(), digest_size=4).digest())
        self.own_pace = speed is None
        """Whether nobody asked for a speed."""
        self.clock = KitchenClock(start, PLANNING if speed is None else speed)
        self.hands_free = hands_free
        self.kitchen: Kitchen | None = None
        self.player: Player | None = None
        self.trouble = ""
        """Why the kitchen could not follow the last fact, in a sentence; empty where it could."""
        self.did = ""
        """What the player did last, and why, in a line."""
        self._factor = FACTORS.index(1.0)
        self._read: set[str] = set()
        """Kinds of acts whose sentence stood there before."""
        self._act: ActId | None = None
        """What the player is on the way to, or waits for,"""
        self._next = start
        """when there is something to decide next,"""
        self._rate = 1.0
        """and seconds of the kitchen in one of the wall's while they wait."""

    def now(self, real: float) -> float:
        """The kitchen's time (seconds since the epoch) at a moment of a clock that only runs on, in seconds."""
        return self.clock.now(real)

    def begin(self, state: State, at: float) -> None:
        """Set up the kitchen for the plan the day began with."""
        self.kitchen = Kitchen(state.fixed_plan or state.plan, self.seed, at)
        self.player = Player(self.kitchen, self.seed)

    def repeat(self, entries: tuple[Entry, ...] | list[Entry], state: State) -> None:
        """Do again what the record says was done, each thing at its time."""
        if state.fixed_plan is None or state.fixed_at is None:
            return
        self.begin(state, state.fixed_at)
        plan = state.fixed_plan
        for entry in effective(entries):
            if isinstance(entry.fact, ev.PlanRevised):
                plan = entry.fact.plan
            if entry.t >= state.fixed_at:
                self._follow(entry.fact, entry.t, plan)

    def taken_back(self, entries: Sequence[Entry], state: State, now: float) -> None:
        """Set the kitchen back to what the record now says was done."""
        self.repeat(list(entries), state)
        if self.kitchen is not None:
            self.kitchen.advance(now)

    def filed(self, fact: Fact, state: State, now: float) -> None:
        """Let the kitchen follow a fact that was just filed."""
        if self.kitchen is None and state.fixed_plan is not None:
            self.begin(state, now)
        if self.kitchen is not None:
            self._follow(fact, now, state.plan)

    def _follow(self, fact: Fact, at: float, plan: Plan) -> None:
        assert self.kitchen is not None
        self.kitchen.advance(at)
        try:
            self.trouble = enact(fact, self.kitchen, weigh_sheet(plan))
        except Trouble as trouble:
            self.trouble = str(trouble)

    def tick(self, advice: Advice, now: float, real: float, file: Callable[[Fact], object]) -> bool:
        """Let time pass in the kitchen up to `now`, and play the person where nobody else does.

        `real` is the moment on the clock that `now` is told of. True where the player has just done something.
        """
        if self.kitchen is None or self.player is None:
            return False
        self.kitchen.advance(now)
        if advice.now is None:
            return False
        act = advice.now.act
        if not self.hands_free or advice.state.finished_at is not None:
            self._let_run(act, now, real)
            return False
        if now < self._next:
            return False
        if act.urgency is Urgency.NOT_YET:
            self._wait(act, advice.state, now, real)
        elif act.id != self._act:
            self._act = act.id
            # Of a jug "done" is said when its colour and scent are in.
            busy = self.player.busy(act) if act.kind == "jug" else 0.0
            seconds = GLANCE if act.kind in self._read else READING
            self._read.add(act.kind)
            # They stand beside the stove: the knob is turned and the wax read at once, a mould takes a walk.
            delay = min(self.player.delay(), AT_HAND if act.kind in STANDS_BY else float("inf"))
            self._go_to(now + delay + busy, seconds, real)
        else:
            self._do(advice, now, real, file)
            return True
        return False

    def _wait(self, act: Act, state: State, now: float, real: float) -> None:
        """Go on towards what is due next, with a look at the guide again and again on the way there."""
        left = act.due - now if act.due < float("inf") else LIT_STEP
        if act.id != self._act:
            self._act, self._rate = act.id, max(1.0, left / WAITING)
        step = LIT_STEP if state.burner != "off" else max(LIT_STEP, left / WAIT_STEPS)
        step = max(1.0, min(left, step))
        self._go_to(now + step, step / self._rate, real)

    def _do(self, advice: Advice, now: float, real: float, file: Callable[[Fact], object]) -> None:
        """Do what is due, and let the time go by that it takes."""
        assert self.player is not None
        assert advice.now is not None
        act = advice.now.act
        facts: list[Fact] = []

        def noted(fact: Fact) -> object:
            facts.append(fact)
            return file(fact)

        self.player.do(advice, noted)
        self.did = _in_a_line(act, facts, advice.state, now)
        self._act = None
        busy = self.player.busy(act) if act.kind != "jug" else 0.0
        self._go_to(now + busy, DOING, real)

    def _go_to(self, kitchen: float, seconds: float, real: float) -> None:
        """Go on to that kitchen time and stop there; in so many seconds on the wall, unless a speed was asked for."""
        self._next = kitchen
        self.clock.stop_at(kitchen, real, seconds / FACTORS[self._factor] if self.own_pace else None)

    def _let_run(self, act: Act, now: float, real: float) -> None:
        """Let the clock run for somebody who acts with their own hands: fast only while there is nothing to do."""
        self._act, self._next = None, now
        self.clock.go_on(real)
        if self.own_pace:
            waits = act.kind == "wait" and act.due < float("inf")
            speed = (act.due - now) / LONG_WAIT if waits else 0.0
            speed = max(BY_HAND, speed) * FACTORS[self._factor]
            self.clock.set_speed(max(SLOWEST, min(FASTEST, speed)), real)

    def play(self, hands_free: bool, real: float) -> None:
        """Let the day play itself, or leave it to a person's hands."""
        self.hands_free, self._act = hands_free, None
        self._next = self.clock.now(real)

    def faster(self, step: int, real: float) -> None:
        """The next speed up or down; of a day that chooses its own, by half or double."""
        if self.own_pace:
            self._factor = max(0, min(len(FACTORS) - 1, self._factor + step))
            return
        index = SPEEDS.index(min(SPEEDS, key=lambda s: abs(s - self.clock.speed)))
        self.clock.set_speed(SPEEDS[max(0, min(len(SPEEDS) - 1, index + step))], real)

    def pause(self, real: float) -> None:
        """Stop the kitchen's clock, or let it run on."""
        if self.clock.paused:
            self.clock.resume(real)
        else:
            self.clock.pause(real)

    def _speed_words(self) -> str:
        """How fast the day goes."""
        if self.clock.paused:
            return tr("paused")
        if not self.own_pace:
            return figures("{speed:g}x", speed=self.clock.speed)
        factor = FACTORS[self._factor]
        return "" if factor == 1 else tr("at {factor:g}x its own pace", factor=factor)

    def strip(self, state: State) -> str:
        """What a person in that kitchen would see: thermometers and surfaces."""
        if self.kitchen is None:
            return ""
        hands = tr("plays itself") if self.hands_free else tr("your hands")
        speed = self._speed_words()
        head = tr("demo {speed_words}, {hands}", speed_words=speed, hands=hands).replace(" ,", ",")
        if state.finished_at is not None:
            return head
        # What lies in the moulds is seen nowhere else, so it comes first where the row is short.
        truth = ", ".join([*self._surfaces(self.kitchen, state), *self._warm(self.kitchen, state)])
        parts = (
            [head, tr("in truth {temperatures_and_looks}", temperatures_and_looks=truth)] if truth else [head]
        )
        return " · ".join([*parts, self.trouble] if self.trouble else parts)

    @staticmethod
    def _warm(kitchen: Kitchen, state: State) -> list[str]:
        """The true heat of pot and jugs, each by the name it has on the screen."""
        units, plan = state.plan.units, state.plan
        vessels = [(tr("pot"), kitchen.true("pot"))] if kitchen.molten_kg > LEAST else []
        vessels += [
            (_short(plan, layer), kitchen.true("jug", layer))
            for layer in sorted(state.jugs)
            if kitchen.jug_pourable(layer) > LEAST
        ]
        return [f"{name} {show_temperature(celsius, units)}" for name, celsius in vessels]

    @staticmethod
    def _surfaces(kitchen: Kitchen, state: State) -> list[str]:
        """What the surfaces truly look like, those that look the same together."""
        alike: dict[str, str] = {}
        for letter, mould in sorted(state.moulds.items()):
            if mould.pours and mould.demoulded_at is None:
                # The record may say poured where the kitchen had no wax to pour.
                with suppress(Trouble):
                    look = LOOK_SHORT[cue_of(kitchen.look(letter))]
                    alike[look] = alike.get(look, "") + letter
        return [f"{letters_short(moulds)} {look}" for look, moulds in alike.items()]


def _short(plan: Plan, layer: int) -> str:
    """A jug by its colour alone, which is told from the pot's heat beside it; by its number where it has no colour."""
    name = jug_name(plan, layer)
    return called_jug(plan, layer) if name.isdigit() else name


def _in_a_line(act: Act, facts: Sequence[Fact], state: State, now: float) -> str:
    """What was just done, and why: `07:17 Done: ...`."""
    # An alarm that was heard is nothing that hands did.
    done = [fact for fact in facts if not isinstance(fact, ev.Waived | ev.AlarmAcknowledged)]
    settled = list(dict.fromkeys(fact.why for fact in facts if isinstance(fact, ev.Waived)))
    if any(isinstance(fact, ev.Poured) for fact in done):
        # The scale says the same weights once more.
        done = [fact for fact in done if isinstance(fact, ev.Poured)]
    said = say_facts(done, state.plan) or "; ".join(settled) or act.word
    why = act.why.partition(". ")[0].rstrip(".")
    if act.between is not None and all(isinstance(fact, ev.Reading) for fact in facts):
        why = tr("A jug is read before it is poured")
    return f"{clock(now)} {said[:1].upper()}{said[1:]}." + (tr(" Why: {why}.", why=why) if why else "")
