"""What really is in pot, jugs and moulds, by what was weighed and, where nothing was, by what was planned."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.outlook.blend_parts import wax_added
from pourday.language import tr
from pourday.plan.pour_order import NOTHING, LeftOut
from pourday.plan.replan import InMould, WaxInventory, rest_sheet
from pourday.plan.weigh import WeighSheet, sheet_of
from pourday.session.mould import PourAt
from pourday.session.sequence import left_out
from pourday.session.state import JugState, State

DISCARD = "cover, cool, discard"
"""The option of a rescue after which the wax of pot or jug does not count any more."""

SHUT_OR_ODD = 0.05
"""Share of the wax in a mould by which it may take up more or less room under its line than its row in the table says, before
its weight is taken for a mistake: lots differ by 2.5 % at most, and as much may be shut in under later layers, where
no hole reaches it (estimate)."""


def in_moulds(state: State) -> dict[str, tuple[InMould, ...]]:
    """The pours that are in each mould now."""
    return {
        letter: tuple(InMould(layer=p.layer, kg=p.kg_best, part=p.part) for p in mould.pours)
        for letter, mould in state.moulds.items()
    }


def left_out_of(state: State) -> dict[str, LeftOut]:
    """What the person decided not to pour into each mould."""
    return {letter: left_out(state.waived, letter) for letter in state.moulds}


def wax_left(state: State) -> WaxInventory:
    """kg in the pot and in each jug: what was melted by the plan the day began with, less what was drawn.

    Wax that was discarded is gone: of the pot all that was in it by then, of a jug all it held.
    """
    sheet = sheet_of(state.fixed_plan or state.plan)
    discarded_at = {r.fact.layer: r.t for r in state.rescues if r.fact.option == DISCARD}
    pot_gone = discarded_at.get(None, 0.0)
    jugs, drawn = dict[int, float](), 0.0
    for layer, jug in state.jugs.items():
        drawn_for_it = _made(jug, layer, sheet, state.plan.scale_step)
        drawn += drawn_for_it if jug.drawn_at > pot_gone else 0.0
        if jug.drawn_at <= discarded_at.get(layer, 0.0):
            jugs[layer] = 0.0
            continue
        used = spilled_from(state, layer) + sum(
            pour.kg_left
            for mould in state.moulds.values()
            for pour in (*mould.pours, *mould.emptied)
            if pour.layer == layer
        )
        jugs[layer] = max(0.0, drawn_for_it + jug.returned_kg - used)
    melted, put_in = (0.0, state.additions) if pot_gone else (sheet.total, wax_added(state))
    added = sum(kg or 0.0 for t, kg in put_in if t > pot_gone)
    spilled = sum(s.kg or 0.0 for s in state.spills if s.layer is None and not s.mould and s.t > pot_gone)
    return WaxInventory(pot=max(0.0, melted + added - drawn - spilled), jugs=jugs)


def spilled_from(state: State, layer: int) -> float:
    """kg that were spilled out of a jug, without what had been poured into a mould before."""
    return sum(spill.kg or 0.0 for spill in state.spills if spill.layer == layer and not spill.mould)


def discarded(state: State) -> bool:
    """Whether wax of the pot or of a jug was thrown away."""
    return any(rescue.fact.option == DISCARD for rescue in state.rescues)


def drawn_into(state: State, layer: int) -> float:
    """kg drawn from the pot into the jug of a layer all told; as planned where a draw was not weighed."""
    sheet = sheet_of(state.fixed_plan or state.plan)
    return _made(state.jugs[layer], layer, sheet, state.plan.scale_step)


def _made(jug: JugState, layer: int, sheet: WeighSheet, step: float) -> float:
    """kg drawn into a jug all told; where a draw was not weighed, as it was told to be, else as the sheet has it."""
    if not 0 <= layer < len(sheet.jugs):
        return sum(kg or 0.0 for kg in (*jug.earlier, jug.kg))
    planned = last = sheet.jugs[layer].total
    wax = sheet.jugs[layer].wax
    if jug.planned_kg is not None and wax > 0 and abs(jug.planned_kg - wax) > step:
        # Scent and dye went in by the same share; what differs by a step of the scale is only rounded.
        last = jug.planned_kg * planned / wax
    if jug.drawn_kg is not None and wax > 0:
        last = jug.drawn_kg * planned / wax
    earlier = sum(planned if kg is None else kg for kg in jug.earlier)
    return earlier + (last if jug.kg is None else jug.kg)


def share_wanted(state: State, layer: int) -> float:
    """How much of a colour's jug is still wanted, as a share of what was planned: 1 for all of it.

    Less after layers were left out or filled by what was weighed; more where a colour left out above it makes this one
    the top-up's. Raises `Trouble` where the plan cannot be weighed out.
    """
    out, past = left_out_of(state), kg_past_line(state, layer)
    if past <= 0 and all(each == NOTHING for each in out.values()):
        return 1.0
    poured, nothing_left = in_moulds(state), WaxInventory(pot=0.0)
    planned = rest_sheet(state.plan, poured, nothing_left).lines[layer].wanted
    wanted = rest_sheet(state.plan, poured, nothing_left, out).lines[layer].wanted
    return max(0.0, wanted - past) / planned if planned > 0 else 1.0


def kg_past_line(state: State, layer: int) -> float:
    """kg by which what stands in the moulds already takes the room of their next layer, where `layer` is that.

    A pour is made to its line whatever it weighs; only one that is far heavier than was asked for stands above it.
    """
    return sum(
        _past(mould.pours)
        for letter, mould in state.moulds.items()
        if (coming := state.next_pour(letter)) is not None and coming == (layer, "layer")
    )


def _past(pours: Sequence[PourAt]) -> float:
    """kg by which the last of these pours was heavier than was asked for; 0 where that may be the lot or what is shut in."""
    if not pours or (last := max(pours, key=lambda pour: pour.t)).part == "plug" or last.planned_kg is None:
        return 0.0
    more = last.kg_best - last.planned_kg
    return more if more > SHUT_OR_ODD * sum(pour.kg_best for pour in pours) else 0.0


def heat_warning(state: State, layer: int) -> str:
    """What it means that the wax of a jug was melted more than once, in words; empty where it was not."""
    jug = state.jugs.get(layer)
    if jug is None or jug.heat_cycles < 2:
        return ""
    times = tr("melted {heat_cycles} times", heat_cycles=jug.heat_cycles)
    scented = layer < len(state.plan.layers) and state.plan.layers[layer].scent_load > 0
    if not scented:
        return tr("{times}: shade and set may drift, so check a cold drop", times=times)
    if jug.heat_cycles == 2:
        return tr("{times}: scent weaker; one re-melt is tolerable, add none by guess", times=times)
    return tr("{times}: scent is spent or changed; keep it for an unscented or test candle", times=times)
