"""Rescue cards at the keyboard: one question, each card whole, what was picked on record and taken back by one key."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from typing import Any

import psutil
import pytest
from msgspec.structs import replace

from pourday.demo.scenario import START, two_pillars
from pourday.guide.acts.act import Choice, Question
from pourday.guide.rescue.cards_stove import card_question, cards
from pourday.plan.model import Cylinder, Hexagon, Layer, Mould, Plan, Rectangle, Square, Tapered
from pourday.plan.scaling import start_from
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.session.repeat import as_it_went, as_planned
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.drawing.pages import day_parts, draw_paper, draw_question, is_page
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.guard import SETTLES
from pourday.tui.stove.screen import StoveScreen

NAMES = {"\x1b": "escape", " ": "space"}
SIZES = ((80, 24), (120, 40), (40, 12), (60, 15))
POURED = START + 3600.0
"""When the first layers went in."""


class Hands:
    """Someone at the desk of a session: ten keys a second, so that what is asked stays what it is."""

    def __init__(self, live: LiveSession, now: float) -> None:
        self.live, self.now = live, now
        self.controller = StoveController(live)
        self.controller.wake(0.0)
        self.controller.look(now, 0.0)
        self.began = len(live.entries)

    def type(self, keys: str) -> None:
        for key in keys:
            self.now += 0.1
            self.controller.look(self.now, self.now - START)
            self.controller.press(
                NAMES.get(key, key), key if key != "\x1b" else None, self.now, self.now - START
            )
            self.controller.look(self.now, self.now - START)

    def said(self) -> list[ev.Fact]:
        """What was put on record by hand since, and still counts."""
        gone = {e.fact.entry for e in self.live.entries if isinstance(e.fact, ev.Undone)}
        mine = [e for e in self.live.entries[self.began :] if e.by == "person" and e.seq not in gone]
        return [e.fact for e in mine if not isinstance(e.fact, ev.WatchAnswered | ev.Undone)]


Begin = Callable[..., Hands]


@pytest.fixture
def begin(tmp_path) -> Iterator[Begin]:
    """A day with this plan and these facts an hour in, and a layer in each mould unless told otherwise."""
    opened: list[LiveSession] = []

    def made(plan: Plan | None = None, *facts: ev.Fact, layers: int = 1, after: float = 600.0) -> Hands:
        plan = plan or two_pillars()
        live = LiveSession.create(tmp_path, f"2026-10-25-{'abcdefgh'[len(opened)]}", now=START)
        opened.append(live)
        for fact in (ev.PlanDrafted(plan=plan), ev.PlanFixed(plan=plan), ev.BurnerSet(state="on")):
            live.file(fact, now=START)
        live.file(ev.Reading(place="pot", celsius=86.0, typed="86"), now=START + 1800)
        for fact in (ev.JugMade(layer=0), *facts):
            live.file(fact, now=START + 3000)
        for layer in range(layers):
            sheet = weigh_sheet(plan)
            for mould in sheet.moulds:
                kg = round(mould.pours[layer].kg, 4)
                poured = ev.Poured(mould=mould.letter, layer=layer, part="layer", planned_kg=kg)
                live.file(poured, now=POURED + layer)
        return Hands(live, POURED + after)

    yield made
    for live in opened:
        live.close()


def paths(asked: Question, before: str = "") -> Iterator[str]:
    """The keys to each last answer."""
    for choice in asked.choices:
        if choice.then is None:
            yield before + choice.key
        else:
            yield from paths(choice.then, before + choice.key)


def leaf(asked: Question, keys: str) -> Choice:
    *first, last = keys
    for key in first:
        asked = next(c.then for c in asked.choices if c.key == key and c.then is not None)
    return next(c for c in asked.choices if c.key == last)


def pages(asked: Question) -> Iterator[Question]:
    yield asked
    for choice in asked.choices:
        if choice.then is not None:
            yield from pages(choice.then)


def asked_now(hands: Hands) -> Question:
    outlook = hands.controller.advice.outlook
    assert outlook is not None
    return card_question(hands.live.state, outlook, hands.now)


def drawn(asked: Question, cells: int, rows: int, message: str = "") -> str:
    """All a page says, scrolled to its end."""
    seen: list[str] = []
    lines, most = draw_question(asked, message, (), cells, rows)
    for at in range(most + 1):
        lines, _ = draw_question(asked, message, (), cells, rows, at)
        assert len(lines) == rows
        assert all(width(line) <= cells for line in lines)
        seen += [text_of(line) for line in lines if text_of(line).strip() not in [s.strip() for s in seen]]
    return " ".join(" ".join(seen).split())


def core(state: Any) -> Any:
    """A state without the numbers of its last entry."""
    return state.moulds, state.jugs, state.plan, state.rescues, state.burner, state.waived, state.timers


@pytest.mark.parametrize("moulds", ["a", pytest.param("ab", marks=pytest.mark.slow)])
def test_every_card_goes_on_record_as_its_last_answer_says_and_one_key_takes_it_back(
    begin: Begin, moulds: str
) -> None:
    hands = begin(after=60.0)
    every = list(paths(asked_now(hands)))
    shown = cards(hands.live.state, hands.controller.advice.outlook, hands.now)
    assert {keys[0] for keys in every} == {card.key for card in shown}
    assert len({keys[0] for keys in every}) == 19
    if moulds == "a":
        # The last answer of each card, and of each kind of fact that any of its answers files.
        kinds = {
            (keys[0], *sorted({type(f).__name__ for f in leaf(asked_now(hands), keys).facts})): keys
            for keys in every
        }
        every = sorted(kinds.values())
    for keys in every:
        before, wanted = core(hands.live.state), leaf(asked_now(hands), keys)
        hands.began = len(hands.live.entries)
        hands.type("r" + keys)
        if (
            any(isinstance(fact, ev.Looked) for fact in wanted.facts)
            and hands.controller.question is not None
        ):
            # A minute after its pour it can hardly look like that: asked about, as everywhere.
            hands.type("y")
        assert hands.controller.question is None, keys
        filed = hands.said()
        assert [type(fact) for fact in filed] == [type(fact) for fact in wanted.facts], keys
        assert filed, keys
        assert hands.controller.message.startswith("Filed: "), keys
        hands.type("z" * (1 if any(isinstance(f, ev.RescueChosen) for f in filed) else len(filed)))
        assert hands.said() == [], keys
        assert core(hands.live.state) == before, keys
    assert core(fold(hands.live.entries)) == core(hands.live.state)


def test_escape_steps_back_page_by_page_and_out_and_files_nothing(begin: Begin) -> None:
    hands = begin()
    for keys in sorted({path[:far] for path in paths(asked_now(hands)) for far in range(len(path))}):
        seen = []
        for key in "r" + keys:
            hands.type(key)
            assert hands.controller.question is not None
            seen.append(hands.controller.question.asks)
        for asks in reversed(seen):
            assert hands.controller.question is not None, keys
            assert hands.controller.question.asks == asks, keys
            hands.type("\x1b")
        assert hands.controller.question is None
    assert hands.said() == []
    assert not hands.controller.leaving


def test_a_card_without_answers_asks_for_none() -> None:
    lines, _ = draw_question(Question("Nothing is in yet.", ()), "", (), 80, 24)
    assert "answers" not in text_of(lines[-1])
    assert "Esc back" in text_of(lines[-1])


def test_a_wrong_key_leaves_the_card_on_the_screen(begin: Begin) -> None:
    hands = begin()
    hands.type("rq")
    assert hands.controller.question is not None
    assert "one of the keys shown" in hands.controller.message


# -- plans of every kind --------------------------------------------------------------------------------


def many() -> Plan:
    """Eight moulds of five shapes, six layers with long and hostile names."""
    shapes = (
        Cylinder(diameter=0.075, height=0.15),
        Rectangle(width=0.06, depth=0.05, height=0.1),
        Tapered(diameter_low=0.08, diameter_rim=0.05, height=0.12),
        Hexagon(across_flats=0.06, height=0.1),
        Square(side=0.05, height=0.2),
    )
    names = (
        "rust",
        "[bold]red[/]",
        "a" * 60,
        "\u202eeulb",
        "白い蝋の色",
        "cream with a hint of orange and clove",
    )
    return replace(
        two_pillars(),
        units="us",
        moulds=tuple(
            Mould(name=f"m{n}", shape=shapes[n % 5], material="plastic", limit_c=85.0) for n in range(8)
        ),
        layers=tuple(Layer(colour=name, swatch="#b4532f", share=1.0, scent_load=0.04) for name in names),
        plug=0.0,
    )


def plain_one() -> Plan:
    """One mould, one layer, no plug."""
    plan = two_pillars()
    return replace(plan, moulds=plan.moulds[:1], layers=(replace(plan.layers[0], share=1.0),), plug=0.0)


@pytest.mark.parametrize("plan", [many(), plain_one()], ids=["eight moulds", "one layer"])
def test_every_page_of_every_card_can_be_read_to_its_end_on_every_screen(begin: Begin, plan: Plan) -> None:
    hands = begin(plan)
    for asked in pages(asked_now(hands)):
        for cells, rows in SIZES:
            if not is_page(asked):
                continue
            said = drawn(asked, cells, rows)
            assert "FIRE" in said
            for part in asked.asks.split():
                assert part in said or len(part) > cells
            for choice in asked.choices:
                assert all(word in said for word in choice.label.split() if len(word) < cells - 6), (
                    choice.label
                )


def test_an_empty_bench_has_cards_all_the_same(begin: Begin) -> None:
    plan = replace(two_pillars(), moulds=())
    hands = begin(plan, layers=0)
    hands.type("r")
    hands.type("w")
    parts = day_parts(hands.controller.advice, hands.now)
    assert draw_paper("What is left of this day", parts, 40, 12, 0)[0]


def test_what_is_left_of_the_day_is_read_to_its_end_on_the_smallest_screen(begin: Begin) -> None:
    hands = begin(many())
    parts = day_parts(hands.controller.advice, hands.now)
    _, most = draw_paper("", parts, 40, 12, 0)
    last, _ = draw_paper("", parts, 40, 12, most)
    text = "\n".join(text_of(line) for line in last)
    assert "Left in the pot after that" in " ".join(text.split())
    assert "Up Down more" in text


def test_a_plan_made_anew_stands_beside_the_plan_the_day_began_with(begin: Begin) -> None:
    hands = begin()
    hands.type("rmb2n")
    assert hands.controller.question is not None
    assert "Risk:" in hands.controller.question.asks
    hands.type("y")
    assert [type(f) for f in hands.said()] == [ev.Corrected, ev.RescueChosen, ev.PlanRevised]
    parts = dict(day_parts(hands.controller.advice, hands.now))
    said = parts["The plan as it began, and now"]
    assert any(line.startswith("B planned: rust") for line in said)
    assert any(line.startswith("B now: rust") for line in said)
    assert not any(line.startswith("A now:") for line in said)
    hands.type("z")
    assert dict(day_parts(hands.controller.advice, hands.now))["The plan as it began, and now"] == ()


def test_a_repeat_of_a_day_planned_anew_begins_with_the_plan_before_the_rescue(begin: Begin) -> None:
    hands = begin()
    hands.type("rma2ny")
    state = hands.live.state
    assert any(mould.shares for mould in state.plan.moulds)
    # It knows besides which session it was made after.
    assert as_planned(state) == replace(start_from(two_pillars()), parent=state.session)
    went = as_it_went(state, "A")
    assert went.moulds == two_pillars().moulds
    assert [layer.colour for layer in went.layers] == ["rust"]


def test_a_mould_melted_again_is_repeated_with_the_colours_it_really_got(begin: Begin) -> None:
    plan = replace(two_pillars(), plug=0.0)
    again = replace(plan.layers[0], colour="mixed", share=1.0)
    own = (replace(plan.moulds[0], shares=(0.0, 0.0, 1.0)), plan.moulds[1])
    revised = ev.PlanRevised(
        plan=replace(plan, layers=(*plan.layers, again), moulds=own), why="melted together"
    )
    hands = begin(plan, revised, layers=0)
    hands.live.file(ev.Poured(mould="A", layer=2, part="layer", kg=0.4), now=hands.now)
    went = as_it_went(hands.live.state, "A")
    assert [layer.colour for layer in went.layers] == ["mixed"]
    assert all(not mould.shares for mould in went.moulds)


async def test_a_question_is_on_screen_before_its_answers_are_worked_out(tmp_path):
    """They take up to a second: the key that asked for them is seen to have been heard, and no other one waits."""
    live = LiveSession.create(tmp_path, "2026-10-25-a", now=START)
    for fact in (
        ev.PlanFixed(plan=two_pillars()),
        ev.BurnerSet(state="on"),
        ev.Poured(mould="A", layer=0, part="plug", planned_kg=0.03),
        ev.Poured(mould="A", layer=0, part="layer", planned_kg=0.2),
    ):
        live.file(fact, now=START)
    app = PourdayApp(tmp_path, config=tmp_path / "settings.toml")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = StoveScreen(live, Still(START + 20000))
        await app.push_screen(screen)
        await pilot.pause(0.1)
        pid = app.worker._process.pid
        os.kill(pid, signal.SIGSTOP)
        live.file(ev.BurnerSet(state="off"), now=START + 20000)
        live.file(ev.Looked(mould="A", cue="pulled away"), now=START + 20000)
        screen.tick()
        assert screen.controller.advice.now.act.kind == "decide"
        # Sooner, Space is not about this sentence yet.
        await pilot.pause(SETTLES)
        await pilot.press("space")
        await pilot.pause(0.7)
        assert "Working out what can be done" in screen.canvas.plain()
        await pilot.press("m")
        await pilot.pause(0.7)
        assert "Still working out" in screen.controller.message
        await pilot.press("e")
        await pilot.pause(0.7)
        assert "puts the card away" in screen.canvas.plain()
        await pilot.press("e")
        await pilot.pause(0.7)
        os.kill(pid, signal.SIGCONT)
        until = time.monotonic() + 60
        while "demould and melt again" not in screen.canvas.plain() and time.monotonic() < until:
            await pilot.pause(0.05)
        assert "demould and melt again" in screen.canvas.plain()
        await pilot.press("m")
        await pilot.pause(0.7)
        await pilot.press("y")
        await pilot.pause(0.7)
        assert live.state.rescue("A").fact.option == "melt again"
    live.close()


async def test_forecasts_that_stopped_are_said_in_a_sentence_and_come_again(tmp_path):
    live = LiveSession.create(tmp_path, "2026-10-25-a", now=START)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    app = PourdayApp(tmp_path, config=tmp_path / "settings.toml")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = StoveScreen(live, Still(START + 20000))
        await app.push_screen(screen)
        await pilot.pause(0.1)
        os.kill(app.worker._process.pid, signal.SIGKILL)
        until = time.monotonic() + 60
        while "stopped and were started again" not in screen.canvas.plain() and time.monotonic() < until:
            await pilot.pause(0.05)
        assert "The forecasts stopped and were started again" in screen.canvas.plain()
        live.file(ev.Poured(mould="A", layer=0, part="plug", planned_kg=0.03), now=START + 20000)
        while screen.controller.advice.outlook.mould("A") is None and time.monotonic() < until:
            await pilot.pause(0.05)
        assert screen.controller.advice.outlook.mould("A") is not None
        pid = app.worker._process.pid
    assert not psutil.pid_exists(pid), "none is left behind"
    live.close()


class Still:
    def __init__(self, at: float) -> None:
        self.at = at

    def now(self) -> float:
        return self.at
