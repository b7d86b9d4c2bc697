"""How open the waits of a wax are that nobody knows, against the heat solver run at the ends of what is open."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from pourday.forecast.fuse import window
from pourday.forecast.mould import simulate_all
from pourday.forecast.mould_case import COARSE, Around, Case, PourInto, RoundMould
from pourday.plan.wax_words import from_words
from pourday.wax.blend import uncertainty
from pourday.wax.materials import CURVE, WORDS, family
from pourday.wax.supplier import from_sheet, with_figures
from pourday.wax.unsure import FOUR_IN_FIVE, TABLE_KELVIN, TABLE_LATENT, kelvin_sd, latent_sd, moved, wait_sd

TABLE = family("paraffin_pillar")
CURVED = from_sheet(
    "Ends", "paraffin_pillar", {"congealing_min_c": 58.7, "congealing_max_c": 59.3}, confidence=CURVE
)


def words(text: str):
    wax = from_words(text, "metric")
    assert wax is not None
    return wax


def test_words_leave_more_open_than_a_curve_and_a_curve_more_than_a_table():
    about, unknown = words("paraffin, about 59"), words("unknown paraffin")
    sds = [wait_sd(wax, 20.0) for wax in (TABLE, CURVED, about, unknown)]
    assert sds == sorted(sds)
    assert sds[0] == 0.0
    assert len(set(sds)) == 4
    assert kelvin_sd(CURVED) == kelvin_sd(TABLE) == TABLE_KELVIN < kelvin_sd(about) < kelvin_sd(unknown)
    assert latent_sd(TABLE) == TABLE_LATENT < latent_sd(CURVED) < latent_sd(about)


def test_a_day_that_tells_where_it_sets_leaves_only_its_heat_open():
    about = words("unknown paraffin")
    assert wait_sd(about, 20.0, kelvin=TABLE_KELVIN) < 0.75 * wait_sd(about, 20.0)


def test_a_wax_moved_melts_higher_and_is_heated_no_hotter():
    up = moved(TABLE, 3.0)
    assert up.congealing_c == TABLE.congealing_c + 3
    assert up.transition_low_c == (TABLE.transition_low_c or 0) + 3
    assert (up.max_working_c, up.pour_min_c) == (TABLE.max_working_c, TABLE.pour_min_c)
    assert moved(TABLE, 0.0) is TABLE


def test_a_sheet_that_says_where_it_sets_ends_what_words_left_open():
    about = words("unknown paraffin")
    sheet = with_figures(about, {"congealing_min_c": 58.0, "congealing_max_c": 60.0})
    assert wait_sd(sheet, 20.0) == 0.0
    assert with_figures(about, {"scent_max": 0.03}).confidence == about.confidence
    assert uncertainty([(sheet, 1.0)]).temperature_k == 1.5


@pytest.mark.parametrize(
    "wax", [family("paraffin_pillar"), family("soy_pillar"), family("beeswax")], ids=lambda w: w.id
)
def test_the_waits_move_as_the_heat_solver_has_them(wax):
    """Where it sets moved by 3 K, or a fifth more latent heat, poured as hot into a mould of 75 mm: how the time moves at
    which its surface carries, against the estimate."""
    pour_c = (wax.pour_min_c + wax.pour_max_c) / 2
    mould = RoundMould(radius=0.0375, height=0.15, material="bright metal")
    waxes = (wax, moved(wax, 3.0), replace(wax, latent_main=1.2 * wax.latent_main))
    cases = [
        Case(mould, (PourInto(at_s=0.0, celsius=pour_c, wax=each, height=0.05),), (Around(room_c=20.0),))
        for each in waxes
    ]
    usual, higher, richer = (
        math.log(window(run, pour_c).opens_s or math.nan) for run in simulate_all(cases, grid=COARSE)
    )
    unknown = replace(wax, confidence=WORDS)
    by_kelvin = (
        math.sqrt(wait_sd(unknown, 20.0, kelvin=6.0) ** 2 - wait_sd(unknown, 20.0, kelvin=0.0) ** 2) / 6.0
    )
    assert (usual - higher) / 3.0 == pytest.approx(by_kelvin, rel=0.35)
    latent = 0.25 / FOUR_IN_FIVE
    by_latent = math.sqrt(wait_sd(unknown, 20.0, kelvin=TABLE_KELVIN) ** 2 / (latent**2 - TABLE_LATENT**2))
    assert (richer - usual) / math.log(1.2) == pytest.approx(by_latent, rel=0.35)
