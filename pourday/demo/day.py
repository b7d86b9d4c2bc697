"""One whole simulated day without a terminal: plan, melt, pours, night, demould, cure, record."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourday.demo.hands import enact
from pourday.demo.player import Player
from pourday.demo.scenario import START, two_pillars
from pourday.guide.acts.act import Act
from pourday.guide.advice.adviser import Advice, Adviser
from pourday.kitchen.kitchen import Kitchen
from pourday.language import tr
from pourday.plan.model import Plan, preparations
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.events import By, Fact
from pourday.store.live import LiveSession
from pourday.times import clock, local

LONGEST_STEP = 30.0
"""Seconds of kitchen time between two looks at the guide while the burner is on (chosen),"""
LOW_STEP = 120.0
"""and while it only holds what is hot (chosen)."""
LONGEST_DAY = 40 * 24 * 3600.0
"""Seconds after which a day that does not end is given up: longer than any cure. Chosen."""


class Day:
    """A session, a kitchen and a person who follows the guide; steps on from act to act."""

    def __init__(
        self,
        folder: Path,
        say: Callable[[str], None],
        *,
        seed: int = 1,
        plan: Plan | None = None,
        start: float = START,
        late: float = 0.0,
        by_scale: bool = False,
    ) -> None:
        """`late` is by how many seconds the person comes after everything that is due at a mould; `by_scale`: they pour
        the weight they were given instead of to the line.

        Raises `Trouble` for a plan that cannot be weighed out, or wax that the kitchen does not have.
        """
        self.plan = plan or two_pillars()
        weigh_sheet(self.plan)
        self.late = late
        self.now = start
        self.start = start
        self.say = say
        self.kitchen = Kitchen(self.plan, seed, start)
        self.player = Player(self.kitchen, seed, by_scale=by_scale)
        self.adviser = Adviser()
        self._told: ActId | None = None
        self._first_due: dict[ActId, float] = {}
        self._sheet: tuple[Plan, WeighSheet] | None = None
        self.live = LiveSession.begin(folder, f"{local(start):%Y-%m-%d}-demo", now=start, demo=True)
        self.file(ev.PlanDrafted(plan=self.plan))
        for item in preparations(self.plan):
            self.file(ev.Prepared(item=item.id, mark="done"))
        self.file(ev.PlanFixed(plan=self.plan))

    def file(self, fact: Fact, by: By = "person") -> None:
        """File a fact and let the kitchen follow."""
        self.live.file(fact, now=self.now, by=by)
        trouble = enact(fact, self.kitchen, self._weighed())
        if trouble:
            self.say(f"{clock(self.now, self.start)}  {trouble}")

    def _weighed(self) -> WeighSheet:
        """The plan as it stands, weighed out."""
        plan = self.live.state.plan
        if self._sheet is None or self._sheet[0] is not plan:
            self._sheet = (plan, weigh_sheet(plan))
        return self._sheet[1]

    def advise(self) -> Advice:
        """The guide's word now, with what it has to put on record filed."""
        advice = self.adviser.advise(self.live.state, self.now)
        for fact in advice.to_file:
            self.live.file(fact, now=self.now, by="program")
        # What was told changes nothing of what there is to do; an alarm does.
        only_told = all(isinstance(fact, ev.Told) for fact in advice.to_file)
        return advice if only_told else self.adviser.advise(self.live.state, self.now)

    def step(self) -> bool:
        """Do what is due, or wait for it; False when the session is finished."""
        advice = self.advise()
        if advice.now is None or self.live.state.finished_at is not None:
            return False
        act = advice.now.act
        if act.kind == "wait":
            burner = self.live.state.burner
            longest = LOW_STEP if burner == "low" else LONGEST_STEP
            self._until(min(act.due, self.now + longest) if burner != "off" else act.due)
            return self.now - self.start < LONGEST_DAY
        if self._comes_late(act):
            return self.now - self.start < LONGEST_DAY
        self._until(self.now + self.player.delay())
        if act.id != self._told:
            self.say(f"{clock(self.now, self.start):>10}  {advice.now.word}: {advice.now.says}")
            self._told = act.id
        if act.kind in ("finish", "nothing"):
            self.live.finish(tr("A good day."), now=self.now)
            return False
        if act.kind == "jug":
            # "Done" is said when its colour and scent are in.
            self._until(self.now + self.player.busy(act))
            return self.player.do(advice, self.file)
        done = self.player.do(advice, self.file)
        if busy := self.player.busy(act):
            self._until(self.now + busy)
        return done

    def _comes_late(self, act: Act) -> bool:
        """Let the time go by in which a late person is not there yet; False once they have come."""
        if not self.late or not act.moulds:
            # Nobody leaves a lit burner, a hot jug or a reading for that long; it is the moulds that wait.
            return False
        comes = self._first_due.setdefault(act.id, min(act.due, self.now)) + self.late
        if self.now >= comes:
            return False
        self._until(comes)
        return True

    def _until(self, t: float) -> None:
        """Let the kitchen go on to a time, a second at least."""
        self.now = max(self.now + 1.0, t)
        self.kitchen.advance(self.now)

    def play(self) -> None:
        """Step until the session is finished."""
        while self.step():
            pass
