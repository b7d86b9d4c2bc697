"""Nothing is switched by a guess: where the forecast of the pot is wide, the thermometer is read first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pourday.demo.day import Day
from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.stove_reads import READ_SOONEST, UNSURE, last_wax_reading
from pourday.guide.advice.adviser import Advice
from pourday.session import events as ev
from tests.demo.plan_set import PLANS

HOUR = 3600.0
SWITCH = ("heat on", "heat low", "heat off")


@pytest.mark.parametrize(
    ("plan", "seed", "hours"),
    [
        (None, 1, 5.0),
        pytest.param(None, 2, 5.0, marks=pytest.mark.slow),
        pytest.param("demo-one-jug", 3, 4.0, marks=pytest.mark.slow),
    ],
)
def test_no_switch_is_told_by_a_guess_that_spreads_wide(
    tmp_path: Path, plan: str | None, seed: int, hours: float
) -> None:
    """On the day this began with, "burner off" stood there by a guess of 59 to 82 °C from one reading."""
    day = Day(tmp_path, lambda _: None, seed=seed, plan=PLANS[plan] if plan else None)
    switches = 0
    try:
        while day.now - day.start < hours * HOUR and day.step():
            advice = day.adviser.advise(day.live.state, day.now)
            assert advice.now is not None
            act = advice.now.act
            if act.kind not in SWITCH or act.urgency is Urgency.FIRST:
                continue
            switches += 1
            assert _may_be_told(advice, act, day.now), (act.says, (day.now - day.start) / 60)
    finally:
        day.live.close()
    assert switches >= 3


def _may_be_told(advice: Advice, act: Act, now: float) -> bool:
    """Whether somebody read the wax just now, or the forecast is narrow, or the wax was never heated."""
    assert advice.outlook is not None
    assert advice.outlook.pot is not None
    low, _, high = advice.outlook.pot.at(now)
    last = last_wax_reading(advice.state)
    fresh = last is not None and now - last.t < READ_SOONEST
    return fresh or high - low <= UNSURE or not advice.state.burner_spans or act.due > now


def test_a_reading_that_is_asked_for_can_be_left_out(day_of: Any) -> None:
    """The person decides: who has no thermometer at hand goes on by the guess, and is told to turn the flame down by it."""
    day = day_of().at(0, ev.BurnerSet(state="on"))
    first = day.now(9).act
    assert first.kind == "read"
    day.at(9.1, ev.Waived(act=str(first.id)))
    assert day.now(9.2).act.id != first.id
    down = next(
        m for m in range(10, 90) if day.at(m, ev.WatchAnswered(), ev.WaterSeen()).now(m).act.kind in SWITCH
    )
    assert day.now(down).act.kind in ("heat low", "heat off")
