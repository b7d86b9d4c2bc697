"""What each scent or dye of a layer weighs, where several make it up."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.plan.model import Product


def weighed_out(kg: float, products: Sequence[Product]) -> list[tuple[Product, float]]:
    """Each product with its kg of all `kg`, by its share; none where no product is named.

    >>> [round(part, 4) for _, part in weighed_out(0.02, (Product(name="rose", share=3), Product(name="oud")))]
    [0.015, 0.005]
    """
    whole = sum(product.share for product in products)
    return [(product, kg * product.share / whole) for product in products] if whole > 0 else []
