"""A record on the screen, played through time. It knows nothing of Textual and reads no clock.

The state at an event is a fold over the entries that count up to it; nothing is known there that came later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.outlook.mould_heat import MouldHeatCache
from pourday.guide.outlook.outlook import try_look_ahead
from pourday.language import tr
from pourday.reports.day_page import DayPage, day_page
from pourday.reports.story import Happening, compared, happenings, worth_telling
from pourday.session.clock import on_newest_clock
from pourday.session.events import Entry
from pourday.session.fold import apply, effective
from pourday.session.state import State
from pourday.tui.drawing.moulds import Picture, pictures
from pourday.tui.review.ledger import Ledger

SPEEDS = (0.5, 1.0, 2.0, 4.0, 8.0)
"""Events a second."""
USUAL = 2
"""Place in `SPEEDS`."""
AT_ONCE = 1.5
"""Seconds after an event in which what the program says is its answer to it."""
MARK_EVERY = 64
"""Entries between two states that are kept, so that a step back need not begin at the beginning."""


class ReviewController:
    """Which event is looked at, whether it plays on, and what stands in the moulds there."""

    def __init__(self, entries: Sequence[Entry], state: State) -> None:
        self.finished_view = False
        """Whether the moulds are drawn as the finished candles stand, not as they were poured."""
        self.papers = False
        """Whether the comparison with the plan is shown, not the picture."""
        self.ledger: Ledger | None = None
        """The whole session on one axis of time, while that lies over the picture."""
        self.message = ""
        """What was said of the last key; empty for nothing."""
        self.top = 0
        """First line of the papers that is shown."""
        self.scroll = 0
        """Lines of the story above (-) or below (+) the event that is looked at."""
        self.playing = False
        self.speed = USUAL
        self._played_at = 0.0
        self._cache = MouldHeatCache()
        self.at = 0
        self.renew(entries, state)
        self.at = len(self.stops) - 1

    def renew(self, entries: Sequence[Entry], state: State) -> None:
        """Take in the session with more entries, read anew; whoever looked at its end looks at its end again."""
        at_end = self.at >= len(getattr(self, "stops", ())) - 1
        self.end = state
        self._counted = effective(on_newest_clock(entries))
        telling = {entry.seq for entry in worth_telling(self._counted)}
        self.stops = [n for n, entry in enumerate(self._counted) if entry.seq in telling]
        self.times = [self._counted[stop].t for stop in self.stops]
        self._marks: dict[int, State] = {0: State()}
        self._seen: dict[int, list[Picture]] = {}
        self.story: list[Happening] = happenings(state, entries)
        self._rows = {
            seq: n for n, line in enumerate(self.story) for seq in (line.seq, line.weight) if seq is not None
        }
        self.comparison = compared(state, entries)
        self.entries = entries
        self._page: DayPage | None = None
        times = {entry.seq: entry.t for entry in self._counted}
        self.told = [
            (times[each.seq], each) for each in self.story if each.seq is not None and each.seq in times
        ]
        """Each line of the story that counts, with its moment."""
        self.at = len(self.stops) - 1 if at_end else min(self.at, len(self.stops) - 1)

    # -- where it stands ----------------------------------------------------------------------------

    @property
    def event(self) -> Entry | None:
        """The entry that is looked at; None in a record without any to show."""
        return self._counted[self.stops[self.at]] if self.stops else None

    @property
    def now(self) -> float:
        """When the event happened, seconds since the epoch."""
        return self.event.t if self.event else self.end.last_t

    @property
    def row(self) -> int:
        """Line of the story that tells the event."""
        return self._rows.get(self.event.seq, 0) if self.event else 0

    def state(self) -> State:
        """What the session amounted to just after the event."""
        wanted = self._until(self.at)
        start = max(n for n in self._marks if n <= wanted)
        state = self._marks[start]
        for number in range(start, wanted):
            state = apply(state, self._counted[number])
            if (number + 1) % MARK_EVERY == 0:
                self._marks[number + 1] = state
        return state

    def _until(self, at: int) -> int:
        """How many entries count at a stop: up to it, and what the program said to it at once; at the end, all."""
        if at >= len(self.stops) - 1:
            return len(self._counted)
        until = self.stops[at] + 1
        while until < self.stops[at + 1] and self._counted[until].t - self.times[at] <= AT_ONCE:
            until += 1
        return until

    def moulds(self, state: State) -> list[Picture]:
        """The picture at the event; empty while the plan cannot be weighed out."""
        if self.at not in self._seen:
            # The picture needs no forecast of the pot, and without a day begun none is made.
            outlook, _ = try_look_ahead(replace(state, fixed_plan=None), self.now, self._cache)
            self._seen[self.at] = pictures(state, outlook, self.now) if outlook else []
        return self._seen[self.at]

    # -- time and keys ------------------------------------------------------------------------------

    def tick(self, real: float) -> bool:
        """Play on by the real clock, in seconds; whether anything changed."""
        if not self.playing:
            return False
        steps = int((real - self._played_at) * SPEEDS[self.speed])
        if steps < 1:
            return False
        self._played_at += steps / SPEEDS[self.speed]
        self._go(self.at + min(steps, 4))
        self.playing = self.at < len(self.stops) - 1
        return True

    def press(self, key: str, character: str | None, real: float) -> bool:
        """What a key does; True when it leaves."""
        self.message = ""
        if key in ("escape", "q"):
            leaves = not (self.papers or self.ledger) or key == "q"
            self.papers, self.ledger = False, None
            return leaves
        if key == "t":
            self._turn_ledger()
        elif self.ledger is not None:
            self._in_ledger(self.ledger, key, character)
        elif key == "p":
            self.papers, self.top = not self.papers, 0
            self.playing = False
        elif self.papers:
            self._scroll_papers(key)
        else:
            self._move(key, character, real)
        return False

    def _turn_ledger(self) -> None:
        """The ledger over the picture, on the moment that is looked at; or away."""
        self.playing = self.papers = False
        if self.ledger is not None:
            self.ledger = None
            return
        if self._page is None:
            self._page = day_page(self.end, self.entries)
        if self._page is None:
            self.message = tr("Nothing was read, poured or seen: there is nothing to lay out in time.")
        else:
            self.ledger = Ledger(self._page, self.now)

    def _in_ledger(self, ledger: Ledger, key: str, character: str | None) -> None:
        """A key while the ledger lies over the picture."""
        if key not in ("enter", "space"):
            ledger.press(key, character)
            return
        stretch = ledger.row
        # What was not as planned is what one goes there for.
        since = min((one.t for one in ledger.deviating(stretch)), default=stretch.start)
        within = [n for n, t in enumerate(self.times) if since <= t < stretch.end]
        before = [n for n, t in enumerate(self.times) if t < stretch.end]
        self.ledger = None
        self._go(within[0] if within else max(before, default=0))

    def point(self, row: int) -> None:
        """To the event that a line of the story tells, nowhere for a line of no event; in the ledger to the line itself."""
        if self.ledger is not None:
            self.ledger.point(row)
            return
        self.playing = False
        seqs = [self._counted[stop].seq for stop in self.stops]
        stop = next((at for at, seq in enumerate(seqs) if self._rows.get(seq) == row), None)
        if stop is not None:
            self._go(stop)

    def _scroll_papers(self, key: str) -> None:
        """A key while the papers lie over the picture."""
        steps = {
            "up": -1,
            "down": 1,
            "pageup": -15,
            "pagedown": 15,
            "space": 15,
            "home": -(10**6),
            "end": 10**6,
        }
        self.top = max(0, min(self.top + steps.get(key, 0), len(self.comparison) - 1))

    def _move(self, key: str, character: str | None, real: float) -> None:
        """A key that moves through the session; `real` is the real time, in seconds, that playing goes by."""
        match character if character in ("[", "]") else key:
            case "left" | "right":
                self.playing = False
                self._go(self.at + (1 if key == "right" else -1))
            case "home" | "end":
                self.playing = False
                self._go(0 if key == "home" else len(self.stops) - 1)
            case "space":
                self._play(real)
            case "[" | "]":
                self.speed = max(0, min(len(SPEEDS) - 1, self.speed + (1 if character == "]" else -1)))
                self._played_at = real
            case "up" | "down" | "pageup" | "pagedown":
                step = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}[key]
                self.scroll = max(-self.row, min(len(self.story) - 1 - self.row, self.scroll + step))
            case "v":
                self.finished_view = not self.finished_view

    def _play(self, real: float) -> None:
        if not self.playing and self.at == len(self.stops) - 1:
            self._go(0)
        self.playing, self._played_at = not self.playing, real

    def _go(self, at: int) -> None:
        self.at = max(0, min(len(self.stops) - 1, at))
        self.scroll = 0
