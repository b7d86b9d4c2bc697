"""The next jug, and a drop of its colour on white paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.durations import HANDS
from pourday.guide.acts.dye import dye_question
from pourday.guide.acts.heat_plan import COOLER, PourNeed, jug_lead
from pourday.guide.acts.wording import WHY_JUG, jug_says, jug_word
from pourday.guide.outlook.blend_parts import still_out
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.wax_left import kg_past_line
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State
from pourday.times import MINUTE

AT_JUGS = 20 * MINUTE
"""s after drawing a jug in which somebody is taken to be at the jugs still, with the flame out: the next colour's
follows at once. An estimate of ours."""
DROP_TOO = tr("Let a drop of it set on white paper: is it the colour you want?")
WHY_DROP = tr("Molten wax looks darker than set wax; a set drop tells, and only darker can still be had.")
SCENT = tr("Off the flame for scent: its vapour can catch fire. Follow the supplier's sheet.")


def jug_due(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> bool:
    """Whether a jug is to be drawn now."""
    return any(act.due <= now and act.id not in state.waived for act in next_jug(state, outlook, wanted, now))


def next_jug(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> list[Act]:
    """The jug of the next layer that has none, from `now` on; one at a time."""
    missing = [
        need for need in wanted if not need.drawn and ActId("jug", layer=need.layer) not in state.waived
    ]
    at_it = state.burner == "off" and any(now - jug.drawn_at < AT_JUGS for jug in state.jugs.values())
    if not missing:
        # Never a reason to put the flame out, but drawn while it is out anyway: one warm-up less.
        others = [need for need in wanted if not is_plug(state, need)]
        at_it = at_it and not any(need.at + need.keeps - now < HANDS["jug"] for need in others)
        following = _following(state) if at_it and outlook.warmer_than(outlook.pour_c - COOLER, now) else None
        if following is None:
            return []
        # A plug can wait for it, and then one flame serves the plug, the rest of its layer and the jug that waits.
        act = _draw(outlook, following, now)
        plugs = any(need.at <= now for need in wanted if need not in others)
        plugs = plugs and all(drop.id in state.waived for drop in colour_drops(state, outlook, now, now))
        return [replace(act, urgency=Urgency.QUICK) if plugs else act]
    need = min(missing, key=lambda n: (n.layer, n.at))
    at = need.at if need.at < float("inf") else now
    ready = _ready(state, outlook, now)
    first = float("inf") if still_out(state, outlook.sheet) else ready
    return [_draw(outlook, need.layer, max(ready, now, at - jug_lead(need)) if state.jugs else first)]


def is_plug(state: State, need: PourNeed) -> bool:
    """Whether a need is of plugs alone: they go into empty moulds, where no wax sets meanwhile."""
    coming = [state.next_pour(letter) for letter in need.moulds]
    return all(pour is not None and pour.part == "plug" for pour in coming)


def _ready(state: State, outlook: Outlook, now: float) -> float:
    """When the pot is hot enough to draw a jug from. Where a low flame has held it a little less will do, for the
    jug goes on being warmed in its bath."""
    ready = outlook.pot_ready(now)
    # Whoever has put the flame out for a jug draws it, though the pot cools meanwhile: colour and scent take minutes.
    at_it = state.burner == "off" and now - state.burner_since < AT_JUGS
    flame = state.burner_spans[-1].what if state.burner_spans else ""
    # Put out at its ceiling a pot may never get all the way: what does for colour and scent does.
    short = flame == "on" and at_it and ready == float("inf")
    held = state.burner == "low" or (state.burner == "off" and (flame == "low" or short))
    if held and outlook.warmer_than(outlook.pour_c - (2 if at_it else 1) * COOLER, now):
        return now
    return ready


def _draw(outlook: Outlook, layer: int, due: float) -> Act:
    """Drawing, colouring and scenting the jug of a layer; of a dyed one with the look at a drop on white paper."""
    like = outlook.state.plan.layers[layer]
    dyed, scented = like.dye_load > 0, like.scent_load > 0 or like.scent_by_eye
    says, made = jug_says(outlook, layer), ev.JugMade(layer=layer, planned_kg=outlook.jug(layer).wax)
    return Act(
        id=ActId("jug", layer=layer),
        kind="jug",
        word=jug_word("jug", outlook.state.plan, layer),
        layer=layer,
        says=f"{says} {DROP_TOO}" if dyed else says,
        why=f"{WHY_JUG}{_less(outlook, layer)}{f' {WHY_DROP}' if dyed else ''}",
        due=due,
        caution=SCENT if scented else "",
        records=(made, colour_seen(outlook, layer)) if dyed else (made,),
        place=("jug", ""),
        urgency=Urgency.USUAL,
    )


def _following(state: State) -> int | None:
    """The layer whose jug is drawn next: the one after those that have a jug, which then waits warm. None where a
    jug waits already, or where no layer needs one."""
    layer = len(state.jugs)
    coming = [pour.layer for letter in state.moulds if (pour := state.next_pour(letter)) is not None]
    waiting = any(drawn > min(coming, default=0) for drawn in state.jugs)
    if not coming or waiting or layer in state.jugs or not 0 < layer < len(state.plan.layers):
        return None
    return None if ActId("jug", layer=layer) in state.waived else layer


def _less(outlook: Outlook, layer: int) -> str:
    """Why a jug is not what the weigh sheet says; empty where it is."""
    planned, wax = outlook.paper.jug(layer).wax, outlook.jug(layer).wax
    if wax == planned:
        return ""
    past = kg_past_line(outlook.state, layer) > 0
    why = tr("since more went in below than its line takes") if past else tr("after what you left out")
    return tr(
        " The weigh sheet has {mass}; {wax} is wanted {why}.",
        mass=outlook.mass(planned),
        wax=tr("less") if wax < planned else tr("more"),
        why=why,
    )


def colour_seen(outlook: Outlook, layer: int) -> ev.Waived:
    """The fact that somebody looked at a set drop of a jug and left its colour as it was."""
    return ev.Waived(act=str(ActId("drop", layer=layer)), why=f"{outlook.colour(layer)}: colour seen")


def colour_drops(state: State, outlook: Outlook, now: float, free: float) -> list[Act]:
    """A drop of every dyed jug that was noted without one is looked at before its wax is in a mould, once the hands are
    `free` for it."""
    poured = {pour.layer for mould in state.moulds.values() for pour in mould.pours}
    acts = []
    for layer, jug in sorted(state.jugs.items()):
        if layer in poured or layer >= len(state.plan.layers) or state.plan.layers[layer].dye_load <= 0:
            continue
        colour = outlook.colour(layer)
        drop = ActId("drop", layer=layer)
        seen = colour_seen(outlook, layer)
        acts.append(
            Act(
                id=drop,
                kind="drop",
                word=jug_word("drop", state.plan, layer),
                layer=layer,
                says=tr("Let a drop of {colour} set on white paper and look at its colour.", colour=colour),
                why=WHY_DROP,
                due=jug.made_at if free <= now else max(jug.made_at, free),
                question=Question(
                    tr("The set drop of {colour}:", colour=colour),
                    (
                        Choice("r", tr("right"), (seen,)),
                        Choice(
                            "a", tr("too pale: dye added"), then=dye_question(state, outlook, layer, (seen,))
                        ),
                        Choice("p", tr("too dark: left so"), (ev.Noted(text=f"{colour} is too dark."), seen)),
                    ),
                ),
                place=("jug", ""),
                urgency=Urgency.USUAL,
            )
        )
    return acts
