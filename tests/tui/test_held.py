"""A key that is held: what counts as held, by the times at which its repeats arrive."""

from __future__ import annotations

import pytest

from pourday.tui.terminal.held import HeldKey


def counted(presses: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """The presses that count, in the end: a doubtful one where no repeat comes right after it."""
    held, found = HeldKey(), list[tuple[str, float]]()
    doubtful = False
    for press in presses:
        repeats = held.repeats(*press)
        if doubtful and repeats and held.by_machine:
            found.pop()
        doubtful = held.doubtful
        if not repeats:
            found.append(press)
    return found


@pytest.mark.parametrize("delay", [0.03, 0.25, 0.5, 0.66])
@pytest.mark.parametrize("rate", [10.9, 25.0, 33.0])
def test_ten_seconds_of_a_held_key_are_one_press(delay: float, rate: float) -> None:
    """Delay and rate of the Linux console (250 ms, 10.9 Hz; kbdrate(8)) and of the X server (660 ms, 25 Hz; xset(1))."""
    times = [0.0, *(delay + n / rate for n in range(int(10 * rate)))]
    assert counted([("h", t) for t in times]) == [("h", 0.0)]


def test_let_go_of_for_a_moment_it_counts_again() -> None:
    assert counted([("z", 0.0), ("z", 0.3), ("z", 0.6), ("z", 1.2)]) == [("z", 0.0), ("z", 1.2)]
    assert counted([("z", 0.0), ("z", 0.55), ("z", 1.6)]) == [("z", 0.0), ("z", 0.55), ("z", 1.6)]


def test_a_key_with_another_between_is_not_held() -> None:
    """A burst of readings ends each with Enter."""
    burst = [(key, n * 0.001) for n, key in enumerate(["7", "4", "enter", "7", "5", "enter"])]
    assert counted(burst) == burst
