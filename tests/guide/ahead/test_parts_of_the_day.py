"""Single parts of the imagined day: the burner, the courses of the moulds, clashes, and the words for them."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import msgspec
import pytest

from pourday.forecast.mould import COARSE
from pourday.guide.acts.durations import LATE
from pourday.guide.ahead.burner import HeatNeed, PotAhead
from pourday.guide.ahead.clashes import Clash, too_much
from pourday.guide.ahead.moulds import carry_on, courses_of, waxes_in
from pourday.guide.ahead.schedule import PlannedAct
from pourday.guide.ahead.words import says_of
from pourday.plan.model import BlendPart, Plan


def pot(day, minute: float) -> PotAhead:
    return PotAhead(day.state, day.outlook(minute), day.t(minute), day.t(minute))


def test_an_unlit_pot_is_hot_later_than_now_and_early_likely_late_stand_in_order(day):
    hot = pot(day, 1).hot
    assert day.t(1) < hot.early <= hot.likely <= hot.late


def test_the_burner_is_lit_before_hot_wax_is_wanted_and_never_twice_at_once(day):
    day.melted().jug(35, 0)
    ahead = pot(day, 36)
    needs = [HeatNeed(day.t(m), day.t(m + 10), 0.5) for m in (200, 400)]
    spans = ahead.burns(needs, day.t(36), day.t(36))
    assert len(spans) == 2
    assert all(span.on < span.off for span in spans)
    assert all(a.off <= b.on for a, b in pairwise(spans))
    assert all(b.on < n.start <= b.off for b, n in zip(spans, needs, strict=True))


def test_a_mould_has_three_courses_and_carried_on_its_wax_cools_towards_the_room(day):
    day.melted().plugged().sealed().first_layers()
    outlook = day.outlook(60)
    courses = courses_of(day.state, outlook, day.t(60))
    assert sorted((c.letter, c.way) for c in courses) == [(x, w) for x in "AB" for w in (0, 1, 2)]
    carry_on(courses, COARSE, to_the_end=True)
    hottest = courses[0].section(day.t(60) + 20 * 3600)
    assert float(hottest.celsius.max()) == pytest.approx(day.plan.room_c, abs=4.0)
    assert len(waxes_in(day.state, outlook)) == len(day.plan.layers)


def test_two_minutes_past_the_closing_are_named_with_the_mould(day):
    clash = Clash("B", 1, day.t(200), day.t(190), 5 * LATE, 1, ())
    said = too_much([clash], day.outlook(1), day.t(1))
    assert "B" in said
    assert "10 min" in said
    assert too_much([], day.outlook(1), day.t(1)) == ""


def test_an_imagined_pour_is_said_with_its_mould_and_its_weight(day):
    mark = PlannedAct("pour", "A", 1, day.t(150), 60.0)
    outlook = day.outlook(1)
    said = says_of(mark, outlook)
    assert "A" in said
    (pour,) = (p for m in outlook.sheet.moulds if m.letter == "A" for p in m.pours if p.layer == 1)
    assert outlook.mass(pour.kg) in said
    assert says_of(replace(mark, moulds="B"), outlook) != said


def test_a_pot_that_may_never_be_hot_has_the_widest_spread_and_not_none(day_of):
    """Palm wax wants more than 90 °C, and at 1500 m water boils at 95: nobody knows when, if ever."""
    palm = Plan(blend=(BlendPart(wax="palm"),))
    plans = (
        Plan(),
        msgspec.structs.replace(palm, altitude=1500.0),
        msgspec.structs.replace(palm, altitude=2500.0),
    )
    spreads = [pot(day_of(plan), 0).hot for plan in plans]
    assert all(hot.early <= hot.likely <= hot.late < math.inf for hot in spreads)
    sure, doubtful, hopeless = (hot.late - hot.early for hot in spreads)
    assert sure < 2400.0
    assert min(doubtful, hopeless) > 2 * 3600.0
