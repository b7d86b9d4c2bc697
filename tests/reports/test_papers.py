"""The papers: every text comes out as text, the page is whole HTML with nothing from outside, the figures are the plan's."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.plan.model import (
    BlendPart,
    Cylinder,
    Layer,
    Mould,
    Plan,
    Product,
    Square,
    Tapered,
    WaterFilled,
    WaterPoint,
)
from pourday.plan.volumes import volume
from pourday.plan.weigh import weigh_sheet
from pourday.reports.day_page import FOLD_FROM, FoldedAxis, day_page
from pourday.reports.papers.day_chart import day_chart
from pourday.reports.papers.mould_svg import mould_svg, width_at
from pourday.reports.papers.pages import record_page, sheet_page, slip_page
from pourday.reports.papers.sheet import sheet_text, wall_sheet
from pourday.reports.papers.slip import LABELS, burn_time, candle_slips, slip_text
from pourday.reports.story import batch_record, story
from pourday.session import events as ev
from pourday.session.candle import Burn, CandleState
from pourday.session.events import Entry
from pourday.session.fold import fold
from pourday.store.reading import read_path
from pourday.text import steerless
from pourday.units import show_mass, show_temperature
from tests.reports.slovenly import RECORD

NOON = 1_795_608_000.0
HOSTILE = "<script>alert(1)</script>\"'&{{7*7}}</style>"
RECORDS = [*Path("sessions").glob("[!.]*.json"), *Path("tests/store/samples").glob("version-*.json"), RECORD]
VOID = {"meta", "br", "link"}


class Page(HTMLParser):
    """What a browser would see: tags, their nesting, and the text between them."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[str] = []
        self.outside: list[str] = []
        self.text = ""
        self.feed(html)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.outside += [value or "" for name, value in attrs if name in ("src", "href")]
        assert not any(name.startswith("on") for name, _ in attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, _attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def entries_of(*facts: ev.Fact, plan: Plan) -> list[Entry]:
    all_facts = (ev.Opened(session="2026-11-25-a", program="0"), ev.PlanFixed(plan=plan), *facts)
    at = [ev.moment(NOON + 60 * n) for n in range(len(all_facts))]
    return [
        Entry(seq=n + 1, at=at[n], logged_at=at[n], by="person", fact=fact)
        for n, fact in enumerate(all_facts)
    ]


def hostile_day(text: str) -> list[Entry]:
    """A day with this text wherever a person can put one."""
    plan = replace(
        two_pillars(),
        title=text,
        scent_lot=text,
        dye_lot=text,
        wick=text,
        moulds=(Mould(name=text, wick=text),),
        layers=(
            Layer(
                colour=text,
                scent_load=0.05,
                dye_load=0.001,
                scents=(Product(name=text, lot=text), Product(name=text)),
                dyes=(Product(name=text, lot=text),),
            ),
        ),
        blend=(BlendPart(wax="paraffin_pillar", lot=text),),
    )
    return entries_of(
        ev.Equipped(
            who=text[:80],
            thermometer=text[:80],
            checks=(ev.ThermometerCheck(water="ice", read_c=0.4, should_c=0.0, on=text[:80]),),
            scale=text[:80],
            scale_step=0.001,
            pot=text[:80],
            burner=text[:80],
        ),
        ev.JugMade(layer=0, planned_kg=0.4),
        ev.JugWeighed(layer=0, kg=0.2, typed=text[:80]),
        ev.JugDosed(
            layer=0,
            what="scent",
            product=text[:80],
            lot=text[:80],
            kg=0.03,
            planned_kg=0.01,
            typed=text[:80],
        ),
        ev.Noted(text=text),
        ev.Undone(entry=7),
        ev.Reasoned(entry=8, why=text),
        ev.Poured(mould="A", layer=0, part="layer", kg=0.1, planned_kg=0.2),
        ev.Reading(place="pot", celsius=99.0),
        ev.Reading(place="pot", celsius=80.0, typed=text, doubt=text),
        ev.AlarmRaised(alarm=text[:80] or "x", says=text),
        ev.RescueChosen(card=text[:80], option=text[:80], mould="A"),
        ev.Spilled(mould="A", kg=0.01),
        ev.Finished(verdict=text),
        plan=plan,
    )


def pages_of(entries: list[Entry]) -> dict[str, Page]:
    state = fold(entries)
    return {
        "sheet": Page(sheet_page(state)),
        "slip": Page(slip_page(state, {"A": CandleState("A", label=state.plan.title)})),
        "record": Page(record_page(state, entries)),
    }


def test_a_hostile_text_is_text_on_every_paper() -> None:
    harmless = pages_of(hostile_day("sage"))
    for paper, page in pages_of(hostile_day(HOSTILE)).items():
        assert page.tags == harmless[paper].tags
        assert "script" not in page.tags
        assert HOSTILE in page.text
    # In the record it stands in every place there is for one.
    assert record_page(fold(hostile_day(HOSTILE)), hostile_day(HOSTILE)).count("alert(1)") >= 25


STEERING = "\x1b[31m\x1b]0;gone\x07red\u202e\u200b\x9b2J"


def test_no_text_steers_the_terminal_that_shows_the_record() -> None:
    """Records are cleaned when they are read and written; what a hand-made one holds is cleaned at the last door."""
    entries = hostile_day(STEERING)
    state = fold(entries)
    said = [*batch_record(state, entries), *story(state, entries)]
    lines = steerless("\n".join([*said, *sheet_text(wall_sheet(state.plan, "b"))]))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e\u200b]", lines)
    assert "red" in lines


@settings(max_examples=25, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=40))
def test_no_text_at_all_changes_what_a_page_is_made_of(text: str) -> None:
    for paper, page in pages_of(hostile_day(text)).items():
        assert page.tags == pages_of(hostile_day("sage"))[paper].tags


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.name)
def test_every_record_there_is_prints_and_asks_for_nothing_from_outside(path: Path) -> None:
    stored = read_path(path)
    papers = [record_page(stored.state, stored.entries)]
    papers += [sheet_page(stored.state), slip_page(stored.state, {})]
    for html in papers:
        page = Page(html)
        assert page.outside == []
        assert "url(" not in html
        for drawing in re.findall(r"<svg.*?</svg>", html, re.DOTALL):
            ET.fromstring(drawing)


def test_the_sheet_has_every_weight_and_limit_and_a_box_for_each() -> None:
    plan = two_pillars()
    sheet, page = weigh_sheet(plan), Page(sheet_page(fold(entries_of(plan=plan))))
    text = "\n".join(sheet_text(wall_sheet(plan, "b")))
    for says in (page.text, text):
        assert f"ever above {show_temperature(sheet.ceiling_c, plan.units)}" in says.replace(
            "EVER ABOVE", "ever above"
        )
        assert "NO WATER" in says
        for mould in sheet.moulds:
            for pour in mould.pours:
                assert show_mass(pour.kg, plan.units, plan.scale_step) in says
                assert show_temperature(pour.pour_c, plan.units) in says
    assert page.tags.count("svg") == len(sheet.moulds)
    assert text.count("______ time") == sum(len(card.pours) for card in wall_sheet(plan, "b").moulds)


def test_the_slip_claims_no_compliance_and_measures_nothing_it_has_not() -> None:
    plan = Plan(units="us", moulds=(Mould(), Mould(stays=True, material="glass")))
    text = "\n".join(slip_text(candle_slips(fold(entries_of(plan=plan)), {})))
    assert LABELS in text
    assert "not tested" in text
    assert "not weighed" in text
    for says in ("unattended", "at most 4 h", "Stop when 2 in", "Stop when 1/2 in", "1/4 in", "3 in"):
        assert says in text
    assert not re.search(r"complian|conform|\bCE\b|certif|meets", text, re.IGNORECASE)


def burned(letter: str, hours: float, how: ev.WentOut) -> CandleState:
    lit = ev.CandleLit(mould=letter)
    return CandleState(letter, burns=(Burn(NOON, lit, ended_at=NOON + 3600 * hours, how=how),))


def test_burn_time_is_measured_only_on_what_burned_down() -> None:
    assert burn_time({}) == "not tested"
    assert burn_time({"A": CandleState("A")}) == "not tested"
    assert burn_time({"A": burned("A", 4, "snuffed")}).startswith(
        "not burned to its end; one was lit for 4 h 00"
    )
    both = {"A": burned("A", 40, "burned down"), "B": burned("B", 30, "burned down")}
    assert burn_time(both) == "30 h 00, measured on 2 candles of this batch"


@pytest.mark.parametrize(
    "shape",
    [
        Cylinder(diameter=0.075, height=0.15),
        Square(side=0.06, height=0.12),
        Tapered(diameter_low=0.04, diameter_rim=0.06, height=0.1),
        WaterFilled(points=(WaterPoint(height=0.05, water=0.1), WaterPoint(height=0.1, water=0.3))),
    ],
)
def test_the_section_has_the_lines_of_the_plan_at_their_height(shape) -> None:
    plan = Plan(moulds=(Mould(shape=shape),), layers=(Layer(), Layer(share=2)))
    sheet = weigh_sheet(plan).mould("A")
    drawing = ET.fromstring(mould_svg(plan.moulds[0], sheet, plan.layers, 50.0, 0.15))
    bands = [e for e in drawing.iter() if e.tag.endswith("polygon")]
    lows = [max(float(p.split(",")[1]) for p in band.attrib["points"].split()) for band in bands]
    tops = [min(float(p.split(",")[1]) for p in band.attrib["points"].split()) for band in bands]
    levels = [0.0, *(pour.level for pour in sheet.pours)]
    for low, top, below, above in zip(lows, tops, levels, levels[1:], strict=False):
        assert low - top == pytest.approx((above - below) * 50.0 / 0.15, abs=0.02)


@given(st.floats(0.001, 0.099))
def test_a_round_width_is_that_of_its_area(level: float) -> None:
    shape, dh = Tapered(diameter_low=0.04, diameter_rim=0.06, height=0.1), 1e-5
    area = (volume(shape, level + dh) - volume(shape, level - dh)) / (2 * dh)
    assert width_at(shape, level) ** 2 * 3.14159265 / 4 == pytest.approx(area, rel=1e-3)


def test_the_day_s_drawing_has_every_window_pour_and_deviation() -> None:
    stored = read_path(RECORD)
    page = day_page(stored.state, stored.entries)
    assert page is not None
    drawing = ET.fromstring(day_chart(page))
    bars = [e for e in drawing.iter() if e.attrib.get("fill") == "#cfe3f5"]
    assert len(bars) == len(page.windows) > 5
    texts = [e.text for e in drawing.iter() if e.tag.endswith("text")]
    assert [text for text in texts if text and text.startswith("▼")] == [
        f"▼{n}" for n in range(1, len(page.deviating) + 1)
    ]
    pours = [e for e in drawing.iter() if e.attrib.get("fill") == "#000" and e.tag.endswith("path")]
    assert len(pours) == len(page.pours)


@given(st.lists(st.floats(NOON, NOON + 1e7), min_size=1, max_size=30), st.floats(NOON, NOON + 1e7))
def test_the_axis_rises_and_folds_what_is_quiet(moments: list[float], t: float) -> None:
    axis = FoldedAxis.of(moments)
    places = [axis.at(each) for each in sorted(moments)]
    assert places == sorted(places)
    assert axis.length <= max(1.0, len(moments) * FOLD_FROM)
    assert 0 <= axis.at(t) <= axis.length
