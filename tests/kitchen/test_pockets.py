"""Pockets of running wax, on rows whose answer can be counted by hand."""

from __future__ import annotations

import numpy as np

from pourday.kitchen.hollows import CARRIES, FEEDS, Hollows, pockets

ROWS = np.full(8, 0.01)


def melted(*rows: float) -> np.ndarray:
    """One ring set hard, one as given."""
    return np.column_stack([np.zeros(len(rows)), np.array(rows)])


def test_a_crust_shuts_a_pocket_and_none_leaves_it_open():
    wet, hard = 1.0, 0.0
    assert pockets(ROWS, melted(hard, wet, wet, hard, hard, wet, wet, wet)) == [(1, 3, False), (5, 8, True)]
    assert pockets(ROWS, melted(*[hard] * 8)) == []
    assert pockets(ROWS, melted(*[0.99 * FEEDS] * 8)) == []


def test_two_pockets_parted_by_less_than_a_crust_are_one():
    thin = np.array([0.01, 0.5 * CARRIES, 0.01, 0.01])
    assert pockets(thin, melted(1, 0, 1, 0)) == [(0, 3, False)]


def test_nothing_is_missing_before_anything_has_set():
    assert Hollows().volume == 0.0
