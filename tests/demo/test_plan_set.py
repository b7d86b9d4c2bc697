"""Plans of many kinds played to their end: nothing breaks, the record closes, every gram is somewhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.demo.day import Day
from pourday.demo.truth import truth
from pourday.store.reading import read_session
from tests.demo.plan_set import PLANS


@pytest.mark.slow
@pytest.mark.parametrize("minutes", [0, 20], ids=["on time", "late"])
@pytest.mark.parametrize("name", PLANS)
def test_a_plan_is_played_to_its_end(name: str, minutes: int, tmp_path: Path) -> None:
    said: list[str] = []
    day = Day(tmp_path, said.append, seed=7, plan=PLANS[name], late=minutes * 60.0)
    day.play()
    assert read_session(tmp_path, day.live.session).finished
    if not minutes:
        # Who comes late to everything may find a jug set; the record then says that the pour broke off.
        assert [line for line in said if "cannot follow" in line] == []
    told = truth(day.kitchen)
    assert told.accounted_g == pytest.approx(told.melted_g, abs=0.1)
    for mould in told.moulds:
        assert 0 <= mould.hollow_ml < 0.15 * mould.mould_ml
        joints = len({pour.layer for pour in day.live.state.moulds[mould.letter].pours}) - 1
        assert len(mould.welds) == joints
