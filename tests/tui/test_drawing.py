"""What is drawn, as plain text: it fits the window, says the word and the numbers, and cannot be steered."""

from __future__ import annotations

from dataclasses import replace as dc_replace

import pytest
from msgspec.structs import replace
from rich.cells import cell_len

from pourday.demo.scenario import START, two_pillars
from pourday.forecast.spread import Quantiles
from pourday.guide.acts.act import Act
from pourday.guide.acts.cautions import HEAT, HOT_WAX
from pourday.guide.acts.jug_acts import SCENT
from pourday.guide.advice.adviser import Advice, Adviser
from pourday.guide.outlook.looks import Appearance, Band
from pourday.guide.rescue.on_return import DRY
from pourday.guide.rescue.ways import WARM_AIR
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.alarm_words import alarms_short
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.session.state import State
from pourday.text import plain
from pourday.times import clock
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.cards import FIRE_MORE, FIRE_STEPS, draw_fire
from pourday.tui.drawing.lines import Line, beside, fit, joined, line, text_of, width, wrap
from pourday.tui.drawing.moulds import Picture, draw_moulds
from pourday.tui.stove.agenda import agenda_block, when_words
from pourday.tui.stove.layout import Foot, Look, draw_stove
from pourday.tui.terminal.theme import DARK, MONO, style

SIZES = [(40, 12), (80, 24), (120, 40), (200, 60)]
CLASH = (
    "A and B both close about 15:20 and one pair of hands cannot pour both: A first, it closes sooner; B is "
    "then some 12 min late, by its forecast."
)
ANSWERS: dict[str, Advice] = {}
FOOT = Foot(entry=(line("type a reading"),), keys=line("Space done"))


def advice_after(*facts: tuple[float, Fact], minute: float, plan: Plan | None = None) -> Advice:
    """What the guide says `minute` minutes after seven; an answer is never changed, and most tests draw the same."""
    asked = repr((facts, minute, plan))
    if asked not in ANSWERS:
        ANSWERS[asked] = _advice_after(*facts, minute=minute, plan=plan)
    return ANSWERS[asked]


def _advice_after(*facts: tuple[float, Fact], minute: float, plan: Plan | None) -> Advice:
    opening: list[tuple[float, Fact]] = [
        (0, ev.Opened(session="2026-10-25-a", program="0", demo=True)),
        (0, ev.PlanFixed(plan=plan or two_pillars())),
    ]
    entries = []
    for number, (at, fact) in enumerate([*opening, *facts], 1):
        when = ev.moment(START + 60 * at)
        entries.append(Entry(seq=number, at=when, logged_at=when, by="person", fact=fact))
    return Adviser().advise(fold(entries), START + 60 * minute)


def poured(mould: str, layer: int, part: ev.Part = "layer") -> ev.Poured:
    return ev.Poured(mould=mould, layer=layer, part=part, planned_kg=0.1)


LIT = ((0, ev.BurnerSet(state="on")), (2, ev.Reading(place="pot", celsius=48.5, typed="48.5")))
FULL = (
    (30, ev.JugMade(layer=0)),
    *((40, poured(x, 0, "plug")) for x in "AB"),
    *((50, ev.SealSeen(mould=x, weeps=False)) for x in "AB"),
    *((51, poured(x, 0)) for x in "AB"),
    *((150, ev.Looked(mould=x, cue="firm")) for x in "AB"),
    (150, ev.JugMade(layer=1)),
    *((151, poured(x, 1)) for x in "AB"),
)
ALARM = (
    (0, ev.BurnerSet(state="on")),
    (5, ev.Reading(place="pot", celsius=95.0)),
    (5, ev.AlarmRaised(alarm="ceiling", says="The pot read 95 °C: burner off.")),
)
STATES = {
    "begun": ((), 0.5),
    "lit": (LIT, 3.0),
    "alarm": (ALARM, 5.5),
    "burner unknown": (((0, ev.BurnerSet(state="on")), (5, ev.Reopened(program="0", away=9e4))), 6.0),
    "full": (FULL, 160.0),
    "late": (FULL[:7], 900.0),
}


@pytest.fixture(scope="module", params=STATES)
def seen(request: pytest.FixtureRequest) -> tuple[Advice, float]:
    facts, minute = STATES[request.param]
    return advice_after(*facts, minute=minute), START + 60 * minute


def drawn(advice: Advice, now: float, cells: int, rows: int, look: Look | None = None) -> list[Line]:
    return draw_stove(advice, now, cells, rows, FOOT, look or Look())


def flat(rows: list[Line]) -> str:
    return "\n".join(text_of(row) for row in rows)


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_the_stove_fills_its_window_and_no_more(seen: tuple[Advice, float], cells: int, rows: int) -> None:
    block = drawn(*seen, cells, rows)
    assert len(block) == rows
    for row in block:
        assert width(row) <= cells, text_of(row)
    assert text_of(block[-1]) == "Space done"
    assert text_of(block[-2]) == "type a reading"


@pytest.mark.parametrize("strip", ["", "demo 60x, plays itself"])
@pytest.mark.parametrize("cells", [40, 55, 71, 72, 80, 99, 100, 133])
@pytest.mark.parametrize("rows", [10, 12, 19, 20, 24, 33, 34, 50])
def test_no_size_between_draws_past_the_window(cells: int, rows: int, strip: str) -> None:
    advice = advice_after(*FULL, minute=160)
    block = drawn(advice, START + 160 * 60, cells, rows, Look(strip=strip))
    assert len(block) == rows
    assert all(width(row) <= cells for row in block)
    if cells >= 72 and rows >= 20:
        assert (text_of(block[-3]).rstrip() == strip) is bool(strip)


@pytest.mark.parametrize(("cells", "rows"), [(1, 1), (8, 3), (39, 24), (80, 9)])
def test_a_window_that_is_too_small_still_says_the_word(cells: int, rows: int) -> None:
    advice = advice_after(minute=0.5)
    block = drawn(advice, START, cells, rows)
    assert len(block) <= rows
    assert all(width(row) <= max(cells, 23) for row in block)
    assert text_of(block[0]).startswith("LOAD POT"[: max(0, cells - 1)])


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_the_word_and_the_two_numbers_are_there_in_block_letters(
    seen: tuple[Advice, float], cells: int, rows: int
) -> None:
    advice, now = seen
    assert advice.now is not None
    text = flat(drawn(advice, now, cells, rows))
    size = 5 if rows >= 34 and cells >= 100 else 3
    wanted_all = (advice.now.word, advice.now.degrees.text, advice.now.time.text)
    if rows < 20 and advice.now.act.id.what.startswith("back "):
        # Whoever comes back to a small window needs what is open first; it has the pot's numbers in words.
        wanted_all = wanted_all[:1]
    for wanted in wanted_all:
        found = [
            all(part.rstrip() in text for part in block_rows(some, height) if part.strip())
            for height in (size, 3)
            for some in (wanted, advice.now.act.word if wanted == advice.now.word else wanted)
        ]
        assert any(found) or wanted in text, wanted


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_the_sentence_begins_on_every_size(seen: tuple[Advice, float], cells: int, rows: int) -> None:
    advice, now = seen
    assert advice.now is not None
    text = " ".join(flat(drawn(advice, now, cells, rows)).split())
    assert " ".join(advice.now.says.split()[:4]) in text


def test_the_burner_and_the_clock_stand_at_the_top(seen: tuple[Advice, float]) -> None:
    advice, now = seen
    top = text_of(drawn(advice, now, 120, 40)[0])
    assert f"burner {advice.state.burner.upper()}" in top
    assert alarms_short(advice.state.alarms) in top
    assert "demo" in top


def test_both_moulds_and_both_colours_are_in_the_picture() -> None:
    text = flat(drawn(advice_after(*FULL, minute=160), START + 160 * 60, 120, 40))
    for name in (" A tall", " B short", "rust", "cream"):
        assert name in text, name


# -- names that try to steer -------------------------------------------------------------------------

HOSTILE = [
    "\x1b[2J\x1b[31mred",
    "\x1b]0;title\x07gone",
    "a\nb\rc\td",
    "\u202egnorw",
    "[bold red]markup[/]",
    "蝋燭蝋燭蝋燭蝋燭",
    "e\u0301" * 30,
    "x" * 500,
]


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_a_name_from_a_loaded_plan_is_drawn_plainly(name: str, cells: int, rows: int) -> None:
    """A name is cleaned where it enters, by the form and by the store; the cleaned one must still fit."""
    kept = plain(name, 80)
    plan = two_pillars()
    plan = replace(
        plan,
        title=kept,
        moulds=tuple(replace(m, name=kept) for m in plan.moulds),
        layers=tuple(replace(layer, colour=kept) for layer in plan.layers),
    )
    block = drawn(advice_after(*FULL, minute=160, plan=plan), START + 160 * 60, cells, rows)
    assert len(block) == rows
    for row in block:
        assert width(row) <= cells
        assert not any(ord(c) < 32 or 127 <= ord(c) < 160 or c == "\u202e" for c in text_of(row))


# -- moulds ------------------------------------------------------------------------------------------


def picture(letter: str, wide: float, high: float, *layers: tuple[float, float, str]) -> Picture:
    bands = tuple(
        Band(low, top, i, name, "#b4532f", Appearance("firm", "firm"))
        for i, (low, top, name) in enumerate(layers)
    )
    return Picture(letter, wide, high, bands, None, "", upside_down=True)


def column(rows: list[Line], start: int, cells: int) -> list[str]:
    return [text_of(row)[start : start + cells] for row in rows]


def wall(rows: list[str]) -> tuple[int, int]:
    """Inner width and height in cells of a mould that was drawn."""
    body = [row for row in rows if row.startswith("│")]
    return body[0].index("│", 1) - 1, len(body)


def test_moulds_are_drawn_to_one_scale() -> None:
    """Twice as wide is twice as wide and twice as high twice as high; a cell is two high by one wide."""
    block = draw_moulds([picture("A", 0.06, 0.12), picture("B", 0.12, 0.24)], 80, 26)
    narrow, broad = wall(column(block, 0, 40)), wall(column(block, 40, 40))
    assert broad[0] == pytest.approx(2 * narrow[0], abs=1)
    assert broad[1] == pytest.approx(2 * narrow[1], abs=1)
    assert broad[0] / broad[1] == pytest.approx(2 * 0.12 / 0.24, rel=0.1)


@pytest.mark.parametrize(("cells", "rows"), [(20, 8), (40, 12), (60, 20), (100, 40)])
@pytest.mark.parametrize("wide", [0.03, 0.075, 0.3])
def test_the_picture_keeps_to_its_place(cells: int, rows: int, wide: float) -> None:
    block = draw_moulds([picture(x, wide, 0.15, (0, 0.1, "rust")) for x in "AB"], cells, rows)
    assert len(block) == rows
    assert all(width(row) == cells // 2 * 2 for row in block)


def test_layers_take_their_share_of_the_height() -> None:
    block = draw_moulds([picture("A", 0.075, 0.16, (0, 0.08, "rust"), (0.08, 0.12, "cream"))], 50, 34)
    filled = ["▓" in text_of(row) for row in block]
    assert sum(filled) == pytest.approx(0.75 * 32, abs=1)
    assert filled.index(True) == pytest.approx(8, abs=1)


def test_the_finished_candle_stands_the_other_way_up() -> None:
    shown = picture("A", 0.075, 0.15, (0, 0.05, "rust"))
    poured_way = ["▓" in text_of(row) for row in draw_moulds([shown], 40, 20)]
    stood = ["▓" in text_of(row) for row in draw_moulds([shown], 40, 20, finished=True)]
    assert poured_way.index(True) > stood.index(True)
    upright = dc_replace(shown, upside_down=False)
    same = ["▓" in text_of(row) for row in draw_moulds([upright], 40, 20, finished=True)]
    assert same == poured_way


def two_layers(low: str = "#b4532f", high: str = "#ead9b5", word: str = "~firm") -> Picture:
    bands = (
        Band(0.0, 0.08, 0, "rust", low, Appearance("firm", "")),
        Band(
            0.08,
            0.14,
            1,
            "cream",
            high,
            Appearance("firm", word, computed=word.startswith("~"), out=word == "demoulded"),
        ),
    )
    return Picture("A", 0.075, 0.15, bands, None, "", upside_down=True, remark="tall")


@pytest.mark.parametrize("rows", [8, 9, 17, 34])
@pytest.mark.parametrize("finished", [False, True])
def test_the_seam_between_two_layers_is_seen_without_any_colour(rows: int, finished: bool) -> None:
    """Half a row is left blank, and the walls have a notch."""
    text = [text_of(row) for row in draw_moulds([two_layers()], 60, rows, finished=finished)]
    (seam,) = [row for row in text if row.startswith("├")]
    assert set(seam[1 : seam.index("┤")]) == {"▄" if finished else "▀"}
    notch = text.index(seam)
    assert any("▓" in row for row in text[:notch])
    assert any("▓" in row for row in text[notch + 1 :])


def test_with_colours_the_seam_is_half_the_one_and_half_the_other() -> None:
    (row,) = [r for r in draw_moulds([two_layers()], 60, 17) if text_of(r).startswith("├")]
    assert ("▀" * 15, "#ead9b5 on #b4532f") in row
    drawn = style(DARK, "#ead9b5 on #b4532f")
    assert drawn.color is not None
    assert drawn.bgcolor is not None
    assert (drawn.color.name, drawn.bgcolor.name) == ("#ead9b5", "#b4532f")
    bare = style(MONO, "#ead9b5 on #b4532f")
    assert bare.color is bare.bgcolor is None


@pytest.mark.parametrize("rows", [9, 17, 34])
@pytest.mark.parametrize("finished", [False, True])
def test_name_and_state_stand_in_the_same_order_whichever_way_up(rows: int, finished: bool) -> None:
    text = [text_of(row) for row in draw_moulds([two_layers()], 60, rows, finished=finished)]
    cream = next(n for n, row in enumerate(text) if "cream" in row)
    state = next(n for n, row in enumerate(text) if "~firm" in row)
    assert state in (cream, cream + 1)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
@pytest.mark.parametrize("cells", [44, 54, 80])
def test_the_next_line_has_its_number_whole_or_is_not_there(cells: int, count: int) -> None:
    empty = [Picture(x, 0.075, 0.15, (), 0.01, "140 mm", True, next_name="plug") for x in "ABCD"[:count]]
    text = flat(draw_moulds(empty, cells, 9))
    assert "…" not in text
    assert text.count("-140") in (0, count)
    if cells // count >= 22:
        assert text.count("140 mm") == count


@pytest.mark.parametrize(("count", "cells"), [(6, 42), (8, 42), (10, 80)])
def test_many_moulds_keep_their_walls_and_say_their_state_in_a_line(count: int, cells: int) -> None:
    letters = "ABCDEFGHIJ"[:count]
    shown = [dc_replace(two_layers(word="~firm" if x != "C" else "wet"), letter=x) for x in letters]
    block = draw_moulds(shown, cells, 8)
    text = [text_of(row) for row in block]
    assert "…" not in "".join(text)
    (shut,) = [row for row in text if "└" in row]
    assert shut.count("└") == shut.count("┘") == count
    assert [word for word in text[-2].split() if word != "tall"] == list(letters)
    assert "C cream wet" in text[-1]
    assert "cream ~firm" in text[-1]


def test_a_plug_is_called_so_and_the_line_of_the_first_layer_stands_over_it() -> None:
    plugs = tuple((40, poured(x, 0, "plug")) for x in "AB")
    text = flat(drawn(advice_after(*FULL[:1], *plugs, minute=42), START + 42 * 60, 120, 40))
    assert "rust plug" in text
    assert "71 mm to rim" in text
    before = flat(drawn(advice_after(*FULL[:1], minute=39), START + 39 * 60, 120, 40))
    assert "140 mm down" in before


def test_a_demoulded_candle_is_solid_throughout() -> None:
    text = flat(draw_moulds([two_layers(word="demoulded")], 60, 17))
    assert "█" in text
    assert not set(text) & set("░▒▓")


# -- read from two metres --------------------------------------------------------------------------


def shows(text: str, letters: str) -> bool:
    """Whether these block letters of three rows stand somewhere in the text."""
    return all(part.rstrip() in text for part in block_rows(letters, 3))


@pytest.mark.parametrize(("cells", "rows"), [(80, 24), (120, 40), (60, 20)])
@pytest.mark.parametrize(("state", "letters"), [("on", "ON"), ("off", "OFF"), ("unknown", "?")])
def test_the_burner_is_read_across_the_kitchen(cells: int, rows: int, state: str, letters: str) -> None:
    facts = {
        "on": LIT,
        "off": (*LIT, (2.5, ev.BurnerSet(state="off"))),
        "unknown": STATES["burner unknown"][0],
    }
    advice = advice_after(*facts[state], minute=6.0)
    text = flat(drawn(advice, START + 360, cells, rows))
    assert shows(text, letters)
    assert text.count("burner ▌") == 1


def test_no_burner_stands_there_before_any_was_lit() -> None:
    assert "burner ▌" not in flat(drawn(advice_after(minute=0.5), START + 30, 80, 24))


def test_a_lit_burner_without_room_beside_the_word_has_a_row_of_its_own() -> None:
    advice = advice_after(*LIT, minute=5.0)
    assert advice.now is not None
    long = dc_replace(advice, now=dc_replace(advice.now, word="LOOK UNDER A B C D", next=""))
    text = flat(drawn(long, START + 300, 80, 24))
    assert "▀ burner ON 5 min ▀" in text
    assert shows(text, "LOOK UNDER A B C D")


@pytest.mark.parametrize(("cells", "rows"), [(80, 24), (120, 40)])
def test_a_wait_says_for_what_in_the_same_letters(cells: int, rows: int) -> None:
    advice = advice_after(*LIT, minute=3.5)
    assert advice.now is not None
    assert (advice.now.word, advice.now.next) == ("WAIT", "READ POT")
    text = flat(drawn(advice, START + 210, cells, rows))
    size = 5 if rows >= 34 else 3
    for part in block_rows("READ POT", size):
        assert part.rstrip() in text


def test_a_wait_for_something_long_says_its_first_word_beside_the_burner() -> None:
    advice = advice_after(*LIT, minute=3.5)
    assert advice.now is not None
    long = dc_replace(advice, now=dc_replace(advice.now, next="READ JUG CREAM"))
    text = flat(drawn(long, START + 210, 80, 24))
    rows = [row.rstrip() for row in block_rows("READ", 3)]
    assert all(row in text for row in rows)
    assert not all(row.rstrip() in text for row in block_rows("READ JUG", 3))
    assert all(row.rstrip() in text for row in block_rows("ON", 3))


def test_an_alarm_of_heat_shows_what_was_read_and_not_a_forecast_that_doubts_it() -> None:
    facts = (*ALARM, (6.0, ev.BurnerSet(state="off")))
    advice = advice_after(*facts, minute=7.0)
    assert advice.now is not None
    assert advice.now.word == "TOO HOT"
    assert advice.now.degrees.text == "95.0°"
    assert "limit 93 °C" in advice.now.degrees.label
    text = flat(drawn(advice, START + 420, 80, 24))
    assert "▲ ALARM: wax too hot ▲" in text


def test_beside_the_end_of_a_session_stands_no_temperature() -> None:
    """Its candles are on a shelf and its jugs as warm as the room."""
    advice = advice_after(*FULL, (3000.0, ev.Finished()), minute=3001.0)
    assert advice.now is not None
    assert (advice.now.word, advice.now.degrees.text, advice.now.time.text) == ("DONE", "", "")
    assert "burner ▌" not in flat(drawn(advice, START + 3001 * 60, 80, 24))


def test_what_waits_without_harm_is_due_and_not_late() -> None:
    """Nobody is late to light the burner for the first time; a reading at a lit burner is another thing."""
    loaded = (0.1, ev.Waived(act="load pot", why="the pot is weighed and loaded"))
    advice = advice_after(loaded, minute=100.0)
    assert advice.now is not None
    assert advice.now.word == "HEAT ON"
    assert (advice.now.time.text, advice.now.time.late) == ("NOW", False)
    assert "late," not in flat(drawn(advice, START + 6000, 80, 24))
    lit = advice_after(loaded, *LIT, (15.0, ev.WaterSeen(topped_up=False)), minute=20.0)
    assert lit.now is not None
    assert lit.now.word == "READ POT"
    assert lit.now.time.late


# -- late, cautions, header --------------------------------------------------------------------------


def test_what_is_late_says_so_in_words_on_every_size() -> None:
    minute = 320.0
    advice = advice_after(*FULL[:8], minute=minute)
    assert advice.now is not None
    assert advice.now.time.late
    small = flat(drawn(advice, START + 60 * minute, 40, 12))
    assert "Late, closed" in small
    usual = flat(drawn(advice, START + 60 * minute, 80, 24))
    assert "late, closed" in usual
    (row,) = [row for row in usual.split("\n") if "LOOK B" in row]
    assert row.startswith("• "), "how late it is stands above, in large, and nowhere else"
    assert "late" not in row


def acting(says: str, caution: str, number: str = "88.2°") -> Advice:
    """Advice whose sentence and caution are these, with the burner lit for an hour."""
    advice = advice_after(*LIT, minute=60)
    assert advice.now is not None
    act = dc_replace(advice.now.act, kind="pour", word="POUR", moulds="AB", caution=caution)
    degrees = dc_replace(advice.now.degrees, text=number)
    return dc_replace(
        advice, now=dc_replace(advice.now, word="POUR A B", act=act, says=says, degrees=degrees)
    )


@pytest.mark.parametrize(("cells", "rows"), SIZES)
@pytest.mark.parametrize("caution", [HEAT, SCENT, HOT_WAX, DRY, WARM_AIR, f"{CLASH} {HOT_WAX}"])
@pytest.mark.parametrize("says", ["Pour A.", "Pour 412 g of cream into A and 236 g into B, at 82 °C. " * 2])
def test_a_caution_is_read_whole_at_every_size(cells: int, rows: int, caution: str, says: str) -> None:
    text = " ".join(flat(drawn(acting(says, caution), START + 3600, cells, rows)).split())
    assert " ".join(caution.split()) in text
    assert "Space done" in text
    assert "burner" in text


@pytest.mark.parametrize("asked", range(1, 7))
@pytest.mark.parametrize("rows", [20, 22, 24, 34, 40])
def test_a_long_caution_and_a_question_below_leave_the_keys_in_sight(rows: int, asked: int) -> None:
    under = Foot(entry=(line("a question"),) * asked, keys=line("Space done"))
    advice = acting("Pour 412 g of cream into A and 236 g into B, at 82 °C. " * 2, f"{CLASH} {HOT_WAX}")
    block = draw_stove(advice, START + 3600, 80, rows, under, Look(strip="demo"))
    assert len(block) == rows
    assert text_of(block[-1]) == "Space done"
    assert "A and B both close about 15:20" in flat(block)


@pytest.mark.parametrize(("cells", "rows"), [(40, 12), (60, 15), (80, 24), (120, 40)])
def test_of_a_caution_that_has_no_room_whole_sentences_are_left_out_from_the_end(
    cells: int, rows: int
) -> None:
    sentences = [f"Number {n} of the things that can hurt here is said in its own words." for n in range(30)]
    text = flat(drawn(acting("Pour A.", " ".join(sentences)), START + 3600, cells, rows))
    said = " ".join(text.split("─")[0].split())
    assert sentences[0] in said
    last = max(n for n in range(30) if f"Number {n} of" in said)
    assert all(sentence in said for sentence in sentences[: last + 1])
    assert "…" not in said


@pytest.mark.parametrize(("cells", "rows"), [*SIZES, (40, 13), (60, 15), (80, 21)])
def test_the_fire_card_has_all_its_steps_and_no_half_sentence(cells: int, rows: int) -> None:
    block = draw_fire(cells, rows)
    assert len(block) == rows
    assert all(width(row) <= max(cells, 1) for row in block)
    text = " ".join(flat(block).split())
    assert all(" ".join(step.split()) in text for step in FIRE_STEPS)
    for sentence in FIRE_MORE.split(". "):
        assert sentence in text or " ".join(sentence.split()[:2]) not in text
    assert "…" not in text


@pytest.mark.parametrize("degrees", ["88.2°", "~9°", "120°"])
def test_in_a_small_window_a_row_lies_between_the_word_and_the_big_numbers(degrees: str) -> None:
    rows = [text_of(row) for row in drawn(acting("Pour A.", "", degrees), START + 3600, 40, 12)]
    big = [any(sign in row for sign in "▀▄█") for row in rows]
    assert big[:7] == [True] * 3 + [False] + [True] * 3
    assert "burner ON" in rows[3]


@pytest.mark.parametrize("title", ["", "Two pillars", "A long name of a session that nobody can read " * 3])
@pytest.mark.parametrize("cells", [72, 80, 120])
def test_the_header_never_hides_that_this_is_a_demo(title: str, cells: int) -> None:
    advice = advice_after(*FULL, minute=160, plan=replace(two_pillars(), title=title))
    top = text_of(drawn(advice, START + 160 * 60, cells, 24)[0])
    assert " · demo" in top
    assert "…" not in top.split(" · demo")[1]


# -- letters and lines -------------------------------------------------------------------------------


@pytest.mark.parametrize("rows", [3, 5])
@pytest.mark.parametrize(
    "text", ["HEAT OFF", "POUR A B", "87.5°", "~82°", "+1h23", "4:09", "2d 4h", "--", ""]
)
def test_block_letters_are_as_wide_as_they_say_on_every_row(text: str, rows: int) -> None:
    block = block_rows(text, rows)
    assert len(block) == rows
    assert {cell_len(row) for row in block} == {block_width(text, rows)}


def test_digits_and_letters_can_be_told_apart_from_each_other() -> None:
    for rows in (3, 5):
        shapes = {}
        for char in "ABCDEFGHIJKLMNOPQRSTUVWXYZ123456789":
            shape = tuple(block_rows(char, rows))
            assert shape not in shapes, (char, shapes.get(shape), rows)
            shapes[shape] = char


def test_a_letter_the_font_has_not_is_a_question_mark() -> None:
    assert block_rows("\x1b", 3) == block_rows("?", 3)


@pytest.mark.parametrize("cells", [1, 2, 5, 11, 40])
@pytest.mark.parametrize("text", ["", "rust", "蝋燭をつくる", "a" * 60, "e\u0301e\u0301"])
def test_a_line_is_fitted_to_exactly_its_cells(text: str, cells: int) -> None:
    assert width(fit(line(text), cells)) == cells


def test_wrapping_keeps_every_word_or_ends_with_an_ellipsis() -> None:
    text = "Go and look at B: matt, firm to the wall and the wick, no fingerprint."
    assert " ".join(text_of(row) for row in wrap(text, 20)) == text
    short = wrap(text, 20, most=2)
    assert len(short) == 2
    assert text_of(short[-1]).endswith("…")
    assert all(width(row) <= 20 for row in short)


def test_neighbours_of_one_job_become_one_piece() -> None:
    assert joined([("a", "ink"), ("b", "ink"), ("c", "late"), ("d", "ink")]) == (
        ("ab", "ink"),
        ("c", "late"),
        ("d", "ink"),
    )
    assert joined([]) == ()


def test_two_blocks_stand_side_by_side() -> None:
    rows = [text_of(row) for row in beside([line("a")], [line("b"), line("c")], 4, gap=1)]
    assert rows == ["a    b", "     c"]


def test_beside_a_reading_stands_when_the_wax_will_be_hot_and_not_when_to_read():
    """The reading itself is due before that; two bare times in one row would contradict each other."""
    reading = Act(
        id=ActId("read", nth=1),
        kind="read",
        word="READ POT",
        says="",
        why="",
        due=600.0,
        window=Quantiles(900.0, 1200.0, 1800.0),
    )
    look = dc_replace(reading, kind="look", word="LOOK")
    assert "hot " in when_words(reading, 0.0)
    assert "hot " not in when_words(look, 0.0)
    assert when_words(look, 0.0).startswith("~"), "when it begins, by an estimate; a window's end says until"


def at(due: float, closes: float | None = None, word: str = "POUR") -> Act:
    closed = None if closes is None else START + closes
    return Act(ActId("pour", "B", 1), "pour", word, "Pour.", "", START + due, closes=closed)


def test_a_window_after_midnight_names_its_day_once():
    now, day = START, 24 * 3600.0
    assert when_words(at(day, day + 600), now) == f"until {clock(START + day + 600)}"
    assert when_words(at(float("inf"), day + 600), now) == f"until {clock(START + day + 600, now)}"
    assert when_words(at(600, day + 600), now) == f"until {clock(START + day + 600, now)}"


@pytest.mark.parametrize("chosen", [None, 0, 3, 4, 9])
def test_an_agenda_that_is_cut_says_how_much_more_there_is_and_its_columns_are_those_of_what_is_seen(chosen):
    acts = [at(60.0 * n, word=f"STEP{n}") for n in range(10)]
    acts[-1] = at(3 * 24 * 3600.0, word="STEP9")
    rows = [
        text_of(r).rstrip()
        for r in agenda_block(Advice(State(), None, None, tuple(acts)), START, 34, 5, chosen)
    ]
    assert len(rows) == 5
    assert chosen is None or any(r.startswith("›") and f"STEP{chosen}" in r for r in rows)
    if "STEP9" not in "".join(rows):
        assert rows[-1].startswith("  … and ")
        assert {r[2:7] for r in rows[:-1]} <= {clock(a.due, START) for a in acts[:-1]}


def test_the_picture_keeps_its_place_while_sentences_come_and_go():
    advice = advice_after(*FULL, minute=61)
    assert advice.now is not None
    seen = set()
    for says in ("Wait.", "word " * 30, "word " * 60):
        now = dc_replace(advice.now, says=says)
        drawn = draw_stove(dc_replace(advice, now=now), START + 3660, 80, 24, FOOT, Look())
        seen.add(next(text_of(r).index("A tall") for r in drawn if "A tall" in text_of(r)))
    assert len(seen) == 1


@pytest.mark.parametrize(("cells", "rows"), [(80, 24), (100, 34), (120, 40)])
def test_the_moulds_keep_their_width_while_sentences_come_and_go(cells: int, rows: int) -> None:
    """A message of two lines, a caution of three: the picture may lose a row, and no column."""
    advice = advice_after(*FULL, minute=160)
    widths = set()
    for said in range(1, 5):
        for caution in ("", "Short.", "One. " * 30):
            assert advice.now is not None
            act = dc_replace(advice.now.act, caution=caution)
            changed = dc_replace(advice, now=dc_replace(advice.now, act=act))
            entry = tuple(line(f"message {n}") for n in range(said))
            lines = draw_stove(changed, START + 160 * 60, cells, rows, Foot(entry, FOOT.keys), Look())
            # Under four rows there is no picture at all.
            base = next((text_of(row) for row in lines if "└" in text_of(row)), "")
            widths |= {base[base.index("└") :].rstrip().partition(" ")[0]} if base else set()
    assert len(widths) == 1, widths


def test_the_line_to_pour_to_is_said_alike_for_every_mould_in_the_picture() -> None:
    def mould(letter: str, across: float, words: str) -> Picture:
        return Picture(letter, across, 0.15, (), 0.1, words, upside_down=False)

    for cells in range(20, 120):
        pair = [mould("A", 0.09, "140 mm"), mould("B", 0.05, "90 mm")]
        said = " ".join(text_of(row) for row in draw_moulds(pair, cells, 10))
        for way in ("below the rim", "to the rim", "to rim", "down"):
            assert said.count(f" mm {way}") in (0, 2), said


@pytest.mark.parametrize("message", [1, 2, 3])
def test_the_amounts_of_three_moulds_are_read_whole_and_the_picture_stands_beside_a_message(
    message: int,
) -> None:
    """The strip gives way first: what was cut before was how much goes into C."""
    says = "Pour dark green at 84 °C (79 °C to 85 °C will do): about 54 g into A, to the line 75 mm below its rim; about 54 g into B, to the line 75 mm below its rim; about 66 g into C, to the line 70 mm below its rim."
    under = Foot(entry=(line("Filed: three plugs."),) * message, keys=line("Space done"))
    block = draw_stove(acting(says, HOT_WAX), START + 3600, 80, 24, under, Look(strip="demo"))
    text = " ".join(flat(block).split())
    assert says in text
    assert HOT_WAX.split(". ")[0] in text
    assert "A tall" in text and "B short" in text  # noqa: PT018
    assert len(block) == 24
