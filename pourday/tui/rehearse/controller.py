"""What a key does in a rehearsal, and where its imagined clock stands. Knows no Textual."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from pourday.errors import Trouble
from pourday.guide.ahead.alternatives import Shorter
from pourday.guide.ahead.day import AWAY_FROM_STOVE, DayForecast, Step
from pourday.times import read_clock
from pourday.tui.terminal.rubbing import rubbed

SPEEDS = (60.0, 150.0, 300.0, 600.0, 1500.0)
"""Imagined seconds in a real one."""
USUAL = 2
"""Index of the speed a rehearsal begins with."""
LONGEST_WAIT = 6.0
"""Real seconds that any wait between two acts is played in, at the most: nobody watches a night."""
LONGEST = 12
"""Characters of a time of day."""
PAGE = 8
"""Acts that PageUp and PageDown move by."""


@dataclass
class RehearsalController:
    """A day being played through."""

    title: str
    remark: str = ""
    day_ahead: DayForecast | None = None
    """None while it is being worked out."""
    ways: list[Shorter] = field(default_factory=list)
    trying: bool = True
    """Whether ways to a shorter day are still being tried."""
    trouble: str = ""
    t: float = 0.0
    """Where the imagined clock stands, seconds since the epoch."""
    playing: bool = False
    speed: int = USUAL
    cursor: int | None = None
    """The entry that is being read; None follows the clock."""
    whole: bool = False
    """Whether the page of what the day comes to lies over the list."""
    top: int = 0
    """First line shown of that page."""
    finished: bool = False
    """Moulds as the finished candles stand."""
    leaving: bool = False
    movable: bool = False
    """Whether it can be begun at another time: the day of a plan, and not the rest of one that has begun."""
    begins: str = ""
    """A sentence on when the day begins, where that is not now."""
    begins_at: float | None = None
    """When it is to begin, seconds since the epoch, or"""
    done_at: float | None = None
    """when it is to be done, as the person chose."""
    typing_of: Literal["begin", "done"] = "begin"
    """Which of the two is being typed,"""
    typed: str | None = None
    """and what; None where nothing is."""
    message: str = ""
    asked: bool = False
    """Another day was asked for."""

    def arrived(self, day_ahead: DayForecast) -> None:
        """The day was worked out."""
        self.day_ahead, self.t = day_ahead, day_ahead.now

    @property
    def steps(self) -> Sequence[Step]:
        """The acts of the day, in order; none while it is being worked out."""
        return self.day_ahead.steps if self.day_ahead else ()

    @property
    def at(self) -> int:
        """The act that goes on or was done last; -1 before the first."""
        return sum(step.at.likely <= self.t for step in self.steps) - 1

    @property
    def shown(self) -> int:
        """The act whose sentence is shown."""
        return self.cursor if self.cursor is not None else max(0, self.at)

    @property
    def end(self) -> float:
        """When the last act is likely to be, s since the epoch: later there is nothing to see."""
        return self.steps[-1].at.likely if self.steps else self.t

    @property
    def rate(self) -> float:
        """Imagined seconds in a real one just now."""
        ahead = next((s.at.likely for s in self.steps if s.at.likely > self.t), self.t)
        return max(SPEEDS[self.speed], self._gap(ahead) / LONGEST_WAIT)

    def _gap(self, ahead: float) -> float:
        before = self.steps[self.at].at.likely if self.at >= 0 and self.day_ahead else self.t
        return ahead - before

    def tick(self, real_seconds: float) -> None:
        """So much real time has passed."""
        if not self.playing or self.day_ahead is None:
            return
        coming = next((s.at.likely for s in self.steps if s.at.likely > self.t), self.end)
        # An act is never jumped over: the clock stops at each for one beat.
        self.t = min(self.t + self.rate * real_seconds, coming)
        if self.t >= self.end:
            self.playing = False

    def press(self, key: str, character: str | None, now: float = 0.0) -> None:
        """One key; `now` is the time by the clock on the wall, seconds since the epoch."""
        self.message = ""
        if self.typed is not None:
            self._type(self.typed, key, character, now)
            return
        match character or key:
            case "b" | "d" if self.movable:
                self.typing_of, self.typed = ("begin" if character == "b" else "done"), ""
            case "[" | "]":
                step = 1 if character == "]" else -1
                self.speed = max(0, min(len(SPEEDS) - 1, self.speed + step))
            case "w":
                self.whole, self.top = not self.whole, 0
            case "v":
                self.finished = not self.finished
            case _:
                self._move(key)

    def _type(self, typed: str, key: str, character: str | None, now: float) -> None:
        """A key while a time is typed."""
        if key == "escape":
            self.typed = None
        elif (left := rubbed(typed, key)) is not None:
            self.typed = left
        elif key == "enter":
            self._take_time(typed, now)
        elif character is not None and character.isprintable():
            self.typed = (typed + character)[:LONGEST]

    def _take_time(self, typed: str, now: float) -> None:
        """Ask for the day anew; nothing typed leaves it to the clock."""
        then = None
        if typed.strip():
            try:
                then = read_clock(typed, now)
            except Trouble as trouble:
                self.message = str(trouble)
                return
        begin = self.typing_of == "begin"
        self.begins_at, self.done_at = (then, None) if begin else (None, then)
        self.typed, self.asked, self.playing = None, True, False
        self.day_ahead, self.cursor, self.begins = None, None, ""

    def _move(self, key: str) -> None:
        """A key that moves through the day or the text."""
        match key:
            case "escape" | "q":
                self._back()
            case "tab":
                self.whole, self.top = not self.whole, 0
            case "space":
                self._play()
            case "left" | "right":
                self._go(self.at + (1 if key == "right" else -1 if self.on_act else 0))
            case "home":
                self._go(-1)
            case "end":
                self._go(len(self.steps) - 1)
            case "up" | "down" | "pageup" | "pagedown":
                self._read((1 if key.endswith("down") else -1) * (PAGE if key.startswith("page") else 1))
            case "enter" if self.cursor is not None:
                self._go(self.cursor)
            case _:
                pass

    @property
    def on_act(self) -> bool:
        """Whether the clock stands at an act's very time."""
        return self.at >= 0 and self.steps[self.at].at.likely == self.t

    def _back(self) -> None:
        """Away with the text, the cursor, or the rehearsal."""
        if self.whole:
            self.whole = False
        elif self.cursor is not None:
            self.cursor = None
        else:
            self.leaving = True

    def _play(self) -> None:
        """Play or pause; from the beginning where it had come to its end."""
        if self.day_ahead is None:
            return
        self.cursor = None
        if self.t >= self.end:
            self.t = self.day_ahead.now
        self.playing = not self.playing

    def _go(self, index: int) -> None:
        """The clock to an act; before the first of all, to the start of the day."""
        if self.day_ahead is None:
            return
        self.cursor = None
        steps = self.steps
        self.t = steps[min(index, len(steps) - 1)].at.likely if steps and index >= 0 else self.day_ahead.now

    def _read(self, by: int) -> None:
        if self.whole:
            self.top = max(0, self.top + by)
        elif self.steps:
            self.cursor = max(0, min(len(self.steps) - 1, self.shown + by))


def at_stove(step: Step) -> bool:
    """Whether somebody has to stand at the stove for it."""
    return step.kind not in AWAY_FROM_STOVE
