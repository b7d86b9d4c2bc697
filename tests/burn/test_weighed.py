"""What a candle can weigh, by what it weighed last and how long it has burned since."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pourday.burn.candle import Candle
from pourday.burn.weighed import last_weight, weight_doubt
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.candle import Burn, CandleState
from pourday.wax.cure import Cure

HOUR = 3600.0


def candle(kg: float | None, *burns: Burn) -> Candle:
    return Candle(
        batch="2026-11-25-a", letter="A", label="", since=0.0, width=0.07, height=0.1, kg=kg, wick="30 ply",
        waxes=(), scent_load=0.0, dye_load=0.0, in_vessel=False,
        cure=Cure(1, 7, scented=False), life=CandleState("A", burns=burns),
    )  # fmt: skip


def burned(hours: float, before: float | None = None, cold: float | None = None) -> Burn:
    lit = ev.CandleLit(mould="A", kg=before)
    return Burn(lit_at=0.0, before=lit, ended_at=hours * HOUR, how="snuffed", cold_kg=cold)


@pytest.mark.parametrize(
    ("burns", "last"),
    [
        ((), (0.4, 0.0)),
        ((burned(4),), (0.4, 4 * HOUR)),
        ((burned(4, before=0.39),), (0.39, 4 * HOUR)),
        ((burned(4, cold=0.37),), (0.37, 0.0)),
        ((burned(4, cold=0.37), burned(3), burned(2)), (0.37, 5 * HOUR)),
    ],
)
def test_the_newest_weight_counts_and_the_hours_since(burns, last):
    assert last_weight(candle(0.4, *burns)) == last


def test_what_burns_takes_a_dozen_grams_an_hour_and_is_believed():
    """3 to 12 g/h of one wick: common practice, no source."""
    for rate in (0.003, 0.012):
        lit = candle(0.4, burned(4, before=0.4))
        assert weight_doubt(lit, 0.4 - 4 * rate, Plan()) == ""
    assert "weighed 400 g last: 6 g" in weight_doubt(candle(0.4, burned(4, before=0.4)), 0.006, Plan())


def test_a_candle_gains_nothing_and_one_that_was_never_weighed_is_believed():
    assert weight_doubt(candle(0.4), 0.4, Plan()) == ""
    assert weight_doubt(candle(0.4), 0.5, Plan()) != ""
    assert weight_doubt(candle(0.4), 0.3, Plan()) != ""
    assert weight_doubt(candle(None), 0.006, Plan()) == ""
    assert weight_doubt(replace(candle(0.4), kg=None), 5.0, Plan()) == ""
