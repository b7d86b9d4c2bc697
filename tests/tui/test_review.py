"""A record on the screen: played through time, each moment knowing only what had happened by then."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from msgspec.structs import replace
from rich.cells import cell_len

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.store.live import LiveSession
from pourday.store.reading import read_session
from pourday.tui.drawing.lines import text_of
from pourday.tui.review.controller import MARK_EVERY, SPEEDS, ReviewController
from pourday.tui.review.layout import draw_review

NOON = 1_795_608_000.0
SIZES = [(40, 12), (80, 24), (120, 40), (200, 60)]
SESSIONS = Path(__file__).parents[2] / "sessions"
PLAN = two_pillars()
HOSTILE = "\x1b[31m\x1b]0;gone\x07red\u202e \u8721\u71ed" + "x" * 200


def entries(*facts: Fact, plan=PLAN) -> list[Entry]:
    """A day of these facts, a minute apart."""
    made = [ev.Opened(session="2026-11-25-a", program="0"), ev.PlanFixed(plan=plan), *facts]
    return [
        Entry(seq=n, at=ev.moment(NOON + 60 * n), logged_at=ev.moment(NOON + 60 * n), by="person", fact=fact)
        for n, fact in enumerate(made, 1)
    ]


def review_of(*facts: Fact, plan=PLAN) -> ReviewController:
    made = entries(*facts, plan=plan)
    return ReviewController(made, fold(made))


def press(review: ReviewController, *keys: str, real: float = 0.0) -> bool:
    left = False
    for key in keys:
        left = review.press(key, key if len(key) == 1 else None, real)
    return left


def shown(review: ReviewController, size: tuple[int, int] = (80, 24), remark: str = "") -> str:
    return "\n".join(text_of(row).rstrip() for row in draw_review(review, *size, remark))


@pytest.fixture(scope="module")
def sample() -> ReviewController:
    kept = read_session(SESSIONS, sorted(p.stem for p in SESSIONS.glob("[0-9]*.json"))[0])
    return ReviewController(kept.entries, kept.state)


DAY = (
    ev.BurnerSet(state="on"),
    ev.Reading(place="pot", celsius=88.0),
    ev.Poured(mould="A", layer=0, part="plug", kg=0.034),
    ev.Poured(mould="A", layer=0, part="layer", kg=0.238),
    ev.Looked(mould="A", cue="firm"),
    ev.Poured(mould="A", layer=1, part="layer", kg=0.246),
)


def test_it_opens_at_the_end_and_each_step_is_one_event(sample):
    assert sample.state() == sample.end or sample.state().finished_at == sample.end.finished_at
    press(sample, "home")
    seen = []
    for _ in sample.stops:
        seen.append(sample.event.seq)
        press(sample, "right")
    assert seen == sorted(set(seen))
    assert len(seen) == len(sample.stops)
    # A pour's line tells its weight as well.
    told = [seq for line in sample.story for seq in (line.seq, line.weight) if seq is not None]
    assert seen == sorted(told)


def test_every_event_stands_on_the_line_that_tells_it(sample):
    press(sample, "home")
    for _ in sample.stops:
        line = sample.story[sample.row]
        assert sample.event.seq in (line.seq, line.weight)
        press(sample, "right")


def test_at_each_event_only_what_was_entered_by_then_is_known():
    review = review_of(*DAY)
    made = entries(*DAY)
    for at in range(len(review.stops)):
        review.at = at
        until = fold(made[: review.stops[at] + 1])
        assert review.state() == until


def test_stepping_back_finds_the_same_states_as_stepping_on():
    review = review_of(*[ev.Reading(place="pot", celsius=20 + n / 10) for n in range(3 * MARK_EVERY)])
    press(review, "home")
    onward = [(press(review, "right"), review.state())[1] for _ in range(len(review.stops) - 1)]
    backward = [(review.state(), press(review, "left"))[0] for _ in range(len(review.stops) - 1)]
    assert backward[::-1] == onward
    fresh = review_of(*[ev.Reading(place="pot", celsius=20 + n / 10) for n in range(3 * MARK_EVERY)])
    fresh.at = MARK_EVERY + 7
    assert fresh.state() == onward[MARK_EVERY + 6]


def test_what_was_taken_back_is_told_but_never_stood_in_the_mould():
    review = review_of(*DAY[:4], ev.Poured(mould="B", layer=0, part="layer", kg=9.0), ev.Undone(entry=7))
    assert not review.end.moulds["B"].pours
    for at in range(len(review.stops)):
        review.at = at
        assert not review.state().moulds.get("B") or not review.state().moulds["B"].pours
    assert "(taken back)" in shown(review)


def test_the_picture_fills_as_the_day_goes_on():
    review = review_of(*DAY)
    press(review, "home", "right")
    assert not any(mould.bands for mould in review.moulds(review.state()))
    heights = []
    for _ in DAY:
        press(review, "right")
        (mould, *_) = review.moulds(review.state())
        heights.append(mould.bands[-1].high if mould.bands else 0.0)
    assert heights == sorted(heights)
    assert heights[0] == 0.0 < heights[2] < heights[3] < heights[5]
    assert "carries the next colour" in shown(review_of(*DAY[:5]))


def test_it_plays_a_few_events_a_second_and_stops_at_the_end():
    review = review_of(*[ev.Noted(text=f"note {n}") for n in range(50)])
    press(review, "space", real=100.0)
    assert review.playing
    assert review.at == 0
    for quarter in range(1, 21):
        review.tick(100.0 + quarter * 0.25)
    assert review.at == 5 * SPEEDS[review.speed]
    press(review, "]", real=105.0)
    for quarter in range(1, 9):
        review.tick(105.0 + quarter * 0.25)
    assert review.at == 5 * SPEEDS[review.speed - 1] + 2 * SPEEDS[review.speed]
    press(review, "space", real=107.0)
    assert not review.tick(200.0)
    press(review, "space", real=200.0)
    for quarter in range(1, 200):
        review.tick(200.0 + quarter * 0.25)
    assert review.at == len(review.stops) - 1
    assert not review.playing


def test_a_screen_that_was_held_up_does_not_leap():
    review = review_of(*[ev.Noted(text=f"note {n}") for n in range(50)])
    press(review, "space", real=0.0)
    review.tick(3600.0)
    assert review.at <= 4


def test_a_step_by_hand_stops_the_play():
    review = review_of(*DAY)
    press(review, "space", "right")
    assert not review.playing


def test_the_plan_stands_beside_what_was_done_and_what_was_told_beside_what_came(sample):
    press(sample, "end", "p")
    papers = shown(sample, (120, 60))
    assert "Planned beside actual:" in papers
    assert "What was expected, and what came:" in papers
    assert not press(sample, "escape")
    assert not sample.papers
    assert press(sample, "escape")


def row_of(colour: str, screen: str) -> int:
    """Where a layer is named beside its mould."""
    return next(n for n, row in enumerate(screen.split("\n")) if "│ " + colour in row)


def test_both_views_of_the_moulds_are_one_key_apart(sample):
    press(sample, "end")
    before = shown(sample, (120, 40))
    press(sample, "v")
    after = shown(sample, (120, 40))
    press(sample, "v")
    assert "as poured" in before
    assert "as the finished candles stand" in after
    assert row_of("cream", before) < row_of("rust", before)
    assert row_of("rust", after) < row_of("cream", after)


def test_a_session_being_planned_shows_its_empty_moulds():
    made = [
        Entry(
            seq=1,
            at=ev.moment(NOON),
            logged_at=ev.moment(NOON),
            by="person",
            fact=ev.Opened(session="s", program="0"),
        ),
        Entry(
            seq=2, at=ev.moment(NOON), logged_at=ev.moment(NOON), by="person", fact=ev.PlanDrafted(plan=PLAN)
        ),
    ]
    review = ReviewController(made, fold(made))
    review.renew(made, fold(made))
    for size in SIZES:
        assert "A tall" in shown(review, size) or size == (40, 12)
    assert "being planned" in shown(review)


def test_a_plan_no_weight_can_be_worked_out_from_is_still_told():
    review = review_of(*DAY, plan=replace(PLAN, layers=()))
    for size in SIZES:
        assert len(draw_review(review, *size)) == size[1]
    assert "cannot be drawn" in shown(review)


def test_every_window_is_filled_exactly_whatever_is_pressed_and_however_texts_are_meant(sample, tmp_path):
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=NOON)
    live.file(ev.PlanFixed(plan=replace(PLAN, title=HOSTILE)), now=NOON)
    for number, fact in enumerate((*DAY, ev.Noted(text=HOSTILE))):
        live.file(fact, now=NOON + number)
    live.close()
    kept = read_session(tmp_path, "2026-11-25-a")
    chance = random.Random(2)
    keys = ["left", "right", "up", "down", "pageup", "pagedown", "home", "end", "space", *"vp[]xz/"]
    for review in (sample, ReviewController(kept.entries, kept.state)):
        for turn in range(300):
            press(review, chance.choice(keys), real=turn / 4)
            review.tick(turn / 4)
            cells, rows = chance.choice(SIZES)
            drawn = draw_review(review, cells, rows, chance.choice(("", HOSTILE[10:40] * 3)[:1]))
            assert len(drawn) == rows
            for row in drawn:
                text = text_of(row)
                assert cell_len(text) <= cells, text
                assert not {"\x1b", "\x07", "\u202e"} & set(text)


def test_a_second_program_on_a_plan_sees_it_still_and_follows_it(kitchen):
    """At the real program: the one that reads shows the record and goes back where it came from."""
    form = kitchen.run("demo", "--by-hand")
    form.wait_for("Weigh sheet")
    second = kitchen.run("resume", kitchen.session())
    second.wait_for("A tall", "Another program")
    before = len(kitchen.entries())
    second.type("p")
    second.wait_for("Planned beside actual:")
    second.type("\x1b\x1b")
    assert second.ended() == 0
    assert len(kitchen.entries()) == before
