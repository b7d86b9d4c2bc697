"""What follows from a rescue once it is chosen: warming, demoulding, melting again, and how it came out."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.wax_left import in_moulds
from pourday.guide.rescue.card import ONLY_BATH
from pourday.guide.rescue.ways import WARM_AIR
from pourday.language import tr, word
from pourday.plan.replan import replan
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.events import Fact
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import MouldState, RescueAt, State
from pourday.times import span
from pourday.units import show_length

ASK_AFTER = 1800.0
"""Seconds after which a rescue that no candle can tell of is asked about. An estimate of ours."""
MELT_PER_KG = 40 * 60.0
"""s to melt a kilogram in the bath (from memory, practice says 15-25 min for 0.5 kg)."""
NOT_ASKED_AFTER = ("burn", "spill on the hob", "power cut", "thermometer suspect", "stuck candle", "crack")
"""Cards after which nothing of the wax tells how it came out."""
WARMED = ("warm and pour", "re-seat")


def follow_ups(state: State, outlook: Outlook, persons: PersonsClock | None = None) -> list[Act]:
    """The acts that chosen rescues ask for, in the order they were chosen."""
    acts = []
    for rescue in state.rescues:
        if rescue.ended is None:
            acts += _follow(state, outlook, rescue, persons or PersonsClock())
    acts += _melt_jugs(state, outlook)
    return [act for act in acts if act.id not in state.waived]


def under_rescue(state: State, letter: str) -> bool:
    """Whether a mould waits for something a chosen rescue asks for: to be warmed, or to be melted again."""
    rescue, mould = state.rescue(letter), state.moulds[letter]
    if rescue is None:
        return False
    if rescue.fact.option in WARMED:
        return not _poured_since(mould, rescue.t) and not _looked_since(mould, rescue.t)
    return rescue.fact.option == "melt again" and bool(mould.pours) and not _poured_since(mould, rescue.t)


def pour_words(state: State, outlook: Outlook, moulds: str, layer: int) -> str:
    """What chosen rescues change about the next pour into these moulds, in words; empty where nothing."""
    changes = []
    for letter in moulds:
        rescue = state.rescue(letter)
        if rescue is None or rescue.fact.layer != layer or rescue.fact.pour_c is None:
            continue
        thin = rescue.fact.thin
        first = (
            tr(", {length} first, the rest after a minute or two", length=show_length(thin, state.plan.units))
            if thin
            else ""
        )
        changes.append(
            tr(
                "{letter} by its rescue: at {degrees}{first}.",
                letter=letter,
                degrees=outlook.degrees(rescue.fact.pour_c),
                first=first,
            )
        )
    return " ".join(changes)


def _poured_since(mould: MouldState, t: float) -> bool:
    """Whether anything was poured into a mould after a time, seconds since the epoch."""
    return any(pour.t > t for pour in mould.pours)


def _looked_since(mould: MouldState, t: float) -> bool:
    """Whether a mould was looked at after a time, seconds since the epoch."""
    return mould.look is not None and mould.look.t > t


def _follow(state: State, outlook: Outlook, rescue: RescueAt, persons: PersonsClock) -> list[Act]:
    """What one open rescue asks for now: its next step, else how it came out."""
    letter = rescue.fact.mould
    mould = state.moulds.get(letter)
    if rescue.fact.card in NOT_ASKED_AFTER:
        return []
    if mould is not None and under_rescue(state, letter) and state.rescue(letter) is rescue:
        if rescue.fact.option in WARMED:
            return [_warm(outlook, rescue)]
        return [_demould(state, outlook, rescue, persons)]
    # How it came out is filed for the newest of its kind that is open: they are asked about one after the other.
    newest = state.rescue(letter, rescue.fact.card) is rescue
    return [_how(rescue, mould)] if newest else []


def _warm(outlook: Outlook, rescue: RescueAt) -> Act:
    """The act of warming a layer before the pour that was chosen; ends with the pour, or the rescue failed."""
    letter, box = rescue.fact.mould, rescue.fact.option == "re-seat"
    to_c = rescue.fact.warm_to_c or 45.0
    what = (
        tr(
            "Warm the whole of {letter} in a box or water of {degrees_between} until it sits tight at the wall all round, then its surface to {degrees} with moving warm air.",
            letter=letter,
            degrees_between=outlook.degrees_between(45.0, 50.0),
            degrees=outlook.degrees(to_c),
        )
        if box
        else tr(
            "Warm surface and outside of {letter} to {degrees}, scratch lightly.",
            letter=letter,
            degrees=outlook.degrees(to_c),
        )
    )
    failed = ev.RescueEnded(card=rescue.fact.card, came="failed", mould=letter, says="warming did not do it")
    return Act(
        id=ActId("warm", letter, nth=rescue.seq),
        kind="decide",
        word=tr("WARM"),
        moulds=letter,
        layer=rescue.fact.layer,
        says=tr("{what} Have the jug hot by then. Type what the surface reads, then “done”.", what=what),
        why=rescue.fact.says,
        due=rescue.t,
        caution=WARM_AIR,
        question=Question(
            tr("{letter}, warmed:", letter=letter),
            (
                Choice("y", tr("tight and warm: pour"), (ev.Looked(mould=letter, cue="firm"),)),
                Choice("n", tr("it did not come: choose again"), (failed,)),
            ),
        ),
        place=("surface", letter),
        urgency=Urgency.CLOSING,
    )


def _demould(state: State, outlook: Outlook, rescue: RescueAt, persons: PersonsClock) -> Act:
    """The act of taking a candle out whose wax is to be melted again, due once it is cold."""
    letter = rescue.fact.mould
    forecast = outlook.mould(letter)
    cold = forecast.cold.likely if forecast else rescue.t
    mould = state.moulds[letter]
    out = mould.demoulded_at is not None
    first = (
        tr("{letter} is out of its mould", letter=letter)
        if out
        else tr("Demould {letter} when its wall is cold to the hand", letter=letter)
    )
    return Act(
        id=ActId("melt again", letter, nth=rescue.seq),
        kind="demould",
        word=tr("MELT") if out else tr("DEMOULD"),
        moulds=letter,
        says=tr("{first}; wick and seal out, the wax is melted again.", first=first),
        why=rescue.fact.says,
        due=persons.awake(max(rescue.t, cold)),
        question=Question(
            f"{letter}:",
            (
                Choice("y", tr("out of the mould"), _out(state, letter)),
                Choice("k", tr("stuck"), (ev.Demoulded(mould=letter, release="stuck"),)),
            ),
        ),
        place=("candle", letter),
        urgency=Urgency.SOON,
    )


def _out(state: State, letter: str) -> tuple[Fact, ...]:
    """The wax out of a mould and on its way back into a jug; a mix of colours becomes a layer of its own."""
    pours = in_moulds(state)[letter]
    inside = sorted({p.layer for p in pours})
    mixed = len(inside) > 1
    into = len(state.plan.layers) if mixed else inside[0]
    kg = (
        round(sum(p.kg for p in pours), 6)
        if all(p.kg is not None for p in state.moulds[letter].pours)
        else None
    )
    out = ev.Emptied(mould=letter, from_layer=0, how="demoulded", into=into, kg=kg)
    if not mixed:
        return (out,)
    try:
        plan = replan(state.plan, letter, "melt again", in_moulds(state))
    except Trouble:
        return (out,)
    return (ev.PlanRevised(plan=plan, why=f"{letter}: its colours melted together"), out)


def _how(rescue: RescueAt, mould: MouldState | None) -> Act:
    """The question how a rescue came out, due when that can be seen."""
    fact = rescue.fact

    def ended(came: ev.Came) -> tuple[Fact, ...]:
        return (ev.RescueEnded(card=fact.card, came=came, mould=fact.mould),)

    return Act(
        id=ActId("how", nth=rescue.seq),
        kind="decide",
        word=tr("HOW"),
        moulds=fact.mould,
        says=tr(
            "How did the rescue{mould} come out? “{card}”, and you chose: {option}.",
            mould=tr(" of {mould}", mould=fact.mould) if fact.mould else "",
            card=word(fact.card),
            option=word(fact.option),
        ),
        why=tr("Chosen, done, and how it came out: all three stay on record."),
        due=_tells_at(rescue, mould),
        question=Question(
            tr("{mould} came out:", mould=fact.mould or fact.card),
            (
                Choice("w", tr("well"), ended("good")),
                Choice("f", tr("with a flaw"), ended("flawed")),
                Choice("n", tr("it failed"), ended("failed")),
            ),
        ),
        place=("candle", fact.mould) if fact.mould else ("pot", ""),
        urgency=Urgency.SOME_DAY,
    )


def _tells_at(rescue: RescueAt, mould: MouldState | None) -> float:
    """From when one can see how a rescue came out, seconds since the epoch: a seam once the candle is out, melted
    wax once it is poured."""
    if mould is None or rescue.fact.option == "freeze off":
        return rescue.t + ASK_AFTER
    if rescue.fact.option == "melt again":
        return min((p.t + ASK_AFTER for p in mould.pours if p.t > rescue.t), default=float("inf"))
    return mould.demoulded_at if mould.demoulded_at is not None else float("inf")


def _melt_jugs(state: State, outlook: Outlook) -> list[Act]:
    """Jugs whose wax has set, to be melted before anything is poured from them."""
    acts = []
    for layer, jug in sorted(state.jugs.items()):
        if jug.set_at is None:
            continue
        kg = (jug.kg or 0.0) + jug.returned_kg
        takes = (
            tr("about {span} for {mass}", span=span(kg * MELT_PER_KG), mass=outlook.mass(kg))
            if kg
            else tr("15-25 min for 500 g")
        )
        scented = layer < len(state.plan.layers) and state.plan.layers[layer].scent_load > 0
        scent = tr(" Scent gets weaker with it; add none by guess.") if scented else ""
        acts.append(
            Act(
                id=ActId("melt jug", layer=layer, nth=jug.heat_cycles),
                kind="jug",
                word=tr("MELT {layer}", layer=layer + 1),
                layer=layer,
                says=(
                    tr(
                        "Stand the jug of {colour} in the simmering bath, slowly, until it is clear ({takes}); stir, check a colour drop.",
                        colour=outlook.colour(layer),
                        takes=takes,
                    )
                ),
                why=tr("This will be its {nth} melting.{scent}", nth=_nth(jug.heat_cycles + 1), scent=scent),
                due=jug.set_at,
                caution=ONLY_BATH,
                records=(ev.JugReheated(layer=layer),),
                place=("jug", ""),
                urgency=Urgency.SOON,
            )
        )
    return acts


def _nth(number: int) -> str:
    return {1: "first", 2: "second", 3: "third"}.get(number, f"{number}th")
