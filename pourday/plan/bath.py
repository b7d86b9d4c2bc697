"""How much water the bath of a plan holds: as told, else as is usual for a pot of that size."""

from __future__ import annotations

from typing import Final

from pourday.errors import Trouble
from pourday.plan.model import Plan
from pourday.plan.weigh import weigh_sheet

WATER_DENSITY: Final = 998.2
"""kg/m³ at 20 °C (CRC Handbook)."""
USUAL_POT: Final = 0.002
"""m³ that a melting pot holds where nobody measured it; more where the wax needs it. Estimate."""
USUAL_BATH: Final = 0.00175
"""m³ of water around a pot of that size: a bath holds 1-3 l. An estimate of ours."""
WAX_DENSITY, HEADROOM = 800.0, 1.25
"""kg/m³ of molten wax, and the room a pot has for its wax: four fifths full (common practice, no source)."""


def bath_water(plan: Plan) -> tuple[float, bool]:
    """(kg of water in the full bath, whether that was told).

    Where it was not, a ring of water of the same width around the pot, which grows as the pot's surface does.
    """
    if plan.bath is not None:
        return plan.bath * WATER_DENSITY, True
    return usual_bath(plan) * WATER_DENSITY, False


def usual_bath(plan: Plan) -> float:
    """m³ of water that are usual for the plan's pot, or for one that holds its wax."""
    holds = plan.pot if plan.pot is not None else max(USUAL_POT, _wax(plan) / WAX_DENSITY * HEADROOM)
    return float(USUAL_BATH * (holds / USUAL_POT) ** (2.0 / 3.0))


def _wax(plan: Plan) -> float:
    """kg that the plan melts; 0 while it cannot be weighed out."""
    try:
        return weigh_sheet(plan).total
    except Trouble:
        return 0.0
