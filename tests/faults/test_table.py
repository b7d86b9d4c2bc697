"""The tables of faults hang together, and say what a reader needs."""

from __future__ import annotations

import pytest

from pourday.errors import Trouble
from pourday.faults.table import (
    OTHER_NAMES,
    SOMETHING_ELSE,
    WHERES,
    asked,
    at,
    causes,
    fault_named,
    faults,
    weights,
)
from pourday.tui.burn.questions import DEFECTS


def test_every_fault_has_at_least_four_causes_that_are_known():
    for fault in faults().values():
        named = [each.cause for each in fault.candidates]
        assert len(set(named) - {SOMETHING_ELSE}) >= 4, fault.name
        assert len(set(named)) == len(named), fault.name
        assert set(named) <= set(causes()), (
            f"{fault.name}: give each cause of candidates.csv a row in causes.csv"
        )
        assert all(each.source for each in fault.candidates)


def test_every_cause_is_one_of_some_fault():
    """A cause that no fault can come from is never weighed nor seen."""
    named = {each.cause for fault in faults().values() for each in fault.candidates}
    assert named == set(causes()), "give each cause of causes.csv a row in candidates.csv, beside a fault"


def test_every_fault_stands_at_one_place_and_says_how_it_looks_and_what_it_is_not():
    assert {fault.where for fault in faults().values()} == set(WHERES)
    assert [fault for where in WHERES for fault in at(where)].__len__() == len(faults())
    for fault in faults().values():
        assert fault.looks, fault.name
        assert fault.confused_with, fault.name


def test_what_weighs_is_told_or_asked_for_and_no_weight_is_nothing():
    used = {key for rows in weights().values() for key in rows}
    assert used <= set(asked()), "what weighs is a row of evidence.csv"
    weighed = set(weights()) | {SOMETHING_ELSE}
    assert weighed == set(causes()), "give each cause at least one row in weights.csv, and no other"
    for rows in weights().values():
        for values in rows.values():
            assert all(0 < ratio < 100 and ratio != 1 for ratio in values.values())


def test_a_fault_that_can_hurt_has_its_caution():
    hurts = (
        "leak at the wick hole",
        "second flame",
        "cracked glass",
        "spitting",
        "wall breach",
        "tall flame",
        "hollow",
    )
    assert all(faults()[name].caution for name in hurts)


def test_other_names_lead_to_a_fault_and_an_unknown_one_is_told_with_what_there_is():
    assert set(OTHER_NAMES.values()) <= set(faults())
    assert fault_named("  Layers   Separate ").name == "join split"
    assert {fault_named(name).name for _, name in DEFECTS}
    with pytest.raises(Trouble, match="join split"):
        fault_named("split seam")
