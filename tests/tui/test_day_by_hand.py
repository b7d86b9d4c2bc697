"""A whole day of two moulds at the keyboard: planned, poured after the sentence, undone once, left and killed, finished.

The kitchen runs at 600 times, on a clock that goes on only when the test says so: however slow the machine
is, the person at the stove is never late. For night and cure the program is closed, as a person would, and
the file is made as old as that takes.
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
STEP, WAITS = 0.11, 0.33
"""Seconds in which at 600 times a little more than a minute passes, so that the clock on screen moves; three where there is
only waiting, half as long as two presses are apart."""
HOUR = 3600.0
LOOKS = {"wet": "w", "edge set": "k", "carries": "f", "cold": "c", "pulled": "p"}
"""The key that answers with each look."""
BEFORE = """
import pathlib, sys
from pourday.tui import base
from pourday.tui.terminal import clocks, held
clock = pathlib.Path({clock!r})
usual, real = clocks.real, lambda: float(clock.read_text())
for module in [module for name, module in sys.modules.items() if name.startswith("pourday.")]:
    if getattr(module, "real", None) is usual:
        module.real = real
base.HEARTBEAT = 0.05
# The clock stands still while the test reads the sentence, and in the time a person takes for that a quarter of an hour
# would pass in this kitchen; test_desk.py tries what guards against a press that comes too soon.
from pourday.tui.stove import controller, guard, typed
guard.SETTLES = controller.SETTLES = typed.STEADY = 0.0
held.AGAIN = held.SLOWEST = 0.0  # Nor is the clock of the day the keyboard's; test_held.py tries held keys.
sys.executable = ""  # No process beside: what is on screen is thought through.
# A demo that is opened again chooses its own pace; a slow one until the first questions are answered, then as fast as the test.
from pourday.demo import opening
Station = opening.Station
opening.Station = lambda *given, **more: Station(*given, **{{"speed": 20.0, **more}})
"""


class Pourer:
    """Reads the screen, does what the sentence says."""

    def __init__(self, kitchen, *arguments: str) -> None:
        self.kitchen = kitchen
        self.clock = kitchen.folder.parent / "clock"
        self.time = 0.0
        self.last_done = -1.0
        self.did: list[str] = []
        self.pass_time(1.0)
        self.terminal = self.program(*arguments)

    def program(self, *arguments: str):
        # Wide enough for all that the line tells of the kitchen.
        before = BEFORE.format(clock=str(self.clock))
        return self.kitchen.run(*arguments, before=before, size=(110, 26))

    def pass_time(self, seconds: float) -> None:
        """The program's clock goes on by so much."""
        self.time += seconds
        fresh = self.clock.with_suffix(".new")
        fresh.write_text(repr(self.time))
        fresh.replace(self.clock)

    def step(self, seconds: float = STEP) -> None:
        """A minute or some pass in the kitchen, and the screen shows what that brings."""
        header = self.terminal.rows()[0]
        self.pass_time(seconds)
        self.terminal.until(lambda text: text.split("\n")[0][-5:] != header[-5:])

    def sentence(self) -> str:
        """What the program asks for just now."""
        rows = self.terminal.text().split("\n")
        rule = next((i for i, row in enumerate(rows) if row.startswith("────")), len(rows))
        return " ".join(row for row in rows[1:rule] if row and not set(row) & set("█▀▄"))

    def strip(self) -> str:
        return next((row for row in self.terminal.rows() if row.startswith("demo ")), "")

    def space(self) -> None:
        time_left = self.last_done + BETWEEN - self.time
        if time_left > 0:
            self.pass_time(time_left)
        self.press(" ")
        self.last_done = self.time

    def press(self, keys: str) -> None:
        """Until the program has filed something for it, or asks, or says that there is nothing to do."""
        before, foot, sentence = self.said(), self.foot(), self.sentence()
        asked = "one key answers" in foot

        def heard(text: str) -> bool:
            if self.foot() == foot and asked:
                return False
            asks = self.foot() != foot and "one key answers" in text
            # A sentence that came up meanwhile is read before it is answered.
            another = self.sentence() != sentence
            return asks or another or self.said() > before or "Nothing to do but wait" in text

        self.terminal.type(keys)
        self.terminal.until(heard)

    def foot(self) -> str:
        return "\n".join(self.terminal.rows()[-4:])

    def said(self) -> int:
        """How much was put on record by hand."""
        facts = [entry.fact for entry in self.kitchen.entries() if entry.by == "person"]
        return sum(not isinstance(fact, ev.WatchAnswered) for fact in facts)

    def done(self) -> None:
        """Space; and the key for the question, where that brings one up."""
        self.space()
        for _ in range(3):
            asked = self.terminal.text()
            if "one key answers" not in asked:
                return
            self.press(self.answer(asked))

    def answer(self, asked: str) -> str:
        """The key that answers what is asked; a choice that shows itself first is borne out with y."""
        look = re.search(r"^([AB])(?: looks:|, with holes)", asked, re.MULTILINE)
        if look:
            return self.looks(look[1])
        if re.search("A and B(?: look, one answer for all:|, with holes)", asked):
            return self.looks("A") if self.looks("A") == self.looks("B") else "n"
        if re.search(r"\by +yes", asked):
            return "y"
        keys = {
            "w well": "w",
            "The burner is:": "o",
            "Water enough?": "t",
            "Underneath": "y",
            "carry on": "c",
            "The set drop of": "r",
        }
        return next((k for q, k in keys.items() if q in asked), "o")

    def looks(self, letter: str) -> str:
        """The key for what the surface of a mould looks like, by the line that shows the kitchen."""
        seen = re.search(
            rf"(?:in truth|,) (?:[A-Z] )*{letter} (?:[A-Z] )*(wet|edge set|carries|cold|pulled)", self.strip()
        )
        assert seen, self.terminal.text()
        return LOOKS[seen[1]]

    def act(self, said: str) -> bool:
        """Do what a sentence asks for; False where there is only waiting."""
        if said.startswith("Next:") or "Nothing is due" in said:
            return False
        for skips in (
            "skips it all",
            "no reason",
        ):  # What really went into the jug, and why: nothing is told here.
            if skips in self.foot():
                self.terminal.type(" ")
                self.terminal.wait_gone(skips)
        asked = re.search(r"read the ((?:\w+ )?(?:pot|jug))|stir, read, type", said)
        if "one key answers" in self.foot():
            self.press(self.answer(self.terminal.text()))
        elif asked:
            # A jug stands there by its colour; where there is one, the sentence asks for the jug alone.
            vessel = (asked[1] or "pot").removesuffix(" jug")
            read = re.findall(rf"\b{vessel} (\d+(?:\.\d)?) °C", self.strip()) or re.findall(
                r" (\d+(?:\.\d)?) °C", self.strip()
            )
            assert read, self.terminal.text()
            self.press(f"{read[-1]}\r")
        else:
            self.done()
        self.did.append(said[:40])
        return True

    def until(self, done, hours: float) -> None:
        """Follow the sentence until `done` of the sentence, at most so long in the kitchen."""
        limit = self.time + hours * HOUR / 600
        # Read once: what comes up between two looks at the screen would be acted on and never seen by `done`.
        while not done(said := self.sentence()):
            assert self.time < limit, f"{self.did[-10:]}\n{self.terminal.text()}"
            acted = self.act(said)
            if self.terminal.process.poll() is None:
                self.step(STEP if acted else WAITS)

    def leave(self) -> None:
        self.terminal.type("q")
        self.terminal.until(
            lambda text: "Turn it off before you go" in text or self.terminal.process.poll() is not None
        )
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
        self.terminal = self.program("resume")
        self.terminal.wait_for("your hands")
        self.faster()

    def faster(self) -> None:
        while "600x" not in self.terminal.text():
            speed = re.search(r"demo (\d+)x", self.terminal.text())
            assert speed, self.terminal.text()
            self.terminal.type("]")
            self.terminal.wait_gone(f"demo {speed[1]}x")


def plan_it(form) -> None:
    """Change some rows, add a layer and take it away again, tick the list, begin."""
    form.wait_for("› name of the session", "Weigh sheet")
    form.type("Two by hand\r")
    form.wait_for("Plan: Two by hand")
    go_to(form, "room")
    form.type("21C\r")
    form.wait_for("room                  21 °C")
    before = re.search(r"candle (\d+) g", form.text())[1]
    go_to(form, "fill line below rim")
    form.type("10")
    form.wait_for("10▏")
    form.wait_gone(f"candle {before} g")
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
        form.type(DOWN)
    go_to(form, "BEGIN THE DAY")
    form.type("\r")
    form.wait_for("paraffin, pillar into the pot", "burner OFF")


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
    hands = Pourer(kitchen, "demo", "--by-hand", "--speed", "60")
    plan_it(hands.terminal)
    plan = kitchen.facts(ev.PlanFixed)[0].plan
    assert plan.title == "Two by hand"
    assert plan.room_c == 21.0
    assert len(plan.layers) == 2
    assert plan.moulds[0].below_rim == pytest.approx(0.010)
    assert len(kitchen.facts(ev.Prepared)) == len(PREPARATIONS)

    hands.pass_time(1.0)
    hands.terminal.wait_gone("Next: LOAD POT")
    hands.space()
    hands.terminal.wait_for("the pot is weighed and loaded", "Light the burner")
    hands.space()
    hands.terminal.wait_for("Filed: burner on.", "burner ON")
    hands.terminal.type("z")
    hands.terminal.wait_for("Taken back: burner on", "burner OFF")
    hands.faster()
    # Or after the plug, where its sentence came up just as Space went down.
    hands.until(lambda said: said.startswith("Plug") or kitchen.facts(ev.Poured), 4)
    hands.terminal.type("61")
    hands.terminal.wait_for("61▏")
    confirmed = kitchen.entries()
    hands.terminal.kill()
    assert hands.terminal.ended() == -signal.SIGKILL
    hands.closed_for(0)
    hands.terminal.wait_for("burner UNKNOWN")
    assert kitchen.entries()[: len(confirmed)] == confirmed
    hands.until(lambda _: len(kitchen.facts(ev.Poured)) >= 4, 4)
    hands.leave()
    hands.closed_for(1.5 * HOUR)
    hands.until(lambda _: {p.part for p in kitchen.facts(ev.Poured)} == {"plug", "layer", "top-up"}, 10)
    hands.until(lambda said: said.startswith("Next: DEMOULD"), 12)
    hands.leave()
    hands.closed_for(14 * HOUR)
    hands.until(lambda _: len(kitchen.facts(ev.Demoulded)) >= 2, 6)
    hands.leave()
    hands.closed_for(40 * HOUR)
    session = kitchen.session()
    hands.until(lambda _: not (kitchen.folder / f"{session}.journal").exists(), 6)
    assert hands.did[-1].startswith(("A and B may be", "B has cured", "A has cured"))
    check_record(kitchen, session)
    hands.terminal.type("q")
    assert hands.terminal.ended() == 0
    shown = kitchen.plain("show", session, "--story")
    assert shown.returncode == 0
    assert "stage: finished" in shown.stdout
    assert "(taken back)" in shown.stdout


def check_record(kitchen, session: str) -> None:
    """What was done is in it, in order: each mould its plug, its two layers, its top-ups."""
    kept = read_session(kitchen.folder, session)
    assert kept.finished
    assert kept.state.demo
    assert [entry.seq for entry in kept.entries] == list(range(1, len(kept.entries) + 1))
    for letter in "AB":
        pours = [(p.part, p.layer) for p in kept.state.moulds[letter].pours]
        assert pours[:3] == [("plug", 0), ("layer", 0), ("layer", 1)]
        assert set(pours[3:]) == {("top-up", 1)}
        assert kept.state.moulds[letter].demoulded_at is not None
    facts = [entry.fact for entry in kept.entries]
    assert sum(isinstance(fact, ev.Undone) for fact in facts) == 1
    assert [f.how for f in facts if isinstance(f, ev.Stopped)] == ["left"] * 3
    assert len([f for f in facts if isinstance(f, ev.Reopened)]) == 4
    times = [entry.logged_at for entry in kept.entries]
    assert times == sorted(times)
