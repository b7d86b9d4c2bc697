"""Which wax a curve can be of."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from pourday.curve.families import families_of
from pourday.curve.reading import CurveReading
from pourday.wax.materials import families


def plateau(celsius: float, give: float = 0.3) -> CurveReading:
    return CurveReading("plateau", celsius, celsius - give, celsius + give, (celsius - 4, celsius + 0.5))


@pytest.mark.parametrize(
    "reading",
    [
        plateau(59.0),
        plateau(120.0),
        CurveReading("none"),
        CurveReading("bath", rests_at_c=45.0),
        CurveReading("bath", rests_at_c=-20.0),
        CurveReading("slope", 44.0, 42.0, 46.0, (38.0, 45.0)),
    ],
)
def test_all_families_are_there_and_the_odds_add_up(reading):
    odds = families_of(reading)
    assert {each.family for each in odds} == set(families())
    assert sum(each.odds for each in odds) == pytest.approx(1.0)
    assert [each.odds for each in odds] == sorted((each.odds for each in odds), reverse=True)
    assert all(math.isfinite(each.odds) for each in odds)


def test_published_plateaus_name_the_wax_they_were_taken_from():
    """Beeswax of five samples melts at 62.5 to 63.7 °C (Putra et al. 2016); one technical paraffin at 57.1 °C
    (Jeong et al. 2013); the eutectic of palmitic and stearic acid is at 54.4 °C, from the CRC Handbook's heats."""
    assert families_of(plateau(63.5))[0].family == "beeswax"
    assert families_of(plateau(57.1))[0].family in ("paraffin_pillar", "reclaimed_unknown")
    assert "stearic_commercial" in [each.family for each in families_of(plateau(54.4))[:3]]


def test_families_that_set_alike_stay_in_the_running():
    odds = {
        each.family: each.odds for each in families_of(CurveReading("slope", 50.0, 48.0, 52.0, (44.0, 52.0)))
    }
    assert odds["soy_pillar"] == pytest.approx(odds["rapeseed"], abs=0.15)
    assert max(odds.values()) < 0.6


def test_a_coarser_probe_gives_flatter_odds():
    assert families_of(plateau(63.0, 3.0))[0].odds < families_of(plateau(63.0, 0.2))[0].odds


def test_wax_that_had_not_set_in_its_bath_sets_below_it():
    odds = {each.family: each.odds for each in families_of(CurveReading("bath", rests_at_c=48.0))}
    assert odds["beeswax"] < 0.001 < 0.2 < odds["soy_container"]


def test_odds_cost_little_against_a_reader_who_knows_how_the_lots_were_drawn():
    """Lots are drawn uniformly over each family's range - not as the odds take them - and their plateau is read
    with a probe of 1 °C. Score: mean logarithm of the odds of the true family, against the best that anybody could
    do who knows the ranges, the draw and the probe, and sees the same reading."""
    rng = np.random.default_rng(11)
    names = [name for name in families() if families()[name].plateau == "yes"]
    ends = {name: (families()[name].congealing_min_c, families()[name].congealing_max_c) for name in names}
    mine, best, blind = [], [], []
    for _ in range(400):
        true = names[rng.integers(len(names))]
        seen = rng.uniform(*ends[true]) + 0.35 * rng.standard_normal()
        odds = {each.family: each.odds for each in families_of(plateau(seen, 0.5))}
        mine.append(math.log(odds[true] / sum(odds[name] for name in names)))
        density = {
            name: (NormalDist().cdf((high - seen) / 0.35) - NormalDist().cdf((low - seen) / 0.35))
            / (high - low)
            for name, (low, high) in ends.items()
        }
        best.append(math.log(density[true] / sum(density.values())))
        blind.append(-math.log(len(names)))
    assert np.mean(best) >= np.mean(mine) > np.mean(best) - 0.15
    assert np.mean(mine) > np.mean(blind) + 0.5


@pytest.mark.parametrize("lots", ["even over the range", "one in five outside it"])
def test_odds_of_all_families_cost_little_whichever_way_lots_are_drawn(lots):
    """All eleven families, lots drawn in two ways, kinds of curve by the table, read to 0.3 K; against a reader who knows
    the draw. The soft ends of a family were chosen between the two."""
    rng = np.random.default_rng(77)
    waxes, normal, sd = list(families().values()), NormalDist(), 0.3
    kinds = {"yes": (0.90, 0.08, 0.02), "maybe": (0.50, 0.40, 0.10), "no": (0.05, 0.60, 0.35)}
    mine, best = [], []

    def perfect(wax, seen):
        low, high = wax.congealing_min_c, wax.congealing_max_c
        if lots.startswith("even"):
            return max((normal.cdf((high - seen) / sd) - normal.cdf((low - seen) / sd)) / (high - low), 1e-9)
        own = math.hypot(max((high - low) / 2 / 1.2816, 0.6), sd)
        return math.exp(-0.5 * ((seen - wax.congealing_c) / own) ** 2) / own

    for _ in range(500):
        true = waxes[rng.integers(len(waxes))]
        low, high = true.congealing_min_c, true.congealing_max_c
        lot = rng.uniform(low, high)
        if not lots.startswith("even"):
            lot = true.congealing_c + max((high - low) / 2 / 1.2816, 0.6) * rng.standard_normal()
        seen, kind = lot + sd * rng.standard_normal(), int(rng.choice(2, p=[0.7, 0.3]))
        reading = CurveReading(
            ("plateau", "slope")[kind], seen, seen - 1.2816 * sd, seen + 1.2816 * sd, (seen - 3, seen)
        )
        odds = {each.family: each.odds for each in families_of(reading)}
        weights = {wax.id: perfect(wax, seen) * kinds[wax.plateau][kind] for wax in waxes}
        mine.append(math.log(odds[true.id]))
        best.append(math.log(weights[true.id] / sum(weights.values())))
    assert np.mean(best) > np.mean(mine) > np.mean(best) - 0.15
