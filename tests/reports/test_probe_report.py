"""What a probe says, as a line and as data."""

from __future__ import annotations

from pourday.probes.source import read_source
from pourday.probes.watch import ProbeWatch
from pourday.reports.probe_report import probe_data, probe_text


def test_a_line_says_place_temperature_what_came_its_age_and_its_doubt():
    probes = ProbeWatch({"pot": read_source("file:/x")})
    (good,) = probes.heard("pot", [b"T=74.6"], 10.0)
    assert " ".join(probe_text(good, 10.4, "metric").split()) == "pot pot 74.6 °C “T=74.6” 0 s"
    assert "166.3 °F" in probe_text(good, 10.4, "us")
    assert probe_data(good, 10.4) == {
        "source": "pot",
        "place": "pot",
        "celsius": 74.6,
        "raw": "T=74.6",
        "age": 0.4,
        "doubt": None,
    }
    (bad,) = probes.heard("pot", [b"T=850"], 11.0)
    assert probe_data(bad, 11.0)["doubt"] == "a wire is open"
    (none,) = probes.heard("pot", [b"hello"], 12.0)
    assert probe_data(none, 12.0)["celsius"] is None
    assert "in doubt: no temperature in it" in probe_text(none, 12.0, "metric")
