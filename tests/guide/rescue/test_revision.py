"""The plan of the morning beside the plan of now, and a weigh sheet from what is really left."""

from __future__ import annotations

from typing import Any

from pourday.demo.scenario import two_pillars
from pourday.guide.advice.still_to_weigh import revised_plan_lines, still_to_weigh
from pourday.plan.replan import InMould, replan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py
SHEET = weigh_sheet(two_pillars())


def layered(day: Day, share: float = 1.0) -> Day:
    day.jug(38, 0)
    for mould, part in ((m, p) for m in "AB" for p in ("plug", "layer")):
        kg = SHEET.plug(mould).kg if part == "plug" else SHEET.pour(mould, 0).kg
        short = share if (mould, part) == ("A", "layer") else 1.0
        day.at(51, ev.Poured(mould=mould, layer=0, part=part, planned_kg=kg, share=short))
    return day


def test_an_unchanged_plan_has_nothing_beside_it(day: Day) -> None:
    assert revised_plan_lines(layered(day).state) == ()


def test_a_revised_plan_shows_both_heights_and_both_orders_of_the_moulds_that_changed(day: Day) -> None:
    day = layered(day, 0.5)
    sheet = SHEET.mould("A")
    inside = (
        InMould(layer=0, kg=sheet.plug.kg, part="plug"),
        InMould(layer=0, kg=sheet.pours[0].kg / 2),
    )
    plan = replan(two_pillars(), "A", "new heights", {"A": inside})
    day.at(60, ev.PlanRevised(plan=plan, why="A ran short"))
    lines = revised_plan_lines(day.state)
    assert lines[0] == "08:00 plan revised: A ran short"
    assert lines[1] == "A planned: rust 79.2 mm, cream 64.8 mm"
    assert lines[2].startswith("A now: rust 4")
    assert lines[3] == "A poured: rust, cream; finished, from the top: rust, cream"
    assert len(lines) == 4


def test_the_rest_is_weighed_from_jug_and_pot(day: Day) -> None:
    lines = still_to_weigh(layered(day).state)
    wanted = sum(SHEET.pour(x, 1).kg + SHEET.top_up(x).kg for x in "AB") * 1.02 + 0.010
    assert lines[0].startswith(f"cream: {wanted * 1000:.0f} g still to pour, draw")
    assert "scent" in lines[0]
    assert "Left in the pot" in lines[-1]


def test_what_is_missing_is_said_in_grams(day: Day) -> None:
    day = layered(day).at(60, ev.RescueChosen(card="smoking", option="cover, cool, discard"))
    assert still_to_weigh(day.state)[-1].startswith("Missing: ")
