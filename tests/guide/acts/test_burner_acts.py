"""The flame: full to melt and warm, low to hold jugs, out for jugs that are drawn and for long waits."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from pourday.demo.scenario import two_pillars
from pourday.guide.acts import burner_acts
from pourday.guide.acts.stove_reads import READ_EVERY
from pourday.plan.model import Plan
from pourday.session import events as ev
from tests.demo.plan_set import PLANS
from tests.guide.facts import both_jugs

Day = Any  # the `Told` of conftest.py


def test_a_low_flame_goes_on_while_something_is_poured_soon_and_out_when_nothing_is(day: Day) -> None:
    both_jugs(day).at(56, ev.BurnerSet(state="low")).at(70, ev.Reading(place="jug", celsius=83.0))
    assert not [act for act in day.acts(71).values() if act.kind == "heat off" and act.due <= day.t(71)]
    done = type(day)().melted().plugged().sealed().first_layers().second_layers().topped_up()
    done.at(281, ev.BurnerSet(state="low"))
    assert done.now(282).word == "HEAT OFF"


def test_a_low_flame_that_heats_too_much_is_put_out_before_the_ceiling(day: Day) -> None:
    both_jugs(day).at(56, ev.BurnerSet(state="low"))
    day.at(66, ev.Reading(place="jug", celsius=88.0)).at(76, ev.Reading(place="jug", celsius=92.0))
    assert day.now(76.5).word == "HEAT OFF"


def test_the_bath_of_a_small_jug_is_what_a_full_flame_is_turned_down_by(day: Day) -> None:
    """38 °C, and eight minutes later 97 °C with a ceiling of 93: so it went, when the wax's own forecast decided."""
    day.melted().plugged().sealed().first_layers().second_layers()
    day.at(265, *(ev.Looked(mould=x, cue="firm") for x in "AB")).at(266, ev.BurnerSet(state="on"))
    turned = next(
        minute
        for minute in (266.5 + 0.25 * n for n in range(60))
        if any(
            a.kind in ("heat low", "heat off") and a.due <= day.t(minute) for a in day.acts(minute).values()
        )
    )
    bath = day.outlook(turned).pot.bath_at(day.t(turned))
    assert bath[1] < day.outlook(turned).ceiling_c
    assert 267 <= turned <= 276


def test_the_question_for_an_unwatched_burner_has_the_three_flames() -> None:
    states = [fact.state for choice in burner_acts.burner_question().choices for fact in choice.facts]
    assert states == ["off", "on", "low"]


def test_a_lit_burner_is_put_out_before_a_jug_is_drawn_in_the_agenda_too(lit: Day) -> None:
    """Seven minutes at a jug over a full flame took 200 g of wax 4 K past its ceiling."""
    for minute, celsius in ((8, 55.0), (14, 70.0), (18, 79.0)):
        lit.at(minute, ev.Reading(place="pot", celsius=celsius))
        acts = lit.acts(minute + 0.2).values()
        jug = next(a for a in acts if a.kind == "jug")
        assert any(a.kind == "heat off" and a.due < jug.due for a in acts)
        assert lit.now(minute + 0.2).act.kind != "jug"


FULL_POT = msgspec.structs.replace(
    two_pillars(), moulds=tuple(msgspec.structs.replace(m, count=6) for m in two_pillars().moulds)
)


@pytest.mark.parametrize(("plan", "sooner"), [(PLANS["bands"], True), (FULL_POT, False)])
def test_little_wax_over_a_full_flame_is_read_while_there_is_time_to_turn_it_down(
    day_of: type, plan: Plan, sooner: bool
) -> None:
    """375 g are carried on by a boiling bath faster than a thermometer is fetched; for a full pot nothing changes."""
    day = day_of(plan=plan).at(2, ev.BurnerSet(state="on")).at(12, ev.Reading(place="pot", celsius=44.0))
    after = day.act(12.1, "read").due - day.t(12)
    assert after < READ_EVERY - 30.0 if sooner else after == pytest.approx(READ_EVERY)


def held_low(day: Day) -> Day:
    """A low flame that holds its jug at 82 °C, read twice; nothing was said since minute 80."""
    both_jugs(day).at(56, ev.BurnerSet(state="low"), ev.WaterSeen())
    for minute in (66, 73, 80):
        day.at(minute, ev.Reading(place="jug", celsius=82.0, jug=1))
    return day.at(80, ev.WaterSeen())


def due_in(day: Day, minute: float, kind: str) -> float:
    """Minutes from now to an act of the stove; infinite where there is none."""
    dues = [act.due for act in day.acts(minute).values() if act.kind == kind]
    return (min(dues, default=float("inf")) - day.t(minute)) / 60


def test_a_known_low_flame_is_read_every_three_quarters_of_an_hour_and_seen_to_between(day: Day) -> None:
    held_low(day)
    assert due_in(day, 81, "read") == pytest.approx(43, abs=0.1)
    # Nobody comes for anything else: whoever looks at the bath sees the flame, well within its watch of 25 minutes.
    assert due_in(day, 100, "water") > 0
    assert due_in(day, 104.1, "water") <= 0
    assert "watch" not in day.alarms(104.9)
    assert "watch" in day.alarms(105.1)


def test_who_was_sent_to_the_bath_is_not_called_off_by_the_key_that_answers(day: Day) -> None:
    """Any key says that somebody is there: “Water enough?” stood under LOOK B, and the bath was put off by forty minutes."""
    held_low(day)
    water = next(act for act in day.acts(104.1).values() if act.kind == "water")
    day.at(104.1, ev.Told(act=str(water.id), word="CHECK WATER"), by="program").at(104.2, ev.WatchAnswered())
    assert due_in(day, 104.3, "water") <= 0
    day.at(104.4, ev.WaterSeen())
    assert due_in(day, 104.5, "water") > 10


def test_a_low_flame_that_nobody_has_read_is_read_within_ten_minutes(day: Day) -> None:
    both_jugs(day).at(56, ev.BurnerSet(state="low"), ev.WaterSeen())
    assert due_in(day, 56.5, "read") <= 10
