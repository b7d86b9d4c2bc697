"""Which wax a cooling curve can be of: the families of the wax table, each with its odds.

The odds follow Bayes' rule from even ones. A family's congealing point is taken to lie anywhere in its range alike, with
soft ends; how plain its plateau is comes from the table, too. Two families
that set alike keep like odds: a curve cannot tell stearic acid from palm, a look or a smell may (`clues`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourday.curve.clues import NO_CLUES, Clues
from pourday.curve.clues import likelihood as of_clues
from pourday.curve.reading import CurveReading
from pourday.wax.materials import Wax, families

_SOFT = 0.2
"""Share of its range over which a family's ends are soft; standard deviation. Tuned: of those tried it costs least at worst,
whether lots lie evenly over their range or one in five of them outside it: 0.10 and 0.03 in the logarithm of the odds."""
_LEAST = 1e-6
"""Likelihood of a congealing point that is far outside a family, per K: such lots are not unheard of. Estimate."""
_FOUR_IN_FIVE = 1.2816
"""Standard deviations on either side of the middle that hold four fifths of a normal distribution."""
_LEAST_SD = 0.6
"""K that lots of one family differ at least; standard deviation. Estimate."""
_KINDS = {
    "yes": {"plateau": 0.90, "slope": 0.08, "none": 0.02},
    "maybe": {"plateau": 0.50, "slope": 0.40, "none": 0.10},
    "no": {"plateau": 0.05, "slope": 0.60, "none": 0.35},
}
"""Chance of each kind of curve, by what the table says of a plateau. Estimates, no source."""
_STEP_BELOW = (11.0, 24.0)
"""K below the plateau where a paraffin changes in the solid, by the transition ranges of the wax table."""
_SEEN = {True: 0.8, False: 0.25}
"""Chance that a second plateau there is seen in wax that has such a change, and in wax that has none. Estimates."""


@dataclass(frozen=True)
class FamilyOdds:
    """A family of the wax table and how likely the curve is of it, 0 to 1; the odds of all add up to 1."""

    family: str
    """Its id in the table."""
    name: str
    odds: float


NOTHING_READ = CurveReading("none")
"""What stands for a curve where none was taken: it is as likely of any family."""


def families_of(reading: CurveReading = NOTHING_READ, clues: Clues = NO_CLUES) -> tuple[FamilyOdds, ...]:
    """All families of the wax table with their odds, likeliest first."""
    of_curve = {
        wax.id: 1.0 if reading is NOTHING_READ else _likelihood(wax, reading) for wax in families().values()
    }
    weights = {wax.id: of_curve[wax.id] * of_clues(wax, clues) for wax in families().values()}
    whole = sum(weights.values())
    odds = [
        FamilyOdds(wax.id, wax.name, weights[wax.id] / whole if whole > 0 else 1 / len(weights))
        for wax in families().values()
    ]
    return tuple(sorted(odds, key=lambda each: -each.odds))


def _likelihood(wax: Wax, reading: CurveReading) -> float:
    """How likely such a curve is of this family, up to a factor that is the same for all."""
    own_sd = max((wax.congealing_max_c - wax.congealing_min_c) / 2 / _FOUR_IN_FIVE, _LEAST_SD)
    if reading.rests_at_c is not None:
        # It had not set when it came to rest: it sets below that.
        return 0.5 * math.erfc((wax.congealing_c - reading.rests_at_c) / own_sd / math.sqrt(2))
    likelihood = _KINDS[wax.plateau][reading.kind]
    if reading.congealing_c is None or reading.early_c is None or reading.late_c is None:
        return likelihood
    wide = max(wax.congealing_max_c - wax.congealing_min_c, 2 * _LEAST_SD)
    read_sd = (reading.late_c - reading.early_c) / 2 / _FOUR_IN_FIVE
    sd = math.hypot(_SOFT * wide, read_sd) * math.sqrt(2)
    ends = [(wax.congealing_c + side * wide / 2 - reading.congealing_c) / sd for side in (-1, 1)]
    likelihood *= max(0.5 * (math.erf(ends[1]) - math.erf(ends[0])) / wide, _LEAST)
    if reading.second_c is not None:
        low, high = _STEP_BELOW
        if low < reading.congealing_c - reading.second_c < high:
            likelihood *= _SEEN[wax.transition_low_c is not None]
    return likelihood
