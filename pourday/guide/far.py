"""What lies further ahead than the next act of each mould, put into the agenda from the day worked out ahead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.act import Act, Kind
from pourday.guide.day_end import Far

KINDS: dict[str, Kind] = {
    "jug": "jug",
    "pour": "pour",
    "top-up": "top-up",
    "demould": "demould",
    "cure": "cure",
}
"""What is worth a line hours ahead; looks, readings and the burner follow from these."""


def far_acts(steps: Sequence[Far], acts: Sequence[Act], now: float) -> list[Act]:
    """Acts for what no present act stands for yet; nothing in them is due and nothing can be filed."""
    found = []
    for step in steps:
        kind = KINDS.get(step.kind)
        if kind is None or step.at.likely <= now or _stands(step, acts):
            continue
        found.append(
            Act(
                id=f"far {step.id}",
                kind=kind,
                word=step.word,
                says=step.says,
                why=step.why,
                due=step.at.likely,
                moulds=step.moulds,
                layer=step.layer,
                window=step.at,
                closes=step.closes,
                urgency=9,
            )
        )
    return found


def dated(steps: Sequence[Far], acts: Sequence[Act], now: float) -> list[Act]:
    """Acts that wait for heat which is not lit yet, put where the day ahead expects them."""
    found = []
    for act in acts:
        step = next(
            (s for s in steps if act.due == float("inf") and s.at.likely > now and _stands(s, [act])), None
        )
        found.append(act if step is None else replace(act, due=step.at.likely))
    return found


def _stands(step: Far, acts: Sequence[Act]) -> bool:
    """Whether an act of the same kind, layer and some of the same moulds is in the agenda already."""
    for act in acts:
        alike = act.kind == step.kind and (act.layer == step.layer or step.kind in ("demould", "cure"))
        if alike and (not step.moulds or set(act.moulds) & set(step.moulds)):
            return True
    return False
