"""How much of each of two known waxes is in a blend, by where it sets.

On the line between the two ends, which is an estimate: mixed waxes of one kind set about where their shares have it; pairs
that melt lower together than either alone do not, and are refused.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import tr
from pourday.wax.materials import FAT_WAXES, NOBODY_KNOWS, Wax
from pourday.wax.unsure import FOUR_IN_FIVE, kelvin_sd

LEAST_APART = 4.0
"""K that two waxes have to set apart, so that a share can be told at all: estimate."""
BENT = 0.08
"""Share by which the true curve of a pair departs from the line; standard deviation. Estimate."""
_MINERAL = frozenset({"paraffin_low", "paraffin_pillar", "microcrystalline", "reclaimed_unknown"})


@dataclass(frozen=True, slots=True)
class ShareBetween:
    """Share of the second wax by weight, 0 to 1; four times in five between the two ends."""

    low: float
    likely: float
    high: float


def share_between(one: Wax, other: Wax, sets_c: float, sets_sd: float) -> ShareBetween:
    """The share of `other` in a blend of the two that sets at `sets_c` °C, give or take `sets_sd` K.

    Raises `Trouble` where the two set too near each other, melt lower together, or the blend sets outside both.

    >>> from pourday.wax.materials import family
    >>> low, pillar = family("paraffin_low"), family("paraffin_pillar")
    >>> round(share_between(low, pillar, 55.5, 0.3).likely, 2)
    0.5
    """
    apart = other.congealing_c - one.congealing_c
    if abs(apart) < LEAST_APART:
        raise Trouble(
            tr(
                "{one} and {other} set within {least_apart:.0f} °C of each other: the curve cannot say how much there is of each.",
                one=one.short_name,
                other=other.short_name,
                least_apart=LEAST_APART,
            ),
            instead=tr("Take two that set further apart."),
        )
    if not _along_a_line(one, other):
        raise Trouble(
            tr(
                "{one} with {other}: where a blend of them sets tells no share.",
                one=one.short_name,
                other=other.short_name,
            ),
            tr(
                "Waxes of two kinds can melt lower together than on the line between them, as stearin with paraffin does."
            ),
        )
    share = (sets_c - one.congealing_c) / apart
    ends = math.hypot((1 - share) * _sd(one), share * _sd(other))
    sd = math.hypot(math.hypot(sets_sd, ends) / abs(apart), BENT * 4 * max(0.0, share * (1 - share)))
    if not -2 * sd <= share <= 1 + 2 * sd:
        raise Trouble(
            tr(
                "It sets outside {one} and {other}: it is no blend of these two alone.",
                one=one.short_name,
                other=other.short_name,
            ),
        )
    low, likely, high = (min(max(share + z * sd, 0.0), 1.0) for z in (-FOUR_IN_FIVE, 0.0, FOUR_IN_FIVE))
    return ShareBetween(low, likely, high)


def _sd(wax: Wax) -> float:
    """K, standard deviation of where this lot sets; of one whose curve was taken, that of the curve."""
    if wax.confidence in NOBODY_KNOWS:
        return (wax.congealing_max_c - wax.congealing_min_c) / 2 / FOUR_IN_FIVE
    return kelvin_sd(wax)


def _along_a_line(one: Wax, other: Wax) -> bool:
    """Mineral waxes among themselves, plant fats among themselves; stearin with paraffin is the known eutectic."""
    kinds = [
        _MINERAL if wax.kin in _MINERAL else FAT_WAXES if wax.kin in FAT_WAXES else {wax.kin}
        for wax in (one, other)
    ]
    return kinds[0] is kinds[1] or one.kin == other.kin
