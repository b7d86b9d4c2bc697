"""What a key does on every page over a live record: taken back is what one answer said, why is asked, a watch is answered."""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.demo.scenario import START
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.store.heaps import begin_heap
from pourday.store.live import LiveSession
from pourday.tui.heap.controller import HeapController
from pourday.tui.live_controller import HEARD_EVERY, REASONS, reason_keys


@pytest.fixture
def live(tmp_path: Path) -> LiveSession:
    return begin_heap(tmp_path, Plan(), now=START)


def page_of(live: LiveSession) -> HeapController:
    return HeapController(live, START, lambda _wax, _lot: None)


def facts(live: LiveSession) -> list[ev.Fact]:
    return [entry.fact for entry in live.entries[1:]]


def test_all_that_one_answer_said_is_taken_back_and_brought_back_by_one_key(live: LiveSession) -> None:
    page = page_of(live)
    page.file((ev.Noted(text="first"),), now=START + 1)
    page.file((ev.Noted(text="second"), ev.Noted(text="third")), now=START + 2)
    assert page.take_back(START + 3, back=True)
    assert "second" in page.message
    assert "third" in page.message
    assert "first" not in page.message
    assert page.take_back(START + 4, back=False)
    assert page.take_back(START + 5, back=True)
    assert page.take_back(START + 6, back=True)
    assert "first" in page.message
    assert not page.take_back(START + 7, back=True)


def test_the_next_key_may_say_why_and_no_later_one(live: LiveSession) -> None:
    page = page_of(live)
    for t, keys in ((1, ["m"]), (10, ["down", "m"])):
        page.file((ev.Noted(text=f"at {t}"),), now=START + t)
        page.take_back(START + t + 1, back=True)
        for n, key in enumerate(keys):
            page.press(key, key if len(key) == 1 else None, START + t + 2 + n)
    whys = [fact.why for fact in facts(live) if isinstance(fact, ev.Reasoned)]
    assert whys == [REASONS["m"]], "after another key it is no reason any more"
    assert [key for key, _ in reason_keys()][:-1] == list(REASONS)


def test_a_key_answers_the_watch_over_a_lit_burner_and_does_nothing_else(live: LiveSession) -> None:
    page = page_of(live)
    page.file((ev.BurnerSet(state="on"),), now=START + 1)
    late = START + 1 + HEARD_EVERY + 600
    page.look(late)
    assert page.unheard(late)
    page.press("h", "h", late)
    assert page.is_lit(), "the key that says somebody is there turns no burner"
    assert isinstance(facts(live)[-1], ev.WatchAnswered)
    assert not page.unheard(late + 1)
    page.press("h", "h", late + 1)
    assert not page.is_lit()
