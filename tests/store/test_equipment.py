"""Who and with what: the settings as a fact of the record, filed once and again when they change."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.session import events as ev
from pourday.session.describe_equipment import check_words, equipped_words
from pourday.session.fold import fold
from pourday.store.equipment import equipped_by, put_on_record
from pourday.store.live import LiveSession
from pourday.store.settings import Settings

NOON = 1_795_608_000.0
MINE = Settings(
    who="A. Chandler", thermometer="long probe", in_ice=(0.4, "20 November"), scale="bench", scale_step=0.001
)


def test_settings_that_say_nothing_put_nothing_on_record(tmp_path: Path) -> None:
    assert equipped_by(Settings()) == ev.Equipped()
    live = LiveSession.create(tmp_path, "s", now=NOON)
    put_on_record(live, Settings(), now=NOON)
    assert len(live.entries) == 1


def test_it_is_filed_once_and_again_when_it_changes_and_never_in_a_demo(tmp_path: Path) -> None:
    live = LiveSession.create(tmp_path, "s", now=NOON)
    for settings in (MINE, MINE, replace(MINE, who="B. Chandler"), Settings()):
        put_on_record(live, settings, now=NOON)
    whos = [e.fact.who for e in live.entries if isinstance(e.fact, ev.Equipped)]
    assert whos == ["A. Chandler", "B. Chandler", ""]
    assert fold(live.entries).equipped == ev.Equipped()
    demo = LiveSession.create(tmp_path, "d", now=NOON, demo=True)
    put_on_record(demo, MINE, now=NOON)
    assert len(demo.entries) == 1
    live.close()
    put_on_record(live, MINE, now=NOON)


def test_boiling_water_is_what_it_is_at_the_altitude() -> None:
    """94.97 degC at 1500 m: U.S. Standard Atmosphere 1976 (84.556 kPa) and the steam table of IAPWS-IF97."""
    check = equipped_by(replace(MINE, in_boiling=(95.5, ""), altitude=1500.0)).checks[1]
    assert check.should_c == pytest.approx(94.97, abs=0.1)
    assert "0.5 °C too high" in check_words(check, "metric") or "0.6 °C too high" in check_words(
        check, "metric"
    )


@pytest.mark.parametrize(
    ("read", "says"), [(0.4, "0.4 °C too high"), (-0.5, "0.5 °C too low"), (0.0, "right"), (0.04, "right")]
)
def test_a_check_is_told_with_its_offset(read: float, says: str) -> None:
    words = check_words(ev.ThermometerCheck(water="ice", read_c=read, should_c=0.0, on="today"), "metric")
    assert says in words
    assert "today" in words


def test_an_offset_in_fahrenheit_is_a_difference() -> None:
    """A kelvin is 1.8 degrees Fahrenheit, and 0.5 degC are shown as 32.9 degF."""
    words = check_words(ev.ThermometerCheck(water="ice", read_c=0.5, should_c=0.0), "us")
    assert "32.9 °F" in words
    assert "0.9 °F too high" in words


def test_only_what_was_told_is_in_the_words() -> None:
    assert equipped_words(ev.Equipped(), "metric") == []
    rows = dict(equipped_words(equipped_by(MINE), "us"))
    assert set(rows) == {"made by", "thermometer", "scale"}
    assert rows["thermometer"].startswith("long probe; showed 32.7 °F in ice, 20 November")
