"""A burn test by keys alone: three candles at once, resumed, taken back, put out, weighed, judged."""

from __future__ import annotations

import random

import pytest
from msgspec.structs import replace

from pourday import language
from pourday.burn.due import due_of
from pourday.plan.form import rows, set_field
from pourday.plan.model import BlendPart, Layer, Mould, Plan
from pourday.plan.rows import Known
from pourday.session import events as ev
from pourday.shelf.card import due_now
from pourday.store.candles import open_log
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.reading import read_session
from pourday.times import clock
from pourday.tui.burn import controller
from pourday.tui.burn.controller import LAST_LOOK, BurnController
from pourday.tui.burn.layout import draw_burn
from pourday.tui.burn.questions import DEFECTS, chosen_for
from pourday.tui.burn.section import draw_section
from pourday.tui.drawing.help_text import PAGES
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.home.controller import HomeController
from tests.accented import accented
from tests.shelf.cards import cards_of

NOON = 1_795_608_000.0
HOUR, DAY = 3600.0, 86_400.0
ID = "2026-11-25-a"
SIZES = [(40, 12), (80, 24), (120, 40), (200, 60)]


def poured(folder, count: int = 3, units="metric") -> None:
    plan = Plan(
        title="Advent", units=units, moulds=(Mould(count=count),), blend=(BlendPart(wax="paraffin_pillar"),),
        layers=(Layer(colour="red"),), wick="30 ply",
    )  # fmt: skip
    live = LiveSession.create(folder, ID, now=NOON - DAY)
    live.file(ev.PlanFixed(plan=plan), now=NOON - DAY)
    for letter in "ABCDEFGHIJ"[:count]:
        live.file(ev.Poured(mould=letter, layer=0, part="layer", kg=0.5), now=NOON - DAY / 2)
        live.file(ev.Demoulded(mould=letter, release="dropped out"), now=NOON)
        live.file(ev.Weighed(mould=letter, what="candle", kg=0.4), now=NOON)
    live.finish("", now=NOON)


class Person:
    """Somebody at the keys, a second a key."""

    def __init__(self, folder, *, now: float = NOON + 5 * DAY) -> None:
        self.folder, self.now = folder, now
        self.open()

    def open(self) -> None:
        batch = read_session(self.folder, ID).state
        self.live = open_log(self.folder, batch, now=self.now)
        self.burn = BurnController(self.live, batch, self.now)

    def again(self) -> None:
        """The program killed and started again."""
        self.live.close()
        self.open()

    def wait(self, seconds: float) -> None:
        self.now += seconds
        self.burn.look(self.now)

    def keys(self, *keys: str) -> None:
        for key in keys:
            self.wait(1.0)
            character = " " if key == "space" else key if len(key) == 1 else None
            self.burn.press(key, character, self.now)

    def types(self, *texts: str) -> None:
        for text in texts:
            self.keys(*text, "enter")

    @property
    def asks(self) -> str:
        return self.burn.question.id if self.burn.question else ""

    def lit(self) -> str:
        return "".join(candle.letter for candle in self.burn.lit)

    def light_all(self, *weights: str) -> None:
        self.keys(*["space", "right"] * len(weights), "b")
        self.types(*weights, "6")
        self.keys("n")
        self.types("21")
        self.keys("space")

    def measure(self, letter: str, *lengths: str) -> None:
        assert self.asks.startswith(f"look {letter}")
        self.types(*lengths)
        self.keys("n", "n", "n")

    def facts(self, kind):
        return [entry.fact for entry in self.live.entries if isinstance(entry.fact, kind)]


@pytest.fixture
def three(tmp_path) -> Person:
    poured(tmp_path)
    person = Person(tmp_path)
    person.light_all("398", "402", "400")
    return person


def test_three_candles_are_lit_with_one_clock_and_what_was_told_before(three):
    lit = three.facts(ev.CandleLit)
    assert [(fact.mould, fact.kg, fact.trimmed, fact.draught, fact.room_c) for fact in lit] == [
        (letter, kg, 0.006, "none", 21.0) for letter, kg in zip("ABC", (0.398, 0.402, 0.4), strict=True)
    ]
    assert {entry.at for entry in three.live.entries if isinstance(entry.fact, ev.CandleLit)}.__len__() == 1
    assert three.asks == ""


def test_each_is_asked_for_in_turn_and_a_killed_test_asks_the_same_again(three):
    three.wait(20 * 60)
    three.measure("A", "28", "22", "23", "5", "25")
    three.types("27")
    asked = three.asks
    assert asked.startswith("look B")
    three.keys("3")
    three.again()
    assert three.asks == asked
    assert three.burn.text == ""
    assert len(three.burn.lit) == 3


def test_a_first_key_after_half_an_hour_answers_the_watch_and_a_figure_is_still_whole(three):
    three.wait(HOUR)
    assert any("in the room" in says for says in three.burn.alarms(three.now))
    three.types("31")
    assert three.facts(ev.BurnSeen)[-1].flame == 0.031
    assert three.facts(ev.WatchAnswered)
    assert three.burn.alarms(three.now) == ()


@pytest.mark.parametrize("said", [str, accented])
def test_a_first_key_after_half_an_hour_does_nothing_else_whatever_the_language(three, said, monkeypatch):
    monkeypatch.setattr(language, "_text", said)
    for _ in range(30):  # The look of 20 minutes is left out, question by question.
        three.keys("enter")
    three.wait(45 * 60)
    three.burn.skipped = frozenset({f"look {x} {m:.0f} {f}" for x in "ABC" for m in (0.33 * HOUR,) for f in
                                    ("flame", "across", "across_other", "depth", "wall", "mushroom", "soot", "leaning")})  # fmt: skip
    three.burn.look(three.now)
    before = len(three.facts(ev.BurnEnded))
    assert three.asks == ""
    three.keys("x")
    assert three.asks == ""
    assert len(three.facts(ev.BurnEnded)) == before


def test_a_question_that_has_just_come_up_by_itself_takes_no_answer_by_a_key(three):
    three.wait(20 * 60)
    three.measure("A", "28", "22", "23", "5", "25")
    three.burn.skipped = frozenset({f"look {x} {0.33 * HOUR:.0f} {f}" for x in "ABC" for f in
                                    ("flame", "across", "across_other", "depth", "wall", "leaning")})  # fmt: skip
    three.burn.look(three.now)
    assert three.asks.endswith("mushroom")
    three.burn.press("y", "y", three.now + 0.1)
    assert three.facts(ev.BurnSeen)[-1].mushroom is not True


def test_a_flame_over_the_limit_rings_until_it_is_put_out(three):
    three.wait(20 * 60)
    three.types("80")
    assert three.burn.word(three.now)[0] == "PUT OUT A"
    assert "EN 15493" in three.burn.word(three.now)[1]
    three.keys("left", "left", "x", "s")
    assert "PUT OUT" not in three.burn.word(three.now)[0]
    assert three.facts(ev.BurnEnded) == [ev.BurnEnded(mould="A", how="snuffed")]


def test_a_flame_over_the_limit_is_to_be_put_out_in_whatever_language(three, monkeypatch):
    """The sentence is only said: turned round, it changes neither the word nor what is asked meanwhile."""
    monkeypatch.setattr(controller, "tr", lambda text, **values: text.format(**values)[::-1])
    three.wait(20 * 60)
    three.types("80")
    assert list(three.burn.to_put_out(three.now)) == ["A"]
    assert three.burn.word(three.now)[0] == "PUT OUT A"[::-1]
    assert three.burn.question is None


def test_after_four_hours_it_is_measured_once_more_and_then_rung_for(three):
    three.wait(4 * HOUR - 20)
    three.keys("backspace")
    three.wait(30)
    assert three.asks.startswith("look A")
    three.wait(LAST_LOOK + 10)
    assert three.burn.word(three.now)[0] == "PUT OUT ABC"
    assert any("burned 4 h" in says for says in three.burn.alarms(three.now))


def test_a_key_that_is_no_answer_is_said_and_a_candle_that_was_not_put_out_still_burns(three):
    """By hand: o for out did nothing, Enter left the question out, and the candle burned on by a record nobody looked at."""
    three.light_all("300", "301", "302")
    three.keys("x", "9")
    assert three.burn.message.startswith("Answer with s, b, ")
    assert three.asks == "out"
    three.keys("enter")
    assert three.asks != "out"
    assert "still burns" in three.burn.message
    assert not three.facts(ev.BurnEnded)


def test_put_out_glow_relight_and_cold_weight_each_asked_in_its_time(three):
    three.keys("x", "s")
    assert three.asks.startswith("glow")
    three.types("12")
    three.keys("n")
    assert [(fact.glow, fact.relit) for fact in three.facts(ev.AfterGlow)] == [(12.0, None), (None, False)]
    three.keys("x", "s", "enter", "n", "x", "s", "enter", "n")
    assert three.burn.lit == ()
    assert not three.asks.startswith("weigh")
    three.wait(HOUR)
    assert three.asks.startswith("weigh")
    three.types("396")
    assert three.facts(ev.WeighedCold)[0].kg == 0.396


def test_the_end_taken_back_burns_on(three):
    three.keys("x", "s")
    assert len(three.burn.lit) == 2
    three.keys("z")
    assert len(three.burn.lit) == 3
    assert "Taken back" in three.burn.message
    three.keys("u")
    assert len(three.burn.lit) == 2


def test_what_one_key_said_of_three_is_taken_back_by_one_key(three):
    three.keys("z")
    assert three.burn.lit == ()
    three.keys("u")
    assert len(three.burn.lit) == 3


def test_why_it_was_taken_back_is_one_key_and_any_other_does_its_own_work(three):
    three.light_all("500", "500", "500")
    three.keys("z")
    shown = " ".join(text_of(row) for row in draw_burn(three.burn, three.now, 80, 24))
    assert "m mistyped" in shown
    three.keys("m")
    reason = three.live.entries[-1].fact
    assert reason == ev.Reasoned(entry=three.live.entries[-2].seq, why="mistyped")
    # It says nothing new: what was taken back can still be brought back.
    three.keys("u")
    assert len(three.burn.lit) == 3
    before = len(three.live.entries)
    three.keys("z", "r")
    assert three.burn.reading
    assert not any(isinstance(entry.fact, ev.Reasoned) for entry in three.live.entries[before:])
    assert "m mistyped" not in " ".join(text_of(row) for row in draw_burn(three.burn, three.now, 80, 24))


def test_a_candle_that_is_low_is_judged_and_not_sent_to_burn_again(three):
    three.keys(*["x", "s", "enter", "n"] * 3)
    assert three.burn.lit == ()
    three.wait(2 * HOUR)
    three.types("396")
    assert three.asks.startswith("height")
    three.types("48")
    assert three.facts(ev.WeighedCold)[-1].height == 0.048
    letter = three.facts(ev.WeighedCold)[-1].mould
    low = next(candle for candle in three.burn.candles if candle.letter == letter)
    assert [(row.what, row.why) for row in due_of(low, "")] == [("judge", "1 cycle, and low enough")]
    three.burn.marked = {letter}
    for _ in range(8):
        three.keys("escape")
        if not three.asks:
            break
    three.burn.leaving = False
    three.keys("b")
    assert "no longer burned" in three.burn.message


@pytest.mark.parametrize("key", ["q", "escape"])
def test_lit_candles_are_left_by_another_key_than_the_one_that_asks_for_it(three, key):
    three.keys(key)
    assert three.burn.word(three.now)[0] == "LIT"
    assert "A, B and C still burn" in three.burn.word(three.now)[1]
    before = len(three.live.entries)
    three.keys("q")
    assert not three.burn.leaving
    three.keys("n")
    assert (three.burn.leaving, three.asks, three.lit()) == (False, "", "ABC")
    three.keys(key, "escape")
    assert (three.burn.leaving, three.asks) == (False, "")
    assert len(three.live.entries) == before
    three.keys(key, "y")
    assert three.burn.leaving


def test_a_candle_can_be_put_out_from_the_question_before_leaving(three):
    three.keys("q", "x", "s")
    assert three.lit() == "AB"
    assert not three.burn.leaving


def test_one_that_burns_already_is_told_as_one(three):
    three.burn.marked = {"B"}
    three.keys("b")
    assert three.burn.message == "B burns already."


def test_finish_flaw_photo_label_and_where_it_goes_for_several_in_one_go(tmp_path):
    poured(tmp_path)
    person = Person(tmp_path)
    person.keys("space", "right", "space", "f", "b", "g", "g", "d", "1")
    assert [fact.mould for fact in person.facts(ev.FinishDone)] == ["A", "B"]
    assert [fact.to for fact in person.facts(ev.CandleGoes)] == ["gift", "gift"]
    assert {fact.defect for fact in person.facts(ev.DefectSeen)} == {"frosting"}
    person.keys("d", "o")
    person.types("a thumb print, q and all")
    assert person.facts(ev.DefectSeen)[-1].defect == "a thumb print, q and all"
    person.keys("p")
    person.burn.paste("/photos/")
    person.types("a.jpg")
    assert person.facts(ev.PhotoTaken)[-1].path == "/photos/a.jpg"
    assert not person.burn.leaving


def test_a_weight_that_can_hardly_be_is_asked_about_and_the_same_once_more_is_filed(tmp_path):
    """Six typed for the wick's length where the weight is asked for first."""
    poured(tmp_path, 1)
    person = Person(tmp_path)
    person.keys("b")
    person.types("6")
    assert person.asks == "light kg A"
    assert (
        person.burn.message
        == "A weighed 400 g last: 6 g can hardly be. Enter once more files it all the same."
    )
    person.keys("backspace")
    person.types("401")
    assert person.asks == "light trim"
    person.keys("escape", "b")
    person.types("350")
    assert person.asks == "light kg A"
    person.keys("enter")
    person.types("6")
    person.keys("n")
    person.types("21")
    person.keys("space")
    assert person.facts(ev.CandleLit)[-1].kg == pytest.approx(0.35)


@pytest.mark.parametrize("word", ["finish", "goes", "out", "defect", "own words", "photo", "label"])
def test_every_answer_to_a_key_files_a_fact_for_each_candle(word):
    question = chosen_for("AB", word)
    assert question is not None
    for key, _ in question.choices or (("words", ""),):
        assert [fact.mould for fact in question.answer(0.0, key)] == ["A", "B"]  # type: ignore[union-attr]
    assert chosen_for("A", "nothing") is None
    assert len({key for key, _ in DEFECTS}) == len(DEFECTS)


def cycle(person: Person, letter: str, wall: int) -> None:
    """Four hours, measured at two and four, put out and weighed."""
    width = str(75 - 2 * wall)
    for hours in (2, 2):
        person.wait(hours * HOUR - 200)
        person.keys("backspace")
        person.wait(200)
        person.measure(letter, "30", width, width, "8", str(wall))
    person.keys("x", "s", "enter", "n")
    person.wait(2 * HOUR)


def test_a_wick_that_passed_is_what_the_next_plan_of_that_mould_and_wax_starts_from(tmp_path):
    poured(tmp_path, 1)
    person = Person(tmp_path)
    for before, after in (("400", "376"), ("376", "352")):
        person.keys("b")
        person.types(before, "6")
        person.keys("n")
        person.types("21")
        person.keys("space")
        cycle(person, "A", 8)
        person.types(after, "110")
        person.wait(DAY)
    verdict = person.burn.verdict()
    assert verdict is not None
    assert verdict.came == "passed"
    person.keys("j", "p")
    judged = person.facts(ev.WickJudged)[-1]
    assert (judged.wick, judged.came) == ("30 ply", "passed")
    assert judged.says == verdict.says
    batch = read_session(tmp_path, ID).state
    memories = Memories(tmp_path)
    memories.remember_wicks(batch, person.live.state)
    other = Plan(moulds=(Mould(),), blend=(BlendPart(wax="soy_pillar"),))
    passed = memories.wick_of(batch.plan.moulds[0], batch.plan)
    assert passed is not None
    assert passed.words == "30 ply, which passed in 261125a-A"
    known = Known(wicks=(passed.words,))
    fresh = Plan(moulds=(Mould(),))
    ghosts = {row.path: row for row in rows(fresh, known)}
    assert ghosts["moulds.0.wick"].ghost == "start from 30 ply, which passed in 261125a-A"
    taken = set_field(fresh, "moulds.0.use_wick", "", known)
    assert taken.moulds[0].wick == passed.words
    assert "moulds.0.use_wick" not in {row.path for row in rows(taken, known)}
    assert replace(passed, wick=passed.words).words == passed.words
    assert memories.wick_of(other.moulds[0], other) is None
    person.keys("z")
    memories.remember_wicks(batch, person.live.state)
    assert memories.wick_of(batch.plan.moulds[0], batch.plan) is None


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_whatever_is_pressed_it_fits_and_the_record_can_be_read(tmp_path, size, units):
    poured(tmp_path, 5, units)
    person, dice = Person(tmp_path), random.Random(7)
    keys = ["space", "left", "right", "b", "x", "s", "n", "y", "w", "enter", "1", "3", "0", ".", "z", "u", "f", "g", "d", "p",
            "l", "j", "r", "escape", "backspace", "o", "k", "c"]  # fmt: skip
    for _ in range(250):
        person.keys(dice.choice(keys))
        person.wait(dice.choice([0, 0, 60, 1300, 3700]))
        drawn = draw_burn(person.burn, person.now, *size)
        assert len(drawn) == size[1]
        assert max(width(row) for row in drawn) <= size[0]
    before = list(person.live.entries)
    person.live.close()
    assert list(read_session(tmp_path, f"{ID}-candles").entries) == before


def test_the_drawing_is_to_scale(three):
    three.wait(20 * 60)
    three.measure("A", "50", "38", "38", "8", "18")
    candle = three.burn.candles[0]
    rows = [text_of(row) for row in draw_section(candle, candle.life.burns[-1], 60, 33, "metric")]
    metres_a_row = 0.110 / 33
    flame = sum("█" in row or "▲" in row for row in rows)
    assert flame * metres_a_row == pytest.approx(0.050, abs=metres_a_row)
    (pool, *_) = [row for row in rows if "≈" in row]
    assert pool.count("≈") * metres_a_row / 2 == pytest.approx(0.038, abs=metres_a_row)
    assert (pool.count("≈") + pool.count("░")) * metres_a_row / 2 == pytest.approx(0.075, abs=metres_a_row)


def test_the_keys_in_the_readme_are_those_of_the_help():
    from tests.test_readme import table

    assert table("key, candles") == [(key, says) for key, says in PAGES["burn"].keys]


def test_what_is_due_comes_first_on_the_first_screen_and_b_leads_to_it(three):
    due = due_now(cards_of(three.folder).values(), three.now)
    assert {row.what for row in due} == {"burning"}
    home = HomeController(three.folder)
    home.read()
    assert [session.session for session in home.sessions] == [ID]
    home.due = due
    command = home.press("b", "b")
    assert command is not None
    assert (command.act, command.session) == ("candles", ID)


@pytest.mark.parametrize("size", [(40, 12), (60, 20)])
def test_the_clock_is_there_in_small_windows(three, size):
    assert clock(three.now) in "\n".join(text_of(row) for row in draw_burn(three.burn, three.now, *size))
