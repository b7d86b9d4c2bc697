"""A mould in section as inline SVG, to scale: its wall, the layers up to their lines, and where the pours end."""

from __future__ import annotations

import math
from collections.abc import Sequence

from markupsafe import Markup, escape

from pourday.plan.check import height_of
from pourday.plan.model import Layer, Mould, Shape, Tapered, WaterFilled
from pourday.plan.volumes import volume, width_of
from pourday.plan.weigh import MouldSheet

_STEPS = 24
"""Points along a wall that is not straight."""


def width_at(shape: Shape, level: float) -> float:
    """m across at a height: of what is not straight, of the round one with the same area there.

    >>> round(width_at(Tapered(diameter_low=0.04, diameter_rim=0.06, height=0.10), 0.05), 4)
    0.05
    """
    if not isinstance(shape, Tapered | WaterFilled):
        return width_of(shape)
    rim = height_of(shape)
    dh = rim / 1000
    low = min(max(level - dh / 2, 0.0), rim - dh)
    area = (volume(shape, low + dh) - volume(shape, low)) / dh
    return 2 * math.sqrt(max(area, 0.0) / math.pi)


def mould_svg(
    mould: Mould, sheet: MouldSheet, layers: Sequence[Layer], mm_high: float, most_m: float
) -> Markup:
    """The section as it stands while it is poured; `most_m` (m) is the largest mould of the page, `mm_high` mm on paper.

    Every mould of a page has the same scale, so that they can be told apart by their size.
    """
    rim, scale = height_of(mould.shape), mm_high / most_m
    widest = max(width_at(mould.shape, rim * n / _STEPS) for n in range(_STEPS + 1))
    wide, high = widest * scale + 3, rim * scale + 3

    def band(low: float, top: float) -> str:
        """The outline between two heights, as points in mm on the page."""
        levels = [low + (top - low) * n / _STEPS for n in range(_STEPS + 1)]
        halves = [(width_at(mould.shape, level) * scale / 2, high - 1.5 - level * scale) for level in levels]
        left = [(wide / 2 - half, y) for half, y in halves]
        right = [(wide / 2 + half, y) for half, y in reversed(halves)]
        return " ".join(f"{x:.2f},{y:.2f}" for x, y in (*left, *right))

    parts, below = [], 0.0
    for pour in sheet.pours:
        if pour.kg:
            fill = layers[pour.layer].swatch
            parts.append(
                f'<polygon points="{band(below, pour.level)}" fill="{escape(fill)}" stroke="#000" stroke-width=".2"/>'
            )
            below = pour.level
    if sheet.plug is not None:
        y = high - 1.5 - sheet.plug.level * scale
        half = width_at(mould.shape, sheet.plug.level) * scale / 2
        parts.append(
            f'<path d="M{wide / 2 - half:.2f} {y:.2f}H{wide / 2 + half:.2f}" stroke="#000" stroke-width=".3" stroke-dasharray="1 1"/>'
        )
    parts.append(f'<polyline points="{band(0.0, rim)}" fill="none" stroke="#000" stroke-width=".6"/>')
    parts.append(f'<path d="M{wide / 2:.2f} {high - 1:.2f}V1" stroke="#000" stroke-width=".3"/>')
    label = escape(f"section of mould {sheet.letter}")
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{label}" width="{wide:.1f}mm" height="{high:.1f}mm" '
        f'viewBox="0 0 {wide:.2f} {high:.2f}">{"".join(parts)}</svg>'
    )
