"""The cells a mould is computed on: small where heat leaves and where colours meet, merged once that has passed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pourday.forecast.mould_case import Array, Case, HeatField, Resolution
from pourday.forecast.mould_outside import sheets_of


def graded(length: float, low: float, high: float, most: float, growth: float, count: int = 0) -> Array:
    """Cell edges from 0 to `length`, shape (cells + 1,), all in m.

    Cells have about the size `low` at 0 and `high` at `length` and grow from both ends by `growth` m for
    each m inwards, up to `most`. With `count` it is that many cells in the same proportions.

    >>> (1000 * graded(0.010, low=0.002, high=0.001, most=0.004, growth=0.5)).round(1).tolist()
    [0.0, 2.1, 5.0, 7.4, 9.0, 10.0]
    """
    # How many cells lie before each place is the integral of one over the size wished for there.
    x = np.linspace(0, length, 400)
    size = np.minimum(np.minimum(low + growth * x, high + growth * (length - x)), most)
    rank = np.concatenate([[0.0], np.cumsum(np.diff(x) * (1 / size[1:] + 1 / size[:-1]) / 2)])
    n = count or max(3, int(np.ceil(rank[-1] - 1e-9)))
    edges = np.interp(np.linspace(0, rank[-1], n + 1), rank, x)
    edges[0], edges[-1] = 0.0, length
    return edges


_PAST = 1200.0
"""s after a pour at which the jump of temperature at its seam has spread over several cells. Chosen."""


def rings(case: Case, grid: Resolution, count: int = 0) -> Array:
    """Edges of the rings from axis to wall in m, shape (rings + 1,); with `count` that many rings."""
    radius = case.vessel.radius
    widest = _widest_ring(radius, grid)
    return graded(radius, widest, grid.wall, widest, 2 * grid.growth, count)


def _widest_ring(radius: float, grid: Resolution) -> float:
    """m; narrower than the resolution has it in a slender mould, so that this too has rings enough."""
    return min(grid.widest, radius / 6)


def _groups(edges: Array, low: float, high: float, grid: Resolution, fewest: int = 2) -> list[int]:
    """Numbers of the edges (m) to keep, so that cells grow from `low` and `high` at the ends inwards.

    All of them where fewer than `fewest` cells would be left: a slope needs two, a parabola three.
    """
    keep, start, end = [0], edges[0], edges[-1]
    for i in range(1, edges.size - 1):
        middle = (edges[keep[-1]] + edges[i]) / 2
        wish = min(low + grid.growth * (middle - start), high + grid.growth * (end - middle), grid.widest)
        # Edges only ever go: a cell somewhat smaller than wished for is better than one nearly twice as large.
        if edges[i] - edges[keep[-1]] >= 0.75 * wish and end - edges[i] >= 0.6 * high:
            keep.append(i)
    return [*keep, edges.size - 1] if len(keep) >= fewest else list(range(edges.size))


def merged(field: HeatField, grid: Resolution, top: float, past: int = 0) -> HeatField:
    """The field on fewer rows: neighbours within a layer are joined where the grid allows; the heat stays.

    `top` is the height in m of the row at the open surface. The first `past` layers were poured long
    ago: rows at their lower ends may be larger.
    """
    last = int(field.layer[-1])
    first_rows: list[int] = []
    for k in range(last + 1):
        rows = np.flatnonzero(field.layer == k)
        first = int(rows[0])
        low = (grid.wall if k == 0 else grid.seam) * (grid.late if k < past else 1)
        high = top if k == last else grid.seam * (grid.late if k + 1 < past else 1)
        first_rows += [
            first + i for i in _groups(field.z[first : first + rows.size + 1], low, high, grid)[:-1]
        ]
    if len(first_rows) == field.layer.size:
        return field
    dz = np.diff(field.z)
    total = np.add.reduceat(dz, first_rows)
    return replace(
        field,
        z=np.append(field.z[first_rows], field.z[-1]),
        layer=field.layer[first_rows],
        heat=np.add.reduceat(field.heat * dz[:, None], first_rows, axis=0) / total[:, None],
        side_c=np.add.reduceat(field.side_c * dz[:, None], first_rows, axis=0) / total[:, None],
    )


def settled(fields: Sequence[HeatField], grid: Resolution) -> list[HeatField]:
    """The fields on fewer rows and rings, for the long cooling once the last surface has set.

    All fields have the same number of rings before and after, so that they fit one array; heat stays.
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
    """The field with rows cut to at most `size` m, down to `depth` m below the surface.

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
    """The field just after pour number `k` went on top of what is in the mould (`field`, None while empty).

    `r` are the edges of the rings, m. What lies under it is merged: its fine surface is a seam now.
    """
    p = case.pours[k]
    height = p.height_in(case.vessel.radius)
    low = grid.wall if field is None else grid.seam
    z = graded(height, low, grid.top, grid.widest, grid.growth)
    n = z.size - 1
    wall_c = case.vessel.warm_c if case.vessel.warm_c is not None else case.at(p.at_s).room_c
    fresh = np.full((n, r.size - 1), float(p.heat_curve(case.width_scale).heat_at(p.celsius)))
    # Wax has not been there yet, so the wall beside it is as warm as the mould was warmed to, or as the room.
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
    """Middle of each cell from the edges of all, shape (cells,)."""
    return (edges[1:] + edges[:-1]) / 2


def rows_of(layer: NDArray[np.intp], k: int) -> slice:
    """The rows that hold pour k, from the number of the pour in each row (`HeatField.layer`)."""
    rows = np.flatnonzero(layer == k)
    return slice(int(rows[0]), int(rows[-1]) + 1)
