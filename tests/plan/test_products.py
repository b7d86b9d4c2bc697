"""Scents of a layer add up to its scent, whatever their shares are called."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.plan.model import Product
from pourday.plan.products import weighed_out


@given(st.lists(st.floats(0.001, 1000), min_size=1, max_size=6), st.floats(0, 10))
def test_the_parts_make_the_whole_in_their_shares(shares: list[float], kg: float) -> None:
    parts = weighed_out(kg, [Product(name=str(n), share=share) for n, share in enumerate(shares)])
    assert sum(part for _, part in parts) == pytest.approx(kg)
    for (_, part), share in zip(parts, shares, strict=True):
        assert part * sum(shares) == pytest.approx(kg * share)


def test_no_product_is_no_part() -> None:
    assert weighed_out(0.1, ()) == []
