"""A cooling curve as it grows: pure, from readings to lines."""

from __future__ import annotations

import numpy as np

from pourday.curve.reading import CurveReading
from pourday.language import tr
from pourday.session.heap import CoolingAt
from pourday.times import MINUTE
from pourday.tui.drawing.cells import Cells, Raster, between, trace
from pourday.tui.drawing.lines import Line, fit, line
from pourday.units import Units, show_temperature

GUTTER = 7
STEP_C = 5.0
"""The scale ends on multiples of this, so that it stands still while the curve grows."""
LEAST_S = 20 * 60.0
"""s that the picture spans at least, so that its first minutes do not race across it."""


def draw_curve(
    cooling: CoolingAt,
    reading: CurveReading | None,
    cells: int,
    rows: int,
    units: Units,
    how: Cells = "braille",
) -> list[Line]:
    """`rows` lines at most of `cells`: the readings, the plateau as it is read so far, and the minutes below.

    Empty where there is no room (`rows` < 4 or `cells` < 24), or nothing was read.
    """
    if rows < 4 or cells < 24 or not cooling.readings:
        return []
    t = np.array([at - cooling.begun_at for at, _ in cooling.readings])
    celsius = np.array([value for _, value in cooling.readings])
    top = float(np.ceil((celsius.max() + 0.5) / STEP_C) * STEP_C)
    bottom = float(np.floor((celsius.min() - 0.5) / STEP_C) * STEP_C)
    across, high = cells - GUTTER, rows - 1
    raster = Raster(across, high, how)
    down, columns = raster.shape
    span = max(LEAST_S, float(t[-1]) * 1.08)
    edges = np.linspace(0.0, span, columns + 1)
    if reading is not None and reading.congealing_c is not None:
        at = np.full(columns, _row(np.array([reading.congealing_c]), top, bottom, down)[0])
        at[np.arange(columns) % 4 > 1] = -1
        raster.add(between(at, np.where(at < 0, -2, at), down), "calm")
    low, highest = trace(t, celsius, edges, join=span)
    seen = np.isfinite(low) & np.isfinite(highest)
    first = np.where(seen, _row(np.where(seen, highest, 0.0), top, bottom, down), 1)
    last = np.where(seen, _row(np.where(seen, low, 0.0), top, bottom, down), 0)
    raster.add(between(first, last, down), "glow bold")
    drawn: list[Line] = []
    for row, pieces in enumerate(raster.lines()):
        label = ""
        if row in (0, high - 1) or (high > 8 and row == high // 2):
            value = top - (top - bottom) * (0 if row == 0 else 1 if row == high - 1 else (row + 0.5) / high)
            label = show_temperature(value, units)
        drawn.append(((f"{label:>{GUTTER - 1}} ", "soft"), *pieces))
    minutes = tr("{span:.0f} min", span=span / MINUTE)
    drawn.append(fit(line(" " * GUTTER + "0" + minutes.rjust(across - 1), "soft"), cells))
    return drawn


def _row(celsius: np.ndarray[tuple[int], np.dtype[np.float64]], top: float, bottom: float, down: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:  # fmt: skip
    """Which row of dots, counted from the top, each temperature lies on."""
    share = (top - celsius) / (top - bottom)
    return np.clip(np.floor(share * down), 0, down - 1).astype(np.int64)
