"""Cooling curves read: against the standard's rule, and against simulated tins that know nothing of the program.

Of the two hundred cases those with an even seed served to choose the constants of `curve.reading`; those with an
odd seed were held back. Targets: within 0.3 K for a probe of 0.1 K, within 1.2 K for one of 1 K, for nine cases of
ten; bands of four in five; no plateau in smooth curves; nine in ten false plateaus named.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.curve.log import CoolingLog
from pourday.curve.reading import CurveReading, by_standard, read_curve
from tests.curve.tin import Case, made, run

Read = tuple[Case, float | None, CurveReading]


@cache
def cases() -> tuple[Read, ...]:
    tins = made()
    return tuple(
        (tin, truth, read_curve(CoolingLog(seconds, celsius, tin.resolution)))
        for tin, (seconds, celsius, truth) in zip(tins, run(tins), strict=True)
    )


def of(kind: str, half: str = "held back") -> list[Read]:
    return [read for read in cases() if read[0].kind == kind and read[0].seed % 2 == (half == "held back")]


def every_15_s(*celsius: float) -> CoolingLog:
    return CoolingLog(np.arange(len(celsius)) * 15.0, np.array(celsius), 0.05)


def test_the_standard_s_rule_takes_the_first_five_that_agree():
    # Made up for the rule of ASTM D87: the first window is the one that begins with 59.8; by hand its mean is 59.74.
    log = every_15_s(
        66.0, 65.2, 64.45, 63.75, 63.1, 62.5, 61.95, 61.45, 61.0, 60.6, 60.3, 60.05, 59.9, 59.8, 59.75, 59.75,
        59.7, 59.7, 59.7, 59.65, 59.6, 59.6, 59.5, 59.4, 59.25, 59.05, 58.8,
    )  # fmt: skip
    assert by_standard(log) == pytest.approx(59.74)


def test_the_standard_s_rule_takes_the_top_after_a_supercooled_dip():
    # Made up likewise: 55.5 55.6 55.6 55.6 55.55; the dip at 54.6 does not count.
    log = every_15_s(
        62.0, 61.2, 60.4, 59.6, 58.9, 58.2, 57.6, 57.0, 56.5, 56.0, 55.6, 55.2, 54.9, 54.7, 54.6, 54.9, 55.3, 55.5,
        55.6, 55.6, 55.6, 55.55, 55.55, 55.5, 55.4,
    )  # fmt: skip
    assert by_standard(log) == pytest.approx(55.57)


def test_the_standard_s_rule_gives_nothing_where_nothing_stands_still():
    steps = np.arange(60)
    assert by_standard(every_15_s(*np.round((66 - 0.35 * steps * (1 - 0.006 * steps)) / 0.05) * 0.05)) is None


@pytest.mark.parametrize(("resolution", "within"), [(0.1, 0.3), (0.5, 0.7), (1.0, 1.2)])
@pytest.mark.parametrize("half", ["tuned on", "held back"])
def test_a_plateau_is_found_as_near_as_its_probe_allows(half, resolution, within):
    mine = [(truth, read) for tin, truth, read in of("plateau", half) if tin.resolution == resolution]
    misses = [truth - (read.congealing_c or 0.0) for truth, read in mine]
    assert len(mine) >= 15
    assert np.mean(np.abs(misses) <= within) >= 0.9


@pytest.mark.parametrize("half", ["tuned on", "held back"])
def test_a_band_of_four_in_five_holds_about_four_in_five(half):
    mine = [(truth, read) for _, truth, read in of("plateau", half) if read.congealing_c is not None]
    assert 0.75 <= np.mean([read.early_c <= truth <= read.late_c for truth, read in mine]) <= 0.97


@pytest.mark.parametrize("half", ["tuned on", "held back"])
def test_no_plateau_is_invented_in_smooth_curves(half):
    kinds = [read.kind for _, _, read in of("smooth", half)]
    assert len(kinds) == 10
    assert set(kinds) <= {"none", "bath"}
    assert all(read.congealing_c is None for _, _, read in of("smooth", half))


@pytest.mark.parametrize("half", ["tuned on", "held back"])
def test_where_a_bath_holds_the_wax_it_is_named(half):
    mine = of("bath", half)
    assert sum(read.kind == "bath" for _, _, read in mine) >= 0.9 * len(mine)
    for tin, _, read in mine:
        if read.rests_at_c is not None:
            assert read.rests_at_c == pytest.approx(tin.around, abs=tin.resolution + 0.5)


def test_soft_wax_is_mostly_told_as_a_slope():
    kinds = [read.kind for _, _, read in of("soft")]
    assert kinds.count("slope") >= 0.7 * len(kinds)


def test_a_finer_probe_gives_a_narrower_band():
    def width(resolution: float) -> float:
        bands = [
            read.late_c - read.early_c
            for tin, _, read in of("plateau")
            if tin.resolution == resolution and read.kind == "plateau"
        ]
        return float(np.median(bands))

    assert width(0.1) < width(0.5) + 0.1 < width(1.0)
    assert width(1.0) == pytest.approx(1.0)  # "about one degree, not a tenth"


def newton(around: float, start: float, minutes: float, halves: float, resolution: float) -> CoolingLog:
    """Newton's law of cooling alone, which any textbook has: no wax sets in it."""
    seconds = np.arange(0.0, minutes * 60, 15.0)
    celsius = around + (start - around) * 0.5 ** (seconds / 60 / halves)
    return CoolingLog(seconds, np.round(celsius / resolution) * resolution, resolution)


@given(
    around=st.floats(10, 60),
    above=st.floats(20, 50),
    minutes=st.floats(20, 180),
    halves=st.floats(5, 40),
    resolution=st.sampled_from([0.1, 0.5, 1.0]),
)
def test_what_only_cools_has_no_congealing_point(around, above, minutes, halves, resolution):
    read = read_curve(newton(around, around + above, minutes, halves, resolution))
    assert read.congealing_c is None
    assert read.kind in ("none", "bath")


def test_a_plateau_above_a_bath_is_the_wax_s_and_not_the_bath_s():
    """It sets at 58 °C (a flat quarter of an hour) and then comes to rest in a bath of 45 °C for an hour."""
    fall = [58 + 20 * 0.5 ** (i / 12) for i in range(60)]
    fall = [value for value in fall if value > 58.3]
    flat = [58.2 - 0.005 * i for i in range(60)]
    rest = [45 + 12.8 * 0.5 ** (i / 15) for i in range(240)]
    celsius = np.round(np.array([*fall, *flat, *rest]), 1)
    read = read_curve(CoolingLog(np.arange(len(celsius)) * 15.0, celsius, 0.1))
    assert read.kind == "plateau"
    assert read.congealing_c == pytest.approx(58.1, abs=0.3)


@given(st.lists(st.floats(-20, 250), min_size=12, max_size=60), st.sampled_from([0.1, 0.5, 1.0]))
def test_any_readings_give_an_answer(celsius, resolution):
    values = np.round(np.array(celsius) / resolution) * resolution
    read = read_curve(CoolingLog(np.arange(len(values)) * 15.0, values, resolution))
    assert (read.congealing_c is None) == (read.kind in ("none", "bath"))
    if read.congealing_c is not None:
        assert read.early_c < read.congealing_c < read.late_c
        assert read.range_c[0] < read.range_c[1]


def test_readings_that_all_come_within_a_second_say_nothing_and_break_nothing():
    flat = np.array([*np.arange(80.0, 60.0, -1.0), *[59.5] * 30])
    assert by_standard(CoolingLog(np.arange(50) * 0.001, flat, 0.1)) is None
    read_curve(CoolingLog(np.arange(50) * 0.001, flat, 0.1))


def test_a_log_that_ends_on_its_plateau_is_told_from_one_at_rest_where_the_room_is_known():
    """Newton's law towards 62 °C and rest there looks the same in a bath of 62 °C and on a plateau in a room of 20 °C."""
    curve = newton(62.0, 82.0, 110, 6.0, 0.1)
    assert read_curve(curve).kind == "bath"
    assert read_curve(curve, 61.5).kind == "bath"
    known = read_curve(curve, 20.0)
    assert known.kind == "plateau"
    # The standard takes the first five that agree, which here still come nearer.
    assert known.congealing_c == pytest.approx(62.0, abs=0.7)


@pytest.mark.parametrize(("resolution", "within"), [(0.1, 0.3), (0.5, 0.7), (1.0, 1.2)])
def test_a_probe_put_in_cold_and_a_wax_that_supercools_are_read_at_the_top(resolution, within):
    """It falls to 53 °C unset, warms itself to 55.5 and stays there for twenty minutes, as stearic acid can."""
    fall = [20 + 56 * 0.5 ** (i / 55) for i in range(80)]
    wax = [*(f for f in fall if f > 53), 54, 55, 55.4, *(55.5 - 0.002 * i for i in range(80))]
    celsius = np.array([25, 40, 60, 70, 75, *wax, *(55.3 - 0.25 * i for i in range(80))])
    seconds = np.arange(len(celsius)) * 15.0
    read = read_curve(CoolingLog(seconds, np.round(celsius / resolution) * resolution, resolution))
    assert read.kind == "plateau"
    assert read.congealing_c == pytest.approx(55.5, abs=within)


def test_a_logger_that_reads_every_second_and_scatters_is_read_as_well():
    """Readings that scatter by two of their steps agree within 0.1 K only by chance."""
    rng = np.random.default_rng(5)
    celsius = np.interp(np.arange(6000.0), [0, 900, 960, 4500, 6000], [76, 60.5, 60.0, 59.2, 38])
    seen = np.round(celsius + 0.2 * rng.standard_normal(len(celsius)), 1)
    read = read_curve(CoolingLog(np.arange(6000.0), seen, 0.1))
    assert read.kind == "plateau"
    assert read.congealing_c == pytest.approx(59.9, abs=0.4)


# Readings of real tubes, one a minute from the moment they left hot water, as two school practicals on cooling curves give
# them (published online, seen in excerpts; 10 g in a boiling tube with a thermometer of whole degrees, and a tube of
# paraffin with a digital one). Their tables stand still at 58 and 62-61, and at 52.8-52.5.
PARAFFIN = [73, 64, 59, 58, 58, 58, 58, 58, 58, 57, 57, 57, 57, 56, 56, 55, 55, 54, 54, 53, 52, 51]
STEARIC = [73, 64, 63, 62, 62, 62, 62, *[61] * 14, 60]
DIGITAL = [
    92.0, 80.8, 73.5, 66.9, 63.1, 58.6, 56.4, 53.6, 52.7, 52.8, 52.6, 52.5, 52.2, 51.9, 51.8, 51.6, 51.1, 51.3, 50.6, 48.9,
    49.9, 49.3, 48.2, 48.1, 47.6, 45.4, 44.1, 45.5, 44.4, 43.6, 42.8, 42.0, 41.3, 40.4, 39.5,
]  # fmt: skip


@pytest.mark.parametrize(
    ("celsius", "resolution", "still", "within"),
    [(PARAFFIN, 1.0, 58.0, 1.2), (STEARIC, 1.0, 61.7, 1.2), (DIGITAL, 0.1, 52.65, 0.5)],
    ids=["paraffin", "stearic acid", "paraffin, digital"],
)
def test_real_tubes_read_once_a_minute_set_where_their_tables_stand_still(celsius, resolution, still, within):
    read = read_curve(CoolingLog(np.arange(len(celsius)) * 60.0, np.array(celsius, float), resolution), 20.0)
    assert read.kind == "plateau"
    assert read.congealing_c == pytest.approx(still, abs=within)
