"""A session told in plain text: whatever was filed, the story can be told and says what counts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.demo.scenario import two_pillars
from pourday.plan.model import BlendPart, Layer, Mould, Plan
from pourday.reports.story import compared, story
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.store.clean import BadLine, written

NOON = 1_795_608_000.0


def record(*facts: Fact) -> list[Entry]:
    """The facts a minute apart after the day was begun, as a file would hold them."""
    entries: list[Entry] = []
    for fact in (ev.Opened(session="s", program="0"), ev.PlanFixed(plan=two_pillars()), *facts):
        at = ev.moment(NOON + 60 * len(entries))
        entry = Entry(seq=len(entries) + 1, at=at, logged_at=at, by="person", fact=fact)
        try:
            entries.append(written(entry)[0])
        except BadLine:
            continue
    return entries


def told(*facts: Fact) -> str:
    entries = record(*facts)
    return "\n".join(story(fold(entries), entries))


def test_a_correction_says_what_is_true_and_the_old_word_is_marked() -> None:
    text = told(
        ev.Weighed(mould="A", what="candle", kg=0.16),
        ev.Corrected(entry=3, fact=ev.Weighed(mould="A", what="candle", kg=0.61)),
    )
    assert "weighed the candle from A: 160 g  (corrected later)" in text
    assert "corrected entry 3: weighed the candle from A: 610 g" in text


def test_a_correction_that_was_taken_back_leaves_the_old_word_as_it_stood() -> None:
    text = told(
        ev.Noted(text="a draught"),
        ev.Corrected(entry=3, fact=ev.Noted(text="none")),
        ev.Undone(entry=4),
    )
    assert "note: a draught\n" in text


@pytest.mark.parametrize(("late", "said"), [(59, False), (300, True)])
def test_what_was_entered_late_says_so_from_a_minute_on(late: float, said: bool) -> None:
    entries = record(ev.Noted(text="a draught"))
    happened = ev.moment(entries[2].t - late)
    entries[2] = Entry(seq=3, at=happened, logged_at=entries[2].logged_at, by="person", fact=entries[2].fact)
    assert ("(entered 5 min later)" in "\n".join(story(fold(entries), entries))) == said


def test_what_was_taken_back_stays_readable_and_says_so() -> None:
    assert "note: a draught  (taken back)" in told(ev.Noted(text="a draught"), ev.Undone(entry=3))


@pytest.mark.parametrize("plan", [Plan(moulds=(Mould(),)), Plan(moulds=())])
def test_a_mould_that_left_the_plan_is_told_with_what_went_into_it(plan: Plan) -> None:
    text = told(
        ev.Poured(mould="B", layer=0, part="layer", kg=0.2),
        ev.PlanRevised(plan=plan),
        ev.Weighed(mould="B", what="candle", kg=0.199),
    )
    assert "What happened:" in text
    if plan.moulds:
        assert "candle               planned        -         199 g" in text


_LETTER = st.sampled_from(["", "A", "B", "Z"])
_KG = st.none() | st.floats(0, 10_000)
_WHEN = st.none() | st.floats(1e6, 7e9).map(ev.moment)
_PLAN = st.sampled_from(
    [
        Plan(),
        Plan(moulds=()),
        Plan(layers=()),
        Plan(blend=(BlendPart(wax="nobody's"),)),
        Plan(layers=(Layer(share=-1.0),), scale_step=0.0),
    ]
)
_SAID: st.SearchStrategy[Fact] = st.one_of(
    st.builds(ev.PlanRevised, plan=_PLAN),
    st.builds(
        ev.Poured,
        mould=_LETTER,
        layer=st.integers(-9, 9),
        part=st.sampled_from(["plug", "layer", "top-up"]),
        kg=_KG,
        planned_kg=_KG,
        celsius=st.none() | st.floats(-60, 400),
    ),
    st.builds(ev.Emptied, mould=_LETTER, from_layer=st.integers(-9, 9), how=st.just("ran out"), kg=_KG),
    st.builds(ev.JugMade, layer=st.integers(-9, 9), kg=_KG),
    st.builds(ev.Weighed, mould=_LETTER, what=st.sampled_from(["pour", "candle"]), kg=st.floats(0, 10_000)),
    st.builds(ev.Looked, mould=_LETTER, cue=st.sampled_from(["wet", "firm"])),
    st.builds(ev.Relieved, mould=_LETTER),
    st.builds(ev.SealSeen, mould=_LETTER, weeps=st.booleans()),
    st.builds(ev.Demoulded, mould=_LETTER, release=st.sampled_from(["stuck", "dropped out"])),
    st.builds(
        ev.Told,
        act=st.sampled_from(["look A 1", "wait look A 1", "pour 1 AB", "top-up A", "relief 0", "look under A"])
        | st.text("lok pur123²٣-", max_size=9),
        word=st.just("LOOK"),
        moulds=st.sampled_from(["", "A", "AB", "Z", "?"]),
        early=_WHEN,
        likely=_WHEN,
        late=_WHEN,
        closes=_WHEN,
    ),
    st.builds(ev.GapSeen, seconds=st.floats(-1e10, 1e10), cause=st.sampled_from(["slept", "clock changed"])),
    st.builds(ev.Undone, entry=st.integers(1, 20)),
    st.builds(ev.Corrected, entry=st.integers(1, 20), fact=st.builds(ev.Poured, mould=_LETTER, layer=st.just(-5), part=st.just("layer"))),
    st.builds(ev.Finished),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.lists(_SAID, max_size=12))
def test_any_record_can_be_told(facts: list[Fact]) -> None:
    entries = record(*facts)
    state = fold(entries)
    lines = story(state, entries)
    assert lines[: len(compared(state, entries))] == compared(state, entries)
    assert all("\n" not in line for line in lines)


def test_of_a_probe_that_reports_by_itself_some_readings_are_told_and_every_doubt() -> None:
    facts: list[Fact] = [
        ev.Reading(place="pot", celsius=60 + n / 10, probe="pot", doubt="it lies" if n == 7 else "")
        for n in range(61)
    ]
    lines = [line for line in told(*facts).split("\n") if "probe pot, by itself" in line]
    # A minute apart: one at the beginning, one every ten minutes, and the one in doubt.
    assert len(lines) == 8
    assert sum("it lies" in line for line in lines) == 1
