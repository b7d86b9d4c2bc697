"""What a day's looks make of its forecasts, worked out apart from the outlook."""

from __future__ import annotations

from typing import Any

import pytest

from pourday.forecast.mould_case import USUAL_SPREAD
from pourday.guide.outlook.cases import case_of
from pourday.guide.outlook.learned import DayFactors, learned_news, with_factors
from pourday.guide.outlook.mould_heat import MouldHeatCache
from pourday.guide.outlook.outlook import Outlook, look_ahead
from pourday.session import events as ev

Day = Any


def test_nothing_seen_is_the_usual_and_soft_past_its_time_makes_it_slower(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    outlook, days = day.outlook(52), DayFactors()
    known, _ = days.of(outlook.state, outlook.sheet)
    assert known.factors.top.likely == 1.0
    assert known.looks == 0
    assert learned_news(known.factors, known.factors) == ""
    for minute in (80, 95):
        day.at(minute, ev.Looked(mould="A", cue="wet"))
    seen = day.outlook(95.5)
    known, before = days.of(seen.state, seen.sheet)
    assert known.factors.top.likely < before.factors.top.likely < 0.95
    for letter in "AB":
        _, case = case_of(seen.state, seen.sheet, seen.state.moulds[letter])
        slow = with_factors(case, known.factors, letter)
        assert slow.vessel.top_factor < 0.9
        assert slow.spread != USUAL_SPREAD
    assert "to set" in seen.news


def test_a_look_at_one_mould_moves_its_window_and_that_of_the_other(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    before = day.outlook(52)
    for minute in (80, 95, 115):  # One alone that is so unlikely may be wrong.
        day.at(minute, ev.Looked(mould="A", cue="wet"))
    after = day.outlook(115.5)
    for letter in "AB":
        old, new = before.mould(letter), after.mould(letter)
        assert old is not None
        assert new is not None
        assert new.opens.likely > old.opens.likely + 120
    seen_at = after.state.moulds["A"].looks[-1].t
    assert after.mould("A").opens.early >= seen_at - 1  # type: ignore[union-attr]
    assert "longer to set than usual" in after.news or "twice as long to set as usual" in after.news


def test_what_a_look_taught_is_said_until_the_next_look_only(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    for minute in (80, 90):
        day.at(minute, ev.Looked(mould="A", cue="wet"))
    assert day.outlook(115.5).news
    day.at(118, ev.Looked(mould="B", cue="wet"))
    assert not day.outlook(118.5).news


def test_what_is_read_off_a_mould_stays_until_something_about_it_changes(day: Day) -> None:
    """A reading of the pot is no news of a mould; a look at it is, and at its fellow too, for that teaches of both."""
    cache = MouldHeatCache()

    def outlook(minute: float) -> Outlook:
        return look_ahead(day.state, day.t(minute), cache)

    day.melted().plugged().sealed().first_layers()
    first = outlook(52)
    day.at(60, ev.Reading(place="pot", celsius=78.0, typed="78"))
    assert outlook(60.5).moulds == first.moulds
    day.at(115, ev.Looked(mould="A", cue="wet"))
    seen = outlook(115.5)
    fresh = look_ahead(day.state, day.t(115.5))
    for letter in "AB":
        assert seen.moulds[letter] is not first.moulds[letter]
        # Heat that was kept is gone on from, so the last digits differ: by less than a second.
        assert seen.moulds[letter].opens.likely == pytest.approx(fresh.moulds[letter].opens.likely, abs=1.0)
    assert outlook(116).moulds == seen.moulds
