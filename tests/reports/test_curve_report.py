"""A reading of a cooling curve as text and as data."""

from __future__ import annotations

import json

import numpy as np
import pytest

from pourday.curve.log import CoolingLog
from pourday.curve.reading import CurveReading, read_curve
from pourday.errors import Trouble
from pourday.reports.curve_report import between, between_text, curve_data, curve_text
from pourday.wax.materials import family


def test_a_curve_of_no_wax_tells_nothing_and_says_so():
    t = np.arange(0, 3600, 15.0)
    log = CoolingLog(seconds=t, celsius=np.round(20 + 60 * np.exp(-t / 1500), 1), resolution=0.1)
    reading = read_curve(log)
    data = curve_data(reading)
    assert set(data) == {"congealing_c", "early_c", "late_c", "range_c", "kind", "families"}
    assert json.loads(json.dumps(data)) == data
    assert (data["kind"], data["congealing_c"]) == ("none", None)
    assert "No plateau" in " ".join(curve_text(log, reading))


def test_the_share_of_a_blend_of_two_known_waxes_is_told_in_a_sentence():
    fall, flat = 75 - 0.5 * np.arange(38), 55.6 - 0.002 * np.arange(80)
    celsius = np.round(np.concatenate([fall, flat, 55.0 - 0.3 * np.arange(60)]), 1)
    reading = read_curve(CoolingLog(np.arange(len(celsius)) * 15.0, celsius, 0.1))
    low, pillar = family("paraffin_low"), family("paraffin_pillar")
    share = between(low, pillar, reading)
    assert share.likely == pytest.approx((55.6 - 52) / 7, abs=0.06)
    assert "about 5" in between_text(low, pillar, share)
    with pytest.raises(Trouble, match="no share"):
        between(low, pillar, CurveReading("none"))
