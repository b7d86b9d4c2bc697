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
from pourday.guide.advice.adviser import Advice
from pourday.kitchen.clock import KitchenClock
from pourday.kitchen.kitchen import Kitchen
from pourday.plan.model import Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.events import Entry, Fact
from pourday.session.fold import effective
from pourday.session.looks import LOOK_SHORT
from pourday.session.state import State
from pourday.units import show_temperature

SPEEDS = (1.0, 10.0, 60.0, 200.0, 600.0)
"""Seconds of the kitchen in one of the wall's."""


class Station:
    """A kitchen that follows one session's record; its seed is the session's name, so a day can be repeated."""

    def __init__(self, session: str, start: float, *, speed: float = 60.0, hands_free: bool = True) -> None:
        # By name, so that a demo that is opened again has the same hidden kitchen.
        self.seed = int.from_bytes(blake2s(session.encode(), digest_size=4).digest())
        self.clock = KitchenClock(start, speed)
        self.hands_free = hands_free
        self.kitchen: Kitchen | None = None
        self.player: Player | None = None
        self.trouble = ""
        """Why the kitchen could not follow the last fact, in a sentence; empty where it could."""
        self._act: ActId | None = None
        """What the player is on the way to,"""
        self._do_at = 0.0
        """and when they come to do it."""

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

    def tick(self, advice: Advice, now: float, file: Callable[[Fact], object]) -> None:
        """Let time pass in the kitchen, and play the person where nobody else does."""
        if self.kitchen is None or self.player is None:
            return
        self.kitchen.advance(now)
        if not self.hands_free or advice.now is None or advice.state.finished_at is not None:
            return
        act = advice.now.act
        if act.id != self._act:
            self._act, self._do_at = act.id, now + self.player.delay()
        elif now >= self._do_at:
            self.player.do(advice, file)
            self._act = None

    def faster(self, step: int, real: float) -> None:
        """The next speed up or down."""
        index = SPEEDS.index(min(SPEEDS, key=lambda s: abs(s - self.clock.speed)))
        self.clock.set_speed(SPEEDS[max(0, min(len(SPEEDS) - 1, index + step))], real)

    def pause(self, real: float) -> None:
        """Stop the kitchen's clock, or let it run on."""
        if self.clock.paused:
            self.clock.resume(real)
        else:
            self.clock.pause(real)

    def strip(self, state: State) -> str:
        """What a person in that kitchen would see: thermometers and surfaces."""
        if self.kitchen is None:
            return ""
        units = state.plan.units
        speed = "paused" if self.clock.paused else f"{self.clock.speed:g}x"
        hands = "plays itself" if self.hands_free else "your hands"
        parts = [f"demo {speed}, {hands}"]
        if self.kitchen.molten_kg > LEAST:
            parts.append(f"pot {show_temperature(self.kitchen.true('pot'), units, 1)}")
        for layer in sorted(state.jugs):
            if self.kitchen.jug_pourable(layer) > LEAST:
                parts.append(f"jug {layer + 1} {show_temperature(self.kitchen.true('jug', layer), units, 1)}")
        for letter, mould in sorted(state.moulds.items()):
            if mould.pours and mould.demoulded_at is None:
                # The record may say poured where the kitchen had no wax to pour.
                with suppress(Trouble):
                    parts.append(f"{letter} {LOOK_SHORT[cue_of(self.kitchen.look(letter))]}")
        return " · ".join([*parts, self.trouble] if self.trouble else parts)
