"""What was told is kept as told, and told again when it moved; what happened is never changed by what follows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace as replace_fields

from pourday.demo.scenario import two_pillars
from pourday.guide.advice.agenda import agenda, order_now
from pourday.guide.advice.now import what_now
from pourday.guide.advice.telling import MOVED, fact_to_tell
from pourday.plan.model import Cylinder
from pourday.session import events as ev
from pourday.session.act_id import ActId

Day = Any  # the `Told` of conftest.py
RANKS = ("dry pot", "ceiling", "near ceiling", "watch", "water", "silent", "away")


def tell(day: Day, minute: float) -> ev.Told | None:
    """File what is told now, where it is something new."""
    fact = fact_to_tell(day.state, day.now(minute))
    if fact is not None:
        day.at(minute, fact, by="program")
    return fact


def test_a_window_is_told_with_its_spread_its_closing_and_what_it_rests_on(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    look = next(a for a in day.acts(52).values() if a.kind == "look" and a.moulds == "B")
    fact = tell(day, look.due / 60 - day.t(0) / 60 + 0.1)
    assert fact.word == "LOOK B"
    assert fact.early < fact.likely < fact.late
    assert fact.closes > fact.likely
    assert "Computed from the heat in the layers" in fact.why


def test_the_same_is_not_told_twice(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    assert tell(day, 52) is not None
    assert tell(day, 53) is None
    assert tell(day, 60) is None


def test_a_window_that_moved_is_told_again_and_the_old_word_stays(day: Day) -> None:
    """A room three kelvin colder closes the window sooner."""
    day.melted().plugged().sealed().first_layers().at(99, ev.Noted(text="x"))
    first = tell(day, 100)
    assert first.word == "LOOK B"
    day.at(101, ev.Reading(place="room", celsius=17.0))
    second = tell(day, 101.5)
    assert second is not None
    assert second.act == first.act
    assert abs((second.closes - first.closes).total_seconds()) > MOVED
    kept = [e.fact for e in day.entries if isinstance(e.fact, ev.Told)]
    assert kept == [first, second]


def test_a_window_that_moved_a_little_is_not_told_again(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().at(119, ev.Noted(text="x"))
    tell(day, 120)
    day.at(121, ev.Reading(place="room", celsius=20.1))
    assert tell(day, 121.5) is None


# -- any day at all ----------------------------------------------------------------------------------

_FACTS = st.one_of(
    st.sampled_from(("on", "off", "unknown")).map(lambda s: ev.BurnerSet(state=s)),
    st.builds(ev.Reading, place=st.sampled_from(("pot", "jug", "room")), celsius=st.floats(15, 110)),
    st.builds(ev.WaterSeen, topped_up=st.booleans()),
    st.builds(ev.JugMade, layer=st.integers(0, 1)),
    st.builds(
        ev.Poured,
        mould=st.sampled_from("AB"),
        layer=st.integers(0, 1),
        part=st.sampled_from(("plug", "layer", "top-up")),
        planned_kg=st.just(0.1),
    ),
    st.builds(ev.SealSeen, mould=st.sampled_from("AB"), weeps=st.booleans()),
    st.builds(
        ev.Looked,
        mould=st.sampled_from("AB"),
        cue=st.sampled_from(("wet", "skinned", "firm", "cold", "pulled away")),
    ),
    st.builds(ev.Relieved, mould=st.sampled_from("AB")),
    st.just(ev.WentAway()),
    st.just(ev.CameBack()),
    st.builds(ev.Reopened, program=st.just("0"), away=st.just(60.0)),
    st.builds(ev.AlarmRaised, alarm=st.sampled_from(RANKS), says=st.just("!")),
    st.builds(ev.AlarmAcknowledged, alarm=st.sampled_from(RANKS)),
)
_DAYS = st.lists(st.tuples(st.floats(0.5, 40), _FACTS), max_size=12)


@settings(max_examples=25, deadline=None, suppress_health_check=(HealthCheck.function_scoped_fixture,))
@given(_DAYS)
def test_nothing_dangerous_is_hidden_by_something_less_urgent(day_of: type, facts: list[Any]) -> None:
    day, minute = day_of(), 1.0
    for wait, fact in facts:
        minute += wait
        day.at(minute, fact)
    minute += 1.0
    outlook, now = day.outlook(minute), day.t(minute)
    acts = agenda(day.state, outlook, now)
    first = what_now(day.state, outlook, acts, now).act
    open_alarms = [a for a in RANKS if a in day.state.alarms and day.state.alarms[a].acknowledged_at is None]
    if first.kind == "burner?":
        # A burner nobody knows is looked at first; only wax that was read too hot outranks the question.
        assert day.state.burner == "unknown"
        assert not {"dry pot", "ceiling"} & set(open_alarms)
    elif open_alarms:
        assert first.id == ActId("alarm", name=open_alarms[0])
    elif day.state.burner == "unknown":
        assert first.kind == "burner?"
    else:
        assert all(first.urgency <= act.urgency for act in order_now(acts, now))


@settings(max_examples=25, deadline=None, suppress_health_check=(HealthCheck.function_scoped_fixture,))
@given(_DAYS, st.randoms())
def test_the_agenda_does_not_depend_on_the_order_in_which_moulds_and_jugs_are_kept(
    day_of: type, facts: list[Any], random: Any
) -> None:
    day, minute = day_of(), 1.0
    for wait, fact in facts:
        minute += wait
        day.at(minute, fact)
    outlook, now = day.outlook(minute), day.t(minute)
    state = day.state
    moulds, jugs = list(state.moulds.items()), list(state.jugs.items())
    random.shuffle(moulds)
    random.shuffle(jugs)
    mixed = replace(state, moulds=dict(moulds), jugs=dict(jugs))
    assert agenda(mixed, outlook, now) == agenda(state, outlook, now)


@pytest.mark.parametrize("layer", [0, 1])
def test_a_room_in_which_no_wax_sets_still_has_an_agenda(day: Any, layer: int) -> None:
    """What never comes is neither put before bedtime nor heated for."""
    day.at(2, ev.Reading(place="room", celsius=50.0, typed="50"))
    day.at(3, ev.Poured(mould="A", layer=layer, part="layer", planned_kg=0.1))
    assert agenda(day.state, day.outlook(3), day.t(3))


@settings(max_examples=60, deadline=None, suppress_health_check=(HealthCheck.function_scoped_fixture,))
@given(_DAYS)
def test_a_fact_never_changes_what_was_before_it(day_of: type, facts: list[Any]) -> None:
    day, minute, before = day_of(), 1.0, None
    for wait, fact in facts:
        minute += wait
        day.at(minute, fact)
        state = day.state
        if before is not None:
            for letter, mould in before.moulds.items():
                assert state.moulds[letter].pours[: len(mould.pours)] == mould.pours
                assert state.moulds[letter].looks[: len(mould.looks)] == mould.looks
            assert state.readings[: len(before.readings)] == before.readings
            over = [s for s in before.burner_spans if s.end is not None]
            assert list(state.burner_spans[: len(over)]) == over
        before = state


# -- a word stays --------------------------------------------------------------------------------------


def test_what_was_told_as_due_stays_while_a_forecast_puts_it_off_by_a_minute(day_of: type) -> None:
    """Until somebody does something: then what is due is due."""
    told = day_of().at(0, ev.BurnerSet(state="on"))
    acts = list(told.acts(9).values())
    read = next(act for act in acts if act.kind == "read")
    later = [replace(act, due=told.t(10.9)) if act is read else act for act in acts]
    told.at(9, ev.Told(act=str(read.id), word="READ POT"), by="program")
    assert what_now(told.state, told.outlook(9), later, told.t(9.5)).act.id == read.id
    told.at(9.6, ev.WatchAnswered())
    assert what_now(told.state, told.outlook(9), later, told.t(9.7)).act.kind == "wait"


def test_wait_goes_on_naming_what_it_named_while_another_act_comes_within_two_minutes_of_it(
    day_of: type,
) -> None:
    told = day_of().at(0, ev.BurnerSet(state="on"))
    acts = list(told.acts(2).values())
    read, water = (next(act for act in acts if act.kind == kind) for kind in ("read", "water"))
    rest = [act for act in acts if act not in (read, water) and act.due <= told.t(2)]

    def named(read_at: float, water_at: float) -> str:
        both = [replace(read, due=told.t(read_at)), replace(water, due=told.t(water_at))]
        ordered = sorted([*rest, *both], key=lambda act: act.due)
        return what_now(told.state, told.outlook(2), ordered, told.t(2.5)).next

    assert named(9.0, 9.5) == "READ POT"
    told.at(2, ev.Told(act=str(replace(read.id, waits=True)), word="WAIT"), by="program")
    assert named(9.5, 9.0) == "READ POT"
    assert named(12.0, 9.0) == "CHECK WATER"


@pytest.mark.parametrize("before", [5.0, 30.0, 55.0, 90.0])
def test_whoever_has_just_read_is_not_told_to_wait_and_called_back_within_a_minute(
    day_of: type, before: float
) -> None:
    """A squat plastic mould in a warm room: its look falls due so many seconds after the jug was read."""
    mould = replace_fields(two_pillars().moulds[1], shape=Cylinder(diameter=0.09, height=0.05))
    day = day_of(plan=replace_fields(two_pillars(), moulds=(mould,), room_c=26.0)).melted().jug(38, 0)
    day.at(40, *day.act(39, "plug").records).at(50, ev.SealSeen(mould="A", weeps=False))
    day.at(51, *day.act(50.5, "pour").records)
    look = day.act(52, "look")
    at = (look.due - day.t(0) - before) / 60
    day.at(at, ev.Reading(place="pot", celsius=85.0, typed="85"))
    words = [day.now(at + seconds / 60).word for seconds in (0.5, 20.0, 40.0, 59.0)]
    assert words == [words[0]] * 4
    assert (words[0] == "LOOK A") is (before < 60.0)
