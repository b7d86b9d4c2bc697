"""Dye added to a jug that was too pale."""

from __future__ import annotations

from typing import Any

import pytest

from pourday.guide.acts.dye import SHARES, dye_question
from pourday.guide.acts.load_pot import load_pot, still_to_load
from pourday.guide.acts.stove_acts import stove_acts
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


def test_each_answer_plans_as_much_dye_as_it_says(day: Day):
    day.melted().jug(38, 0)
    before = day.state.plan.layers[0].dye_load
    asked = dye_question(day.state, day.outlook(40), 0, ())
    assert [choice.key for choice in asked.choices] == [*(key for key, _, _ in SHARES), "n"]
    for choice, (_, _, share) in zip(asked.choices, SHARES, strict=False):
        (revised,) = (fact for fact in choice.facts if isinstance(fact, ev.PlanRevised))
        assert revised.plan.layers[0].dye_load == pytest.approx(before * (1 + share))
    assert not any(isinstance(fact, ev.PlanRevised) for fact in asked.choices[-1].facts)


def test_the_pot_is_loaded_before_it_is_heated_and_not_again(day: Day):
    day.melted()
    assert not still_to_load(day.state)
    assert load_pot(day.state, day.outlook(30)) == []


def test_a_pot_that_was_never_lit_is_not_turned_off(day: Day):
    acts = stove_acts(day.state, day.outlook(0), [], day.t(0))
    assert "heat off" not in {act.kind for act in acts}
