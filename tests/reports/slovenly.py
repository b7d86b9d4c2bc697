"""A day on which everything goes otherwise, played by the program itself in its simulated kitchen, and kept as a record.

    python -m tests.reports.slovenly     plays it and writes records/slovenly.json

The person types a reading that cannot be, leaves an alarm ringing, comes late to every window, pours a colour far too cold
and takes one candle out with its hollow open; the program is closed for an hour with hot wax, and the clock is put forward.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from msgspec.structs import replace

from pourday.demo.day import Day
from pourday.session import events as ev
from pourday.session.events import By, Fact
from pourday.session.readings import reading_of
from pourday.store.live import LiveSession

RECORD = Path(__file__).parent / "records" / "slovenly.json"
HOUR = 3600.0


class SlovenlyDay(Day):
    """`Day`, with one thing after another done wrong, once each."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.did: set[str] = set()
        super().__init__(folder, lambda _: None, seed=4, late=40 * 60.0)

    def once(self, what: str) -> bool:
        """Whether this was not done yet; from now on it was."""
        fresh = what not in self.did
        self.did.add(what)
        return fresh

    def file(self, fact: Fact, by: By = "person") -> None:
        """As said, but for a second colour that was read far too cold, and for B, which is taken out with its hollow open."""
        if (
            isinstance(fact, ev.Poured)
            and fact.part == "top-up"
            and fact.mould == "B"
            and self.once("out of B")
        ):
            fact = ev.Demoulded(mould="B", release="needed a tap")
        if (
            "out of B" in self.did
            and isinstance(fact, ev.Weighed)
            and fact.mould == "B"
            and fact.what == "pour"
        ):
            return
        if isinstance(fact, ev.Poured) and fact.layer == 1 and fact.part == "layer" and self.once("cold"):
            fact = replace(fact, celsius=66.0)
        super().file(fact, by)

    def step(self) -> bool:
        advice = self.advise()
        act = advice.now.act if advice.now is not None else None
        pot = advice.outlook.pot if advice.outlook else None
        if act is not None and act.kind == "alarm" and len(self.did) and self.once("alarm"):
            self._unheard()
            return True
        if self.live.state.burner == "on" and pot is not None and len(self.live.state.readings) > 3:
            if self.once("doubt"):
                self.file(reading_of(self.live.state, pot, "pot", 31.0, "31", self.now))
            elif self.live.state.jugs and self.once("clock"):
                self.live.file(
                    ev.GapSeen(seconds=HOUR, cause="clock changed"), now=self.now + HOUR, by="program"
                )
                self.now += HOUR
                self.kitchen.advance(self.now)
        if self.live.state.stage == "pour" and self.once("closed"):
            self.closed(HOUR)
        return super().step()

    def _unheard(self) -> None:
        """Nobody is there for twelve minutes."""
        for _ in range(12):
            self._until(self.now + 60)
            self.advise()

    def closed(self, seconds: float) -> None:
        """The program is closed for so long, and opened again."""
        session = self.live.session
        self.live.end("left", now=self.now)
        self.live.close()
        self._until(self.now + seconds)
        self.live = LiveSession.open(self.folder, session, now=self.now)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        day = SlovenlyDay(Path(folder))
        day.play()
        (record,) = Path(folder).glob("*.json")
        RECORD.parent.mkdir(exist_ok=True)
        RECORD.write_bytes(record.read_bytes())


if __name__ == "__main__":
    main()
