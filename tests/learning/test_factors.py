"""What looks teach: held against the plain rule of Bayes worked out another way, and against computed kitchens."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from pourday.forecast.fuse import window
from pourday.forecast.mould import Case, PourInto, RoundMould, simulate_all
from pourday.learning.evidence import SeenBetween, SurfaceRead, between
from pourday.learning.factors import (
    EVENT_SIGMA,
    MOULD_SIGMA,
    OF_MOULD,
    TOP,
    TOP_SIGMA,
    WALL_SIGMA,
    LogFactor,
    Prior,
    RowSays,
    chance_between,
    hedged,
    posterior,
)
from pourday.learning.heat import layer_heat, layer_heats, likelihood, told
from pourday.wax.materials import family

CASE = Case(
    RoundMould(0.035, 0.08, "dull metal"),
    (PourInto(0.0, 82.0, family("paraffin_pillar"), height=0.03),),
)


@pytest.fixture(scope="module")
def heat():
    return layer_heat(CASE)


def test_a_layer_goes_on_from_the_one_below_it_and_comes_out_as_from_the_first_pour(heat):
    """Kept heat starts with fresh time steps and rings of its own: half a per cent of a wait, no more."""
    second = PourInto(2700.0, 80.0, family("paraffin_pillar"), height=0.03)
    both = replace(CASE, pours=(*CASE.pours, second))
    kept, anew = layer_heats([both], [heat])[0], layer_heat(both)
    for event in ("skin", "carries"):
        assert np.allclose(kept.log_wait(event), anew.log_wait(event), atol=0.005)
    assert [run.solid_s for run in kept.runs] == pytest.approx([run.solid_s for run in anew.runs], rel=0.005)


def test_of_another_mould_or_another_first_pour_nothing_is_gone_on_from(heat):
    second = PourInto(2700.0, 80.0, family("paraffin_pillar"), height=0.03)
    hotter = replace(CASE.pours[0], celsius=85.0)
    other = replace(CASE.vessel, radius=0.04)
    assert heat.kept_for(replace(CASE, pours=(*CASE.pours, second))) is not None
    assert heat.kept_for(replace(CASE, pours=(hotter, second))) is None
    assert heat.kept_for(replace(CASE, vessel=other)) is None


def opens(top: float, wall: float = 1.0) -> float:
    """When the layer really opens in a kitchen of these factors, s."""
    case = replace(CASE, vessel=replace(CASE.vessel, top_factor=top, side_factor=wall))
    at = window(simulate_all([case])[0], 82.0).opens_s
    assert at is not None
    return at


def factors(seen):
    """The factors after likelihoods of each mould that were all seen at once."""
    told = [RowSays(0.0, letter, row, row) for letter, rows in seen.items() for row in rows]
    return posterior(told).factors


surface_only = Prior(crust=0.0)
"""A person to whom a surface carries as soon as it has set."""


def after_looks(heat, *looks):
    rows = [told(row, heat, 0.0) for row in between("A", 1, "carries", looks)]
    return posterior([row for row in rows if row is not None], surface_only).factors


def test_the_chance_of_an_interval_is_that_of_the_normal_distribution():
    logs = np.linspace(-0.3, 0.3, 61)
    expected = stats.norm.cdf(0.1, logs, EVENT_SIGMA) - stats.norm.cdf(-0.05, logs, EVENT_SIGMA)
    # Bowling and others (2009) give 1.4e-4 for their curve; the check is on a difference of two.
    assert np.abs(chance_between(logs, -0.05, 0.1) - expected).max() < 3e-4


def test_nothing_seen_leaves_the_priors():
    known = factors({})
    z = stats.norm.ppf(0.9)
    assert known.top.high == pytest.approx(math.exp(z * TOP_SIGMA), rel=0.02)
    assert known.other.high == pytest.approx(math.exp(z * math.hypot(WALL_SIGMA, MOULD_SIGMA)), rel=0.02)


def test_a_likelihood_of_a_normal_kind_gives_the_posterior_of_the_closed_form():
    """LogFactor prior and normal likelihood: precisions add (any text-book of statistics)."""
    mean, sigma = 0.2, 0.15
    known = factors({"A": [np.exp(-0.5 * ((TOP[..., None] + 0 * OF_MOULD - mean) / sigma) ** 2)]})
    variance = 1 / (1 / TOP_SIGMA**2 + 1 / sigma**2)
    assert math.log(known.top.likely) == pytest.approx(variance * mean / sigma**2, abs=0.005)
    assert math.log(known.top.high / known.top.likely) == pytest.approx(
        stats.norm.ppf(0.9) * math.sqrt(variance), rel=0.02
    )


@pytest.mark.parametrize("top", [0.7, 1.4])
def test_looks_just_before_and_after_teach_a_kitchen_its_top(heat, top):
    at = opens(top)
    known = after_looks(heat, (at * 0.95, False), (at * 1.05, True))
    assert known.top.low < top < known.top.high
    assert abs(math.log(known.top.likely / top)) < 0.4 * abs(math.log(top))
    assert math.log(known.top.high / known.top.low) < 0.6 * 2 * stats.norm.ppf(0.9) * TOP_SIGMA


def test_a_look_that_cannot_be_widens_instead_of_breaking(heat):
    at = opens(1.0)
    good = after_looks(heat, (at * 0.9, False), (at * 1.1, True))
    bad = after_looks(heat, (at * 0.9, False), (at * 1.1, True), (at * 0.2, True))
    assert bad.top.high / bad.top.low > good.top.high / good.top.low
    assert bad.top.low < 1.0 < bad.top.high


def test_seen_in_one_mould_the_wall_of_another_is_less_sure():
    row = hedged(chance_between(-0.8 * OF_MOULD, -0.3, -0.2))
    known = factors({"A": [row]})
    assert known.wall["A"].likely > known.other.likely > 1.0
    assert known.other.high / known.other.low > known.wall["A"].high / known.wall["A"].low


def sees(mean, sigma=0.1):
    """A row that tells of the top alone, as a normal distribution."""
    return hedged(np.exp(-0.5 * ((TOP[..., None] + 0 * OF_MOULD - mean) / sigma) ** 2))


def tells(at, mould, row):
    return RowSays(at, mould, row, row)


def test_what_a_person_calls_carrying_is_learned_along(heat):
    """At the usual heat loss: whoever calls the surface carrying when its crust is thick, and whoever does sooner."""
    thick = float(np.exp(heat.log_wait("carries", crust=True)[16, 8, 3]))
    at = opens(1.0)
    assert thick > 1.4 * at
    known = {}
    for when in (at, thick):
        rows = [
            told(row, heat, 0.0)
            for event, t in (("skin", at * 0.7), ("carries", when))
            for row in between("A", 1, event, [(t * 0.95, False), (t * 1.05, True)])
        ]
        known[when] = posterior(rows)
    assert known[at].crust < 0.15
    assert known[thick].crust > 0.85
    # Taken for one who calls it carrying at once, the other's kitchen would be far slower than it is.
    mistaken = after_looks(heat, (thick * 0.95, False), (thick * 1.05, True))
    assert mistaken.top.likely < 0.85
    assert abs(math.log(known[thick].factors.top.likely)) < 0.5 * abs(math.log(mistaken.top.likely))


def test_a_kitchen_that_changed_is_followed_within_two_looks():
    hour = 3600.0
    before = [tells(i * hour, "A", sees(0.0)) for i in range(4)]
    steady = posterior([*before, tells(4 * hour, "A", sees(0.0))]).factors
    assert steady.top.likely == pytest.approx(1.0, abs=0.03)
    changed = [*before, tells(5 * hour, "A", sees(0.5)), tells(5.3 * hour, "B", sees(0.5))]
    now = posterior(changed).factors
    assert now.top.low < math.exp(0.5) < now.top.high
    assert abs(math.log(now.top.likely) - 0.5) < 0.15
    # The plain average of all six, which no kitchen was like, is 0.17.
    assert math.log(now.top.likely) > 0.3


def test_looks_that_go_together_are_all_counted_whatever_the_hours_between_them():
    at_once = posterior([tells(0.0, "A", sees(0.2)) for _ in range(4)]).factors
    over_hours = posterior([tells(i * 3600.0, "A", sees(0.2)) for i in range(4)]).factors
    assert over_hours.top.likely == pytest.approx(at_once.top.likely, rel=0.02)
    assert math.log(over_hours.top.high / over_hours.top.low) < 1.15 * math.log(
        at_once.top.high / at_once.top.low
    )


def test_what_earlier_days_taught_is_where_a_day_begins():
    prior = Prior(LogFactor(0.3, 0.12), LogFactor(-0.2, 0.1), moulds={"A": LogFactor(0.1, 0.05)})
    known = posterior([], prior).factors
    assert known.top.likely == pytest.approx(math.exp(0.3), rel=0.01)
    assert known.of("A").likely == pytest.approx(math.exp(-0.1), rel=0.02)
    assert known.of("B").likely == pytest.approx(math.exp(-0.2), rel=0.02)


def test_a_surface_read_warmer_than_computed_says_that_the_top_loses_less(heat):
    celsius = float(heat.surface_c(1200.0)[16, 8, 3])
    rows = [likelihood(SurfaceRead("A", 1, 1200.0, celsius + off, 2.0), heat, 0.0) for off in (-4.0, 4.0)]
    colder, warmer = (factors({"A": [r]}).top.likely for r in rows if r is not None)
    assert warmer < 1.0 < colder


def test_what_does_not_come_in_some_run_tells_nothing():
    warm = replace(CASE, around=(replace(CASE.around[0], room_c=45.0),))
    assert likelihood(SeenBetween("A", 1, "cold to the hand", before=9000.0), layer_heat(warm), 0.0) is None
