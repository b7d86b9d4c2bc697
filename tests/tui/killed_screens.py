"""Every screen that puts something on record, as keys that file one numbered thing and what then has to be on disk."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path

from pourday.demo.scenario import two_pillars
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.heap import HeapState
from pourday.store.candles import open_log, read_log
from pourday.store.heaps import begin_heap
from pourday.store.library import Summary, list_sessions
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.moulds import MouldNotes
from pourday.store.names import PAPERS
from pourday.store.reading import read_session
from pourday.store.settings import load, save
from pourday.store.stock import Stock
from tests.shelf.cards import cards_of
from tests.tui.conftest import Kitchen, Terminal
from tests.tui.killed_files import ID, NOON, batch


class AtScreen:
    """Keys that file one numbered thing, when the screen has confirmed it, and what of it is on disk."""

    ready = ""
    """Stands on the screen once keys find somebody at home."""
    most = 3
    """Numbered things that are filed in one run, at most."""

    def prepare(self, kitchen: Kitchen) -> None: ...

    def begins(self, kitchen: Kitchen, after: int) -> int:  # noqa: ARG002
        """The number to begin a run with; `after` is the first that was never typed."""
        return after

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        """What the program is started with, for things from number `n` on."""
        return "resume", ID

    def enter(self, terminal: Terminal) -> None:
        terminal.wait_for(self.ready)

    def keys(self, n: int) -> str:
        raise NotImplementedError

    def confirmed(self, text: str, n: int) -> bool:
        raise NotImplementedError

    def filed(self, kitchen: Kitchen) -> list[int]:
        """Every number that is on record, in order."""
        raise NotImplementedError

    def check(self, kitchen: Kitchen, before: list[int], confirmed: set[int]) -> None:
        """What was on record `before` a run still is, and all that was `confirmed` in it."""
        filed = self.filed(kitchen)
        assert filed[: len(before)] == before
        assert filed == sorted(set(filed)), "filed twice, or out of order"
        assert confirmed <= set(filed), "confirmed and lost"


class LastCounts(AtScreen):
    """Of what is kept only the last one stands."""

    def check(self, kitchen: Kitchen, before: list[int], confirmed: set[int]) -> None:
        filed = self.filed(kitchen)
        assert max((*before, *confirmed), default=0) <= max(filed, default=0)


class Stove(AtScreen):
    ready = "is it lit?"

    def prepare(self, kitchen: Kitchen) -> None:
        kitchen.begin()

    def keys(self, n: int) -> str:
        return f"{40 + n / 10:.1f}\r"

    def confirmed(self, text: str, n: int) -> bool:
        return bool(re.search(rf"{40 + n / 10:.1f} °C (filed|kept)", text))

    def filed(self, kitchen: Kitchen) -> list[int]:
        readings = [fact for fact in kitchen.facts(ev.Reading, ID) if isinstance(fact, ev.Reading)]
        return [round(float(reading.typed) * 10) - 400 for reading in readings]


class Notes(AtScreen):
    """Flaws of a candle, noted weeks after the day."""

    ready = "261125a-A"

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        return "resume", f"{ID}-candles"

    def prepare(self, kitchen: Kitchen) -> None:
        batch(kitchen.folder)
        open_log(kitchen.folder, read_session(kitchen.folder, ID).state, now=NOON).close()

    def keys(self, n: int) -> str:
        return f"nflaw {n}\r"

    def confirmed(self, text: str, n: int) -> bool:
        return f"note: flaw {n}." in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        facts = kitchen.facts(ev.Noted, f"{ID}-candles")
        return [int(fact.text.split()[1]) for fact in facts if isinstance(fact, ev.Noted)]


class Form(AtScreen):
    """The plan, its title changed again and again."""

    ready = "name of the session"

    def prepare(self, kitchen: Kitchen) -> None:
        live = LiveSession.create(kitchen.folder, ID, now=time.time() - 60)
        live.file(ev.PlanDrafted(plan=two_pillars()), now=time.time() - 60)
        live.close()

    def keys(self, n: int) -> str:
        return f"\x1b[A\x1b[Apl {n}\x1b[B"

    def confirmed(self, text: str, n: int) -> bool:
        return text.startswith(f"Plan: pl {n} ") and "› room" in text and "NOT SAVED" not in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        drafts = [fact for fact in kitchen.facts(ev.PlanDrafted, ID) if isinstance(fact, ev.PlanDrafted)]
        return [int(fact.plan.title.split()[1]) for fact in drafts if fact.plan.title.startswith("pl ")]


class Choices(LastCounts):
    """The settings, opened from the first screen."""

    ready = "q leave"

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        return ()

    def enter(self, terminal: Terminal) -> None:
        super().enter(terminal)
        terminal.type("k")
        terminal.wait_for("› units")
        terminal.type("\x1b[B\x1b[B")
        terminal.wait_for("› altitude")

    def keys(self, n: int) -> str:
        return f"{n + 1} m\x1b[B\x1b[A"

    def confirmed(self, text: str, n: int) -> bool:
        return re.search(rf"› altitude +‹? ?{n + 1} m(?! *▏)", text) is not None

    def filed(self, kitchen: Kitchen) -> list[int]:
        path = settings_of(kitchen)
        return [round(load(path).settings.altitude) - 1] if path.exists() else []


class Burning(AtScreen):
    """A candle that burns: each second flame with its seconds."""

    ready = "261125a-A"
    NAME = f"{ID}-candles"

    def prepare(self, kitchen: Kitchen) -> None:
        batch(kitchen.folder)
        log = open_log(kitchen.folder, read_session(kitchen.folder, ID).state, now=NOON)
        log.file(ev.CandleLit(mould="A"), now=time.time() - 60)
        log.close()

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        # Somebody is there: a test that is not looked at would ask for that first.
        log = LiveSession.open(kitchen.folder, self.NAME, now=time.time())
        log.file(ev.WatchAnswered(), now=time.time())
        log.close()
        return "resume", self.NAME

    def keys(self, n: int) -> str:
        return f"s{n + 1}\r"

    def confirmed(self, text: str, n: int) -> bool:
        return f"a second flame for {n + 1} s" in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        seen = [fact for fact in kitchen.facts(ev.BurnSeen, self.NAME) if isinstance(fact, ev.BurnSeen)]
        return [round(fact.second_flame) - 1 for fact in seen if fact.second_flame]


class Finish(AtScreen):
    """The end of a day, each of its own: the record in the place of the journal."""

    ready = "is it lit?"
    most = 1

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:
        facts = (
            ev.BurnerSet(state="off"),
            ev.Poured(mould="A", layer=0, part="layer", kg=0.3),
            *(ev.Demoulded(mould=letter, release="dropped out") for letter in "AB"),
            *(ev.Waived(act=f"cure {letter}", why="cured") for letter in "AB"),
        )
        return "resume", kitchen.begin(*facts, session=day_number(n), ago=40 * 86_400.0)

    def enter(self, terminal: Terminal) -> None:
        terminal.wait_for("  FINISH")

    def keys(self, n: int) -> str:  # noqa: ARG002
        return " "

    def confirmed(self, text: str, n: int) -> bool:  # noqa: ARG002
        return "This session is finished" in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        return [number_of(row.session) for row in by_name(kitchen) if row.finished]


class Home(AtScreen):
    """A new plan from the first screen, each a session of its own."""

    ready = "n new"
    most = 1

    def prepare(self, kitchen: Kitchen) -> None:
        settings_of(kitchen).parent.mkdir(parents=True)
        save(settings_of(kitchen), "units", "metric")

    def begins(self, kitchen: Kitchen, after: int) -> int:  # noqa: ARG002
        return len(self.filed(kitchen))

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        return ()

    def keys(self, n: int) -> str:  # noqa: ARG002
        return "n"

    def confirmed(self, text: str, n: int) -> bool:  # noqa: ARG002
        return "name of the session" in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        return list(range(len([row for row in by_name(kitchen) if not row.trouble])))


class Found(AtScreen):
    """A day found by its words, while the shelf is worked out beside the screen and kept."""

    ready = "f find"
    most = 1

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:
        batch(kitchen.folder, day_number(n))
        return ()

    def keys(self, n: int) -> str:
        return f"f{day_number(n)}"

    def confirmed(self, text: str, n: int) -> bool:  # noqa: ARG002
        return "1 found." in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        return [number_of(name) for name in sorted(cards_of(kitchen.folder))]


class Flaws(AtScreen):
    """What is wrong with a candle, said over the record of its day; each in a batch of its own."""

    ready = "Esc back"
    most = 1

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:
        batch(kitchen.folder, day_number(n))
        return "resume", day_number(n)

    def enter(self, terminal: Terminal) -> None:
        super().enter(terminal)
        terminal.type("i")
        terminal.wait_for("what do you see?")

    def keys(self, n: int) -> str:  # noqa: ARG002
        return "\r"

    def confirmed(self, text: str, n: int) -> bool:  # noqa: ARG002
        return "Filed: " in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        logs = {row.batch: read_log(kitchen.folder, row.batch) for row in by_name(kitchen) if row.batch}
        return [
            number_of(name) for name, log in logs.items() if log and log.candles and log.candles["A"].defects
        ]


class Printed(AtScreen):
    """The papers of a finished day, written by the key of the review; each of a batch of its own."""

    ready = "Esc back"
    most = 1

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:
        batch(kitchen.folder, day_number(n))
        return "resume", day_number(n)

    def keys(self, n: int) -> str:  # noqa: ARG002
        return "\x1bOS"

    def confirmed(self, text: str, n: int) -> bool:  # noqa: ARG002
        return "in a browser and print" in text.replace("\n", " ")

    def filed(self, kitchen: Kitchen) -> list[int]:
        pages = {path.stem: path.read_bytes() for path in (kitchen.folder / PAPERS).glob("*.html")}
        assert all(page.rstrip().endswith(b"</html>") for page in pages.values())
        names = {name.removesuffix("-slip") for name in pages if name.endswith("-slip")}
        return sorted(number_of(name) for name in names if f"{name}-record" in pages)


class Probed(Stove):
    """The stove while a probe in the room sends all the time; what it sent goes on record beside what is typed."""

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:
        self._log = kitchen.folder.parent / "probe.log"
        self._log.touch()
        return (*super().arguments(kitchen, n), "--probe", f"place=room file:{self._log}")

    def keys(self, n: int) -> str:
        with self._log.open("a") as log:
            log.write(f"{18 + n % 50 / 10:.1f}\n")
        return super().keys(n)

    def filed(self, kitchen: Kitchen) -> list[int]:
        entries = kitchen.entries(ID)
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        typed = [e.fact for e in entries if e.by == "person" and isinstance(e.fact, ev.Reading)]
        return [round(float(fact.typed) * 10) - 400 for fact in typed]


class Tin(AtScreen):
    """A cooling curve of unknown wax, beat by beat."""

    ready = "a thumbnail"

    def prepare(self, kitchen: Kitchen) -> None:
        live = begin_heap(kitchen.folder, Plan(), now=time.time() - 60)
        live.file(ev.CoolingBegun(around_c=21.0), now=time.time() - 30)
        live.close()

    def begins(self, kitchen: Kitchen, after: int) -> int:  # noqa: ARG002
        return len(self.filed(kitchen))

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        return "resume", kitchen.session()

    def enter(self, terminal: Terminal) -> None:
        terminal.wait_for("Opened again")

    def keys(self, n: int) -> str:
        return f"{80 - n / 10:.1f}\r"

    def confirmed(self, text: str, n: int) -> bool:
        return f"Filed: read {80 - n / 10:.1f} °C in the tin." in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        return list(range(len(heap_of(kitchen, kitchen.session()).curves[0].readings)))


class Heap(AtScreen):
    """Wax that nobody knows, weighed as it came, and its colour; each a run of its own."""

    ready = "What does it weigh as it came"
    most = 1

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:
        live = LiveSession.create(kitchen.folder, day_number(n), now=time.time() - 60, heap=True)
        for fact in (
            ev.PlanDrafted(plan=Plan()),
            ev.HeapStepDone(step="a heap"),
            ev.HeapStepDone(step="sorted"),
        ):
            live.file(fact, now=time.time() - 50)
        live.close()
        return "resume", day_number(n)

    def keys(self, n: int) -> str:
        return f"{100 + n}\r"

    def confirmed(self, text: str, n: int) -> bool:
        return f"Filed: weighed the wax as it came: {100 + n} g." in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        weights = {row.session: heap_of(kitchen, row.session).came_kg for row in by_name(kitchen)}
        return [
            number_of(name)
            for name, kg in weights.items()
            if kg and round(kg * 1000) == 100 + number_of(name)
        ]


class Learned(AtScreen):
    """Whether what earlier days taught is used: a switch on the page of the kitchen, thrown there and back."""

    ready = "q leave"
    most = 1

    def begins(self, kitchen: Kitchen, after: int) -> int:  # noqa: ARG002
        return 1 - self.filed(kitchen)[0]

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        return ()

    def enter(self, terminal: Terminal) -> None:
        super().enter(terminal)
        terminal.type("l")
        terminal.wait_for("What your days taught", "u ")

    def keys(self, n: int) -> str:  # noqa: ARG002
        return "u"

    def confirmed(self, text: str, n: int) -> bool:
        return ("It is used again", "Nothing that was learned is used now")[n] in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        return [int(Memories(kitchen.folder).kitchen_choices().use_none)]

    def check(self, kitchen: Kitchen, before: list[int], confirmed: set[int]) -> None:  # noqa: ARG002
        assert not Memories(kitchen.folder).remarks
        assert not confirmed or self.filed(kitchen) == [*confirmed]


class Sample(Heap):
    """What is said of a tin before its curve begins; each a run of its own."""

    ready = "a small warm tin"

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:
        live = LiveSession.create(kitchen.folder, day_number(n), now=time.time() - 60, heap=True)
        for fact in (
            ev.PlanDrafted(plan=Plan()),
            ev.HeapStepDone(step="clean wax"),
            ev.BurnerSet(state="on"),
            ev.HeapStepDone(step="molten"),
            ev.BurnerSet(state="off"),
            ev.WaxSeen(colour="red", smell="none", melted=1),
        ):
            live.file(fact, now=time.time() - 50)
        live.close()
        return "resume", day_number(n)

    def keys(self, n: int) -> str:
        return f"{30 + n % 60}\r"

    def confirmed(self, text: str, n: int) -> bool:  # noqa: ARG002
        return "✓ the tin" in text and "NOT SAVED" not in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        weights = {row.session: heap_of(kitchen, row.session).tin.kg for row in by_name(kitchen)}
        told = {number_of(name): round(kg * 1000) for name, kg in weights.items() if kg}
        assert all(grams == 30 + n % 60 for n, grams in told.items())
        return sorted(told)


class Moulds(LastCounts):
    """What is said of a mould, again and again."""

    ready = "q leave"

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        return ()

    def enter(self, terminal: Terminal) -> None:
        super().enter(terminal)
        terminal.type("v")
        terminal.wait_for("Esc back")

    def keys(self, n: int) -> str:
        return f"tall note nr {n + 1}.\r"

    def confirmed(self, text: str, n: int) -> bool:
        return f"nr {n + 1}." in text and "tall note" not in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        return [int(note.note.strip(".").split()[-1]) - 1 for note in MouldNotes(kitchen.folder).notes()]


class Shelf(LastCounts):
    """The stock, one lot of it counted again and again."""

    ready = "q leave"

    def arguments(self, kitchen: Kitchen, n: int) -> tuple[str, ...]:  # noqa: ARG002
        return ()

    def enter(self, terminal: Terminal) -> None:
        super().enter(terminal)
        terminal.type("w")
        terminal.wait_for("Esc back")

    def keys(self, n: int) -> str:
        return f"dye ivory is {n + 1} g\r"

    def confirmed(self, text: str, n: int) -> bool:
        return re.search(rf"ivory +{n + 1}(\.0)? g", text) is not None

    def filed(self, kitchen: Kitchen) -> list[int]:
        return [round(lot.counted * 1000) - 1 for lot in Stock(kitchen.folder).lots()]


def heap_of(kitchen: Kitchen, session: str) -> HeapState:
    heap = read_session(kitchen.folder, session).state.heap
    assert heap is not None
    return heap


def settings_of(kitchen: Kitchen) -> Path:
    return Path(kitchen.env["HOME"]) / ".config" / "pourday" / "settings.toml"


def day_number(n: int) -> str:
    """The name of a session that bears a number."""
    return f"2026-10-{n:05d}"


def number_of(session: str) -> int:
    return int(session.split("-")[2])


def by_name(kitchen: Kitchen) -> list[Summary]:
    """The sessions in the order of their names."""
    return sorted(list_sessions(kitchen.folder), key=lambda row: row.session)


SCREENS: dict[str, Callable[[], AtScreen]] = {
    each.__name__: each
    for each in (
        Stove,
        Notes,
        Form,
        Choices,
        Burning,
        Finish,
        Home,
        Found,
        Flaws,
        Printed,
        Probed,
        Tin,
        Heap,
        Sample,
        Learned,
        Moulds,
        Shelf,
    )
}
