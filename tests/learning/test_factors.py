"""What looks teach: held against the plain rule of Bayes worked out another way, and against computed kitchens."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from scipy import stats

from pourday.forecast.fuse import window
from pourday.forecast.mould import COARSE, Case, PourInto, RoundMould, simulate_all
from pourday.learning.evidence import SeenBetween, SurfaceLook, SurfaceRead
from pourday.learning.factors import (
    EVENT_SIGMA,
    FACTORS,
    MOULD_SIGMA,
    OWN_WEIGHTS,
    PLACES,
    SIGMAS,
    USUAL,
    LogFactor,
    Prior,
    RowSays,
    bell_of,
    chance_between,
    even_normals,
    hedged,
    posterior,
)
from pourday.learning.heat import layer_heat, layer_heats, likelihood, told, with_factors_of
from pourday.wax.materials import family

TOP_SIGMA, WALL_SIGMA = SIGMAS[:2]
AT = USUAL.whereabouts("A")
TOP, OF_MOULD = AT[0] + 0 * AT[1], AT[1]
CASE = Case(
    RoundMould(0.035, 0.08, "dull metal"),
    (PourInto(0.0, 82.0, family("paraffin_pillar"), height=0.03),),
)

NOWHERE_ELSE = tuple(np.array(0.0) for _ in FACTORS)
"""The factors as they are computed with."""


@pytest.fixture(scope="module")
def heat():
    return layer_heat(CASE)


def test_a_layer_goes_on_from_the_one_below_it_and_comes_out_as_from_the_first_pour(heat):
    """Kept heat starts with fresh time steps and rings of its own: half a per cent of a wait, no more."""
    second = PourInto(2700.0, 80.0, family("paraffin_pillar"), height=0.03)
    both = replace(CASE, pours=(*CASE.pours, second))
    kept, anew = layer_heats([both], [heat])[0], layer_heat(both)
    for event in ("skin", "carries"):
        assert np.allclose(kept.log_wait(event, NOWHERE_ELSE), anew.log_wait(event, NOWHERE_ELSE), atol=0.005)
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
    rows = [told(SurfaceLook("A", 1, t, 2 if there else 1), heat, 0.0) for t, there in looks]
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
    known = factors({"A": [np.exp(-0.5 * ((TOP - mean) / sigma) ** 2)]})
    variance = 1 / (1 / TOP_SIGMA**2 + 1 / sigma**2)
    assert math.log(known.top.likely) == pytest.approx(variance * mean / sigma**2, abs=0.005)
    assert math.log(known.top.high / known.top.likely) == pytest.approx(
        stats.norm.ppf(0.9) * math.sqrt(variance), rel=0.02
    )


def test_the_places_are_normal_numbers_without_correlation():
    z = even_normals()
    assert np.allclose(z.mean(axis=0), 0, atol=1e-9)
    assert np.allclose(np.cov(z.T, bias=True), np.eye(len(FACTORS)), atol=1e-9)
    for column in z.T:
        assert stats.kstest(column, "norm").statistic < 0.015
    # As even in two dimensions: shares of quadrants and of a disc against the closed form.
    for i, j in ((0, 1), (0, 3), (2, 4)):
        assert np.mean((z[:, i] > 0.5) & (z[:, j] > 0.5)) == pytest.approx(stats.norm.sf(0.5) ** 2, abs=0.006)
        assert np.mean(z[:, i] ** 2 + z[:, j] ** 2 < 1.0) == pytest.approx(stats.chi2.cdf(1.0, 2), abs=0.015)


def test_the_places_of_a_moulds_own_part_have_the_moments_of_a_normal_number():
    own = USUAL.own("A") / MOULD_SIGMA
    for power, moment in enumerate((1.0, 0.0, 1.0, 0.0, 3.0)):
        assert (own**power) @ OWN_WEIGHTS == pytest.approx(moment, rel=0.15, abs=1e-9)


def test_factors_moved_together_do_what_each_does_alone_added_up(heat):
    rng = np.random.default_rng(2)
    for _ in range(3):
        by = np.array(SIGMAS) * rng.normal(size=len(FACTORS))
        run = simulate_all([with_factors_of(CASE, by)], grid=COARSE)[0]
        real = window(run, 82.0).opens_s
        added = heat.log_wait("carries", tuple(np.array(x) for x in by))
        assert float(added) == pytest.approx(math.log(real), abs=0.05)


def test_one_look_in_ten_is_taken_to_be_wrong_and_several_outvote_it(heat):
    at = opens(1.0)
    usual = after_looks(heat, (at * 0.8, False), (at * 0.95, False), (at * 1.05, True))
    wrong = after_looks(heat, (at * 0.5, True), (at * 0.8, False), (at * 0.95, False), (at * 1.05, True))
    alone = after_looks(heat, (at * 0.5, True))
    assert abs(math.log(wrong.top.likely / usual.top.likely)) < 0.1
    assert alone.top.likely > 1.1


@pytest.mark.parametrize("top", [0.7, 1.4])
def test_looks_just_before_and_after_teach_a_kitchen_its_top(heat, top):
    at = opens(top)
    known = after_looks(heat, *((at * x, False) for x in (0.7, 0.85, 0.95)), (at * 1.05, True))
    assert known.top.low < top < known.top.high
    assert abs(math.log(known.top.likely / top)) < 0.5 * abs(math.log(top))
    usual = posterior([]).factors.sets
    assert math.log(known.sets.high / known.sets.low) < 0.6 * math.log(usual.high / usual.low)


def test_a_look_that_cannot_be_widens_instead_of_breaking(heat):
    at = opens(1.0)
    good = after_looks(heat, (at * 0.9, False), (at * 1.1, True))
    bad = after_looks(heat, (at * 0.9, False), (at * 1.1, True), (at * 0.2, True))
    assert bad.top.high / bad.top.low > good.top.high / good.top.low
    assert bad.top.low < 1.0 < bad.top.high


def test_what_no_kitchen_at_all_can_show_teaches_nothing_and_breaks_nothing():
    """Twenty readings of a jug's heat, filed as of a mould's surface, left no place any chance: no forecast came any more."""
    never, half = np.zeros((PLACES, OWN_WEIGHTS.size)), np.ones((PLACES, OWN_WEIGHTS.size))
    half[: PLACES // 2] = 0.0
    with np.errstate(all="raise"):
        none = posterior([RowSays(0.0, "A", never, never), RowSays(60.0, "B", half, half)])
        some = posterior([RowSays(0.0, "A", half, half), RowSays(60.0, "B", half, half)])
    assert none.factors.top.likely == pytest.approx(posterior([]).factors.top.likely)
    assert none.looks == 0
    assert some.joint[: PLACES // 2].sum() == 0
    assert some.joint.sum() == pytest.approx(1)
    assert all(np.isfinite(of).all() for of in some.moulds.values())


def test_seen_in_one_mould_the_wall_of_another_is_less_sure():
    row = hedged(chance_between(-0.8 * OF_MOULD, -0.3, -0.2))
    known = factors({"A": [row]})
    assert known.wall["A"].likely > known.other.likely > 1.0
    assert known.other.high / known.other.low > known.wall["A"].high / known.wall["A"].low


def sees(mean, sigma=0.1):
    """A row that tells of the top alone, as a normal distribution."""
    return hedged(np.exp(-0.5 * ((TOP - mean) / sigma) ** 2))


def tells(at, mould, row):
    return RowSays(at, mould, row, row)


def test_what_a_person_calls_carrying_is_learned_along(heat):
    """At the usual heat loss: whoever calls the surface carrying when its crust is thick, and whoever does sooner."""
    thick = float(np.exp(heat.log_wait("carries", NOWHERE_ELSE, crust=True)))
    at = opens(1.0)
    assert thick > 1.4 * at
    known = {}
    for when in (at, thick):
        looks = (at * 0.66, 0), (at * 0.73, 1), (when * 0.8, 1), (when * 0.95, 1), (when * 1.05, 2)
        rows = [told(SurfaceLook("A", 1, t, stage), heat, 0.0) for t, stage in looks]
        known[when] = posterior(rows)
    assert known[at].crust < 0.25
    assert known[thick].crust > 0.8
    # Taken for one who calls it carrying at once, the other's kitchen would be far slower than it is.
    mistaken = after_looks(heat, *((thick * x, False) for x in (0.7, 0.8, 0.95)), (thick * 1.05, True))
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
    bell = bell_of(1.0, np.array([0.3, -0.2, 0.05, 1.0, 0.0]), np.diag([0.12, 0.1, 0.1, 1.0, 0.1]) ** 2)
    prior = Prior((bell,), moulds={"A": LogFactor(0.1, 0.05)})
    known = posterior([], prior).factors
    assert known.top.likely == pytest.approx(math.exp(0.3), rel=0.01)
    assert known.of("A").likely == pytest.approx(math.exp(-0.1), rel=0.02)
    assert known.of("B").likely == pytest.approx(math.exp(-0.2), rel=0.02)
    assert known.melting == pytest.approx((1.0, 1.0), rel=1e-6)
    assert known.latent.likely == pytest.approx(math.exp(0.05), rel=1e-6)


def test_a_wide_bell_that_is_hardly_likely_hardly_widens_the_band_of_four_in_five():
    """Quantiles of a mixture of two normal distributions, by Python's own `statistics`."""
    usual = np.diag(np.square(SIGMAS))
    narrow, wide = bell_of(0.9, np.zeros(5), usual / 25), bell_of(0.1, np.zeros(5), 4 * usual)
    prior = Prior((narrow, wide))
    parts = [(b.chance, NormalDist(0.0, b.covariance[0][0] ** 0.5)) for b in prior.bells]
    edges = np.quantile(prior.places[:, 0], (0.1, 0.9))
    assert [sum(p * n.cdf(x) for p, n in parts) for x in edges] == pytest.approx([0.1, 0.9], abs=0.004)
    assert prior.places.mean(axis=0) == pytest.approx(0.0, abs=0.05 * SIGMAS[3])
    assert prior.covariance[0, 0] ** 0.5 == pytest.approx(prior.places[:, 0].std(), rel=0.03)
    assert edges[1] < 0.6 * 1.2816 * prior.covariance[0, 0] ** 0.5, "as one bell it would be far wider"


def test_a_surface_read_warmer_than_computed_says_that_the_top_loses_less(heat):
    celsius = float(heat.surface_c(1200.0, NOWHERE_ELSE))
    rows = [likelihood(SurfaceRead("A", 1, 1200.0, celsius + off, 2.0), heat, 0.0, AT) for off in (-4.0, 4.0)]
    colder, warmer = (factors({"A": [r]}).top.likely for r in rows if r is not None)
    assert warmer < 1.0 < colder


def test_what_does_not_come_in_some_run_tells_nothing():
    warm = replace(CASE, around=(replace(CASE.around[0], room_c=45.0),))
    assert (
        likelihood(SeenBetween("A", 1, "cold to the hand", before=9000.0), layer_heat(warm), 0.0, AT) is None
    )


def test_a_window_opened_at_noon_is_followed_within_two_looks(heat):
    """Two moulds kept to the forecast all morning; then tops lose 60 % more, and two looks find them set in half the time."""
    usual, windy, noon = opens(1.0), opens(1.6), 4 * 3600.0
    rows = [
        told(SurfaceLook(letter, 1, usual * share, stage), heat, 0.0)
        for letter in "AB"
        for share, stage in ((0.5, 0), (0.8, 1), (0.95, 1), (1.05, 2))
    ]
    morning = posterior([row for row in rows if row is not None], surface_only).factors
    assert morning.sets.low < 1.0 < morning.sets.high
    later = [
        row._replace(at=noon + row.at)
        for letter in "AB"
        if (row := told(SurfaceLook(letter, 1, windy * 1.05, 2), heat, 0.0)) is not None
    ]
    now = posterior([*(row for row in rows if row is not None), *later], surface_only).factors
    really = windy / usual
    # At least six tenths of the way there, and never sure of the morning's kitchen any more.
    assert math.log(now.sets.likely) < 0.6 * math.log(really)
    assert now.sets.low < really
