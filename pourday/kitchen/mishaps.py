"""What can be wrong with a simulated kitchen without anybody being told: a draught, cold moulds, a thermometer that is off, a
lot of wax that melts elsewhere. Each is done to a kitchen before its day begins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from msgspec.structs import replace as changed

from pourday.kitchen.kitchen import Kitchen
from pourday.wax.materials import Wax, families


def draught(kitchen: Kitchen, factor: float, drop: float) -> None:
    """Air that moves over the bench takes so many times the heat of still air, and the room swings by so many K in two hours."""
    for filling in kitchen.fillings.values():
        truth = filling.truth
        filling.truth = replace(truth, top=truth.top * factor, side=truth.side * (1 + 0.6 * (factor - 1)))
    kitchen.swing(drop, 2 * 3600.0)


def cold_moulds(kitchen: Kitchen, celsius: float) -> None:
    """Moulds that were brought in from the cold, at so many °C."""
    for filling in kitchen.fillings.values():
        filling.mould_c = celsius


def thermometer_off(kitchen: Kitchen, kelvin: float) -> None:
    """The stick thermometer shows so many K more than it is."""
    kitchen.misread(kelvin)


def other_lot(wax: str, kelvin: float) -> Mapping[str, Wax]:
    """The wax of this family as it is in a lot that melts and sets so many K higher; for `Kitchen(own=...)`."""
    usual = families()[wax]
    shifted = changed(
        usual,
        solidus_c=usual.solidus_c + kelvin,
        peak_c=usual.peak_c + kelvin,
        liquidus_c=usual.liquidus_c + kelvin,
        congealing_min_c=usual.congealing_min_c + kelvin,
        congealing_max_c=usual.congealing_max_c + kelvin,
    )
    return {wax: shifted}
