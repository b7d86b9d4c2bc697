"""How far a probe is off, found by holding it into melting ice or boiling water.

Melting ice in water is 0 °C (to 0.01 K, the definition of the scale of old; ITS-90 has 0.01 °C at the triple point). Water boils
by the pressure of the place, so by its altitude (`plan/water.py`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.doubt import spread
from pourday.text import plain

Bath = Literal["ice", "boiling water"]
FARTHEST = 5.0
"""K a usable probe is off at most; one farther off is not in that bath, or broken. An estimate of ours."""
STILL, FOR, FEWEST = 0.3, 8.0, 4
"""K, s and readings in which it has to stand still. Estimates of ours."""
OLD_DAYS = 183
"""Days after which a test is old: half a year, an estimate of ours."""
_TEXT = re.compile(r"\s*([+-]?\d{1,2}(?:\.\d{1,3})?) K in (ice|boiling water) on (\d{4}-\d\d-\d\d)\s*")


@dataclass(frozen=True, slots=True)
class ProbeTest:
    """What a test found: `kelvin` is added to what the probe says."""

    kelvin: float
    bath: Bath
    day: date

    @property
    def text(self) -> str:
        """As it stands in the settings: `-0.40 K in ice on 2026-11-30`."""
        return f"{self.kelvin:+.2f} K in {self.bath} on {self.day:%Y-%m-%d}"

    def is_old(self, today: date) -> bool:
        """Whether it was so long ago that it should be done again."""
        return (today - self.day).days > OLD_DAYS


def read_test(text: str) -> ProbeTest:
    """A test as it stands in the settings. Raises `Trouble`."""
    match = _TEXT.fullmatch(text)
    try:
        if match is None or abs(float(match[1])) > FARTHEST:
            raise ValueError
        bath: Bath = "ice" if match[2] == "ice" else "boiling water"
        return ProbeTest(float(match[1]), bath, date.fromisoformat(match[3]))
    except ValueError:
        raise Trouble(
            tr("“{typed}” is no test of a probe.", typed=plain(text, 60)),
            instead=tr("Write it like “-0.40 K in ice on 2026-11-30”."),
        ) from None


def offset_found(
    bath: Bath, readings: Sequence[tuple[float, float]], boiling_c: float, day: date
) -> ProbeTest:
    """The test that these readings make (time s, °C as the probe says them, newest last). Raises `Trouble` where they cannot."""
    true = 0.0 if bath == "ice" else boiling_c
    recent = [r for r in readings if readings[-1][0] - r[0] <= 2 * FOR]
    if len(recent) < FEWEST or recent[-1][0] - recent[0][0] < FOR:
        raise Trouble(
            tr("It has not been in there long enough."),
            instead=tr("Leave it in for a quarter of a minute, then again."),
        )
    values = [c for _, c in recent]
    mean = sum(values) / len(values)
    half = len(values) // 2
    drift = abs(sum(values[half:]) / (len(values) - half) - sum(values[:half]) / half)
    if drift > STILL or spread(values) > 3 * STILL:
        raise Trouble(tr("It does not stand still yet."), instead=tr("Stir, wait a little, then again."))
    if abs(mean - true) > FARTHEST:
        raise Trouble(
            tr("It reads {mean:.1f} °C, and {bath} is {true:.1f} °C here.", mean=mean, bath=bath, true=true),
            tr("A probe that is more than 5 °C off is not in it, or broken."),
            tr("Hold its tip into the middle, off the wall."),
        )
    return ProbeTest(round(true - mean, 2), bath, day)
