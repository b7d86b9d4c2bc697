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
AT_THE_TOP = (2.0, 0.75)
"""Times the whole candle's share that kelvins and latent heat move the time at which its surface carries: the surface
has set long before the middle, and waits most for the heat above where it sets. Read off the heat solver for five waxes
in three moulds (1.7 to 2.5, and 0.65 to 0.85; `tests/wax/test_unsure.py` has it again)."""
TABLE_KELVIN, TABLE_LATENT = 0.75, 0.075
"""Standard deviations of lots of a wax with figures: they differ by 1.5 K and 15 % nineteen times in twenty."""


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


def wait_sd(wax: Wax, room_c: float, kelvin: float | None = None) -> float:
    """Standard deviation of the natural logarithm of how long its surface takes to set, beyond that of a wax with figures.

    Poured at a given heat, wax has set once it has lost what it has above the temperature where it sets and its latent
    heat, at a rate that goes with how far that is above the room: t ~ (c (Tp - Ts) + L) / (Ts - Tr), and its surface the more
    (`AT_THE_TOP`). `kelvin` replaces
    the standard deviation of Ts, where the day has told more.

    >>> from pourday.wax.materials import family
    >>> wait_sd(family("paraffin_pillar"), 20.0)
    0.0
    """
    if wax.confidence not in NOBODY_KNOWS:
        return 0.0
    latent = max(wax.latent_main, 1.0)
    pour_c = (wax.pour_min_c + wax.pour_max_c) / 2
    heat = latent + wax.cp_liquid * max(pour_c - wax.congealing_c, 0.0)
    per_kelvin = AT_THE_TOP[0] * (wax.cp_liquid / heat + 1 / max(wax.congealing_c - room_c, 5.0))
    share = AT_THE_TOP[1] * latent / heat

    def squared(kelvin_off: float, latent_off: float) -> float:
        return (per_kelvin * kelvin_off) ** 2 + (share * latent_off) ** 2

    own = squared(kelvin_sd(wax) if kelvin is None else kelvin, latent_sd(wax))
    return math.sqrt(max(0.0, own - squared(TABLE_KELVIN, TABLE_LATENT)))


def moved(wax: Wax, kelvin: float) -> Wax:
    """The same wax, melting and setting so many K higher; its ceiling and what it is poured at stay."""
    if not kelvin:
        return wax
    names = ("solidus_c", "liquidus_c", "peak_c", "congealing_min_c", "congealing_max_c")
    changes = {name: getattr(wax, name) + kelvin for name in names}
    if wax.transition_low_c is not None and wax.transition_high_c is not None:
        changes |= {name: getattr(wax, name) + kelvin for name in ("transition_low_c", "transition_high_c")}
    return replace(wax, **changes)
