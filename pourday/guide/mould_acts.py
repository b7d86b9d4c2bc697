"""What each mould asks for next, from what was poured into it and what was seen on it.

One mould at a time and in the order of the trade: plug, look underneath, layers with a look before
each, relief holes, top-up, overnight, demould, cure. The clock only ever says "go and look".
"""

from __future__ import annotations

from dataclasses import replace

from pourday.forecast.spread import Spread
from pourday.guide.act import Act, Choice, Question
from pourday.guide.mould_end import curing, demould
from pourday.guide.mould_looks import closing, look_act, next_look
from pourday.guide.mould_outlook import MouldOutlook, planned_c
from pourday.guide.outlook import Outlook
from pourday.guide.persons_clock import PersonsClock
from pourday.guide.pour_heat import hottest_c
from pourday.guide.words import clock
from pourday.plan.own_layers import next_layer
from pourday.session import events as ev
from pourday.session.state import MouldState, State

MINUTE = 60.0
HOUR = 3600.0
DAY = 24 * HOUR

SEAL_WAIT = Spread(5 * MINUTE, 8 * MINUTE, 15 * MINUTE)
"""From the plug pour until it has set at the hole. From memory of the trade, not measured."""
WEEP_WAIT = 5 * MINUTE
"""Until a weeping seal is looked at again. An estimate of ours."""
RELIEF_EVERY = 30 * MINUTE
"""Relief holes close as a skin forms; reopened every 20-40 min (common practice, no source)."""
TOP_UP_AFTER = HOUR
"""A top-up earlier than this sinks again (common practice, no source: 1-4 h after the last pour)."""
LOOK_TO_TOP_UP = 20 * MINUTE
"""From the look before a top-up to its being made, the reserve to be heated. An estimate of ours."""
HOT_WAX = (
    "Hot wax burns: gloves, steady hands, flame well away. Follow the supplier's sheet and your local rules."
)


def mould_acts(state: State, outlook: Outlook, persons: PersonsClock | None = None) -> list[Act]:
    """The next act of every mould, in the order of their letters; a finished mould has none.

    Each falls due when its mould is ready for it; whether there is hot wax then is the stove's affair.
    """
    acts = []
    for letter in sorted(state.moulds):
        acts += _next(state, outlook, state.moulds[letter], persons or PersonsClock())
    return [act for act in acts if act.id not in state.waived]


def _next(state: State, outlook: Outlook, mould: MouldState, persons: PersonsClock) -> list[Act]:
    last = mould.last_pour
    final = outlook.sheet.top_up(mould.letter).layer
    if mould.demoulded_at is not None:
        return curing(outlook, mould, persons)
    if last is None:
        return [_first_pour(state, outlook, mould)]
    if last.part == "plug":
        return [_after_plug(outlook, mould)]
    forecast = outlook.mould(mould.letter)
    if forecast is None:
        return []  # Its heat is being worked out; a moment later it is here.
    if last.part == "top-up" or (last.layer == final and f"top-up {mould.letter}" in state.waived):
        return [demould(mould, forecast, persons)]
    if last.layer < final:
        return [_by_night(_between_layers(outlook, mould, forecast), persons)]
    return _after_last_layer(outlook, mould, forecast, persons)


def _poured(outlook: Outlook, mould: MouldState, layer: int, part: ev.Part) -> ev.Poured:
    return ev.Poured(
        mould=mould.letter, layer=layer, part=part, planned_kg=outlook.portion(mould.letter, layer, part)
    )


def _first_pour(state: State, outlook: Outlook, mould: MouldState) -> Act:
    plug, layer = state.plan.plug > 0, next_layer(state.plan, mould.letter, None) or 0
    part: ev.Part = "plug" if plug else "layer"
    return Act(
        id=f"{part} {layer} {mould.letter}",
        kind="plug" if plug else "pour",
        word="PLUG" if plug else "POUR",
        moulds=mould.letter,
        layer=layer,
        says="",
        why=(
            "A small first pour sets in the wick hole and seals it before the mould is full."
            if plug
            else "The first jug is ready and the mould is empty."
        ),
        due=state.fixed_at or state.opened_at,
        caution=HOT_WAX,
        files=(_poured(outlook, mould, layer, part),),
        place=("jug", ""),
        urgency=4,
    )


def _after_plug(outlook: Outlook, mould: MouldState) -> Act:
    last = mould.last_pour
    assert last is not None
    if mould.weeps is False:
        forecast = outlook.mould(mould.letter)
        return Act(
            id=f"pour {last.layer} {mould.letter}",
            kind="pour",
            word="POUR",
            moulds=mould.letter,
            layer=last.layer,
            says="",
            why="The plug is dry underneath and still warm, so the rest of the first layer fuses with it.",
            due=last.t + SEAL_WAIT.early,
            closes=forecast.closes if forecast and not forecast.empty else None,
            caution=HOT_WAX,
            files=(_poured(outlook, mould, last.layer, "layer"),),
            place=("jug", ""),
            urgency=4,
        )
    again = mould.weeps is True
    return Act(
        id=f"look under {mould.letter}",
        kind="look under",
        word="LOOK UNDER",
        moulds=mould.letter,
        says=(
            f"{mould.letter} weeps: press a cold wet cloth on the outside at the hole, keep the tray under, "
            "then look again."
            if again
            else f"Look underneath {mould.letter}: no wax may weep from the wick hole."
        ),
        why="A seal that weeps now runs when the mould is full.",
        due=last.t + (SEAL_WAIT.likely + WEEP_WAIT if again else SEAL_WAIT.likely),
        window=None if again else SEAL_WAIT.after(last.t),
        caution="Keep hands from under a mould that runs." if again else "",
        question=Question(
            f"Underneath {mould.letter}:",
            (
                Choice("d", "dry", (ev.SealSeen(mould=mould.letter, weeps=False),)),
                Choice("w", "it weeps", (ev.SealSeen(mould=mould.letter, weeps=True),)),
            ),
        ),
        place=("jug", ""),
        urgency=2 if again else 4,
    )


def _between_layers(outlook: Outlook, mould: MouldState, forecast: MouldOutlook) -> Act:
    last = mould.last_pour
    assert last is not None
    look = mould.look
    if look is None or look.cue in ("wet", "skinned"):
        return next_look(forecast, mould, "The next colour needs a surface that carries it.")
    layer = next_layer(outlook.state.plan, mould.letter, last.layer)
    assert layer is not None
    return _next_layer(outlook, mould, forecast, layer)


def _by_night(act: Act, persons: PersonsClock) -> Act:
    """A layer that falls due in the quiet hours says so: wax does not wait for the morning."""
    if not persons.quiet(act.due):
        return act
    said = "That is in your quiet hours. Left until the morning it is cold: then warm it before you pour."
    return replace(act, caution=f"{said} {act.caution}".strip())


def _next_layer(outlook: Outlook, mould: MouldState, forecast: MouldOutlook, layer: int) -> Act:
    look = mould.look
    assert look is not None
    pour = Act(
        id=f"pour {layer} {mould.letter}",
        kind="pour",
        word="POUR",
        moulds=mould.letter,
        layer=layer,
        says="",
        why=f"{mould.letter} was seen firm at {clock(look.t)}; the colours fuse while the layer is warm.",
        due=look.t,
        closes=closing(forecast, mould),
        caution=HOT_WAX,
        files=(_poured(outlook, mould, layer, "layer"),),
        place=("jug", ""),
        urgency=3,
    )
    if look.cue == "firm":
        return pour
    return _too_cold(pour, look.cue)


def _too_cold(pour: Act, cue: ev.Cue) -> Act:
    letter = pour.moulds
    if cue == "cold":
        says = (
            f"{letter} is cold but tight. Warm its surface and the outside to 40-50 °C, scratch lightly, then pour "
            "at the hot end: 5 mm first, the rest after a minute or two. Or accept a soft line."
        )
    else:
        says = (
            f"{letter} has pulled from the wall: a hotter pour alone runs down the gap. Warm the whole mould at "
            "45-50 °C until it seats again, or demould and melt that wax as a base colour, or accept wax behind it."
        )
    return Act(
        id=f"decide {pour.layer} {letter}",
        kind="decide",
        word="DECIDE",
        moulds=letter,
        layer=pour.layer,
        says=says,
        why="Seen at the last look. Rescues are common practice, no source; what you decide goes on record.",
        due=pour.due,
        question=Question(
            f"{letter}:",
            (
                Choice("w", "warmed; it looks firm now", (ev.Looked(mould=letter, cue="firm"),)),
                Choice("p", "poured as it was", pour.files),
                Choice("l", "look again", (ev.Looked(mould=letter, cue="skinned"),)),
            ),
        ),
        place=("surface", letter),
        urgency=3,
    )


def _after_last_layer(
    outlook: Outlook, mould: MouldState, forecast: MouldOutlook, persons: PersonsClock
) -> list[Act]:
    last = mould.last_pour
    assert last is not None
    acts = []
    opened = mould.relieved_at[-1] if mould.relieved_at and mould.relieved_at[-1] > last.t else None
    firm = mould.look is not None and mould.look.cue in ("firm", "cold", "pulled away")
    if not firm:
        holes = _relief(outlook, mould, forecast, opened)
        # What was not opened before bed has set by the morning.
        acts += [] if persons.quiet(holes.due) else [holes]
    after = last.t + TOP_UP_AFTER
    if firm and mould.look is not None:
        ready = max(after, mould.look.t)
        due, why = persons.before_bed(ready, ready, since=last.t)
        return [*acts, _top_up(outlook, mould, due, why)]
    waiting = next_look(forecast, mould, "The top-up fills the well once the top is firm.")
    due, why = persons.before_bed(
        max(waiting.due, after), max(after, forecast.opens.early), LOOK_TO_TOP_UP, last.t
    )
    return [*acts, look_act(mould, due, forecast.opens, None, f"{waiting.why}{why}")]


def _relief(outlook: Outlook, mould: MouldState, forecast: MouldOutlook, opened: float | None) -> Act:
    depth = outlook.relief_depth(mould.letter)
    return Act(
        id=f"relief {mould.letter} {len(mould.relieved_at)}",
        kind="relief",
        word="HOLES",
        moulds=mould.letter,
        says=(
            f"{'Reopen' if opened else 'Open'} 2-4 relief holes beside the wick of {mould.letter}, "
            f"{outlook.length(depth)} deep at most: within this layer, never through the seam below."
        ),
        why="Air behind the shrinking core keeps it from dragging the wick or hiding a cavern.",
        due=opened + RELIEF_EVERY if opened else forecast.skinned.likely,
        window=None if opened else forecast.skinned,
        files=(ev.Relieved(mould=mould.letter, depth=round(depth, 4)),),
        place=("surface", mould.letter),
        urgency=5,
    )


def _top_up(outlook: Outlook, mould: MouldState, due: float, when: str) -> Act:
    layer = outlook.sheet.top_up(mould.letter).layer
    kg = outlook.portion(mould.letter, layer, "top-up")
    hot = outlook.degrees(planned_c(outlook.sheet, mould.letter, layer, "top-up"))
    pulled = mould.look is not None and mould.look.cue == "pulled away"
    return Act(
        id=f"top-up {mould.letter}",
        kind="top-up",
        word="TOP UP",
        moulds=mould.letter,
        layer=layer,
        says=(
            f"Fill the well and holes of {mould.letter}: up to {outlook.mass(kg)} at "
            f"{hot}, no higher than {outlook.length(0.006)} below the first line."
            + (" It has pulled away: only the well, nothing down the gap." if pulled else "")
        ),
        why=f"The wax sinks as it sets; the set weight is reached by this second pour.{when}",
        due=due,
        caution=HOT_WAX,
        files=(ev.Poured(mould=mould.letter, layer=layer, part="top-up", planned_kg=kg),),
        place=("jug", ""),
        urgency=4,
    )


def pour_sentence(outlook: Outlook, act: Act) -> str:
    """What a pour into one or several moulds says: each weight, each level, one temperature."""
    assert act.layer is not None
    colour = outlook.colour(act.layer)
    first = act.kind == "plug"
    amounts = [
        f"{outlook.mass(fact.planned_kg)} into {fact.mould}"
        + ("" if first else f", to {outlook.length(outlook.level(fact.mould, act.layer))} below its rim")
        for fact in act.files
        if isinstance(fact, ev.Poured)
    ]
    return f"{'Plug' if first else 'Pour'} {colour} at {_how_hot(outlook, act)}: {'; '.join(amounts)}."


def _how_hot(outlook: Outlook, act: Act) -> str:
    """What one jug may be for all moulds of a pour, and what it should rather be."""
    asked = hottest_c(outlook.state, outlook, act)
    if act.between is None:
        return outlook.degrees(asked)
    low, high = act.between
    return f"{outlook.degrees(min(asked, high))} ({outlook.degrees(low)} to {outlook.degrees(high)} will do)"
