"""How far a lot may lie from its wax's figures, for the forecasts: what words leave open, a curve closes in part.

Figures of a wax with a table row or a sheet stay what every forecast was set up for; only of a wax that nobody knows
(`materials.NOBODY_KNOWS`) more is taken to be open. Spreads of `blend.uncertainty` are taken to hold four lots in five.
"""

from __future__ import annotations

import math

from msgspec.structs import replace

from pourday.wax.blend import uncertainty
from pourday.wax.materials import NOBODY_KNOWS, Wax

FOUR_IN_FIVE = 1.2816
"""Standard deviations on either side of the middle that hold four fifths of a normal distribution."""
TABLE_KELVIN, TABLE_LATENT = 0.75, 0.075
"""Standard deviations of lots of a wax with figures: they differ by 1.5 K and 15 % nineteen times in twenty. Estimate:
confidence B of `wax/blend.py`."""


def kelvin_sd(wax: Wax) -> float:
    """K, standard deviation of where this lot sets and melts."""
    if wax.confidence not in NOBODY_KNOWS:
        return TABLE_KELVIN
    return max(TABLE_KELVIN, uncertainty([(wax, 1.0)]).temperature_k / FOUR_IN_FIVE)


def latent_sd(wax: Wax) -> float:
    """Standard deviation of its latent heat, as a share."""
    if wax.confidence not in NOBODY_KNOWS:
        return TABLE_LATENT
    return max(TABLE_LATENT, uncertainty([(wax, 1.0)]).latent_share / FOUR_IN_FIVE)


def open_beyond(wax: Wax, kelvin: float | None = None) -> tuple[float, float]:
    """(K of where it sets, share of its latent heat) that are open beyond those of a wax with figures: standard deviations.

    `kelvin` replaces the standard deviation of where it sets, where the day has told more.

    >>> from pourday.wax.materials import family
    >>> open_beyond(family("paraffin_pillar"))
    (0.0, 0.0)
    """
    if wax.confidence not in NOBODY_KNOWS:
        return 0.0, 0.0
    own = kelvin_sd(wax) if kelvin is None else kelvin
    return (
        math.sqrt(max(0.0, own**2 - TABLE_KELVIN**2)),
        math.sqrt(max(0.0, latent_sd(wax) ** 2 - TABLE_LATENT**2)),
    )


def density_open(wax: Wax) -> float:
    """Share by which a wax that nobody knows may be denser or less dense than reckoned, four lots in five; 0 of one with
    figures, and of one whose density was taken."""
    if wax.confidence not in NOBODY_KNOWS or "density_solid" in dict(wax.given):
        return 0.0
    return uncertainty([(wax, 1.0)]).density_share


def moved(wax: Wax, kelvin: float) -> Wax:
    """The same wax, melting and setting so many K higher; its ceiling and what it is poured at stay."""
    if not kelvin:
        return wax
    names = ("solidus_c", "liquidus_c", "peak_c", "congealing_min_c", "congealing_max_c")
    changes = {name: getattr(wax, name) + kelvin for name in names}
    if wax.transition_low_c is not None and wax.transition_high_c is not None:
        changes |= {name: getattr(wax, name) + kelvin for name in ("transition_low_c", "transition_high_c")}
    return replace(wax, **changes)
