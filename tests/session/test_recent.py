"""Taking back the newest entries by what is remembered of them, held against folding everything anew."""

from __future__ import annotations

import time

from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import apply, fold, needs_refold
from pourday.session.recent import MOST, RecentStates

FACTS = (
    ev.Reading(place="pot", celsius=70.0),
    ev.BurnerSet(state="on"),
    ev.BurnerSet(state="off"),
    ev.Poured(mould="A", layer=0, part="layer", planned_kg=0.1),
    ev.Noted(text="x"),
    ev.TimerSet(name="wick", due=ev.moment(START + 900)),
    ev.GapSeen(seconds=3_600.0, cause="clock changed"),
    ev.GapSeen(seconds=-90.0, cause="clock changed"),
    ev.WentAway(),
    ev.CameBack(),
)


def entry(seq: int, fact: Fact) -> Entry:
    at = ev.moment(START + seq)
    by: ev.By = "person" if seq % 3 else "program"
    return Entry(seq=seq, at=at, logged_at=at, by=by, fact=fact)


def begun(plan_fixed: bool = True) -> list[Entry]:
    first = [entry(1, ev.Opened(session="day", program="0"))]
    return [*first, entry(2, ev.PlanFixed(plan=two_pillars()))] if plan_fixed else first


class Day:
    """A session kept as `LiveSession` keeps it."""

    def __init__(self) -> None:
        self.entries = begun()
        self.state = fold(self.entries)
        self.recent = RecentStates()

    def say(self, fact: Fact) -> None:
        new = entry(len(self.entries) + 1, fact)
        whole = [*self.entries, new]
        self.state = self.recent.refolded(whole) if needs_refold(fact) else apply(self.state, new)
        self.recent.after(new.seq, self.state)
        self.entries = whole


moves = st.one_of(
    st.sampled_from(FACTS).map(lambda fact: ("say", fact)),
    st.integers(1, 12).map(lambda back: ("undo", back)),
    st.tuples(st.integers(1, 12), st.floats(20, 90)).map(lambda pair: ("correct", pair)),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(moves, max_size=40))
def test_whatever_is_said_and_taken_back_the_state_is_the_fold_of_all_of_it(said: list) -> None:
    day = Day()
    for what, how in said:
        if what == "say":
            day.say(how)
        elif what == "undo":
            day.say(ev.Undone(entry=max(1, len(day.entries) + 1 - how)))
        else:
            back, celsius = how
            target = max(1, len(day.entries) + 1 - back)
            day.say(ev.Corrected(entry=target, fact=ev.Reading(place="pot", celsius=celsius)))
        assert day.state == fold(day.entries)


def test_what_is_older_than_is_remembered_is_folded_anew() -> None:
    day = Day()
    for number in range(3 * MOST):
        day.say(ev.Reading(place="pot", celsius=60.0 + number % 7))
    day.say(ev.Undone(entry=3))
    day.say(ev.Undone(entry=2 * MOST))
    assert day.state == fold(day.entries)


def test_taking_the_last_thing_back_costs_no_more_after_five_thousand_entries() -> None:
    """Of folding all of them anew; it was 1.2 to 1.5 s from key to screen."""
    day = Day()
    for number in range(5_000):
        day.say(FACTS[number % 2 * 4])
    began = time.process_time()
    fold(day.entries)
    whole = time.process_time() - began
    began = time.process_time()
    day.say(ev.Undone(entry=len(day.entries)))
    assert time.process_time() - began < 0.4 * whole
    assert day.state == fold(day.entries)
