"""How low a low flame is set: as it was, until readings have shown it to be too strong or too weak."""

from __future__ import annotations

from typing import Any

import pytest

from pourday.guide.acts.flame_knob import knob_for, low_is_known, low_was_read
from pourday.guide.acts.heat_plan import PourNeed
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py
STRONG = ((59, 82.0), (64, 84.5), (67, 86.0))
WEAK = ((60, 82.0), (66, 79.5), (72, 77.5), (78, 76.0))


def low(day: Day, readings: tuple[tuple[float, float], ...]) -> Day:
    """First layers poured at 51, both jugs drawn, a low flame from 54 on, read so."""
    day.melted().jug(37, 1).plugged().sealed().first_layers().at(54, ev.BurnerSet(state="low"))
    for minute, celsius in readings:
        day.at(minute, ev.Reading(place="jug", celsius=celsius))
    return day


def knob(day: Day, minute: float, at: float = 120.0) -> ev.Knob | None:
    need = PourNeed(day.t(at), "AB", 1, 85.0, drawn=True, least=81.0)
    return knob_for(day.state, day.outlook(minute), need, day.t(minute))


def test_a_low_flame_that_nobody_has_read_is_left_as_it_is(day: Day) -> None:
    assert knob(low(day, ()), 55) is None
    assert not low_was_read(day.state)


def test_one_that_takes_jugs_to_their_ceiling_is_set_lower_and_said_instead_of_out(day: Day) -> None:
    assert knob(low(day, STRONG), 68) == "lower"
    act = next(a for a in day.acts(68).values() if a.kind.startswith("heat"))
    assert (act.word, act.kind, str(act.id).split()[:2]) == ("HEAT LOWER", "heat low", ["heat", "lower"])
    assert act.due <= day.t(72)
    assert "lower still" in act.says
    day.at(70, *act.records)
    assert day.state.burner_spans[-1].knob == "lower"
    assert low_is_known(day.state), "it is no stronger than the one that was read"
    assert not low_was_read(day.state)
    before, after = (day.outlook(70.5).pot.at(day.t(m))[1] for m in (71, 100))
    assert after < before, "the forecast knows of the knob"


def test_one_that_lets_jugs_go_cold_is_set_higher_not_turned_full_and_low_by_turns(day: Day) -> None:
    assert knob(low(day, WEAK), 79) == "higher"
    up = next(
        a
        for a in day.acts(
            79,
        ).values()
        if a.kind in ("heat on", "heat low")
    )
    assert up.word == "HEAT HIGHER"
    cold = day.outlook(79).pot.at(day.t(110))[1]
    day.at(79, *up.records)
    assert day.outlook(79.5).pot.at(day.t(110))[1] > cold + 2.0


def test_a_knob_has_an_end_and_whoever_says_so_is_not_asked_again(day: Day) -> None:
    low(day, STRONG).at(69, ev.BurnerSet(state="low", knob="lower"))
    for minute, celsius in ((73, 91.0), (77, 91.5)):
        day.at(minute, ev.Reading(place="jug", celsius=celsius))
    assert knob(day, 78) is None, "it was set as low as it burns"
    other = low(type(day)(), STRONG).at(69, ev.Waived(act="heat lower 1"))
    assert knob(other, 69) is None


@pytest.mark.parametrize("readings", [STRONG, WEAK])
def test_a_low_flame_turned_full_and_low_again_is_still_known(
    day: Day, readings: tuple[tuple[float, float], ...]
) -> None:
    low(day, readings).at(79, ev.BurnerSet(state="on")).at(81, ev.BurnerSet(state="low"))
    assert low_was_read(day.state)
