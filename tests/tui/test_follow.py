"""A second screen looks on: it follows, it is large, and it puts nothing on record."""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp, screen_for
from pourday.tui.stove.follow_screen import FollowScreen
from pourday.tui.stove.record_clock import looked_on_clock


def test_it_follows_what_is_filed_at_the_stove_and_writes_nothing(kitchen):
    stove = kitchen.cold_at_the_stove()
    second = kitchen.run("follow", size=(120, 40))
    second.wait_for("nothing here is put on record", "burner OFF")
    before = kitchen.entries()
    second.type("h \r74.5\rgzu")
    stove.type("h")
    stove.until(
        lambda _: any(isinstance(e.fact, ev.BurnerSet) and e.fact.state == "on" for e in kitchen.entries())
    )
    second.wait_for("burner ON")
    second.type("e")
    second.wait_for("Esc puts the card away")
    second.type("\x1b")
    second.wait_for("nothing here is put on record")
    second.type("q")
    assert second.ended() == 0
    assert second.restored()
    added = kitchen.entries()[len(before) :]
    assert not [e for e in added if isinstance(e.fact, ev.Reading | ev.Undone | ev.Stopped | ev.Reopened)]
    stove.type("q")


def test_there_is_nothing_to_follow_and_what_is_named_has_to_be_there(kitchen):
    none = kitchen.run("follow")
    assert none.ended() == 1
    assert "No session is open to look on at." in none.text()
    gone = kitchen.run("follow", "2026-01-01")
    assert gone.ended() == 1


@pytest.mark.parametrize("fixed", [False, True])
def test_what_is_being_planned_or_is_finished_is_said(tmp_path: Path, kitchen, fixed: bool) -> None:  # noqa: ARG001
    live = LiveSession.create(kitchen.folder, "2026-10-25-a", now=START)
    if fixed:
        live.file(ev.PlanFixed(plan=two_pillars()), now=START)
        live.finish("good", now=START + 60)
    live.close()
    screen = kitchen.run("follow", "2026-10-25-a")
    screen.wait_for("This day is finished" if fixed else "still being planned")
    screen.type("q")
    assert screen.ended() == 0


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 40)])
async def test_it_is_whole_at_every_size_and_only_its_own_keys_do_anything(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    live = LiveSession.create(tmp_path, "2026-10-25-a", now=START)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    live.file(ev.BurnerSet(state="on"), now=START + 1)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=size) as pilot:
        screen = FollowScreen(LiveSession.look_on(tmp_path, live.session))
        await app.push_screen(screen)
        await pilot.pause()
        before = len(live.entries)
        await pilot.press("h", "space", "7", "4", "enter", "g", "z")
        screen.tick()
        shown = screen.canvas.plain()
        assert len(shown.split("\n")) == size[1]
        assert "burner" in shown
        assert "nothing here is put on record"[: size[0] - 30] in shown
        live.file(ev.Noted(text="later"), now=START + 2)
        screen.tick()
        assert len(screen.live.entries) == len(live.entries) == before + 1
    live.close()


def test_a_demo_that_another_program_plays_is_looked_at_by_its_own_clock(tmp_path: Path) -> None:
    """Its day is an invented one: by the clock on the wall its burner has burned for weeks."""
    live = LiveSession.begin(tmp_path, "demo", now=START, demo=True)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    live.file(ev.BurnerSet(state="on"), now=START + 60)
    second = LiveSession.look_on(tmp_path, live.session)
    clock = looked_on_clock(second)
    assert clock.now() == pytest.approx(START + 60, abs=5)
    live.file(ev.BurnerSet(state="off"), now=START + 1260)
    second.follow()
    assert clock.now() == pytest.approx(START + 1260, abs=5)
    live.close()


async def test_the_stove_shows_a_demo_that_is_open_elsewhere_by_its_clock(tmp_path: Path) -> None:
    live = LiveSession.begin(tmp_path, "demo", now=START, demo=True)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    live.file(ev.BurnerSet(state="on"), now=START + 60)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(screen_for(LiveSession.look_on(tmp_path, live.session), None))
        await pilot.pause()
        shown = app.screen.canvas.plain()
        assert "READ ONLY" in shown
        assert "days" not in shown
    live.close()


def test_looking_on_takes_no_lock(tmp_path: Path) -> None:
    live = LiveSession.create(tmp_path, "2026-10-25-a", now=START)
    one = LiveSession.look_on(tmp_path, "2026-10-25-a")
    assert one.readonly
    live.file(ev.Noted(text="there"), now=START + 1)
    assert [entry.fact for entry in one.follow()] == [ev.Noted(text="there")]
    live.close()
