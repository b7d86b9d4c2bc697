"""What went where it was not meant to: the wrong colour, another mould, the bench. Each said at the stove in two keys."""

from __future__ import annotations

from msgspec.structs import replace

from pourday.guide.acts.act import Choice, Question
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.mould import MouldState, PourAt
from pourday.session.state import State
from pourday.times import mould_key

ABOUT = (0.005, 0.015, 0.03, 0.06, 0.12)
"""kg that are offered for a spill: anything in between is near enough to one of them. Chosen."""

FEW = 3
"""How many jugs are told apart by numbers that are no mould's key (`times.mould_key`)."""


def mishaps(state: State, outlook: Outlook) -> list[Choice]:
    """What can be said of the newest pour and of spilled wax; nothing before there is wax that could go wrong."""
    newest = _newest(state)
    choices = []
    if newest is not None:
        mould, pour = newest
        what = tr("{colour} into {letter}", colour=outlook.colour(pour.layer), letter=mould.letter)
        colours = [i for i in range(len(state.plan.layers)) if i != pour.layer]
        if colours:
            asks = Question(
                tr("Not {what}, it was:", what=what), tuple(_colour(mould, pour, i, outlook) for i in colours)
            )
            choices.append(Choice("c", tr("wrong colour poured"), then=asks))
        others = [x for x in sorted(state.moulds) if x != mould.letter]
        if others:
            asks = Question(
                tr("Not {what}, it went into:", what=what), tuple(_mould(pour, x) for x in others)
            )
            choices.append(Choice("m", tr("went into another mould"), then=asks))
    if state.jugs or state.burner_spans:
        choices.append(Choice("x", tr("spilled"), then=_spilled(state, outlook)))
    return choices


def _newest(state: State) -> tuple[MouldState, PourAt] | None:
    """The pour made last of all, and its mould."""
    poured = [(mould, mould.pours[-1]) for mould in state.moulds.values() if mould.pours]
    return max(poured, key=lambda pair: (pair[1].t, pair[1].seq), default=None)


def _as_poured(letter: str, pour: PourAt) -> ev.Poured:
    """A pour on record as a fact again, for a mould of this letter."""
    return ev.Poured(
        mould=letter,
        layer=pour.layer,
        part=pour.part,
        kg=pour.kg,
        planned_kg=pour.planned_kg,
        celsius=pour.celsius,
        share=pour.share,
        instead_of=pour.instead_of,
    )


def _colour(mould: MouldState, pour: PourAt, layer: int, outlook: Outlook) -> Choice:
    """The pour put right: this colour went in where the other was due."""
    due = pour.layer if pour.instead_of is None else pour.instead_of
    right = replace(_as_poured(mould.letter, pour), layer=layer, instead_of=None if due == layer else due)
    return Choice(str(layer + 1), outlook.colour(layer), (ev.Corrected(entry=pour.seq, fact=right),))


def _mould(pour: PourAt, letter: str) -> Choice:
    """The pour put right: the same wax, in another mould."""
    right = _as_poured(letter, pour)
    return Choice(mould_key(letter), letter, (ev.Corrected(entry=pour.seq, fact=right),))


def _spilled(state: State, outlook: Outlook) -> Question:
    """Out of what, and about how much."""
    choices = [_out_of("0", tr("from the pot"), ev.Spilled(), outlook)]
    jugs = [
        _out_of(
            str(layer + 1),
            tr("from the jug of {colour}", colour=outlook.colour(layer)),
            ev.Spilled(layer=layer),
            outlook,
        )
        for layer in sorted(state.jugs)
    ]
    # The number of a fourth jug is the key of mould D.
    many = any(layer >= FEW for layer in state.jugs)
    choices += [Choice("1", tr("from a jug"), then=Question(tr("Spilled from:"), jugs))] if many else jugs
    choices += [
        _out_of(
            mould_key(letter),
            tr("over the rim of {letter}", letter=letter),
            ev.Spilled(mould=letter, layer=mould.pours[-1].layer),
            outlook,
        )
        for letter, mould in sorted(state.moulds.items())
        if mould.pours
    ]
    return Question(tr("Spilled:"), tuple(choices))


def _out_of(key: str, label: str, fact: ev.Spilled, outlook: Outlook) -> Choice:
    """One vessel it was spilled from, leading to the question how much."""
    weights = [Choice(str(i + 1), outlook.mass(kg), (replace(fact, kg=kg),)) for i, kg in enumerate(ABOUT)]
    about = Question(tr("Spilled, about:"), (*weights, Choice("n", tr("not weighed"), (fact,))))
    return Choice(key, label, then=about)
