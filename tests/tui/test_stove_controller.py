"""What each key at the stove does, without a terminal: keys in, facts on record and sentences out."""

from __future__ import annotations

import errno
import os
from dataclasses import replace

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.acts.act import NO_ANSWER
from pourday.guide.advice.now import what_now
from pourday.session import events as ev
from pourday.store.disk import Disk
from pourday.store.live import LiveSession
from pourday.store.reading import read_session
from pourday.tui.drawing.lines import text_of
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.entry import JUG_KEYS, PLACE_KEYS, Target, targets
from pourday.tui.stove.foot import foot
from pourday.tui.terminal.held import HeldKey

NAMES = {"\r": "enter", "\x1b": "escape", " ": "space", "\t": "tab", "\x7f": "backspace", "/": "slash"}
SESSION = "2026-10-25-a"


class RefusingDisk(Disk):
    """Refuses to sync while `full`."""

    full = False

    def fsync(self, fd: int) -> None:  # noqa: ARG002
        if self.full:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


class Hands:
    """Someone at the desk: every key a second after the last unless told otherwise."""

    def __init__(self, live: LiveSession, now: float, disk: RefusingDisk) -> None:
        self.live, self.now, self.disk = live, now, disk
        self.real = 0.0
        self.held = HeldKey()
        self.controller = StoveController(live)
        self.controller.wake(0.0)
        self.controller.look(now, 0.0)

    def type(self, keys: str, every: float = 1.0) -> None:
        for key in keys:
            self.now += every
            self.real += every
            self.controller.look(self.now, self.real)
            name, character = NAMES.get(key, key), key if key not in "\x1b\x7f" else None
            # As the screen does.
            if self.held.repeats(name, self.real) and not self.controller.is_light(name, character):
                continue
            self.controller.press(name, character, self.now, self.real)
            self.controller.look(self.now, self.real)

    def wait(self, seconds: float) -> None:
        self.now += seconds
        self.real += seconds
        self.controller.look(self.now, self.real)

    def shown(self) -> str:
        shown = foot(self.controller, 80)
        return " ".join(text_of(line).strip() for line in (*shown.entry, shown.keys))

    @property
    def word(self) -> str:
        assert self.controller.advice.now is not None
        return self.controller.advice.now.word

    def asks_for_jug(self) -> None:
        """From now on the sentence asks for the jug, as far as digits go."""
        asked = self.controller._typed.places()
        jug = next(target for target in asked if target.place == "jug")
        self.controller._typed.places = lambda: [jug, *(t for t in asked if t != jug)]

    def reads(self) -> None:
        """Light the burner and wait until a reading is asked for."""
        self.type(" ")
        for _ in range(60):
            if self.word == "READ POT":
                return
            self.wait(60)
            self.type("v")
        raise AssertionError(self.word)

    def said(self) -> list[ev.Fact]:
        """What a person put on record since the day began."""
        begun = next(i for i, e in enumerate(self.live.entries) if isinstance(e.fact, ev.PlanFixed))
        by_hand = [e.fact for e in self.live.entries[begun + 1 :] if e.by == "person"]
        return [fact for fact in by_hand if not isinstance(fact, ev.WatchAnswered)]

    @property
    def readings(self) -> list[tuple[str, float]]:
        return [(f.place, f.celsius) for f in self.said() if isinstance(f, ev.Reading)]


@pytest.fixture
def hands(tmp_path):
    disk = RefusingDisk()
    live = LiveSession.create(tmp_path, SESSION, now=START, disk=disk)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    # The pot is loaded already: what comes next is the burner.
    live.file(ev.Waived(act="load pot", why="the pot is weighed and loaded"), now=START, by="program")
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    yield Hands(live, START + 1, disk)
    live.close()


# -- space ----------------------------------------------------------------------------------------------


def test_space_says_done_and_files_what_the_sentence_says(hands):
    hands.type(" ")
    assert hands.said() == [ev.BurnerSet(state="on")]
    assert hands.controller.message == "Filed: burner on."


def test_a_held_space_is_one_done(hands):
    hands.wait(1)
    hands.type(" " * 10, every=0.05)
    assert hands.said() == [ev.BurnerSet(state="on")]


def test_a_slip_within_half_a_second_does_not_answer_the_next_sentence(hands):
    """The second press would otherwise say done to what the first one brought up."""
    hands.type(" ")
    hands.live.file(ev.BurnerSet(state="off"), now=hands.now)
    hands.live.file(ev.Reading(place="pot", celsius=20.0, typed="20"), now=hands.now)
    hands.type(" ", every=0.3)
    assert hands.said().count(ev.BurnerSet(state="on")) == 1
    # Half a second was enough once; the sentence has not been read by then.
    hands.type(" ", every=0.6)
    assert hands.said().count(ev.BurnerSet(state="on")) == 1
    hands.type(" ", every=1.0)
    assert hands.said().count(ev.BurnerSet(state="on")) == 2


@pytest.mark.parametrize("tenths", range(-20, 26))
def test_space_files_nothing_new_in_the_second_and_a_half_after_the_word_changed(hands, tenths):
    """A hand on its way to Space has read the sentence before; it must not say done to the one that took its place."""
    hands.wait(30)
    assert hands.word == "HEAT ON"
    change, moment = hands.real + 3.0, hands.real + 3.0 + tenths / 10
    for tick in range(60):
        if abs(hands.real - change) < 0.01:
            hands.live.file(ev.Reading(place="pot", celsius=96.0, typed="96"), now=hands.now)
            hands.wait(0.0)
            assert hands.word not in ("HEAT ON", "WAIT")
        if abs(hands.real - moment) < 0.01:
            hands.type(" ", every=0.0)
        hands.wait(0.1)
        assert tick < 59 or hands.real > max(change, moment)
    said = [fact for fact in hands.said() if not isinstance(fact, ev.Reading)]
    if tenths < 0:
        assert said == [ev.BurnerSet(state="on")]
    elif tenths < 15:
        assert said == []
        assert "only just come up" in hands.controller.message
    else:
        assert [type(fact) for fact in said] == [ev.AlarmAcknowledged]


def test_a_sentence_that_asks_for_a_reading_answers_space_with_what_to_type(hands):
    hands.reads()
    filed = len(hands.live.entries)
    hands.type(" ", every=3.0)
    assert hands.controller.message.startswith("Type what the pot reads, like 74.5, and press Enter")
    assert len(hands.live.entries) == filed


def test_a_silent_thermometer_is_answered_by_a_reading_and_not_by_space(hands):
    hands.type("20\r ")
    hands.wait(21 * 60)
    hands.type("gv ", every=4.0)
    hands.wait(5)
    assert "silent" in hands.live.state.alarms
    filed = [type(e.fact) for e in hands.live.entries]
    hands.type(" ", every=3.0)
    assert "silent" in hands.live.state.alarms
    assert [type(e.fact) for e in hands.live.entries] == filed
    hands.type("62\r")
    assert "silent" not in hands.live.state.alarms


def test_after_two_minutes_without_a_key_space_only_wakes_the_screen(hands):
    hands.type("v")
    hands.wait(121)
    hands.type(" ", every=0.0)
    assert hands.said() == []
    assert "only woke" in hands.controller.message
    hands.type(" ")
    assert hands.said() == [ev.BurnerSet(state="on")]


def test_space_with_a_number_half_typed_does_nothing_but_say_so(hands):
    hands.type("74 ")
    assert hands.said() == []
    assert "Enter files 74" in hands.controller.message
    hands.type("\r")
    assert hands.readings == [("pot", 74.0)]


def test_what_was_said_of_a_sentence_goes_with_it(hands):
    hands.reads()
    hands.type(" ", every=3.0)
    assert hands.controller.message.startswith("Type what the pot reads")
    hands.live.file(ev.Reading(place="pot", celsius=96.0, typed="96"), now=hands.now)
    hands.wait(1)
    assert hands.word != "READ POT"
    assert hands.controller.message == ""


# -- a key held down ------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", "hz gsolntrvawquk/\r")
def test_any_key_held_for_ten_seconds_files_one_fact_at_most(hands, key):
    """`h` held for a second filed 31 burner facts, `z` took back the whole day."""
    for celsius in (40, 50, 60):
        hands.type(f"{celsius}\r")
    hands.wait(61)
    said = len(hands.said())
    before = [e for e in hands.live.entries if e.by == "person"]
    hands.type(key)
    hands.type(key * 300, every=0.033)
    assert len([e for e in hands.live.entries if e.by == "person"]) <= len(before) + 1
    assert len(hands.said()) <= said + 1


def test_digits_and_backspace_repeat_as_usual(hands):
    hands.type("1111\x7f\x7f\x7f9", every=0.03)
    hands.type("\r")
    assert hands.readings == [("pot", 19.0)]


def test_z_twice_with_a_pause_takes_two_back(hands):
    hands.type("40\r50\r60\r")
    hands.type("zz")
    assert [r.celsius for r in hands.live.state.readings] == [40.0]


# -- bringing back ----------------------------------------------------------------------------------------


def test_what_was_taken_back_comes_back_by_one_key_and_in_order(hands):
    hands.type("40\r50\r60\r")
    whole = hands.live.state.readings
    hands.type("zz")
    assert "u brings it back" in hands.controller.message
    hands.type("u")
    assert [r.celsius for r in hands.live.state.readings] == [40.0, 50.0]
    assert hands.controller.message.startswith("Brought back: read 50.0 °C in the pot")
    hands.type("u")
    assert hands.live.state.readings == whole
    hands.type("u")
    assert "nothing to bring back" in hands.controller.message
    hands.type("z")
    assert [r.celsius for r in hands.live.state.readings] == [40.0, 50.0]
    # The record keeps all of it, in the form it always had.
    assert read_session(hands.live.folder, SESSION).state == hands.live.state


def test_once_something_else_is_said_nothing_comes_back_by_surprise(hands):
    hands.type("40\r50\rz60\ru")
    assert [r.celsius for r in hands.live.state.readings] == [40.0, 60.0]
    assert "nothing to bring back" in hands.controller.message


# -- after a gap ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", "h zgsol\r")
def test_the_first_key_after_a_gap_files_nothing_and_the_next_one_does(hands, key):
    """The key that wakes a laptop, or that comes with a clock that was set, may be nobody's."""
    hands.type("40\r")
    if key == "\r":
        hands.type("50")
    entries = len(hands.live.entries)
    hands.wait(100)
    hands.controller.startle()
    hands.type(key, every=0.0)
    assert len(hands.live.entries) == entries
    assert hands.controller.question is None
    assert "only woke the screen" in hands.controller.message
    hands.type(key)
    assert len(hands.live.entries) > entries or hands.controller.question is not None or key == "g"


def test_digits_and_the_fire_card_are_there_at_once_after_a_gap(hands):
    hands.controller.startle()
    hands.type("74.5\r")
    assert hands.readings == [("pot", 74.5)]
    hands.controller.startle()
    hands.type("e")
    assert hands.controller.card == "fire"


# -- readings -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", "hgszoltnvq")
def test_no_command_key_acts_while_a_number_is_half_typed(hands, key):
    hands.type(f"74{key}")
    assert hands.controller.question is None
    assert hands.controller.card == ""
    assert hands.controller.writing == ""
    assert not hands.controller.leaving
    hands.type("\r")
    assert hands.readings == [("pot", 74.0)]


def test_tab_moves_a_reading_to_another_place_and_the_next_one_starts_afresh(hands):
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    hands.type("6\t1\r")
    hands.type("21\r")
    assert hands.readings == [("jug", 61.0), ("pot", 21.0)]


@pytest.mark.parametrize(
    ("keys", "place"),
    [
        ("p", "pot"),
        ("j", "jug"),
        ("b", "bath"),
        ("r", "room"),
        ("jbr", "room"),
        ("s", "surface"),
        ("w", "weight"),
    ],
)
def test_a_letter_says_where_a_reading_was_taken(hands, keys, place):
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    hands.live.file(ev.Poured(mould="B", layer=0, part="layer"), now=hands.now)
    hands.type(f"2{keys}1")
    assert place in hands.shown().split(":")[0]
    hands.type("\r")
    if place == "weight":
        assert [(f.mould, f.kg) for f in hands.said() if isinstance(f, ev.Weighed)] == [("B", 0.021)]
    else:
        assert hands.readings == [(place, 21.0)]


def test_the_same_letter_again_goes_to_the_next_mould(hands):
    for letter in "AB":
        hands.live.file(ev.Poured(mould=letter, layer=0, part="layer"), now=hands.now)
    hands.type("61s")
    first = hands.controller.target()
    hands.type("s")
    assert {first.mould, hands.controller.target().mould} == {"A", "B"}
    hands.type("s\r")
    assert [(f.place, f.mould) for f in hands.said() if isinstance(f, ev.Reading)] == [
        ("surface", first.mould)
    ]


def test_a_place_that_is_not_there_yet_is_said_and_none_is_taken(hands):
    hands.type("61s")
    assert "There is no surface" in hands.controller.message
    hands.type("\r")
    assert hands.readings == [("pot", 61.0)]


@pytest.mark.parametrize("drop", ["\x1b", "\x7f\x7f\x1b"])
def test_a_place_goes_back_when_the_number_is_dropped(hands, drop):
    hands.type("61b" + drop)
    assert hands.controller.target().name == "pot"
    hands.type("\t\x1b")
    assert hands.controller.target().name == "pot", "chosen before any digit"
    assert not hands.controller.leaving


def test_digits_go_where_they_went_while_the_hand_is_on_its_way(hands):
    """The sentence changes between the look at the thermometer and the first digit, or between two digits."""
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    hands.wait(10)
    hands.type("7")
    hands.asks_for_jug()
    hands.wait(20)
    assert hands.controller.target().name == "pot", "a number has its place from its first digit on"
    hands.type("0\r")
    assert hands.readings == [("pot", 70.0)]
    hands.wait(1)
    assert hands.controller.target().name == "pot"
    hands.wait(3)
    assert hands.controller.target().name == "jug"


# -- a reading that cannot be -----------------------------------------------------------------------------


def two_jugs(hands) -> None:
    """Rust and cream are drawn, and stand in the bath."""
    for layer in (0, 1):
        hands.live.file(ev.JugMade(layer=layer), now=hands.now)
    hands.wait(10)


def in_jugs(hands) -> list[tuple[int | None, float]]:
    return [(f.jug, f.celsius) for f in hands.said() if isinstance(f, ev.Reading) and f.place == "jug"]


def test_two_places_of_one_bath_that_read_otherwise_are_said_and_both_kept(hands):
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    hands.live.file(ev.BurnerSet(state="low"), now=hands.now)
    hands.now += 1500.0
    hands.live.file(ev.Reading(place="pot", celsius=86.0), now=hands.now)
    hands.controller.look(hands.now, hands.real)
    hands.type("79.0j\r")
    assert hands.controller.message.startswith("jug: 79.0 °C filed. But the pot read 86.0 °C just before")
    assert [r.celsius for r in hands.live.state.readings if not r.doubt][-2:] == [86.0, 79.0]


def test_with_one_jug_a_reading_is_its_and_nobody_is_asked(hands):
    hands.live.file(ev.JugMade(layer=1), now=hands.now)
    hands.type("7j8")
    assert hands.shown().startswith("jug: 78")
    hands.type("\r")
    assert in_jugs(hands) == [(1, 78.0)]
    assert hands.controller.question is None


@pytest.mark.parametrize(("letter", "layer", "name"), [("j", 0, "rust"), ("k", 1, "cream")])
def test_of_several_jugs_each_has_a_letter_that_is_drawn_beside_the_digits(hands, letter, layer, name):
    two_jugs(hands)
    hands.type("7")
    assert "j rust" in hands.shown()
    assert "k cream" in hands.shown()
    hands.type(f"{letter}8")
    assert hands.shown().startswith(f"{name} jug: 78")
    hands.type("\r")
    assert in_jugs(hands) == [(layer, 78.0)]
    assert f"{name} jug: 78" in hands.controller.message


@pytest.mark.parametrize("cells", [40, 60, 80, 120])
def test_every_letter_of_a_place_is_seen_in_any_window(hands, cells):
    two_jugs(hands)
    hands.live.file(ev.Poured(mould="A", layer=0, part="layer"), now=hands.now)
    hands.type("7")
    rows = [text_of(row) for row in foot(hands.controller, cells).entry]
    assert all(len(row) <= cells for row in rows)
    for letter, place in hands.controller.place_letters():
        assert f" {letter} {place}" in " ".join(["", *rows])


def test_digits_go_to_the_jug_that_the_sentence_asks_for(hands):
    """The colour is to be looked at on paper: its own jug is meant, whichever was read last."""
    two_jugs(hands)
    asked = {a.layer: a for a in hands.controller.advice.acts if a.kind == "drop"}
    for layer in (1, 0):
        target = targets(hands.live.state, asked[layer])[0]
        assert (target.place, target.jug) == ("jug", layer)


def test_waiting_for_a_jug_to_be_read_digits_go_to_that_jug_already(hands):
    """The second jug is read next: whoever types the moment it is asked for means that one, and so it was before."""
    two_jugs(hands)
    act = next(a for a in hands.controller.advice.acts if a.kind == "drop" and a.layer == 1)
    read = replace(act, kind="read", word="READ JUG CREAM", due=hands.now + 300)
    coming = what_now(hands.live.state, hands.controller.advice.outlook, [read], hands.now).act
    assert coming.kind == "wait"
    assert [targets(hands.live.state, each)[0].jug for each in (coming, read)] == [1, 1]


def asking_to_read(hands, layer: int) -> None:
    """The sentence asks for a reading of that jug, and digits go where they went before: into the pot."""
    advice = hands.controller.advice
    act = next(a for a in advice.acts if a.kind == "drop" and a.layer == layer)
    read = replace(act, kind="read", word="READ JUG CREAM")
    typed = hands.controller._typed
    typed._recorder.advice = replace(advice, now=replace(advice.now, act=read))
    typed._place = Target("pot")


def test_a_number_typed_while_another_place_is_asked_for_is_asked_about(hands):
    """READ JUG stood there in large for two seconds, and 89 was filed of a pot with nothing in it."""
    two_jugs(hands)
    asking_to_read(hands, 1)
    typed = hands.controller._typed
    for digit in "87":
        typed.type(digit, digit, hands.now)
    question = typed.type("enter", None, hands.now)
    assert question is not None
    assert question.asks.startswith("87.0 °C in the pot? The sentence asks for the cream jug.")
    answers = {choice.key: choice.facts[0] for choice in question.choices}
    assert (answers["k"].place, answers["k"].jug) == ("jug", 1)
    assert answers["y"].place == "pot"
    assert typed.target() == Target("jug", jug=1), "the next number is meant for what the sentence asks"
    typed._place = Target("pot")
    # Who says by a letter where it was read is not asked again.
    for digit in "87p":
        typed.type(digit, digit, hands.now)
    assert typed.type("enter", None, hands.now) is None


def test_the_jug_is_no_place_any_more_once_there_are_two(hands):
    """READ JUG PLUM was answered by a reading of `the jug`, of no colour, right after the second one was made."""
    two_jugs(hands)
    typed = hands.controller._typed
    typed._place = Target("jug")
    typed.follow(hands.real, hands.real)
    assert typed.target() in typed.places()


def test_a_jug_is_moved_in_a_few_keys_and_says_where_it_stands(hands):
    two_jugs(hands)
    hands.type("ob2")
    assert "The cream jug is now:" in hands.shown()
    hands.type("o")
    assert hands.live.state.jugs[1].where == "bench"
    assert hands.live.state.jugs[0].where == "bath"
    hands.type("z")
    assert hands.live.state.jugs[1].where == "bath"


def test_no_letter_of_a_place_is_a_unit_or_works_at_all_times():
    letters = [*PLACE_KEYS, *JUG_KEYS]
    assert len(set(letters)) == len(letters) - 1, (
        "only j stands in both: the one jug, and the first of several"
    )
    assert not {"c", "f", "y"} & set(letters), "units, and the yes of the question about a place"
    assert not NO_ANSWER & set(JUG_KEYS)


def test_a_jug_that_is_not_there_yet_is_asked_about(hands):
    hands.type("61j\r")
    assert hands.readings == []
    assert "No jug is drawn yet" in hands.shown()
    hands.type("p")
    assert hands.readings == [("pot", 61.0)]
    hands.type("62j\r")
    hands.type("y")
    assert hands.readings == [("pot", 61.0), ("jug", 62.0)], "the person decides"
    hands.type("63j\r\x1b")
    assert len(hands.readings) == 2


def test_a_set_surface_as_hot_as_a_pot_is_asked_about(hands):
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    hands.live.file(ev.Poured(mould="A", layer=0, part="layer"), now=hands.now)
    hands.type("90s\r")
    assert hands.readings == [("surface", 90.0)], "just poured"
    hands.live.file(ev.Looked(mould="A", cue="skinned"), now=hands.now)
    hands.type("97.9s\r")
    assert hands.readings == [("surface", 90.0)]
    assert "A has set on top" in hands.shown()
    hands.type("j")
    assert hands.readings[-1] == ("jug", 97.9)
    hands.type("58s\r")
    assert hands.readings[-1] == ("surface", 58.0)


def test_a_number_of_doubtful_unit_is_asked_about_its_place_as_well(hands):
    hands.type("147j\r")
    hands.type("f")
    assert hands.readings == []
    assert "No jug is drawn yet" in hands.shown()
    hands.type("p")
    assert hands.readings == [("pot", pytest.approx(63.888889))]


def test_digits_answer_a_question_that_offers_them_and_else_start_a_reading(hands):
    hands.type("s")
    assert hands.controller.question is not None
    hands.type("2")
    (away,) = hands.said()
    assert isinstance(away, ev.WentAway)
    hands.type("s")
    hands.type("o")
    hands.type("73\r")
    assert hands.readings == [("pot", 73.0)]
    assert hands.controller.question is not None


def test_147_is_asked_about_and_any_other_key_leaves_it_asked(hands):
    hands.type("147\r")
    assert hands.readings == []
    hands.type("x")
    assert hands.readings == []
    assert hands.controller.question is not None
    hands.type("f")
    assert hands.readings == [("pot", pytest.approx(63.888889))]
    assert hands.controller.question is None


@pytest.mark.parametrize(
    ("typed", "words"), [("14700\r", "is not a temperature"), ("1.2.3\r", "is not a temp")]
)
def test_a_figure_that_cannot_be_is_one_sentence_and_gone(hands, typed, words):
    hands.type(typed)
    assert words in hands.controller.message
    assert hands.said() == []
    hands.type("\r")
    assert hands.said() == []
    assert words in hands.controller.message, "an Enter with nothing typed takes no sentence away"


def test_a_stuck_key_is_a_dozen_characters_and_no_reading(hands):
    hands.type("7" * 200, every=0.01)
    assert len(hands.controller.entry.text) == 12
    hands.type("\r")
    assert hands.said() == []


@pytest.mark.parametrize("before", ["14700\r", "-\r", "ß\x1b", ""])
def test_nonsense_letters_are_quoted_as_they_were_typed_and_nothing_else(hands, before):
    hands.type(before)
    hands.type("äöü")  # letters that no key of the program can have
    assert (
        hands.controller.message.startswith("“äöü” is not a reading and not a key here.") or before == "ß\x1b"
    )
    assert hands.said() == []


def test_an_arabic_or_full_width_digit_never_files_a_wrong_number(hands):
    hands.type("７４\r")
    hands.type("٧٤\r")
    assert hands.readings == []


# -- undo, questions, cards ------------------------------------------------------------------------------


def test_undo_takes_back_the_newest_thing_a_person_said_and_then_the_one_before(hands):
    hands.type(" ")
    hands.type("21\r")
    hands.type("z")
    assert "Taken back: read 21" in hands.controller.message
    assert hands.live.state.readings == ()
    hands.type("z")
    assert "Taken back: burner on" in hands.controller.message
    assert hands.live.state.burner == "off"
    hands.type("z")
    assert hands.controller.message == "There is nothing to take back."
    assert [r for r in hands.live.entries if isinstance(r.fact, ev.Reading)], "it stays readable"


def test_esc_leaves_a_question_a_note_a_card_and_a_choice_and_files_nothing(hands):
    for opened in ("o", "l", "s", "n", "t", "/", "e", "hq"):
        hands.type(opened)
        hands.type("\x1b")
        assert hands.controller.question is None
        assert hands.controller.writing == ""
        assert hands.controller.card == ""
        assert not hands.controller.leaving
    assert hands.said() == [ev.BurnerSet(state="on")]


def test_esc_inside_nested_questions_steps_back_one_question_at_a_time(hands):
    hands.type("o")
    first = hands.controller.question
    hands.type("l")
    second = hands.controller.question
    hands.type("a")
    assert hands.controller.question not in (first, second, None)
    hands.type("x\x1b")
    assert hands.controller.question is second
    assert hands.controller.message == ""
    hands.type("\x1b")
    assert hands.controller.question is first
    hands.type("\x1b")
    assert hands.controller.question is None
    assert hands.said() == []


def test_esc_does_not_step_back_behind_an_answer_that_is_filed(hands):
    """What was filed is taken back with z; asking for it again would look as if it had not been."""
    hands.type("hso")
    assert hands.said() == [ev.BurnerSet(state="on"), ev.BurnerSet(state="off")]
    assert hands.controller.question is not None
    hands.type("\x1b")
    assert hands.controller.question is None


def test_after_a_question_from_elsewhere_esc_leads_out_and_not_into_an_older_one(hands):
    hands.type("ol")
    hands.controller.leave()
    assert hands.controller.leaving
    hands.type("l\x1b")
    assert hands.controller.question is None


@pytest.mark.parametrize("asked", ["o", "l", "r", "ol", "hs", "hq"])
def test_the_low_flame_works_while_something_is_asked(hands, asked):
    hands.type(asked)
    assert hands.controller.question is not None
    hands.type("d")
    assert hands.controller.question is None
    assert hands.live.state.burner == "low"


@pytest.mark.parametrize("asked", ["o", "l", "r", "ol", "hs", "hq"])
def test_burner_away_and_undo_work_while_something_is_asked(hands, asked):
    hands.type("20\r")
    for key in "hzsg":
        hands.type(asked)
        assert hands.controller.question is not None
        burner, said = hands.live.state.burner, hands.said()
        hands.type(key)
        if key == "h":
            assert hands.live.state.burner != burner
        elif key == "z":
            assert "Taken back" in hands.controller.message
        elif key == "s":
            assert "Back in:" in hands.controller.question.asks or "Leaving" in hands.controller.question.asks
        else:
            assert hands.controller.message == "No alarm is waiting to be acknowledged."
            assert hands.said() == said
        hands.type("\x1b")
        assert hands.controller.question is None
        if hands.live.state.burner == "on":
            hands.type("h")


def test_a_new_alarm_puts_a_question_away_and_its_key_works_over_the_next_one(hands):
    hands.type(" 85\r")
    hands.wait(60)
    hands.type("o")
    filed = len(hands.said())
    # As another program, or a probe, would file it: nobody touched a key.
    hands.live.file(ev.Reading(place="pot", celsius=96.0, typed="96"), now=hands.now)
    hands.wait(1)
    assert hands.live.state.alarms
    assert hands.controller.question is None
    assert "put away" in hands.controller.message
    assert len(hands.said()) == filed + 1
    hands.type("og")
    assert hands.controller.question is None
    assert all(alarm.acknowledged_at is not None for alarm in hands.live.state.alarms.values())


def test_esc_at_the_top_of_the_stove_does_nothing(hands):
    for _ in range(3):
        hands.type("\x1b")
        assert not hands.controller.leaving
        assert hands.controller.question is None
    hands.type("q")
    assert hands.controller.leaving


def test_the_fire_card_opens_over_a_question_with_one_key(hands):
    hands.type("o")
    hands.type("e")
    assert hands.controller.card == "fire"
    hands.type("\x1b")
    assert hands.controller.card == ""


def test_the_fire_card_opens_over_a_half_typed_number_which_is_still_there_afterwards(hands):
    hands.type("74e")
    assert hands.controller.card == "fire"
    hands.type("\x1b")
    hands.type("\r")
    assert hands.readings == [("pot", 74.0)]


def test_a_note_takes_every_letter_and_command_key_as_text_and_cleans_it(hands):
    hands.type("n")
    hands.type("heat q z 74.5 e/\u202e\x1b")
    hands.type("n")
    hands.type("seam\u202e soft  q\r")
    assert hands.said() == [ev.Noted(text="seam soft q")]


def test_an_unknown_burner_is_asked_about_not_toggled(hands):
    hands.live.file(ev.Reopened(program="0", away=60), now=hands.now, by="program")
    hands.type("h")
    assert hands.live.state.burner == "unknown"
    hands.type("l")
    assert hands.live.state.burner == "on"


def test_any_key_answers_the_watch_but_not_more_than_once_a_minute(hands):
    hands.type(" ")
    hands.wait(61)
    hands.type("vvvv")
    answers = [e for e in hands.live.entries if isinstance(e.fact, ev.WatchAnswered)]
    assert len(answers) == 1


def test_looking_again_and_again_tells_the_same_thing_once(hands):
    """A quarter second's tick is no news: the record grows by what happens, not by how long one waits."""
    hands.type(" ")
    before = len(hands.live.entries)
    for _ in range(40):
        hands.wait(0.25)
    assert len(hands.live.entries) - before <= 1


# -- leaving --------------------------------------------------------------------------------------------


def test_leaving_with_the_burner_off_asks_nothing(hands):
    hands.type("q")
    assert hands.controller.leaving


def test_leaving_with_the_burner_lit_needs_the_second_different_key(hands):
    hands.type(" ")
    hands.type("qqqq")
    assert not hands.controller.leaving
    hands.type("x")
    assert hands.controller.leaving


def test_leaving_says_of_the_burner_only_what_is_known(hands):
    hands.type(" q")
    assert hands.controller.question.asks == "The burner is lit. Turn it off before you go."
    hands.type("\x1b")
    hands.live.file(ev.Reopened(program="0", away=60), now=hands.now, by="program")
    hands.type("q")
    assert hands.controller.question.asks.startswith("Nobody knows whether the burner is off.")


def test_a_key_is_told_apart_from_the_figure_it_stands_for(hands):
    """Without colours "1 5 min" reads as fifteen."""
    hands.type("s")
    shown = hands.shown()
    assert "1: 5 min" in shown
    assert "2: 15 min" in shown
    hands.type("2")
    assert [fact.back_by.timestamp() - hands.now for fact in hands.said()] == [pytest.approx(900, abs=2)]


def test_turning_the_burner_off_on_leaving_still_waits_for_the_next_leave(hands):
    hands.type(" ")
    hands.type("qo")
    assert not hands.controller.leaving
    assert hands.live.state.burner == "off"
    hands.type("q")
    assert hands.controller.leaving


def test_the_leaving_key_answers_no_other_question(hands):
    hands.type(" ")
    hands.type("o")
    hands.type("x")
    assert not hands.controller.leaving


# -- a disk that refuses ----------------------------------------------------------------------------------


def test_a_refused_entry_is_shown_as_not_saved_with_the_reason_and_stays_in_order(hands, tmp_path):
    hands.disk.full = True
    for number in ("21", "22.5", "24"):
        hands.type(f"{number}b\r")
    assert hands.shown().startswith("NOT SAVED (3")
    assert "The disk is full." in hands.shown()
    assert [e.fact.celsius for e in hands.live.unsaved if isinstance(e.fact, ev.Reading)] == [
        21.0,
        22.5,
        24.0,
    ]
    assert not [e for e in read_session(tmp_path, SESSION).entries if isinstance(e.fact, ev.Reading)][1:]
    hands.disk.full = False
    assert hands.live.retry()
    kept = read_session(tmp_path, SESSION).entries
    assert kept == tuple(hands.live.entries)
    assert [e.fact.celsius for e in kept if isinstance(e.fact, ev.Reading)] == [21.0, 22.5, 24.0]
    assert "NOT SAVED" not in hands.shown()


def test_no_sentence_confirms_what_is_not_saved(hands):
    hands.disk.full = True
    hands.type("61b\r")
    assert "filed" not in hands.shown().lower()
    hands.type("h")
    assert "filed" not in hands.shown().lower()
    hands.type("nabc\r")
    assert "filed" not in hands.shown().lower()


def test_not_saved_stays_in_sight_while_something_is_typed_or_asked(hands):
    hands.disk.full = True
    hands.type("61b\r")
    for keys in ("7", "\x7f", "o", "\x1b", "n", "\x1b"):
        hands.type(keys)
        assert "NOT SAVED" in hands.shown(), repr(keys)


def test_what_is_asked_or_typed_can_be_seen_while_entries_are_not_saved(hands):
    hands.disk.full = True
    hands.type("61b\r")
    hands.type("74")
    assert "74▏" in hands.shown()
    hands.type("\x1b")
    hands.type("q")
    assert "leave, losing them" in hands.shown()


def test_leaving_while_entries_are_not_saved_needs_a_second_different_key(hands):
    hands.disk.full = True
    hands.type("61b\r")
    hands.type("qqq\r")
    assert not hands.controller.leaving
    hands.type("r")
    assert not hands.controller.leaving
    hands.type("q")
    hands.type("x")
    assert hands.controller.leaving


def test_leaving_unsaved_entries_behind_still_asks_for_a_lit_burner(hands):
    hands.type(" ")
    hands.disk.full = True
    hands.type("61b\r")
    hands.type("qx")
    assert not hands.controller.leaving
    assert "burner" in hands.controller.question.asks
    hands.type("x")
    assert hands.controller.leaving


def test_while_entries_are_not_saved_the_program_puts_nothing_of_its_own_between(hands):
    hands.disk.full = True
    hands.type("61b\r")
    count = len(hands.live.unsaved)
    for _ in range(20):
        hands.wait(30)
    assert len(hands.live.unsaved) == count


# -- a session that can only be read ------------------------------------------------------------------------


def test_read_only_no_key_files_anything_and_the_reason_is_said(hands, tmp_path):
    live = LiveSession.open(tmp_path, SESSION, now=hands.now)
    assert live.readonly
    looker = Hands(live, hands.now, hands.disk)
    count = len(live.entries)
    assert "READ ONLY" in looker.shown()
    for keys in (" ", "74.5\r", "h", "z", "g", "nnote\r", "t5\r", "\x1b"):
        looker.type(keys)
        assert len(live.entries) == count
    assert not looker.controller.leaving or looker.live.state.burner == "off"


def test_what_was_filed_is_confirmed_before_the_guide_is_asked_what_follows(hands, monkeypatch):
    hands.type("20.5")
    asked = []
    advise = hands.controller.adviser.advise
    monkeypatch.setattr(
        hands.controller.adviser, "advise", lambda *about: asked.append(about) or advise(*about)
    )
    hands.controller.press("enter", "\r", hands.now, hands.real)
    assert hands.controller.message == "pot: 20.5 °C filed."
    assert hands.readings == [("pot", 20.5)]
    assert asked == []
    hands.controller.look(hands.now, hands.real)
    assert hands.controller.advice.state is hands.live.state


def test_what_is_taken_back_is_told_on_like_what_is_filed(hands):
    """A simulated kitchen has to follow both."""
    told = []
    desk = StoveController(hands.live, told.append)
    desk.wake(0.0)
    desk.look(hands.now, hands.real)
    desk.press("h", "h", hands.now, 1.0)
    desk.press("z", "z", hands.now, 2.0)
    assert told == [ev.BurnerSet(state="on"), ev.Undone(entry=hands.live.entries[-2].seq)]


# -- weights ----------------------------------------------------------------------------------------------


def weights(hands) -> list[ev.Weighed]:
    return [fact for fact in hands.said() if isinstance(fact, ev.Weighed)]


def poured(hands, letter: str, *parts: tuple[int, ev.Part, float]) -> list[int]:
    """Pours of so many planned kg, none weighed; the numbers of their entries."""
    for layer, part, kg in parts:
        fact = ev.Poured(mould=letter, layer=layer, part=part, planned_kg=kg)
        hands.live.file(fact, now=hands.now)
    return [pour.seq for pour in hands.live.state.moulds[letter].pours]


def test_a_weight_says_which_pour_it_is_of_and_is_kept_with_that_pour(hands):
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    [only] = poured(hands, "A", (0, "layer", 0.235))
    hands.type("2w40")
    assert "weight of A, pour of rust: 240" in hands.shown()
    hands.type("\r")
    assert [(fact.kg, fact.pour, fact.doubt) for fact in weights(hands)] == [(0.24, only, "")]
    assert "weight of A, pour of rust: 240 g filed" in hands.controller.message


def test_where_two_pours_of_a_mould_have_no_weight_it_is_asked_which_one_was_weighed(hands):
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    plug, first = poured(hands, "A", (0, "plug", 0.037), (0, "layer", 0.235))
    hands.type("3w8")
    assert "one of its pours" in hands.shown()
    hands.type("\r")
    assert not weights(hands)
    assert "38 g into A: which pour was it?" in hands.shown()
    hands.type("2")
    assert [(fact.kg, fact.pour) for fact in weights(hands)] == [(0.038, plug)]
    # Now only the last one is without a weight, and nothing is asked.
    hands.type("2w40\r")
    assert hands.controller.question is None
    assert [(fact.kg, fact.pour) for fact in weights(hands)][1:] == [(0.24, first)]
    assert [pour.kg for pour in hands.live.state.moulds["A"].pours] == [0.038, 0.24]


def test_a_second_weight_is_not_taken_for_the_last_pours_while_an_earlier_one_has_none(hands):
    hands.live.file(ev.JugMade(layer=0), now=hands.now)
    plug, first = poured(hands, "A", (0, "plug", 0.037), (0, "layer", 0.235))
    hands.live.file(ev.Weighed(mould="A", what="pour", kg=0.24, pour=first), now=hands.now)
    hands.type("3w8\r")
    assert "weighed 240 g" in hands.shown()
    hands.type("2")
    assert [pour.kg for pour in hands.live.state.moulds["A"].pours] == [0.038, 0.24]
    assert weights(hands)[-1].pour == plug


def test_more_wax_than_the_jug_held_is_doubted_with_the_figures_and_kept_only_when_said_so(hands):
    """A jug weighed at 443 g cannot have given 468: 168 g into B and 300 g into A."""
    hands.live.file(ev.JugMade(layer=0, kg=0.443), now=hands.now)
    poured(hands, "A", (0, "layer", 0.235))
    [other] = poured(hands, "B", (0, "layer", 0.168))
    hands.live.file(ev.Weighed(mould="B", what="pour", kg=0.168, pour=other), now=hands.now)
    hands.type("3w")
    while hands.controller.target().mould != "A":
        hands.type("w")
    hands.type("00\r")
    assert not [fact for fact in weights(hands) if fact.mould == "A"]
    question = hands.controller.question
    assert question is not None
    assert "443 g" in question.asks
    assert "468 g" in question.asks
    hands.type("y")
    kept = weights(hands)[-1]
    assert (kept.mould, kept.kg) == ("A", 0.3)
    assert "held 443 g" in kept.doubt
    assert hands.live.state.moulds["A"].pours[-1].kg == 0.3
    assert "in doubt" in hands.controller.message


def test_a_doubted_weight_is_corrected_by_typing_the_right_one(hands):
    hands.live.file(ev.JugMade(layer=0, kg=0.443), now=hands.now)
    poured(hands, "A", (0, "layer", 0.235))
    hands.type("2w350\r")
    assert hands.controller.question is not None
    hands.type("2w35\r")
    assert [(round(fact.kg, 6), fact.doubt) for fact in weights(hands)] == [(0.235, "")]


def test_more_than_the_mould_holds_is_doubted_and_a_full_mould_is_not(hands):
    """75 mm across and 150 mm high are 663 ml: about 510 g of hot paraffin (770 g/l) to the rim, never 600."""
    hands.live.file(ev.JugMade(layer=0, kg=2.0), now=hands.now)
    poured(hands, "A", (0, "layer", 0.235))
    hands.type("6w00\r")
    question = hands.controller.question
    assert question is not None
    assert "To its rim A holds about 5" in question.asks.replace("to its rim", "To its rim")
    hands.type("n")
    assert not weights(hands)
    hands.type("5w00\r")
    assert [(fact.kg, fact.doubt) for fact in weights(hands)] == [(0.5, "")]


def test_one_key_turns_the_flame_low_and_the_burners_own_turns_it_off(hands):
    for key, burner in (("h", "on"), ("d", "low"), ("d", "low"), ("h", "off"), ("d", "low"), ("h", "off")):
        hands.type(key)
        assert hands.live.state.burner == burner


def test_what_was_said_of_a_reading_is_not_left_standing_beside_newer_figures(hands):
    """A minute later the forecast has gone on from what it says."""
    hands.reads()
    hands.type("48.5\r")
    hands.wait(1)
    said = hands.controller.message
    assert "48.5" in said
    hands.wait(30)
    assert hands.controller.message == said
    hands.wait(40)
    assert hands.controller.message == ""


def test_moulds_that_look_the_same_are_answered_by_one_key_and_others_one_by_one(hands):
    for letter in "AB":
        hands.live.file(ev.Poured(mould=letter, layer=0, part="layer"), now=hands.now)
    hands.type("l0")
    assert "A and B look, one answer for all:" in hands.shown()
    hands.type("k")
    assert hands.said()[-2:] == [ev.Looked(mould=x, cue="skinned") for x in "AB"]
    hands.type("l0n")
    assert "A looks:" in hands.shown()
    before = hands.said()
    hands.type("f")
    # Seconds after its pour: asked about before it is filed.
    assert "can hardly be" in hands.shown()
    assert hands.said() == before
    hands.type("y")
    assert "B looks:" in hands.shown()
    hands.type("k")
    assert hands.said()[-2:] == [ev.Looked(mould="A", cue="firm"), ev.Looked(mould="B", cue="skinned")]
    assert hands.controller.question is None


def plug_is_asked_for(hands) -> None:
    """The wax is hot, two jugs are drawn and their colours seen: both moulds want their plug."""
    hands.live.file(ev.BurnerSet(state="on"), now=hands.now)
    for celsius in (60.0, 86.0):
        hands.now += 900.0
        hands.real += 900.0
        hands.live.file(ev.Reading(place="pot", celsius=celsius), now=hands.now)
    hands.live.file(ev.BurnerSet(state="off"), now=hands.now)
    for layer in (0, 1):
        hands.live.file(ev.JugMade(layer=layer), now=hands.now)
        hands.live.file(ev.Waived(act=f"drop {layer}"), now=hands.now)
    hands.live.file(ev.WaterSeen(), now=hands.now)
    hands.live.file(ev.Reading(place="jug", celsius=83.0, jug=0), now=hands.now)
    hands.wait(10)
    hands.type("v")
    assert hands.word == "PLUG A B"


def test_a_pour_is_filed_with_its_weights_in_one_go(hands):
    plug_is_asked_for(hands)
    hands.type("34w")
    assert hands.shown().startswith("poured into A, weight: 34")
    hands.type(" 2")
    assert hands.shown().startswith("poured into B, weight: 34 2")
    hands.type("5\r")
    assert [(f.mould, f.part, f.kg) for f in hands.said() if isinstance(f, ev.Poured)] == [
        ("A", "plug", 0.034),
        ("B", "plug", 0.025),
    ]
    hands.type("12w")
    assert "weight of" in hands.shown(), "what is on record is weighed as before"


def test_what_the_jug_reads_is_filed_with_its_pour_in_one_line(hands):
    plug_is_asked_for(hands)
    hands.type("82.4j")
    assert "Space and poured" in hands.shown()
    hands.type(" ")
    assert hands.shown().startswith("jug 82.4°, poured into A, weight: ▏ g")
    hands.type("\r")
    read, *poured = hands.said()[-3:]
    assert (read.place, read.jug, read.celsius) == ("jug", 0, 82.4)
    assert [(f.mould, f.part, f.kg) for f in poured] == [("A", "plug", None), ("B", "plug", None)]
    hands.type("z")
    assert not any(mould.pours for mould in hands.live.state.moulds.values())


def test_the_weights_of_a_pour_follow_what_its_jug_reads(hands):
    plug_is_asked_for(hands)
    hands.type("82.4j 34 ")
    assert hands.shown().startswith("jug 82.4°, poured into B, weight: 34 ▏ g")
    hands.type("25\r")
    assert [f.kg for f in hands.said() if isinstance(f, ev.Poured)] == [0.034, 0.025]
    assert hands.live.state.readings[-1].celsius == 82.4


def test_of_a_jug_that_is_too_hot_or_too_cold_only_the_reading_is_filed(hands):
    plug_is_asked_for(hands)
    for typed in ("88.9j \r", "60j 34 25\r"):
        hands.type(typed)
        if hands.controller.question is not None:
            hands.type("y")
        assert not [f for f in hands.said() if isinstance(f, ev.Poured)]
        assert isinstance(hands.said()[-1], ev.Reading)


def test_a_pour_behind_a_reading_that_is_asked_about_goes_with_its_answer(hands):
    """180 can be no °C: which unit was asked, and of the pour nothing went on record, unsaid."""
    plug_is_asked_for(hands)
    hands.type("180j 34 25\r")
    assert "C or F?" in hands.shown()
    assert not [f for f in hands.said() if isinstance(f, ev.Poured)]
    hands.type("f")
    if hands.controller.question is not None:
        hands.type("y")
    assert hands.live.state.readings[-1].celsius == pytest.approx(82.2, abs=0.05)
    assert [f.kg for f in hands.said() if isinstance(f, ev.Poured)] == [0.034, 0.025]


def test_an_answer_that_leaves_the_pour_out_says_so(hands):
    plug_is_asked_for(hands)
    hands.type("140j 34 25\r")
    assert "f °F, and no pour" in hands.shown(), "60 °C is too cold for it"
    hands.type("f")
    assert not [f for f in hands.said() if isinstance(f, ev.Poured)]
    assert hands.live.state.readings[-1].celsius == pytest.approx(60.0)


def test_letters_mean_nothing_behind_weights_and_nothing_typed_is_dropped(hands):
    plug_is_asked_for(hands)
    hands.type("82.4j 34 25p")
    assert "Behind a space come weights" in hands.shown()
    hands.type("\r")
    assert [f.kg for f in hands.said() if isinstance(f, ev.Poured)] == [0.034, 0.025]


def test_several_numbers_are_no_reading_of_the_pot(hands):
    hands.type("190")
    assert not hands.controller.goes_on(), "Space has nowhere to go on to"


def test_a_reading_alone_is_filed_by_enter_as_before(hands):
    plug_is_asked_for(hands)
    hands.type("82.4j\r")
    assert not [f for f in hands.said() if isinstance(f, ev.Poured)]
    assert hands.live.state.readings[-1].celsius == 82.4


def test_what_one_answer_filed_is_taken_back_and_brought_back_together(hands):
    plug_is_asked_for(hands)
    hands.type("34w 25\r")
    hands.type("z")
    assert "Taken back: " in hands.shown()
    assert not any(mould.pours for mould in hands.live.state.moulds.values())
    hands.type("u")
    assert [mould.pours[0].kg for mould in hands.live.state.moulds.values()] == [0.034, 0.025]


def test_of_a_pour_that_was_weighed_into_one_mould_the_other_is_still_to_be_poured(hands):
    plug_is_asked_for(hands)
    hands.type("34w\r")
    assert [f.mould for f in hands.said() if isinstance(f, ev.Poured)] == ["A"]
    assert hands.word == "PLUG B"


def test_a_weight_that_the_jug_never_held_is_asked_about_before_its_pour_is_filed(hands):
    plug_is_asked_for(hands)
    hands.type("34w 2500\r")
    assert "That can hardly be" in hands.shown()
    assert "2500 g into B" in hands.shown()
    assert not [f for f in hands.said() if isinstance(f, ev.Poured)]
    hands.type("y")
    assert [f.kg for f in hands.said() if isinstance(f, ev.Poured)] == [0.034, 2.5]


def test_candles_that_are_out_together_are_weighed_in_one_line(hands):
    for letter in "AB":
        hands.live.file(ev.Poured(mould=letter, layer=0, part="layer"), now=hands.now)
    hands.wait(24 * 3600)
    for letter in "AB":
        hands.live.file(ev.Demoulded(mould=letter, release="dropped out"), now=hands.now)
    hands.type("545w")
    assert hands.shown().startswith("weight of A, its candle: 545")
    hands.type(" 266")
    assert hands.shown().startswith("weight of B, its candle: 545 266")
    hands.type("\r")
    if hands.controller.question is not None:
        hands.type("y")
    said = {f.mould: (round(f.kg, 6), f.what) for f in hands.said() if isinstance(f, ev.Weighed)}
    assert said == {"A": (0.545, "candle"), "B": (0.266, "candle")}


def test_two_candles_demoulded_by_one_answer_are_pointed_to_once(hands):
    for letter in "AB":
        hands.live.file(ev.Poured(mould=letter, layer=0, part="layer"), now=hands.now)
    known = len(hands.live.entries)
    for letter in "AB":
        hands.live.file(ev.Demoulded(mould=letter, release="dropped out"), now=hands.now)
    hands.controller.message = "Filed."
    hands.controller._ask_aside(known, 0.0)
    assert hands.controller.message == "Filed. i: what A and B came out like, and why."


def test_what_is_asked_of_a_candle_that_is_out_takes_its_weight_for_no_thermometer_goes_into_it(hands):
    for letter in "AB":
        hands.live.file(ev.Poured(mould=letter, layer=0, part="layer"), now=hands.now)
    hands.wait(24 * 3600)
    act = replace(hands.controller.advice.now.act, place=("candle", "B"))
    assert targets(hands.live.state, act)[0].place == "candle"
    hands.live.file(ev.Demoulded(mould="B", release="dropped out"), now=hands.now)
    assert targets(hands.live.state, act)[0] == Target("weight", "B")
    hands.live.file(ev.Demoulded(mould="A", release="dropped out"), now=hands.now)
    assert targets(hands.live.state, act)[0] == Target("weight", "A", candles="AB")
    hands.live.file(ev.Weighed(mould="B", what="candle", kg=0.266), now=hands.now)
    assert targets(hands.live.state, act)[0] == Target("weight", "B")


def test_of_two_candles_that_can_hardly_weigh_that_each_is_asked_about(hands):
    for letter in "AB":
        hands.live.file(ev.Poured(mould=letter, layer=0, part="layer"), now=hands.now)
    hands.wait(24 * 3600)
    for letter in "AB":
        hands.live.file(ev.Demoulded(mould=letter, release="dropped out"), now=hands.now)
    hands.type("9545w 9266\r")
    for _ in "AB":
        assert hands.controller.question is not None
        hands.type("y")
    assert hands.controller.question is None
    said = {f.mould: round(f.kg, 6) for f in hands.said() if isinstance(f, ev.Weighed)}
    assert said == {"A": 9.545, "B": 9.266}
