"""A burn test at a terminal: opened from the first screen, killed in the middle, and gone on with."""

from __future__ import annotations

import random
import re
import signal
import time

from pourday.session import events as ev
from pourday.store.reading import read_session

DAY = 86_400.0
DEMOULDED = (
    ev.Poured(mould="A", layer=0, part="layer", kg=0.3),
    ev.Demoulded(mould="A", release="dropped out"),
    ev.Demoulded(mould="B", release="dropped out"),
    ev.Finished(verdict=""),
)


def lit(kitchen, size=(80, 24)):
    """The candles of a batch of five days ago, both lit by keys from the first screen."""
    kitchen.begin(*DEMOULDED, ago=5 * DAY)
    stove = kitchen.run(size=size)
    stove.wait_for("may be burned to test")
    stove.type("b")
    stove.wait_for("261125a-A", "261125a-B")
    for keys, said in (
        (" ", "*"), ("\x1b[B", "›"), (" ", "* 261125a-B"), ("b", "What does A weigh?"), ("398\r", "What does B weigh?"),
        ("\r", "trimmed?"), ("6\r", "draught?"), ("n", "How warm"), ("21\r", "Light A and B"),
    ):  # fmt: skip
        stove.type(keys)
        stove.wait_for(said)
        stove.pump(0.6 if keys == "398\r" else 0.0)  # A second Enter at once would count as one held down.
    return stove


def test_lit_from_the_first_screen_killed_and_gone_on_with(kitchen):
    kitchen.fresh = True
    stove = lit(kitchen)
    stove.type(" ")
    stove.wait_for("Filed: lit candle A", "next look")
    stove.kill()
    assert stove.ended() == -signal.SIGKILL
    stove = kitchen.run("resume")
    shown = stove.wait_for("next look", "Look whether they still burn", "cycle 1")
    assert "Traceback" not in shown
    stove.type("x")
    stove.wait_for("How did A go out?")
    stove.type("s")
    stove.wait_for("Filed: candle A was snuffed.")
    entries = read_session(kitchen.folder, "2026-11-25-a-candles").entries
    assert [type(e.fact).__name__ for e in entries if e.by == "person"] == [
        "CandleLit",
        "CandleLit",
        "BurnEnded",
    ]
    stove.type("\x1b")
    stove.type("\x1b")
    stove.type("q")
    stove.wait_for("B still burns", "Leave it burning?")
    stove.type("y")
    stove.ended()
    text = kitchen.plain("show", "2026-11-25-a").stdout
    assert "Candles:" in text
    assert "cycle 1: lit" in text
    assert "out by" in kitchen.plain("due").stdout
    assert kitchen.plain("due", "--ics").stdout.startswith("BEGIN:VCALENDAR")


def test_kills_while_flaws_are_noted_lose_nothing_that_was_confirmed(kitchen):
    kitchen.begin(*DEMOULDED, ago=5 * DAY)
    chance, confirmed = random.Random(17), 0
    for _ in range(4):
        kitchen.plain("due")
        stove = kitchen.run()
        stove.wait_for("may be burned to test")
        stove.type("b")
        stove.wait_for("261125a-A")
        for number in range(3):
            stove.type("n")
            stove.wait_for("What is to be noted?")
            stove.type(f"note {confirmed + number}\r")
            if number < 2 or chance.random() < 0.5:
                stove.wait_for(f"Filed: note: note {confirmed + number}.")
        time.sleep(chance.random() * 0.05)
        stove.kill()
        stove.ended()
        said = {int(n) for n in re.findall(r"Filed: note: note (\d+)", stove.text())}
        notes = [e.fact.text for e in read_session(kitchen.folder, "2026-11-25-a-candles").entries
                 if isinstance(e.fact, ev.Noted)]  # fmt: skip
        assert all(f"note {number}" in notes for number in said)
        assert len(notes) >= confirmed + 2
        assert notes[:confirmed] == [f"note {n}" for n in range(confirmed)]
        confirmed = len(notes)


def test_without_colour_and_at_the_smallest_size_it_can_be_used(kitchen):
    kitchen.env["NO_COLOR"] = "1"
    stove = lit(kitchen, size=(40, 12))
    stove.type(" ")
    stove.wait_for("WATCH", "burns")
    stove.resize(120, 40)
    stove.wait_for("261125a-B", "flaw")
