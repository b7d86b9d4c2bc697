"""Every plan of the set, played in the simulated kitchen by somebody who does what the guide says, at once and 20 minutes late.

The kitchen's density, shrinkage, cooling and hollows are its own: it shares nothing with the forecast. What was tuned was
tuned on `3x6`; all others were only looked at. A few of them in the normal suite, the whole set twice in the slow one.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.demo.day import Day
from pourday.demo.truth import truth
from pourday.guide.outlook.balance import wax_balance
from tests.demo.plan_set import PLANS

QUICK = ("3x6", "hexagon", "taper", "bands")
QUICK_LATE = ("4x6", "soy")
HOLLOW, HOLLOW_LATE = 0.01, 0.03
"""Largest share of the mould that may be hollow in the end, by a person who comes at once and 20 minutes late."""
LATE = 20 * 60.0
LINE_MM = 1.0
SPILLED_G = 0.5
"""Less than any kitchen scale shows."""

_quick = [(name, 0.0) for name in QUICK] + [(name, LATE) for name in QUICK_LATE]
_slow = [(name, late) for name in PLANS for late in (0.0, LATE) if (name, late) not in _quick]


@pytest.mark.parametrize(
    ("name", "late"),
    [*_quick, *(pytest.param(*each, marks=pytest.mark.slow) for each in _slow)],
)
def test_the_candle_comes_out_full_to_its_line_and_nothing_is_spilled(
    tmp_path: Path, name: str, late: float
) -> None:
    said: list[str] = []
    day = Day(tmp_path, said.append, plan=PLANS[name], late=late)
    day.play()
    state = day.live.state
    day.live.close()
    came = truth(day.kitchen)
    assert state.finished_at is not None
    for mould in came.moulds:
        assert mould.spilled_g <= SPILLED_G, mould
        assert mould.hollow_ml / mould.mould_ml < (HOLLOW_LATE if late else HOLLOW), mould
        assert abs(mould.last_line_off_mm) <= LINE_MM, mould
    assert came.accounted_g == pytest.approx(came.melted_g, rel=1e-3)
    # What the record says of it closes as well, from what was planned and weighed alone.
    assert wax_balance(state).explained, wax_balance(state)
