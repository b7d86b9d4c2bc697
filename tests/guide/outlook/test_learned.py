"""What a day's looks make of its forecasts, worked out apart from the outlook."""

from __future__ import annotations

from typing import Any

from pourday.forecast.mould_case import USUAL_SPREAD
from pourday.guide.outlook.cases import case_of
from pourday.guide.outlook.learned import DayFactors, learned_words, with_factors
from pourday.session import events as ev

Day = Any


def test_nothing_seen_changes_nothing_and_soft_past_its_time_makes_it_slower(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    outlook, days = day.outlook(52), DayFactors()
    assert days.of(outlook.state, outlook.sheet) is None
    assert learned_words(None) == ""
    for minute in (110, 130):
        day.at(minute, ev.Looked(mould="A", cue="skinned"))
    seen = day.outlook(130.5)
    known = days.of(seen.state, seen.sheet)
    assert known is not None
    assert known.top.likely < 0.9
    for letter in "AB":
        _, case = case_of(seen.state, seen.sheet, seen.state.moulds[letter])
        assert with_factors(case, None, letter) == case
        slow = with_factors(case, known, letter)
        assert slow.vessel.top_factor < 0.9
        assert slow.spread != USUAL_SPREAD
    assert "slower than usual" in learned_words(known)
