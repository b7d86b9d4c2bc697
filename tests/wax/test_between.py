"""The share of a blend from two known ends."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.wax.between import share_between
from pourday.wax.blend import blend
from pourday.wax.materials import CURVE, family
from pourday.wax.supplier import from_sheet

LOW, HIGH = family("paraffin_low"), family("paraffin_pillar")


@given(st.floats(0.0, 1.0))
def test_the_share_of_a_blend_is_found_again(share):
    mixed = blend([(LOW, 1 - share), (HIGH, share)])
    told = share_between(LOW, HIGH, mixed.congealing_c, 0.3)
    assert told.likely == pytest.approx(share, abs=0.01)
    assert 0 <= told.low <= told.likely <= told.high <= 1


def test_a_coarse_reading_and_unknown_ends_leave_it_wider():
    fine, coarse = share_between(LOW, HIGH, 55.0, 0.2), share_between(LOW, HIGH, 55.0, 1.0)
    assert fine.high - fine.low < coarse.high - coarse.low
    known = [
        from_sheet(
            name, "paraffin_low", {"congealing_min_c": c - 0.2, "congealing_max_c": c + 0.2}, confidence=CURVE
        )
        for name, c in (("soft", 51.0), ("hard", 60.0))
    ]
    read = share_between(*known, 55.0, 0.2)
    assert read.high - read.low < fine.high - fine.low


def test_what_tells_no_share_is_refused_with_the_reason():
    with pytest.raises(Trouble, match="tells no share"):
        share_between(HIGH, family("stearic_commercial"), 56.0, 0.3)
    with pytest.raises(Trouble, match="within 4 °C"):
        share_between(HIGH, from_sheet("like it", "paraffin_pillar", {}), 59.0, 0.3)
    with pytest.raises(Trouble, match="outside"):
        share_between(LOW, HIGH, 75.0, 0.3)


def test_one_way_round_is_the_other_the_other_way_round():
    there, back = share_between(LOW, HIGH, 54.0, 0.3), share_between(HIGH, LOW, 54.0, 0.3)
    assert there.likely == pytest.approx(1 - back.likely)
    assert there.low == pytest.approx(1 - back.high)
