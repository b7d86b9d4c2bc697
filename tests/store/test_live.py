"""The session a screen holds: filing, undoing, correcting, finishing, carrying on."""

from __future__ import annotations

import math
import signal
import sys
from pathlib import Path

import pytest

from pourday.errors import Trouble
from pourday.plan.model import Mould, Plan
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.store.journal import Journal
from pourday.store.live import LiveSession
from pourday.store.reading import read_session


def test_what_is_filed_is_in_state_entries_and_file(begun, noon):
    entry = begun.file(ev.Noted(text="a draught"), now=noon + 300, at=noon + 200)
    assert (entry.seq, entry.t, entry.logged_at.timestamp()) == (5, noon + 200, noon + 300)
    assert begun.state.notes == ((noon + 200, "a draught"),)
    assert tuple(begun.entries) == read_session(begun.folder, begun.session).entries
    assert begun.state == fold(begun.entries)
    assert begun.unsaved == ()
    assert begun.trouble is None


@pytest.mark.parametrize(
    "fact",
    [
        ev.Reading(place="pot", celsius=math.nan),
        ev.Reading(place="pot", celsius=math.inf),
        ev.Reading(place="pot", celsius=4_000.0),
        ev.Poured(mould="A", layer=0, part="layer", kg=-1.0),
        ev.Poured(mould="A", layer=0, part="layer", kg=math.nan),
        ev.Poured(mould="AB", layer=0, part="layer"),
        ev.Poured(mould="A", layer=10**15, part="layer"),
        ev.Looked(mould="A", cue="soggy"),
        ev.AlarmRaised(alarm="dry pot", says="x", value=math.nan),
        ev.Noted(text=3),
        ev.PlanDrafted(plan=Plan(moulds=(Mould(count=10**9),))),
        ev.Corrected(entry=2, fact=ev.Undone(entry=1)),
    ],
)
def test_a_fact_that_cannot_be_meant_is_refused_and_nothing_is_added(begun, noon, fact):
    before = (begun.folder / f"{begun.session}.journal").read_bytes()
    with pytest.raises(Trouble, match="cannot be entered"):
        begun.file(fact, now=noon + 300)
    assert len(begun.entries) == 4
    assert begun.unsaved == ()
    assert (begun.folder / f"{begun.session}.journal").read_bytes() == before


def test_typed_text_is_cleaned_before_it_is_kept(begun, noon):
    begun.file(ev.Noted(text="\x1b]2;gotcha\x07a \u202edraught"), now=noon + 300)
    assert begun.entries[-1].fact == ev.Noted(text="a draught")
    raw = (begun.folder / f"{begun.session}.journal").read_bytes()
    assert b"u001b" not in raw
    assert b"\xe2\x80\xae" not in raw


def test_undo_takes_back_the_newest_thing_a_person_said(begun, noon):
    taken = begun.undo(now=noon + 300)
    assert taken is not None
    assert taken.seq == 4
    assert [r.celsius for r in begun.state.readings] == [70.0, 71.0]
    assert len(begun.entries) == 5
    begun.undo(now=noon + 301)
    begun.undo(now=noon + 302)
    assert begun.undo(now=noon + 303) is None


def test_a_correction_keeps_the_old_value_readable(begun, noon):
    begun.file(ev.Corrected(entry=3, fact=ev.Reading(place="pot", celsius=61.0)), now=noon + 300)
    assert [r.celsius for r in begun.state.readings] == [70.0, 61.0, 72.0]
    assert begun.entries[2].fact == ev.Reading(place="pot", celsius=71.0)


def test_carrying_on_files_how_long_one_was_away_and_asks_about_the_burner(begun, noon):
    begun.file(ev.PlanFixed(plan=Plan()), now=noon + 200)
    begun.file(ev.BurnerSet(state="on"), now=noon + 240)
    begun.close()
    live = LiveSession.open(begun.folder, begun.session, now=noon + 840)
    assert live.entries[-1].fact == ev.Reopened(program=live.entries[0].fact.program, away=600.0)
    assert live.state.burner == "unknown"
    assert live.entries[-1].by == "program"


def test_a_finished_session_is_one_plain_file_and_can_only_be_read(begun, noon):
    begun.finish("a good one", now=noon + 900)
    assert [p.name for p in begun.folder.iterdir()] == ["2026-11-25-a.json"]
    assert begun.readonly
    with pytest.raises(Trouble, match="only be read"):
        begun.file(ev.CameBack(), now=noon + 901)
    again = LiveSession.open(begun.folder, begun.session, now=noon + 1_000)
    assert again.readonly
    assert tuple(again.entries) == tuple(begun.entries)
    assert again.state == begun.state
    assert again.state.stage == "finished"


def test_a_left_over_journal_of_a_finished_session_is_taken_away_once_all_of_it_is_in_the_record(begun, noon):
    old = begun.folder / f"{begun.session}.journal"
    text = old.read_bytes()
    begun.finish("", now=noon + 900)
    old.write_bytes(text)
    live = LiveSession.open(begun.folder, begun.session, now=noon + 1_000)
    assert live.state.stage == "finished"
    assert not old.exists()


def test_a_journal_that_says_something_else_than_the_record_stays(begun, noon):
    old = begun.folder / f"{begun.session}.journal"
    text = old.read_bytes()
    begun.finish("", now=noon + 900)
    old.write_bytes(text.replace(b"70.0", b"60.0"))
    live = LiveSession.open(begun.folder, begun.session, now=noon + 1_000)
    assert old.exists()
    assert any("both stay" in remark for remark in live.remarks)


def test_a_broken_record_beside_a_whole_journal_loses_to_it(begun, noon):
    begun.close()
    (begun.folder / f"{begun.session}.json").write_bytes(b'{"pourday":"record","schema":1,')
    live = LiveSession.open(begun.folder, begun.session, now=noon + 600)
    assert not live.readonly
    assert len(live.entries) == 5
    assert any("The journal is used" in remark for remark in live.remarks)


def test_an_ending_signalled_in_the_middle_of_a_save_is_filed_after_it(begun, noon, monkeypatch):
    """A signal handler runs between two instructions, so also between write and sync."""
    append = Journal.append

    def interrupted(self: Journal, line: bytes) -> None:
        if b"noted" in line:
            begun.end("hangup", now=noon + 301)
        append(self, line)

    monkeypatch.setattr(Journal, "append", interrupted)
    begun.file(ev.Noted(text="x"), now=noon + 300)
    kept = read_session(begun.folder, begun.session).entries
    assert [type(e.fact).__name__ for e in kept[-2:]] == ["Noted", "Stopped"]
    assert kept == tuple(begun.entries)


def test_a_signal_at_any_instant_of_a_save_breaks_no_order_and_is_filed_once(tmp_path, noon, faulty):
    """The handler is run at every single line of the store and the fold, one line further each time."""
    line, reached = 0, True
    while reached:
        line, reached, left = line + 1, False, line + 1
        live = LiveSession.create(tmp_path, f"x{line}", now=noon, disk=faulty())

        def trace(frame, event, _, live=live):
            nonlocal left, reached
            if not frame.f_globals["__name__"].startswith(("pourday.store", "pourday.session")):
                return None
            left -= event == "line"
            if left == 0 and not reached:
                reached = True
                live.end("terminated", now=noon + 2)
            return trace

        sys.settrace(trace)
        try:
            live.file(ev.Noted(text="x"), now=noon + 1)
        finally:
            sys.settrace(None)
        kept = read_session(tmp_path, live.session).entries
        assert kept == tuple(live.entries)
        kinds = sorted(type(entry.fact).__name__ for entry in kept)
        assert kinds == ["Noted", "Opened", *["Stopped"] * reached]
        live.close()
    assert line > 50


def test_a_time_that_no_calendar_has_is_refused(begun):
    for now in (1e18, -1e18, float("nan"), float("inf")):
        with pytest.raises(Trouble, match="cannot be entered"):
            begun.file(ev.CameBack(), now=now)
    assert len(begun.entries) == 4


def test_a_real_signal_between_two_entries_is_filed_once(begun, noon):
    old = signal.signal(signal.SIGUSR1, lambda *_: begun.end("terminated", now=noon + 300))
    try:
        signal.raise_signal(signal.SIGUSR1)
    finally:
        signal.signal(signal.SIGUSR1, old)
    assert begun.entries[-1].fact == ev.Stopped(how="terminated")


def test_an_interrupted_save_leaves_the_entry_unsaved_and_the_next_try_mends_it(
    begun, noon, faulty, tmp_path
):
    """An exception between write and sync (a key that interrupts, say) is as good as a failed sync."""
    begun.close()
    disk = faulty()
    live = LiveSession.open(tmp_path, begun.session, now=noon + 500, disk=disk)
    live.file(ev.Noted(text="before"), now=noon + 501)

    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    disk.fsync = interrupt
    with pytest.raises(KeyboardInterrupt):
        live.file(ev.Noted(text="interrupted"), now=noon + 502)
    del disk.fsync
    assert [e.fact for e in live.unsaved] == [ev.Noted(text="interrupted")]
    assert live.retry()
    kept = read_session(tmp_path, live.session).entries
    assert kept == tuple(live.entries)


@pytest.mark.parametrize(
    "name", ["../x", "a/b", "", ".hidden", "A", "x..y", "x" * 61, "a--b", "-a", "a\n", "a\0b", "ä"]
)
def test_a_name_that_could_lead_elsewhere_is_refused(tmp_path: Path, noon, name):
    for act in (
        lambda: LiveSession.open(tmp_path, name, now=noon),
        lambda: LiveSession.create(tmp_path, name, now=noon),
        lambda: read_session(tmp_path, name),
    ):
        with pytest.raises(Trouble, match="is not the name of a session"):
            act()
    assert list(tmp_path.iterdir()) == []


def test_opening_what_is_not_there_says_so_and_leaves_nothing_behind(tmp_path: Path, noon):
    with pytest.raises(Trouble, match="There is no session called 2026-11-25-a"):
        LiveSession.open(tmp_path, "2026-11-25-a", now=noon)
    assert list(tmp_path.iterdir()) == []


def test_a_name_is_never_given_twice(begun, noon):
    with pytest.raises(Trouble, match="one of this name"):
        LiveSession.create(begun.folder, begun.session, now=noon)
    begun.finish("", now=noon + 1)
    with pytest.raises(Trouble, match="finished one of this name already"):
        LiveSession.create(begun.folder, begun.session, now=noon)
    assert LiveSession.begin(begun.folder, "2026-11-25", now=noon).session == "2026-11-25-b"
