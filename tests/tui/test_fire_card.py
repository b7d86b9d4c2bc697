"""The fire card is one key away on every screen, whatever is being typed there; and what it says, against what fire services publish."""

from __future__ import annotations

import pytest

from pourday.errors import Trouble
from pourday.guide.rescue.fire import BURN_FIRST, BURN_MORE, FIRE_MORE, FIRE_STEPS, fire_text
from pourday.session import events as ev
from pourday.tui.drawing.cards import draw_fire
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.terminal.keys import KeyMap, keymap, usable

F1, F2 = "\x1bOP", "\x1bOQ"


def opens(screen, key, *stands):
    """One press shows the card, Esc puts it away, and what stood there stands there again."""
    screen.wait_for(*stands)
    screen.type(key)
    screen.wait_for("Do not move the pot", "NO WATER", "Rings")
    screen.type("\x1b")
    screen.wait_gone("Do not move the pot")
    screen.wait_for(*stands)


def test_one_press_at_home_in_the_form_in_its_pages_in_settings_and_in_a_rehearsal(kitchen):
    screen = kitchen.run()
    for key in ("e", F1):
        opens(screen, key, "Three ways to begin", "FIRE")
    screen.type("/")
    opens(screen, "e", "Where everything is")
    screen.type("\x1b")
    screen.wait_for("Three ways to begin")
    screen.type(",")
    for key in ("e", F1):
        opens(screen, key, "Settings", "FIRE")
    screen.type("\x1b")
    screen.wait_for("Three ways to begin")
    screen.type("r")
    for key in ("e", F1):
        opens(screen, key, "REHEARSAL", "FIRE")
    screen.type("\x1b")
    screen.wait_for("Three ways to begin")
    screen.type("n")
    screen.wait_for("how do you weigh and measure?")
    screen.type("m")
    screen.wait_for("How high above the sea")
    opens(screen, F1, "How high above the sea", "F1 FIRE")
    screen.type("\r")
    screen.wait_for("Weigh sheet", "F1 FIRE")
    screen.type("free")
    screen.wait_for("free▏")
    opens(screen, F1, "free▏")
    screen.type(F2)
    screen.wait_for("Why the water weight")
    opens(screen, "e", "Why the water weight")
    screen.type("\x1b")
    screen.wait_gone("Why the water weight")
    screen.type("\t")
    opens(screen, "e", "e FIRE")


def test_what_is_written_at_the_stove_is_still_there_after_the_card(kitchen):
    stove = kitchen.at_the_stove()
    stove.type("nthe lid")
    opens(stove, F1, "note: the lid▏", "F1 FIRE")
    stove.type(" e\r")
    stove.until(lambda _: kitchen.facts(ev.Noted))
    assert kitchen.facts(ev.Noted)[0].text == "the lid e"
    stove.type("74")
    for key in ("e", F1):
        opens(stove, key, "74▏")


def test_a_finished_session_has_it_too(kitchen):
    screen = kitchen.run("demo", "--by-hand")
    screen.wait_for("Weigh sheet")
    review = kitchen.run("resume", kitchen.session())
    for key in ("e", F1):
        opens(review, key, "Another program")


def test_it_is_printed_without_a_folder_or_settings(kitchen):
    printed = kitchen.plain("fire")
    assert printed.returncode == 0
    assert printed.stdout.splitlines() == list(fire_text())


def test_f1_and_f2_are_nobody_elses():
    for name, key in (("note", "f1"), ("help", "f1"), ("note", "f2"), ("fire", "f2")):
        with pytest.raises(Trouble, match="on every screen"):
            usable(name, key, KeyMap())
    keys, said = keymap({"help": "f1"})
    assert not keys.own
    assert said


def test_the_card_says_what_fire_services_and_data_sheets_say():
    """Order: fire-protection association as published by local fire services (heat off, lid, leave it covered), paraffin
    wax safety data sheets (CO2, dry powder; no water jet), Kent Fire and Rescue Service (20 minutes of cool running water),
    wax safety data sheets (set wax stays on the skin)."""
    order = [
        next(i for i, step in enumerate(FIRE_STEPS) if word in step)
        for word in ("HEAT", "LID", "COVERED", "WATER")
    ]
    assert order == sorted(order)
    assert "marked B (powder or CO2), from a distance" in FIRE_MORE
    burn = " ".join((BURN_FIRST, *BURN_MORE))
    for said in ("20 minutes", "Rings", "stays on", "No ice", "not round it", "emergency number"):
        assert said in burn


@pytest.mark.parametrize("size", [(40, 12), (60, 20), (80, 24), (120, 40)])
def test_burns_are_on_it_at_every_size_and_whole_at_the_usual_one(size):
    rows = draw_fire(*size)
    text = " ".join(" ".join(text_of(row) for row in rows).split())
    assert len(rows) == size[1]
    assert all(width(row) <= size[0] for row in rows)
    assert "20 minutes" in text
    if size[0] >= 80:
        assert all(sentence in text for sentence in (FIRE_MORE, BURN_FIRST, *BURN_MORE))
