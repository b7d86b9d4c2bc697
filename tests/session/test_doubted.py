"""Two readings that agree against the forecast are believed, whatever was mistyped between them."""

from __future__ import annotations

import pytest

from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.alarms import alarms
from pourday.session import events as ev
from pourday.session.doubted import borne_out
from pourday.session.events import Fact
from pourday.session.state import State
from tests.session.test_readings import NOON, pot_of, reading_of, state_of


def read(celsius: float, doubt: str = "") -> ev.Reading:
    return ev.Reading(place="pot", celsius=celsius, typed=str(celsius), doubt=doubt)


NO = "does not fit"
LIT: tuple[tuple[float, Fact], ...] = ((0.5, ev.BurnerSet(state="on")),)


@pytest.mark.parametrize(
    ("said", "pairs", "alone"),
    [
        ([read(24.5, NO), read(25.5, NO)], [(24.5, 25.5)], []),
        ([read(24.5, NO), read(97.0, NO), read(25.5, NO)], [(24.5, 25.5)], []),
        ([read(24.5, NO), read(97.0, NO)], [], [24.5, 97.0]),
        # One that fits says that all is as it was.
        ([read(24.5, NO), read(17.0), read(25.5, NO)], [], [25.5]),
        ([read(24.5, NO), read(25.5, NO), read(97.0, NO)], [(24.5, 25.5)], [97.0]),
        # A jug says nothing of the pot.
        ([read(24.5, NO), ev.Reading(place="jug", celsius=60.0), read(25.5, NO)], [(24.5, 25.5)], []),
    ],
)
def test_which_doubted_readings_bear_each_other_out(
    said: list[ev.Reading], pairs: list[tuple[float, float]], alone: list[float]
) -> None:
    state = state_of(*((1.0 + 0.5 * n, fact) for n, fact in enumerate(said)))
    found, left = borne_out(state.readings)
    assert [(one.celsius, other.celsius) for one, other in found] == pairs
    assert [reading.celsius for reading in left] == alone


def test_hours_make_no_two_readings_agree() -> None:
    """45 and 97 °C an hour apart are two slips of the keys, not one pot."""
    state = state_of((1.0, read(45.0, NO)), (61.0, read(97.0, NO)))
    assert borne_out(state.readings)[0] == []


def test_two_cool_readings_win_over_a_forecast_and_over_a_slip_of_the_keys() -> None:
    """Wax from a warm cupboard, in a kitchen that was told to be cool: 97 typed for 27 is no heat."""
    typed: tuple[tuple[float, float], ...] = ((1.0, 34.0), (1.5, 97.0), (2.0, 34.5))
    said: list[tuple[float, Fact]] = [*LIT]
    for minute, celsius in typed:
        state = state_of(*said)
        fact = reading_of(state, pot_of(state, minute), "pot", celsius, str(celsius), NOON + 60 * minute)
        assert fact.doubt
        said.append((minute, fact))
    before, state = state_of(*said[:-1]), state_of(*said)
    assert "ceiling" in alarmed(before, 1.75)
    assert "ceiling" not in alarmed(state, 2.1)
    assert pot_of(state, 2.1).at(NOON + 126)[1] == pytest.approx(34.5, abs=2.0)


def alarmed(state: State, minute: float) -> list[str]:
    """Names of the alarms that there is cause for."""
    outlook = Adviser().advise(state, NOON + 60 * minute).outlook
    assert outlook is not None
    return [alarm.id for alarm in alarms(state, outlook, NOON + 60 * minute)]
