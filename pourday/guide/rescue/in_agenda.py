"""The acts on the moulds as rescues change them.

A choice gets the ways out with their figures, a pour that was broken off is planned anew, and what a chosen
rescue asks for takes the place of what the plan would.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Question, Urgency
from pourday.guide.acts.cautions import hot_wax
from pourday.guide.outlook.absence import last_gap
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.follow_up import follow_ups, under_rescue
from pourday.guide.rescue.options import broken_off, option_question
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.looks import LOOK_WORDS
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State

LAST_ACTS = ("demould", "cure", "finish")
"""What a mould asks for at its end, whatever was broken off in it."""
POURED_SO = ("carry on", "accept")
"""Rescue ways after which the pour is made as it was due."""
SEEN = {
    "cold": tr("is cold but tight to the wall: warm it first, or accept a soft line."),
    "pulled away": tr(
        "has pulled from the wall: a hotter pour alone runs down the gap. Warm the whole mould, or melt it again."
    ),
}
"""Looks that leave a choice, as a sentence says them."""
NOT = {
    "cold": tr("Poured as planned, the colours may not fuse."),
    "pulled away": tr("Not: pour hotter. The join never holds there."),
}


def with_rescues(
    state: State, outlook: Outlook, acts: Sequence[Act], now: float, persons: PersonsClock | None = None
) -> list[Act]:
    """These acts, each on one mould, as rescues change them; see the top of this module."""
    waiting = {letter for letter in state.moulds if under_rescue(state, letter)}
    short = {
        letter
        for letter in state.moulds
        if letter not in waiting and broken_off(state, outlook, letter) and outlook.mould(letter) is not None
    }
    changed = []
    for act in acts:
        if act.moulds in waiting or (act.moulds in short and act.kind not in LAST_ACTS):
            continue
        changed.append(_as_chosen(state, outlook, act, now))
    changed += [_planned_anew(state, outlook, letter, now) for letter in sorted(short)]
    return [*changed, *follow_ups(state, outlook, persons)]


def _as_chosen(state: State, outlook: Outlook, act: Act, now: float) -> Act:
    """One act as it stands after what was seen and chosen.

    A choice gets its ways, or becomes the pour that was chosen. A pour becomes a choice where its plug went cold,
    or where its window was missed while nobody was here.
    """
    rescue = state.rescue(act.moulds) if len(act.moulds) == 1 else None
    # What was chosen for a plug that went cold lets its seal be seen, as its layer be poured.
    same = rescue is not None and (act.kind == "look under" or rescue.fact.layer == act.layer)
    pours_as_is = rescue is not None and rescue.fact.option in POURED_SO and same
    if act.kind in ("look under", "pour") and not pours_as_is and _plug_went_cold(state, act):
        cold = replace(
            act, id=ActId("decide plug", act.moulds), kind="decide", word=tr("DECIDE"), records=(), caution=""
        )
        return _with_ways(state, outlook, cold, now)
    if act.kind == "decide" and act.moulds:
        return _pour(outlook, act) if pours_as_is else _with_ways(state, outlook, act, now)
    if act.kind == "pour" and not pours_as_is and rescue is None and _missed_on_return(state, outlook, act):
        late = tr(
            "{moulds} {look_words}, but its window was missed while nobody was here.",
            moulds=act.moulds,
            look_words=LOOK_WORDS["firm"],
        )
        return _with_ways(
            state, outlook, replace(act, kind="decide", word=tr("DECIDE"), says=late, records=()), now
        )
    return act


def _plug_went_cold(state: State, act: Act) -> bool:
    """Whether a plug was seen to be cold or off the wall, so that its layer does not simply go on top."""
    if len(act.moulds) != 1:
        return False
    mould = state.moulds[act.moulds]
    last, look = mould.last_pour, mould.look
    return (
        last is not None and last.part == "plug" and look is not None and look.t > last.t and look.cue in SEEN
    )


def _missed_on_return(state: State, outlook: Outlook, act: Act) -> bool:
    """Whether a mould seen firm after a return had its window closed before it, and nothing was poured since."""
    gap, forecast, mould = last_gap(state), outlook.mould(act.moulds), state.moulds[act.moulds]
    last, look = mould.last_pour, mould.look
    if (
        gap is None
        or gap.end is None
        or forecast is None
        or not act.layer
        or last is None
        or last.t > gap.end
    ):
        return False
    since_back = look is not None and look.t >= gap.end
    return since_back and not forecast.empty and forecast.closes is not None and gap.end > forecast.closes


def _pour(outlook: Outlook, act: Act) -> Act:
    """The pour that a choice came to."""
    letter, layer = act.moulds, act.layer or 0
    poured = ev.Poured(
        mould=letter, layer=layer, part="layer", planned_kg=outlook.portion(letter, layer, "layer")
    )
    return replace(
        act,
        id=ActId("pour", letter, layer),
        kind="pour",
        word=tr("POUR"),
        says="",
        why=tr("You chose to pour it as it stands."),
        caution=hot_wax(outlook.state, "layer"),
        records=(poured,),
        question=None,
        place=("jug", ""),
    )


def _with_ways(state: State, outlook: Outlook, act: Act, now: float) -> Act:
    """A choice with the ways that there are now; as it is where none can be worked out yet."""
    question = option_question(state, outlook, act.moulds, now)
    if question is None:
        return act
    look = state.moulds[act.moulds].look
    cue = look.cue if look is not None else "wet"
    # What it comes to in figures takes too long for an agenda; the ways have them.
    no = NOT.get(cue, "")
    says = act.says
    if cue in SEEN:
        says = tr(
            "{moulds} {seen} “Done” shows the ways that are left, with figures.",
            moulds=act.moulds,
            seen=SEEN[cue],
        )
    return replace(act, says=says, question=question, caution=f"{no} {act.caution}".strip())


def _planned_anew(state: State, outlook: Outlook, letter: str, now: float) -> Act:
    """The choice for a mould whose last pour stopped short of its line."""
    last = state.moulds[letter].last_pour
    assert last is not None
    colour = outlook.colour(last.layer)
    return Act(
        id=ActId("decide short", letter, nth=last.seq),
        kind="decide",
        word=tr("DECIDE"),
        moulds=letter,
        layer=last.layer,
        says=tr(
            "{colour} in {letter} stopped short of its line: it is planned anew, not poured on.",
            colour=colour,
            letter=letter,
        ),
        why=tr("New wax on a skin of the same colour shows as a line; where it stands, it is the layer."),
        due=last.t,
        question=option_question(state, outlook, letter, now) or Question(f"{letter}:", ()),
        place=("surface", letter),
        urgency=Urgency.CLOSING,
    )
