"""Nothing is switched by a guess: where the forecast of the pot is wide, the thermometer is read first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pourday.guide.acts.flame_turns import read_first, turn_off
from pourday.guide.acts.heat_plan import PourNeed
from pourday.guide.acts.stove_reads import READ_SOONEST, UNSURE
from pourday.session import events as ev
from tests.demo.plan_set import PLANS
from tests.demo.usual_day import SWITCH, UsualDay

HOURS, HOUR = 5.0, 3600.0


def told_by_more_than_a_guess(day: UsualDay) -> None:
    """Every switch within the first hours: somebody read the wax just now, or the forecast is narrow, or the wax was never heated."""
    switches = [each for each in day.switches if each.t - day.start < HOURS * HOUR]
    assert len(switches) >= 3
    for told in switches:
        fresh = told.last_read is not None and told.t - told.last_read < READ_SOONEST
        narrow = told.spread <= UNSURE
        assert fresh or narrow or not told.heated or told.due > told.t, (told.says, (told.t - day.start) / 60)


def test_no_switch_is_told_by_a_guess_that_spreads_wide(usual_day: UsualDay) -> None:
    """On the day this began with, "burner off" stood there by a guess of 59 to 82 °C from one reading."""
    told_by_more_than_a_guess(usual_day)


@pytest.mark.slow
@pytest.mark.parametrize(("plan", "seed"), [(None, 2), ("demo-one-jug", 3)])
def test_no_switch_of_another_day_is_told_by_a_guess(tmp_path: Path, plan: str | None, seed: int) -> None:
    day = UsualDay(tmp_path, seed, PLANS[plan] if plan else None)
    try:
        while day.now - day.start < HOURS * HOUR and day.step():
            pass
    finally:
        day.live.close()
    told_by_more_than_a_guess(day)


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


def test_a_flame_that_goes_down_waits_for_no_reading_where_the_wax_may_be_over_its_ceiling(lit: Any) -> None:
    """READ POT stood before HEAT OFF while the forecast went from 80 to 97 °C: out is safe whatever the thermometer shows."""
    lit.at(10, ev.Reading(place="pot", celsius=45.0))
    seen = set()
    for minute in range(11, 40):
        state, outlook, now = lit.state, lit.outlook(minute), lit.t(minute)
        first = PourNeed(now, "AB", 0, 85.0, drawn=False)
        words = [act.word for act in read_first(state, outlook, [first], turn_off("", now), now)]
        low, _, high = outlook.pot.at(now)
        if high >= outlook.ceiling_c:
            assert words == ["HEAT OFF"]
        elif high - low > UNSURE:
            assert words == ["READ POT", "HEAT OFF"]
        seen.add(tuple(words))
    assert len(seen) == 2, "both were met"
