"""A pour window in words: what closes it, what would open it, what a late pour will do."""

from __future__ import annotations

import msgspec

from pourday.demo.scenario import two_pillars
from pourday.plan.model import Plan
from pourday.session import events as ev


def cool(celsius: float) -> Plan:
    return msgspec.structs.replace(two_pillars(), pour_c=celsius)


def test_a_cool_pour_closes_its_own_window_and_the_words_say_what_would_open_it(day_of) -> None:
    """Pouring cooler closes the window sooner, until it is empty (heat notes: 98, 57, 28 min at 80, 72, 65 °C)."""
    left, advice = [], ""
    for celsius in (85.0, 75.0, 66.0):
        told = day_of(plan=cool(celsius)).melted().plugged().sealed().first_layers(51)
        mould = told.outlook(52).mould("A")
        left.append(mould.closes - told.t(51))
        if mould.empty:
            advice = mould.advice
    assert left == sorted(left, reverse=True)
    assert "no longer melts the edge" in advice
    assert "What would help" in advice


def test_a_late_pour_is_told_what_it_will_do_before_it_is_made(day) -> None:
    day.melted().plugged().sealed().first_layers(51).jug(300, 1)
    day.at(330, ev.Reading(place="jug", celsius=85.0), ev.Looked(mould="A", cue="firm"))
    act = next(a for a in day.acts(331).values() if a.kind == "pour" and "A" in a.moulds)
    assert act.closes < day.t(331)
    assert "A, poured now:" in act.caution


def test_a_pour_in_its_window_has_the_usual_caution_only(day) -> None:
    day.melted().plugged().sealed().first_layers(51)
    minute = (day.outlook(52).mould("A").best - day.t(0)) / 60
    day.jug(minute - 5, 1).at(minute, ev.Looked(mould="A", cue="firm"))
    act = next(a for a in day.acts(minute + 1).values() if a.kind == "pour" and "A" in a.moulds)
    assert "poured now" not in act.caution
