"""One stove and one pair of hands: what is done in one go, what waits, and what gets in its own way."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.act import NO_ANSWER, Act
from pourday.guide.acts.heat_plan import IN_TIME, fit_from
from pourday.guide.acts.mould_acts import mould_acts
from pourday.guide.acts.sharing import (
    WAITS_FOR_JUG,
    Job,
    best_order,
    collision,
    delay_for_shared_jug,
    jobs,
    lateness,
    merge_same_acts,
)
from pourday.plan.model import Cylinder, Plan
from pourday.session import events as ev
from pourday.session.act_id import ActId
from tests.guide.facts import looked, poured

Day = Any  # the `Told` of conftest.py
MINUTE = 60.0


def job(moulds: str, ready: float, closes: float, layer: int = 1, celsius: float = 85.0) -> Job:
    """Minutes in; a pour takes two of them, another jug ten."""
    return Job(moulds, layer, celsius, ready * MINUTE, closes * MINUTE, 2 * MINUTE, 10 * MINUTE)


def order(found: list[Job]) -> str:
    return "".join(j.moulds for j in best_order(found))


# -- in one go ---------------------------------------------------------------------------------------


def look_at_b(day: Day, minute: float) -> Any:
    return next(a for a in day.acts(minute).values() if a.kind == "look" and a.moulds == "B")


def poured_at_once(day: Day, minute: float) -> Any:
    acts = delay_for_shared_jug(day.state, day.outlook(minute), _acts(day, minute))
    return next(a for a in acts if a.kind == "pour")


def test_a_firm_mould_waits_for_its_fellow_that_is_looked_at_soon(waiting: Day) -> None:
    waiting.at(95, looked("B", "skinned")).at(100, looked("A", "firm"))
    b = look_at_b(waiting, 100.1)
    assert b.due < waiting.t(100) + 20 * MINUTE
    pour = poured_at_once(waiting, 100.1)
    assert b.due < pour.due <= b.due + 3 * MINUTE
    assert "waits for B: one jug, one heat" in pour.why
    when = b.due / 60 - waiting.t(0) / 60
    waiting.at(when, looked("B", "firm")).jug(when + 1, 1)
    assert waiting.now(when + 1.5).word == "POUR A B"


def test_a_firm_mould_does_not_wait_long(waiting: Day) -> None:
    """B has just been seen wet, and is not looked at for longer than a firm mould waits."""
    waiting.at(118, looked("A", "firm")).at(119, looked("B", "wet"))
    assert look_at_b(waiting, 119.1).due > waiting.t(118) + 20 * MINUTE
    assert poured_at_once(waiting, 119.1).due == pytest.approx(waiting.t(118), abs=1)


def test_a_window_that_closes_is_not_waited_past(waiting: Day) -> None:
    """B may close before A is looked at next."""
    waiting.at(89, looked("B", "firm")).at(90, looked("A", "wet"))
    a = next(x for x in waiting.acts(90.1).values() if x.kind == "look" and x.moulds == "A")
    pour = poured_at_once(waiting, 90.1)
    forecast = waiting.outlook(90.1).mould("B")
    assert forecast.closes_spread.early < a.due
    assert pour.due == pytest.approx(waiting.t(89), abs=1)


def _acts(day: Day, minute: float) -> list[Any]:
    return mould_acts(day.state, day.outlook(minute))


def eight_votives() -> Plan:
    """Eight equal small moulds of metal."""
    plan = two_pillars()
    votive = replace(plan.moulds[0], name="votive", shape=Cylinder(diameter=0.045, height=0.06), count=8)
    return replace(plan, moulds=(votive,))


def test_eight_equal_moulds_are_looked_at_as_one_row_and_answered_by_one_key(day_of: Any) -> None:
    """One row and one answer, where each mould had a row of its own: 8 entries fewer by 7."""
    day = day_of(plan=eight_votives()).melted().jug(38, 0)
    day.at(40, *(ev.Poured(mould=x, layer=0, part="plug", planned_kg=0.01) for x in "ABCDEFGH"))
    day.at(48, *(ev.SealSeen(mould=x, weeps=False) for x in "ABCDEFGH"))
    day.at(50, *(ev.Poured(mould=x, layer=0, part="layer", planned_kg=0.03) for x in "ABCDEFGH"))
    [look] = [act for act in day.acts(51).values() if act.kind == "look"]
    assert look.moulds == "ABCDEFGH"
    assert look.question is not None
    *same, apart = look.question.choices
    assert {c.key: c.facts for c in same}["f"] == tuple(looked(x, "firm") for x in "ABCDEFGH")
    # Said one by one, each is asked for in turn, and nothing is asked after the last.
    asks, question = [], apart.then
    while question is not None:
        asks.append(question.asks)
        firm = next(c for c in question.choices if c.key == "f")
        assert len(firm.facts) == 1
        question = firm.then
    assert asks == [f"{x} looks:" for x in "ABCDEFGH"]
    # One that is behind takes four keys in all: not the same, it, the rest alike, and how those look.
    assert apart.then is not None
    after_a = next(c.then for c in apart.then.choices if c.key == "k")
    assert after_a is not None
    rest = next(c.then for c in after_a.choices if c.key == "r")
    assert rest is not None
    assert {c.key: c.facts for c in rest.choices}["f"] == tuple(looked(x, "firm") for x in "BCDEFGH")
    assert not NO_ANSWER & {c.key for q in (after_a, rest) for c in q.choices}
    assert not NO_ANSWER & {c.key for c in look.question.choices}
    day.at((look.due - day.t(0)) / 60, *next(c.facts for c in same if c.key == "f"))
    [pour] = [a for a in day.acts((look.due - day.t(0)) / 60 + 1).values() if a.kind == "pour"]
    assert pour.moulds == "ABCDEFGH"


def test_moulds_that_differ_in_what_stands_in_them_are_looked_at_each_by_itself(waiting: Day) -> None:
    waiting.at(51.5, ev.Emptied(mould="B", how="tipped back"), poured("B", 0))
    looks = {act.moulds for act in waiting.acts(52).values() if act.kind == "look"}
    assert "AB" not in looks


def test_no_look_in_one_go_leaves_less_than_the_time_to_pour(waiting: Day) -> None:
    """Whatever the two windows are, none of them closes before its jug can be there."""
    for minute in range(52, 200, 6):
        for act in waiting.acts(minute).values():
            if act.kind == "look" and len(act.moulds) > 1:
                assert act.closes is None or act.due <= max(waiting.t(minute), act.closes - 10 * MINUTE)


def test_both_seals_are_looked_at_before_the_first_colour_is_poured(day: Day) -> None:
    day.melted().plugged().at(48, ev.Reading(place="jug", celsius=84.0))
    under = day.now(48.5)
    assert under.word == "LOOK UNDER A B"
    assert under.says == "Look underneath A and B: no wax may weep from the wick hole."
    dry, weeping = under.act.question.choices
    assert dry.facts == tuple(ev.SealSeen(mould=x, weeps=False) for x in "AB")
    assert [c.facts for c in weeping.then.choices] == [(ev.SealSeen(mould=x, weeps=True),) for x in "AB"]
    day.at(49, ev.SealSeen(mould="A", weeps=True))
    assert day.now(49.5).word == "LOOK UNDER B"
    day.at(50, *dry.facts)
    assert day.now(50.5).word == "POUR A B"


# -- collisions --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "best", "late"),
    [
        # One jug, time enough: as they come.
        ([job("A", 0, 60), job("B", 5, 60)], "AB", 0),
        # B is ready later but closes first, and A can wait.
        ([job("A", 0, 40), job("B", 1, 3)], "BA", 0),
        # Another colour needs another jug: ten minutes of the stove.
        ([job("A", 0, 30), job("B", 0, 5, layer=2)], "BA", 0),
        # Two windows that overlap too little for one jug.
        ([job("A", 0, 4), job("B", 0, 5, layer=2)], "AB", 1),
        # Same colour, same window: the hotter mould first, the jug falls by itself.
        ([job("A", 0, 20, celsius=80.0), job("B", 0, 20, celsius=86.0)], "BA", 0),
    ],
    ids=["room", "closes first", "another jug", "too much", "hotter first"],
)
def test_the_better_order(found: list[Job], best: str, late: int) -> None:
    assert order(found) == best
    assert sum(s > 0 for _, s in lateness(best_order(found))) == late


_JOBS = st.lists(
    st.builds(
        job,
        st.sampled_from("ABCDEF"),
        st.floats(0, 60),
        st.floats(1, 90),
        st.integers(0, 3),
        st.sampled_from((80.0, 83.0, 86.0)),
    ),
    min_size=2,
    max_size=5,
    unique_by=lambda j: j.moulds,
)


@settings(max_examples=120, deadline=None)
@given(_JOBS, st.randoms())
def test_no_order_makes_fewer_pours_late_and_it_does_not_depend_on_how_they_are_listed(
    found: list[Job], random: Any
) -> None:
    def count(way: list[Job]) -> int:
        return sum(s > 0 for _, s in lateness(way))

    best = best_order(found)
    assert count(best) == min(count(list(way)) for way in permutations(found))
    mixed = list(found)
    random.shuffle(mixed)
    assert best_order(mixed) == best


def test_pours_that_leave_each_other_time_are_no_collision(waiting: Day) -> None:
    assert collision(waiting.state, waiting.outlook(52), _acts(waiting, 52), waiting.t(52)) == ("", "")


def test_a_collision_is_said_with_the_better_order_where_the_first_of_them_stands(day_of: type) -> None:
    """Two plastic moulds, one a layer ahead, so that both are ready at once with two jugs between them."""
    plan = two_pillars()
    layers = tuple(replace(plan.layers[i % 2], colour=c) for i, c in enumerate(("rust", "cream", "moss")))
    told = day_of(plan=replace(plan, moulds=(plan.moulds[1], plan.moulds[1]), layers=layers))
    told.melted().plugged().sealed().at(51, poured("B", 0)).at(125, looked("B", "firm")).jug(126, 1)
    told.at(127, poured("B", 1)).at(128, poured("A", 0))
    late = max(told.outlook(129).mould(x).best for x in "AB") / 60 - told.t(0) / 60
    told.at(late, *(looked(x, "firm") for x in "AB"))
    found = jobs(told.state, told.outlook(late), _acts(told, late), told.t(late))
    assert {j.moulds: j.layer for j in found} == {"A": 1, "B": 2}
    minute = min(j.closes for j in found) / 60 - told.t(0) / 60 - 3
    names, says = collision(told.state, told.outlook(minute), _acts(told, minute), told.t(minute))
    assert set(names) == {"A", "B"}
    assert "one pair of hands" in says.lower()
    cautions = [a.caution for a in told.acts(minute).values() if a.kind == "pour"]
    assert sum(says in c for c in cautions) == 1


def test_eight_equal_moulds_are_one_row_from_the_plug_to_the_demoulding(day_of: type) -> None:
    """Poured one after the other, a minute each: looked at, holed, topped up and taken off in one go each."""
    mould = replace(two_pillars().moulds[1], shape=Cylinder(diameter=0.05, height=0.09), count=8)
    day = day_of(plan=replace(two_pillars(), moulds=(mould,), layers=two_pillars().layers[:1], room_c=18.0))
    eight = "ABCDEFGH"
    day.melted().jug(38, 0)
    assert day.act(38.5, "plug").moulds == eight
    for n, letter in enumerate(eight):
        day.at(40 + n, ev.Poured(mould=letter, layer=0, part="plug", planned_kg=0.01))
    assert [a.moulds for a in day.acts(48).values() if a.kind == "look under"] == [eight]
    day.at(56, *(ev.SealSeen(mould=x, weeps=False) for x in eight))
    assert [a.moulds for a in day.acts(56.5).values() if a.kind == "pour"] == [eight]
    for n, letter in enumerate(eight):
        day.at(57 + n, ev.Poured(mould=letter, layer=0, part="layer", planned_kg=0.13))
    rows = [a for a in day.acts(66).values() if a.moulds]
    assert [a.moulds for a in rows] == [eight], [f"{a.kind} {a.moulds}" for a in rows]
    (look,) = rows
    assert look.kind == "look"
    day.at(110, *next(c for c in look.question.choices if c.key == "f").facts)
    assert [a.moulds for a in day.acts(111).values() if a.kind == "top-up"] == [eight]
    day.at(170, *(ev.Poured(mould=x, layer=0, part="top-up", planned_kg=0.006) for x in eight))
    day.at(171, *(ev.Waived(act=f"top-up {x} 2") for x in eight))
    assert [a.moulds for a in day.acts(172).values() if a.kind == "demould"] == [eight]


def test_a_look_is_not_called_before_its_jug_can_be_hot_but_never_past_its_window(day_of: type) -> None:
    """A squat mould in a cool room, its second colour cold in its jug over a flame that was just lit."""
    mould = replace(two_pillars().moulds[0], shape=Cylinder(diameter=0.085, height=0.09))
    day = day_of(plan=replace(two_pillars(), moulds=(mould,), room_c=17.0)).melted().jug(38, 0)
    day.at(40, *day.act(39, "plug").records).at(50, ev.SealSeen(mould="A", weeps=False))
    day.at(51, *day.act(50.5, "pour").records).jug(53, 1)
    free = (day.act(54, "look").due - day.t(0)) / 60
    day.at(free - 1.5, ev.BurnerSet(state="on")).at(
        free - 1, ev.Reading(place="jug", celsius=58.0, typed="58", jug=1)
    )
    look = day.act(free, "look")
    hot = fit_from(day.state, day.outlook(free), look, day.t(free))
    assert hot > day.t(free + 4), "the jug takes a while"
    assert day.t(free) + 60 < look.due <= min(hot, look.closes - IN_TIME)
    assert look.due <= day.t(free) + WAITS_FOR_JUG
    day.at(free + 1, ev.Told(act=str(look.id), word="LOOK A"), by="program")
    assert day.act(free + 1.5, "look").due <= look.due, "what was called is not put off again"


def test_holes_wait_for_one_walk_until_somebody_was_called_to_them(day: Day) -> None:
    """Half an hour apart they are one walk, when the first is due as well as before; nobody is sent back from it."""
    holes = [
        Act(ActId("relief", x), "relief", "HOLES", moulds=x, layer=1, says="", why="", due=day.t(due))
        for x, due in (("A", 200), ("B", 230))
    ]
    for minute in (190, 205):
        assert [a.moulds for a in merge_same_acts(holes, day.t(minute))] == ["AB"]
    assert [a.moulds for a in merge_same_acts(holes, day.t(205), told=str(holes[0].id))] == ["A", "B"]
