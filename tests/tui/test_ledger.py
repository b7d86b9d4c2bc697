"""The whole session down one page: every moment on its line, nothing drawn where nothing was, and each key to its place."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len

from pourday.demo.scenario import two_pillars
from pourday.plan.model import Cylinder, Layer, Mould, Plan
from pourday.reports.day_page import day_page
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.store.reading import read_path
from pourday.times import local
from pourday.tui.drawing.lines import target_at, text_of
from pourday.tui.review.controller import ReviewController
from pourday.tui.review.layout import draw_review
from pourday.tui.review.ledger import STEPS, Ledger, stretches
from pourday.tui.review.ledger_layout import draw_ledger
from tests.reports.slovenly import RECORD

NOON = 1_795_608_000.0
SIZES = [(40, 12), (56, 18), (80, 24), (120, 40), (200, 60)]
SHIPPED = Path("sessions/2026-10-25-demo-a.json")
HOSTILE = "\x1b[31m\x1b]0;gone\x07red\u202e \u8721\u71ed" + "x" * 200


def record(*facts: tuple[float, Fact], plan: Plan | None = None) -> list[Entry]:
    """The facts at so many minutes after noon."""
    begun = (
        (0.0, ev.Opened(session="s", program="0")),
        (0.0, ev.PlanFixed(plan=plan or two_pillars())),
        *facts,
    )
    return [
        Entry(seq=n, at=ev.moment(NOON + 60 * t), logged_at=ev.moment(NOON + 60 * t), by="person", fact=fact)
        for n, (t, fact) in enumerate(begun, 1)
    ]


def review_of(path: Path) -> ReviewController:
    kept = read_path(path)
    return ReviewController(kept.entries, kept.state)


def press(review: ReviewController, *keys: str, size: tuple[int, int] = (80, 24)) -> list[str]:
    """What the screen shows after these keys, drawn after each as it would be."""
    shown: list[str] = []
    for key in keys:
        review.press(key, key if len(key) == 1 else None, 0.0)
        shown = [text_of(row) for row in draw_review(review, *size)]
    return shown


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("path", [RECORD, SHIPPED])
def test_it_fits_every_size_and_is_whole(path: Path, size: tuple[int, int]) -> None:
    shown = press(review_of(path), "t", size=size)
    assert len(shown) <= size[1]
    assert all(cell_len(row) <= size[0] for row in shown)
    assert "a line" in shown[0]
    if size != (40, 12):
        # All of the session at once: its first hour and its last morning.
        assert any("Sun" in row for row in shown)
        assert any("Mon" in row for row in shown)
        assert any("┴" in row for row in shown)
        assert any("nothing on record" in row for row in shown)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0, 60 * 24 * 60), min_size=1, max_size=40),
    st.sampled_from(STEPS),
)
def test_every_moment_has_one_line_and_lines_follow_each_other(minutes: list[float], step: float) -> None:
    looks = [(t, ev.Looked(mould="A", cue="firm")) for t in sorted(minutes)]
    entries = record((0.0, ev.Poured(mould="A", layer=0, part="layer", kg=0.2)), *looks)
    page = day_page(fold(entries), entries, [])
    assert page is not None
    if page.axis.length / step > 5000:
        return
    rows = stretches(page, step)
    assert all(row.end == after.start for row, after in itertools.pairwise(rows))
    assert all(row.start % 60 == 0 for row in rows)
    for t in page.axis.times:
        (mine,) = [row for row in rows if row.start <= t < row.end]
        assert not mine.folded
    # Days of waiting are not drawn to scale.
    assert sum(not row.folded for row in rows) <= (len(page.axis.times) + 1) * (7200 / step + 2)


def test_what_was_told_poured_and_seen_stands_in_the_mould_s_own_column() -> None:
    entries = record(
        (0, ev.BurnerSet(state="on")),
        (1, ev.Reading(place="pot", celsius=88.0)),
        (10, ev.Poured(mould="A", layer=0, part="plug", kg=0.034)),
        (20, ev.Poured(mould="A", layer=0, part="layer", kg=0.2)),
        (30, ev.BurnerSet(state="off")),
        (40, ev.Looked(mould="A", cue="firm")),
        (50, ev.Poured(mould="A", layer=1, part="layer", kg=0.2)),
        (61, ev.Looked(mould="B", cue="wet")),
        (70, ev.Demoulded(mould="A", release="dropped out")),
    )
    page = day_page(fold(entries), entries, [])
    assert page is not None
    ledger = Ledger(page, NOON)
    drawn = [text_of(row) for row in draw_ledger(ledger, "t", [], 80, 24)]
    at = drawn[1].index("A")
    by_minute = {row[5:10]: row for row in drawn[2:]}
    cells = {
        minute: by_minute[minute][at - 1 : at + 4] for minute in sorted(by_minute) if "·" in by_minute[minute]
    }
    marks = {minute: text.strip() for minute, text in cells.items()}
    assert marks["12:10"] == "▄"
    assert marks["12:20"] == "█"
    assert marks["12:40"].split() == ["│", "c"]
    assert marks["12:50"] == "│█"
    assert marks["13:10"] == "┴┴"
    assert "w" in by_minute["13:00"]
    assert "●88" in by_minute["12:00"]


def test_it_opens_on_the_moment_that_is_looked_at_and_enter_goes_to_the_line_s_moment() -> None:
    review = review_of(RECORD)
    press(review, "home", *["right"] * 30, "t")
    assert review.ledger is not None
    assert review.ledger.row.start <= review.now < review.ledger.row.end
    press(review, "home", "down", "down", "enter")
    assert review.ledger is None
    there = review.now
    press(review, "t")
    assert review.ledger is not None
    assert review.ledger.row.start <= there < review.ledger.row.end


def test_tab_goes_from_one_deviation_to_the_next_and_says_it() -> None:
    review = review_of(RECORD)
    shown = press(review, "t", "home", "tab")
    assert review.ledger is not None
    page = review.ledger.page
    assert any(row.startswith("▼1 ") for row in shown)
    seen = set()
    for _ in page.deviating:
        press(review, "tab")
        seen |= {one.t for one in page.deviating if review.ledger.row.start <= one.t < review.ledger.row.end}
    assert seen == {one.t for one in page.deviating}


def test_a_click_on_a_line_stands_on_it() -> None:
    review = review_of(SHIPPED)
    press(review, "t")
    rows = draw_review(review, 80, 24)
    (there,) = [row for row in rows if " 10:00" in text_of(row)]
    review.point(int(target_at(there, 12).removeprefix("#")))
    assert review.ledger is not None
    assert f"{local(review.ledger.row.start):%H:%M}" == "10:00"
    review.point(10_000)
    assert f"{local(review.ledger.row.start):%H:%M}" == "10:00"


def test_enter_goes_to_what_was_not_as_planned() -> None:
    review = review_of(RECORD)
    press(review, "t", "home")
    assert review.ledger is not None
    for one in review.ledger.page.deviating[:4]:
        press(review, "tab")
        first = review.ledger.deviating(review.ledger.row)[0]
        press(review, "enter")
        assert review.now >= first.t
        assert review.now == min(t for t in review.times if t >= first.t)
        press(review, "t")
        assert one.t > 0


def test_lines_become_finer_and_coarser_and_the_moment_stays() -> None:
    review = review_of(SHIPPED)
    press(review, "t", "home", *["down"] * 5)
    assert review.ledger is not None
    step, start = review.ledger.step, review.ledger.row.start
    press(review, "]")
    assert review.ledger.step < step
    assert review.ledger.row.start <= start < review.ledger.row.end
    press(review, *["["] * 12)
    assert review.ledger.step == STEPS[-1]
    press(review, *["]"] * 12)
    assert review.ledger.step == STEPS[0]


def test_escape_goes_back_to_the_picture_and_t_as_well() -> None:
    review = review_of(SHIPPED)
    assert not review.press("t", "t", 0.0)
    assert not review.press("escape", None, 0.0)
    assert review.ledger is None
    press(review, "t", "t")
    assert review.ledger is None
    assert review.press("escape", None, 0.0)


def test_a_session_without_a_day_says_so() -> None:
    entries = record()
    review = ReviewController(entries, fold(entries))
    assert "nothing to lay out" in " ".join(press(review, "t"))


@pytest.mark.parametrize("size", SIZES)
def test_eight_moulds_of_eight_layers_and_hostile_texts_fit(size: tuple[int, int]) -> None:
    layers = tuple(Layer(colour=HOSTILE) for _ in range(8))
    plan = Plan(
        title=HOSTILE,
        moulds=(Mould(name=HOSTILE, shape=Cylinder(diameter=0.05, height=0.2), count=8),),
        layers=layers,
    )
    facts: list[tuple[float, Fact]] = [(0, ev.Noted(text=HOSTILE))]
    for n, letter in enumerate("ABCDEFGH"):
        facts += [(10 * n, ev.Poured(mould=letter, layer=layer, part="layer")) for layer in range(8)]
        facts.append((10 * n + 5, ev.Looked(mould=letter, cue="cold")))
    entries = record(*facts, plan=plan)
    shown = press(ReviewController(entries, fold(entries)), "t", size=size)
    assert all(cell_len(row) <= size[0] for row in shown)
    assert re.findall("[A-Z]", shown[1]) == list("ABCDEFGH")


def test_a_burner_of_which_nobody_knows_is_not_drawn_as_off() -> None:
    entries = record(
        (0, ev.BurnerSet(state="on")),
        (10, ev.BurnerSet(state="unknown")),
        (60, ev.BurnerSet(state="low")),
        (90, ev.Reading(place="pot", celsius=70)),
    )
    page = day_page(fold(entries), entries, [])
    assert page is not None
    drawn = "\n".join(text_of(row) for row in draw_ledger(Ledger(page, NOON), "t", [], 80, 24))
    for sign in "█?░":
        assert sign in drawn


def test_a_revised_plan_with_fewer_layers_still_draws_what_was_poured() -> None:
    plan = two_pillars()
    entries = record(
        (0, ev.Poured(mould="A", layer=1, part="layer", kg=0.1)),
        (5, ev.PlanRevised(plan=replace(plan, layers=plan.layers[:1]))),
    )
    assert press(ReviewController(entries, fold(entries)), "t")
