"""Causes weighed: what is on record moves them, what is not moves none, and outcomes of before count."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.faults.evidence import Evidence
from pourday.faults.record import TriedBefore
from pourday.faults.table import asked, causes, faults, weights
from pourday.faults.weigh import odds_words, telling, weigh

SPLIT = faults()["join split"]


def odds(evidence, before=(), fault=SPLIT):
    return {cause.cause: cause.odds for cause in weigh(fault, evidence, before).causes}


def on_record(**values):
    return {key: Evidence(key, value, f"{key} is {value}") for key, value in values.items()}


def test_without_a_record_causes_stand_as_often_as_they_are():
    plain = odds({})
    whole = sum(each.often for each in SPLIT.candidates)
    assert plain == pytest.approx({each.cause: each.often / whole for each in SPLIT.candidates})


@given(st.sampled_from(sorted(faults())), st.dictionaries(st.sampled_from(sorted(asked())), st.sampled_from(
    sorted({value for rows in weights().values() for values in rows.values() for value in values})
)))  # fmt: skip
def test_odds_are_shares_of_one_whatever_is_on_record(name, values):
    diagnosis = weigh(faults()[name], on_record(**values))
    assert sum(cause.odds for cause in diagnosis.causes) == pytest.approx(1.0)
    assert [cause.odds for cause in diagnosis.causes] == sorted(
        (c.odds for c in diagnosis.causes), reverse=True
    )


@given(st.sampled_from(sorted(faults())), st.sets(st.sampled_from(sorted(asked()))))
def test_what_was_not_recorded_counts_for_no_cause_and_is_named(name, keys):
    fault = faults()[name]
    blank = {key: Evidence(key) for key in keys}
    assert odds(blank, fault=fault) == pytest.approx(odds({}, fault=fault))
    for cause in weigh(fault, blank).causes:
        assert not cause.speaks_for
        assert not cause.speaks_against
        wanted = {asked()[key].untold for key in weights().get(cause.cause, {}) if key in keys} - {""}
        assert set(cause.not_recorded) == wanted


def test_a_cold_lip_speaks_for_a_cool_pour_and_against_no_other_by_name():
    cold = weigh(SPLIT, on_record(lip="much colder"))
    assert cold.first.cause == "poured cool"
    assert cold.first.speaks_for == ("lip is much colder",)
    assert odds(on_record(lip="as planned"))["poured cool"] < odds({})["poured cool"]


def test_an_earlier_change_that_helped_makes_its_cause_likelier_and_one_that_did_not_less():
    plain = odds({})["poured late"]
    helped = odds({}, [TriedBefore("join split", "poured late", "better")])["poured late"]
    did_not = odds({}, [TriedBefore("join split", "poured late", "same")])["poured late"]
    assert did_not < plain < helped


def test_two_that_cannot_be_told_apart_are_named_with_what_would_tell():
    diagnosis = weigh(SPLIT, {**on_record(remelt="none"), "lip": Evidence("lip"), "cue": Evidence("cue")})
    assert "cannot tell these two apart" in diagnosis.cannot_tell
    assert causes()["poured cool"].says in diagnosis.cannot_tell
    assert "Next time" in diagnosis.cannot_tell
    assert telling("poured cool", "poured late", {}) == ""


@pytest.mark.parametrize("share", [0.0, 0.04, 0.05, 0.3, 0.6, 0.86, 0.94, 0.96, 1.0])
def test_odds_have_a_word_and_a_number(share):
    assert " in " in odds_words(share)


def test_a_pour_read_about_as_hot_as_usual_speaks_for_no_cause():
    """87 °C where 85 are usual is within what two readings of one jug differ by: it can only speak against a cold or hot pour."""
    assert all(rows.get("lip", {}).get("as planned", 1.0) <= 1.0 for rows in weights().values())
