"""A folder of ten, of a thousand and of ten thousand generated sessions: list, narrowing and rebuild, in processor time.

POURDAY_SHELF_SIZES (`10,1000,10000`) chooses the sizes; ten thousand take some five processor-minutes to be made and read.
"""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.guide.advice.queries import Memory
from pourday.session import events as ev
from pourday.session.events import Entry, moment
from pourday.shelf.candles_due import due_in
from pourday.shelf.index import read_cards
from pourday.store.record import record_bytes
from pourday.tui.home.controller import AT_ONCE, HomeController
from pourday.tui.home.layout import draw_home
from pourday.tui.home.shelf_query import ShelfQuery

pytestmark = pytest.mark.bench
SIZES = tuple(int(n) for n in os.environ.get("POURDAY_SHELF_SIZES", "10,1000").split(","))
NOW = 1.8e9
KEYS = "violet not leak"
KEY = 0.050
"""s of processor time that a key of the search may take, with its picture."""
FIRST = 0.5
"""s of processor time, more than of ten sessions, after which the list stands, known or not."""


def generated(folder: Path, count: int) -> None:
    """Finished days with a plan, jugs, a pour, a note and a verdict."""
    choose = random.Random(1)
    for number in range(count):
        t = 1.2e9 + number * 40_000.0
        plan = replace(two_pillars(), title=f"{choose.choice(('violet', 'green', 'rust'))} {number}")
        session = f"2020-01-01-{number}"
        facts = (
            ev.Opened(session=session, program="generated"),
            ev.PlanFixed(plan=plan),
            ev.JugMade(layer=0, kg=0.5),
            ev.Poured(mould="A", layer=0, part="layer", kg=0.3),
            ev.Noted(text=f"Note {number} about a window."),
            ev.Finished(verdict=choose.choice(("good", "a leak", ""))),
        )
        entries = [
            Entry(seq=n, at=moment(t + n), logged_at=moment(t + n), by="person", fact=fact)
            for n, fact in enumerate(facts, 1)
        ]
        (folder / f"{session}.json").write_bytes(record_bytes(session, entries))


def cpu(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


@pytest.mark.parametrize("size", SIZES)
def test_thousands_of_sessions_cost_the_screen_little(tmp_path, capsys, size):
    """What the screen's own process does: the list, a key, its picture. Records are read in another one."""
    folder, few = tmp_path / "all", tmp_path / "few"
    for each, count in ((folder, size), (few, 10)):
        each.mkdir()
        generated(each, count)
    HomeController(few).read()
    ten = cpu(HomeController(few).read)
    home = HomeController(folder)
    unknown = cpu(home.read)
    assert len(home.unread) == max(0, size - AT_ONCE)
    learning, begun = 0.0, time.process_time()
    for progress in ShelfQuery(folder, tuple(home.unread)).answers(Memory()):
        learning += cpu(partial(home.learn_cards, progress))
    reading = time.process_time() - begun - learning
    home.settle()
    assert not home.unread
    listed = cpu(HomeController(folder).read)
    cards, due = cpu(lambda: list(read_cards(folder))), cpu(lambda: due_in(folder, NOW))

    def type_key(sign: str) -> None:
        home.press(sign, sign, NOW)
        draw_home(home, NOW, 80, 24)

    home.press("f", "f", NOW)
    keys = [cpu(partial(type_key, sign)) for sign in KEYS]
    want = sum("violet" in each.title and each.verdict != "a leak" for each in home.sessions)
    assert len(home.shown) == want
    with capsys.disabled():
        print(
            f"\n{size:6d} sessions: list {unknown * 1e3:.0f} ms when nothing was known, {listed * 1e3:.0f} ms when all was; "
            f"records read beside it {reading / size * 1e3:.2f} ms each, taken in {learning / size * 1e3:.3f} ms each; "
            f"cards remembered {cards * 1e3:.0f} ms, due {due * 1e3:.0f} ms; a key {max(keys) * 1e3:.1f} ms at most"
        )
    assert max(keys) < KEY
    assert listed < ten + FIRST
    assert unknown < ten + FIRST
