"""What was told stays while the forecast moves by seconds; what is safe at once is never held back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.guide.acts.act import Act, Kind, Urgency
from pourday.guide.acts.flame_turns import turn_off
from pourday.guide.advice.calm import (
    ON_THE_WAY,
    STAYS_WITHIN,
    ToldAgenda,
    calm_times,
    calmed,
    told_first,
    turns_up,
)
from pourday.guide.advice.now import what_now
from pourday.guide.advice.queries import ForecastQuery
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State
from tests.guide.advice.test_asking import Later
from tests.guide.advice.test_asking import adviser as adviser
from tests.guide.advice.test_asking import backend as backend

Day = Any  # the `Told` of conftest.py
NOW = 1_000_000.0


KINDS: dict[str, Kind] = {
    "heat on": "heat on", "heat low": "heat low", "heat off": "heat off", "read": "read", "look": "look", "jug": "jug",
    "water": "water",
}  # fmt: skip


def act(name: str, due: float, urgency: Urgency = Urgency.USUAL, kind: Kind | None = None) -> Act:
    kind = kind or KINDS[name]
    return Act(id=ActId(name), kind=kind, word=name.upper(), says="", why="", due=due, urgency=urgency)


NAMES = tuple(KINDS)
TIMES = st.floats(NOW - 3600, NOW + 7200)
ACTS = st.lists(
    st.tuples(st.sampled_from(NAMES), TIMES, st.sampled_from(Urgency)), unique_by=lambda x: x[0]
).map(lambda rows: [act(*row) for row in rows])
TOLD = st.dictionaries(st.sampled_from(NAMES), TIMES)


@given(ACTS, TOLD)
def test_no_act_falls_due_later_than_by_its_new_time(acts: list[Act], told: dict[str, float]) -> None:
    due = {a.id: a.due for a in acts if a.due <= NOW}
    calmed = {a.id: a.due for a in calm_times(told, acts, NOW)}
    assert {a: t for a, t in calmed.items() if t <= NOW} == due
    assert set(calmed) == {a.id for a in acts}


@given(ACTS, TOLD)
def test_a_time_is_the_new_one_or_the_told_one_and_off_by_less_than_a_minute(
    acts: list[Act], told: dict[str, float]
) -> None:
    calmed = calm_times(told, acts, NOW)
    assert list(calmed) == sorted(calmed, key=lambda a: (a.due, a.urgency, str(a.id)))
    new = {a.id: a.due for a in acts}
    for a in calmed:
        assert a.due in (new[a.id], told.get(str(a.id)))
        assert abs(a.due - new[a.id]) <= STAYS_WITHIN


@given(st.lists(st.floats(-20.0, 20.0), min_size=1, max_size=30))
def test_a_time_that_wavers_by_seconds_is_told_once(wavers: list[float]) -> None:
    told, state, shown = ToldAgenda(), State(), set[float]()
    for n, off in enumerate([0.0, *wavers]):
        acts, told = calmed(told, [act("read", NOW + 600 + off)], state, NOW + n)
        shown.add(acts[0].due)
    assert shown == {NOW + 600}


FLAMES: dict[str, Kind] = {"heat low": "heat low", "heat higher": "heat low", "heat on": "heat on"}


@given(st.lists(st.sampled_from(list(FLAMES)), min_size=1, max_size=17), st.sampled_from(("off", "low")))
def test_while_nobody_says_anything_the_flame_that_is_told_only_grows_weaker(
    flames: list[str], burner: ev.Burner
) -> None:
    """HEAT LOW, HEAT ON, HEAT LOW within half a minute: the forecast had moved by a tenth of a kelvin."""
    told, state, names = ToldAgenda(), replace(State(), burner=burner), list[str]()
    # A flame that burns low is not lit low.
    for n, name in enumerate(name for name in flames if burner == "off" or name != "heat low"):
        acts, told = calmed(told, [act(name, NOW, kind=FLAMES[name])], state, NOW + 10 * n)
        names.append(acts[0].id.what)
        assert acts[0].due <= NOW + 10 * n
    ranks = [list(FLAMES).index(name) for name in names]
    assert ranks == sorted(ranks, reverse=True)


@pytest.mark.parametrize("heard", [True, False])
def test_after_a_word_of_the_person_or_a_while_the_flame_is_the_new_one(heard: bool) -> None:
    low, on = act("heat low", NOW, kind="heat low"), act("heat on", NOW, kind="heat on")
    _, told = calmed(ToldAgenda(), [low], State(), NOW)
    state, at = (replace(State(), heard_at=NOW + 1), NOW + 2) if heard else (State(), NOW + ON_THE_WAY + 1)
    assert calmed(told, [on], state, at)[0] == (on,)


@given(ACTS, ACTS, st.sampled_from(("off", "low", "on")))
def test_nothing_that_is_safe_at_once_is_changed(
    first: list[Act], then: list[Act], burner: ev.Burner
) -> None:
    state = replace(State(), burner=burner)
    _, told = calmed(ToldAgenda(), first, state, NOW)
    kept = {a.id: a for a in calmed(told, then, state, NOW + 10)[0]}
    for a in then:
        if not turns_up(a, burner) and a.due <= NOW + 10:
            assert kept[a.id] == a


@given(st.floats(-300.0, 300.0))
def test_a_time_that_really_moves_is_told_anew(moved: float) -> None:
    calmed = calm_times({"read": NOW + 900}, [act("read", NOW + 900 + moved)], NOW)
    assert calmed[0].due == (NOW + 900 if abs(moved) <= STAYS_WITHIN else NOW + 900 + moved)


@given(ACTS, st.sampled_from(NAMES), st.floats(0.0, 600.0))
def test_the_told_word_gives_way_to_nothing_but_what_cannot_wait(
    acts: list[Act], told: str, since: float
) -> None:
    due = sorted(acts, key=lambda a: a.urgency)
    kept = told_first(due, told, since)
    assert sorted(map(id, kept)) == sorted(map(id, due))
    standing = next((a for a in due if str(a.id) == told), None)
    if standing is None or since > ON_THE_WAY:
        assert kept == due
        return
    before = kept[: kept.index(standing)]
    assert all(a.urgency <= Urgency.CLOSING and a.urgency < standing.urgency for a in before)
    # A flame that goes down is never behind it.
    assert all(a in before for a in due if a.urgency <= Urgency.QUICK < standing.urgency)


def test_a_flame_is_turned_up_by_a_settled_forecast_and_down_by_any() -> None:
    on, low = act("heat on", NOW, kind="heat on"), act("heat low", NOW, kind="heat low")
    higher, lower = act("heat higher", NOW, kind="heat low"), act("heat lower", NOW, kind="heat low")
    assert turns_up(on, "off")
    assert turns_up(on, "low")
    assert turns_up(low, "off")
    assert not turns_up(low, "on")
    assert turns_up(higher, "low")
    assert not turns_up(lower, "low")
    assert not turns_up(turn_off("", NOW), "on")


def test_no_flame_is_told_to_be_lit_before_more_than_a_rough_forecast_is_there(
    day: Day, backend: Later, adviser: Any
) -> None:
    """HEAT ON stood there for a second after each reading, and became HEAT LOW or JUG."""
    day.melted().plugged().sealed().first_layers().at(130, *(ev.Looked(mould=x, cue="firm") for x in "AB"))
    adviser.advise(day.state, day.t(131))
    backend.all()
    day.at(132, ev.Reading(place="pot", celsius=45.0))
    adviser.advise(day.state, day.t(132))
    _, answers, then = next(each for each in backend.asked.values() if isinstance(each[0], ForecastQuery))
    part = next(part for part in answers if part is not None)
    for provisional, word in ((True, "WAIT"), (False, "HEAT ON")):
        then(replace(part, provisional=provisional))
        assert adviser.advise(day.state, day.t(132)).now.word == word


@pytest.mark.parametrize(("minutes", "word"), [(0.5, "HEAT OFF"), (2.9, "HEAT OFF"), (3.1, "WAIT")])
def test_a_flame_that_was_told_to_go_out_stays_so_for_whoever_is_on_the_way(
    lit: Day, minutes: float, word: str
) -> None:
    """92.07 °C against 92: HEAT OFF stood there, and 0.2 s later it was to go out in four minutes and a half."""
    lit.at(20, told_to("heat off", "HEAT OFF"), by="program")
    at = 20 + minutes
    first = what_now(lit.state, lit.outlook(20), [act("heat off", lit.t(at + 4.5))], lit.t(at))
    assert first.word == word
    lit.at(20.1, ev.Reading(place="pot", celsius=60.0))
    later = what_now(lit.state, lit.outlook(20.1), [act("heat off", lit.t(at + 4.5))], lit.t(at))
    assert later.word == "WAIT", "a reading speaks anew"


def test_a_jug_that_is_ready_is_not_put_off_by_seconds(day: Day) -> None:
    day.melted().at(31, told_to("jug 0", "JUG RUST"), by="program")
    for off, word in ((2.0, "JUG"), (200.0, "WAIT")):
        jug = replace(act("jug", day.t(31.1) + off), id=ActId("jug", "0"), word="JUG")
        assert what_now(day.state, day.outlook(31), [jug], day.t(31.1)).word.split()[0] == word


def told_to(name: str, word: str) -> ev.Told:
    return ev.Told(act=name, word=word, moulds="", says="", early=None, likely=None, late=None)
