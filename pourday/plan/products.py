"""What each scent or dye of a layer weighs, where several make it up."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.plan.model import Product, Units
from pourday.units import show_mass

FINE = 20
"""Steps of the scale below which a dose is shown more finely than it: small doses are weighed elsewhere."""


def weighed_out(kg: float, products: Sequence[Product]) -> list[tuple[Product, float]]:
    """Each product with its kg of all `kg`, by its share; none where no product is named.

    >>> [round(part, 4) for _, part in weighed_out(0.02, (Product(name="rose", share=3), Product(name="oud")))]
    [0.015, 0.005]
    """
    whole = sum(product.share for product in products)
    return [(product, kg * product.share / whole) for product in products] if whole > 0 else []


def show_dose(kg: float, units: Units, step: float) -> str:
    """A weight of scent or dye to the step (kg) of the scale; of a few of its steps to a tenth of a gram.

    >>> show_dose(0.0005, "metric", 0.001), show_dose(0.0304, "metric", 0.001)
    ('0.5 g', '30 g')
    """
    return show_mass(kg, units, step if kg >= FINE * step else min(step, 0.0001))
