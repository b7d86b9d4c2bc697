"""What the keys do in the setup form, without a screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from pourday.plan.model import PREPARATIONS
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.tui.planner import LONGEST, Planner

NOW = 1_792_911_600.0
Press = Callable[..., None]


@pytest.fixture
def planner(tmp_path: Path) -> Planner:
    return Planner(LiveSession.create(tmp_path, "2026-10-25-a", now=NOW))


@pytest.fixture
def press(planner: Planner) -> Press:
    """Named keys, or text typed letter by letter."""

    def _press(*keys: str, text: str = "") -> None:
        for key in keys:
            planner.press(key, " " if key == "space" else None, NOW)
        for character in text:
            planner.press(character, character, NOW)

    return _press


def stand_on(planner: Planner, path: str) -> None:
    planner.at = next(i for i, row in enumerate(planner.rows()) if row.path == path)


def drafts(planner: Planner) -> int:
    return sum(isinstance(entry.fact, ev.PlanDrafted) for entry in planner.live.entries)


def test_leaving_a_row_files_what_was_typed(planner: Planner, press: Press) -> None:
    stand_on(planner, "moulds.0.diameter")
    press(text="3 in")
    assert planner.plan.moulds[0].shape.diameter == pytest.approx(0.075)
    press("enter")
    assert planner.plan.moulds[0].shape.diameter == pytest.approx(0.0762)
    assert planner.plan.typed["moulds.0.diameter"] == "3 in"
    assert planner.rows()[planner.at].path == "moulds.0.height"
    assert planner.text is None


@pytest.mark.parametrize("key", ["enter", "down", "tab", "up", "shift+tab", "pagedown", "home", "end"])
def test_every_way_out_of_a_row_files_it(planner: Planner, press: Press, key: str) -> None:
    stand_on(planner, "room_c")
    press(text="18")
    press(key)
    assert planner.plan.room_c == 18.0
    assert drafts(planner) == 1


def test_the_sheet_follows_each_key_and_nothing_is_filed_yet(planner: Planner, press: Press) -> None:
    stand_on(planner, "moulds.0.height")
    seen = []
    for character in "200":
        press(text=character)
        seen.append(planner.preview().moulds[0].shape.height)
    assert seen[-1] == pytest.approx(0.200)
    assert planner.plan.moulds[0].shape.height == pytest.approx(0.150)
    assert drafts(planner) == 0


def test_half_a_number_leaves_the_sheet_at_the_plan(planner: Planner, press: Press) -> None:
    stand_on(planner, "moulds.0.height")
    press(text="abc")
    assert planner.preview() == planner.plan


def test_what_cannot_be_taken_stays_typed_with_a_sentence_and_the_cursor_stays(
    planner: Planner, press: Press
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


def test_escape_drops_what_is_typed_and_only_then_leaves(planner: Planner, press: Press) -> None:
    stand_on(planner, "room_c")
    press(text="18")
    press("escape")
    assert (planner.text, planner.leaving) == (None, False)
    assert planner.plan.room_c == 20.0
    press("escape")
    assert planner.leaving is True


def test_enter_on_an_untouched_row_files_nothing(planner: Planner, press: Press) -> None:
    for _ in range(4):
        press("enter")
    assert drafts(planner) == 0
    assert planner.at == 4


def test_the_cursor_stops_at_both_ends(planner: Planner, press: Press) -> None:
    press("up", "up")
    assert planner.at == 0
    press("end", "down", "pagedown")
    assert planner.at == len(planner.rows()) - 1
    press("home")
    assert planner.at == 0


def test_backspace_takes_from_what_stands_in_the_row(planner: Planner, press: Press) -> None:
    stand_on(planner, "title")
    press(text="Pillars")
    press("down", "up", "backspace")
    assert planner.text == "Pillar"


def test_letters_and_arrows_choose_and_the_choice_is_filed_at_once(planner: Planner, press: Press) -> None:
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


def test_another_mould_is_stood_on_at_once(planner: Planner, press: Press) -> None:
    stand_on(planner, "moulds.add")
    press("enter")
    assert len(planner.plan.moulds) == 2
    assert planner.rows()[planner.at].path == "moulds.1.name"
    stand_on(planner, "moulds.remove")
    press("enter")
    assert len(planner.plan.moulds) == 1
    assert 0 <= planner.at < len(planner.rows())


def test_another_layer_is_stood_on_at_once(planner: Planner, press: Press) -> None:
    stand_on(planner, "layers.add")
    press("enter")
    assert planner.rows()[planner.at].path == "layers.1.colour"


def test_preparations_go_from_open_to_done_to_waived(planner: Planner, press: Press) -> None:
    stand_on(planner, "prepare.wick")
    press("space")
    assert planner.live.state.prepared["wick"] == "done"
    press("space")
    assert planner.live.state.prepared["wick"] == "waived"
    press(text="d")
    assert planner.live.state.prepared["wick"] == "done"


def test_the_day_begins_at_the_second_enter_while_preparations_are_open(
    planner: Planner, press: Press
) -> None:
    stand_on(planner, "start")
    press("enter")
    assert planner.started is False
    assert all(item.id in planner.message for item in PREPARATIONS)
    press("enter")
    assert planner.started is True
    assert planner.live.state.stage == "melt"


def test_the_day_begins_at_once_when_all_is_ticked(planner: Planner, press: Press) -> None:
    for item in PREPARATIONS:
        stand_on(planner, f"prepare.{item.id}")
        press("space")
    stand_on(planner, "start")
    press("enter")
    assert planner.started is True
    assert planner.live.state.fixed_plan == planner.plan


def test_a_plan_that_cannot_be_weighed_out_does_not_begin(planner: Planner, press: Press) -> None:
    stand_on(planner, "moulds.0.below_rim")
    press(text="150 mm")
    press("enter")
    stand_on(planner, "start")
    press("enter", "enter")
    assert planner.started is False
    assert planner.message
    assert planner.live.state.stage == "setup"


def test_pasted_text_is_typed_text_but_not_without_end(planner: Planner, press: Press) -> None:
    stand_on(planner, "wick")
    planner.paste("flat \x1b[31mbraid\x07 " * 50)
    assert planner.text is not None
    assert len(planner.text) <= LONGEST
    press("enter")
    assert planner.plan.wick.isprintable()
    assert "[31m" not in planner.plan.wick


def test_a_paste_into_a_choice_does_nothing(planner: Planner) -> None:
    stand_on(planner, "units")
    planner.paste("us")
    assert planner.text is None
    assert planner.plan.units == "metric"


def test_what_was_filed_is_there_when_the_plan_is_opened_again(planner: Planner, press: Press) -> None:
    stand_on(planner, "moulds.0.diameter")
    press(text="3 in")
    press("enter")
    live = planner.live
    live.close()
    again = Planner(LiveSession.open(live.folder, live.session, now=NOW + 60))
    stand_on(again, "moulds.0.diameter")
    assert again.rows()[again.at].value == "3 in"
    again.live.close()
