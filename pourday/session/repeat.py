"""The plans that come out of a session: as it was planned, or as one of its moulds really went."""

from __future__ import annotations

import re
from statistics import fmean

from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.language import any_of, tr, typed_words
from pourday.plan import scaling
from pourday.plan.model import Layer, Plan, Product, TriedChange
from pourday.plan.scaling import Went, start_from
from pourday.session.events import JugDosed
from pourday.session.state import JugState, State
from pourday.text import plain

_BECAUSE = re.compile(rf"\b(?:{any_of(typed_words('because'))})\b", re.IGNORECASE)


def as_planned(state: State) -> Plan:
    """A new plan like the one the day began with."""
    return replace(start_from(state.fixed_plan or state.plan), parent=state.session)


def with_change(plan: Plan, typed: str) -> Plan:
    """The plan with the one thing that is changed as somebody typed it, `pour at 78C because of rings`; empty: none said."""
    says, why = (part.strip(" ,;:.") for part in [*_BECAUSE.split(plain(typed, 200), maxsplit=1), ""][:2])
    if not says and not why:
        return plan
    return replace(plan, tried=TriedChange(letter="", fault="", cause=why, says=says or why))


def again(plan: Plan) -> Plan:
    """A new plan like one that was kept."""
    return start_from(plan)


def as_it_went(state: State, letter: str) -> Plan:
    """A new plan with the layers that one mould really got. Raises `Trouble` where that cannot be worked out."""
    plan = replace(
        state.plan,
        layers=tuple(_as_dosed(layer, state.jugs.get(n)) for n, layer in enumerate(state.plan.layers)),
    )
    went = scaling.as_it_went(plan, how_it_went(state, letter))
    # Where a rescue stopped a mould low, the mould itself is as high as it was.
    before = state.fixed_plan.moulds if state.fixed_plan is not None else went.moulds
    again = scaling.start_from(went, None if before == went.moulds else before)
    return replace(again, parent=state.session)


def poured_moulds(state: State) -> list[str]:
    """Letters of the moulds that have at least their first layer."""
    return [
        letter
        for letter, mould in sorted(state.moulds.items())
        if any(p.part == "layer" for p in mould.pours)
    ]


def only_mould(state: State, letter: str | None) -> str:
    """The mould that is meant: the one with this letter, else the only one that was poured. Raises `Trouble`."""
    poured = poured_moulds(state)
    if letter is not None and letter.upper() in poured:
        return letter.upper()
    if letter is None and len(poured) == 1:
        return poured[0]
    if not poured:
        raise Trouble(tr("Nothing was poured in this session."), instead=tr("Start from it as planned."))
    what = (
        tr("Several moulds were poured.")
        if letter is None
        else tr("No mould {letter} was poured.", letter=plain(letter, 20))
    )
    raise Trouble(what, instead=tr("Give --mould with one of {poured}.", poured=", ".join(poured)))


def _as_dosed(layer: Layer, jug: JugState | None) -> Layer:
    """A layer with the scents and dyes that were named and weighed into its jug; where none were, as planned."""
    for what in ("scent", "dye"):
        doses = [] if jug is None else doses_of(jug, what)
        if doses and all(dose.product and dose.kg for dose in doses):
            whole = sum(dose.kg or 0.0 for dose in doses)
            parts = tuple(
                Product(name=dose.product, lot=dose.lot, share=round((dose.kg or 0.0) / whole, 4))
                for dose in doses
            )
            layer = replace(layer, scents=parts) if what == "scent" else replace(layer, dyes=parts)
    return layer


def doses_of(jug: JugState, what: str) -> list[JugDosed]:
    """The scents, or the dyes, that went into what was last drawn for a jug."""
    return [dose.fact for dose in jug.doses if dose.fact.what == what and dose.t >= jug.drawn_at]


def dosed_load(state: State, layer: int, what: str) -> float | None:
    """kg of scent, or of dye, a kg of wax as they went into a jug; None where a dose or the wax was not weighed."""
    jug = state.jugs.get(layer)
    doses = [] if jug is None else doses_of(jug, what)
    if jug is None or not doses or not jug.drawn_kg or any(dose.kg is None for dose in doses):
        return None
    load = sum(dose.kg or 0.0 for dose in doses) / jug.drawn_kg
    return float(f"{min(load, 1.0):.4g}")


def how_it_went(state: State, letter: str) -> Went:
    """What was weighed and read at one mould; scent and dye that nobody weighed stay as planned."""
    mould = state.moulds[letter]
    mains = {pour.layer: pour for pour in mould.pours if pour.part == "layer"}
    plug = mould.poured(0, "plug")
    read = [celsius for pour in mains.values() if (celsius := state.lip_c(pour)) is not None]
    reached = max(mains, default=-1) + 1
    return Went(
        letter=letter,
        poured=tuple(mains[layer].kg if layer in mains else None for layer in range(reached)),
        plug=plug.kg if plug else None,
        pour_c=round(fmean(read), 1) if read else None,
        scent_loads=tuple(dosed_load(state, layer, "scent") for layer in range(reached)),
        dye_loads=tuple(dosed_load(state, layer, "dye") for layer in range(reached)),
    )
