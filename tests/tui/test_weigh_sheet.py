"""The weigh sheet as lines: within its window, with the weights of the plan, and a plain sentence where there are none."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.plan.model import Layer
from pourday.plan.weigh import weigh_sheet
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.drawing.weigh_sheet import (
    JOBS,
    draw_sheet,
    finding_at,
    findings_page,
    origins_page,
    sheet_page,
    whole_sheet,
)
from pourday.units import show_mass

PLAN = two_pillars()


def text(lines) -> str:
    return "\n".join(text_of(line) for line in lines)


@pytest.mark.parametrize("cells", [24, 40, 60, 100])
@pytest.mark.parametrize("rows", [5, 20])
def test_it_stays_within_its_window(cells, rows):
    drawn = draw_sheet(PLAN, cells, rows)
    assert len(drawn) <= rows
    assert all(width(line) <= cells for line in drawn)


@pytest.mark.parametrize("page", [sheet_page, whole_sheet])
def test_every_mould_stands_there_with_its_set_weight(page):
    shown = text(page(PLAN, 100))
    for mould in weigh_sheet(PLAN).moulds:
        assert show_mass(mould.set_weight, PLAN.units, PLAN.scale_step) in shown


def test_a_plan_that_cannot_be_weighed_says_why_and_shows_no_weight():
    shown = text(sheet_page(replace(PLAN, room_c=400.0), 100))
    assert shown
    assert " g" not in shown


def test_the_finding_is_that_of_the_row_and_else_the_gravest():
    much = replace(PLAN, scent_limit=0.01, layers=(replace(PLAN.layers[0], scent_load=0.2), Layer()))
    gravest, job = finding_at(much, "title")
    assert gravest.startswith("stop-and-think")
    assert job == JOBS["stop-and-think"]
    assert "scent" in finding_at(much, "layers.0.scent_load")[0]
    assert gravest.split(": ", 1)[1][:20] in text(findings_page(much, 200))


def test_where_figures_come_from_begins_with_the_chosen_row():
    assert "room" in text(origins_page(PLAN, "room_c", "room", 80)[:4]).lower()
