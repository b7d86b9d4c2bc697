"""Among the settings: every change is checked, said and saved at once; what cannot be is said and changes nothing."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from pourday.store.settings import Settings, load
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.settings.controller import SettingsController, complaints
from pourday.tui.settings.layout import draw_settings

NAMES = {
    "\r": "enter",
    "\x1b": "escape",
    "\x7f": "backspace",
    " ": "space",
    "↓": "down",
    "↑": "up",
    "→": "right",
    "✗": "delete",
}


class Hands:
    """A person among the settings."""

    def __init__(self, path) -> None:
        self.path = path
        self.applied: list[Settings] = []
        self.rung: list[str] = []
        self.sound = True
        self.now = 0.0
        self.controller = SettingsController(
            load(path), lambda loaded: self.applied.append(loaded.settings), self._ring
        )

    def _ring(self, kind) -> bool:
        self.rung.append(kind)
        return self.sound

    def type(self, keys: str) -> None:
        for key in keys:
            self.now += 0.2
            self.controller.press(NAMES.get(key, key), key if key not in "\x1b\x7f\r↓↑→✗" else None, self.now)

    def go_to(self, path: str) -> None:
        self.controller.at = next(i for i, row in enumerate(self.controller.rows()) if row.path == path)

    def shown(self, cells: int = 80, rows: int = 24) -> str:
        return "\n".join(text_of(line) for line in draw_settings(self.controller, cells, rows))


@pytest.fixture
def hands(tmp_path):
    return Hands(tmp_path / "settings.toml")


def test_a_value_is_saved_when_the_row_is_left_and_counts_at_once(hands):
    hands.go_to("altitude")
    hands.type("1500 ft↓")
    assert load(hands.path).settings.altitude == pytest.approx(457.2)
    assert hands.applied[-1].altitude == pytest.approx(457.2)
    assert "Saved. altitude: 1500 ft" in hands.controller.message
    assert hands.controller.row.path == "room"


def test_what_cannot_be_taken_is_said_keeps_the_row_and_saves_nothing(hands):
    hands.go_to("room")
    hands.type("70\r")
    assert "C or F?" in hands.controller.message
    assert hands.controller.row.path == "room"
    assert not hands.path.exists()
    hands.type("\x1b↓")
    assert hands.controller.row.path == "bath"


def test_after_a_refusal_the_next_letter_begins_anew_backspace_mends_it_and_ctrl_u_takes_all_away(hands):
    hands.go_to("room")
    hands.type("banana\r")
    assert "banana" in hands.controller.message
    hands.type("2")
    assert hands.controller.text == "2"
    hands.controller.press("ctrl+u", None, 1.0)
    assert hands.controller.text == ""
    hands.type("warm\r\x7f")
    assert hands.controller.text == "war"
    hands.controller.press("ctrl+u", "\x15", 1.0)
    hands.type("21\r")
    assert load(hands.path).settings.room_c == 21.0


def test_a_choice_is_changed_by_one_key_and_delete_brings_the_usual_back(hands):
    hands.go_to("theme")
    hands.type("→")
    assert hands.applied[-1].theme == "light"
    hands.type("m")
    assert load(hands.path).settings.theme == "mono"
    hands.type("✗")
    assert load(hands.path).settings == hands.applied[-1] == Settings()


def test_the_next_key_pressed_becomes_the_new_key_and_a_taken_one_is_refused(hands):
    hands.go_to("keys.heat")
    hands.type("\rg")
    assert "taken: got it" in hands.controller.message
    hands.type("j")
    assert load(hands.path).settings.keys == {"heat": "j"}
    assert "Saved. heat: j" in hands.controller.message
    assert not hands.controller.catching
    hands.type("✗")
    assert load(hands.path).settings.keys == {}


def test_a_weighty_key_beside_a_common_one_has_to_be_pressed_twice(hands):
    hands.go_to("keys.heat")
    hands.type("\rb")
    assert (
        "b lies beside Space: a slip of the finger would be heat. Press it again" in hands.controller.message
    )
    assert not hands.path.exists()
    hands.type("x")
    assert "x lies beside" in hands.controller.message
    assert not hands.path.exists()
    hands.type("x")
    assert load(hands.path).settings.keys == {"heat": "x"}
    assert any("lies beside" in c and c.startswith("Line ") for c in complaints(load(hands.path)))


def test_escape_leaves_the_key_then_the_text_then_the_screen(hands):
    hands.go_to("keys.heat")
    hands.type("\r\x1b")
    assert not hands.controller.catching
    hands.go_to("room")
    hands.type("2\x1b")
    assert hands.controller.text is None
    assert not hands.controller.leaving
    hands.type("\x1b")
    assert hands.controller.leaving


def test_the_usual_key_cannot_come_back_while_another_has_it(hands):
    hands.path.write_text('[keys]\nheat = "j"\nnote = "h"\n')
    hands = Hands(hands.path)
    hands.go_to("keys.heat")
    hands.type("✗")
    assert "h is taken: note" in hands.controller.message
    assert load(hands.path).settings.keys == {"heat": "j", "note": "h"}


def test_bells_can_be_heard_and_a_bell_that_is_off_is_said(hands):
    hands.go_to("ring.alarm")
    hands.type("\r")
    assert hands.rung == ["alarm"]
    assert "Can you hear it" in hands.controller.message
    hands.sound = False
    hands.type("\r")
    assert "The bell is off" in hands.controller.message


def test_a_program_that_is_not_there_is_saved_and_said(hands):
    hands.go_to("alarm_command")
    hands.type("no-such-program-here 'a b'\r")
    assert hands.applied[-1].alarm_command == ("no-such-program-here", "a b")
    assert "there is no program “no-such-program-here” here" in hands.controller.message


def test_where_saving_fails_the_change_counts_and_it_is_said(hands):
    hands.path.write_text("not toml")
    hands = Hands(hands.path)
    assert "Line 1" in hands.controller.message
    hands.go_to("theme")
    hands.type("→")
    assert hands.applied[-1].theme == "light"
    assert hands.controller.message.startswith("NOT SAVED, it counts until the program ends. Line 1")
    assert hands.path.read_text() == "not toml"


def test_lines_that_do_not_count_stand_at_the_end_with_their_numbers(hands):
    hands.path.write_text('theme = "blue"\n[keys]\nheat = "5"\n')
    hands = Hands(hands.path)
    assert "Line 1: theme" in hands.controller.message
    hands.controller.press("end", None, 1.0)
    assert "Line 3: keys, heat: 5 belongs to numbers" in " ".join(hands.shown().split())


@pytest.mark.parametrize(("cells", "rows"), [(40, 12), (80, 24), (120, 40), (200, 60)])
def test_the_chosen_row_and_what_is_said_are_in_sight_at_every_size(hands, cells, rows):
    hands.path.write_text('theme = "blue"\nfoo = 3\n[keys]\nheat = "b"\n')
    hands = Hands(hands.path)
    for at in range(len(hands.controller.rows())):
        hands.controller.at = at
        drawn = draw_settings(hands.controller, cells, rows, "Wax 96 °C.")
        text = "\n".join(text_of(line) for line in drawn)
        assert len(drawn) == rows
        assert max(width(line) for line in drawn) <= cells
        assert "› " in text
        assert "▲ ALARM" in text
        assert "Esc" in text


KEYS = st.sampled_from([*"ab1 9,.-/'\"\\üg\x1b\r\x7f↓↓↑→✗", "é", "\u202e", "\x00"])


@given(st.lists(KEYS, max_size=40), st.integers(0, 40))
@hypothesis_settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_keys_leave_a_file_that_can_be_read_and_escape_leads_out(tmp_path_factory, keys, at):
    hands = Hands(tmp_path_factory.mktemp("s") / "settings.toml")
    hands.controller.at = at
    for key in keys:
        hands.type(key)
        draw_settings(hands.controller, 40, 12)
    again = load(hands.path)
    assert again.complaints == ()
    assert not hands.applied or again.settings == hands.applied[-1]
    hands.type("\x1b" * 3)
    assert hands.controller.leaving


def test_a_choice_says_what_it_is_for_and_an_empty_text_what_counts_instead(hands):
    rows = hands.controller.rows()
    hands.controller.at = next(i for i, row in enumerate(rows) if row.path == "notify")
    shown = hands.shown(80, 24)
    assert "your terminal's manual says" in shown
    assert any(line.split() == ["alarm", "program", "none"] for line in shown.split("\n"))
    hands.controller.at = 0
    assert "your terminal's manual says" not in hands.shown(80, 24)


def test_a_probe_is_added_changed_and_taken_out_on_a_row_of_its_own(hands):
    hands.go_to("probes.")
    hands.type("carrier-pigeon:9\r")
    assert "no source of readings" in hands.controller.message
    hands.controller.text = None
    hands.type("file:/tmp/pot.log\r")
    assert load(hands.path).settings.probes == {"pot": "file:/tmp/pot.log"}
    assert hands.applied[-1].probes == {"pot": "file:/tmp/pot.log"}
    assert "Saved. Probe pot" in hands.controller.message
    hands.go_to("probes.pot")
    assert "Probes on a wire" in hands.shown()
    hands.type("file:/tmp/other.log\r")
    assert load(hands.path).settings.probes == {"pot": "file:/tmp/other.log"}
    hands.go_to("probes.pot")
    hands.type("✗")
    assert load(hands.path).settings.probes == {}
    assert "taken out" in hands.controller.message


def test_a_choice_is_spelt_letter_by_letter_as_in_the_form_of_a_plan(hands):
    """“metric” ends at metric, and “light” is not left for another word by its letters; what begins no choice says so."""
    for path, typed, value in (
        ("units", "us", "us"),
        ("units", "metric", "metric"),
        ("sound", "off", "off"),
        ("sound", "on", "on"),
        ("theme", "light", "light"),
        ("theme", "mono", "mono"),
        ("theme", "dark", "dark"),
    ):
        hands.go_to(path)
        hands.now += 60.0
        hands.type(typed)
        assert hands.controller.row.value == value, typed
        assert not hands.controller.message.startswith("No choice begins so.")
    hands.now += 60.0
    hands.type("x")
    assert hands.controller.message == "No choice begins so. There is: dark, light, mono."
    assert hands.controller.row.value == "dark"


def test_a_letter_of_a_choice_that_is_being_typed_is_no_key_of_its_own(hands):
    hands.go_to("units")
    assert not hands.controller.goes_on("e", hands.now)
    hands.type("m")
    assert hands.controller.goes_on("e", hands.now), "of metric"
    assert not hands.controller.goes_on("e", hands.now + 60.0), "the fire card, a minute later"
