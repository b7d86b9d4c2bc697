"""The clocks of the machine, and what a changed one does to the times of a running session."""

from __future__ import annotations

import pytest

from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.store.gap import Clocks, Gap, look, watch
from pourday.store.live import LiveSession

START = Clocks(wall=1_000_000.0, awake=500.0, boot=800.0)


def after(wall: float, awake: float, boot: float | None) -> Clocks:
    return Clocks(START.wall + wall, START.awake + awake, None if boot is None else START.boot + boot)


@pytest.mark.parametrize(
    ("clocks", "gaps"),
    [
        (after(0.25, 0.25, 0.25), ()),
        (after(1.9, 0.25, 0.25), ()),
        (after(3_600.25, 0.25, 0.25), (Gap("clock changed", 3_600.0),)),
        (after(-3_599.75, 0.25, 0.25), (Gap("clock changed", -3_600.0),)),
        (after(1_800.25, 0.25, 1_800.25), (Gap("slept", 1_800.0),)),
        (after(40.0, 40.0, 40.0), (Gap("stalled", 40.0),)),
        (after(5_400.25, 0.25, 1_800.25), (Gap("slept", 1_800.0), Gap("clock changed", 3_600.0))),
    ],
    ids=["a tick", "below two seconds", "forward", "back", "sleep", "stalled", "slept and set on waking"],
)
def test_sleep_a_changed_clock_and_a_stall_are_told_apart(clocks, gaps):
    _, found = look(watch(START), clocks)
    assert [g.cause for g in found] == [g.cause for g in gaps]
    assert [g.seconds for g in found] == pytest.approx([g.seconds for g in gaps])


def test_summer_time_and_travel_are_no_gap_for_they_do_not_touch_utc():
    """Both only change how UTC is shown; nothing here ever sees local time."""
    watched = watch(START)
    for tick in range(1, 9):
        watched, gaps = look(watched, after(tick * 0.25, tick * 0.25, tick * 0.25))
        assert gaps == ()


def test_a_clock_pushed_a_second_at_a_time_is_found_out():
    watched, total = watch(START), 0.0
    for tick in range(1, 11):
        watched, gaps = look(watched, after(tick * 1.25, tick * 0.25, tick * 0.25))
        total += sum(g.seconds for g in gaps)
    assert total == pytest.approx(9.0, abs=1.1)


def test_without_a_boot_clock_a_jump_forward_counts_as_sleep_and_one_back_as_a_change():
    start = Clocks(1_000.0, 500.0)
    _, forward = look(watch(start), Clocks(1_060.25, 500.25))
    _, back = look(watch(start), Clocks(940.25, 500.25))
    assert [(g.cause, round(g.seconds)) for g in (*forward, *back)] == [("slept", 60), ("clock changed", -60)]


def test_each_gap_is_told_once():
    watched, gaps = look(watch(START), after(3_600.25, 0.25, 0.25))
    assert len(gaps) == 1
    _, gaps = look(watched, after(3_600.5, 0.5, 0.5))
    assert gaps == ()


@pytest.mark.parametrize("change", [3_600.0, -3_600.0, 7.5])
def test_waits_keep_true_elapsed_time_over_a_changed_clock(tmp_path, noon, change):
    """Five minutes after the pour by the awake clock are five minutes in the state, whatever the wall says."""
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=noon)
    live.file(ev.Poured(mould="A", layer=0, part="layer"), now=noon + 60)
    live.file(ev.TimerSet(name="look", due=ev.moment(noon + 660)), now=noon + 60)
    live.file(ev.WentAway(back_by=ev.moment(noon + 600)), now=noon + 61)
    live.file(ev.GapSeen(seconds=change, cause="clock changed"), now=noon + 200 + change, by="program")
    now = noon + 360 + change
    assert now - live.state.moulds["A"].pours[0].t == 300.0
    assert live.state.timers[0].due - now == 300.0
    assert live.state.back_by - now == 240.0
    assert now - live.state.heard_at == 299.0
    live.file(ev.Looked(mould="A", cue="skinned"), now=now)
    assert live.state.moulds["A"].look.t == now
    assert live.state == fold(live.entries)
    assert live.entries[1].t == noon + 60


def test_two_changes_add_up_and_a_sleep_moves_nothing(tmp_path, noon):
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=noon)
    for seconds, cause in ((100.0, "clock changed"), (-40.0, "clock changed"), (500.0, "slept")):
        live.file(ev.GapSeen(seconds=seconds, cause=cause), now=noon + 10, by="program")
    assert live.state.opened_at == noon + 60.0


def test_absurd_changes_in_a_file_do_not_break_the_fold(tmp_path, noon):
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=noon)
    for _ in range(40):
        live.file(ev.GapSeen(seconds=1e10, cause="clock changed"), now=noon, by="program")
    assert live.state.opened_at == pytest.approx(noon + 1e10)
