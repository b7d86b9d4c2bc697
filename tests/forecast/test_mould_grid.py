"""The cells of a mould: they fill it exactly, grow as said, and keep its heat when they are joined or split."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.forecast import mould_grid as grids
from pourday.forecast.mould import COARSE, FINE, HeatField


def field_of(rows: int = 40, rings: int = 6, *, late: int = 25) -> HeatField:
    """A mould 100 mm high of two layers, with heat that differs from cell to cell."""
    z, r = np.linspace(0, 0.1, rows + 1), np.linspace(0, 0.04, rings + 1)
    layer = (np.arange(rows) >= late).astype(np.intp)
    heat = 1e5 + 1e5 * np.add.outer(np.linspace(0, 1, rows) ** 2, np.linspace(0, 0.3, rings))
    return HeatField(0.0, z, r, layer, heat, np.full((rows, 1), 30.0), np.full((1, rings), 25.0))


def joules(field: HeatField) -> float:
    """Heat per kg/m³: the sum of what every cell holds times its volume."""
    return float((field.heat * np.diff(field.z)[:, None] * grids.ring_areas(field.r)).sum())


@given(st.floats(0.01, 0.3), st.floats(2e-4, 5e-3), st.floats(2e-4, 5e-3), st.floats(0.0, 0.3))
def test_graded_cells_fill_the_length_and_none_is_wider_than_told(length, low, high, growth):
    edges = grids.graded(length, low, high, 0.007, growth)
    size = np.diff(edges)
    assert (edges[0], edges[-1]) == (0.0, length)
    assert (size > 0).all()
    assert size.max() <= max(0.007, length / 3) * 1.02


def test_ring_areas_add_up_to_the_circle():
    edges = np.array([0.0, 0.01, 0.025, 0.04])
    assert grids.ring_areas(edges).sum() == pytest.approx(np.pi * 0.04**2)
    assert grids.ring_areas(edges)[0] == pytest.approx(np.pi * 0.01**2)


@pytest.mark.parametrize("grid", [COARSE, FINE])
def test_joined_rows_keep_the_heat_and_never_join_two_colours(grid):
    before = field_of(rows=200, late=120)
    after = grids.merged(before, grid, grid.top)
    assert after.layer.size < before.layer.size
    assert joules(after) == pytest.approx(joules(before), rel=1e-12)
    seam = after.z[np.flatnonzero(np.diff(after.layer))[0] + 1]
    assert seam == pytest.approx(before.z[120])
    assert grids.rows_of(after.layer, 1).stop == after.layer.size


def test_settled_moulds_have_fewer_cells_alike_and_the_same_heat():
    fields = [field_of(rows=200, rings=20), field_of(rows=160, rings=20)]
    after = grids.settled(fields, COARSE)
    assert np.array_equal(after[0].r, after[1].r)
    for old, new in zip(fields, after, strict=True):
        assert new.heat.size < old.heat.size
        assert joules(new) == pytest.approx(joules(old), rel=1e-12)


def test_split_rows_are_as_thin_as_wanted_at_the_surface_and_keep_the_heat():
    before = field_of()
    after = grids.split(before, 0.01, 0.0005)
    near = after.z[1:] > after.z[-1] - 0.01 + 1e-9
    assert np.diff(after.z)[near].max() <= 0.0005 + 1e-12
    assert joules(after) == pytest.approx(joules(before), rel=1e-12)
    flat = grids.split(replace(before, heat=np.full_like(before.heat, 2e5)), 0.01, 0.0005)
    assert np.ptp(flat.heat) < 1e-6
