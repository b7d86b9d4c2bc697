"""What the keys do in the setup form, without a screen."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.kitchen.kitchen import Kitchen
from pourday.plan.form import rows as form_rows
from pourday.plan.model import PREPARATIONS, BlendPart, Layer, Mould, Plan, Rectangle, WaterFilled
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.setup.controller import LONGEST, PAGES, SetupController
from pourday.tui.setup.layout import draw_setup
from pourday.wax.supplier import from_sheet

NOW = 1_792_911_600.0
Press = Callable[..., None]


@pytest.fixture
def planner(tmp_path: Path) -> SetupController:
    return SetupController(LiveSession.create(tmp_path, "2026-10-25-a", now=NOW))


@pytest.fixture
def press(planner: SetupController) -> Press:
    """Named keys, or text typed letter by letter."""

    def _press(*keys: str, text: str = "") -> None:
        for key in keys:
            planner.press(key, " " if key == "space" else None, NOW)
        for character in text:
            planner.press(character, character, NOW)

    return _press


def stand_on(planner: SetupController, path: str) -> None:
    planner.at = next(i for i, row in enumerate(planner.rows()) if row.path == path)


def drafts(planner: SetupController) -> int:
    return sum(isinstance(entry.fact, ev.PlanDrafted) for entry in planner.live.entries)


def test_leaving_a_row_files_what_was_typed(planner: SetupController, press: Press) -> None:
    stand_on(planner, "moulds.0.shape.diameter")
    press(text="3 in")
    assert planner.plan.moulds[0].shape.diameter == pytest.approx(0.075)
    press("enter")
    assert planner.plan.moulds[0].shape.diameter == pytest.approx(0.0762)
    assert planner.plan.typed["moulds.0.shape.diameter"] == "3 in"
    assert planner.rows()[planner.at].path == "moulds.0.shape.height"
    assert planner.text is None


@pytest.mark.parametrize("key", ["enter", "down", "up", "pageup", "pagedown", "home", "end"])
def test_every_way_out_of_a_row_files_it(planner: SetupController, press: Press, key: str) -> None:
    stand_on(planner, "room_c")
    press(text="18")
    press(key)
    assert planner.plan.room_c == 18.0
    assert drafts(planner) == 1


def test_the_sheet_follows_each_key_and_nothing_is_filed_yet(planner: SetupController, press: Press) -> None:
    stand_on(planner, "moulds.0.shape.height")
    seen = []
    for character in "200":
        press(text=character)
        seen.append(planner.preview().moulds[0].shape.height)
    assert seen[-1] == pytest.approx(0.200)
    assert planner.plan.moulds[0].shape.height == pytest.approx(0.150)
    assert drafts(planner) == 0


def test_half_a_number_leaves_the_sheet_at_the_plan(planner: SetupController, press: Press) -> None:
    stand_on(planner, "moulds.0.shape.height")
    press(text="abc")
    assert planner.preview() == planner.plan


def test_what_cannot_be_taken_stays_typed_with_a_sentence_and_the_cursor_stays(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "room_c")
    press(text="warm")
    press("down")
    assert planner.rows()[planner.at].path == "room_c"
    assert planner.text == "warm"
    assert "warm" in planner.message
    assert drafts(planner) == 0
    press("backspace", "backspace", "backspace", "backspace")
    press(text="21")
    press("enter")
    assert planner.plan.room_c == 21.0
    assert planner.message == ""


def test_escape_drops_what_is_typed_and_only_then_leaves(planner: SetupController, press: Press) -> None:
    stand_on(planner, "room_c")
    press(text="18")
    press("escape")
    assert (planner.text, planner.leaving) == (None, False)
    assert planner.plan.room_c == 20.0
    press("escape")
    assert planner.leaving is True


def test_enter_on_an_untouched_row_files_nothing(planner: SetupController, press: Press) -> None:
    stand_on(planner, "moulds.0.shape")
    before = planner.at
    for _ in range(4):
        press("enter")
    assert drafts(planner) == 0
    assert planner.at == before + 4


def test_the_cursor_stops_at_both_ends(planner: SetupController, press: Press) -> None:
    press("up", "up")
    assert planner.at == 0
    press("end", "down", "pagedown")
    assert planner.at == len(planner.rows()) - 1
    press("home")
    assert planner.at == 0


def test_backspace_takes_from_what_stands_in_the_row(planner: SetupController, press: Press) -> None:
    stand_on(planner, "title")
    press(text="Pillars")
    press("down", "up", "backspace")
    assert planner.text == "Pillar"


def test_after_a_text_that_was_refused_the_next_letter_begins_anew(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "room_c")
    press(text="warm")
    press("enter")
    press(text="21")
    assert planner.text == "21"
    press("enter")
    assert planner.plan.room_c == 21.0


def test_a_bare_number_is_kept_with_its_unit(planner: SetupController, press: Press) -> None:
    planner.live.file(ev.PlanDrafted(plan=Plan(units="us")), now=NOW)
    stand_on(planner, "moulds.0.shape.diameter")
    press(text="3")
    press("enter", "up")
    assert (planner.row.value, planner.plan.moulds[0].shape.diameter) == ("3 in", pytest.approx(0.0762))
    press(text="75")
    press("enter")
    assert "is “75” in in?" not in planner.message
    assert "Type 75 mm" in planner.message
    planner.live.file(ev.PlanDrafted(plan=Plan()), now=NOW)
    planner.press("escape", None, NOW)
    stand_on(planner, "moulds.0.shape.diameter")
    press(text="3")
    press("enter")
    assert "Type 3 in or 3 cm" in planner.message


def test_a_wax_is_typed_or_turned_to(planner: SetupController, press: Press) -> None:
    stand_on(planner, "blend.0.wax")
    press(text="pal")
    assert planner.meant().startswith("palm wax")
    press("enter")
    assert planner.plan.blend[0].wax == "palm"
    stand_on(planner, "blend.0.wax")
    press(text="about 60 C")
    assert planner.text == "about 60 C"
    press("enter")
    assert planner.plan.own[0].name == "about 60 C"
    stand_on(planner, "blend.0.wax")
    press("space")
    assert planner.plan.blend[0].wax == "paraffin_low"
    press(text="cheese")
    press("enter")
    assert "cheese" in planner.message


def test_page_keys_go_from_part_to_part(planner: SetupController, press: Press) -> None:
    press("home")
    seen = []
    for _ in range(40):
        press("pagedown")
        seen.append(planner.row.path)
        if seen[-1] == "start":
            break
    assert seen[:4] == ["moulds.0.shape", "blend.0.wax", "pour_c", "layers.colours"]
    assert seen[-1] == "start"
    back = []
    for _ in seen:
        press("pageup")
        back.append(planner.row.path)
    assert back[-1] == "title"
    assert back[:-1] == seen[-2::-1]


def test_letters_and_arrows_choose_and_the_choice_is_filed_at_once(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "moulds.0.material")
    press(text="s")
    assert planner.plan.moulds[0].material == "silicone"
    press("right")
    assert planner.plan.moulds[0].material == "glass"
    press("right")
    assert planner.plan.moulds[0].material == "bright metal"
    press("left")
    assert planner.plan.moulds[0].material == "glass"
    press(text="z")
    assert planner.plan.moulds[0].material == "glass"


def test_another_mould_is_stood_on_at_once(planner: SetupController, press: Press) -> None:
    stand_on(planner, "moulds.add")
    press("enter")
    assert len(planner.plan.moulds) == 2
    assert planner.rows()[planner.at].path == "moulds.1.shape"
    stand_on(planner, "moulds.remove")
    press("enter")
    assert len(planner.plan.moulds) == 1
    assert 0 <= planner.at < len(planner.rows())


def test_another_layer_is_stood_on_at_once(planner: SetupController, press: Press) -> None:
    stand_on(planner, "layers.add")
    press("enter")
    assert planner.rows()[planner.at].path == "layers.1.colour"


def test_preparations_go_from_open_to_done_to_waived(planner: SetupController, press: Press) -> None:
    stand_on(planner, "prepare.wick")
    press("space")
    assert planner.live.state.prepared["wick"] == "done"
    press("space")
    assert planner.live.state.prepared["wick"] == "waived"
    press(text="d")
    assert planner.live.state.prepared["wick"] == "done"


def test_one_key_ticks_what_is_open_of_the_list_and_leaves_what_was_waived(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "prepare.bell")
    press(text="w")
    stand_on(planner, "all prepared")
    press("enter")
    marks = planner.live.state.prepared
    assert {item.id: marks[item.id] for item in PREPARATIONS} == {
        item.id: "waived" if item.id == "bell" else "done" for item in PREPARATIONS
    }
    assert "all prepared" not in [row.path for row in planner.rows()]
    assert planner.rows()[planner.at].path == "rehearse"


def test_the_day_begins_at_the_second_enter_while_preparations_are_open(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "start")
    press("enter")
    assert planner.started is False
    assert all(item.id in planner.message for item in PREPARATIONS)
    press("enter")
    assert planner.started is True
    assert planner.live.state.stage == "melt"


def test_the_day_begins_at_once_when_all_is_ticked(planner: SetupController, press: Press) -> None:
    for item in PREPARATIONS:
        stand_on(planner, f"prepare.{item.id}")
        press("space")
    stand_on(planner, "start")
    press("enter")
    assert planner.started is True
    assert planner.live.state.fixed_plan == planner.plan


def test_a_plan_that_cannot_be_weighed_out_does_not_begin_and_leads_to_the_field(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "moulds.0.below_rim")
    press(text="150 mm")
    press("enter")
    stand_on(planner, "start")
    press("enter")
    assert planner.started is False
    assert planner.row.path == "moulds.0.below_rim"
    assert "fill line" in planner.message
    assert planner.live.state.stage == "setup"


def test_pasted_text_is_typed_text_but_not_without_end(planner: SetupController, press: Press) -> None:
    stand_on(planner, "moulds.0.wick")
    planner.paste("flat \x1b[31mbraid\x07 " * 50)
    assert planner.text is not None
    assert len(planner.text) <= LONGEST
    press("enter")
    assert planner.plan.moulds[0].wick.isprintable()
    assert "[31m" not in planner.plan.moulds[0].wick


def test_a_paste_into_a_choice_does_nothing(planner: SetupController) -> None:
    stand_on(planner, "moulds.0.material")
    planner.paste("glass")
    assert planner.text is None
    assert planner.plan.moulds[0].material == "bright metal"


def test_what_was_filed_is_there_when_the_plan_is_opened_again(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "moulds.0.shape.diameter")
    press(text="3 in")
    press("enter")
    live = planner.live
    live.close()
    again = SetupController(LiveSession.open(live.folder, live.session, now=NOW + 60))
    stand_on(again, "moulds.0.shape.diameter")
    assert again.rows()[again.at].value == "3 in"
    again.live.close()


# --- folds ---


def shown(planner: SetupController) -> set[str]:
    return {row.path for row in planner.rows()}


@pytest.mark.parametrize("key", ["enter", "space", "right"])
def test_a_fold_opens_and_closes_and_files_nothing(planner: SetupController, press: Press, key: str) -> None:
    stand_on(planner, "moulds.0.more")
    press(key)
    assert "moulds.0.limit_c" in shown(planner)
    assert planner.row.path == "moulds.0.more"
    press(key)
    assert "moulds.0.limit_c" not in shown(planner)
    assert drafts(planner) == 0


def test_a_field_that_lies_folded_away_is_opened_to_stand_on(planner: SetupController, press: Press) -> None:
    planner.go_to("moulds.0.set_weight")
    press(text="0")
    press("enter")
    stand_on(planner, "moulds.0.more")
    press("enter")
    assert "moulds.0.set_weight" not in shown(planner)
    stand_on(planner, "start")
    press("enter")
    assert planner.row.path == "moulds.0.set_weight"
    assert "weight before" in planner.message


def test_a_value_that_no_longer_fits_leads_to_the_field_once_and_never_holds(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "moulds.0.shape.height")
    press(text="5 mm")
    press("enter")
    assert planner.row.path == "moulds.0.below_rim"
    assert "fill line" in planner.message
    press("down", "down", "down")
    assert planner.row.path == "moulds.0.more"
    stand_on(planner, "title")
    press(text="anyway")
    press("enter")
    assert planner.row.path == "room_c"


def test_a_wax_by_its_sheet_opens_the_sheet_to_be_typed(planner: SetupController, press: Press) -> None:
    planner.go_to("blend.own")
    press(text="White 60")
    press("enter")
    assert planner.row.path == "own.own-white-60.congealing"
    press(text="57-59")
    press("enter")
    assert planner.plan.own[0].congealing_c == 58.0
    assert planner.plan.typed["own.own-white-60.congealing"] == "57-59"


def test_a_new_shape_has_its_own_rows_and_the_cursor_stays(planner: SetupController, press: Press) -> None:
    stand_on(planner, "moulds.0.shape")
    press(text="o")
    assert isinstance(planner.plan.moulds[0].shape, WaterFilled)
    assert planner.row.path == "moulds.0.shape"
    assert "moulds.0.shape.water" in shown(planner)
    press("right")
    assert "moulds.0.shape.diameter" in shown(planner)


# --- pages ---


def test_tab_turns_through_the_pages_and_back_to_the_form_and_loses_nothing(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "title")
    press(text="Pillars")
    seen = []
    for _ in range(len(PAGES) + 1):
        press("tab")
        seen.append(planner.page)
    assert seen == [0, 1, 2, None]
    assert planner.text == "Pillars"
    press("enter")
    assert planner.plan.title == "Pillars"


def test_on_a_page_letters_are_not_typed_and_escape_leads_back_to_the_form(
    planner: SetupController, press: Press
) -> None:
    press("tab")
    press(text="abc")
    press("down", "pagedown", "up")
    assert planner.scroll == 8
    press("escape")
    assert (planner.page, planner.leaving, planner.text) == (None, False, None)


# --- memories ---


@pytest.fixture
def memories(tmp_path: Path) -> Memories:
    return Memories(tmp_path)


@pytest.fixture
def recalling(planner: SetupController, memories: Memories) -> SetupController:
    """The same planner with memories, looked up."""
    planner.memories = memories
    planner.recall()
    return planner


def test_a_sheet_that_was_typed_is_there_for_the_next_plan(
    recalling: SetupController, press: Press, memories: Memories, tmp_path: Path
) -> None:
    recalling.go_to("blend.own")
    press(text="White 60")
    press("enter")
    press(text="57-59")
    press("enter")
    assert memories.own_waxes()["own-white-60"].congealing_c == 58.0
    other = SetupController(LiveSession.create(tmp_path, "2026-10-26-a", now=NOW), Memories(tmp_path))
    other.recall()
    assert "White 60 (own)" in next(row.choices for row in other.rows() if row.path == "blend.0.wax")
    other.live.close()


def test_a_kept_sheet_is_forgotten_and_the_plan_has_it_still(
    recalling: SetupController, press: Press, memories: Memories
) -> None:
    recalling.go_to("blend.own")
    press(text="White 60")
    press("enter")
    stand_on(recalling, "own.own-white-60.forget")
    press("enter")
    assert memories.own_waxes() == {}
    assert recalling.plan.own[0].name == "White 60"
    assert "own.own-white-60.forget" not in shown(recalling)


def test_a_day_with_an_own_wax_can_be_rehearsed(planner: SetupController, press: Press) -> None:
    planner.go_to("blend.own")
    press(text="White 60")
    press("enter")
    assert Kitchen(planner.plan, 1, NOW).read("pot") > 0


def test_broken_memories_are_said_once_and_stop_nothing(planner: SetupController, press: Press) -> None:
    (planner.live.folder / ".memories.json").write_text("not json")
    planner.memories = Memories(planner.live.folder)
    planner.recall()
    assert "broken" in planner.message
    press("down")
    planner.recall()
    assert planner.message == ""


def test_a_plan_is_kept_under_a_name(recalling: SetupController, press: Press, memories: Memories) -> None:
    stand_on(recalling, "keep")
    press(text="Autumn pair")
    press("enter")
    assert "Autumn pair" in recalling.message
    kept = memories.plans()[0]
    assert (kept.name, kept.kept_at, kept.plan) == ("Autumn pair", NOW, recalling.plan)
    assert drafts(recalling) == 0


def test_what_a_mould_weighed_before_is_offered_when_its_sizes_are_typed(
    planner: SetupController, press: Press
) -> None:
    class Weighed(Memories):
        def weight_of(self, mould, plan):  # type: ignore[no-untyped-def]  # noqa: ARG002
            return 0.612 if mould.shape.height == pytest.approx(0.180) else None

    planner.memories = Weighed(planner.live.folder)
    planner.recall()
    assert "moulds.0.use_weight" not in shown(planner)
    stand_on(planner, "moulds.0.shape.height")
    press(text="180")
    press("enter")
    stand_on(planner, "moulds.0.use_weight")
    assert "612 g" in planner.row.label
    press("enter")
    assert planner.plan.moulds[0].set_weight == pytest.approx(0.612)
    assert "moulds.0.use_weight" not in shown(planner)


def test_a_memory_that_cannot_be_written_is_said_and_the_plan_has_the_wax_all_the_same(
    planner: SetupController, press: Press
) -> None:
    class Full(Memories):
        def keep_wax(self, wax):  # type: ignore[no-untyped-def]  # noqa: ARG002
            raise Trouble("It was not kept.", "The disk is full.")

    planner.memories = Full(planner.live.folder)
    planner.go_to("blend.own")
    press(text="White 60")
    press("enter")
    assert planner.plan.own[0].name == "White 60"
    assert "disk is full" in planner.message


# --- on the screen ---


@pytest.fixture
def hostile(planner: SetupController) -> SetupController:
    """A plan whose names are wide, long and strange, with every fold open."""
    name = "蝋燭と\u0301" * 20
    mould = Mould(name=name, shape=Rectangle(width=0.08, depth=0.05, height=0.1), material="glass", count=2)
    layers = tuple(Layer(colour=name, scent_load=0.07, dye_load=1e-5) for _ in range(3))
    own = from_sheet(name, "palm", {})
    blend = (BlendPart(wax=own.id, lot=name, price_per_kg=3.0), BlendPart(wax="beeswax", at_hand=0.1))
    plan = Plan(title=name, moulds=(mould, Mould()), layers=layers, own=(own,), blend=blend, pot=0.0005)
    planner.live.file(ev.PlanDrafted(plan=plan), now=NOW)
    planner.opened = frozenset(row.path for row in form_rows(planner.plan) if row.kind == "fold")
    return planner


@pytest.mark.parametrize("size", [(40, 12), (72, 20), (80, 24), (120, 40), (200, 60)])
def test_every_line_fits_the_screen_and_the_chosen_row_is_on_it(
    hostile: SetupController, size: tuple[int, int]
) -> None:
    cells, rows = size
    for page in (None, 0, 1, 2):
        hostile.page = page
        for at in range(0, len(hostile.rows()), 7):
            hostile.at = at
            drawn = draw_setup(hostile, cells, rows)
            assert len(drawn) == rows
            assert all(width(row) <= cells for row in drawn)
            if page is None:
                assert sum(text_of(row).startswith("› ") for row in drawn) == 1


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 40)])
def test_the_foot_says_in_full_what_the_chosen_row_has_no_room_for(
    planner: SetupController, size: tuple[int, int]
) -> None:
    for at, row in enumerate(planner.rows()):
        planner.at = at
        drawn = [text_of(line) for line in draw_setup(planner, *size)]
        here = next(line for line in drawn if line.startswith("› "))
        foot = " ".join(" ".join(drawn[drawn.index("─" * size[0]) :]).split())
        if row.kind == "choice" and row.label not in here:
            assert row.label in foot
        if row.kind == "act" and size[0] > 40:
            assert row.hint in here or row.hint in foot


@pytest.mark.parametrize("cells", [80, 100, 120])
def test_no_hint_is_cut(hostile: SetupController, cells: int) -> None:
    """Where the row has no room for what it says, the foot has: with findings or without."""
    plan = replace(
        hostile.plan,
        title="short",
        blend=(BlendPart(wax="beeswax", share=0.9), BlendPart(wax="palm", share=0.3)),
        own=(),
        layers=(Layer(colour="dark green", scent_load=0.3), Layer(colour="pale green")),
        moulds=(Mould(name="tall"), Mould()),
        typed={"blend.0.share": "90 %", "blend.1.share": "30 %"},
    )
    hostile.live.file(ev.PlanDrafted(plan=plan), now=NOW)
    for at, row in enumerate(hostile.rows()):
        hostile.at = at
        drawn = [text_of(line) for line in draw_setup(hostile, cells, 24)]
        here = next(line for line in drawn if line.startswith("› "))
        foot = " ".join(" ".join(drawn[drawn.index("─" * cells) : -1]).split())
        said = row.hint if row.value or row.kind == "act" else row.ghost
        assert said in here or said in foot, (row.path, said, here, foot)


def test_a_page_is_scrolled_to_its_end_and_no_further(hostile: SetupController, press: Press) -> None:
    press("tab", "end")
    last = draw_setup(hostile, 80, 24)
    assert any("outranks" in text_of(row) for row in last)
    press("up")
    assert draw_setup(hostile, 80, 24) != last


def test_the_bottom_line_names_the_key_to_sheet_findings_and_sources(
    planner: SetupController, press: Press
) -> None:
    def foot(cells: int, rows: int) -> str:
        return text_of(draw_setup(planner, cells, rows)[-1])

    assert "Tab sheet, findings, sources" in foot(120, 40)
    assert "Tab sheet" in foot(80, 24)
    assert "PgDn next part" in foot(80, 24)
    assert "Tab sheet" in foot(40, 12)
    assert "Esc back" in foot(40, 12)
    press("tab")
    assert "Tab findings" in foot(40, 12)


def test_the_sources_page_begins_with_the_chosen_row(planner: SetupController, press: Press) -> None:
    stand_on(planner, "blend.0.wax")
    press("shift+tab")
    text = [text_of(row).strip() for row in draw_setup(planner, 80, 24)]
    assert "wax (the chosen row)" in text
    assert any(row.startswith("Confidence B") for row in text)


# --- anything at all ---


def test_pasted_lines_become_one_text_without_anything_that_steers(planner: SetupController) -> None:
    stand_on(planner, "title")
    planner.paste("one\r\n\x1b[2Jtwo\u202e\n\n three")
    assert planner.text == "one, two, three"


KEYS = (
    *("up", "down", "enter", "enter", "tab", "shift+tab", "left", "right", "space", "backspace", "pagedown"),
    *("pageup", "home", "end", "delete", "f5", "ctrl+a"),
)
TEXTS = (
    "3 in",
    "600 g",
    "50 %",
    "85C",
    "0",
    "\u202e",
    "ärger 7",
    "1/2 in",
    "-5",
    "9" * 130,
    "50 mm 210 g, 90 mm 400 g",
)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_any_keys_in_any_order_never_crash_and_never_lose_a_row_that_was_filed(
    recalling: SetupController, press: Press, seed: int
) -> None:
    """250 seeded keys, texts and pastes each; what stood filed before stands unless its own row, or an act, changed it."""
    chance, planner = random.Random(seed), recalling
    for _ in range(250):
        before, path, kind = planner.plan, planner.row.path, planner.row.kind
        if chance.random() < 0.4:
            press(text=chance.choice(TEXTS))
        elif chance.random() < 0.05:
            planner.paste("a\nb\x1b]0;x\x07" * chance.randrange(20))
        else:
            press(chance.choice(KEYS))
        assert 0 <= planner.at < len(planner.rows())
        assert planner.text is None or (len(planner.text) <= LONGEST and planner.text.isprintable())
        if planner.plan != before and kind == "text":
            was = {row.path: row.value for row in form_rows(before)}
            now = {row.path: row.value for row in form_rows(planner.plan)}
            stem = path.rsplit(".", 1)[0]
            apart = {p for p in was.keys() & now.keys() if was[p] != now[p]}
            assert all(
                p == path or p.startswith((stem, "own.", "blend.")) or p.endswith("more") for p in apart
            ), (path, apart)
        planner.leaving = planner.started = False
    planner.live.close()
    kept = LiveSession.open(planner.live.folder, planner.live.session, now=NOW + 1)
    assert kept.state.plan == planner.plan
    kept.close()


def test_what_a_second_key_confirms_does_not_hang_on_the_words_between(
    planner: SetupController, press: Press
) -> None:
    stand_on(planner, "start")
    press("enter")
    assert not planner.started
    planner.message = "other words"
    press("enter")
    assert planner.started


def test_the_head_says_which_row_of_how_many_the_cursor_is_on(planner: SetupController) -> None:
    for at in (0, 3, len(planner.rows()) - 1):
        planner.at = at
        for cells in (40, 80, 120):
            head = text_of(draw_setup(planner, cells, 24)[0])
            assert head.endswith(f"row {at + 1} of {len(planner.rows())}")
            assert width(draw_setup(planner, cells, 24)[0]) == cells
