"""What each mould asks for next, from what was poured into it and what was seen on it.

One mould at a time and in the order of the trade: plug, look underneath, layers with a look before
each, relief holes, top-up, overnight, demould, cure. The clock only ever says "go and look".
"""

from __future__ import annotations

from dataclasses import replace

from pourday.forecast.spread import Quantiles
from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.cautions import hot_wax
from pourday.guide.acts.durations import LITTLE_LIQUID, LOOK_TO_TOP_UP, RELIEF_EVERY, SEAL_WAIT
from pourday.guide.acts.mould_end import WIDE, cold_in_its_vessel, curing, demould
from pourday.guide.acts.mould_looks import TOO_SOON, closing, cue_question, look_act, next_look
from pourday.guide.acts.pour_heat import hottest_c
from pourday.guide.acts.wording import (
    WHY_ON_PLUG,
    WHY_PLUG,
    WHY_RELIEF,
    WHY_UNDER,
    block_word,
    look_says,
    relief_says,
    under_says,
)
from pourday.guide.outlook.moulds import MouldOutlook, on_bench
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.room import (
    crusted_at,
    liquid_share,
    next_top_up,
    owed_in_the_end,
    runs_to,
    top_up_soonest,
)
from pourday.guide.outlook.wax_left import wax_left
from pourday.language import tr
from pourday.plan.own_layers import mould_of, stays
from pourday.plan.pour_order import ToPour
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.looks import LOOK_WORDS
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import MouldState, State
from pourday.times import MINUTE, clock, letters, mould_key

WEEP_WAIT = 5 * MINUTE
"""Until a weeping seal is looked at again. An estimate of ours."""
RELIEF_SHORT = 0.012
"""m that relief holes end above the lowest liquid (common practice, no source: 12-25 mm)."""
WARM_GLASS = tr("Warm the glass to the hand first and keep it off cold stone: cold glass can crack.")


def mould_acts(state: State, outlook: Outlook, persons: PersonsClock | None = None) -> list[Act]:
    """The next act of every mould, in the order of their letters; a finished mould has none.

    Each falls due when its mould is ready for it; whether there is hot wax then is the stove's affair.
    """
    acts = []
    for letter in sorted(on_bench(state) & state.moulds.keys()):
        acts += _next(state, outlook, state.moulds[letter], persons or PersonsClock())
    return [act for act in acts if act.id not in state.waived]


def _next(state: State, outlook: Outlook, mould: MouldState, persons: PersonsClock) -> list[Act]:
    """What one mould asks for next: nothing, one act, or holes and a look."""
    last, coming = mould.last_pour, state.next_pour(mould.letter)
    if mould.demoulded_at is not None:
        return curing(outlook, mould, persons, mould.demoulded_at)
    if last is None:
        return [] if coming is None else [_first_pour(state, outlook, mould, coming)]
    if last.part == "plug" and coming is not None:
        return [_after_plug(state, outlook, mould)]
    forecast = outlook.mould(mould.letter)
    if forecast is None:
        return []  # Its heat is being worked out; a moment later it is here.
    due = next_top_up(outlook, mould.letter) if coming is not None and coming.part == "top-up" else None
    if due is not None:
        return _after_last_layer(outlook, mould, forecast, due, persons)
    done = coming is None or coming.part == "top-up"
    if done and stays(state.plan, mould.letter):
        since = cold_in_its_vessel(mould, forecast, persons)
        return curing(outlook, mould, persons, since, tr("when it is cold"))
    if done or coming is None:
        return [demould(mould, forecast, persons)]
    return [_by_night(_between_layers(state, outlook, mould, forecast, coming.layer), persons)]


def _poured(outlook: Outlook, mould: MouldState, layer: int, part: ev.Part) -> ev.Poured:
    """The fact that a pour was made, as the plan has it."""
    return ev.Poured(
        mould=mould.letter, layer=layer, part=part, planned_kg=outlook.portion(mould.letter, layer, part)
    )


def _first_pour(state: State, outlook: Outlook, mould: MouldState, coming: ToPour) -> Act:
    """The first wax into an empty mould: its plug, or its first layer."""
    layer, part = coming
    plug = part == "plug"
    return Act(
        id=ActId(part, mould.letter, layer),
        kind="plug" if plug else "pour",
        word=tr("PLUG") if plug else tr("POUR"),
        moulds=mould.letter,
        layer=layer,
        says="",
        why=(WHY_PLUG if plug else tr("The first jug is ready and the mould is empty.")),
        due=state.fixed_at or state.opened_at,
        caution=f"{WARM_GLASS} {hot_wax(state, part)}"
        if _of_glass(state, mould.letter)
        else hot_wax(state, part),
        records=(_poured(outlook, mould, layer, part),),
        place=("jug", ""),
        urgency=Urgency.USUAL,
    )


def _of_glass(state: State, letter: str) -> bool:
    """Whether a mould is of glass, which hot wax can crack."""
    return mould_of(state.plan, letter).material == "glass"


def _after_plug(state: State, outlook: Outlook, mould: MouldState) -> Act:
    """The look underneath, and once that was dry the rest of the first layer."""
    last = mould.last_pour
    assert last is not None
    unseen = mould.weeps is None and ActId("look under", mould.letter) in state.waived
    if mould.weeps is False or unseen:
        forecast = outlook.mould(mould.letter)
        return Act(
            id=ActId("pour", mould.letter, last.layer),
            kind="pour",
            word=tr("POUR"),
            moulds=mould.letter,
            layer=last.layer,
            says="",
            why=(tr("You left out the look underneath.") if unseen else WHY_ON_PLUG),
            due=last.t + SEAL_WAIT.early,
            closes=forecast.closes if forecast and not forecast.empty else None,
            caution=tr("Nobody saw whether its seal holds. {hot_wax}", hot_wax=hot_wax(state, "layer"))
            if unseen
            else hot_wax(state, "layer"),
            records=(_poured(outlook, mould, last.layer, "layer"),),
            place=("jug", ""),
            urgency=Urgency.USUAL,
        )
    return _look_under(mould, last.t)


def _look_under(mould: MouldState, plugged_at: float) -> Act:
    """The look whether a plug holds; a while later again where it weeps."""
    again = mould.weeps is True
    return Act(
        id=ActId("look under", mould.letter),
        kind="look under",
        word=tr("LOOK UNDER"),
        moulds=mould.letter,
        says=(
            tr(
                "{letter} weeps: press a cold wet cloth on the outside at the hole, keep the tray under, then look again.",
                letter=mould.letter,
            )
            if again
            else under_says(mould.letter)
        ),
        why=WHY_UNDER,
        due=(mould.seal_seen_at or plugged_at) + WEEP_WAIT if again else plugged_at + SEAL_WAIT.likely,
        window=None if again else SEAL_WAIT.after(plugged_at),
        caution=tr("Keep hands from under a mould that runs.") if again else "",
        question=under_question(mould.letter),
        place=("jug", ""),
        urgency=Urgency.QUICK if again else Urgency.USUAL,
    )


def under_question(moulds: str) -> Question:
    """What is seen underneath one mould, or several looked at in one go."""
    dry = tuple(ev.SealSeen(mould=letter, weeps=False) for letter in moulds)
    weeps = [Choice(mould_key(x), tr("{x} weeps", x=x), (ev.SealSeen(mould=x, weeps=True),)) for x in moulds]
    asks = tr("Underneath {letters}:", letters=letters(moulds))
    if len(moulds) == 1:
        return Question(asks, (Choice("y", tr("dry"), dry), replace(weeps[0], key="w", label=tr("it weeps"))))
    # The others are asked for again, each by itself.
    which = Question(tr("Which one weeps?"), weeps)
    return Question(asks, (Choice("y", tr("all dry"), dry), Choice("w", tr("one weeps"), then=which)))


def _between_layers(
    state: State, outlook: Outlook, mould: MouldState, forecast: MouldOutlook, layer: int
) -> Act:
    """The look or the pour that comes next, of a layer on another."""
    look = mould.look
    if look is not None and look.cue not in TOO_SOON:
        return _next_layer(outlook, mould, forecast, layer, look.cue, look.t)
    act = next_look(forecast, mould, tr("The next colour needs a surface that carries it."))
    waived = act.id in state.waived
    return (
        _next_layer(outlook, mould, forecast, layer, None, act.due) if waived else replace(act, layer=layer)
    )


def _by_night(act: Act, persons: PersonsClock) -> Act:
    """A layer that falls due in the quiet hours says so: wax does not wait for the morning."""
    if not persons.quiet(act.due):
        return act
    said = tr("That is in your quiet hours. Left until the morning it is cold: then warm it before you pour.")
    return replace(act, caution=f"{said} {act.caution}".strip())


def _next_layer(
    outlook: Outlook, mould: MouldState, forecast: MouldOutlook, layer: int, cue: ev.Cue | None, due: float
) -> Act:
    """The pour of a layer, by what was seen at `due`; by the forecast alone where the look was left out."""
    seen = (
        tr(
            "{letter} was seen at {clock}: it {look_words}",
            letter=mould.letter,
            clock=clock(due),
            look_words=LOOK_WORDS["firm"],
        )
        if cue
        else tr("You left out the look at {letter}; this is the time of the forecast", letter=mould.letter)
    )
    pour = Act(
        id=ActId("pour", mould.letter, layer),
        kind="pour",
        word=tr("POUR"),
        moulds=mould.letter,
        layer=layer,
        says="",
        why=tr("{seen}; the colours fuse while the layer is warm.", seen=seen),
        due=due,
        closes=closing(forecast, mould),
        caution=hot_wax(outlook.state, "layer"),
        records=(_poured(outlook, mould, layer, "layer"),),
        place=("jug", ""),
        urgency=Urgency.CLOSING,
    )
    return pour if cue in ("firm", None) else _too_cold(outlook, pour, cue)


def _too_cold(outlook: Outlook, pour: Act, cue: ev.Cue) -> Act:
    """The choice that takes the place of a pour onto a layer that went too cold, or came off the wall."""
    letter, warm = pour.moulds, outlook.degrees_between
    if cue == "cold":
        says = tr(
            "{letter} is cold but tight. Warm its surface and the outside to {warm}, scratch lightly, then pour at the hot end: {length} first, the rest after a minute or two. Or accept a soft line.",
            letter=letter,
            warm=warm(40.0, 50.0),
            length=outlook.length(0.005),
        )
    else:
        says = tr(
            "{letter} has pulled from the wall: a hotter pour alone runs down the gap. Warm the whole mould at {warm} until it seats again, or demould and melt that wax as a base colour, or accept wax behind it.",
            letter=letter,
            warm=warm(45.0, 50.0),
        )
    return Act(
        id=ActId("decide", letter, pour.layer),
        kind="decide",
        word=tr("DECIDE"),
        moulds=letter,
        layer=pour.layer,
        says=says,
        why=tr(
            "Seen at the last look. Rescues are common practice, no source; what you decide goes on record."
        ),
        due=pour.due,
        question=Question(
            f"{letter}:",
            (
                Choice(
                    "w",
                    tr("warmed; now it {look_words}", look_words=LOOK_WORDS["firm"]),
                    (ev.Looked(mould=letter, cue="firm"),),
                ),
                Choice("p", tr("poured as it was"), pour.records),
                Choice("l", tr("look again"), then=cue_question(letter)),
            ),
        ),
        place=("surface", letter),
        urgency=Urgency.CLOSING,
    )


def _after_last_layer(
    outlook: Outlook, mould: MouldState, forecast: MouldOutlook, window: Quantiles, persons: PersonsClock
) -> list[Act]:
    """Holes, and the next of the top-ups: the first after a look, the others once enough is missing again."""
    last = mould.last_pour
    assert last is not None
    # Any crust will do: the top-up goes through holes in it, in the same colour.
    seen = mould.look is not None and mould.look.cue != "wet"
    topped = last.part == "top-up"
    looked = ActId("look", mould.letter, nth=len(mould.pours)) in outlook.state.waived
    ready = max(window.likely, mould.look.t) if seen and mould.look is not None else window.likely
    soonest = min(window.early, ready, max(last.t, top_up_soonest(outlook, mould.letter)))
    waiting = next_look(
        forecast, mould, tr("The top-up fills the well once the top carries wax."), top_up=True
    )
    if seen or topped or looked:
        due, why = persons.before_bed(ready, soonest, since=last.t)
        act = _top_up(outlook, mould, due, window, why)
    else:
        due, why = persons.before_bed(max(waiting.due, ready), soonest, LOOK_TO_TOP_UP, last.t)
        act = look_act(mould, due, forecast, None, f"{waiting.why}{why}")
        act = replace(act, layer=last.layer)
    opened = mould.relieved_at[-1] if mould.relieved_at and mould.relieved_at[-1] > last.t else None
    if (opened is not None or topped) and 2 * forecast.heat.case.vessel.radius <= WIDE:
        # Only a large pillar is opened again before its top-up, which opens them all.
        return [act]
    holes = _relief(outlook, mould, opened)
    walk = max(holes.due, waiting.due)
    on_the_walk = walk <= due and walk < persons.ends(last.t)
    if act.kind == "look" and on_the_walk and _runs(outlook, mould.letter, walk):
        # Whoever goes to make the holes sees the top, too: the top-up then needs no walk of its own.
        due = walk
        act = _with_holes(replace(act, due=due), holes)
    # What was not opened before bed has set by the morning; whoever comes soon to look or to top up opens them then.
    late = persons.quiet(holes.due) or holes.due > due - RELIEF_EVERY
    late = late or (seen and mould.look is not None and holes.due <= mould.look.t)
    return [holes, act] if not late and _runs(outlook, mould.letter, holes.due) else [act]


def _runs(outlook: Outlook, letter: str, at: float) -> bool:
    """Whether enough of a mould is liquid at a time that holes are worth making, even without a top-up."""
    return (liquid_share(outlook, letter, at) or 0.0) >= LITTLE_LIQUID


def _with_holes(look: Act, holes: Act) -> Act:
    """A look before a top-up that takes the relief holes along: `records` has their facts for its answers."""
    return replace(
        look,
        says=look_says(look.moulds, holes=True),
        question=cue_question(look.moulds, holes=look.moulds),
        records=holes.records,
        caution=f"{holes.caution} {look.caution}".strip(),
    )


def _relief(outlook: Outlook, mould: MouldState, opened: float | None) -> Act:
    """Relief holes: the first ones through the first crust, further ones a while after holes were `opened` last, for
    a top-up or not."""
    last = mould.last_pour
    if opened is None and last is not None and last.part == "top-up":
        due = max(last.t + RELIEF_EVERY, crusted_at(outlook, mould.letter))
    else:
        due = opened + RELIEF_EVERY if opened else crusted_at(outlook, mould.letter)
    deep = outlook.length(max(0.005, runs_to(outlook, mould.letter, due) - RELIEF_SHORT))
    return Act(
        id=ActId("relief", mould.letter, nth=len(mould.relieved_at)),
        kind="relief",
        word=block_word("relief"),
        moulds=mould.letter,
        says=relief_says(mould.letter, again=opened is not None),
        why=WHY_RELIEF,
        due=due,
        caution=tr("Holes in {letter}: no deeper than {deep}.", letter=mould.letter, deep=deep),
        records=(ev.Relieved(mould=mould.letter),),
        place=("surface", mould.letter),
        urgency=Urgency.SOON,
    )


def _top_up(outlook: Outlook, mould: MouldState, due: float, window: Quantiles, when: str) -> Act:
    """One of the pours that fill the hollow; `when` says why it is put off, if it is. Its size is said later, for its moment."""
    coming = outlook.state.next_pour(mould.letter)
    assert coming is not None
    before = sum(pour.part == "top-up" for pour in mould.pours)
    pour = ev.Poured(mould=mould.letter, layer=coming.layer, part="top-up")
    return Act(
        id=ActId("top-up", mould.letter, nth=before + 1 if before else None),
        kind="top-up",
        word=block_word("top-up"),
        moulds=mould.letter,
        layer=coming.layer,
        says="",
        why=tr(
            "The wax sinks as it sets, in the middle and behind its crust; what is missing is filled again.{kept_back}{when}",
            kept_back=_kept_back(outlook, mould.letter, coming.layer),
            when=when,
        ),
        due=due,
        window=window if window.early <= due <= window.late else None,
        caution=hot_wax(outlook.state, "top-up"),
        records=(ev.Relieved(mould=mould.letter), pour),
        place=("jug", ""),
        urgency=Urgency.USUAL,
    )


def _kept_back(outlook: Outlook, letter: str, layer: int) -> str:
    """What is kept in the jug for the rest of a hollow, how it stays pourable, and whether it is enough; empty without a jug."""
    if layer not in outlook.state.jugs:
        return ""
    kg, owed = wax_left(outlook.state).jugs.get(layer, 0.0), owed_in_the_end(outlook, letter)
    kept = tr(
        " {mass} of {colour} should still be in its jug: it waits in the bath under a lid, burner off, and is warmed again shortly before each top-up; if a skin forms, let all of it melt clear first.",
        mass=outlook.mass(kg),
        colour=outlook.colour(layer),
    )
    if owed is None or owed <= kg + outlook.state.plan.scale_step:
        return kept
    return tr(
        "{kept} {letter} alone wants {mass} until it has set: more than there is. Colour some more from the pot, or fill the last of it with plain wax.",
        kept=kept,
        letter=letter,
        mass=outlook.mass(owed),
    )


def how_hot(outlook: Outlook, act: Act) -> str:
    """How hot the one jug for all moulds of a pour may be, and how hot it should rather be, in words."""
    asked = hottest_c(outlook.state, outlook, act)
    if act.between is None:
        return outlook.degrees(asked)
    low, high = act.between
    return tr(
        "{wanted} ({least} to {most} will do)",
        wanted=outlook.degrees(min(asked, high)),
        least=outlook.degrees(low),
        most=outlook.degrees(high),
    )
