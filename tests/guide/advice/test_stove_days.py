"""Days of other shapes through the agenda: many moulds, many layers, no plug, plans that leave much out."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.forecast.spread import Quantiles
from pourday.guide.acts.heat_plan import jug_reading
from pourday.guide.advice.agenda import agenda, order_now
from pourday.guide.advice.still_to_weigh import still_to_weigh
from pourday.guide.ahead.day import Step, forecast_day
from pourday.plan.model import Layer
from pourday.plan.on_scale import on_scale
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.act_id import ActId
from tests.guide.facts import looked, poured

Day = Any  # the `Told` of conftest.py


def test_a_colour_is_looked_at_on_paper_only_where_the_jug_is_dyed(day_of: type) -> None:
    plan = replace(two_pillars(), layers=(Layer(colour="rust", dye_load=0.001), Layer(colour="plain")))
    told = day_of(plan=plan).melted().at(38, ev.JugMade(layer=0))
    drop = told.act(38.5, "drop")
    assert drop.word == "SHADE RUST"
    assert "looks darker than set wax" in drop.why
    told.at(39, *drop.question.choices[0].facts)
    assert not [a for a in told.acts(39.5).values() if a.kind == "drop"]
    told.plugged().sealed().first_layers().at(120, *(looked(x, "firm") for x in "AB"), ev.JugMade(layer=1))
    assert not [a for a in told.acts(121).values() if a.kind == "drop"]


def test_a_drop_that_was_too_pale_is_noted_and_the_day_goes_on(day: Day) -> None:
    day.melted().at(38, ev.JugMade(layer=0))
    pale = next(c for c in day.act(38.5, "drop").question.choices if c.key == "a")
    unweighed = next(c for c in pale.then.choices if c.key == "n")
    day.at(39, *unweighed.facts)
    assert day.state.notes[-1][1] == "Dye added to rust, not weighed."
    assert day.now(39.5).word == "JUG CREAM"


@pytest.mark.parametrize("count", [1, 3, 6])
def test_one_jug_a_layer_serves_every_mould(day_of: type, count: int) -> None:
    plan = two_pillars()
    told = day_of(plan=replace(plan, moulds=(replace(plan.moulds[0], count=count),)))
    letters = "ABCDEF"[:count]
    told.melted().jug(38, 0)
    plug = told.act(38.5, "plug")
    assert plug.moulds == letters
    assert [f.mould for f in plug.records] == list(letters)
    # The next colour's may be drawn in the same go.
    assert {a.layer for a in told.acts(38.5).values() if a.kind == "jug"} <= {1}


def test_without_a_plug_the_first_colour_is_poured_at_once(day_of: type) -> None:
    told = day_of(plan=replace(two_pillars(), plug=0.0)).melted().jug(38, 0)
    assert told.now(38.5).word == "POUR A B"
    told.at(39, poured("A", 0), poured("B", 0))
    assert {a.kind for a in told.acts(40).values() if a.moulds} == {"look"}


def test_a_single_colour_needs_no_second_jug(day_of: type) -> None:
    told = day_of(plan=replace(two_pillars(), layers=two_pillars().layers[:1])).melted().plugged().sealed()
    told.at(51, poured("A", 0), poured("B", 0))
    kinds = {a.kind for a in told.acts(52).values()}
    assert "jug" not in kinds
    assert "look" in kinds
    assert [f for a in told.acts(52).values() if a.kind == "look" for f in a.records], (
        "holes on the same walk"
    )


def test_what_closes_first_comes_first_among_equals(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    due = [a for a in day.acts(125).values() if a.kind == "look" and a.due <= day.t(125)]
    day.at(125, ev.Noted(text="both looks late"))
    late = day.acts(200)
    [both] = [a for a in order_now(list(late.values()), day.t(200)) if a.kind == "look"]
    assert both.moulds == "AB"
    assert len(due) <= 2
    # In one go they are as urgent as the one that closes first, B in its thinner mould; apart it would come before A.
    closes = {x: day.outlook(200).mould(x).closes for x in "AB"}
    assert both.closes == closes["B"] < closes["A"]
    apart = [dataclasses.replace(both, moulds=x, closes=closes[x]) for x in "AB"]
    assert [a.moulds for a in order_now(apart, day.t(200))] == ["B", "A"]


def test_the_burner_is_off_between_windows_whatever_is_forgotten(day: Day) -> None:
    """A burner left on after the jug is hot is asked off, again and again, before anything of the moulds."""
    day.at(0, ev.BurnerSet(state="on"), ev.WaterSeen())
    for minute, celsius in ((10, 55.0), (18, 75.0), (24, 88.0)):
        day.at(minute, ev.Reading(place="pot", celsius=celsius), ev.WaterSeen())
    for minute in (24.5, 26, 28):
        day.at(minute, ev.WatchAnswered())
        assert day.now(minute + 0.1).word == "HEAT OFF"


# -- the rest of the day put into the agenda ---------------------------------------------------------


def step(
    kind: Any, word: str, moulds: str, layer: int | None, at: Quantiles, closes: float | None = None
) -> Step:
    """A step of a day ahead."""
    act = ActId(kind, moulds, layer, 0, far=True)
    return Step(act, kind, word, moulds, layer, at, 60.0, "later", "worked out ahead", closes=closes)


def test_the_far_part_of_the_day_stands_behind_the_next_acts_and_is_never_due(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    t = day.t
    steps = [
        step("jug", "JUG CREAM", "", 1, Quantiles(t(100), t(105), t(110))),
        step("pour", "POUR", "B", 1, Quantiles(t(110), t(120), t(130)), closes=t(140)),
        step("look", "LOOK", "B", None, Quantiles(t(110), t(119), t(130))),
        step("demould", "DEMOULD", "A", None, Quantiles(t(1440), t(1440), t(1500))),
        step("pour", "POUR", "A", 1, Quantiles(t(20), t(30), t(40))),
    ]
    found = agenda(day.state, day.outlook(52), t(52), far=steps)
    words = [(a.word, a.moulds) for a in found]
    assert words.count(("JUG CREAM", "")) == 1
    assert next(a.due for a in found if a.word == "JUG CREAM") == t(105)
    assert ("POUR", "B") in words
    assert ("POUR", "A") not in words
    assert ("DEMOULD", "A") in words
    assert words.count(("LOOK", "B")) == 1
    assert [a.due for a in found] == sorted(a.due for a in found)
    assert all(a.due > t(52) and not a.records for a in found if a.id.far)


def test_a_plan_in_inches_is_told_in_inches(day_of: type) -> None:
    """Nothing at the stove has to be converted with wax on both hands."""
    day = day_of(replace(two_pillars(), units="us")).melted().plugged(40).sealed(50)
    acts = day.acts(51).values()
    pour = next(act for act in acts if act.kind == "pour")
    assert " in below its rim" in pour.says
    assert not any(" mm" in act.says for act in acts)


def test_the_stove_asks_for_what_the_sheet_shows(day: Any) -> None:
    """Parts that were rounded so that they add up are not rounded once more, another way."""
    shown = on_scale(weigh_sheet(two_pillars()), two_pillars().scale_step)
    outlook = day.outlook(1)
    for mould in shown.moulds:
        assert [outlook.portion(mould.letter, layer, "layer") for layer in (0, 1)] == [
            p.kg for p in mould.pours
        ]
        assert outlook.portion(mould.letter, 1, "top-up") == mould.top_up.kg
    assert [(outlook.jug(i).wax, outlook.jug(i).scent) for i in (0, 1)] == [
        (j.wax, j.scent) for j in shown.jugs
    ]
    assert all(outlook.jug(i).dye > 0 for i in (0, 1)), "what no step of the scale shows is still told"


# -- two jugs, one thermometer -------------------------------------------------------------------------------


def test_a_reading_at_the_lip_of_one_jug_says_nothing_of_another(day_of: type) -> None:
    """Read and poured within two minutes, it was the jug that was poured from."""
    plan = two_pillars()
    layers = tuple(replace(plan.layers[i % 2], colour=c) for i, c in enumerate(("rust", "cream", "moss")))
    told = day_of(plan=replace(plan, layers=layers)).melted().plugged().sealed().first_layers()
    told.jug(100, 1).jug(101, 2).at(110, ev.Reading(place="jug", celsius=70.0))
    told.at(112, ev.Reading(place="jug", celsius=84.0))
    assert jug_reading(told.state, 2, told.t(113)).celsius == 84.0
    told.at(113, poured("A", 1))
    assert jug_reading(told.state, 1, told.t(114)).celsius == 84.0
    assert jug_reading(told.state, 2, told.t(114)).celsius == 70.0


def test_a_jug_of_many_minutes_is_not_begun_while_a_firm_mould_waits_for_its_own_to_fall(
    day_of: type,
) -> None:
    plan = two_pillars()
    layers = tuple(replace(plan.layers[i % 2], colour=c) for i, c in enumerate(("rust", "cream", "moss")))
    told = day_of(plan=replace(plan, layers=layers)).melted().plugged().sealed().first_layers().jug(100, 1)
    told.at(118, looked("B", "firm")).at(119, ev.Reading(place="jug", celsius=90.0))
    pour = next(a for a in told.acts(119.5).values() if a.kind == "pour" and "B" in a.moulds)
    assert told.t(119.5) < pour.due < told.t(125)
    jugs = [a for a in told.acts(119.5).values() if a.kind == "jug"]
    assert all(a.due > pour.due for a in jugs)


def test_what_was_left_out_does_not_silence_a_mould_for_good(day_of: type) -> None:
    """Without its plug a mould gets its first layer; without a look its pour; without a pour the next one."""
    plan = two_pillars()
    layers = tuple(replace(plan.layers[i % 2], colour=c) for i, c in enumerate(("rust", "cream", "moss")))

    def day() -> Day:
        return day_of(plan=replace(plan, layers=layers)).melted().jug(38, 0)

    def kinds(told: Day, minute: float) -> list[tuple[str, int | None]]:
        acts = (a for a in told.acts(minute).values() if "A" in a.moulds and a.urgency < 9)
        return [(a.kind, a.layer) for a in acts]

    assert ("pour", 0) in kinds(day().at(39, ev.Waived(act="plug 0 A")), 40)
    assert kinds(day().at(39, ev.Waived(act="plug 0 A"), ev.Waived(act="layer 0 A")), 40) == []
    plugged = day().at(40, ev.Poured(mould="A", layer=0, part="plug"))
    assert ("pour", 0) in kinds(plugged.at(49, ev.Waived(act="look under A")), 50)
    filled = day().at(51, poured("A", 0))
    assert ("pour", 1) in kinds(filled.at(150, ev.Waived(act="look A 1")), 151)
    assert ("pour", 2) in kinds(filled.at(150, ev.Waived(act="pour 1 A")), 151)


def test_a_jug_left_out_is_not_in_the_way_of_the_next(day_of: type) -> None:
    told = day_of().melted().at(31, ev.Waived(act="jug 0"))
    assert [str(a.id) for a in told.acts(32).values() if a.kind == "jug"] in ([], ["jug 1"])


def _three_colours(day_of: type) -> Day:
    """Both moulds firm in rust at 150, POUR A B green due."""
    plan = two_pillars()
    layers = tuple(replace(plan.layers[0], colour=c, share=1.0) for c in ("rust", "green", "blue"))
    told = day_of(plan=replace(plan, layers=layers)).melted().plugged().sealed().first_layers()
    return told.at(150, *(ev.Looked(mould=x, cue="firm") for x in "AB"))


def test_a_colour_left_out_moves_the_next_one_into_its_place(day_of: type) -> None:
    """Blue is due when green was, in the agenda and in the day ahead, and nobody draws a jug of green."""
    told = _three_colours(day_of)
    told.at(151, ev.Waived(act="pour 1 A"), ev.Waived(act="pour 1 B"))
    assert [str(act.id) for act in told.acts(151).values() if act.kind == "jug"] == ["jug 2"]
    told.jug(151, 2)
    acts = told.acts(151).values()
    assert not [act for act in acts if act.layer == 1]
    assert [act.due for act in acts if act.kind == "pour" and act.layer == 2] == [told.t(151)]
    found = forecast_day(told.state, told.outlook(151), told.t(151))
    blue = [step for step in found.steps if step.kind == "pour" and step.layer == 2]
    assert sum(len(step.moulds) for step in blue) == 2
    assert all(step.at.likely < told.t(185) for step in blue)
    assert not [step for step in found.steps if step.layer == 1]


def test_a_mould_left_empty_for_good_has_no_further_acts_and_lacks_no_wax(day_of: type) -> None:
    told = day_of().melted().jug(38, 0).at(39, ev.Waived(act="plug 0 A"), ev.Waived(act="layer 0 A"))
    whole = day_of().melted().jug(38, 0)
    found = forecast_day(told.state, told.outlook(40), told.t(40))
    assert not [step.id for step in found.steps if "A" in step.moulds]
    assert [step.id for step in found.steps if "B" in step.moulds]
    assert not [act.id for act in told.acts(40).values() if "A" in act.moulds and act.kind != "jug"]
    lines, before = still_to_weigh(told.state), still_to_weigh(whole.state)
    assert not [line for line in (*lines, *before) if line.startswith("Missing")]
    assert lines[0] != before[0], "what A would have had is not still to pour"
