"""What every finder of things to look at again is given: the plan with its sheet and waxes."""

from __future__ import annotations

import msgspec

from pourday.plan.model import Plan
from pourday.plan.weigh import WeighSheet
from pourday.units import show_mass, show_temperature
from pourday.wax.materials import Wax


class FindingCase(msgspec.Struct, frozen=True):
    """What every finder looks at."""

    plan: Plan
    sheet: WeighSheet
    waxes: tuple[Wax, ...]
    """One a layer."""
    fat: float
    """Share of plant fats in the plan's blend."""

    def degrees(self, celsius: float) -> str:
        """A temperature in the plan's units."""
        return show_temperature(celsius, self.plan.units)

    def weight(self, kg: float) -> str:
        """A weight in the plan's units and steps."""
        return show_mass(kg, self.plan.units, self.plan.scale_step)

    def hottest(self, index: int) -> float | None:
        """°C of the hottest pour into the moulds of one entry of the plan; None where it has none."""
        start = sum(mould.count for mould in self.plan.moulds[:index])
        standing = self.sheet.moulds[start : start + self.plan.moulds[index].count]
        return max((pour.pour_c for mould in standing for pour in mould.pours), default=None)
