"""What the program writes without a screen, so that it can be killed meanwhile: each prepares, works, and is checked.

`work` runs in a process that is killed; what it told before has to stand in the folder when `check` looks.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import ClassVar, Protocol

from msgspec.structs import replace

from pourday.console import save_new
from pourday.demo.scenario import two_pillars
from pourday.heap.lot import as_wax, stock_lot
from pourday.moulds.memory import MouldNote
from pourday.reports.kitchen_days import MODEL, day_rows
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.stock.lot import StockLot
from pourday.store.candles import open_log
from pourday.store.check import check
from pourday.store.heaps import keep_heap
from pourday.store.kitchen_days import load_days
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.moulds import MouldNotes
from pourday.store.pack import contents, pack
from pourday.store.reading import read_session
from pourday.store.settings import load, save
from pourday.store.stock import Stock
from pourday.store.unpack import unpack
from pourday.wax.materials import family
from tests.shelf.cards import cards_of

NOON = 1_795_608_000.0
ID = "2026-11-25-a"
LONGEST = 60
"""Kills after which a writer begins on a new folder: no record is ever as long as a thousand starts would make it."""
Tell = Callable[[object], None]


class Writer(Protocol):
    """What writes, and what its folder has to hold after a kill."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None: ...

    def check(self, folder: Path, told: list[str]) -> None: ...


def batch(folder: Path, session: str = ID) -> None:
    """A finished day with one candle out of its mould."""
    live = LiveSession.create(folder, session, now=NOON)
    for fact in (
        ev.PlanFixed(plan=two_pillars()),
        ev.Poured(mould="A", layer=0, part="layer", kg=0.3),
        ev.Demoulded(mould="A", release="dropped out"),
    ):
        live.file(fact, now=NOON)
    live.finish("", now=NOON + 1)
    live.close()


def next_number(folder: Path) -> int:
    """The first number that no session of the folder bears, whatever a kill left of it."""
    return 1 + max((int(path.stem.split("-")[2]) for path in folder.glob("2026-10-*")), default=0)


class Filing:
    """The record of a day: readings, notes, one taken back now and then."""

    def prepare(self, folder: Path) -> None:
        live = LiveSession.create(folder, ID, now=NOON)
        live.file(ev.PlanFixed(plan=two_pillars()), now=NOON)
        live.close()

    def work(self, folder: Path, tell: Tell) -> None:
        live = LiveSession.open(folder, ID, now=NOON)
        assert not live.readonly
        for n in range(10_000):
            fact: ev.Fact = ev.Noted(text="x" * (n % 70)) if n % 3 else ev.Reading(place="pot", celsius=70.0)
            if n % 11 == 10:
                fact = ev.Undone(entry=live.entries[-1].seq)
            entry = live.file(fact, now=NOON + n)
            assert not live.unsaved
            tell(entry.seq)

    def check(self, folder: Path, told: list[str]) -> None:
        entries = read_session(folder, ID).entries
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert len(entries) >= max(map(int, told), default=0)


class Candles(Filing):
    """The record of what became of a batch's candles, begun and carried on beside it."""

    NAME = f"{ID}-candles"

    def prepare(self, folder: Path) -> None:
        batch(folder)

    def work(self, folder: Path, tell: Tell) -> None:
        live = open_log(folder, read_session(folder, ID).state, now=NOON)
        assert not live.readonly
        for n in range(10_000):
            entry = live.file(ev.Noted(text=f"flaw {n}"), now=NOON + n)
            tell(entry.seq)

    def check(self, folder: Path, told: list[str]) -> None:
        assert len(read_session(folder, ID).entries) == 5, "the batch's own record is not touched"
        if not told:
            return
        entries = read_session(folder, self.NAME).entries
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert len(entries) >= max(map(int, told))


class Finishing:
    """Days begun and finished, one after the other."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        while True:
            live = LiveSession.begin(folder, "2026-11-25", now=NOON)
            for number in range(3):
                tell(f"{live.session} {live.file(ev.Noted(text=str(number)), now=NOON).seq}")
            tell(f"{live.session} {live.finish('', now=NOON + 9).seq}")
            live.close()

    def check(self, folder: Path, told: list[str]) -> None:
        for session, seq in dict(line.split() for line in told[-8:]).items():
            entries = read_session(folder, session).entries
            assert [entry.seq for entry in entries][: int(seq)] == list(range(1, int(seq) + 1))
        assert sum(bool(row.trouble) for row in list_sessions(folder)) <= 1 + len(told) // 4 + LONGEST


class Remembered:
    """Own waxes and kept plans."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        memories = Memories(folder)
        known = {plan.name: int(plan.plan.title) for plan in memories.plans()}
        for n in range(max(known.values(), default=0) + 1, 10_000):
            memories.keep_plan(f"plan {n % 7}", replace(two_pillars(), title=str(n)), NOON)
            memories.keep_wax(replace(family("soy_pillar"), id=f"own_{n % 7}", name=f"mine {n % 7} of a box"))
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        memories = Memories(folder)
        kept = {plan.name: int(plan.plan.title) for plan in memories.plans()}
        waxes = {wax.name for wax in memories.own_waxes().values()}
        assert not memories.remarks
        for n in map(int, told[-7:]):
            assert kept[f"plan {n % 7}"] >= n
            assert any(name.startswith(f"mine {n % 7} ") for name in waxes)


class Settled:
    """The settings, one changed after the other."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        path = folder / "settings.toml"
        for n in range(int(load(path).settings.who or 0) + 1, 10_000):
            save(path, "who", str(n))
            save(path, "units", ("metric", "us")[n % 2])
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        loaded = load(folder / "settings.toml")
        assert int(loaded.settings.who or 0) >= max(map(int, told), default=0)


class Packing:
    """The archive of everything, written anew over the one before."""

    def prepare(self, folder: Path) -> None:
        Filing().prepare(folder)
        batch(folder, "2026-11-24-a")
        Memories(folder).keep_plan("mine", two_pillars(), NOON)

    def work(self, folder: Path, tell: Tell) -> None:
        live = LiveSession.open(folder, ID, now=NOON)
        for n in range(10_000):
            entry = live.file(ev.Noted(text=f"note {n}"), now=NOON)
            assert not pack(folder, folder / "none.toml", folder / "backup.zip").left_out
            tell(entry.seq)

    def check(self, folder: Path, told: list[str]) -> None:
        target = folder / "backup.zip"
        if not told and not target.exists():
            return
        inside = dict(contents(target.read_bytes(), target.name))
        assert inside[f"sessions/{ID}.journal"].count(b'\n{"seq":') >= max(map(int, told), default=0)
        assert inside["sessions/2026-11-24-a.json"] == (folder / "2026-11-24-a.json").read_bytes()


class Unpacking:
    """Another machine's archive merged into what is here, which has gone on by itself."""

    def prepare(self, folder: Path) -> None:
        there = folder / "there"
        there.mkdir()
        for number in range(5):
            batch(there, f"2026-10-0{number + 1}-a")
        Filing().prepare(there)
        Memories(there).keep_plan("theirs", two_pillars(), NOON)
        pack(there, there / "none.toml", folder / "backup.zip")
        self.anew(folder)

    def anew(self, folder: Path) -> None:
        shutil.rmtree(folder / "here", ignore_errors=True)
        (folder / "here").mkdir()
        Filing().prepare(folder / "here")
        live = LiveSession.open(folder / "here", ID, now=NOON)
        live.file(ev.Noted(text="only here"), now=NOON)
        live.close()
        Memories(folder / "here").keep_plan("ours", two_pillars(), NOON)

    def work(self, folder: Path, tell: Tell) -> None:
        tell("began")
        unpack(folder / "backup.zip", folder / "here", folder / "here" / "none.toml")
        tell("done")

    def check(self, folder: Path, told: list[str]) -> None:  # noqa: ARG002
        here = folder / "here"
        entries = read_session(here, ID).entries
        assert any(getattr(entry.fact, "text", "") == "only here" for entry in entries)
        assert "ours" in {plan.name for plan in Memories(here).plans()}
        assert not [row for row in list_sessions(here) if row.trouble]
        # Asked for once more it comes to its end, whatever the kill left.
        unpack(folder / "backup.zip", here, here / "none.toml")
        assert {plan.name for plan in Memories(here).plans()} == {"ours", "theirs"}
        assert len([row for row in list_sessions(here) if row.session.startswith("2026-10-")]) == 5
        self.anew(folder)


class Papers:
    """Pages to print and plan files, each a new file."""

    WHOLE: ClassVar = b"<p>" * 100_000

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        for n in range(len(list(folder.glob("*.html"))) + 1, 10_000):
            with suppress(Exception):
                save_new(folder / f"{n}.html", self.WHOLE)
                tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        for path in folder.glob("*.html"):
            data = path.read_bytes()
            assert data == self.WHOLE or (not data and path.stem not in told)


class Taught:
    """What finished days taught of the kitchen: a cache, worked out anew after each day and each kill."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        for n in range(next_number(folder), 10_000):
            batch(folder, f"2026-10-{n:05d}")
            Memories(folder).forget_day(f"2026-10-{n:05d}", NOON, forget=True)
            day_rows(folder)
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        whole = {path.name for path in folder.glob("[0-9]*.json")}
        assert {row.file for row in day_rows(folder)} == whole == set(load_days(folder, MODEL))
        assert {f"2026-10-{int(n):05d}" for n in told} <= Memories(folder).kitchen_choices().forgotten


class Shelved:
    """The list and the shelf of a folder, remembered so that only what changed is read again."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        for n in range(next_number(folder), 10_000):
            batch(folder, f"2026-10-{n:05d}")
            list_sessions(folder)
            cards_of(folder)
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        rows = list_sessions(folder)
        names = {row.session for row in rows if not row.trouble}
        assert {f"2026-10-{int(n):05d}" for n in told} <= names == set(cards_of(folder))
        # What is remembered says the same as the records themselves.
        (folder / ".library.json").unlink(missing_ok=True)
        assert list_sessions(folder) == rows


class Repaired:
    """A damaged record searched for what can still be read, again and again, into a new one."""

    def prepare(self, folder: Path) -> None:
        live = LiveSession.create(folder, ID, now=NOON)
        for n in range(300):
            live.file(ev.Noted(text=f"note {n}"), now=NOON + n)
        live.close()
        path = folder / f"{ID}.journal"
        path.write_bytes(path.read_bytes().replace(b"note 100", b'\0\0\0\0"100'))

    def work(self, folder: Path, tell: Tell) -> None:
        for n in range(10_000):
            for path in folder.glob("*-repaired*"):
                path.unlink()
            tell(f"begun {n}")
            (finding,) = check(folder, ID)
            tell(finding.repaired)

    def check(self, folder: Path, told: list[str]) -> None:
        assert all(each.startswith(("begun", ID)) for each in told)
        damaged = (folder / f"{ID}.journal").read_bytes()
        (finding,) = check(folder, ID)
        entries = read_session(folder, finding.repaired).entries
        assert [entry.seq for entry in entries] == list(range(1, 302))
        assert fold(entries).notes[99][1] == "note 99"
        assert (folder / f"{ID}.journal").read_bytes() == damaged


class Stocked:
    """Lots as they are counted, and what comes to them."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        stock = Stock(folder)
        known = [delivery.amount for lot in stock.lots() for delivery in lot.deliveries]
        for n in range(int(max(known, default=0)) + 1, 10_000):
            stock.add(StockLot(kind="wax", product="soy_pillar", lot=str(n % 7), counted=n, counted_at=NOON))
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        stock = Stock(folder)
        came = {lot.counted for lot in stock.lots()} | {
            d.amount for lot in stock.lots() for d in lot.deliveries
        }
        assert set(map(float, told)) <= came
        assert not stock.remarks


class Noted:
    """What is said of moulds, one after the other."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        notes = MouldNotes(folder)
        for n in range(max((int(note.note) for note in notes.notes()), default=0) + 1, 10_000):
            notes.keep(f"mould {n % 5}", MouldNote(name=f"mould {n % 5}", holes=n % 9, note=str(n)))
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        notes = MouldNotes(folder)
        there = {note.name: int(note.note) for note in notes.notes()}
        assert not notes.remarks
        for n in map(int, told[-5:]):
            assert there[f"mould {n % 5}"] >= n


class Heaped:
    """Wax that nobody knew, from the scale to the shelf: the record of its run, the wax of one's own, its lot."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        for n in range(next_number(folder), 10_000):
            live = LiveSession.create(folder, f"2026-10-{n:05d}", now=NOON, heap=True)
            for fact in self.RUN:
                live.file(fact, now=NOON)
                tell(f"{n} filed {live.entries[-1].seq}")
            live.file(ev.LotNamed(name=f"ends {n}"), now=NOON)
            heap = live.state.heap
            assert heap is not None
            wax = as_wax(heap, f"ends {n}", 0.001, 98.0)
            # Once more, as after a kill between this and the end: it is on the shelf once all the same.
            for _ in range(2):
                keep_heap(folder, wax, stock_lot(live.state, wax))
            tell(f"{n} kept 0")
            live.finish("", now=NOON)
            live.close()

    RUN: ClassVar[tuple[ev.Fact, ...]] = (
        ev.HeapStepDone(step="a heap"),
        ev.HeapWeighed(what="as it came", kg=0.6),
        ev.HeapWeighed(what="clean", kg=0.5),
        ev.WaxSeen(melted=2),
        ev.TinTold(what="weight", kg=0.05),
        ev.TinTold(what="around", around_c=20.0),
        ev.CoolingBegun(kg=0.05, around_c=20.0),
        *(ev.CoolingRead(celsius=70.0 - n) for n in range(5)),
    )

    def check(self, folder: Path, told: list[str]) -> None:
        memories, stock = Memories(folder), Stock(folder)
        waxes = {wax.name for wax in memories.own_waxes().values()}
        assert not memories.remarks
        assert not stock.remarks
        for line in told[-40:]:
            n, what, seq = line.split()
            if what == "filed":
                assert len(read_session(folder, f"2026-10-{int(n):05d}").entries) >= int(seq)
            else:
                assert f"ends {n}" in waxes
        assert all(lot.counted == 0.5 and not lot.deliveries for lot in stock.lots())
        assert len(stock.lots()) >= len([line for line in told if "kept" in line])


FILES: dict[str, Callable[[], Writer]] = {
    each.__name__: each
    for each in (
        Filing,
        Candles,
        Finishing,
        Remembered,
        Settled,
        Packing,
        Unpacking,
        Papers,
        Taught,
        Shelved,
        Repaired,
        Stocked,
        Noted,
        Heaped,
    )
}
