"""Look, smell, thumbnail and density beside a curve: the odds against those of a perfect reader of the same clues."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourday.curve.clues import ANSWERS, NO_CLUES, Clues, likelihood
from pourday.curve.families import families_of
from pourday.curve.reading import CurveReading
from pourday.wax.materials import families, family


def test_the_table_has_every_family_and_its_shares_add_up():
    for wax in families().values():
        for name, answers in ANSWERS.items():
            shares = [likelihood(wax, Clues(**{name: answer})) for answer in answers]  # type: ignore[arg-type]
            assert sum(shares) == pytest.approx(1.0, abs=1e-6), (wax.id, name)
            assert min(shares) > 0


def test_nothing_told_changes_nothing():
    assert {likelihood(wax, NO_CLUES) for wax in families().values()} == {1.0}
    odds = families_of()
    assert {round(each.odds, 9) for each in odds} == {round(1 / len(families()), 9)}


def test_clues_part_what_a_curve_cannot():
    """Beeswax and microcrystalline set alike; stearin and a low paraffin too."""
    at = CurveReading("plateau", 63.0, 62.5, 63.5, (58.0, 64.0))
    with_honey = families_of(at, Clues(smell="honey"))
    assert with_honey[0].family == "beeswax"
    assert with_honey[0].odds > 0.9
    alike = CurveReading("plateau", 54.3, 54.0, 54.6, (50.0, 55.0))
    assert families_of(alike, Clues(surface="crystals", nail="no mark"))[0].family in (
        "stearic_commercial",
        "palm",
    )
    assert families_of(alike, Clues(surface="clear and dry", smell="mineral"))[0].family in (
        "paraffin_low", "reclaimed_unknown"
    )  # fmt: skip


def test_a_heavy_block_is_no_paraffin_and_one_that_floats_in_spirit_no_beeswax():
    light, heavy = family("paraffin_pillar"), family("beeswax")
    assert likelihood(heavy, Clues(density=958.0)) > 3 * likelihood(light, Clues(density=958.0))
    spirit = Clues(liquid=925.0, floats=True)
    assert likelihood(light, spirit) > 2 * likelihood(heavy, spirit)
    assert likelihood(light, spirit) + likelihood(light, Clues(liquid=925.0, floats=False)) == pytest.approx(
        1.0
    )


def test_odds_cost_little_against_a_reader_who_knows_how_people_answer():
    """People answer otherwise than the table has it: each family's shares are drawn anew about it (Dirichlet, of a
    weight of 12 answers), its density within 2.5 %, where it sets evenly over its range, read to 0.35 K. A perfect
    reader knows all that was drawn. Score: mean logarithm of the odds of the true family."""
    rng = np.random.default_rng(31)
    waxes = list(families().values())
    people = {
        (wax.id, name): rng.dirichlet(
            [12 * likelihood(wax, Clues(**{name: a})) + 0.2 for a in answers]  # type: ignore[arg-type]
        )
        for wax in waxes
        for name, answers in ANSWERS.items()
    }
    mine, best = [], []
    for _ in range(400):
        true = waxes[rng.integers(len(waxes))]
        told = {
            name: answers[rng.choice(len(answers), p=people[true.id, name])]
            for name, answers in ANSWERS.items()
        }
        seen = rng.uniform(true.congealing_min_c, true.congealing_max_c) + 0.35 * rng.standard_normal()
        density = true.density_solid * (1 + 0.025 * rng.standard_normal())
        reading = CurveReading("plateau", seen, seen - 0.45, seen + 0.45, (seen - 4, seen))
        # How plain a plateau is tells as well; the perfect reader has that from the same table.
        kinds = {each.family: each.odds for each in families_of(reading)}
        odds = {each.family: each.odds for each in families_of(reading, Clues(**told, density=density))}
        mine.append(math.log(odds[true.id]))
        perfect = {}
        for wax in waxes:
            p = (
                kinds[wax.id]
                * math.exp(-0.5 * ((density / wax.density_solid - 1) / 0.025) ** 2)
                / wax.density_solid
            )
            for name, answers in ANSWERS.items():
                p *= people[wax.id, name][answers.index(told[name])]
            perfect[wax.id] = p
        best.append(math.log(perfect[true.id] / sum(perfect.values())))
    assert np.mean(mine) > np.mean(best) - 0.35
    assert np.mean(mine) > -math.log(len(waxes)) + 0.8
