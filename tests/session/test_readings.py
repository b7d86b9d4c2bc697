"""What was measured becomes the fact that is filed, by one rule for keyboard, demo and whatever reads by itself."""

from __future__ import annotations

import pytest

from pourday.demo.scenario import two_pillars
from pourday.guide.advice.adviser import Adviser
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.session.readings import reading_of, usual_means, weight_of
from pourday.session.state import State

NOON = 1_792_922_400.0


def state_of(*said: tuple[float, Fact]) -> State:
    facts = [(0.0, ev.Opened(session="s", program="0")), (0.0, ev.PlanFixed(plan=two_pillars())), *said]
    moments = [(ev.moment(NOON + 60 * minute), fact) for minute, fact in facts]
    return fold(
        [Entry(seq=n, at=at, logged_at=at, by="person", fact=fact) for n, (at, fact) in enumerate(moments, 1)]
    )


HEATED = state_of(
    (1, ev.BurnerSet(state="on")),
    *((t, ev.Reading(place="pot", celsius=c, typed=str(c))) for t, c in ((1, 21.0), (3, 27.0), (5, 32.0))),
)


def pot_of(state: State, minute: float):
    outlook = Adviser().advise(state, NOON + 60 * minute).outlook
    assert outlook is not None
    return outlook.pot


def test_a_pot_that_cannot_be_so_hot_carries_its_doubt_and_one_on_its_way_none():
    """From 32 °C no double boiler brings a kilogram of wax to 93 °C in one minute: it takes about 100 kJ."""
    pot = pot_of(HEATED, 5)
    assert reading_of(HEATED, pot, "pot", 35.0, "35", NOON + 360).doubt == ""
    assert "does not fit" in reading_of(HEATED, pot, "pot", 93.0, "93", NOON + 360).doubt


def test_only_the_pot_is_doubted_and_only_where_it_has_a_forecast():
    assert reading_of(HEATED, None, "pot", 93.0, "93", NOON + 360).doubt == ""
    pot = pot_of(HEATED, 5)
    assert reading_of(HEATED, pot, "jug", 93.0, "93", NOON + 360).doubt == ""


def test_a_second_reading_that_bears_out_a_doubted_one_asks_what_was_not_filed():
    pot = pot_of(HEATED, 5)
    first = reading_of(HEATED, pot, "pot", 93.0, "93", NOON + 360)
    later = state_of(
        (1, ev.BurnerSet(state="on")),
        *(
            (t, ev.Reading(place="pot", celsius=c, typed=str(c)))
            for t, c in ((1, 21.0), (3, 27.0), (5, 32.0))
        ),
        (6, first),
    )
    again = reading_of(later, pot_of(later, 6), "pot", 94.0, "94", NOON + 420)
    assert "changed and not filed" in again.doubt


def test_a_surface_is_read_without_being_touched_and_the_mould_goes_along():
    fact = reading_of(HEATED, None, "surface", 55.0, "55", NOON, mould="B")
    assert (fact.means, fact.mould, fact.typed) == ("infrared", "B", "55")
    assert [usual_means(place) for place in ("pot", "jug", "bath", "room", "candle")] == ["probe"] * 5


@pytest.mark.parametrize(("out", "what"), [(False, "pour"), (True, "candle")])
def test_the_scale_weighs_the_pour_until_the_candle_is_out(out, what):
    poured = (1.0, ev.Poured(mould="A", layer=0, part="layer", planned_kg=0.3))
    demoulded = [(900.0, ev.Demoulded(mould="A", release="dropped out"))] if out else []
    weighed = weight_of(state_of(poured, *demoulded), "A", 0.281, "281 g")
    assert (weighed.what, weighed.kg, weighed.mould) == (what, 0.281, "A")
    assert weighed.pour == (None if out else 3), "of the last pour, which is the third entry"
