"""A reading of a cooling curve as text and as data."""

from __future__ import annotations

import json

import numpy as np

from pourday.curve.log import CoolingLog
from pourday.curve.reading import read_curve
from pourday.reports.curve_report import curve_data, curve_text


def test_a_curve_of_no_wax_tells_nothing_and_says_so():
    t = np.arange(0, 3600, 15.0)
    log = CoolingLog(seconds=t, celsius=np.round(20 + 60 * np.exp(-t / 1500), 1), resolution=0.1)
    reading = read_curve(log)
    data = curve_data(reading)
    assert set(data) == {"congealing_c", "early_c", "late_c", "range_c", "kind", "families"}
    assert json.loads(json.dumps(data)) == data
    assert (data["kind"], data["congealing_c"]) == ("none", None)
    assert "No plateau" in " ".join(curve_text(log, reading))
