"""Every size of window from 40x12 up shows the word, the numbers and the keys, and a change of size loses nothing."""

from __future__ import annotations

import pytest

from pourday.session import events as ev

HEAT_ON = ("█ █ █▀▀ ▄▀▄ ▀█▀    ▄▀▄ █▄ █", "█▄█ █▄  █▄█  █     █ █ █▀▄█", "█ █ █▄▄ █ █  █     ▀▄▀ █  █")
"""HEAT ON in letters three rows high."""


@pytest.mark.parametrize(
    ("size", "wanted"),
    [
        # Its sentence with the look at the bath is whole here, so that the word is small.
        ((40, 12), ("HEAT ON", "Light the burner", "wax pot.", "burner OFF", "Space done")),
        (
            (80, 24),
            (*HEAT_ON, "burner OFF", "Stay in the room", "A tall", "B short", "Space done", "q leave"),
        ),
        ((120, 40), ("burner OFF", "Stay in the room", "A tall", "B short", "Space done", "q leave")),
    ],
    ids=["small", "usual", "large"],
)
def test_each_size_shows_what_counts_and_fills_exactly_its_window(kitchen, size, wanted):
    stove = kitchen.cold_at_the_stove(size=size)
    shown = stove.wait_for("Light the burner", *wanted)
    assert len(stove.rows()) == size[1]
    assert "Space done" in stove.rows()[-1]
    assert max(map(len, stove.rows())) <= size[0]
    stove.type("74.")
    stove.wait_for("pot: 74.▏")
    stove.type("5\r")
    stove.wait_for("74.5 °C")
    assert "Traceback" not in shown


def test_at_120x40_word_and_numbers_are_five_rows_high(kitchen):
    stove = kitchen.cold_at_the_stove(size=(120, 40))
    rows = stove.wait_for("Light the burner").split("\n")
    first = next(i for i, row in enumerate(rows) if "Light the burner" in row)
    big = [row for row in rows[:first] if "█" in row]
    assert len(big) >= 10


@pytest.mark.parametrize("size", [(40, 12), (120, 40), (30, 8), (200, 60)])
def test_a_change_of_size_in_the_middle_of_a_number_keeps_its_digits(module_kitchen, stove_of_the_file, size):
    kitchen, stove = module_kitchen, stove_of_the_file
    before = len(kitchen.facts(ev.Reading))
    stove.type("74.")
    stove.wait_for("pot: 74.▏")
    stove.resize(*size)
    stove.pump(0.4)
    stove.type("5")
    if size[0] >= 40:
        stove.wait_for("pot: 74.5▏", "Enter files", "Esc drops" if size[0] > 40 else "c f unit")
    stove.type("\r")
    stove.until(lambda _: len(kitchen.facts(ev.Reading)) > before)
    stove.resize(80, 24)
    stove.wait_for("q leave", "A tall", *HEAT_ON)
    assert [r.typed for r in kitchen.facts(ev.Reading)[before:]] == ["74.5"]


@pytest.fixture(scope="module")
def stove_of_the_file(module_kitchen):
    return module_kitchen.cold_at_the_stove()


def test_a_storm_of_sizes_down_to_one_cell_does_not_end_it(stove_of_the_file):
    stove = stove_of_the_file
    for size in [
        (1, 1),
        (20, 5),
        (2, 60),
        (300, 1),
        (39, 11),
        (40, 10),
        (71, 20),
        (72, 20),
        (100, 34),
        (80, 24),
    ]:
        stove.resize(*size)
        stove.pump(0.1)
    stove.wait_for("q leave", "A tall", *HEAT_ON)
    assert stove.process.poll() is None


SIZES = ((40, 12), (80, 24), (120, 40))


def test_home_help_and_the_fire_card_fit_every_size(kitchen):
    kitchen.begin()
    home = kitchen.run(size=(40, 12))
    home.wait_for("melt", "Enter open")
    home.type("\r")
    home.wait_for("Space done")
    for size in SIZES:
        home.resize(*size)
        home.wait_for("Space done", "is it lit?")
        home.type("e")
        home.wait_for("HEAT OFF, if you can reach it.", "NO WATER", "OUT AND CALL")
        home.type("\x1b")
        home.wait_gone("NO WATER")
        home.type("/")
        home.wait_for("Keys at the stove", "FIRE" if size[0] < 72 else "emergency", "Esc puts this away")
        if size[0] < 72:
            home.type("\x1b[B")
        home.wait_for("leave", "Esc puts this away")
        home.type("\x1b")
        home.wait_for("Space done")


def test_the_setup_form_keeps_the_chosen_row_in_sight_at_every_size(kitchen):
    form = kitchen.run("demo", "--by-hand", size=(40, 12))
    form.wait_for("› name of the session")
    for size in SIZES:
        form.resize(*size)
        for keys, chosen in (
            ("\x1b[F", "› BEGIN THE DAY"),
            ("\x1b[H", "› name of the session"),
            ("\x1b[B" * 7, "› how many"),
        ):
            form.type(keys)
            form.wait_for(chosen)
