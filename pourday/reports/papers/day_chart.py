"""The day on one time axis as inline SVG: pot and jugs as they were read, burner, pours, windows as told and as seen.

Stretches in which nothing happened are folded: the axis says how long each was.
"""

from __future__ import annotations

import itertools

from markupsafe import Markup, escape

from pourday.language import dated
from pourday.reports.day_page import DayPage
from pourday.times import HOUR, clock, local, span
from pourday.units import show_temperature

JOINED = HOUR / 2
"""s between two readings of the pot that a line may join: over more nobody knows what it did. An estimate of ours."""
_WIDE, _LEFT, _RIGHT = 190.0, 14.0, 3.0
"""mm of the drawing, and of its margins."""
HOTTEST = 130.0
"""°C at which the scale ends at the latest; what was read hotter stands at its end with its figure."""
_TOP = 10.0
"""mm above the temperatures, for the numbers of what was not as planned."""
_CURVES, _ROW = 62.0, 5.0
"""mm of the temperatures, and of each row below them."""


def day_chart(page: DayPage) -> Markup:
    """The drawing of a session."""
    return Markup(_Chart(page).drawn())


class _Chart:
    """One drawing: where moments and temperatures lie, in mm."""

    def __init__(self, page: DayPage) -> None:
        self.page, self.state, self.axis = page, page.state, page.axis
        state = page.state
        celsius = [r.celsius for r in state.readings if r.place in ("pot", "jug") and not r.doubt] or [
            20.0,
            90.0,
        ]
        self.low, self.high = max(-5.0, min(*celsius, 40.0) - 3), min(max(*celsius, 80.0) + 5, HOTTEST)

    def x(self, t: float) -> float:
        return _LEFT + (_WIDE - _LEFT - _RIGHT) * self.axis.at(t) / self.axis.length

    def y(self, celsius: float) -> float:
        within = min(self.high, max(self.low, celsius))
        return _TOP + (_CURVES - _TOP) * (self.high - within) / (self.high - self.low)

    def text(self, x: float, y: float, says: str, anchor: str = "start", size: float = 2.8) -> str:
        return (
            f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size}" text-anchor="{anchor}">{escape(says)}</text>'
        )

    def drawn(self) -> str:
        """The whole drawing as SVG."""
        letters = sorted(self.state.moulds)
        top = _CURVES + _ROW
        high = top + _ROW * (len(letters) + 2) + 5
        rows = [*self._folds(high), *self._degrees(), *self._burner(), *self._readings()]
        for index, letter in enumerate(letters):
            y = top + _ROW * (index + 1.5)
            rows += self._mould(letter, y)
            rows += self._demoulded(letter, y)
        for number, one in enumerate(self.page.deviating, start=1):
            rows.append(self.text(self.x(one.t), 3 + 2.8 * (number % 3), f"▼{number}", "middle", 2.4))
        rows += self._hours(high - 2)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="the day on one time axis" width="{_WIDE}mm" '
            f'height="{high:.1f}mm" viewBox="0 0 {_WIDE} {high:.2f}">{"".join(rows)}</svg>'
        )

    def _degrees(self) -> list[str]:
        rows = []
        for celsius in self._ticks():
            y = self.y(celsius)
            rows.append(f'<path d="M{_LEFT} {y:.2f}H{_WIDE - _RIGHT}" stroke="#bbb" stroke-width=".2"/>')
            rows.append(self.text(_LEFT - 1, y + 1, show_temperature(celsius, self.state.plan.units), "end"))
        return rows

    def _ticks(self) -> list[float]:
        """°C of the lines: every 20 °C, or every 40 °F, so that each has a round figure."""
        if self.state.plan.units == "metric":
            return [float(t) for t in range(-20, 200, 20) if self.low < t <= self.high]
        return [c for f in range(0, 400, 40) if self.low < (c := (f - 32) / 1.8) <= self.high]

    def _burner(self) -> list[str]:
        y = _CURVES + 1
        rows = [self.text(_LEFT - 1, y + 3, "burner", "end")]
        for lit in self.state.burner_spans:
            start, end = self.x(lit.start), self.x(lit.end if lit.end is not None else self.axis.times[-1])
            fill = "#d9631e" if lit.what == "on" else "#ccc"
            rows.append(
                f'<rect x="{start:.2f}" y="{y}" width="{max(0.3, end - start):.2f}" height="3" fill="{fill}"/>'
            )
        return rows

    def _readings(self) -> list[str]:
        """The pot as a line, broken where nobody read it for long; each jug reading as an open ring."""
        rows: list[str] = []
        pot = [r for r in self.state.readings if r.place == "pot" and not r.doubt]
        for before, after in itertools.pairwise(pot):
            if after.t - before.t <= JOINED:
                begin = f"{self.x(before.t):.2f} {self.y(before.celsius):.2f}"
                end = f"{self.x(after.t):.2f} {self.y(after.celsius):.2f}"
                rows.append(f'<path d="M{begin}L{end}" stroke="#000" stroke-width=".4" fill="none"/>')
        for reading in self.state.readings:
            if reading.place not in ("pot", "jug") or reading.doubt:
                continue
            fill = "#000" if reading.place == "pot" else "#fff"
            x, y = self.x(reading.t), self.y(reading.celsius)
            rows.append(
                f'<circle cx="{x:.2f}" cy="{y:.2f}" r=".9" fill="{fill}" stroke="#000" stroke-width=".3"/>'
            )
            if reading.celsius > self.high:
                read = show_temperature(reading.celsius, self.state.plan.units)
                rows.append(self.text(x + 1.5, y + 1, read, size=2.4))
        return rows

    def _mould(self, letter: str, y: float) -> list[str]:
        """One mould's row: windows as told as bars, what was seen as a stroke, pours as filled marks."""
        rows = [self.text(_LEFT - 1, y + 1, letter, "end")]
        for told in self.page.windows:
            if told.letter != letter:
                continue
            start, end = self.x(told.start), self.x(told.end)
            rows.append(
                f'<rect x="{start:.2f}" y="{y - 1.2:.2f}" width="{max(0.3, end - start):.2f}" height="2.4" fill="#cfe3f5" stroke="#5a86ad" stroke-width=".15"/>'
            )
            if told.came is not None:
                rows.append(
                    f'<path d="M{self.x(told.came):.2f} {y - 2:.2f}v4" stroke="#12507f" stroke-width=".5"/>'
                )
        for pour in self.page.pours:
            if pour.letter != letter:
                continue
            x, size = self.x(pour.t), 1.5 if pour.part == "layer" else 0.9
            rows.append(
                f'<path d="M{x - size:.2f} {y - size:.2f}h{2 * size:.2f}l{-size:.2f} {2 * size:.2f}z" fill="#000"/>'
            )
        return rows

    def _demoulded(self, letter: str, y: float) -> list[str]:
        """The word where a candle left its mould."""
        t = self.state.moulds[letter].demoulded_at
        return [] if t is None else [self.text(self.x(t), y + 1, "out", "middle", 2.4)]

    def _folds(self, high: float) -> list[str]:
        rows = []
        for start, end in self.axis.folds:
            left, right = self.x(start), self.x(end)
            rows.append(
                f'<rect x="{left:.2f}" y="{_TOP}" width="{right - left:.2f}" height="{high - _TOP - 5:.2f}" fill="#eee"/>'
            )
            rows.append(self.text((left + right) / 2, high - 6, span(end - start), "middle", 2.4))
        return rows

    def _hours(self, y: float) -> list[str]:
        """Clock times along the foot, as many as stand apart; the day's name where it changes."""
        rows, last, day = [], -20.0, ""
        for t in self.axis.times:
            x, today = self.x(t), f"{dated(local(t), '%a')}"
            if x - last < 14:
                continue
            says, at_end = f"{today} {clock(t)}" if today != day else clock(t), x > _WIDE - 12
            rows.append(self.text(_WIDE if at_end else x, y, says, "end" if at_end else "middle"))
            last, day = x, today
        return rows
