"""Away from the stove: the burner first, the latest time to be back, and what is lost after it."""

from __future__ import annotations

from typing import Any

from pourday.guide.acts.act import Question
from pourday.guide.acts.leaving import leave
from pourday.guide.acts.menu import away_question, menu
from pourday.guide.advice.agenda import agenda
from pourday.session import events as ev
from pourday.times import clock

Day = Any  # the `Told` of conftest.py


def asked(day: Day, minute: float) -> Question:
    return away_question(day.state, day.t(minute), list(day.acts(minute).values()), day.outlook(minute))


def test_a_lit_burner_is_asked_after_first_and_cannot_be_left_lit(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on"))
    question = asked(day, 5)
    assert "Is the burner off?" in question.asks
    off, lit = question.choices
    assert off.facts == (ev.BurnerSet(state="off"),)
    assert off.then is not None
    assert "Back in" in off.then.asks
    assert lit.facts == ()
    assert lit.then is None


def test_between_two_layers_it_says_the_latest_time_to_be_back_and_what_is_lost(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    found = leave(day.outlook(52), list(day.acts(52).values()), day.t(52))
    closes = min(f.closes_spread.early for f in day.outlook(52).moulds.values())
    assert day.t(52) < found.back_by < closes
    # Its window closes between 08:37 and 09:18: neither is told as if it were sure.
    likely = min(f.closes for f in day.outlook(52).moulds.values())
    assert found.lost.startswith("As early as ")
    assert f"more likely from {clock(likely)} on, B may be too cold to fuse" in found.lost
    question = asked(day, 52)
    assert "Be back by" in question.asks
    latest = next(c for c in question.choices if c.key == "b")
    assert latest.facts[0].back_by.timestamp() == ev.moment(found.back_by).timestamp()


def test_an_absence_that_is_too_long_says_so_beside_its_key(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    labels = {c.key: c.label for c in asked(day, 52).choices}
    assert "too late" not in labels["1"]
    assert labels["4"] == "60 min, too late"


def test_with_a_mould_about_to_close_it_is_no_good_moment(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    closes = min(f.closes_spread.early for f in day.outlook(52).moulds.values())
    minute = (closes - day.t(0)) / 60 - 5
    assert "Not now, if you can help it" in asked(day, minute).asks


def test_after_the_last_pour_nothing_is_lost_by_going(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().second_layers().topped_up()
    assert "nothing is lost" in asked(day, 281).asks
    assert all("too late" not in c.label for c in asked(day, 281).choices)


def test_while_away_the_screen_says_what_is_lost_and_when(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    day.at(53, ev.WentAway(back_by=ev.moment(day.t(70))))
    now = day.now(54)
    assert now.word == "BACK 08:10"
    assert "B may be too cold to fuse" in now.says


def test_an_absence_hides_neither_a_burner_nobody_knows_nor_an_alarm(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    day.at(53, ev.WentAway(back_by=ev.moment(day.t(70))))
    day.at(60, ev.Reopened(program="0", away=60.0), by="program")
    assert day.now(61).word == "HEAT?"
    assert day.now(72).word == "HEAT?"
    assert "watch" in day.state.alarms


# -- the menu ------------------------------------------------------------------------------------------------


def offered(day: Day, minute: float, kind: str) -> list[str]:
    state, outlook = day.state, day.outlook(minute)
    act = next(a for a in agenda(state, outlook, day.t(minute)) if a.kind == kind)
    return [choice.label for choice in menu(state, outlook, act, day.t(minute)).choices]


def test_leaving_out_is_offered_only_where_it_does_something(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on")).at(5, ev.TimerSet(name="tea", due=ev.moment(day.t(9))))
    assert any(label.startswith("leave out: READ POT") for label in offered(day, 9, "read"))
    for kind in ("heat off", "timer"):
        assert not any(label.startswith("leave out") for label in offered(day, 9, kind))


def test_a_bath_that_ran_dry_is_answered_alike_in_the_act_and_at_any_time(day: Day) -> None:
    act = day.at(0, ev.BurnerSet(state="on")).act(16, "water")
    water = next(c for c in menu(day.state, day.outlook(16), act).choices if c.label == "water")
    assert water.then == act.question
    assert ev.BurnerSet(state="off") in water.then.choices[-1].facts


def test_wax_that_was_added_is_asked_for_by_its_weight(day: Day) -> None:
    act = day.melted().act(35, "jug")
    added = next(c for c in menu(day.state, day.outlook(35), act).choices if c.label == "wax added")
    facts = [choice.facts for choice in added.then.choices]
    assert (ev.WaxAdded(what="about", kg=0.1),) in facts
    assert facts[-1] == (ev.WaxAdded(),)
