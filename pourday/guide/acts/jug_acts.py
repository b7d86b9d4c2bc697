"""The next jug, and a drop of its colour on white paper."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.durations import JUG_LEAD
from pourday.guide.acts.heat_plan import PourNeed, jug_lead
from pourday.guide.outlook.blend_parts import still_out
from pourday.guide.outlook.outlook import Outlook
from pourday.plan.dosing import drops_of
from pourday.plan.model import DyeForm
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State
from pourday.times import span
from pourday.units import show_mass, show_share

SCENT = "Off the flame for scent: its vapour can catch fire. Follow the supplier's sheet."


def jug_due(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> bool:
    """Whether a jug is to be drawn now."""
    return any(act.due <= now and act.id not in state.waived for act in next_jug(state, outlook, wanted, now))


def next_jug(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> list[Act]:
    """The jug of the next layer that has none, from `now` on; one at a time."""
    missing = [
        need for need in wanted if not need.drawn and ActId("jug", layer=need.layer) not in state.waived
    ]
    if not missing:
        return []
    need = min(missing, key=lambda n: (n.layer, n.at))
    at = need.at if need.at < float("inf") else now
    ready = outlook.pot_ready(now)
    first = float("inf") if still_out(state, outlook.sheet) else ready
    return [
        Act(
            id=ActId("jug", layer=need.layer),
            kind="jug",
            word=f"JUG {need.layer + 1}",
            layer=need.layer,
            says=_jug_sentence(state, outlook, need.layer),
            why=f"Colour and scent need about {span(JUG_LEAD)} before the pour; in the bath the jug stays hot.",
            due=first if not state.jugs else max(ready, now, at - jug_lead(need)),
            caution=SCENT,
            records=(ev.JugMade(layer=need.layer, planned_kg=outlook.jug(need.layer).wax),),
            place=("jug", ""),
            urgency=Urgency.USUAL,
        )
    ]


def colour_drops(state: State, outlook: Outlook, now: float, free: float) -> list[Act]:
    """A drop of every dyed jug is looked at before its wax is in a mould, once the hands are `free` for it."""
    poured = {pour.layer for mould in state.moulds.values() for pour in mould.pours}
    acts = []
    for layer, jug in sorted(state.jugs.items()):
        if layer in poured or layer >= len(state.plan.layers) or state.plan.layers[layer].dye_load <= 0:
            continue
        colour = outlook.colour(layer)
        drop = ActId("drop", layer=layer)
        seen = ev.Waived(act=str(drop), why=f"{colour}: colour seen")
        acts.append(
            Act(
                id=drop,
                kind="drop",
                word=f"DROP {layer + 1}",
                layer=layer,
                says=f"Let a drop of {colour} set on white paper and look at its colour.",
                why="Molten wax looks darker than set wax; a set drop tells, and only darker can still be had.",
                due=jug.made_at if free <= now else max(jug.made_at, free),
                question=Question(
                    f"The set drop of {colour}:",
                    (
                        Choice("r", "right", (seen,)),
                        Choice("d", "too pale: dye added", (ev.Noted(text=f"Dye added to {colour}."), seen)),
                        Choice("p", "too dark: left so", (ev.Noted(text=f"{colour} is too dark."), seen)),
                    ),
                ),
                place=("jug", ""),
                urgency=Urgency.USUAL,
            )
        )
    return acts


def dye_words(state: State, kg: float) -> str:
    """As the scale shows it; what is less than ten of its steps as finely as it can be weighed elsewhere."""
    step = state.plan.scale_step
    return show_mass(kg, state.plan.units, step) if kg >= 10 * step else f"{kg * 1000:.2g} g"


def _too_fine(state: State, kg: float, form: DyeForm) -> str:
    """`; below your scale's step, so about 11 drops`: dye that the scale does not show, counted where it can be."""
    if kg >= state.plan.scale_step:
        return ""
    count = drops_of(kg) if form == "liquid" else None
    return f"; below your scale's step{f', so about {count} drop' if count else ''}{'s' if count and count > 1 else ''}"


def _jug_sentence(state: State, outlook: Outlook, layer: int) -> str:
    """What goes into the jug of a layer: wax, dye and scent."""
    jug = outlook.jug(layer)
    parts = [f"Draw {outlook.mass(jug.wax)} into a jug for {outlook.colour(layer)}"]
    if jug.dye > 0:
        planned = state.plan.layers[layer]
        form = {"liquid": "liquid dye", "pure": "dye", "block": "dye block"}[planned.dye_form]
        fine = _too_fine(state, jug.dye, planned.dye_form)
        parts.append(f"{dye_words(state, jug.dye)} {form} ({show_share(planned.dye_load)}{fine})")
    if jug.scent > 0:
        parts.append(f"{outlook.mass(jug.scent)} scent, stirred slowly for a minute or two")
    return "; ".join(parts) + "."
