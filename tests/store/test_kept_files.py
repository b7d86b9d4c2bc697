"""Whatever is kept beside the sessions: each storage call refused once, and the process gone at each call, in turn.

The sessions themselves, memories' plans and waxes, stock and archives have theirs beside their own tests.
"""

from __future__ import annotations

import errno
import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.console import save_new
from pourday.demo.scenario import two_pillars
from pourday.errors import Trouble
from pourday.moulds.memory import MouldNote
from pourday.reports.kitchen_days import day_rows
from pourday.reports.papers.to_file import write_papers
from pourday.session import events as ev
from pourday.stock.lot import StockLot
from pourday.store.check import check
from pourday.store.disk import Disk
from pourday.store.heaps import keep_heap
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.lock import InUse
from pourday.store.memories import Memories
from pourday.store.moulds import MouldNotes
from pourday.store.reading import read_session
from pourday.store.second_screen import PageOffer, offered_page
from pourday.store.settings import load, save
from pourday.store.stock import Stock
from pourday.wax.materials import family
from tests.shelf.cards import cards_of
from tests.store.conftest import NOON, FaultyDisk, Killed

ID, OTHER, DAMAGED = "2026-11-25-a", "2026-11-25-b", "2026-11-25-c"
ADDRESS = "http://192.168.1.5:8620/kmvt-hrpw"


def sessions(folder: Path) -> None:
    """Two finished days, and one whose journal is damaged."""
    for name in (ID, OTHER, DAMAGED):
        live = LiveSession.create(folder, name, now=NOON, disk=FaultyDisk())
        live.file(ev.PlanFixed(plan=two_pillars()), now=NOON)
        live.file(ev.Poured(mould="A", layer=0, part="layer", kg=0.3), now=NOON)
        if name == DAMAGED:
            live.close()
            path = folder / f"{name}.journal"
            path.write_bytes(path.read_bytes().replace(b'"poured"', b'"po\0red"'))
        else:
            live.finish("", now=NOON)


def shelf(folder: Path, disk: Disk) -> object:
    return sorted(cards_of(folder, disk))


def library(folder: Path, disk: Disk) -> object:
    return [row.session for row in list_sessions(folder, disk)]


def kitchen(folder: Path, disk: Disk) -> object:
    return [row.file for row in day_rows(folder, disk)]


def forgotten(folder: Path, disk: Disk) -> object:
    Memories(folder, disk).forget_day(ID, NOON, forget=True)
    return sorted(Memories(folder).kitchen_choices().forgotten)


def heap(folder: Path, disk: Disk) -> object:
    lot = StockLot(kind="wax", product="own_heap", counted=1.0, counted_at=NOON)
    keep_heap(folder, replace(family("soy_pillar"), id="own_heap", name="from ends"), lot, disk)
    return sorted(Memories(folder).own_waxes()), [each.came for each in Stock(folder).lots()]


def mould(folder: Path, disk: Disk) -> object:
    MouldNotes(folder, disk).keep("tall", MouldNote(name="tall", seal="putty"))
    return [note.seal for note in MouldNotes(folder).notes()]


def repaired(folder: Path, disk: Disk) -> object:
    (finding,) = check(folder, DAMAGED, disk)
    return finding.repaired or "not now"


def settings(folder: Path, disk: Disk) -> object:
    path = folder / "of" / "mine" / "settings.toml"
    for name, text in (("units", "us"), ("who", "Ada")):
        save(path, name, text, disk)
    now = load(path)
    return now.settings.units, now.settings.who, now.complaints


def plan(folder: Path, disk: Disk) -> object:
    memories = Memories(folder, disk)
    memories.keep_plan("mine", two_pillars(), NOON)
    memories.keep_wax(replace(family("soy_pillar"), id="own_mine", name="mine"))
    again = Memories(folder)
    return [each.name for each in again.plans()], sorted(again.own_waxes())


def papers(folder: Path, disk: Disk) -> object:
    day = read_session(folder, ID)
    paths = write_papers(folder, ("record", "slip"), day.state, day.entries, {}, disk)
    assert all(path.read_bytes().rstrip().endswith(b"</html>") for path in paths)
    return len(paths)


def new_file(folder: Path, disk: Disk) -> object:
    """As `print --out FILE` does it; of a try that a kill ended the empty file may stand, which is no old paper."""
    path = folder / "out.html"
    if path.exists():
        assert path.read_bytes() in (b"", b"<p>")
        path.unlink()
    save_new(path, b"<p>", disk)
    return path.read_bytes()


def page(folder: Path, disk: Disk) -> object:
    try:
        offer = PageOffer.take(folder, ID, disk)
    except InUse:
        return "taken"
    try:
        offer.say(ADDRESS)
        return offered_page(folder, ID, disk)
    finally:
        offer.release()


@pytest.mark.parametrize(
    "error", [errno.ENOSPC, errno.EIO, errno.EACCES, None], ids=["full", "broken", "locked", "kill"]
)
@pytest.mark.parametrize(
    "work",
    [shelf, library, kitchen, forgotten, heap, mould, repaired, settings, plan, papers, new_file, page],
    ids=lambda work: work.__name__,
)
def test_refused_or_killed_at_any_call_it_is_a_sentence_at_most_and_the_next_try_succeeds(
    tmp_path: Path, work: Callable[[Path, Disk], object], error: int | None
) -> None:
    folder = tmp_path / "sessions"
    folder.mkdir()
    sessions(folder)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    counted = FaultyDisk()
    right = work(folder, counted)
    for at in range(len(counted.calls)):
        for path in folder.iterdir():
            if path.name not in before:
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        with suppress(Trouble, OSError, Killed):
            work(folder, FaultyDisk(at, error, half=True))
        assert {name: (folder / name).read_bytes() for name in before} == before
        assert work(folder, Disk()) == right, (at, counted.calls[at])
