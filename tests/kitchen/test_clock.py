"""The kitchen clock maps real seconds to kitchen seconds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.kitchen.clock import KitchenClock

START = 1_800_000_000.0


def test_runs_at_its_speed() -> None:
    clock = KitchenClock(START, 60)
    assert clock.now(5.0) == START
    assert clock.now(7.5) == START + 150


def test_a_change_of_speed_counts_from_then_on() -> None:
    clock = KitchenClock(START, 10)
    clock.now(0.0)
    clock.set_speed(600, 1.0)
    assert clock.now(2.0) == START + 10 + 600


def test_stands_still_while_paused_and_loses_nothing() -> None:
    clock = KitchenClock(START, 2)
    clock.now(0.0)
    clock.pause(1.0)
    assert clock.now(100.0) == START + 2
    clock.resume(100.0)
    assert clock.now(101.0) == START + 4


@pytest.mark.parametrize("speed", [0, 0.5, 601, float("nan")])
def test_a_speed_outside_its_range_is_refused(speed: float) -> None:
    with pytest.raises(Trouble, match="cannot run at"):
        KitchenClock(START, speed)
    clock = KitchenClock(START, 5)
    with pytest.raises(Trouble):
        clock.set_speed(speed, 0.0)
    assert clock.speed == 5


@given(
    st.lists(
        st.tuples(st.sampled_from(["now", "pause", "resume", "fast", "slow"]), st.floats(0, 1e6)),
        max_size=30,
    )
)
def test_never_runs_backwards_whatever_the_real_clock_does(acts: list[tuple[str, float]]) -> None:
    clock = KitchenClock(START)
    last = START
    for act, real in acts:
        match act:
            case "pause":
                clock.pause(real)
            case "resume":
                clock.resume(real)
            case "fast":
                clock.set_speed(600, real)
            case "slow":
                clock.set_speed(1, real)
        now = clock.now(real)
        assert now >= last
        last = now
