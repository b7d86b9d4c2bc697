"""From nothing to a plan: how many keys that takes, typed at the real program. The script stays here, so that it can be counted."""

from __future__ import annotations

import pytest

from pourday.plan.model import Cylinder, Square, WaterFilled
from pourday.plan.weigh import weigh_sheet
from pourday.store.reading import read_session

MOST = 120
"""Keys that the whole may take."""
UP, DOWN, PAGE, ENTER = "\x1b[A", "\x1b[B", "\x1b[6~", "\r"

FIRST_START = [*"nu", *"900m", ENTER]
"""A new plan; in US units; 900 m above the sea: asked once, for all plans."""
DAY = [DOWN, *"66", ENTER]
"""Past the session's name to the room: 66 °F."""
ROUND = [DOWN, DOWN, *"3", ENTER, *"6 1/2", ENTER]
"""Past units and shape (a cylinder of bright metal is usual): 3 in by 6 1/2 in."""
SQUARE = [PAGE, UP, ENTER, *"s", DOWN, *"2 1/2", ENTER, *"4", ENTER, *"p"]
"""Another mould: square, 2 1/2 in by 4 in, of plastic (polycarbonate)."""
ODD = [PAGE, UP, ENTER, *"o", DOWN, *"410g", ENTER]
"""Another mould: by the water it holds."""
WAX = [PAGE, *"paraffin ~60c", ENTER, PAGE, UP, UP, ENTER, *"palm", ENTER, *"30", ENTER]
"""Reclaimed paraffin of about 60 °C, and 30 % palm mixed in: the rest is 70 %."""
BANDS = [PAGE, PAGE, *"dark green to pale 3", ENTER]
"""Past the pot to the colours."""
SCENT = [DOWN, *"5", ENTER, PAGE, DOWN, *"5", ENTER]
"""5 % in the first and the second layer, which stand on top of the candle: it is cast upside down."""
SCRIPT = [*DAY, *ROUND, *SQUARE, *ODD, *WAX, *BANDS, *SCENT]


def test_from_nothing_to_a_plan_with_three_moulds_a_blend_and_three_bands_in_under_120_keys(kitchen):
    keys = len(FIRST_START) + len(SCRIPT)
    assert keys < MOST, keys
    screen = kitchen.run()
    screen.wait_for("Three ways to begin", "how do you weigh and measure?")
    for key in FIRST_START:
        screen.type(key)
        screen.pump(0.02)
    screen.wait_for("Weigh sheet")
    for key in SCRIPT:
        screen.type(key)
    screen.type("\x1b[F")  # The End key: to BEGIN THE DAY.
    screen.wait_for("› BEGIN THE DAY")
    plan = read_session(kitchen.folder, kitchen.session()).state.plan
    round_, square, odd = (mould.shape for mould in plan.moulds)
    assert isinstance(round_, Cylinder)
    assert (round_.diameter, round_.height) == pytest.approx((0.0762, 0.1651))
    assert isinstance(square, Square)
    assert (square.side, square.height) == pytest.approx((0.0635, 0.1016))
    assert isinstance(odd, WaterFilled)
    assert odd.points[-1].water == pytest.approx(0.410)
    assert [mould.material for mould in plan.moulds] == ["bright metal", "plastic", "plastic"]
    assert [part.share for part in plan.blend] == pytest.approx([0.7, 0.3])
    reclaimed, palm = plan.blend
    assert (plan.own[0].id, palm.wax) == (reclaimed.wax, "palm")
    assert (plan.own[0].congealing_min_c, plan.own[0].congealing_max_c) == pytest.approx((57.0, 63.0))
    assert [layer.colour for layer in plan.layers] == ["dark green", "green", "pale green"]
    assert [layer.scent_load for layer in plan.layers] == [0.05, 0.05, 0.0]
    assert len({layer.swatch for layer in plan.layers}) == 3
    assert (plan.units, plan.altitude) == ("us", 900.0)
    assert plan.room_c == pytest.approx((66 - 32) / 1.8)
    assert weigh_sheet(plan).total > 0


def test_what_was_answered_at_the_first_start_is_not_asked_again(kitchen):
    screen = kitchen.run()
    screen.wait_for("how do you weigh and measure?")
    screen.type("u")
    screen.wait_for("How high above the sea")
    screen.type("up there\r")
    screen.wait_for("cannot be read", "How high above the sea")
    screen.type("\x7f" * 8 + "3000\r")
    screen.wait_for("Kept for all plans")
    screen.type("q")
    assert screen.ended() == 0
    again = kitchen.run()
    again.wait_for("Three ways to begin")
    assert "how do you weigh" not in again.text()
    again.type("n")
    again.wait_for("Weigh sheet", "us, 3000 ft")
