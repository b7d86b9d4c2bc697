"""One probe: where it is, what it says, whether that can be, and which of it goes on record."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from statistics import median

from pourday.language import tr
from pourday.probes.doubt import LIE_WORDS, Lie, ProbeJudge, Surroundings, lie_says
from pourday.probes.significance import Significance
from pourday.probes.source import ProbeSpot
from pourday.session.events import Place
from pourday.units import Units, show_temperature

MISSES = 3
"""Usual intervals without a reading that counts, after which the signal is lost,"""
SILENT = 10.0
"""but never sooner than this, s: three lines of a probe that says one a second are lost in a hiccup. An estimate of ours."""
FRESH = 30.0
"""s for which the last reading is shown as the temperature, or three usual intervals of a slower probe. An estimate of ours."""
DISAGREE = 2.0
"""K between what was typed and what the probe says at which somebody has to say which counts. An estimate of ours."""
RATE_OVER = 60.0
"""s over which the rate of change is taken (chosen),"""
RATE_FROM = 15.0
"""how many of them have to be known (chosen),"""
RATE_EVERY = 1.0
"""and s after which it is worked out anew (chosen)."""
GAPS = 9
PAST = 240


@dataclass(frozen=True, slots=True)
class ProbeNow:
    """One probe as it stands, for screens and alarms; times s since the epoch, temperatures °C with its offset in them."""

    name: str
    place: Place | None
    """Where it is; None where nobody has said so: then nothing of it goes on record."""
    mould: str
    """Letter of the mould on whose surface it lies."""
    jug: int | None
    """The layer whose jug it is in; None: in no jug, or nobody told which."""
    raw: str
    """The last line, cleaned."""
    celsius: float | None
    """As it says now, in doubt or not; None before its first number,"""
    heard_at: float | None
    """and when that was."""
    counted: float | None
    """The last that counts,"""
    counted_at: float | None
    """and when that was."""
    lie: Lie | None
    overruled: bool
    """Somebody typed otherwise, and that counts."""
    trouble: str
    """Why its source gives nothing; empty while it does."""
    interval: float
    """s between two readings, usually."""
    rate: float | None
    """K a second over the last minute; None before that is known."""
    offset: float
    """K that are added to what it says."""
    unread: bool = False
    """The last line said no temperature, or not plainly which number is one."""

    @property
    def where(self) -> str:
        """Its place in words; empty for none."""
        jug = "" if self.jug is None else str(self.jug + 1)
        return " ".join(part for part in (self.place or "", self.mould, jug) if part)

    @property
    def doubt(self) -> str:
        """Why what it says does not count, in a few words; empty where it does."""
        if self.unread:
            return tr("no temperature in it")
        if self.lie is not None:
            return LIE_WORDS[self.lie]
        return tr("typed otherwise") if self.overruled else ""

    def age(self, now: float) -> float | None:
        """s since it said anything."""
        return None if self.heard_at is None else max(0.0, now - self.heard_at)

    def counts(self, now: float) -> bool:
        """Whether what it says is the temperature of its place now."""
        fresh = self.counted_at is not None and self._since(now) <= max(FRESH, MISSES * self.interval)
        return fresh and self.lie is None and not self.overruled and self.place is not None

    def is_lost(self, now: float) -> bool:
        """Whether it was heard before, and nothing that counts has come for three usual intervals."""
        if self.counted_at is None or self.place is None or self.overruled:
            return False
        return self._since(now) > max(SILENT, MISSES * self.interval)

    def _since(self, now: float) -> float:
        """s since it counted last; long, where the clock was set back behind that."""
        since = now - (self.counted_at or 0.0)
        return since if since > -1.0 else float("inf")


@dataclass(frozen=True, slots=True)
class Kept:
    """A reading that goes on record, s since the epoch and °C; `doubt` says why it does not count, where it does not."""

    t: float
    celsius: float
    doubt: str = ""


class ProbeChannel:
    """What came from one probe, line after line."""

    def __init__(self, name: str, place: ProbeSpot | None, offset: float = 0.0) -> None:
        self.name = name
        self._spot = place
        self._offset = offset
        self._judge = ProbeJudge()
        self._significance = Significance()
        self._raw, self._unread = "", False
        self._celsius: float | None = None
        self._heard_at: float | None = None
        self._counted: tuple[float, float] | None = None
        self._gaps: deque[float] = deque(maxlen=GAPS)
        self._past: deque[tuple[float, float]] = deque(maxlen=PAST)
        self._as_said: deque[tuple[float, float]] = deque(maxlen=PAST)
        """The same without the offset, in doubt or not: what a test in ice or boiling water is made of."""
        self._overruled: tuple[float, float] | None = None
        """(s, °C) typed by somebody who was asked and said that it counts."""
        self._lies_in_a_row = 0
        self._said: Lie | None = None
        """The lie that was said already."""
        self._kept_lie: Lie | None = None
        """The lie whose first reading is on record already."""
        self._rate_at: tuple[float, float | None] = (float("-inf"), None)
        """When the rate was worked out last, and what it was."""
        self.trouble = ""

    @property
    def place(self) -> ProbeSpot | None:
        """Where it is; None while nobody has said so."""
        return self._spot

    def is_in(self, spot: ProbeSpot) -> bool:
        """Whether it is there; of jugs, where one of both was not told which, the only one."""
        own = self._spot
        if own is None or (own.place, own.mould) != (spot.place, spot.mould):
            return False
        return own.jug == spot.jug or own.jug is None or spot.jug is None

    def now(self) -> ProbeNow:
        """How it stands."""
        return ProbeNow(
            name=self.name,
            place=self._spot.place if self._spot else None,
            mould=self._spot.mould if self._spot else "",
            jug=self._spot.jug if self._spot else None,
            raw=self._raw,
            celsius=self._celsius,
            heard_at=self._heard_at,
            counted=self._counted[1] if self._counted else None,
            counted_at=self._counted[0] if self._counted else None,
            lie=self._judge.lie,
            overruled=self._overruled is not None,
            trouble=self.trouble,
            interval=self._interval(),
            rate=self._rate(),
            offset=self._offset,
            unread=self._unread,
        )

    @property
    def as_said(self) -> list[tuple[float, float]]:
        """(s, °C) of the last readings without its offset, newest last."""
        return list(self._as_said)

    # -- what a person says of it -------------------------------------------------------------------

    def put_into(self, place: ProbeSpot | None) -> None:
        """It is in another place from now on, or in none."""
        if place != self._spot:
            self._spot = place
            self._begin_anew()

    def correct(self, kelvin: float) -> None:
        """Add so many K to what it says from now on."""
        self._offset = kelvin
        self._begin_anew()

    def overrule(self, t: float, celsius: float) -> None:
        """What was typed counts, until it agrees with what is typed later."""
        self._overruled = (t, celsius)

    def agrees(self, celsius: float, now: float) -> bool | None:
        """Whether it says the same as was typed now (°C); None where it says nothing that could be compared."""
        stands = self.now()
        if stands.lie is not None or stands.counted is None or not self._is_fresh(now):
            return None
        agree = abs(stands.counted - celsius) <= DISAGREE
        if agree:
            self._overruled = None
        return agree

    def last_known(self, t: float, celsius: float) -> None:
        """What it said before the program was started, by the record."""
        self._counted = (t, celsius)

    def _is_fresh(self, now: float) -> bool:
        return self._counted is not None and now - self._counted[0] <= max(FRESH, MISSES * self._interval())

    def _begin_anew(self) -> None:
        self._judge.begin_anew()
        self._significance = Significance()
        self._past.clear()
        self._rate_at = (float("-inf"), None)
        self._counted, self._overruled, self._said, self._kept_lie = None, None, None, None
        self._lies_in_a_row = 0

    # -- what it says -------------------------------------------------------------------------------

    def heard(
        self,
        t: float,
        celsius: float | None,
        raw: str,
        around: Surroundings,
        fault: Lie | None = None,
        *,
        late: bool = False,
    ) -> list[Kept]:
        """One reading (°C as the probe says it; None with a `fault`); what of it goes on record."""
        self._raw, self._unread = raw, False
        if celsius is None:
            self._celsius, self._heard_at = None, t
            self._judge.accuse(fault or "no contact")
            self._lies_in_a_row += 1
            return []
        self._as_said.append((t, celsius))
        celsius += self._offset
        if self._heard_at is not None and t > self._heard_at:
            self._gaps.append(t - self._heard_at)
        self._celsius, self._heard_at = celsius, t
        if late:
            self._judge.accuse("late")
            lie: Lie | None = "late"
        else:
            lie = self._judge.judge(t, celsius, self._spot.place if self._spot else "room", around)
        if lie is not None:
            self._lies_in_a_row += 1
            return self._keep_first(t, celsius, lie)
        self._lies_in_a_row, self._kept_lie = 0, None
        self._counted = (t, celsius)
        if not self._past or t - self._past[-1][0] >= RATE_OVER / PAST * 2:
            self._past.append((t, celsius))
        if self._spot is None:
            return []
        if self._overruled is not None:
            return []
        return [Kept(when, c) for when, c in self._significance.take(t, celsius)]

    def unread(self, raw: str) -> None:
        """A line that says no temperature: to be shown, no more."""
        self._raw, self._unread = raw, True

    def _keep_first(self, t: float, celsius: float, lie: Lie) -> list[Kept]:
        """The first reading of each lie goes on record, with what is wrong with it."""
        if self._spot is None or lie in ("warming", "late", self._kept_lie) or not -60 <= celsius <= 400:
            return []
        self._kept_lie = lie
        return [Kept(t, celsius, tr("The probe: {lie}.", lie=lie))]

    def accuse(self, lie: Lie) -> None:
        """Whoever sees more than this probe knows what is wrong with it."""
        self._judge.accuse(lie)

    def before_and_now(self) -> tuple[float, float] | None:
        """(°C believed before, °C now) while what it says is in doubt as a jump; None else."""
        if self._judge.lie not in ("jump", "out of the wax", "warming", "swapped"):
            return None
        before = self._judge.before
        return None if before is None or self._celsius is None else (before, self._celsius)

    def news(self, units: Units) -> str:
        """A sentence about a lie that lasts, once; and that it is over. Empty where there is nothing new."""
        lie = self._judge.lie
        if lie is None:
            over, self._said = self._said, None
            return (
                tr(
                    "Probe {name} counts again: {shown}.",
                    name=self.name,
                    shown=self._shown(self._celsius, units),
                )
                if over
                else ""
            )
        if lie == self._said or self._lies_in_a_row < 2 or self._spot is None:
            return ""
        says = lie_says(
            lie,
            self.name,
            self._spot.place,
            self._shown(self._celsius, units),
            self._shown(self._judge.before, units),
        )
        if says:
            self._said = lie
        return says

    def _shown(self, celsius: float | None, units: Units) -> str:
        return "nothing" if celsius is None else show_temperature(celsius, units, 1)

    def _interval(self) -> float:
        return median(self._gaps) if self._gaps else 1.0

    def _rate(self) -> float | None:
        """K a second, the slope through the last minute's readings that count; worked out once a second."""
        if not self._past:
            return None
        last = self._past[-1][0]
        if last - self._rate_at[0] >= RATE_EVERY:
            self._rate_at = last, self._slope(last)
        return self._rate_at[1]

    def _slope(self, last: float) -> float | None:
        recent = [(t - last, c) for t, c in self._past if last - t <= RATE_OVER]
        if len(recent) < 4 or -recent[0][0] < RATE_FROM:
            return None
        mean_t = sum(t for t, _ in recent) / len(recent)
        mean_c = sum(c for _, c in recent) / len(recent)
        square = sum((t - mean_t) ** 2 for t, _ in recent)
        return sum((t - mean_t) * (c - mean_c) for t, c in recent) / square
