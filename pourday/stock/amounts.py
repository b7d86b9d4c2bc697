"""Amounts of a lot in words, in the person's units."""

from __future__ import annotations

from pourday.language import ntr, tr
from pourday.stock.lot import Kind, StockUnit
from pourday.units import INCH, POUND, Units, show_length, show_mass

KILOGRAMS_FROM = 1.0
"""kg from which the grams of a shelf say little."""

FINE_BELOW = 0.020
"""kg below which tenths of a gram are told: dyes are weighed so."""


def amount_words(amount: float, unit: StockUnit, units: Units) -> str:
    """`450 g`, `12.5 kg`, `8 pieces`, `3.4 m`; below zero with its sign.

    >>> amount_words(0.45, "kg", "metric"), amount_words(12.5, "kg", "metric"), amount_words(1, "pieces", "us")
    ('450 g', '12.50 kg', '1 piece')
    """
    if unit == "pieces":
        count = round(amount)
        return ntr("{count} piece", "{count} pieces", abs(count), count=count)
    if unit == "m":
        return show_length(amount, units) if units == "us" else tr("{amount:.2f} m", amount=amount)
    if units == "metric" and abs(amount) >= KILOGRAMS_FROM:
        return tr("{amount:.2f} kg", amount=amount)
    return show_mass(amount, units, 0.0001 if abs(amount) < FINE_BELOW else 0.001)


def price_words(price: float, unit: StockUnit, units: Units) -> str:
    """A price for one unit, in the unit that the person buys by.

    >>> price_words(6.4, "kg", "metric"), price_words(6.4, "kg", "us"), price_words(0.1, "pieces", "us")
    ('6.40 a kg', '2.90 a lb', '0.10 a piece')
    """
    if units == "us" and unit != "pieces":
        return (
            tr("{price:.2f} a lb", price=price * POUND)
            if unit == "kg"
            else tr("{price:.2f} a ft", price=price * 12 * INCH)
        )
    return tr("{price:.2f} a {unit}", price=price, unit=unit.removesuffix("s"))


def product_words(kind: Kind, product: str) -> str:
    """A product by its name; what no day named as such.

    >>> product_words("dye", ""), product_words("wax", "paraffin_pillar")
    ('dye, not named', 'paraffin pillar')
    """
    return product.replace("_", " ") if product else tr("{kind}, not named", kind=kind)
