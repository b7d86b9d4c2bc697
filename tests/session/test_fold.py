"""The one way from entries to state: in order, with undo and correction, whatever was said before."""

from __future__ import annotations

import gc
import time
from collections.abc import Sequence
from dataclasses import replace

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.session.events import By, Entry, Fact
from pourday.session.fold import apply, effective, fold, last_undoable, needs_refold, plan_of
from pourday.session.state import State

NOON = 1_792_922_400.0
MINUTE = 60.0
BOOKKEEPING = {"last_seq": 0, "last_t": 0.0, "heard_at": 0.0}
"""What an undo itself moves on: the number and time of the last entry, and when somebody was heard."""

Said = tuple[Fact, By]


def record(*facts: Fact | Said) -> list[Entry]:
    """The facts a minute apart, said by the person unless another is named."""
    entries = []
    for number, said in enumerate(facts, 1):
        fact, by = said if isinstance(said, tuple) else (said, "person")
        at = ev.moment(NOON + MINUTE * number)
        entries.append(Entry(seq=number, at=at, logged_at=at, by=by, fact=fact))
    return entries


def begun(*facts: Fact | Said) -> list[Entry]:
    """The same after the day was begun, at entries 1 and 2."""
    return record(ev.Opened(session="s", program="0"), ev.PlanFixed(plan=two_pillars()), *facts)


def one_by_one(entries: Sequence[Entry]) -> State:
    state = State()
    for entry in entries:
        state = apply(state, entry)
    return state


def poured(mould: str, layer: int, part: ev.Part = "layer") -> ev.Poured:
    return ev.Poured(mould=mould, layer=layer, part=part, planned_kg=0.1)


def reading(celsius: float) -> ev.Reading:
    return ev.Reading(place="pot", celsius=celsius, typed=f"{celsius}")


# -- one by one, undo, correction -------------------------------------------------------------------


def test_fold_is_the_entries_applied_one_by_one() -> None:
    entries = begun(
        ev.BurnerSet(state="on"),
        reading(64.5),
        ev.JugMade(layer=0),
        poured("A", 0, "plug"),
        ev.SealSeen(mould="A", weeps=False),
        poured("A", 0),
        ev.Looked(mould="A", cue="firm"),
        (ev.Told(act="pour 1 A", word="POUR A"), "program"),
    )
    for length in range(len(entries) + 1):
        assert fold(entries[:length]) == one_by_one(entries[:length])


def test_a_very_long_record_is_folded_as_a_short_one() -> None:
    entries = begun(*(reading(60.0 + n % 9) if n % 3 else ev.Noted(text=f"note {n}") for n in range(2_000)))
    assert fold(entries) == one_by_one(entries)


def test_the_plan_alone_is_that_of_the_state() -> None:
    other = msgspec.structs.replace(two_pillars(), title="another")
    entries = begun(
        ev.PlanRevised(plan=other, why="less wax"), ev.Undone(entry=3), ev.Undone(entry=4), reading(70.0)
    )
    for length in range(len(entries) + 1):
        assert plan_of(entries[:length]) == fold(entries[:length]).plan
    assert plan_of(entries).title == "another"


def test_undo_leaves_the_state_as_if_the_entry_had_not_been_made() -> None:
    entries = begun(reading(64.5), reading(646.0 / 2), ev.Undone(entry=4))
    state = fold(entries)
    assert [r.celsius for r in state.readings] == [64.5]
    assert state.last_seq == 5
    assert needs_refold(entries[-1].fact)


def test_undo_of_an_undo_brings_the_entry_back() -> None:
    entries = begun(reading(64.5), ev.Undone(entry=3), ev.Undone(entry=4))
    assert [r.celsius for r in fold(entries).readings] == [64.5]
    assert fold(entries[:4]).readings == ()


def test_a_third_undo_takes_it_away_again() -> None:
    entries = begun(reading(64.5), ev.Undone(entry=3), ev.Undone(entry=4), ev.Undone(entry=5))
    assert fold(entries).readings == ()


def test_undoing_twice_over_the_keyboard_goes_one_step_further_back() -> None:
    entries = begun(reading(64.5), reading(66.0))
    first = last_undoable(entries)
    assert first is not None
    assert first.seq == 4
    second = last_undoable([*entries, *record(*[ev.CameBack()] * 4, ev.Undone(entry=4))[-1:]])
    assert second is not None
    assert second.seq == 3


def test_opening_drafts_and_what_the_program_said_are_not_undone() -> None:
    entries = record(
        ev.Opened(session="s", program="0"),
        ev.PlanDrafted(plan=two_pillars()),
        (reading(60.0), "probe"),
        (ev.AlarmRaised(alarm="watch", says="?"), "program"),
        ev.AlarmAcknowledged(alarm="watch"),
    )
    assert last_undoable(entries) is None


def test_a_correction_keeps_place_and_time_and_leaves_the_old_entry_readable() -> None:
    entries = begun(reading(745.0 / 5), ev.BurnerSet(state="on"), ev.Corrected(entry=3, fact=reading(74.5)))
    state = fold(entries)
    assert [(r.seq, r.t, r.celsius) for r in state.readings] == [(3, entries[2].t, 74.5)]
    assert entries[2].fact == reading(149.0)
    assert [e.seq for e in effective(entries)] == [1, 2, 3, 4]


def test_a_correction_keeps_the_time_of_what_was_logged_late() -> None:
    late = begun(reading(70.0), ev.Corrected(entry=3, fact=reading(71.0)))
    earlier = ev.moment(NOON - 5 * MINUTE)
    late[2] = Entry(seq=3, at=earlier, logged_at=late[2].logged_at, by="person", fact=late[2].fact)
    assert [(r.t, r.celsius) for r in fold(late).readings] == [(NOON - 5 * MINUTE, 71.0)]


def test_the_later_correction_counts_and_an_undone_one_does_not() -> None:
    twice = begun(
        reading(70.0), ev.Corrected(entry=3, fact=reading(71.0)), ev.Corrected(entry=3, fact=reading(72.0))
    )
    assert fold(twice).readings[0].celsius == 72.0
    taken_back = [*twice, *begun(*[ev.CameBack()] * 3, ev.Undone(entry=5))[-1:]]
    assert fold(taken_back).readings[0].celsius == 71.0


# -- what the facts do ------------------------------------------------------------------------------


def test_a_weight_belongs_to_the_last_pour_into_that_mould() -> None:
    entries = begun(
        poured("A", 0, "plug"),
        poured("A", 0),
        poured("B", 0, "plug"),
        ev.Weighed(mould="A", what="pour", kg=0.238),
    )
    moulds = fold(entries).moulds
    assert [p.kg for p in moulds["A"].pours] == [None, 0.238]
    assert [p.kg for p in moulds["B"].pours] == [None]


def test_a_weight_after_an_undone_pour_belongs_to_the_pour_before_it() -> None:
    entries = begun(
        poured("A", 0, "plug"),
        poured("A", 0),
        ev.Undone(entry=4),
        ev.Weighed(mould="A", what="pour", kg=0.034),
    )
    assert [(p.part, p.kg) for p in fold(entries).moulds["A"].pours] == [("plug", 0.034)]


def test_the_weight_of_the_candle_is_not_the_weight_of_a_pour() -> None:
    mould = fold(begun(poured("A", 0), ev.Weighed(mould="A", what="candle", kg=0.549))).moulds["A"]
    assert (mould.candle_kg, mould.pours[0].kg) == (0.549, None)


def test_a_look_before_a_pour_says_nothing_of_the_new_surface() -> None:
    entries = begun(poured("A", 0), ev.Looked(mould="A", cue="firm"), poured("A", 1))
    assert fold(entries[:4]).moulds["A"].look is not None
    assert fold(entries).moulds["A"].look is None


@pytest.mark.parametrize(
    ("before", "burner"),
    [
        ((), "unknown"),
        ((ev.BurnerSet(state="on"),), "unknown"),
        ((ev.BurnerSet(state="on"), poured("A", 0), ev.BurnerSet(state="off")), "unknown"),
    ],
    ids=["melt, never lit", "melt, lit", "pour, seen off"],
)
def test_opened_again_in_melt_and_pour_nobody_knows_the_burner(before: tuple[Fact, ...], burner: str) -> None:
    entries = begun(*before, (ev.Reopened(program="0", away=600.0), "program"))
    state = fold(entries)
    assert state.burner == burner
    assert state.burner_since == entries[-1].t
    assert (state.gaps[-1].start, state.gaps[-1].end) == (entries[-1].t - 600, entries[-1].t)


@pytest.mark.parametrize(("burner", "after"), [("off", "off"), ("on", "unknown")])
def test_in_the_cure_only_a_burner_seen_off_needs_no_look(burner: ev.Burner, after: str) -> None:
    entries = begun(
        ev.BurnerSet(state="on"),
        poured("A", 1, "top-up"),
        poured("B", 1, "top-up"),
        ev.BurnerSet(state=burner),
        (ev.Reopened(program="0", away=40_000.0), "program"),
    )
    assert fold(entries).stage == "cure"
    assert fold(entries).burner == after


@pytest.mark.parametrize(
    "rest",
    [(ev.Demoulded(mould="B", release="dropped out"),), (ev.Waived(act="top-up B"),)],
    ids=["out without a top-up", "left without a top-up"],
)
def test_a_mould_that_gets_no_more_wax_does_not_hold_up_the_cure(rest: tuple[Fact, ...]) -> None:
    before = (poured("A", 1, "top-up"), poured("B", 0), poured("B", 1))
    assert fold(begun(*before)).stage == "pour"
    assert fold(begun(*before, *rest)).stage == "cure"


def test_a_mould_whose_first_layer_was_left_out_does_not_hold_up_the_cure() -> None:
    """A plug left out is not the mould left out: the agenda goes on to its first layer."""
    before = (poured("A", 1, "top-up"),)
    assert fold(begun(*before)).stage == "pour"
    assert fold(begun(*before, ev.Waived(act="plug 0 B"))).stage == "pour"
    assert fold(begun(*before, ev.Waived(act="layer 0 A"))).stage == "pour"
    assert fold(begun(*before, ev.Waived(act="layer 0 B"))).stage == "cure"


def test_a_seal_is_known_with_the_time_it_was_looked_at() -> None:
    entries = begun(poured("A", 0, "plug"), ev.SealSeen(mould="A", weeps=True))
    mould = fold(entries).moulds["A"]
    assert (mould.weeps, mould.seal_seen_at) == (True, entries[-1].t)
    assert fold(entries).moulds["B"].seal_seen_at is None


def test_a_stuck_candle_is_still_in_its_mould() -> None:
    entries = begun(
        poured("A", 0),
        ev.Demoulded(mould="A", release="stuck"),
        ev.Demoulded(mould="A", release="dropped out"),
    )
    stuck, out = (fold(entries[:length]).moulds["A"] for length in (4, 5))
    assert (stuck.demoulded_at, stuck.release) == (None, "stuck")
    assert (out.demoulded_at, out.release) == (entries[4].t, "dropped out")


def test_wax_that_came_out_of_a_demoulded_candle_leaves_the_mould_to_be_poured_and_demoulded_again() -> None:
    mould = fold(
        begun(
            poured("A", 0),
            ev.Demoulded(mould="A", release="dropped out"),
            ev.Emptied(mould="A", how="demoulded"),
        )
    ).moulds["A"]
    assert (mould.pours, mould.demoulded_at, mould.release) == ((), None, None)


def test_a_timer_set_again_takes_the_place_of_the_one_of_its_name() -> None:
    early, late = ev.moment(NOON + 600), ev.moment(NOON + 1200)
    timers = fold(
        begun(
            ev.TimerSet(name="look", due=early),
            ev.TimerSet(name="tea", due=early),
            ev.TimerSet(name="look", due=late),
        )
    ).timers
    assert [(t.name, t.due) for t in timers] == [("tea", NOON + 600), ("look", NOON + 1200)]


@pytest.mark.parametrize(("cause", "lasted"), [("slept", 600.0), ("stalled", 600.0), ("clock changed", 0.0)])
def test_a_changed_clock_is_no_stretch_of_time_as_a_sleep_is(cause: str, lasted: float) -> None:
    (gap,) = fold(begun((ev.GapSeen(seconds=600.0, cause=cause), "program"))).gaps
    assert gap.end is not None
    assert gap.end - gap.start == lasted


def test_an_alarm_is_raised_acknowledged_and_ended_as_three_things() -> None:
    entries = begun(
        (ev.AlarmRaised(alarm="watch", says="Press any key."), "program"),
        ev.AlarmAcknowledged(alarm="watch"),
        (ev.AlarmEnded(alarm="watch"), "program"),
    )
    assert fold(entries[:3]).alarms["watch"].acknowledged_at is None
    assert fold(entries[:4]).alarms["watch"].acknowledged_at == entries[3].t
    assert fold(entries).alarms == {}


def test_a_clock_put_forward_moves_what_was_told_before_it() -> None:
    hour = 3600.0
    entries = begun(poured("A", 0), (ev.GapSeen(seconds=hour, cause="clock changed"), "program"))
    assert fold(entries).moulds["A"].pours[0].t == pytest.approx(entries[2].t + hour)
    assert entries[2].t == pytest.approx(NOON + 3 * MINUTE)


# -- whatever is said, in whatever order ------------------------------------------------------------

_LETTER = st.sampled_from(["A", "B", "C", ""])
_KG = st.none() | st.floats(0, 5)
_SAYABLE: st.SearchStrategy[Fact] = st.one_of(
    st.builds(ev.BurnerSet, state=st.sampled_from(["on", "off", "unknown"])),
    st.builds(ev.Reading, place=st.sampled_from(["pot", "jug", "room"]), celsius=st.floats(-60, 400)),
    st.builds(ev.WaxAdded, kg=_KG),
    st.builds(ev.WaterSeen, topped_up=st.booleans()),
    st.builds(ev.JugMade, layer=st.integers(-1, 9), kg=_KG),
    st.builds(
        ev.Poured,
        mould=_LETTER,
        layer=st.integers(-1, 9),
        part=st.sampled_from(["plug", "layer", "top-up"]),
        kg=_KG,
        share=st.floats(0, 1),
    ),
    st.builds(
        ev.Emptied,
        mould=_LETTER,
        from_layer=st.integers(-1, 3),
        how=st.sampled_from(["tipped back", "demoulded", "ran out"]),
        into=st.none() | st.integers(-1, 3),
        kg=_KG,
    ),
    st.builds(ev.JugReheated, layer=st.integers(-1, 9)),
    st.builds(ev.JugSeen, layer=st.integers(-1, 9), has_set=st.booleans()),
    st.builds(
        ev.RescueChosen,
        card=st.sampled_from(["layer cold", "smoking"]),
        option=st.just("warm and pour"),
        mould=_LETTER,
    ),
    st.builds(
        ev.RescueEnded,
        card=st.sampled_from(["layer cold", "smoking"]),
        came=st.sampled_from(["good", "flawed", "failed"]),
        mould=_LETTER,
    ),
    st.builds(ev.Weighed, mould=_LETTER, what=st.sampled_from(["pour", "candle"]), kg=st.floats(0, 5)),
    st.builds(ev.SealSeen, mould=_LETTER, weeps=st.booleans()),
    st.builds(
        ev.Looked, mould=_LETTER, cue=st.sampled_from(["wet", "skinned", "firm", "cold", "pulled away"])
    ),
    st.builds(ev.Relieved, mould=_LETTER),
    st.builds(ev.Demoulded, mould=_LETTER, release=st.sampled_from(["dropped out", "needed a tap", "stuck"])),
    st.builds(ev.Waived, act=st.sampled_from(["top-up A", "top-up B", "heat on"])),
    st.builds(ev.WentAway),
    st.builds(ev.CameBack),
    st.builds(ev.AlarmAcknowledged, alarm=st.sampled_from(["watch", "water"])),
    st.builds(ev.WatchAnswered),
    st.builds(ev.StaysUp),
    st.builds(ev.Noted, text=st.text(max_size=20)),
    st.builds(ev.Undone, entry=st.integers(-1, 30)),
    st.builds(ev.Corrected, entry=st.integers(-1, 30), fact=st.just(reading(70.0))),
)
_PROGRAM: st.SearchStrategy[Fact] = st.one_of(
    st.builds(ev.AlarmRaised, alarm=st.sampled_from(["watch", "water"]), says=st.just("?")),
    st.builds(ev.AlarmEnded, alarm=st.sampled_from(["watch", "water"])),
    st.builds(ev.Told, act=st.just("look A"), word=st.just("LOOK A")),
    st.builds(ev.Reopened, program=st.just("0"), away=st.floats(0, 1e6)),
    st.builds(ev.GapSeen, seconds=st.floats(-1e10, 1e10), cause=st.sampled_from(["slept", "clock changed"])),
    st.builds(ev.PlanRevised, plan=st.just(two_pillars())),
)
_TALK = st.lists(
    st.one_of(
        st.tuples(_SAYABLE, st.sampled_from(["person", "probe"])), st.tuples(_PROGRAM, st.just("program"))
    ),
    max_size=20,
)


@settings(max_examples=150, deadline=None)
@given(_TALK)
def test_no_beginning_of_any_record_breaks_the_fold(talk: list[Said]) -> None:
    entries = begun(*talk)
    for length in range(len(entries) + 1):
        state = fold(entries[:length])
        assert state.last_seq == length
        assert state.stage in ("setup", "melt", "pour", "cure", "finished")


@settings(max_examples=150, deadline=None)
@given(_TALK, _SAYABLE)
def test_taking_back_the_last_thing_said_gives_the_state_before_it(talk: list[Said], last: Fact) -> None:
    """But for the bookkeeping: the number and time of the last entry, and when somebody was heard."""
    if isinstance(last, ev.WatchAnswered | ev.AlarmAcknowledged | ev.Undone | ev.Corrected):
        last = ev.CameBack()
    before = begun(*talk)
    said = begun(*talk, last)
    undone = last_undoable(said)
    if undone is None or undone.seq != len(said):
        return  # An earlier entry of the talk took it back in advance, which nobody can do at the keyboard.
    after = begun(*talk, last, ev.Undone(entry=undone.seq))
    assert replace(fold(after), **BOOKKEEPING) == replace(fold(before), **BOOKKEEPING)


@settings(max_examples=60, deadline=None)
@given(_TALK)
def test_every_entry_comes_back_from_its_line_as_it_was(talk: list[Said]) -> None:
    for entry in begun(*talk):
        assert ev.decode(ev.encode(entry)) == entry


def test_thousands_of_readings_fold_like_one_by_one_and_cost_no_more_than_their_number() -> None:
    entries = begun(*(reading(60.0 + number % 9) for number in range(1_100)), ev.BurnerSet(state="on"))
    assert fold(entries) == one_by_one(entries)
    spent = []
    for many in (4_000, 40_000):
        entries = begun(*[reading(60.0)] * many)
        # Without the collector, whose cost goes by what else the process holds.
        gc.collect()
        gc.disable()
        try:
            began = time.process_time()
            fold(entries)
            spent.append(time.process_time() - began)
        finally:
            gc.enable()
    assert spent[1] < 15 * spent[0]


# -- two facts of one instant -----------------------------------------------------------------------


def switched(*states: tuple[float, ev.Burner]) -> State:
    """After the burner was switched so, each at a minute of the day."""
    entries = begun(*(ev.BurnerSet(state=state) for _, state in states))
    for index, (minute, _) in enumerate(states, 2):
        at = ev.moment(NOON + MINUTE * (10 + minute))
        entries[index] = Entry(seq=index + 1, at=at, logged_at=at, by="person", fact=entries[index].fact)
    return fold(entries)


def test_lit_and_off_in_one_instant_is_no_time_that_it_heated() -> None:
    state = switched((0, "on"), (5, "off"), (9, "on"), (9, "off"))
    assert [(s.what, s.end - s.start) for s in state.burner_spans] == [("on", 5 * MINUTE)]
    assert state.burner == "off"


def test_off_and_lit_again_in_one_instant_was_never_off() -> None:
    state = switched((0, "on"), (5, "off"), (5, "on"))
    assert [(s.what, s.end) for s in state.burner_spans] == [("on", None)]
    assert state.burner_since == state.burner_spans[0].start


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 3), st.sampled_from(["on", "low", "off"])), max_size=12))
def test_no_burner_pressed_however_fast_heats_for_no_time(switches: list[tuple[int, ev.Burner]]) -> None:
    state = switched(*sorted(switches, key=lambda switch: switch[0]))
    ends = [s.end for s in state.burner_spans]
    assert all(s.end is None or s.end > s.start for s in state.burner_spans)
    assert all(end is not None for end in ends[:-1])
    assert (bool(ends) and ends[-1] is None) == (state.burner != "off")


def test_a_flame_turned_low_goes_on_from_the_full_one_without_a_gap() -> None:
    state = fold(begun(ev.BurnerSet(state="on"), ev.BurnerSet(state="low"), ev.BurnerSet(state="off")))
    full, low = state.burner_spans
    assert (full.what, low.what) == ("on", "low")
    assert full.end == low.start
    assert low.end == state.burner_since


def test_a_low_flame_that_is_set_otherwise_is_a_stretch_of_its_own() -> None:
    entries = record(
        ev.Opened(session="s", program="0"),
        ev.BurnerSet(state="low"),
        ev.BurnerSet(state="low", knob="lower"),
        ev.BurnerSet(state="off"),
        ev.BurnerSet(state="low", knob="higher"),
    )
    state = fold(entries)
    assert [(s.what, s.knob) for s in state.burner_spans] == [
        ("low", None),
        ("low", "lower"),
        ("low", "higher"),
    ]
    assert state.burner_spans[0].end == state.burner_spans[1].start == entries[2].t
    assert (state.burner, state.burner_since) == ("low", entries[4].t)
