"""Every plan of the set, played in the simulated kitchen by somebody who does what the guide says, at once and 20 minutes late.

The kitchen's density, shrinkage, cooling and hollows are its own: it shares nothing with the forecast. The plans of `PLANS`
were looked at while the pours and top-ups were written, those of `HELD_BACK` afterwards, once before three constants were set
for the last time, those of `BANDED` while it was settled what is closed in. A few of them in the normal suite, all of them twice in the slow one.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from pourday.demo.day import Day
from pourday.demo.player import PourSize
from pourday.demo.truth import Truth, truth
from pourday.guide.outlook.balance import wax_balance
from pourday.session import events as ev
from tests.demo.plan_set import BANDED, HELD_BACK, PLANS

ALL = PLANS | HELD_BACK | BANDED
QUICK = ("glass",)
"""A plant wax in a vessel that stays; the six bands of `bands`, 12 s of processor time, are with all others in the slow suite."""
QUICK_LATE = ("glass",)
QUICK_BY_SCALE = "votive"
HOLLOW, HOLLOW_LATE = 0.01, 0.03
"""Largest share of the mould that may be hollow in the end, by a person who comes at once and 20 minutes late."""
LATE = 20 * 60.0
LINE_MM, LINE_BY_SCALE_MM = 1.0, 2.0
SPILLED_G, SPILLED_BY_SCALE_G = 0.5, 2.0
"""Less than any kitchen scale shows; and a few drops."""
LAYER_OFF = 0.05
"""Share of what a layer takes by which the weight given for it may be off."""
OFF_G_PER_ML = 0.01
"""g for every ml of the mould by which a pour may be off once one was made to a line."""
WITHIN = 0.8
"""Share of pours that the early and late weight are said to hold."""
PARTED = 4
"""Pours of one day share its lot of wax and its jugs, so they tell as much as a quarter of their number (estimate)."""
MOST_VISITS = 5
"""Top-ups of one mould: two to four for a wide one (common practice, no source), and one that closes the last hole."""

_quick = [(name, 0.0) for name in QUICK] + [(name, LATE) for name in QUICK_LATE]
_slow = [(name, late) for name in ALL for late in (0.0, LATE) if (name, late) not in _quick]


Played = Callable[..., tuple[Day, list[str]]]


@pytest.fixture
def played(played_day: Played) -> Callable[..., tuple[Day, Truth]]:
    """A plan's day played to its end, and what became of it."""

    def day_and_truth(name: str, **person: float | bool) -> tuple[Day, Truth]:
        day, _ = played_day(name, **person)
        return day, truth(day.kitchen)

    return day_and_truth


def stands_full(came: Truth, hollow: float, spilled_g: float, line_mm: float) -> None:
    for mould in came.moulds:
        assert mould.spilled_g <= spilled_g, mould
        assert mould.hollow_ml / mould.mould_ml < hollow, mould
        assert abs(mould.last_line_off_mm) <= line_mm, mould


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow) for name in ("bands-2-thin-last", "bands-3-wide")]
)
def test_a_lot_lighter_than_its_row_and_what_later_bands_shut_in_are_no_room_for_a_top_up(
    played: Callable[..., tuple[Day, Truth]], name: str
) -> None:
    # Seed 4 has a lot that takes up 2.7 % more room than its row says. Read as room, that had the plan changed for a pour
    # that stood at its line, and left hollows of 3.7 and 4.9 %.
    day, came = played(name, seed=4)
    stands_full(came, HOLLOW, SPILLED_G, LINE_MM)
    assert not any(isinstance(entry.fact, ev.PlanRevised) for entry in day.live.entries)
    for size in day.player.sizes[1:]:
        assert abs(size.guide.kg - size.takes) < OFF_G_PER_ML * came.moulds[0].mould_ml / 1000, size


def layers_are_sized(sizes: list[PourSize]) -> None:
    for size in sizes:
        if size.part == "layer":
            assert size.guide.kg == pytest.approx(size.takes, rel=LAYER_OFF), size


def visits(day: Day) -> dict[str, int]:
    """How many top-ups each mould had."""
    return {
        letter: sum(pour.part == "top-up" for pour in mould.pours)
        for letter, mould in day.live.state.moulds.items()
    }


@pytest.mark.parametrize(
    ("name", "late"),
    [*_quick, *(pytest.param(*each, marks=pytest.mark.slow) for each in _slow)],
)
def test_the_candle_comes_out_full_to_its_line_and_nothing_is_spilled(
    played: Callable[..., tuple[Day, Truth]], name: str, late: float
) -> None:
    day, came = played(name, late=late) if late else played(name)
    state = day.live.state
    assert state.finished_at is not None
    stands_full(came, HOLLOW_LATE if late else HOLLOW, SPILLED_G, LINE_MM)
    assert came.accounted_g == pytest.approx(came.melted_g, rel=1e-3)
    # What the record says of it closes as well, from what was planned and weighed alone.
    assert wax_balance(state).explained, wax_balance(state)
    layers_are_sized(day.player.sizes)
    assert max(visits(day).values()) <= MOST_VISITS


@pytest.mark.parametrize(
    "name",
    [QUICK_BY_SCALE, *(pytest.param(name, marks=pytest.mark.slow) for name in ALL if name != QUICK_BY_SCALE)],
)
def test_who_pours_the_weights_given_and_looks_at_no_line_spills_next_to_nothing(
    played: Callable[..., tuple[Day, Truth]], name: str
) -> None:
    day, came = played(name, by_scale=True)
    assert day.live.state.finished_at is not None
    stands_full(came, HOLLOW_LATE, SPILLED_BY_SCALE_G, LINE_BY_SCALE_MM)


@pytest.mark.slow
@pytest.mark.parametrize("late", [0.0, LATE])
def test_four_of_five_pours_are_between_their_early_and_late_weight(
    played: Callable[..., tuple[Day, Truth]], late: float
) -> None:
    sizes = [
        size for name in ALL for size in played(name, late=late)[0].player.sizes if not size.guide.planned
    ]
    inside = sum(size.guide.low <= size.takes <= size.guide.high for size in sizes)
    print(f"{inside} of {len(sizes)}")
    # Less than this is seen once in a hundred times where the range is as wide as it says (binomial, 2.3 deviations).
    fewest = WITHIN - 2.3 * (WITHIN * (1 - WITHIN) * PARTED / len(sizes)) ** 0.5
    assert inside / len(sizes) >= fewest
