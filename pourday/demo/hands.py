"""What a filed fact does to the simulated kitchen: the hands that follow the record."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.guide.outlook.blend_parts import melt_order
from pourday.kitchen.kitchen import Kitchen
from pourday.language import tr
from pourday.plan.weigh import WeighSheet
from pourday.session import events as ev
from pourday.session.events import Fact

LEAST = 0.005
"""kg by which the kitchen may have less wax than the record without a word: what clings to a jug. An estimate of ours."""


KNOB_STEPS = {None: 0, "lower": -1, "higher": 1}
"""By how many of the knob's settings a low flame is set otherwise. An estimate of ours."""


def enact(fact: Fact, kitchen: Kitchen, sheet: WeighSheet) -> str:
    """Do in the kitchen what the fact says was done; a sentence where the kitchen cannot follow."""
    try:
        _enact(fact, kitchen, sheet)
    except Trouble as trouble:
        return tr("The simulated kitchen cannot follow: {trouble}", trouble=trouble)
    return ""


def _enact(fact: Fact, kitchen: Kitchen, sheet: WeighSheet) -> None:
    """Raises `Trouble` where the kitchen cannot follow; it then has done what it could."""
    match fact:
        case ev.BurnerSet() | ev.WaxAdded() | ev.WaterSeen():
            _at_the_pot(fact, kitchen, sheet)
        case ev.JugMade() | ev.Poured() | ev.JugStands() | ev.JugReheated():
            _with_a_jug(fact, kitchen, sheet)
        case ev.Relieved(mould=mould, depth=depth):
            kitchen.relieve(mould, depth)
        case ev.Emptied(mould=mould, from_layer=layer, into=into):
            kitchen.take_out(mould, layer, into)
        case ev.RescueChosen(mould=mould, warm_to_c=celsius) if mould and celsius is not None:
            kitchen.warm(mould, celsius)
        case _:
            pass


def _at_the_pot(fact: ev.BurnerSet | ev.WaxAdded | ev.WaterSeen, kitchen: Kitchen, sheet: WeighSheet) -> None:
    """Turn the burner, or put wax or water in. Who lights it for the first time has loaded the pot before."""
    match fact:
        case ev.BurnerSet(state="off"):
            kitchen.burner(False)
        case ev.BurnerSet(state="on" | "low" as flame, knob=knob):
            if kitchen.wax_kg <= 0 and not any(kitchen.jug_kg(jug.layer) for jug in sheet.jugs):
                order = melt_order(kitchen.plan, sheet)
                kitchen.add_wax(sheet.total - (order.later_kg if order else 0.0))
            if flame == "low":
                kitchen.turn_low(KNOB_STEPS[knob])
            else:
                kitchen.burner(True)
        case ev.WaxAdded(kg=kg) if kg:
            kitchen.add_wax(kg)
        case ev.WaterSeen(topped_up=True):
            kitchen.add_water(max(0.001, kitchen.full_bath - kitchen.water_kg), 60.0)


def _with_a_jug(
    fact: ev.JugMade | ev.Poured | ev.JugStands | ev.JugReheated, kitchen: Kitchen, sheet: WeighSheet
) -> None:
    """Fill a jug, pour from it, or stand it elsewhere. Raises `Trouble` where there was too little, or too cold, wax."""
    match fact:
        case ev.JugMade(layer=layer):
            wanted, there = sheet.jug(layer).total, kitchen.molten_kg
            if there > 0:
                kitchen.draw_jug(layer, min(there, wanted))
            _short(wanted, there, tr("its pot"))
        case ev.Poured() as pour:
            wanted = pour.kg if pour.kg is not None else (pour.planned_kg or 0.0) * pour.share
            there = kitchen.jug_pourable(pour.layer)
            if there > 0:
                kitchen.pour(pour.mould, min(wanted, there), pour.layer)
            _short(wanted, there, tr("its jug {layer}", layer=pour.layer + 1))
        case ev.JugStands(layer=layer, where=where):
            kitchen.jug_in_bath(layer, where == "bath")
        case ev.JugReheated(layer=layer):
            if kitchen.true("jug", layer) < kitchen.lot.liquidus_c:
                raise Trouble(tr("The wax of its jug {layer} is not molten yet.", layer=layer + 1))


def _short(wanted: float, there: float, where: str) -> None:
    """Raises `Trouble` where there was less wax (kg) than the record says was taken."""
    if wanted - there > LEAST:
        raise Trouble(tr("There were only {there:.0f} g in {where}.", there=there * 1000, where=where))
