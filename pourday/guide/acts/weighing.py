"""Which pour a weight from the scale is of, and whether it can be: what the keyboard shows and asks."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from pourday.guide.acts.act import Act, Choice, Question
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.plausible_weight import too_heavy
from pourday.language import tr, word
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import apply
from pourday.session.mould import MouldState, PourAt
from pourday.session.readings import weight_of
from pourday.session.state import State
from pourday.times import clock
from pourday.units import show_mass

MOST = 9
"""How many pours of one mould are offered, the newest of them: each has a digit for its key."""


def weight_name(state: State, letter: str) -> str:
    """What a weight typed now would be of: `A, pour of rust`; `A, one of its pours` where that is asked first."""
    mould = state.moulds[letter]
    if mould.demoulded_at is not None or mould.last_pour is None:
        return tr("{letter}, its candle", letter=letter)
    return (
        tr("{letter}, one of its pours", letter=letter)
        if _to_choose(mould)
        else f"{letter}, {_pour_name(state.plan, mould.last_pour)}"
    )


def weight_question(
    state: State, outlook: Outlook | None, letter: str, kg: float, typed: str
) -> Question | None:
    """Asks which pour was weighed where it may not be the last, or whether an impossible weight is to be kept.

    None where it can be filed as it is.
    """
    mould = state.moulds[letter]
    if mould.demoulded_at is not None or not _to_choose(mould):
        return _doubting(state, outlook, weight_of(state, letter, kg, typed))
    choices = []
    for index, pour in enumerate(mould.pours[::-1][:MOST], 1):
        fact = weight_of(state, letter, kg, typed, pour=pour.seq)
        doubted = _doubting(state, outlook, fact)
        label = f"{_pour_name(state.plan, pour)}, {clock(pour.t)}, {_weighed(state.plan, pour)}"
        choices.append(Choice(str(index), label, (fact,) if doubted is None else (), doubted))
    return Question(
        tr("{typed} into {letter}: which pour was it?", typed=typed, letter=letter), tuple(choices)
    )


def poured_with(act: Act, kgs: Sequence[float]) -> tuple[Fact, ...]:
    """What "done" puts on record for a pour, with the weights (kg) of its moulds in their order.

    A mould without a weight is still to be poured, so nothing of it goes on record. What is about no mould goes with
    the last one.
    """
    weights = dict(zip(act.moulds, kgs, strict=False))
    facts: list[Fact] = []
    for fact in act.records:
        mould = getattr(fact, "mould", "")
        if isinstance(fact, ev.Poured) and mould in weights:
            facts.append(replace(fact, kg=weights[mould]))
        elif mould in weights or (not mould and len(weights) == len(act.moulds)):
            facts.append(fact)
    return tuple(facts)


def pour_question(
    state: State, outlook: Outlook | None, facts: Sequence[Fact], now: float
) -> Question | None:
    """Asks whether the weights of a pour are kept, before it goes on record, where one of them can hardly be. None
    where all can be, or where nothing is known to hold them against."""
    said, at = [], ev.moment(now)
    for fact in facts:
        if not isinstance(fact, ev.Poured) or fact.kg is None or outlook is None:
            continue
        entry = Entry(seq=state.last_seq + 1, at=at, logged_at=at, by="person", fact=replace(fact, kg=None))
        state = apply(state, entry)
        weighed = ev.Weighed(mould=fact.mould, what="pour", kg=fact.kg)
        doubt = too_heavy(state, outlook, weighed)
        if doubt:
            said.append(
                tr(
                    "{mass} into {letter}: {doubt}",
                    mass=outlook.mass(fact.kg),
                    letter=fact.mould,
                    doubt=doubt,
                )
            )
    if not said:
        return None
    return Question(
        tr("That can hardly be. {said} Look at the scale again. Type it again, or:", said=" ".join(said)),
        (Choice("y", tr("keep it as typed"), tuple(facts)), Choice("n", tr("file nothing"))),
    )


def _to_choose(mould: MouldState) -> bool:
    """Whether a weight need not be the last pour's: an earlier one has none yet."""
    return any(pour.kg is None for pour in mould.pours[:-1])


def _weighed(plan: Plan, pour: PourAt) -> str:
    """What the scale said of a pour before."""
    return (
        tr("not weighed yet")
        if pour.kg is None
        else tr("weighed {mass}", mass=show_mass(pour.kg, plan.units, plan.scale_step))
    )


def _pour_name(plan: Plan, pour: PourAt) -> str:
    """`plug of rust`, `pour of cream`, `top-up of cream`."""
    named = plan.layers[pour.layer].colour if 0 <= pour.layer < len(plan.layers) else ""
    part = "pour" if pour.part == "layer" else pour.part
    return tr("{part} of {named}", part=word(part), named=named or tr("layer {layer}", layer=pour.layer + 1))


def _doubting(state: State, outlook: Outlook | None, fact: ev.Weighed) -> Question | None:
    """Asks whether a weight that can hardly be is kept; None where it can be, or nothing is known to hold it against."""
    doubt = too_heavy(state, outlook, fact) if outlook is not None else ""
    if outlook is None or not doubt:
        return None
    kept = weight_of(state, fact.mould, fact.kg, fact.typed, pour=fact.pour, doubt=doubt)
    return Question(
        tr(
            "{typed} can hardly be: {doubt} Look at the scale again. Type the right weight, or:",
            typed=fact.typed,
            doubt=doubt[0].lower() + doubt[1:],
        ),
        (Choice("y", tr("keep it as typed"), (kept,)), Choice("n", tr("file nothing"))),
    )
