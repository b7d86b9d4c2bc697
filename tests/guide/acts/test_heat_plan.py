"""When the stove is asked for: one heat a window, few readings, no heat nobody needs."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from pourday.guide.acts.durations import JUG_HOT
from pourday.guide.acts.heat_plan import FIRST_KEEPS, POUR_KEEPS, fit_from, needs
from pourday.guide.acts.mould_acts import mould_acts
from pourday.guide.acts.pour_heat import SHARED, hottest_c, pour_range, with_pour_range
from pourday.guide.advice.agenda import order_now
from pourday.guide.outlook.room import next_top_up
from pourday.session import events as ev
from tests.guide.facts import looked

Day = Any  # the `Told` of conftest.py


def jug(celsius: float) -> ev.Reading:
    return ev.Reading(place="jug", celsius=celsius)


@pytest.fixture
def both_firm(waiting: Day) -> Day:
    """Both moulds seen firm at 120, the second jug not drawn yet."""
    return waiting.at(120, *(looked(x, "firm") for x in "AB"))


def test_between_the_pours_nothing_is_asked_of_the_stove(waiting: Day) -> None:
    first = min(a.due for a in waiting.acts(52).values() if a.kind == "look")
    last = int((first - waiting.t(0)) / 60) - 35
    for minute in range(53, last, 9):
        assert waiting.now(minute).word == "WAIT"
        stove = [a for a in waiting.acts(minute).values() if a.kind in ("read", "heat off", "water")]
        assert not [a for a in stove if a.due <= waiting.t(last)]


def test_the_heat_comes_after_the_look_where_the_window_is_long_and_before_it_where_it_is_short(
    waiting: Day,
) -> None:
    """A is a wide bright mould whose window is open for hours, B a narrow plastic one."""
    outlook, now = waiting.outlook(52), waiting.t(52)
    found = {
        need.moulds: need for need in needs(waiting.state, outlook, mould_acts(waiting.state, outlook), now)
    }
    looks = {a.moulds: a for a in waiting.acts(52).values() if a.kind == "look"}
    slack = {x: looks[x].closes - looks[x].due for x in "AB"}
    assert slack["A"] > 1.5 * slack["B"]
    assert found["A"].at > looks["A"].due
    assert found["B"].at <= outlook.mould("B").closes


def test_the_why_of_heat_names_the_colour_and_the_moulds(both_firm: Day) -> None:
    heat = both_firm.act(121, "heat on")
    assert "cream for" in heat.why
    assert "colour the jug" in heat.why


def test_a_jug_just_made_is_taken_to_be_hot_and_one_that_stood_is_not(both_firm: Day) -> None:
    both_firm.jug(125, 1)
    assert both_firm.act(126, "pour").due <= both_firm.t(126)
    late = 125 + JUG_HOT / 60 + 1
    assert both_firm.act(late, "pour").due > both_firm.t(late)
    stove = [
        a.kind
        for a in order_now(list(both_firm.acts(late).values()), both_firm.t(late))
        if a.kind in ("read", "heat on")
    ]
    # Nobody read it for long: how warm it still is comes first.
    assert stove == ["read", "heat on"]


def test_a_jug_read_too_hot_waits_as_long_as_it_is_too_hot(both_firm: Day) -> None:
    """B stands 85 °C."""
    both_firm.jug(125, 1)
    dues = {}
    for celsius in (84.0, 88.0, 92.0):
        told = type(both_firm)(entries=list(both_firm.entries)[1:])
        told.entries = [*both_firm.entries]
        told.at(130, jug(celsius))
        dues[celsius] = next(a for a in told.acts(130.1).values() if a.kind == "pour" and "B" in a.moulds).due
    assert dues[84.0] <= both_firm.t(130)
    assert both_firm.t(130) < dues[88.0] < dues[92.0] < both_firm.t(140)


def test_a_jug_read_too_cold_with_the_burner_off_asks_for_heat_and_with_it_on_for_patience(
    both_firm: Day,
) -> None:
    both_firm.jug(125, 1).at(137, jug(70.0))
    assert both_firm.now(138).word == "HEAT ON"
    assert both_firm.act(138, "pour").due == float("inf")
    both_firm.at(138.5, ev.BurnerSet(state="on"))
    assert both_firm.t(139) < both_firm.act(139, "pour").due < both_firm.t(160)


def test_moulds_that_want_different_heat_are_poured_in_the_range_they_share(both_firm: Day) -> None:
    both_firm.jug(125, 1)
    outlook, act = both_firm.outlook(126), both_firm.act(126, "pour")
    low, high = pour_range(both_firm.state, outlook, act)
    planned = [outlook.sheet.pour(x, 1).pour_c for x in "AB"]
    assert low < min(planned) <= high < max(planned) + 3
    assert fit_from(both_firm.state, outlook, act, both_firm.t(126)) <= both_firm.t(126)


def test_once_all_wax_is_in_jugs_nobody_reads_an_empty_pot(both_firm: Day) -> None:
    both_firm.jug(125, 1).at(140, ev.BurnerSet(state="on"))
    for minute in (143, 146, 149):
        reads = [a for a in both_firm.acts(minute).values() if a.kind == "read"]
        assert [a.word for a in reads] == ["READ JUG CREAM"]
        assert reads[0].place == ("jug", "")


def test_what_is_read_in_the_last_jug_is_what_the_forecast_rests_on(both_firm: Day) -> None:
    both_firm.jug(125, 1).at(140, ev.BurnerSet(state="on"))
    before = both_firm.outlook(143).pot.at(both_firm.t(143))[1]
    read = before + 3.0
    both_firm.at(143, jug(read))
    assert both_firm.outlook(143).pot.at(both_firm.t(143))[1] == pytest.approx(read, abs=2.0)


def test_the_reserve_is_hot_for_the_top_up_and_one_heat_does_for_both_moulds(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().second_layers()
    day.at(212, looked("B", "firm"))
    other = next(a for a in day.acts(213).values() if a.kind == "look")
    assert other.moulds == "A"
    top_up = day.act(213, "top-up")
    assert "waits for A" in top_up.why
    heat = next(act for act in day.acts(213).values() if act.kind in ("heat on", "heat low"))
    assert heat.due >= other.due - 60
    when = other.due / 60 - day.t(0) / 60
    day.at(when + 1, looked("A", "firm"))
    assert day.now(when + 2).word in ("HEAT ON", "HEAT LOW")
    wanted = next_top_up(day.outlook(when + 2), "A")
    hot = max(when + 12, (wanted.likely - day.t(0)) / 60)
    day.reheated(hot, 84.0)
    assert day.now(hot + 0.5).word == "TOP UP A B"


def test_a_stale_reading_is_read_anew_before_the_burner_goes_off_by_the_forecast(both_firm: Day) -> None:
    both_firm.at(122, ev.BurnerSet(state="on"))
    acts = both_firm.acts(123)
    read = next(a for a in acts.values() if a.kind == "read")
    off = next((a for a in acts.values() if a.kind == "heat off"), None)
    assert read.due <= both_firm.t(122 + 3)
    assert off is None or off.due > read.due


def test_heat_goes_off_before_the_wax_is_where_it_is_wanted_because_the_bath_carries_it_on(day: Day) -> None:
    """A bath is hotter than the wax it heats, so wax goes on warming after the burner went off."""
    day.at(0, ev.BurnerSet(state="on"), ev.WaterSeen())
    for minute, celsius in ((6, 35.0), (12, 52.0), (18, 62.0), (22, 76.0)):
        day.at(minute, ev.Reading(place="pot", celsius=celsius), ev.WaterSeen())
    off = next(
        (m, day.outlook(m).pot.at(day.t(m))[1])
        for m in (22 + i / 2 for i in range(30))
        if day.now(m).word == "HEAT OFF"
    )
    assert 70.0 <= off[1] < day.outlook(22).melt_c


# -- how hot, and what must not wait -------------------------------------------------------------------


def test_a_short_window_is_asked_for_at_the_hot_end_within_what_the_mould_stands(waiting: Day) -> None:
    """B, narrow plastic that stands 85 °C, closes soon after it is firm; A stays open for hours."""
    waiting.at(118, looked("A", "firm"), looked("B", "firm")).jug(119, 1)
    outlook, acts = waiting.outlook(120), waiting.acts(120)
    planned = {x: outlook.sheet.pour(x, 1).pour_c for x in "AB"}
    pours = {x: a for a in acts.values() if a.kind == "pour" for x in a.moulds}
    assert planned["B"] < hottest_c(waiting.state, outlook, replace(pours["B"], moulds="B")) < 85.0
    assert hottest_c(waiting.state, outlook, replace(pours["A"], moulds="A")) == planned["A"]
    assert all(a.between is not None and a.between[1] <= 85.0 for a in pours.values() if "B" in a.moulds)


def test_a_mould_that_can_have_the_jug_does_not_wait_for_one_that_cannot(both_firm: Day) -> None:
    """At 88 °C the jug is right for bright metal and too hot for plastic that stands 85 °C."""
    both_firm.jug(125, 1).at(130, jug(88.0))
    assert both_firm.now(130.1).word == "POUR A"
    assert "(80 °C to 90 °C will do)" in both_firm.now(130.1).says


def test_two_moulds_are_poured_in_one_go_only_in_a_range_wide_enough_to_hit(both_firm: Day) -> None:
    both_firm.jug(125, 1)
    low, high = both_firm.act(126, "pour").between
    assert both_firm.act(126, "pour").moulds == "AB"
    assert high - low >= SHARED


def test_the_flame_is_out_while_a_jug_is_scented(both_firm: Day) -> None:
    both_firm.at(122, ev.BurnerSet(state="on"))
    both_firm.at(137, ev.Reading(place="pot", celsius=86.0), ev.WaterSeen())
    assert both_firm.now(137.5).word == "HEAT OFF"
    both_firm.at(138, ev.BurnerSet(state="off"))
    assert both_firm.now(138.1).word == "JUG CREAM"


def test_wax_that_nobody_read_for_long_is_read_before_the_burner_is_lit(both_firm: Day) -> None:
    acts = [
        a
        for a in order_now(list(both_firm.acts(121).values()), both_firm.t(121))
        if a.kind in ("read", "heat on")
    ]
    assert [a.kind for a in acts] == ["read", "heat on"]
    both_firm.at(122, ev.Reading(place="pot", celsius=60.0))
    assert both_firm.now(122.1).word == "HEAT ON"


def test_heat_for_a_mould_that_waits_comes_before_other_looks(both_firm: Day) -> None:
    """A turn of the knob, and the wax warms while both hands do the rest."""
    both_firm.jug(125, 1).at(137, jug(70.0))
    heat = both_firm.act(137.1, "heat on")
    assert all(
        heat.urgency < a.urgency for a in both_firm.acts(137.1).values() if a.kind in ("look", "drop", "jug")
    )


def test_a_jug_lifted_out_hot_says_nothing_of_the_bath_until_it_stands_in_it_again(both_firm: Day) -> None:
    """Taken for the bath's, its fall would have the bath heated over its ceiling."""
    both_firm.jug(125, 1).at(130, ev.BurnerSet(state="on")).at(136, jug(91.0), ev.BurnerSet(state="off"))
    before = both_firm.outlook(141).pot.at(both_firm.t(141))[1]
    both_firm.at(141, jug(80.0))
    assert both_firm.outlook(141).pot.at(both_firm.t(141))[1] == pytest.approx(before, abs=0.5)


def keeps(day: Day, minute: float) -> dict[str, float]:
    """s that the next pour of each mould may wait for a jug that warms slowly."""
    outlook = day.outlook(minute)
    moulds = [with_pour_range(day.state, outlook, act) for act in mould_acts(day.state, outlook)]
    return {need.moulds: need.keeps for need in needs(day.state, outlook, moulds, day.t(minute))}


def test_the_first_wax_of_a_mould_can_wait_longer_for_its_jug_than_a_layer_onto_another(day: Day) -> None:
    """Nothing sets in an empty mould: a slow low flame may warm its jug; onto a plug or a layer it has twelve minutes at most,
    and into a short window none."""
    day.melted().jug(38, 0).at(39, jug(66.0))
    assert keeps(day, 39.5) == {"A": FIRST_KEEPS, "B": FIRST_KEEPS}
    assert FIRST_KEEPS > POUR_KEEPS
    day.plugged(45).sealed(55).at(56, jug(66.0))
    assert max(keeps(day, 56.5).values()) <= POUR_KEEPS


def test_no_first_wax_waits_for_a_jug_that_is_warm(day: Day) -> None:
    day.melted().jug(38, 0).at(39, jug(83.0))
    assert keeps(day, 39.5) == {"A": 0.0, "B": 0.0}


def test_a_jug_that_is_a_little_too_hot_falls_and_is_poured_and_a_hotter_one_is_read_again(
    both_firm: Day,
) -> None:
    """B stands 85 °C: a jug at 87 has fallen to it in two minutes; one at 92 had time to fall further or less."""
    both_firm.jug(125, 1)
    again = {}
    for celsius in (87.0, 92.0):
        told = type(both_firm)()
        told.entries = [*both_firm.entries]
        told.at(130, jug(celsius))
        waits = next(a for a in told.acts(130.1).values() if a.kind == "pour" and "B" in a.moulds)
        assert waits.says.startswith(f"The jug read {celsius:.0f} °C: let it fall to ")
        minute = (waits.due - told.t(0)) / 60 + 0.1
        due = next(a for a in told.acts(minute).values() if a.kind == "pour" and "B" in a.moulds)
        again[celsius] = "read it again before you pour" in due.caution
    assert again == {87.0: False, 92.0: True}
