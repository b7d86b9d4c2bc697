"""Cases from practice, as a maker's record would have them: the cause that practitioners give comes first."""

from __future__ import annotations

import pytest

from pourday.faults.change import Change, change_for
from pourday.faults.table import fault_named, weights
from pourday.faults.weigh import Diagnosis, diagnose
from pourday.plan.check import check
from pourday.plan.findings import findings
from pourday.reports.recipe import recipe
from tests.faults.days import SESSION
from tests.faults.written import CASES

CHANGES = {
    "cold second pour": "Pour the cream into A at 83 °C instead of 68 °C.",
    "second pour hours late": "Pour the cream into A 3 h 23 earlier",
    "thermometer over the boil": "Until then pour 6 °C hotter by it.",
    "a new sack": "Take a cooling curve of this lot",
    "poured onto wet wax": "later, 1 h 57 after the layer below it.",
    "wax ran down behind": "Pour the cream into A 4 h 43 earlier",
    "ice-cold mould": "Warm the mould of A to 45 °C before the first pour instead of 6 °C.",
    "cool first pour": "Pour the rust into A at 85 °C instead of 69 °C.",
    "topped up after half an hour": "Make the last top-up of A 2 h 30 later",
    "half a top-up": "Top A up with 17 g more, 28 g in all.",
    "over the line": "Pour 33 g less into A",
    "nine per cent scent": "Take 4 % scent instead of 9 %.",
    "garage in winter": "Let it cool in still air at 18 °C to 25 °C, instead of 11 °C.",
    "thin wick": "Give A a wick of 24 ply instead of flat braid, 18 ply",
    "thick wick": "Give A a wick of 42 ply instead of flat braid, 60 ply",
    "an hour each evening": "Burn A for 2 h 48 each time, instead of 60 min.",
    "water in the pot": "for 15 to 30 min and leave the last part in the pot.",
    "out after three hours": "Leave A in its mould for 9 h 07 after the last pour, instead of 2 h 00.",
    "hole not cleaned": "Clean the outside of the hole to the bare metal",
    "burned the next morning": "Let A cure for 7 days before it is burned, instead of 1 day.",
    "fan over the table": "Burn it again in still air.",
}
"""What each comes to: one change, with its size."""


@pytest.fixture(scope="module")
def diagnoses() -> dict[str, tuple[Diagnosis, Change]]:
    answers = {}
    for name, (fault, make, _) in CASES.items():
        record = make()
        diagnosis = diagnose(record, fault_named(fault))
        answers[name] = diagnosis, change_for(record, diagnosis)
    return answers


@pytest.mark.parametrize("name", CASES)
def test_the_cause_that_practitioners_give_comes_first_and_something_speaks_for_it(name, diagnoses):
    diagnosis, change = diagnoses[name]
    assert diagnosis.first.cause == CASES[name][2]
    assert diagnosis.first.odds > 0.4
    assert diagnosis.first.speaks_for
    assert CHANGES[name] in change.says


def test_there_are_cases_enough_and_of_every_place():
    assert len(CASES) >= 15
    assert {fault_named(fault).where for fault, _, _ in CASES.values()} >= {
        "join",
        "side",
        "base",
        "inside",
        "flame",
        "top",
    }


def test_the_change_stands_in_a_plan_that_can_be_poured_and_knows_what_it_was_made_after(diagnoses):
    for name in ("cold second pour", "nine per cent scent", "thin wick", "half a top-up"):
        plan = diagnoses[name][1].plan
        check(plan)
        assert plan.parent == SESSION
        assert plan.tried is not None
        assert (plan.tried.cause, plan.tried.letter) == (CASES[name][2], "A")
        (tells,) = [each for each in findings(plan) if each.about == "title"]
        assert plan.tried.says in tells.what
        assert any(row.says == plan.parent for part in recipe(plan) for row in part.rows)
    assert diagnoses["cold second pour"][1].plan.pour_c == 83.0
    assert "24 ply" in diagnoses["thin wick"][1].plan.moulds[0].wick


def test_what_a_record_tells_is_written_in_the_words_of_the_table(diagnoses):
    """A word that no weight knows speaks neither way; most of what is told here does speak."""
    known = {(key, value) for rows in weights().values() for key, values in rows.items() for value in values}
    seen = {
        (one.key, one.value)
        for diagnosis, _ in diagnoses.values()
        for one in diagnosis.evidence.values()
        if one.value
    }
    neutral = seen - known
    assert neutral <= {
        ("swing", "a little"), ("liquid", "some"), ("owed", "some"), ("remelt", "thin"), ("flame", "usual"), ("width", "usual"),
        ("material", "metal"), ("dye", "usual"), ("release", "dropped out"), ("release", "needed a tap"), ("water", "simmered"),
        ("scent_heat", "hot"),
    }  # fmt: skip
    assert len(seen & known) > 60
