"""The guide with every sentence changed decides what it decided before: words come last."""

from __future__ import annotations

import random
from typing import Any

import pytest

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.act import Act
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.now import what_now
from pourday.guide.ahead.alternatives import easing
from pourday.guide.ahead.day import ahead_of_plan
from pourday.session import events as ev
from tests.guide.advice.test_wild_days import answered, said
from tests.marked import MARK, plainly, sentences_changed, unmarked, without_marks


def decided(act: Act) -> tuple[object, ...]:
    """All of an act; its words as they would be unmarked, for a sentence may be chosen by another."""
    asked = act.question.choices if act.question is not None else ()
    answers = [(c.key, [plainly(fact) for fact in c.facts], c.then is not None) for c in asked]
    return (
        *(act.id, act.kind, act.moulds, act.layer, act.due, act.window, act.closes, act.place, act.urgency),
        *(act.between, act.parts, [plainly(fact) for fact in act.records], answers),
        *(unmarked(text) for text in (act.word, act.says, act.why, act.caution)),
    )


def wild_day(day: Any, seed: int) -> list[object]:
    """Everything that was decided on a day on which anything may be said, and its record."""
    r, minute = random.Random(seed), 31.0
    decisions: list[object] = []
    for _ in range(25):
        minute += r.choice((0.1, 1, 5, 20))
        day.alarms(minute)
        state, outlook, now = day.state, day.outlook(minute), day.t(minute)
        acts = agenda(state, outlook, now)
        first = what_now(state, outlook, acts, now)
        numbers = (first.time.text, first.time.label, first.degrees.text, first.degrees.label)
        decisions += [*map(decided, acts), decided(first.act), first.time.late, first.others]
        decisions += map(unmarked, numbers)
        minute += 0.05
        done = r.random() < 0.6 and first.act.kind != "wait"
        day.at(minute, *(answered(r, first.act) if done else said(r, day, acts)))
    return [*decisions, *without_marks(day.entries)]


@pytest.mark.parametrize("seed", [0, pytest.param(3, marks=pytest.mark.slow)])
def test_a_wild_day_goes_the_same_way_whatever_the_words(day_of: type, seed: int) -> None:
    usual = wild_day(day_of().melted(), seed)
    with sentences_changed():
        assert wild_day(day_of().melted(), seed) == usual


def test_the_words_are_really_changed(day_of: type) -> None:
    day = day_of()
    with sentences_changed():
        first = day.now(0)
    assert first.word.startswith(MARK)
    assert first.says.startswith(MARK)
    assert unmarked(first.word) == day.now(0).word


def test_after_an_absence_the_same_is_asked_whatever_the_words(day_of: type) -> None:
    def returned() -> list[object]:
        day = day_of().melted().jug(38, 0)
        day.at(40, ev.Poured(mould="A", layer=0, part="plug", planned_kg=0.03))
        day.at(41, ev.Told(act="plug 0 B", word=f"{MARK}PLUG B{MARK}", moulds="B"), by="program")
        day.at(160, ev.Reopened(program="0", away=118 * 60.0))
        asked, decisions = set[str](), list[object]()
        for minute in range(161, 171):
            first = day.now(minute).act
            asked.add(first.id.what)
            decisions.append(decided(first))
            day.at(minute + 0.5, *answered(random.Random(minute), first))
        assert {"back burner", "back pour"} <= asked
        return [*decisions, *without_marks(day.entries)]

    usual = returned()
    with sentences_changed():
        assert returned() == usual


def test_a_day_ahead_and_what_would_ease_it_are_the_same_whatever_the_words() -> None:
    plan = two_pillars()

    def ahead() -> list[object]:
        day = ahead_of_plan(plan, 0.0)
        steps = [(s.id, s.at, s.takes, s.opens, s.closes, s.empty, bool(s.caution)) for s in day.steps]
        return [*steps, day.end, len(day.clashes), len(list(easing(day)))]

    usual = ahead()
    with sentences_changed():
        assert ahead() == usual
