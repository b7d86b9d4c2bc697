"""A candle's life folded from facts: burns in cycles, looks gathered, and everything taken back as at the stove."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pourday.session import events as ev
from pourday.session.candle import CandleState, faults_seen
from pourday.session.describe import say_fact
from pourday.session.describe_candles import seen_words
from pourday.session.events import Entry, moment
from pourday.session.fold import apply, fold
from pourday.session.state import State

HOUR = 3600.0
OPENED = ev.Opened(session="2026-11-25-a-candles", program="0", batch="2026-11-25-a")


def entries(*facts: ev.Fact, every: float = 60.0) -> list[Entry]:
    return [
        Entry(
            seq=n, at=moment(1.8e9 + n * every), logged_at=moment(1.8e9 + n * every), by="person", fact=fact
        )
        for n, fact in enumerate((OPENED, *facts), 1)
    ]


def test_a_record_of_candles_is_told_from_a_day_at_the_stove():
    state = fold(entries())
    assert (state.batch, state.stage) == ("2026-11-25-a", "candles")


def test_what_is_said_of_one_look_is_gathered_whatever_the_order():
    state = fold(
        entries(
            ev.CandleLit(mould="A", kg=0.4),
            ev.BurnSeen(mould="A", look=HOUR, flame=0.03),
            ev.BurnSeen(mould="A", look=2 * HOUR, flame=0.035),
            ev.BurnSeen(mould="A", look=HOUR, soot="wisps"),
        )
    )
    burn = state.candles["A"].burning
    assert burn is not None
    look = burn.look(HOUR)
    assert look is not None
    assert (look.seen.flame, look.seen.soot, look.seen.wall) == (0.03, "wisps", None)
    assert len(burn.looks) == 2


def test_several_cycles_each_keep_their_own_weights():
    cycle = (ev.BurnEnded(mould="A", how="snuffed"), ev.WeighedCold(mould="A", kg=0.38))
    again = (ev.BurnEnded(mould="A", how="snuffed"), ev.WeighedCold(mould="A", kg=0.36))
    state = fold(entries(ev.CandleLit(mould="A", kg=0.4), *cycle, ev.CandleLit(mould="A", kg=0.38), *again))
    assert [(b.before.kg, b.cold_kg) for b in state.candles["A"].burns] == [(0.4, 0.38), (0.38, 0.36)]
    assert state.candles["A"].burning is None


def test_taking_back_the_end_lets_it_burn_on():
    lit, end = ev.CandleLit(mould="A"), ev.BurnEnded(mould="A", how="snuffed")
    assert fold(entries(lit, end)).candles["A"].burning is None
    assert fold(entries(lit, end, ev.Undone(entry=3))).candles["A"].burning is not None


def test_a_look_is_told_in_the_units_of_the_plan_and_what_was_not_seen_is_not_told():
    seen = ev.BurnSeen(mould="A", flame=0.0254, soot="wisps", second_flame=0.0)
    assert seen_words(seen, "us") == "flame 1 in, wisps of soot, no second flame"
    assert seen_words(ev.BurnSeen(mould="A"), "metric") == ""


FACTS = st.one_of(
    st.builds(ev.CandleLit, mould=st.sampled_from("AB")),
    st.builds(
        ev.BurnSeen,
        mould=st.sampled_from("AB"),
        look=st.sampled_from([0.0, HOUR]),
        flame=st.none() | st.floats(0, 0.1),
    ),
    st.builds(ev.BurnEnded, mould=st.sampled_from("AB"), how=st.sampled_from(["snuffed", "went out"])),
    st.builds(ev.AfterGlow, mould=st.sampled_from("AB"), glow=st.none() | st.floats(0, 60)),
    st.builds(ev.WeighedCold, mould=st.sampled_from("AB"), kg=st.floats(0, 1)),
    st.builds(ev.FinishDone, mould=st.sampled_from("AB"), what=st.sampled_from(["polished", "wick trimmed"])),
)


@given(st.lists(FACTS, max_size=20))
def test_any_order_of_facts_folds_as_it_is_applied_and_burns_at_most_once_at_a_time(facts):
    made = entries(*facts)
    state = State()
    for entry in made:
        state = apply(state, entry)
        plan = state.plan
        assert say_fact(entry.fact, plan)
    assert state.candles == fold(made).candles
    for candle in state.candles.values():
        assert sum(burn.lit for burn in candle.burns) <= 1


def test_a_fault_says_when_it_was_seen_and_none_is_an_answer():
    seen = ev.DefectSeen(mould="A", defect="join split", where="seam", when="demoulding")
    batch = fold(entries(seen)).candles["A"]
    clean = fold(entries(ev.NoFaultSeen(mould="A", when="after cure"))).candles["A"]
    blank = CandleState("A")
    assert faults_seen(batch, blank).defects == (seen,)
    # What was seen once stands, whoever found nothing at another time.
    assert not faults_seen(batch, clean).none
    assert faults_seen(blank, clean).none
    assert not faults_seen(blank, blank).told


def test_what_was_said_of_faults_and_of_the_change_reads_as_a_sentence():
    plan = State().plan
    assert say_fact(ev.DefectSeen(mould="A", defect="rings", when="burn test"), plan) == (
        "candle A shows rings, seen in a burn test"
    )
    assert (
        say_fact(ev.NoFaultSeen(mould="B", when="demoulding"), plan)
        == "candle B shows no fault, seen at demoulding"
    )
    assert say_fact(ev.ChangeJudged(came="better"), plan) == "the change came out better"


def test_how_the_change_came_out_is_the_days_not_a_candles():
    state = fold(entries(ev.ChangeJudged(came="same"), ev.ChangeJudged(came="better")))
    assert state.change_came == "better"
    assert state.candles == {}
