"""Cells of a mould: graded where the heat leaves and where colours meet, merged when that has passed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pourday.forecast.mould_case import Array, Case, HeatField, Resolution
from pourday.forecast.mould_outside import sheets_of


def graded(length: float, low: float, high: float, most: float, growth: float, count: int = 0) -> Array:
    """Cell edges from 0 to length: cells of size `low` and `high` at the ends, growing inwards to `most`.

    With `count` that many cells in the same proportions.
    """
    x = np.linspace(0, length, 400)
    size = np.minimum(np.minimum(low + growth * x, high + growth * (length - x)), most)
    rank = np.concatenate([[0.0], np.cumsum(np.diff(x) * (1 / size[1:] + 1 / size[:-1]) / 2)])
    n = count or max(3, int(np.ceil(rank[-1] - 1e-9)))
    edges = np.interp(np.linspace(0, rank[-1], n + 1), rank, x)
    edges[0], edges[-1] = 0.0, length
    return edges


_PAST = 1200.0
"""s after a pour at which the jump of temperature at its seam has spread over several cells."""


def rings(case: Case, grid: Resolution, count: int = 0) -> Array:
    """Edges of the rings from axis to wall, m."""
    radius = case.vessel.radius
    widest = _widest_ring(radius, grid)
    return graded(radius, widest, grid.wall, widest, 2 * grid.growth, count)


def _widest_ring(radius: float, grid: Resolution) -> float:
    """A slender mould has rings enough too."""
    return min(grid.widest, radius / 6)


def _groups(edges: Array, low: float, high: float, grid: Resolution, fewest: int = 2) -> list[int]:
    """Which of a layer's edges to keep so that its rows grow from `low` and `high` inwards.

    All of them where fewer than `fewest` cells would be left: a slope needs two, a parabola three.
    """
    keep, start, end = [0], edges[0], edges[-1]
    for i in range(1, edges.size - 1):
        middle = (edges[keep[-1]] + edges[i]) / 2
        wish = min(low + grid.growth * (middle - start), high + grid.growth * (end - middle), grid.widest)
        if edges[i] - edges[keep[-1]] >= 0.75 * wish and end - edges[i] >= 0.6 * high:
            keep.append(i)
    return [*keep, edges.size - 1] if len(keep) >= fewest else list(range(edges.size))


def merged(field: HeatField, grid: Resolution, top: float, past: int = 0) -> HeatField:
    """The field on fewer rows: neighbours of one layer are joined where the grid allows, heat and all.

    `top` is the row height wanted at the open surface; the lower ends of the first `past` layers
    may have larger rows.
    """
    last = int(field.layer[-1])
    kept: list[int] = []
    for k in range(last + 1):
        rows = np.flatnonzero(field.layer == k)
        first = int(rows[0])
        low = (grid.wall if k == 0 else grid.seam) * (grid.late if k < past else 1)
        high = top if k == last else grid.seam * (grid.late if k + 1 < past else 1)
        kept += [first + i for i in _groups(field.z[first : first + rows.size + 1], low, high, grid)[:-1]]
    if len(kept) == field.layer.size:
        return field
    dz = np.diff(field.z)
    total = np.add.reduceat(dz, kept)
    return replace(
        field,
        z=np.append(field.z[kept], field.z[-1]),
        layer=field.layer[kept],
        heat=np.add.reduceat(field.heat * dz[:, None], kept, axis=0) / total[:, None],
        side_c=np.add.reduceat(field.side_c * dz[:, None], kept, axis=0) / total[:, None],
    )


def settled(fields: Sequence[HeatField], grid: Resolution) -> list[HeatField]:
    """Fewer cells for the long cooling once the last surface has set.

    Rings are joined alike in all fields, so that they still fit one array.
    """
    late = replace(grid, seam=grid.late * grid.seam, wall=grid.late * grid.wall, growth=2 * grid.growth)
    out = [merged(f, late, 4 * grid.top) for f in fields]
    r = fields[0].r
    widest = _widest_ring(float(r[-1]), grid)
    keep = [0, *_groups(r, widest, late.wall, replace(late, widest=widest), 3)[1:-1]]
    areas = [ring_areas(f.r) for f in out]
    joined = [np.add.reduceat(a, keep) for a in areas]
    return [
        replace(
            f,
            r=np.append(f.r[keep], f.r[-1]),
            heat=np.add.reduceat(f.heat * a, keep, axis=1) / b,
            base_c=np.add.reduceat(f.base_c * a, keep, axis=1) / b,
        )
        for f, a, b in zip(out, areas, joined, strict=True)
    ]


def split(field: HeatField, depth: float, size: float) -> HeatField:
    """The field with rows of at most `size` m down to `depth` m below the surface.

    Each row's heat is spread along the slope between its neighbours; its sum stays.
    """
    dz, mid = np.diff(field.z), middles(field.z)
    slope = np.zeros_like(field.heat)
    for i in range(1, mid.size - 1):
        if field.layer[i - 1] == field.layer[i + 1]:
            slope[i] = (field.heat[i + 1] - field.heat[i - 1]) / (mid[i + 1] - mid[i - 1])
    slope[-1] = slope[-2] if field.layer[-1] == field.layer[-2] else 0.0
    near = field.z[1:] > field.z[-1] - depth
    parts = np.where(near, np.ceil(dz / size - 1e-9), 1).astype(np.intp)
    parent = np.repeat(np.arange(mid.size), parts)
    place = np.concatenate([(np.arange(n) + 0.5) / n - 0.5 for n in parts]) * dz[parent]
    return replace(
        field,
        z=np.concatenate([[0.0], np.cumsum((dz / parts)[parent])]),
        layer=field.layer[parent],
        heat=field.heat[parent] + slope[parent] * place[:, None],
        side_c=field.side_c[parent],
    )


def pour(case: Case, field: HeatField | None, k: int, grid: Resolution, r: Array) -> HeatField:
    """The field just after pour number k went on top of what is in the mould."""
    p = case.pours[k]
    height = p.height_in(case.vessel.radius)
    low = grid.wall if field is None else grid.seam
    z = graded(height, low, grid.top, grid.widest, grid.growth)
    n = z.size - 1
    wall_c = case.vessel.warm_c if case.vessel.warm_c is not None else case.at(p.at_s).room_c
    fresh = np.full((n, r.size - 1), float(p.heat_curve(case.width_scale).heat_at(p.celsius)))
    sheets, layer = len(sheets_of(case.vessel)), np.full(n, k, dtype=np.intp)
    side = np.full((n, sheets), wall_c)
    if field is None:
        return HeatField(p.at_s, z, r, layer, fresh, side, np.full((sheets, r.size - 1), wall_c))
    past = sum(q.at_s < p.at_s - _PAST for q in case.pours[:k])
    under = merged(field, grid, grid.seam, past)
    return HeatField(
        p.at_s,
        np.concatenate([under.z, under.z[-1] + z[1:]]),
        field.r,
        np.concatenate([under.layer, layer]),
        np.concatenate([under.heat, fresh]),
        np.concatenate([under.side_c, side]),
        under.base_c,
    )


def ring_areas(r: Array) -> Array:
    """Area of each ring in m²."""
    return np.asarray(np.pi * np.diff(r**2))


def middles(edges: Array) -> Array:
    return (edges[1:] + edges[:-1]) / 2


def rows_of(layer: NDArray[np.intp], k: int) -> slice:
    """The rows that hold pour k."""
    rows = np.flatnonzero(layer == k)
    return slice(int(rows[0]), int(rows[-1]) + 1)
