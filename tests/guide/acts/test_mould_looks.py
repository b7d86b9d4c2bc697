"""When a layer is looked at, and what is said of a pour before it is made."""

from __future__ import annotations

from dataclasses import replace as with_fields
from typing import Any

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.act import Choice
from pourday.guide.acts.durations import LOOK_LATEST, LOOK_SOONEST
from pourday.guide.acts.mould_looks import LOOK_AHEAD, SURE_OF_CRUST, doubted_look, look_at, next_look
from pourday.guide.acts.pour_effect import remelt_words
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py
MINUTE = 60.0


def minute_of(day: Day, t: float) -> float:
    return (t - day.t(0)) / MINUTE


def look_of(day: Day, minute: float, letter: str) -> Any:
    return next(a for a in day.acts(minute).values() if a.kind == "look" and a.moulds == letter)


@pytest.mark.parametrize("letter", ["A", "B"])
def test_the_first_look_comes_when_the_layer_may_be_firm_and_before_its_window_may_close(
    waiting: Day, letter: str
) -> None:
    forecast = waiting.outlook(52).mould(letter)
    due = look_at(forecast)
    assert min(forecast.opens.likely, forecast.best) <= due <= forecast.best
    assert due < forecast.closes
    look = look_of(waiting, 52, letter)
    assert look.due == due
    assert look.window.early <= look.due <= look.window.late
    assert look.window.likely < look.closes


@pytest.mark.parametrize("letter", ["A", "B"])
def test_looks_are_few_for_a_layer_that_keeps_to_its_forecast(waiting: Day, letter: str) -> None:
    """A surface found soft until its likely crust, long after it may have set, takes a few looks, not one every few minutes."""
    firm = waiting.outlook(52).mould(letter).firm.likely
    looks, due = 0, look_of(waiting, 52, letter).due
    while due < firm:
        looks += 1
        minute = minute_of(waiting, due)
        waiting.at(minute, ev.Looked(mould=letter, cue="skinned"))
        due = look_of(waiting, minute + 0.5, letter).due
        assert LOOK_SOONEST - 1 <= due - waiting.t(minute) <= LOOK_LATEST + 1
    assert looks <= 5


def test_a_look_long_before_its_time_brings_the_next_forward_only_by_what_it_teaches(waiting: Day) -> None:
    before = look_of(waiting, 52, "A").due
    forecast = waiting.outlook(52).mould("A")
    minute = minute_of(waiting, forecast.skinned.likely) + 5
    waiting.at(minute, ev.Looked(mould="A", cue="skinned"))
    after = waiting.outlook(minute + 1).mould("A")
    due = look_of(waiting, minute + 1, "A").due
    assert due == look_at(after)
    # A skin that is there at its time says that the kitchen is none of the slow ones.
    assert after.opens.late < forecast.opens.late
    assert after.opens.likely <= due <= before


def test_what_goes_slowly_is_looked_at_more_seldom(day_of: type[Day]) -> None:
    """Past its time a wide bright mould is left alone for longer than a narrow plastic one."""
    steps = {}
    for letter in "AB":
        waiting = day_of().melted().plugged().sealed().first_layers()
        forecast = waiting.outlook(52).mould(letter)
        late = minute_of(waiting, forecast.firm.likely) + 5
        early = minute_of(waiting, forecast.opens.likely)
        # One look alone that is so late may be wrong; several are not.
        for minute in (early, (early + late) / 2, late):
            waiting.at(minute, ev.Looked(mould=letter, cue="skinned"))
        seen = waiting.state.moulds[letter]
        steps[letter] = next_look(waiting.outlook(late + 0.1).mould(letter), seen, "").due - waiting.t(late)
    assert steps["A"] > steps["B"]


# -- said of a pour before it is made --------------------------------------------------------------------


def test_the_why_of_a_pour_says_how_deep_it_melts_the_old_wax_and_for_how_long(waiting: Day) -> None:
    minute = minute_of(waiting, waiting.outlook(52).mould("B").best)
    waiting.at(minute, ev.Looked(mould="B", cue="firm")).jug(minute, 1)
    waiting.at(minute + 1, ev.Reading(place="jug", celsius=82.0))
    pour = next(a for a in waiting.acts(minute + 1.5).values() if a.kind == "pour" and "B" in a.moulds)
    assert "In B, poured at 82 °C: at the wall" in pour.why
    assert "in the middle" in pour.why
    outlook = waiting.outlook(minute + 1.5)
    forecast = outlook.mould("B")
    found = outlook.foresee("B", waiting.t(minute + 1.5), 82.0)
    assert remelt_words(outlook, forecast, found.remelt) in pour.why


def test_a_top_up_says_how_much_fits_now_and_to_which_line(waiting: Day) -> None:
    """The wax of the table loses about 10-12 % from hot liquid to cold solid; part of it is the gap at the wall."""
    waiting.second_layers()
    waiting.at(215, ev.Looked(mould="A", cue="firm"))
    minute = next(a.due for a in waiting.acts(216).values() if a.kind == "look" and "B" in a.moulds)
    top_up = next(a for a in waiting.acts(216).values() if a.kind == "top-up" and "A" in a.moulds)
    assert minute > 0
    assert "below its rim, never above" in top_up.says
    assert "(" in top_up.says.split("about", 1)[1], "the spread stands beside the weight"
    asked = next(f for f in top_up.records if isinstance(f, ev.Poured) and f.mould == "A")
    whole = weigh_sheet(two_pillars()).mould("A").finished
    assert 0.01 * whole < asked.planned_kg < 0.08 * whole


def test_lengths_and_weights_of_a_forecast_are_in_the_plans_units(day_of: type) -> None:
    told: Day = day_of(plan=replace(two_pillars(), units="us"))
    told.melted().plugged().sealed().first_layers().second_layers()
    told.at(215, ev.Looked(mould="A", cue="firm"))
    says = next(a for a in told.acts(216).values() if a.kind == "top-up" and "A" in a.moulds).says
    assert " oz" in says
    assert " g " not in says


# -- a look that cannot be --------------------------------------------------------------------------------


def saying(letter: str, cue: Any) -> Choice:
    return Choice("x", "", (ev.Looked(mould=letter, cue=cue),))


def test_a_look_is_asked_about_only_where_it_can_hardly_be(waiting: Day) -> None:
    outlook = waiting.outlook(52)
    forecast, poured = outlook.mould("A"), outlook.state.moulds["A"].last_pour.t
    early, late = forecast.opens.early - poured, forecast.skinned.late - poured
    for cue, wait, asked in (
        ("firm", early * 0.3, True),
        ("cold", early * 0.3, True),
        ("firm", early * 0.4, False),
        ("skinned", early * 0.1, False),
        ("wet", early * 0.1, False),
        ("wet", late * 2.9, False),
        ("wet", late * 3.1, True),
    ):
        question = doubted_look(outlook.state, outlook, saying("A", cue), poured + wait)
        assert (question is not None) == asked, (cue, wait)
    assert question is not None
    assert [choice.facts for choice in question.choices] == [(ev.Looked(mould="A", cue="wet"),)]
    assert "A" in question.asks
    assert "Look again" in question.asks


def test_without_a_forecast_or_a_pour_no_look_is_doubted(waiting: Day, day_of: type[Day]) -> None:
    state = waiting.state
    assert doubted_look(state, None, saying("A", "firm"), waiting.t(52)) is None
    begun = day_of()
    assert doubted_look(begun.state, begun.outlook(1), saying("A", "firm"), begun.t(1)) is None


def test_whoever_goes_by_a_crust_is_sent_to_look_for_one(waiting: Day) -> None:
    """Nine times in ten there is none before; where the window may close before that, they look earlier."""
    forecast = waiting.outlook(55).mould("A")
    assert forecast is not None
    closes, opens = forecast.closes_spread, forecast.opens
    assert closes is not None
    soon = with_fields(forecast, closes_spread=with_fields(closes, early=opens.likely))
    by_crust, by_skin = (look_at(with_fields(soon, crust=p)) for p in (SURE_OF_CRUST, SURE_OF_CRUST - 0.1))
    assert by_skin < by_crust
    assert by_crust >= min(forecast.firm.early, closes.likely - LOOK_AHEAD)
    assert by_crust < closes.likely
