"""What lies further ahead than the next act of each mould, put into the agenda from the day worked out ahead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Kind, Urgency
from pourday.guide.acts.durations import HANDS
from pourday.guide.advice.day_end import PlannedStep
from pourday.times import NEVER

KINDS: dict[str, Kind] = {
    "jug": "jug",
    "pour": "pour",
    "top-up": "top-up",
    "heat on": "heat on",
    "relief": "relief",
    "demould": "demould",
    "cure": "cure",
}
"""What is worth a line hours ahead; looks, readings and the burner's going off follow from these."""


OF_A_LAYER = ("jug", "pour", "top-up")
LOOKS = ("look", "look under")
AGAIN, SAME = ("heat on", "relief"), 20 * 60.0
"""What is done again and again; one that falls due so long (s) before is another one. An estimate of ours."""


WARMS = 15 * 60.0
"""s that a jug is taken to warm up in, where nothing better is known. An estimate of ours."""


def far_acts(steps: Sequence[PlannedStep], acts: Sequence[Act], now: float) -> list[Act]:
    """Acts for what no present act stands for yet; nothing in them is due and nothing can be filed."""
    not_listed = []
    for step in steps:
        kind = KINDS.get(step.kind)
        if kind is None or step.at.likely <= now or _stands(step, acts):
            continue
        due = max(step.at.likely, _looked(step, acts))
        not_listed.append(
            Act(
                id=step.id,
                kind=kind,
                word=step.word,
                says=step.says,
                why=step.why,
                due=due,
                moulds=step.moulds,
                layer=step.layer,
                window=step.at if due <= step.at.late else None,
                closes=step.closes,
                urgency=Urgency.NOT_YET,
            )
        )
    return not_listed


def _looked(step: PlannedStep, acts: Sequence[Act]) -> float:
    """When the moulds of a pour will have been looked at: nothing is poured before that."""
    if step.kind not in ("pour", "top-up"):
        return 0.0
    looks = [act.due for act in acts if act.kind in LOOKS and set(act.moulds) & set(step.moulds)]
    return max((due + HANDS["look"] for due in looks if due < NEVER), default=0.0)


def with_dates(steps: Sequence[PlannedStep], acts: Sequence[Act], now: float) -> list[Act]:
    """Acts that wait for heat which is not lit yet, put where the day ahead expects them."""
    lit = min((act.due for act in acts if act.kind == "heat on"), default=now)
    dated_acts = []
    for act in acts:
        step = next(
            (s for s in steps if act.due == float("inf") and s.at.likely > now and _stands(s, [act])), None
        )
        if step is None:
            dated_acts.append(act)
            continue
        # The heat comes before the wax that it is for.
        hot = lit + WARMS if act.kind in ("pour", "top-up") else now
        dated_acts.append(replace(act, due=max(step.at.likely, hot)))
    return dated_acts


def _stands(step: PlannedStep, acts: Sequence[Act]) -> bool:
    """Whether an act of the same kind, layer and some of the same moulds is in the agenda already."""
    for act in acts:
        alike = act.kind == step.kind and (act.layer == step.layer or step.kind not in OF_A_LAYER)
        if step.kind in AGAIN and act.due < step.at.likely - SAME:
            continue
        if alike and (not step.moulds or set(act.moulds) & set(step.moulds)):
            return True
    return False
