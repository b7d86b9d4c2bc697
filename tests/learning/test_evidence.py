"""Rows of evidence from looks: what they bound, and that nothing is made up."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from pourday.learning.evidence import between

LOOKS = st.lists(st.tuples(st.floats(1.0, 1e5), st.booleans()), max_size=8)


def test_nobody_looked_is_no_row():
    assert between("A", 1, "carries", []) == []


@given(st.floats(1.0, 1e5), st.lists(st.floats(1.0, 1e5), min_size=1, max_size=8))
def test_honest_looks_bound_the_true_time_from_both_sides(true, times):
    (row,) = between("A", 1, "carries", [(t, t >= true) for t in times])
    assert row.after < true <= row.before
    assert row.after == max([t for t in times if t < true], default=-math.inf)
    assert row.before == min([t for t in times if t >= true], default=math.inf)


@given(LOOKS)
def test_every_end_of_a_row_is_a_look_and_no_row_ends_before_it_begins(looks):
    rows = between("A", 1, "skin", looks)
    for row in rows:
        assert row.after < row.before
        assert row.after == -math.inf or (row.after, False) in looks
        assert row.before == math.inf or (row.before, True) in looks
    assert bool(rows) == bool(looks)


@given(LOOKS)
def test_the_order_in_which_looks_were_filed_changes_nothing(looks):
    assert between("A", 1, "skin", looks) == between("A", 1, "skin", looks[::-1])
