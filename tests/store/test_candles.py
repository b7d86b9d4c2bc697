"""The record of a batch's candles: a fault or a kill at every call of a burn test loses nothing confirmed, and the batch's file is never touched."""

from __future__ import annotations

import errno
from contextlib import suppress
from pathlib import Path

import pytest

from pourday.errors import Trouble
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.store.atomic import sweep
from pourday.store.candles import open_log, read_log
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_session

ID = "2026-11-25-a"
PLAN = Plan(title="pillars")


def poured(folder: Path, now: float) -> bytes:
    """A finished batch; the bytes of its file."""
    live = LiveSession.create(folder, ID, now=now)
    live.file(ev.PlanFixed(plan=PLAN), now=now)
    live.file(ev.Demoulded(mould="A", release="dropped out"), now=now)
    live.finish("", now=now)
    return (folder / f"{ID}.json").read_bytes()


def a_burn(folder: Path, disk, now: float, confirmed: list) -> None:
    """Light, look, take back, carry on after the program was closed, put out, weigh; notes what was confirmed."""
    batch = read_session(folder, ID).state

    def note(live: LiveSession) -> None:
        on_disk = live.entries[: len(live.entries) - len(live.unsaved)]
        confirmed.extend(on_disk[len(confirmed) :])

    live = open_log(folder, batch, now=now, disk=disk)
    note(live)
    for fact in (ev.CandleLit(mould="A", kg=0.4), ev.BurnSeen(mould="A", look=3600.0, flame=0.03)):
        live.file(fact, now=now + 1)
        note(live)
    live.undo(now=now + 2)
    note(live)
    live.retry()
    note(live)
    live.close()
    live = open_log(folder, batch, now=now + 3600, disk=disk)
    note(live)
    if live.readonly:
        return
    for fact in (ev.BurnEnded(mould="A", how="snuffed"), ev.WeighedCold(mould="A", kg=0.38)):
        live.file(fact, now=now + 4 * 3600)
        note(live)
    live.retry()
    note(live)
    live.close()


def calls(folder: Path, faulty, now: float) -> list[str]:
    poured(folder, now)
    disk = faulty()
    a_burn(folder, disk, now, [])
    return disk.calls


def well(folder: Path, batch: bytes, confirmed: list, now: float) -> None:
    """Nothing confirmed is lost, the batch is as it was, and the test goes on."""
    assert (folder / f"{ID}.json").read_bytes() == batch
    sweep(folder)
    live = open_log(folder, read_session(folder, ID).state, now=now)
    assert list(live.entries[: len(confirmed)]) == confirmed
    assert live.state.plan == PLAN
    live.file(ev.CandleGoes(mould="A", to="keep"), now=now)
    live.close()


def test_each_call_fails_once_and_nothing_confirmed_is_lost(tmp_path, noon, faulty):
    (tmp_path / "count").mkdir()
    number = len(calls(tmp_path / "count", faulty, noon))
    for at in range(number):
        folder = tmp_path / str(at)
        folder.mkdir()
        batch, confirmed = poured(folder, noon), []
        with suppress(Trouble):
            a_burn(folder, faulty(at, errno.ENOSPC if at % 2 else errno.EIO), noon, confirmed)
        well(folder, batch, confirmed, noon + 10 * 3600)


@pytest.mark.parametrize("half", [False, True])
def test_a_kill_at_each_call_loses_nothing_confirmed_and_the_test_goes_on(
    tmp_path, noon, faulty, killed, half
):
    (tmp_path / "count").mkdir()
    number = len(calls(tmp_path / "count", faulty, noon))
    for at in range(number):
        folder = tmp_path / str(at)
        folder.mkdir()
        batch, confirmed = poured(folder, noon), []
        with pytest.raises(killed):
            a_burn(folder, faulty(at, half=half), noon, confirmed)
        sweep(folder)
        well(folder, batch, confirmed, noon + 10 * 3600)


def test_a_log_is_told_from_a_day_at_the_stove_and_says_what_burns(tmp_path, noon):
    poured(tmp_path, noon)
    assert read_log(tmp_path, ID) is None
    live = open_log(tmp_path, read_session(tmp_path, ID).state, now=noon)
    live.file(ev.CandleLit(mould="A"), now=noon)
    live.close()
    rows = {row.session: row for row in list_sessions(tmp_path)}
    assert (rows[ID].batch, rows[ID].lit) == ("", "")
    assert (rows[f"{ID}-candles"].batch, rows[f"{ID}-candles"].lit) == (ID, "A")
    assert rows[f"{ID}-candles"].stage == "candles"


def test_two_programs_never_write_one_log(tmp_path, noon):
    poured(tmp_path, noon)
    batch = read_session(tmp_path, ID).state
    first = open_log(tmp_path, batch, now=noon)
    second = open_log(tmp_path, batch, now=noon)
    assert second.readonly
    first.close()
