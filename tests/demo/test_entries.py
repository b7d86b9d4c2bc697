"""The counter of a day's entries: what one confirmation is, on a record written by hand."""

from __future__ import annotations

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.session.events import By, Entry, Fact
from tests.demo.entries import day_entries


def record(*pressed: tuple[float, By, tuple[Fact, ...]]) -> list[Entry]:
    facts = [(ev.moment(t), by, fact) for t, by, facts in pressed for fact in facts]
    return [Entry(seq=n, at=at, logged_at=at, by=by, fact=fact) for n, (at, by, fact) in enumerate(facts, 1)]


def test_one_answer_is_one_press_and_each_typed_number_is_one_of_its_own() -> None:
    plan = two_pillars()
    counted = day_entries(
        record(
            (0.0, "program", (ev.Opened(session="s", program="0"),)),
            (1.0, "person", (ev.PlanDrafted(plan=plan),)),
            (2.0, "person", (ev.Prepared(item="wick", mark="done"), ev.Prepared(item="lid", mark="done"))),
            (2.0, "person", (ev.PlanFixed(plan=plan),)),
            (3.0, "program", (ev.Told(act="heat on", word="HEAT ON"),)),
            (4.0, "person", (ev.BurnerSet(state="on"), ev.WaterSeen(topped_up=True))),
            (5.0, "person", (ev.WatchAnswered(),)),
            # What the jug reads is typed with its pour into both, in one line; a reading that is filed before it is not.
            (5.5, "person", (ev.Reading(place="jug", celsius=86.0),)),
            (6.0, "person", (ev.Reading(place="jug", celsius=84.0),)),
            (6.0, "person", tuple(ev.Poured(mould=x, layer=0, part="layer", kg=0.1) for x in "AB")),
            (7.0, "person", tuple(ev.Looked(mould=x, cue="firm") for x in "AB")),
            (8.0, "person", (ev.WaterSeen(),)),
            (9.0, "person", tuple(ev.Weighed(mould=x, what="candle", kg=0.2) for x in "AB")),
        )
    )
    assert counted.presses == 8  # list, begin, burner, reading, pour, look, water, weights
    assert counted.looks == 3  # the pour has a reading, too
    assert counted.water == 1
    assert counted.by_program == 2
    assert counted.facts == 15
    assert counted.by_kind["Weighed"] == 1


def test_moulds_that_do_not_look_alike_take_a_key_and_an_answer_each() -> None:
    unlike = (ev.Looked(mould="A", cue="firm"), ev.Looked(mould="B", cue="skinned"))
    assert day_entries(record((1.0, "person", unlike))).presses == 3
