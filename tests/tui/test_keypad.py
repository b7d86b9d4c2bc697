"""Numbers from every block of a keyboard, and keys of the person's own, through a real pseudo-terminal."""

from __future__ import annotations

import pytest

from pourday.session import events as ev

DIGITS = {str(n): f"\x1bO{chr(ord('p') + n)}" for n in range(10)}
"""A numeric keypad in application mode, as the DEC VT220 and xterm send it (ctlseqs, "PC-Style Function Keys", VT220)."""
POINT, COMMA, MINUS, ENTER = "\x1bOn", "\x1bOl", "\x1bOm", "\x1bOM"


def kitty(code: int, text: str = "") -> str:
    """A key as the kitty keyboard protocol reports it with its text: `CSI code ; 1 ; text u`."""
    return f"\x1b[{code};1;{ord(text)}u" if text else f"\x1b[{code}u"


KITTY_DIGITS = {str(n): kitty(57399 + n, str(n)) for n in range(10)}


def keyed(digits: dict[str, str], number: str, point: str) -> str:
    return "".join(digits.get(sign, point) for sign in number)


@pytest.fixture(scope="module")
def stove_of_the_file(module_kitchen):
    return module_kitchen, module_kitchen.at_the_stove()


@pytest.mark.parametrize(
    "keys",
    [
        keyed(DIGITS, "74.5", POINT) + ENTER,
        keyed(DIGITS, "74.5", COMMA) + ENTER,
        keyed(DIGITS, "74.5", ".") + "\r",
        "74,5\r",
        keyed(KITTY_DIGITS, "74.5", kitty(57409, ".")) + kitty(57414),
        keyed(KITTY_DIGITS, "74.5", kitty(57409, ",")) + kitty(57414),
        keyed(KITTY_DIGITS, "74.5", kitty(57416, ",")) + kitty(57414),
    ],
    ids=["point", "comma", "mixed", "plain comma", "kitty point", "kitty comma", "kitty separator"],
)
def test_a_keypad_types_a_reading_with_its_point_comma_and_enter(stove_of_the_file, keys):
    kitchen, stove = stove_of_the_file
    before = len(kitchen.facts(ev.Reading))
    stove.type(keys)
    stove.until(lambda _: len(kitchen.facts(ev.Reading)) > before)
    assert kitchen.facts(ev.Reading)[before:][0].celsius == 74.5


def test_a_key_of_the_persons_own_does_its_work_and_the_old_one_does_nothing(kitchen):
    config = kitchen.folder.parent / "settings.toml"
    config.write_text('[keys]\nnote = "j"\nfire = "f6"\nhelp = "f2"\ndone = "f5"\n')
    kitchen.env["POURDAY_CONFIG"] = str(config)
    stove = kitchen.run("resume", kitchen.begin())
    stove.wait_for("is it lit?", "F5 done", "F6 FIRE", "F2 keys")
    stove.type(" ")
    stove.wait_for("is not a reading and not a key here")
    stove.type("\x1b[15~")
    stove.wait_for("The burner is:")
    stove.type("\x1b[17~")
    stove.wait_for("NO WATER")
    stove.type("\x1b[17~")
    stove.wait_gone("NO WATER")
    stove.type("o")
    stove.wait_for("Filed: burner off.")
    stove.type("n")
    stove.wait_for("is not a reading and not a key here")
    stove.type("j")
    stove.wait_for("note:")
    stove.type("knock, joe / and 3\r")
    stove.until(lambda _: kitchen.facts(ev.Noted))
    assert kitchen.facts(ev.Noted)[0].text == "knock, joe / and 3"
    stove.type("\x1bOQ")
    shown = stove.wait_for("Keys at the stove", "F5  done")
    assert "  j  write a note" in shown


def test_help_opens_over_a_question_and_says_its_answers(kitchen):
    stove = kitchen.at_the_stove()
    stove.type("o")
    stove.wait_for("What happened:")
    stove.type("/")
    stove.wait_for("Keys at the stove", "the question stays unanswered", "poured")
    stove.type("\x1b[6~")
    stove.wait_for("Why wax has a highest temperature")
    stove.type("\x1b")
    stove.wait_for("What happened:")


def test_colours_change_while_it_runs_and_what_was_typed_waits(kitchen):
    stove = kitchen.at_the_stove()
    stove.type("k")
    stove.wait_for("Settings", "Kept in ~/.config/pourday/settings.toml")
    while "› colours" not in (shown := stove.text()):
        stove.type("\x1b[B")
        stove.until(lambda text, shown=shown: text != shown)
    stove.type("l")
    stove.wait_for("Saved. colours: light")
    stove.type("\x1b")
    stove.wait_for("Space done")
    assert "theme          light" in kitchen.plain("settings").stdout


def test_a_settings_file_that_is_wrong_is_said_by_the_command_with_its_line(kitchen):
    config = kitchen.folder.parent / "settings.toml"
    config.write_text('theme = "blue"\naltitude = "300 m"\n[keys]\nheat = "5"\n')
    done = kitchen.plain("--config", str(config), "settings")
    assert done.returncode == 1
    assert "Line 1: theme" in done.stderr
    assert "Line 4: keys, heat" in done.stderr
    assert "altitude       300 m" in done.stdout
    assert kitchen.plain("settings", "--config", str(config.parent / "none.toml")).returncode == 0


def test_what_is_wrong_in_the_settings_file_is_said_on_the_first_screen(kitchen):
    config = kitchen.folder.parent / "settings.toml"
    config.write_text('theme = "blue"\n')
    kitchen.env["POURDAY_CONFIG"] = str(config)
    kitchen.run().wait_for("Settings: Line 1: theme: “blue” is not known.")
    kitchen.run("resume", kitchen.begin()).wait_for(
        "Settings: Line 1: theme: “blue” is not known.", "is it lit?"
    )
