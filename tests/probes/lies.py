"""Seeded days of a probe in a pot, true and lying. Nothing here is shared with the program: the pot is one first-order body
that a burner warms, the probe a first-order tip with normal noise.

Constants of `pourday/probes/doubt.py` were tried on the even seeds; the odd ones are held back: change one, look at those last.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass

LIES = ("out of the wax", "open", "short", "frozen", "unit", "swapped", "late", "stale stamps", "garbage")
INTERVALS = (1.0, 2.0, 5.0, 10.0)
START = 1_790_000_000.0
BEFORE = 400.0
"""s of true readings before a lie begins."""


@dataclass
class Pot:
    """A pot whose wax goes toward what surrounds it, °C and s."""

    rng: random.Random

    def __post_init__(self) -> None:
        self.room = self.rng.uniform(16, 27)
        self.celsius = self.rng.uniform(55, 82)
        self.heats = self.rng.uniform(0.01, 0.06)
        """K a second over a burner,"""
        self.loses = 1 / self.rng.uniform(2500, 7000)
        self.lit = self.rng.random() < 0.5
        self.ceiling = self.rng.uniform(80, 92)

    def step(self, seconds: float) -> float:
        if self.lit and self.celsius > self.ceiling:
            self.lit = False
        elif not self.lit and self.celsius < 62:
            self.lit = True
        self.celsius += seconds * (
            (self.heats if self.lit else 0.0) - self.loses * (self.celsius - self.room)
        )
        return self.celsius


@dataclass(frozen=True)
class Line:
    t: float
    text: str
    true: float
    lying: bool


def true_lines(seed: int, hours: float, noise: float = 0.5) -> Iterator[Line]:
    """A probe that does not lie, for so long."""
    rng = random.Random(seed)
    pot = Pot(rng)
    every = rng.choice(INTERVALS)
    digits = rng.choice((1, 1, 2, 0))
    t = START
    while t < START + hours * 3600:
        true = pot.step(every)
        yield Line(t, f"{rng.gauss(true, noise):.{digits}f}", true, False)
        t += every * rng.uniform(0.9, 1.1)


def lying_lines(seed: int, lie: str, noise: float = 0.5) -> Iterator[tuple[Line, Line | None]]:
    """A probe that begins to lie after a quarter of an hour, and a second one beside it where two are needed."""
    rng = random.Random(f"{seed} {lie}")
    pot, jug = Pot(rng), Pot(rng)
    jug.celsius, jug.lit, jug.heats = pot.celsius - rng.uniform(8, 20), False, 0.0
    every = rng.choice(INTERVALS)
    tau = rng.uniform(2.0, 12.0)
    digits = rng.choice((1, 1, 2))
    wild = (
        rng.choice((-127.0, 850.0, 0.0, 1372.0, 6553.5, -242.0, 327.67))
        if lie == "open"
        else rng.choice((150.0, 180.0, 0.0, 999.9))
    )
    held: list[float] = []
    frozen = ""
    t, begin = START, START + BEFORE + rng.uniform(0, 60)
    while t < begin + 400:
        true, other = pot.step(every), jug.step(every)
        lying = t >= begin
        value = rng.gauss(true, noise)
        text = f"{value:.{digits}f}"
        stamp = t
        held.append(value)
        if lying:
            since = t - begin + every * 0.5
            match lie:
                case "out of the wax":
                    text = f"{rng.gauss(pot.room + (true - pot.room) * math.exp(-since / tau), noise):.{digits}f}"
                case "open" | "short":
                    text = f"{wild}"
                case "frozen":
                    frozen = frozen or text
                    text = frozen
                case "unit":
                    text = f"{value * 1.8 + 32:.{digits}f}"
                case "swapped":
                    text = f"{rng.gauss(other, noise):.{digits}f}"
                case "late" | "stale stamps":
                    stamp = t - rng.uniform(55, 70)
                case "garbage":
                    text = rng.choice(
                        ("", "#@!", "\x1b[2J\x1b]0;x\x07", "a=b", "\0\0\0", "�" * 40, "12 34 56")
                    )
        if lie in ("late", "stale stamps"):
            text = f"{int(stamp + (3600 if lie == 'stale stamps' else 0))} {text}"
        second = None
        if lie == "swapped":
            second = Line(t, f"{rng.gauss(true if lying else other, noise):.{digits}f}", other, lying)
        yield Line(t, text, true, lying), second
        t += every * rng.uniform(0.9, 1.1)
