"""Lies of a probe recognised, reading by reading: out of the wax, no contact, short, frozen, another unit, a jump.

Every number here is an estimate of ours, tried on the even seeds of `tests/probes/lies.py`; the odd ones are held back.
What a judge doubts is kept out of every forecast; it is believed again once it agrees, or stands steady where wax can be.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

from pourday.language import tr, word
from pourday.session.events import Place

Lie = Literal["out of the wax", "no contact", "short", "frozen", "unit", "swapped", "late", "jump", "warming"]
"""What is wrong with a reading. `warming` is none of the probe's doing: it was just put in, and takes its time."""

LIE_WORDS: Mapping[Lie, str] = {
    "out of the wax": tr("out of the wax, it seems"),
    "no contact": tr("a wire is open"),
    "short": tr("a wire is shorted"),
    "frozen": tr("stuck"),
    "unit": tr("another unit"),
    "swapped": tr("changed places"),
    "late": tr("comes late"),
    "jump": tr("jumped"),
    "warming": tr("warming up"),
}
"""What is wrong, in a few words."""
COLDEST, HOTTEST = -30.0, 250.0
"""°C that no probe in this kitchen can be at: beyond, the wire is open or its end is. Estimate."""
NOISE = 3.0
"""K that a good probe may be off the middle of its last readings: six times a noise of 0.5 K. Estimate."""
RISES: dict[Place, float] = {"pot": 0.4, "jug": 0.4, "bath": 0.6, "surface": 0.6, "room": 0.1}
FALLS: dict[Place, float] = {"pot": 0.1, "jug": 0.1, "bath": 0.15, "surface": 0.5, "room": 0.1}
"""K a second that a place can warm or cool at most without anything being put in. Estimates; a kilogram of wax over 1 kW:
0.45 K/s."""
MIDDLE, WINDOW = 9, 30.0
"""Readings, and s of them, whose middle the next one is held against. Tuned."""
OLD = 300.0
"""s without a believed reading after which the next one begins anew. Estimate."""
LONGEST_REACH = 60.0
"""s of change that are allowed for, however long the last believed reading is ago. Estimate."""
DISTURBED = 180.0
"""s after wax was put in, drawn or poured in which the temperature may go anywhere. Estimate."""
STEADY_FOR, STEADY_WITHIN = 20.0, 3.0
"""s and K in which doubted readings have to agree with each other to be believed again. Tuned."""
WARM = 8.0
"""K above the room: what is nearer to it is no hot wax. Estimate."""
OVER_BOILING = 5.0
"""K above boiling water that a reading may still be of wax that was put aside too hot. Estimate."""
MISSED = 0.02
"""Accusations of a frozen value an hour that chance alone may make. Chosen."""
ENOUGH = 30
"""Readings until it is known how often a probe repeats itself."""
LEARNS_REPEATS, UNSURE = 0.02, 0.12
"""Weight of the newest reading in how often a probe repeats itself, and how unsure that is: of half a share, 0.09 more.
Tuned."""
STILL_FINE, STILL_COARSE = 300.0, 900.0
"""s after which a value that never moves is frozen, of a probe that shows tenths or whole degrees and often repeats itself.
Tuned."""
COARSE = 0.4
"""K: smallest step of a probe that shows whole degrees. Estimate."""
SAME_UNIT = 2.5
"""K within which a jump is the same temperature in the other unit. Estimate."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What is known around a probe, °C and s."""

    room_c: float = 20.0  # estimate, where nobody says
    boiling_c: float = 100.0  # by definition of the old scale, at sea level
    disturbed_at: float = float("-inf")
    """When wax was last put in, drawn or poured."""


class ProbeJudge:
    """What one probe said lately, and whether the next reading can be; times s, temperatures °C."""

    def __init__(self) -> None:
        self._believed: deque[tuple[float, float]] = deque(maxlen=MIDDLE)
        self._doubted: deque[tuple[float, float]] = deque(maxlen=64)
        self._lie: Lie | None = None
        self._last: tuple[float, float] | None = None
        self._repeats = 0
        """How often in a row the value was the very same,"""
        self._same_since = 0.0
        """and since when."""
        self._seen = 0
        self._repeating = 0.3
        """Share of readings that were the same as the one before, lately."""
        self._interval = 1.0
        """s between two readings, lately."""
        self._finest = float("inf")
        """K: the smallest step it was seen to take."""

    @property
    def lie(self) -> Lie | None:
        """What is wrong with the last reading; None where nothing is."""
        return self._lie

    @property
    def before(self) -> float | None:
        """The middle of what was believed last; None where nothing was."""
        return self._middle()[1] if self._believed else None

    def accuse(self, lie: Lie) -> None:
        """Somebody who sees more than this probe knows what is wrong."""
        self._lie = lie

    def begin_anew(self) -> None:
        """What was said before says nothing any more: it was put into another place."""
        self._believed.clear()
        self._doubted.clear()
        self._lie = None

    def judge(self, t: float, celsius: float, place: Place, around: Surroundings) -> Lie | None:
        """What is wrong with a reading, or None."""
        frozen = self._repeats_itself(t, celsius, place, around)
        lie = self._judged(t, celsius, place, around)
        if lie is None and frozen:
            lie = "frozen"
        if lie is None:
            self._believed.append((t, celsius))
            self._doubted.clear()
        elif lie not in ("no contact", "short"):
            self._doubted.append((t, celsius))
        self._lie = lie
        return lie

    # -- where it can be ----------------------------------------------------------------------------

    def _judged(self, t: float, celsius: float, place: Place, around: Surroundings) -> Lie | None:
        if not COLDEST <= celsius <= HOTTEST:
            return "no contact"
        if not self._believed or not 0 <= t - self._believed[-1][0] <= OLD:
            # Nothing to hold it against: only what no place here can be is told.
            self._believed.clear()
            return "no contact" if celsius == 0.0 and place != "room" else None
        when, middle = self._middle()
        reach = min(max(0.0, t - when), LONGEST_REACH)
        low = middle - NOISE - FALLS[place] * reach
        high = middle + NOISE + RISES[place] * reach
        if low <= celsius <= high:
            return None
        if 0 <= t - around.disturbed_at <= DISTURBED and around.room_c - 5 <= celsius <= around.boiling_c + 2:
            self._believed.clear()
            return None
        lie = self._named(celsius, middle, place, around)
        if lie not in ("unit", "swapped", "no contact", "short") and self._steady(t, celsius, place, around):
            self._believed.clear()
            self._believed.extend(self._doubted)
            return None
        return lie

    def _middle(self) -> tuple[float, float]:
        """When and where the last believed readings were: their middle."""
        last = self._believed[-1][0]
        # A slow probe's readings reach far back: those hold it against what it was, not what it is.
        recent = [r for r in self._believed if last - r[0] <= max(WINDOW, 2 * self._interval)]
        return median(t for t, _ in recent), median(c for _, c in recent)

    def _named(self, celsius: float, middle: float, place: Place, around: Surroundings) -> Lie:
        """What a jump looks like."""
        in_f, in_c = middle * 1.8 + 32, (middle - 32) / 1.8
        # A unit changes at a stroke; what falls slowly may pass that figure on its way to the room.
        at_a_stroke = self._lie is None or self._lie == "unit"
        if at_a_stroke and (abs(celsius - in_f) <= SAME_UNIT * 1.8 or abs(celsius - in_c) <= SAME_UNIT):
            return "unit"
        if (
            self._lie in ("swapped", "unit")
            and self._doubted
            and abs(celsius - self._doubted[-1][1]) <= NOISE
        ):
            return self._lie
        if celsius < middle:
            if celsius < around.room_c - WARM or celsius == 0.0:
                return "no contact"
            return "out of the wax" if place != "room" else "jump"
        if celsius > around.boiling_c + 4 * OVER_BOILING:
            return "short"
        if middle <= around.room_c + WARM and place != "room":
            return "warming"
        return "warming" if self._lie == "warming" else "jump"

    def _steady(self, t: float, celsius: float, place: Place, around: Surroundings) -> bool:
        """Whether it has stood for a while where its place can be: then it is so, whatever happened."""
        if place != "room" and not around.room_c + WARM <= celsius <= around.boiling_c + OVER_BOILING:
            return False
        recent = [
            (when, c)
            for when, c in (*self._doubted, (t, celsius))
            if t - when <= max(STEADY_FOR, 4 * self._interval)
        ]
        if len(recent) < 4 or recent[-1][0] - recent[0][0] < min(STEADY_FOR, 3 * self._interval) * 0.9:
            return False
        values = [c for _, c in recent]
        half = len(values) // 2
        drift = abs(sum(values[half:]) / (len(values) - half) - sum(values[:half]) / half)
        return max(values) - min(values) <= STEADY_WITHIN and drift <= STEADY_WITHIN / 3

    # -- frozen -------------------------------------------------------------------------------------

    def _repeats_itself(self, t: float, celsius: float, place: Place, around: Surroundings) -> bool:
        """Whether the very same value came too often in a row to be chance."""
        last, self._last = self._last, (t, celsius)
        if last is None:
            self._same_since = t
            return False
        gap = t - last[0]
        if 0 < gap <= OLD:
            self._interval += 0.2 * (gap - self._interval)
        if celsius != last[1]:
            self._finest = min(self._finest, abs(celsius - last[1]))
            self._learn(repeats=self._repeats)
            self._repeats, self._same_since = 0, t
            return False
        self._repeats += 1
        chance = max(0.05, self._repeating) + UNSURE * (self._repeating + 0.05) ** 0.5
        per_reading = MISSED * min(self._interval, 3600.0) / 3600.0
        if self._seen >= ENOUGH and chance < 0.35:
            return self._repeats * -math.log(chance) >= -math.log(per_reading)
        still = STILL_COARSE if self._finest >= COARSE else STILL_FINE
        hot = place != "room" and celsius > around.room_c + 2 * WARM and celsius < around.boiling_c - 2 * WARM
        return hot and self._repeats >= 10 and t - self._same_since >= still and self._seen >= ENOUGH

    def _learn(self, repeats: int) -> None:
        """How often it repeats itself while it is well: a value that moved on was not frozen."""
        self._seen += repeats + 1
        for same in (*([1.0] * min(repeats, 20)), 0.0):
            self._repeating += LEARNS_REPEATS * (same - self._repeating)


def is_swapped(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two probes, each (°C believed before, °C now), took each other's place."""
    (before, now), (other_before, other_now) = one, other
    apart = abs(before - other_before) >= 2 * NOISE
    return apart and abs(now - other_before) <= NOISE and abs(other_now - before) <= NOISE


def lie_says(lie: Lie, name: str, place: str, read: str, before: str) -> str:
    """One sentence about a probe that lies; `read` and `before` are temperatures as they are shown."""
    where = tr("Probe {name}", name=name) if name else tr("The probe")
    match lie:
        case "out of the wax":
            return tr(
                "{where} fell from {before} to {read}: is it out of the wax? Put it back; until then it does not count.",
                where=where,
                before=before,
                read=read,
            )
        case "no contact":
            return tr(
                "{where} reads {read}, which nothing here can be: a wire is open. Read by hand.",
                where=where,
                read=read,
            )
        case "short":
            return tr(
                "{where} reads {read}, which nothing here can be: a wire is shorted. Read by hand.",
                where=where,
                read=read,
            )
        case "frozen":
            return tr(
                "{where} has said {read} over and over, to the last digit: it is stuck. Read by hand.",
                where=where,
                read=read,
            )
        case "unit":
            return tr(
                "{where} says {read} after {before}: it changed its unit. Change it back; until then it does not count.",
                where=where,
                read=read,
                before=before,
            )
        case "swapped":
            return tr(
                "{where} and another have changed places. Put them back, or say where each one is.",
                where=where,
            )
        case "late":
            return tr("{where} is behind: its lines come late. Read by hand.", where=where)
        case "jump":
            return tr(
                "{where} jumped from {before} to {read}, faster than a {place} can. It does not count until it stands still.",
                where=where,
                before=before,
                read=read,
                place=word(place),
            )
        case "warming":
            return ""


def spread(values: Sequence[float]) -> float:
    """Standard deviation by the middle of distances from the middle, K (1.48 MAD: exact for a normal noise)."""
    middle = median(values)
    return 1.48 * median(abs(v - middle) for v in values)
