"""The usual day (two pillars in two colours, a person who follows the guide), played once for every test that looks at it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pourday.demo.day import Day
from pourday.guide.acts.act import Urgency
from pourday.guide.acts.stove_reads import last_wax_reading
from pourday.plan.model import Plan

SWITCH = ("heat on", "heat low", "heat off")


@dataclass(frozen=True)
class SwitchTold:
    """A turn of the burner that the guide asked for, and what it knew of the pot then."""

    t: float
    due: float
    says: str
    spread: float
    """K between the low and the high end of where the forecast had the pot,"""
    last_read: float | None
    """when somebody had read wax last, s since the epoch; None: never,"""
    heated: bool
    """and whether the burner was ever lit."""


class UsualDay(Day):
    """A day that is played with an eye on the hottest wax, and on what the burner is turned by."""

    def __init__(self, folder: Path, seed: int, plan: Plan | None = None) -> None:
        super().__init__(folder, lambda _: None, seed=seed, plan=plan)
        self.seed = seed
        self.hottest_c = 0.0
        """°C of the hottest wax there ever was in pot or jug, a smear of it apart."""
        self.switches: list[SwitchTold] = []
        """Those that stood there after a step, the first look at the burner after an absence apart."""
        pot, step = self.kitchen.pot, self.kitchen.pot._step

        def stepped(seconds: float) -> None:
            step(seconds)
            hot = (v.celsius for v in (pot.pan, *pot.jugs.values()) if v.wax_kg > 0.02)
            self.hottest_c = max(self.hottest_c, *hot, 0.0)

        pot._step = stepped  # type: ignore[method-assign]

    def step(self) -> bool:
        goes_on = super().step()
        if goes_on:
            self._note_switch()
        return goes_on

    def _note_switch(self) -> None:
        # The same look as the next step begins with, which is not made twice.
        advice = self.adviser.advise(self.live.state, self.now)
        assert advice.now is not None
        act = advice.now.act
        if act.kind not in SWITCH or act.urgency is Urgency.FIRST:
            return
        assert advice.outlook is not None
        assert advice.outlook.pot is not None
        low, _, high = advice.outlook.pot.at(self.now)
        last = last_wax_reading(advice.state)
        heated = bool(advice.state.burner_spans)
        read = last.t if last is not None else None
        self.switches.append(SwitchTold(self.now, act.due, act.says, high - low, read, heated))
