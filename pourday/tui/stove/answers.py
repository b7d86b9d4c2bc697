"""Answers as they go through the pipe to the screen: nothing that the other side has already."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import cast

from pourday.guide.advice.steps import AdviceSnapshot
from pourday.guide.outlook.mould_heat import MouldHeat
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.options import answerable
from pourday.session.state import State


@dataclass(frozen=True, slots=True)
class Answer:
    found: AdviceSnapshot
    """Its outlook without the state, and its moulds without their heat; None where it is the one before."""
    heats: dict[str, MouldHeat]
    """What is new."""
    before: bool
    """The outlook is the one before."""


class Packing:
    """The last answer, so that the next carries only what is new."""

    def __init__(self) -> None:
        self._outlook: Outlook | None = None
        self._heats: dict[str, MouldHeat] = {}

    def __call__(self, found: AdviceSnapshot) -> Answer:
        outlook = found.outlook
        if outlook is None or outlook is self._outlook:
            return Answer(replace(found, outlook=None), {}, outlook is not None)
        heats = {x: m.heat for x, m in outlook.moulds.items() if self._heats.get(x) is not m.heat}
        self._outlook, self._heats = outlook, {x: m.heat for x, m in outlook.moulds.items()}
        cold = {x: replace(m, heat=cast("MouldHeat", None)) for x, m in outlook.moulds.items()}
        return Answer(
            replace(found, outlook=replace(outlook, moulds=cold, state=State(), book=None)), heats, False
        )


class Unpacking:
    """What came before, which the next answer builds on."""

    def __init__(self) -> None:
        self._outlook: Outlook | None = None
        self._heats: dict[str, MouldHeat] = {}

    def __call__(self, answer: Answer, state: State) -> AdviceSnapshot:
        found = answer.found
        if found.outlook is not None:
            heats = self._heats | answer.heats
            moulds = {x: replace(m, heat=heats[x]) for x, m in found.outlook.moulds.items()}
            self._heats = {x: heats[x] for x in moulds}
            self._outlook = replace(found.outlook, moulds=moulds, state=state)
        elif not answer.before:
            return found
        assert self._outlook is not None
        acts = tuple(answerable(act, state, self._outlook) for act in found.acts)
        return replace(found, outlook=self._outlook, acts=acts)
