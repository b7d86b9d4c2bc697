"""A whole day of two moulds at the keyboard: planned, poured after the sentence, undone once, left and killed, finished.

The kitchen runs at 600 times; for night and cure the program is closed, as a person would, and the file
is made as old as that takes.
"""

from __future__ import annotations

import os
import re
import signal
import time

import pytest

from pourday.plan.model import PREPARATIONS
from pourday.session import events as ev
from pourday.store.reading import read_session

DOWN, END = "\x1b[B", "\x1b[F"
BETWEEN = 0.55
"""Seconds between two "done": sooner, the second one is a slip."""
HOUR = 3600.0


class Pourer:
    """Reads the screen, does what the sentence says."""

    def __init__(self, kitchen, terminal) -> None:
        self.kitchen, self.terminal = kitchen, terminal
        self.last_done = 0.0
        self.did: list[str] = []

    def sentence(self) -> str:
        """What the program asks for just now."""
        rows = self.terminal.text().split("\n")
        rule = next((i for i, row in enumerate(rows) if row.startswith("────")), len(rows))
        return " ".join(row for row in rows[1:rule] if row and not set(row) & set("█▀▄"))

    def strip(self) -> str:
        return next((row for row in self.terminal.rows() if row.startswith("demo ")), "")

    def space(self) -> None:
        time_left = self.last_done + BETWEEN - time.monotonic()
        if time_left > 0:
            self.terminal.pump(time_left)
        self.terminal.type(" ")
        self.last_done = time.monotonic()

    def done(self) -> None:
        """Space; and the key for the question, where that brings one up."""
        self.space()
        limit = time.monotonic() + 0.5
        while "one key answers" not in self.terminal.text() and time.monotonic() < limit:
            self.terminal.pump(0.05)
        for _ in range(3):
            asked = self.terminal.text()
            if "one key answers" not in asked:
                return
            self.terminal.type(self.answer(asked))
            self.terminal.pump(0.4)

    def answer(self, asked: str) -> str:
        """The key that answers what is asked; a choice that shows itself first is borne out with y."""
        look = re.search(r"^([AB]) looks:", asked, re.MULTILINE)
        if look:
            return self.looks(look[1])
        if re.search(r"\by +yes", asked):
            return "y"
        keys = {
            "g good": "g",
            "The burner is:": "o",
            "Water enough?": "t",
            "Underneath": "d",
            "carry on": "c",
        }
        return next((k for q, k in keys.items() if q in asked), "d")

    def looks(self, letter: str) -> str:
        """The key for what the surface of a mould looks like, by the line that shows the kitchen."""
        seen = re.search(rf"· {letter} (wet|skinned|firm|cold|pulled)", self.strip())
        assert seen, self.terminal.text()
        return seen[1][0]

    def act(self, said: str) -> bool:
        """Do what a sentence asks for; False where there is only waiting."""
        if said.startswith("Next:") or "Nothing is due" in said:
            return False
        asked = re.search(r"read the (pot|jug)", said)
        if asked:
            # Once the last jug is drawn there is no wax in the pot: the jug in the bath is read instead.
            read = re.findall(rf"{asked[1]}[ 12]* (\d+\.\d)", self.strip()) or re.findall(
                r"jug 2 (\d+\.\d)", self.strip()
            )
            assert read, self.terminal.text()
            self.terminal.type(f"{read[-1]}\r")
            self.terminal.pump(0.15)
        else:
            self.done()
        self.did.append(said[:40])
        return True

    def until(self, done, timeout: float) -> None:
        """Follow the sentence until `done` of the sentence."""
        limit = time.monotonic() + timeout
        while not done(self.sentence()):
            assert time.monotonic() < limit, f"{self.did[-10:]}\n{self.terminal.text()}"
            assert self.terminal.process.poll() is None, self.terminal.raw[-3000:].decode()
            if not self.act(self.sentence()):
                self.terminal.pump(0.1)
            self.terminal.pump(0.05)

    def leave(self) -> None:
        self.terminal.type("q")
        self.terminal.pump(0.3)
        if "Turn it off before you go" in self.terminal.text():
            self.terminal.type("o")
            self.terminal.wait_for("burner OFF")
            self.terminal.type("q")
        assert self.terminal.ended() == 0

    def closed_for(self, seconds: float) -> None:
        """The program was closed for so long: its file is as old, and it is opened again at full speed."""
        journal = self.kitchen.folder / f"{self.kitchen.session()}.journal"
        then = time.time() - seconds
        os.utime(journal, (then, then))
        self.terminal = self.kitchen.run("resume")
        self.terminal.wait_for("your hands")
        self.faster()

    def faster(self) -> None:
        self.terminal.type("]")
        self.terminal.wait_for("200x")
        self.terminal.type("]")
        self.terminal.wait_for("600x")


def plan_it(form) -> None:
    """Change some rows, add a layer and take it away again, tick the list, begin."""
    form.wait_for("› name of the session", "Weigh sheet")
    form.type("Two by hand\r")
    form.wait_for("Plan: Two by hand")
    form.type(f"{DOWN}21C\r")
    form.wait_for("room                  21C")
    before = re.search(r"set (\d+) g", form.text())[1]
    go_to(form, "fill line below rim")
    form.type("10")
    form.wait_for("10▏")
    form.wait_gone(f"set {before} g")
    form.type("\r")
    go_to(form, "another layer")
    form.type("\r")
    form.wait_for("Layer 3")
    form.type("top\r")
    go_to(form, "remove the last layer")
    form.type("\r")
    form.wait_gone("Layer 3")
    go_to(form, PREPARATIONS[0].text[:12])
    for _ in PREPARATIONS:
        form.type("d")
        form.pump(0.08)
        form.type(DOWN)
        form.pump(0.04)
    go_to(form, "BEGIN THE DAY")
    form.type("\r")
    form.wait_for("Light the burner", "burner OFF")


def go_to(form, label: str) -> None:
    """Rows down, each seen to be reached, until the cursor is on that row."""
    while f"› {label}" not in (at := cursor(form.text())):
        form.type(DOWN)
        form.until(lambda text, at=at: cursor(text) != at)


def cursor(text: str) -> str:
    """Where the cursor stands: its row on the screen, what is in it, and what the foot says of it."""
    rows = text.split("\n")
    here = next((f"{n} {row}" for n, row in enumerate(rows) if row.startswith("›")), "")
    return here + "".join(rows[-3:])


def test_a_two_mould_day_is_planned_poured_undone_left_killed_resumed_and_finished(kitchen, tmp_path):
    # The simulated day begins at whatever hour the test is run; no bedtime shall cut it in two.
    settings = tmp_path / "settings.toml"
    settings.write_text('quiet_from = "0:00"\nquiet_to = "0:00"\n')
    kitchen.env["POURDAY_CONFIG"] = str(settings)
    hands = Pourer(kitchen, kitchen.run("demo", "--by-hand", "--speed", "60"))
    plan_it(hands.terminal)
    plan = kitchen.facts(ev.PlanFixed)[0].plan
    assert plan.title == "Two by hand"
    assert plan.room_c == 21.0
    assert len(plan.layers) == 2
    assert plan.moulds[0].below_rim == pytest.approx(0.010)
    assert len(kitchen.facts(ev.Prepared)) == len(PREPARATIONS)

    hands.space()
    hands.terminal.wait_for("Filed: burner on.", "burner ON")
    hands.terminal.type("z")
    hands.terminal.wait_for("Taken back: burner on", "burner OFF")
    hands.faster()
    hands.until(lambda said: said.startswith("Plug"), 30)
    hands.terminal.type("61")
    hands.terminal.wait_for("61▏")
    confirmed = kitchen.entries()
    hands.terminal.kill()
    assert hands.terminal.ended() == -signal.SIGKILL
    hands.closed_for(0)
    hands.terminal.wait_for("burner UNKNOWN")
    assert kitchen.entries()[: len(confirmed)] == confirmed
    hands.until(lambda _: len(kitchen.facts(ev.Poured)) >= 4, 30)
    hands.leave()
    hands.closed_for(1.5 * HOUR)
    hands.until(lambda _: {p.part for p in kitchen.facts(ev.Poured)} == {"plug", "layer", "top-up"}, 60)
    hands.until(lambda _: len([p for p in kitchen.facts(ev.Poured) if p.part == "top-up"]) == 2, 40)
    hands.leave()
    hands.closed_for(14 * HOUR)
    hands.until(lambda _: len(kitchen.facts(ev.Demoulded)) >= 2, 20)
    hands.leave()
    hands.closed_for(40 * HOUR)
    session = kitchen.session()
    hands.until(lambda _: not (kitchen.folder / f"{session}.journal").exists(), 20)
    assert hands.did[-1].startswith(("A and B are through", "B has cured", "A has cured"))
    check_record(kitchen, session)
    hands.terminal.type("q")
    assert hands.terminal.ended() == 0
    shown = kitchen.plain("show", session)
    assert shown.returncode == 0
    assert "stage: finished" in shown.stdout
    assert "(taken back)" in shown.stdout


def check_record(kitchen, session: str) -> None:
    """What was done is in it, in order: each mould its plug, its two layers, its top-up."""
    kept = read_session(kitchen.folder, session)
    assert kept.finished
    assert kept.state.demo
    assert [entry.seq for entry in kept.entries] == list(range(1, len(kept.entries) + 1))
    for letter in "AB":
        pours = [(p.part, p.layer) for p in kept.state.moulds[letter].pours]
        assert pours == [("plug", 0), ("layer", 0), ("layer", 1), ("top-up", 1)]
        assert kept.state.moulds[letter].demoulded_at is not None
    facts = [entry.fact for entry in kept.entries]
    assert sum(isinstance(fact, ev.Undone) for fact in facts) == 1
    assert [f.how for f in facts if isinstance(f, ev.Stopped)] == ["left"] * 3
    assert len([f for f in facts if isinstance(f, ev.Reopened)]) == 4
    times = [entry.logged_at for entry in kept.entries]
    assert times == sorted(times)
