"""How far a lot may lie from its wax's figures: what words leave open, and a curve, and a table."""

from __future__ import annotations

from pourday.plan.wax_words import from_words
from pourday.wax.blend import uncertainty
from pourday.wax.materials import CURVE, family
from pourday.wax.supplier import from_sheet, with_figures
from pourday.wax.unsure import (
    TABLE_KELVIN,
    TABLE_LATENT,
    density_open,
    kelvin_sd,
    latent_sd,
    moved,
    open_beyond,
)

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
    beyond = [open_beyond(wax) for wax in (TABLE, CURVED, about, unknown)]
    assert beyond == sorted(beyond)
    assert beyond[0] == (0.0, 0.0)
    assert len(set(beyond)) == 4
    assert kelvin_sd(CURVED) == kelvin_sd(TABLE) == TABLE_KELVIN < kelvin_sd(about) < kelvin_sd(unknown)
    assert latent_sd(TABLE) == TABLE_LATENT < latent_sd(CURVED) < latent_sd(about)


def test_a_day_that_tells_where_it_sets_leaves_only_its_heat_open():
    about = words("unknown paraffin")
    assert open_beyond(about, kelvin=TABLE_KELVIN) == (0.0, open_beyond(about)[1])
    assert open_beyond(about)[0] > 2 * TABLE_KELVIN


def test_a_wax_moved_melts_higher_and_is_heated_no_hotter():
    up = moved(TABLE, 3.0)
    assert up.congealing_c == TABLE.congealing_c + 3
    assert up.transition_low_c == (TABLE.transition_low_c or 0) + 3
    assert (up.max_working_c, up.pour_min_c) == (TABLE.max_working_c, TABLE.pour_min_c)
    assert moved(TABLE, 0.0) is TABLE


def test_a_sheet_that_says_where_it_sets_ends_what_words_left_open():
    about = words("unknown paraffin")
    sheet = with_figures(about, {"congealing_min_c": 58.0, "congealing_max_c": 60.0})
    assert open_beyond(sheet) == (0.0, 0.0)
    assert with_figures(about, {"scent_max": 0.03}).confidence == about.confidence
    assert uncertainty([(sheet, 1.0)]).temperature_k == 1.5


def test_its_density_is_open_until_somebody_takes_it():
    about = words("paraffin, about 59")
    assert density_open(TABLE) == 0.0
    assert density_open(CURVED) < density_open(about)
    weighed = from_sheet("Ends", "paraffin_pillar", {"congealing_min_c": 58.0, "congealing_max_c": 60.0, "density_solid": 900.0}, confidence=CURVE)  # fmt: skip
    assert density_open(weighed) == 0.0
