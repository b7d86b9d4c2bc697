"""The plain classes behind the stove, each by itself: what is typed, asked, filed, and said before leaving."""

from __future__ import annotations

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.errors import Trouble
from pourday.guide.acts.act import Choice, Question
from pourday.guide.advice.adviser import Adviser
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.tui.stove.entry import LONGEST, PendingNumber, Target, read_timer, targets
from pourday.tui.stove.farewell import LEAVE, before_leaving, still_lit
from pourday.tui.stove.question import OpenQuestion
from pourday.tui.stove.recorder import Recorder
from pourday.tui.stove.typed import LONGEST_NOTE, PendingInput


@pytest.fixture
def recorder(tmp_path) -> Recorder:
    live = LiveSession.create(tmp_path, "2026-10-25-a", now=START)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    recorder = Recorder(live, Adviser(), None)
    recorder.look(START)
    return recorder


def poured(mould: str) -> ev.Poured:
    return ev.Poured(mould=mould, layer=0, part="layer", planned_kg=0.3)


# -- a number ----------------------------------------------------------------------------------------


def test_a_number_takes_digits_its_unit_and_no_other_letter():
    entry, said = PendingNumber().typed("7")
    assert (entry.text, said) == ("7", "")
    entry, said = entry.typed("F")
    assert (entry.unit, said) == ("f", "")
    same, said = entry.typed("x")
    assert same == entry
    assert "means nothing" in said
    assert (entry.rubbed().unit, entry.rubbed().text) == ("", "7")
    full = PendingNumber(text="1" * LONGEST)
    assert full.typed("2")[0] == full


def test_170_degrees_fahrenheit_are_76_7_celsius():
    """(170 - 32) * 5/9."""
    read = PendingNumber(text="170", unit="f").temperature("metric", "pot")
    assert read.celsius == pytest.approx((170 - 32) * 5 / 9)


def test_a_weight_in_ounces_is_its_28_35_grams_and_none_in_degrees():
    kg, typed = PendingNumber(text="10").weight("us")
    assert (kg, typed) == (pytest.approx(10 * 0.028349523125), "10 oz")
    with pytest.raises(Trouble):
        PendingNumber(text="10", unit="c").weight("us")


def test_the_newest_pour_is_the_first_that_can_be_weighed(recorder):
    live = recorder.live
    assert targets(live.state, None) == [Target("pot"), Target("jug"), Target("bath"), Target("room")]
    for minute, mould in enumerate("AB"):
        live.file(poured(mould), now=START + 60 * minute)
    assert [t.mould for t in targets(live.state, None) if t.place == "weight"] == ["B", "A"]


def test_a_timer_is_minutes_and_a_name():
    timer = read_timer("12 second wick", START)
    assert (timer.name, timer.due.timestamp()) == ("second wick", START + 720)
    assert read_timer("1,5", START).due.timestamp() == START + 90
    for wrong in ("wick", "0 wick", "-3", "99999", "nan"):
        with pytest.raises(Trouble):
            read_timer(wrong, START)


# -- what is half typed --------------------------------------------------------------------------------


def test_enter_files_the_number_and_escape_drops_it(recorder):
    typed = PendingInput(recorder)
    for key in "61":
        typed.type(key, key, START + 60)
    typed.type("escape", None, START + 60)
    assert not recorder.live.state.readings
    for key in "21":
        typed.type(key, key, START + 60)
    assert typed.type("enter", None, START + 60) is None
    assert [r.celsius for r in recorder.live.state.readings] == [21.0]
    assert "filed" in recorder.message


def test_text_from_the_clipboard_goes_into_a_note_and_nowhere_else(recorder):
    typed = PendingInput(recorder)
    typed.paste("74.5\n")
    assert typed.entry.text == ""
    typed.begin("note")
    typed.paste("two\nlines" + "x" * 400)
    assert typed.entry.text.startswith("two lines")
    assert len(typed.entry.text) == LONGEST_NOTE
    typed.write("enter", None, START + 60)
    assert [n[1][:9] for n in recorder.live.state.notes] == ["two lines"]


# -- what is asked -------------------------------------------------------------------------------------


def test_nothing_is_filed_before_the_last_answer_and_escape_goes_back_one(recorder, tmp_path):
    inner = Question("sure?", (Choice("y", "yes", (ev.Noted(text="yes"),)),))
    outer = Question("what?", (Choice("a", "this", then=inner),))
    asked = OpenQuestion(recorder, tmp_path / "copy")
    asked.ask(outer)
    asked.answer("q", "q", START + 1)
    assert "Answer with a" in recorder.message
    asked.answer("a", "a", START + 1)
    assert asked.question is inner
    assert asked.nested
    asked.answer("escape", None, START + 1)
    assert asked.question is outer
    assert not recorder.live.state.notes
    asked.answer("a", "a", START + 1)
    asked.answer("y", "y", START + 2)
    assert asked.question is None
    assert [n[1] for n in recorder.live.state.notes] == ["yes"]


# -- what is filed -------------------------------------------------------------------------------------


def test_what_is_filed_is_said_and_taken_back_and_stays_readable(recorder):
    recorder.file_all((ev.Noted(text="smells of pine"),), START + 60)
    assert recorder.message.startswith("Filed: ")
    recorder.undo(START + 120)
    assert recorder.message.startswith("Taken back: ")
    assert not recorder.live.state.notes
    assert any(isinstance(e.fact, ev.Noted) for e in recorder.live.entries)
    recorder.live.close()


# -- before leaving --------------------------------------------------------------------------------------


def test_a_burner_that_may_be_lit_needs_a_second_different_key(recorder, tmp_path):
    live = recorder.live
    live.file(ev.BurnerSet(state="off"), now=START + 1)
    assert before_leaving(live, tmp_path) is None
    for state in ("on", "unknown"):
        live.file(ev.BurnerSet(state=state), now=START + 2)
        question = still_lit(live)
        off, leave = question.choices
        assert off.facts == (ev.BurnerSet(state="off"),)
        assert (leave.key, leave.facts) == (LEAVE, ())
        assert leave.key != "q"
