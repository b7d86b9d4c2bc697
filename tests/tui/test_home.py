"""The first screen: what is due comes first, every key leads somewhere, and nothing on it can steer the terminal."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from rich.cells import cell_len

from pourday.demo.scenario import two_pillars
from pourday.plan.model import Plan, tried_words
from pourday.plan.scaling import start_from as as_planned_of
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.repeat import how_it_went
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.reading import read_session
from pourday.store.settings import Settings
from pourday.tui.drawing.lines import text_of
from pourday.tui.home.command import HomeCommand
from pourday.tui.home.controller import HomeController, NextOfSession
from pourday.tui.home.layout import draw_home
from pourday.tui.home.new_plan import empty_plan

NOON = 1_795_608_000.0
SIZES = [(40, 12), (80, 24), (120, 40), (200, 60)]
PLAN = two_pillars()
HOSTILE = "\x1b[31m\x1b]0;gone\x07red\u202e \u8721\u71ed" + "x" * 200
Make = Callable[..., str]


@pytest.fixture
def make(tmp_path: Path) -> Make:
    """A session with these facts, a minute apart; its name."""

    def _make(session: str, *facts: ev.Fact, ago: float = 3600.0, finished: bool = False) -> str:
        live = LiveSession.create(tmp_path, session, now=NOON - ago)
        for number, fact in enumerate(facts, 1):
            live.file(fact, now=NOON - ago + 60 * number)
        if finished:
            live.finish("good", now=NOON - ago + 60 * len(facts) + 60)
        live.close()
        return session

    return _make


@pytest.fixture
def shelf(tmp_path: Path) -> HomeController:
    return HomeController(tmp_path)


def poured(mould: str, layer: int, kg: float | None, part: ev.Part = "layer") -> ev.Poured:
    return ev.Poured(mould=mould, layer=layer, part=part, kg=kg, planned_kg=0.2)


def press(shelf: HomeController, *keys: str) -> HomeCommand | None:
    """Keys as Textual hands them over; the order of the last."""
    order = None
    for key in keys:
        order = shelf.press(key, key if len(key) == 1 else None)
    return order


def shown(shelf: HomeController, size: tuple[int, int] = (80, 24)) -> str:
    return "\n".join(text_of(row).rstrip() for row in draw_home(shelf, NOON, *size))


# -- what stands there --------------------------------------------------------------------------------


def test_an_empty_shelf_offers_three_ways_and_says_what_a_first_day_needs(shelf):
    shelf.read()
    for size in SIZES:
        seen = shown(shelf, size)
        assert all(way in seen for way in ("watch a demo", "rehearse", "plan a day"))
    for need in ("A thermometer", "A scale", "A lid that fits", "Level bench"):
        assert need in shown(shelf, (80, 24))
    assert [press(shelf, key).act for key in "drnq"] == ["demo", "rehearse", "begin", "leave"]
    assert press(shelf, ",").act == "settings"
    assert press(shelf, "enter") is None
    assert "no session yet" in shelf.message


def test_an_answer_that_was_refused_is_typed_over_or_mended_or_taken_away_whole(shelf):
    shelf.read()
    shelf.first = True
    press(shelf, "m", *"banana", "enter")
    assert "banana" in shelf.message
    press(shelf, "6")
    assert shelf.question.typed == "6"
    press(shelf, *"2o", "enter", "backspace")
    assert shelf.question.typed == "62"
    press(shelf, "ctrl+u")
    assert shelf.question.typed == ""
    order = press(shelf, *"620m", "enter")
    assert order.keep == (("units", "metric"), ("altitude", "620m"))


def test_hot_wax_comes_first_then_what_is_due_then_what_is_done(shelf, make):
    make("2026-11-25-a", ev.PlanDrafted(plan=replace(PLAN, title="Planned")), ago=100)
    make("2026-11-24-a", ev.PlanFixed(plan=replace(PLAN, title="Hot")), ago=4000)
    full = [poured(m, x, 0.1, part) for m in "AB" for x, part in ((0, "layer"), (1, "layer"), (1, "top-up"))]
    make("2026-11-23-a", ev.PlanFixed(plan=replace(PLAN, title="Soon")), *full, ago=90_000)
    make("2026-11-22-a", ev.PlanFixed(plan=replace(PLAN, title="Done")), ago=900_000, finished=True)
    shelf.read()
    assert sorted(shelf.waiting()) == ["2026-11-23-a", "2026-11-24-a", "2026-11-25-a"]
    shelf.learn(
        {
            "2026-11-25-a": NextOfSession("plan it", float("inf")),
            "2026-11-24-a": NextOfSession("POUR A", NOON + 500),
            "2026-11-23-a": NextOfSession("DEMOULD B, due 11:00", NOON - 3600),
        }
    )
    assert [s.title for s in shelf.sessions] == ["Hot", "Soon", "Planned", "Done"]
    assert "DEMOULD B, due 11:00" in shown(shelf)
    assert press(shelf, "enter") == HomeCommand("open", session="2026-11-24-a")


def test_the_cursor_stays_on_its_session_when_the_order_changes(shelf, make):
    for day in (23, 24, 25):
        make(f"2026-11-{day}-a", ev.PlanFixed(plan=PLAN), ago=3600.0 * (26 - day))
    shelf.read()
    press(shelf, "down")
    chosen = shelf.chosen.session
    shelf.learn(
        {name: NextOfSession("POUR A", NOON + 100 * n) for n, name in enumerate(sorted(shelf.waiting()))}
    )
    assert shelf.chosen.session == chosen
    make("2026-11-26-a", ev.PlanFixed(plan=PLAN), ago=1.0)
    shelf.read()
    assert shelf.chosen.session == chosen


def test_a_file_that_cannot_be_opened_says_so_and_stands_in_nobodys_way(shelf, make, tmp_path):
    make("2026-11-25-a")
    (tmp_path / "2026-11-01-a.json").write_text("{")
    shelf.read()
    assert "Cannot be opened" in shown(shelf)
    assert press(shelf, "end", "enter") is None
    assert "2026-11-01-a.json cannot be read" in shelf.message
    assert press(shelf, "c") is None
    assert press(shelf, "home", "enter") == HomeCommand("open", session="2026-11-25-a")


def test_a_rehearsal_is_of_the_rest_of_the_chosen_day_or_of_its_plan(shelf, make):
    shelf.read()
    assert press(shelf, "r") == HomeCommand("rehearse")
    make("2026-11-25-a", ev.PlanDrafted(plan=PLAN), ago=100)
    make("2026-11-24-a", ev.PlanFixed(plan=PLAN), poured("A", 0, 0.2), ago=4000)
    make("2026-11-23-a", *WENT, ago=90_000, finished=True)
    shelf.read()
    orders = {}
    for _ in shelf.sessions:
        orders[shelf.chosen.session] = press(shelf, "r")
        press(shelf, "down")
    assert orders["2026-11-25-a"].plan == orders["2026-11-23-a"].plan == PLAN
    assert orders["2026-11-25-a"].state is None
    assert orders["2026-11-24-a"].state.moulds["A"].pours


# -- start from before --------------------------------------------------------------------------------

WENT = (
    ev.PlanFixed(plan=PLAN),
    poured("A", 0, 0.034, "plug"),
    poured("A", 0, 0.180),
    ev.Poured(mould="A", layer=1, part="layer", kg=0.290, celsius=84.0),
    poured("B", 0, 0.100),
)


def test_a_session_nothing_was_poured_in_starts_as_planned_without_a_question(shelf, make):
    make("2026-11-25-a", ev.PlanFixed(plan=PLAN))
    shelf.read()
    order = press(shelf, "c")
    assert order.act == "begin"
    assert order.plan.layers == PLAN.layers
    assert order.plan.blend[0].lot == ""


def test_as_planned_is_the_plan_the_day_began_with(shelf, make):
    revised = replace(PLAN, layers=(*PLAN.layers, PLAN.layers[0]))
    make("2026-11-25-a", *WENT, ev.PlanRevised(plan=revised), finished=True)
    shelf.read()
    assert press(shelf, "c") is None
    assert "as it was planned" in shown(shelf)
    assert press(shelf, "p") is None
    assert "one thing you change" in shown(shelf)
    assert press(shelf, "enter").plan == replace(as_planned_of(PLAN), parent="2026-11-25-a")


def test_the_one_change_and_why_go_into_the_plan(shelf, make):
    make("2026-11-25-a", *WENT, finished=True)
    shelf.read()
    press(shelf, "c", "p", *"pour at 78C because of rings")
    plan = press(shelf, "enter").plan
    assert (plan.parent, plan.tried.says, plan.tried.cause, plan.tried.fault) == (
        "2026-11-25-a", "pour at 78C", "of rings", "",
    )  # fmt: skip
    assert tried_words(plan.tried) == "pour at 78C (because of rings)"
    press(shelf, "c", "p", "escape")
    assert shelf.question is None


def test_as_it_went_pours_again_what_the_scale_said(shelf, make):
    make("2026-11-25-a", *WENT, finished=True)
    shelf.read()
    press(shelf, "c", "w")
    assert "mould A" in shown(shelf)
    assert press(shelf, "a") is None
    order = press(shelf, "enter")
    again = weigh_sheet(order.plan)
    # The heights are read off the hot fills, and the second day shrinks in between as the first one did.
    assert again.plug("A").kg + again.pour("A", 0).kg == pytest.approx(0.034 + 0.180, rel=0.03)
    ratio = order.plan.layers[0].share / sum(layer.share for layer in order.plan.layers)
    planned = PLAN.layers[0].share / sum(layer.share for layer in PLAN.layers)
    assert ratio < planned - 0.05
    assert order.plan.pour_c == 84.0
    assert order.plan.layers[0].scent_load == PLAN.layers[0].scent_load


def test_what_was_not_weighed_or_read_is_not_made_up(tmp_path, make):
    make("2026-11-25-a", ev.PlanFixed(plan=PLAN), poured("A", 0, None), poured("A", 1, 0.2))
    went = how_it_went(read_session(tmp_path, "2026-11-25-a").state, "A")
    assert (went.poured, went.plug, went.pour_c) == ((None, 0.2), None, None)
    assert set(went.scent_loads + went.dye_loads) <= {None}


def test_escape_leaves_each_question_one_step_at_a_time(shelf, make):
    make("2026-11-25-a", *WENT)
    shelf.read()
    press(shelf, "c", "w")
    assert shelf.question is not None
    assert press(shelf, "escape") is None
    assert shelf.question is None
    assert press(shelf, "escape") == HomeCommand("leave")


def test_a_new_plan_has_the_persons_own_units_scale_and_room():
    settings = Settings(units="us", scale_step=0.0001, altitude=1500.0, room_c=17.0, bath=0.002)
    assert empty_plan(settings) == Plan(
        units="us", scale_step=0.0001, altitude=1500.0, room_c=17.0, bath=0.002
    )
    assert empty_plan(Settings()) == Plan()


# -- kept plans ---------------------------------------------------------------------------------------


def test_a_kept_plan_begins_a_session_and_is_forgotten_only_after_asking(shelf, tmp_path):
    memories = Memories(tmp_path)
    memories.keep_plan("stripes", PLAN, NOON - 100)
    memories.keep_plan("older", replace(PLAN, title="Older"), NOON - 9e5)
    shelf.read()
    assert press(shelf, "p") is None
    assert "stripes" in shown(shelf)
    assert press(shelf, "enter").plan.layers == PLAN.layers
    assert press(shelf, "r").plan == PLAN
    press(shelf, "down", "delete")
    assert "Forget the plan “older”?" in shown(shelf)
    press(shelf, "x", "escape")
    assert len(memories.plans()) == 2
    press(shelf, "delete", "y")
    assert [kept.name for kept in memories.plans()] == ["stripes"]
    assert "forgotten" in shelf.message
    press(shelf, "escape")
    assert shelf.page == "list"


def test_no_kept_plans_is_said_in_words(shelf):
    shelf.read()
    press(shelf, "p")
    assert "No plan was kept yet" in shown(shelf)
    assert press(shelf, "enter") is None
    assert press(shelf, "delete") is None
    assert shelf.question is None


# -- how it looks -------------------------------------------------------------------------------------


def test_every_window_is_filled_exactly_whatever_is_pressed_and_however_texts_are_meant(
    shelf, make, tmp_path
):
    make("2026-11-25-a", *WENT[:1], *(ev.TimerSet(name=HOSTILE[:70], due=ev.moment(NOON)),))
    make("2026-11-24-a", *WENT, ev.PlanRevised(plan=replace(PLAN, title=HOSTILE)), finished=True)
    for number in range(30):
        make(f"2026-10-{number + 1:02d}-a", ev.PlanFixed(plan=replace(PLAN, title=HOSTILE)), ago=1e5 * number)
    (tmp_path / "2026-11-01-a.json").write_text("{")
    memories = Memories(tmp_path)
    for number in range(20):
        memories.keep_plan(f"{number} {HOSTILE}", PLAN, NOON - number)
    shelf.read()
    shelf.learn({name: NextOfSession("POUR A B C D E F G H, due 12:00", NOON) for name in shelf.waiting()})
    chance = random.Random(1)
    keys = [
        "up",
        "down",
        "pagedown",
        "pageup",
        "end",
        "home",
        "enter",
        "escape",
        "delete",
        *"ncpdr,qwayb/ xk",
    ]
    for _ in range(600):
        press(shelf, chance.choice(keys))
        cells, rows = chance.choice(SIZES)
        drawn = draw_home(shelf, NOON, cells, rows)
        assert len(drawn) == rows
        for row in drawn:
            text = text_of(row)
            assert cell_len(text) <= cells, text
            assert not {"\x1b", "\x07", "\u202e"} & set(text)


def test_the_chosen_session_is_in_sight_in_every_window(shelf, make):
    for number in range(1, 29):
        make(f"2026-10-{number:02d}-a", ev.PlanFixed(plan=replace(PLAN, title=f"Day {number}")), ago=number)
    shelf.read()
    for _ in range(28):
        for size in SIZES:
            assert f"› melt  {shelf.chosen.title}" in shown(shelf, size)
        press(shelf, "down")


def test_at_home_a_session_begins_from_another_and_every_way_leads_home(kitchen):
    """At the real program, with its next act worked out beside the screen."""
    before = kitchen.begin(poured("A", 0, 0.2))
    home = kitchen.run()
    home.wait_for("Enter open", "c again")
    home.until(lambda text: any(word in text for word in ("about ", "due ")))
    home.type("c")
    home.wait_for("as it really went")
    home.type("w")
    home.wait_for("one thing you change")
    home.type("\r")
    home.wait_for("Weigh sheet")
    home.type("\x1b")
    home.wait_for("c again", "plan  ")
    (begun,) = {path.stem for path in kitchen.folder.glob("*.journal")} - {before}
    assert [plan.plan.layers[0].colour for plan in kitchen.facts(ev.PlanDrafted, begun)] == ["rust"]
    home.type("p")
    home.wait_for("No plan was kept yet")
    home.type("\x1b")
    home.wait_for("c again")
    home.type("q")
    assert home.ended() == 0
