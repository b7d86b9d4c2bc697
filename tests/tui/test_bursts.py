"""What is typed fast, in one go or in another way than the program would write it, means what a person means."""

from __future__ import annotations

import pytest

from pourday.plan.model import Plan
from pourday.session import events as ev

FIFTY = 50


def readings(kitchen) -> list[ev.Reading]:
    return kitchen.facts(ev.Reading)


def test_a_number_and_enter_in_one_write_is_one_reading_fifty_times_of_fifty(kitchen):
    stove = kitchen.at_the_stove()
    for _ in range(FIFTY):
        stove.type("74.5\r")
        stove.pump(0.01)
    stove.type("88.5\r")
    stove.wait_for("88.5 °C")
    filed = readings(kitchen)
    assert [(r.celsius, r.typed) for r in filed] == [(74.5, "74.5")] * FIFTY + [(88.5, "88.5")]


def test_fifty_numbers_in_one_single_write_are_fifty_readings_in_order(kitchen):
    stove = kitchen.at_the_stove()
    numbers = [f"{70 + n / 10:.1f}" for n in range(FIFTY)]
    stove.type("".join(f"{number}\r" for number in numbers) + "n")
    stove.wait_for("note:")
    assert [r.typed for r in readings(kitchen)] == numbers


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [
        ("165f", (165 - 32) / 1.8),
        ("165F", (165 - 32) / 1.8),
        ("64C", 64.0),
        ("64c", 64.0),
        ("64,5", 64.5),
        ("64.5", 64.5),
        ("6\x7f74.5", 74.5),
        ("74.5f\x7f", 74.5),
    ],
)
def test_units_commas_and_corrections_do_what_a_person_means(stove_of_the_file, typed, celsius):
    """Backspace takes the last digit, or the unit, away."""
    kitchen, stove = stove_of_the_file
    before = len(readings(kitchen))
    stove.type(f"{typed}\r")
    stove.until(lambda _: len(readings(kitchen)) > before)
    (filed,) = readings(kitchen)[before:]
    assert filed.celsius == pytest.approx(celsius, abs=1e-9)
    assert filed.place == "pot"


@pytest.fixture(scope="module")
def stove_of_the_file(module_kitchen):
    """One program for all the tries: each leaves it as it found it."""
    return module_kitchen, module_kitchen.at_the_stove()


def test_esc_drops_what_is_typed_and_what_comes_next_begins_anew(stove_of_the_file):
    kitchen, stove = stove_of_the_file
    before = len(readings(kitchen))
    stove.type("99")
    stove.wait_for("pot: 99▏")
    stove.type("\x1b")
    stove.wait_gone("99▏")
    stove.type("74.5\r")
    stove.until(lambda _: len(readings(kitchen)) > before)
    assert [r.typed for r in readings(kitchen)[before:]] == ["74.5"]


@pytest.mark.parametrize(("key", "celsius"), [("f", (147 - 32) / 1.8), ("c", 147.0)])
def test_147_in_a_celsius_day_is_asked_about_and_one_key_answers(stove_of_the_file, key, celsius):
    kitchen, stove = stove_of_the_file
    before = readings(kitchen)
    stove.type("147\r")
    stove.wait_for("147: C or F?")
    assert readings(kitchen) == before
    stove.type(key)
    stove.wait_gone("147: C or F?")
    (filed,) = readings(kitchen)[len(before) :]
    assert filed.celsius == pytest.approx(celsius, abs=1e-9)
    assert filed.typed == f"147{key}"


def test_147_and_esc_files_nothing(stove_of_the_file):
    kitchen, stove = stove_of_the_file
    before = readings(kitchen)
    stove.type("147\r")
    stove.wait_for("147: C or F?")
    stove.type("\x1b")
    stove.wait_gone("147: C or F?")
    stove.wait_for("Space done")
    assert readings(kitchen) == before


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("14700", "“14700” is not a temperature for a kitchen"),
        ("äöü", "“äöü” is not a reading and not a key here."),
        ("7..4", "“7..4” is not a temperature."),
        ("-", "“-” is not a temperature."),
        ("ß", "“ß” is not a reading and not a key here."),
    ],
)
def test_nonsense_gets_one_plain_sentence_and_files_nothing(stove_of_the_file, typed, sentence):
    kitchen, stove = stove_of_the_file
    before = kitchen.entries()
    stove.type(f"{typed}\r")
    shown = stove.wait_for(sentence)
    assert "Traceback" not in shown
    assert person_said(kitchen.entries()) == person_said(before)


def test_enter_with_nothing_typed_does_nothing(stove_of_the_file):
    kitchen, stove = stove_of_the_file
    stove.type("v" * 2)
    shown = stove.wait_for("Digits start a reading of the")
    entries = person_said(kitchen.entries())
    stove.type("\r" * 5)
    # What is typed after it is shown after it.
    stove.type("n")
    stove.wait_for("note:")
    stove.type("\x1b")
    stove.wait_gone("note:")
    assert person_said(kitchen.entries()) == entries
    assert without_flash(stove.text()) == without_flash(shown)


def test_a_number_is_never_an_answer_to_a_question_that_has_no_such_answer(stove_of_the_file):
    """Digits typed while the program asks something still start a reading; the question waits."""
    kitchen, stove = stove_of_the_file
    stove.type("o")
    stove.wait_for("What happened:")
    stove.type("73.5\r")
    stove.until(lambda _: readings(kitchen) and readings(kitchen)[-1].celsius == 73.5)
    stove.type("\x1b")
    stove.wait_gone("What happened:")
    stove.wait_for("Space done")


def test_147_in_a_fahrenheit_day_is_fahrenheit_and_64_is_asked_about(kitchen):
    stove = kitchen.at_the_stove(ev.PlanRevised(plan=us_plan()))
    stove.type("147\r")
    stove.until(lambda _: readings(kitchen))
    assert readings(kitchen)[0].celsius == pytest.approx((147 - 32) / 1.8)
    stove.type("64\r")
    stove.wait_for("64: C or F?")
    stove.type("c")
    stove.until(lambda _: len(readings(kitchen)) == 2)
    assert readings(kitchen)[1].celsius == 64.0


def us_plan() -> Plan:
    import msgspec

    from pourday.demo.scenario import two_pillars

    return msgspec.structs.replace(two_pillars(), units="us")


def without_flash(text: str) -> list[str]:
    """What is said and which keys there are."""
    return text.replace("▲", " ").split("\n")[-2:]


def person_said(entries) -> list[ev.Fact]:
    return [e.fact for e in entries if e.by == "person" and not isinstance(e.fact, ev.WatchAnswered)]
