"""What each flame asks for, and what a turn of the knob would do, for one pour to come."""

from __future__ import annotations

from typing import Any

from pourday.guide.acts.durations import HOLD_LOW
from pourday.guide.acts.flame_effect import full_runs_over, holds, low_is_weak
from pourday.guide.acts.flame_full import full_flame_acts
from pourday.guide.acts.flame_low import NEARLY, low_flame_acts
from pourday.guide.acts.flame_out import GIVES_FOR, flame_out_acts
from pourday.guide.acts.flame_turns import back_in_the_bath, first_need, turn_off
from pourday.guide.acts.flame_up import heat_on
from pourday.guide.acts.heat_plan import PourNeed
from pourday.session import events as ev
from pourday.times import MINUTE
from tests.guide.conftest import reading
from tests.guide.facts import both_jugs

Day = Any  # the `Told` of conftest.py
NEVER = float("inf")


def second_colour(at: float, celsius: float = 82.0) -> PourNeed:
    """The second colour for both moulds, its jug drawn."""
    return PourNeed(at, "AB", 1, celsius, drawn=True, least=celsius - 4.0)


def test_the_first_pour_is_none_where_none_is_known_to_come() -> None:
    assert first_need([]) is None
    assert first_need([second_colour(NEVER)]) is None
    need = second_colour(1000.0)
    assert first_need([need, second_colour(NEVER)]) is need


def test_a_jug_that_was_lifted_out_goes_back_into_the_bath_with_the_flame(day: Day) -> None:
    both_jugs(day)
    assert back_in_the_bath(day.state, second_colour(day.t(60))) == ()
    day.at(55, ev.JugStands(layer=1, where="bench"))
    assert back_in_the_bath(day.state, second_colour(day.t(60))) == (ev.JugStands(layer=1, where="bath"),)


def test_a_full_flame_burns_on_under_a_cold_jug_and_goes_down_once_its_bath_carries_it_on(day: Day) -> None:
    """The jug is at 60 °C after five minutes, its small bath all but boiling: what is in the water suffices for 82."""
    both_jugs(day).at(100, ev.BurnerSet(state="on"))
    wanted = [second_colour(day.t(115))]
    due = {}
    for minute, celsius in ((103, 52.0), (105, 60.0)):
        day.at(minute, ev.Reading(place="jug", celsius=celsius))
        now = day.t(minute + 0.5)
        down = full_flame_acts(day.state, day.outlook(minute + 0.5), wanted, now, now)
        due[minute] = min(
            (act.due - now for act in down if act.kind in ("heat low", "heat off")), default=NEVER
        )
    assert due[103] > MINUTE
    assert due[105] <= 0


def test_a_flame_that_serves_nothing_is_put_out(day: Day) -> None:
    both_jugs(day).at(56, ev.BurnerSet(state="low"))
    now = day.t(60)
    for acts in (full_flame_acts, low_flame_acts):
        assert [act.kind for act in acts(day.state, day.outlook(60), [], now, now)] == ["heat off"]
    assert flame_out_acts(day.state, day.outlook(60), [], now, now) == []
    assert turn_off("", now).records == (ev.BurnerSet(state="off"),)


def test_a_low_flame_holds_nothing_for_longer_than_jugs_are_left_on_it(day: Day) -> None:
    outlook = both_jugs(day).outlook(60)
    assert holds(outlook, second_colour(day.t(60) + HOLD_LOW - MINUTE), day.t(60))
    assert not holds(outlook, second_colour(day.t(60) + HOLD_LOW + MINUTE), day.t(60))
    assert not low_is_weak(outlook, second_colour(day.t(100)), day.t(60))


def test_the_burner_is_lit_first_for_whichever_pour_wants_it_first(day: Day) -> None:
    both_jugs(day)
    late, soon = second_colour(day.t(300)), second_colour(day.t(200))
    on, only = (heat_on(day.state, day.outlook(120), w, day.t(120)) for w in ([late, soon], [late]))
    assert on is not None
    assert only is not None
    assert day.t(120) <= on.due < only.due <= late.at
    assert heat_on(day.state, day.outlook(120), [second_colour(NEVER)], day.t(120)) is None


def asked_for(day: Day, minute: float, least: float) -> set[str]:
    """What a low flame is asked to do for a pour that waits and whose bath should have at least so many °C."""
    now = day.t(minute)
    waits = PourNeed(now - MINUTE, "AB", 1, 86.0, drawn=True, least=least, hurry=True)
    return {act.kind for act in low_flame_acts(day.state, day.outlook(minute), [waits], now, now)}


def test_a_bath_that_is_nearly_warm_enough_is_not_turned_up_for(day: Day) -> None:
    """A low flame that holds 76 °C, read four times: a little less than what is wanted does, two kelvin less does not."""
    both_jugs(day).at(56, ev.BurnerSet(state="low"))
    for minute, celsius in ((70, 77.0), (80, 76.6), (90, 76.2), (100, 75.8)):
        day.at(minute, ev.Reading(place="jug", celsius=celsius, jug=1))
    assert day.outlook(100.5).pot is not None
    is_likely = day.outlook(100.5).pot.at(day.t(100.5))[1]
    assert asked_for(day, 100.5, is_likely + NEARLY - 0.3) == set()
    assert asked_for(day, 100.5, is_likely + NEARLY + 0.3) == {"heat on"}


def test_a_full_flame_runs_over_a_hot_bath_and_not_over_one_that_has_cooled(day: Day) -> None:
    """Two minutes of a full flame under a bath of 74 °C take what is in it near its ceiling of 93, and not one of 57."""
    both_jugs(day)
    over = {m: full_runs_over(day.outlook(m), second_colour(day.t(m)), day.t(m)) for m in (60, 100)}
    assert over == {60: True, 100: False}
    # A whole pot of wax takes far more heat than a jug.
    pot = PourNeed(day.t(60), "AB", 1, 84.0, drawn=False)
    assert not full_runs_over(day.outlook(60), pot, day.t(60))


def test_a_full_flame_that_would_run_over_waits_for_what_a_low_one_that_nobody_read_does(day: Day) -> None:
    both_jugs(day).at(56, ev.BurnerSet(state="low"))
    assert full_runs_over(day.outlook(58), second_colour(day.t(58)), day.t(58))
    assert asked_for(day, 58, 84.0) == set()
    for minute in (66, 76):
        day.at(minute, ev.Reading(place="jug", celsius=77.0, jug=1))
    # Read, it is known to be too weak: then it is turned up all the same.
    assert full_runs_over(day.outlook(77), second_colour(day.t(77)), day.t(77))
    assert asked_for(day, 77, 84.0) == {"heat on"}


def test_a_bath_that_was_put_out_at_its_ceiling_is_left_to_give_its_heat_for_a_while(day: Day) -> None:
    """A pot that is read at 84 °C beside a bath that is hotter, and wanted at 91: not lit again for ten minutes."""
    day.at(0, ev.BurnerSet(state="on"), ev.Waived(act="jug 0"))
    day.at(4, reading(55.0)).at(7, reading(78.0)).at(7.2, ev.BurnerSet(state="off")).at(11.2, reading(84.0))
    asked = {}
    for minute in (11.7, 7.2 + GIVES_FOR / MINUTE - 0.4, 7.2 + GIVES_FOR / MINUTE + 0.4):
        now = day.t(minute)
        need = PourNeed(now, "AB", 0, 91.0, drawn=False)
        assert full_runs_over(day.outlook(minute), need, now)
        acts = flame_out_acts(day.state, day.outlook(minute), [need], now, now)
        asked[minute] = [(act.kind, act.due > now) for act in acts]
    assert list(asked.values()) == [[("heat on", True)], [("heat on", True)], [("heat on", False)]]


def test_no_flame_is_lit_low_for_jugs_minutes_before_the_next_one_is_drawn_with_the_flame_out(
    day: Day,
) -> None:
    """By hand HEAT LOW stood there, and HEAT OFF a minute after it was done."""
    day.melted().jug(38, 0).at(61, ev.Reading(place="pot", celsius=86.0))
    now = day.t(62)
    first = PourNeed(day.t(74), "AB", 0, 82.0, drawn=True, least=78.0)
    alone = flame_out_acts(day.state, day.outlook(62), [first], now, now)
    assert [act.kind for act in alone] == ["heat low"]
    following = PourNeed(max(now, alone[0].due) + 15 * MINUTE, "AB", 1, 82.0, drawn=False)
    assert flame_out_acts(day.state, day.outlook(62), [first, following], now, now) == []
