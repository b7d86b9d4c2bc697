"""Wax that nobody knows, folded from facts, taken back, and said in words."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.describe import say_fact
from pourday.session.describe_heap import say_heap_fact
from pourday.session.events import Entry, moment
from pourday.session.fold import apply, fold
from pourday.session.heap import OF_HEAP, HeapState, Tin, with_heap_fact
from pourday.session.state import State

OPENED = ev.Opened(session="2026-11-30-wax-a", program="0", heap=True)
FACTS: tuple[ev.Fact, ...] = (
    ev.HeapStepDone(step="a heap"),
    ev.HeapWeighed(what="as it came", kg=1.34, typed="1.34 kg"),
    ev.HeapStepDone(step="kept warm", came="begun"),
    ev.WaterTested(came="dry"),
    ev.HeapWeighed(what="clean", kg=1.25),
    ev.WaxSeen(colour="brown", melted=1),
    ev.WaxSeen(smell="mineral"),
    ev.TinTold(what="weight", kg=0.06, typed="60 g"),
    ev.TinTold(what="around", around_c=21.0),
    ev.CoolingBegun(kg=0.06, around_c=21.0),
    ev.CoolingRead(celsius=74.5),
    ev.CoolingRead(celsius=73.1, probe="tin"),
    ev.CoolingEnded(
        curve="plateau", congealing_c=57.3, early_c=57.0, late_c=57.6, says="It sets at 57.3 °C."
    ),
    ev.BlockWeighed(dry_kg=0.045),
    ev.BlockWeighed(water_kg=0.050),
    ev.LotNamed(name="Ends, November"),
)


def entries(*facts: ev.Fact) -> list[Entry]:
    t = 1.8e9
    return [
        Entry(seq=n, at=moment(t + n * 15), logged_at=moment(t + n * 15), by="person", fact=fact)
        for n, fact in enumerate((OPENED, *facts), 1)
    ]


def heap(*facts: ev.Fact) -> HeapState:
    state = fold(entries(*facts))
    assert state.heap is not None
    return state.heap


def test_a_run_with_unknown_wax_is_told_from_a_day_at_the_stove():
    assert (fold(entries()).stage, State().heap) == ("heap", None)
    assert fold(entries(ev.Finished())).stage == "finished"


def test_everything_that_was_said_of_it_stands_in_its_state():
    wax = heap(*FACTS)
    assert wax.steps["a heap"].came == "done"
    assert wax.lost_kg is not None
    assert abs(wax.lost_kg - 0.09) < 1e-9
    assert (wax.seen.colour, wax.seen.smell, wax.seen.melted) == ("brown", "mineral", 1)
    assert wax.cooling is None
    assert wax.tin == Tin(), "it is of the curve that has begun"
    assert wax.curve is not None
    assert [c for _, c in wax.curve.readings] == [74.5, 73.1]
    assert (wax.dry_kg, wax.water_kg, wax.name) == (0.045, 0.050, "Ends, November")


def test_a_reading_belongs_to_the_newest_curve_and_to_none_where_none_is_taken():
    again = heap(*FACTS, ev.CoolingBegun(), ev.CoolingRead(celsius=70.0))
    assert [len(curve.readings) for curve in again.curves] == [2, 1]
    assert heap(ev.CoolingRead(celsius=70.0)).curves == ()
    assert heap(*FACTS, ev.CoolingRead(celsius=20.0)).curves[0].readings[-1][1] == 73.1


def test_readings_said_late_stand_in_the_order_of_time():
    begun = with_heap_fact(HeapState(), ev.CoolingBegun(), 0.0)
    late = with_heap_fact(
        with_heap_fact(begun, ev.CoolingRead(celsius=70.0), 30.0), ev.CoolingRead(celsius=71.0), 15.0
    )
    assert late.curves[0].readings == ((15.0, 71.0), (30.0, 70.0))


def test_a_reading_that_was_taken_back_is_gone_and_comes_back():
    taken = [*FACTS[:11], ev.Undone(entry=12)]
    assert heap(*taken).curves[0].readings == ()
    assert len(heap(*taken, ev.Undone(entry=13)).curves[0].readings) == 1


@given(st.lists(st.sampled_from(FACTS), max_size=12))
def test_one_more_fact_at_a_time_comes_to_the_same_as_all_of_them(facts):
    rows = entries(*facts)
    state = fold(rows[:1])
    for row in rows[1:]:
        state = apply(state, row)
    assert state.heap == fold(rows).heap


def test_every_fact_has_a_sentence_of_its_own():
    said = {type(fact): say_fact(fact, Plan()) for fact in FACTS}
    assert set(said) == set(OF_HEAP)
    assert all(
        words and "_" not in words and type(fact).__name__ not in words for fact, words in said.items()
    )
    assert said[ev.CoolingEnded] == "the cooling curve ended: It sets at 57.3 °C."
    assert say_heap_fact(ev.WaxSeen(liquid=930.0, floats=True), "metric", 0.001) == (
        "a piece floats in a liquid of 930 kg/m3"
    )
