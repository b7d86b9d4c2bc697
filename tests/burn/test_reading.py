"""Rate, pool, limits and life of a burn, each against a figure from elsewhere."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.burn.candle import Candle
from pourday.burn.limits import limits_words, passed_limits, stop_now
from pourday.burn.looks import CYCLE, LOOKS, look_due, next_look
from pourday.burn.pool import pace, reaches, wall_left
from pourday.burn.rate import Rate, burn_rate, life_of, trend
from pourday.burn.verdict import judge
from pourday.plan.model import Plan
from pourday.reports.burn_report import summary_lines
from pourday.session import events as ev
from pourday.session.candle import Burn, BurnLook, CandleState, batch_label
from pourday.wax.cure import cure_of
from pourday.wax.materials import families, family

HOUR = 3600.0
PILLAR = Candle(
    batch="2026-01-01-a", letter="A", label="260101a-A", since=0.0, width=0.075, height=0.15, kg=0.596, wick="30 ply",
    waxes=(family("paraffin_pillar"),), scent_load=0.0, dye_load=0.0, in_vessel=False,
    cure=cure_of((family("paraffin_pillar"),), False), life=CandleState("A"),
)  # fmt: skip
T = 10 * 86_400.0


def cycle(
    before: float | None, after: float | None, *looks: ev.BurnSeen, hours: float = 4.0, t: float = T
) -> Burn:
    return Burn(
        t, ev.CandleLit(mould="A", kg=before), tuple(BurnLook(t + s.look, s) for s in looks), t + hours * HOUR,
        "snuffed", cold_at=t + (hours + 1) * HOUR, cold_kg=after,
    )  # fmt: skip


def seen(hours: float, **what) -> ev.BurnSeen:
    return ev.BurnSeen(mould="A", look=hours * HOUR, **what)


def burned(*burns: Burn) -> Candle:
    return replace(PILLAR, life=replace(PILLAR.life, burns=burns))


# -- rate -------------------------------------------------------------------------------------------


def test_the_rate_is_the_loss_over_the_hours_and_its_error_the_scale_s():
    rate = burn_rate(cycle(0.400, 0.376), 0.001)
    assert rate is not None
    assert rate.grams_per_hour == pytest.approx(6.0)
    assert rate.error * 3.6e6 == pytest.approx(0.25)
    assert rate.words == "6.0 g/h ± 0.2"


@given(st.floats(1.5, 15), st.floats(0.5, 4), st.sampled_from([0.0001, 0.001, 0.005]), st.floats(0.1, 1.0))
def test_the_true_rate_is_within_the_error_whatever_the_scale_rounds(grams, hours, step, kg):
    lost = grams * hours / 1000
    if lost >= kg:
        return
    first, last = (round(weight / step) * step for weight in (kg, kg - lost))
    rate = burn_rate(cycle(first, last, hours=hours), step)
    assert rate is not None
    assert abs(rate.grams_per_hour - grams) <= rate.error * 3.6e6 * 1.001 + 1e-9


def test_without_two_weights_there_is_no_rate():
    assert burn_rate(cycle(None, 0.376), 0.001) is None
    assert burn_rate(cycle(0.4, None), 0.001) is None
    assert burn_rate(cycle(0.4, 0.41), 0.001) is None


def test_a_trend_is_sure_only_beyond_what_both_scales_errors_explain():
    rates = tuple(burn_rate(cycle(0.4, 0.4 - lost), 0.001) for lost in (0.024, 0.0235))
    small = trend(tuple(rate for rate in rates if rate))
    assert small is not None
    assert not small.sure
    halved = trend((Rate(2e-6, 1e-8, HOUR), Rate(1e-6, 1e-8, HOUR)))
    assert halved is not None
    assert (halved.sure, halved.change) == (True, -0.5)
    assert trend(()) is None


def test_life_never_counts_all_the_wax():
    candle = burned(cycle(0.596, 0.572))
    rate = burn_rate(candle.life.burns[0], 0.001)
    assert rate is not None
    life = life_of(candle, (rate,), 0.009)
    assert life is not None
    assert life.low < life.high < candle.kg / rate.kg_per_s  # type: ignore[operator]
    # A wall of 9 mm round 75 mm keeps 42 % of each slice, and 50 of 150 mm are left as a stub.
    inside = (57 / 75) ** 2 * 100 / 150
    assert life.low <= 0.596 * inside / rate.kg_per_s <= life.high
    assert life_of(candle, (), 0.009) is None


def test_it_never_lasts_less_than_it_has_burned_already():
    # By a wall of 30 mm a twenty-fifth of each slice would burn; half of the candle is gone, in twenty hours.
    candle = burned(cycle(0.596, 0.298, seen(1, wall=0.030)))
    burn = candle.life.burns[0]
    assert burn.ended_at is not None
    candle = burned(replace(burn, ended_at=burn.lit_at + 20 * HOUR))
    rate = burn_rate(candle.life.burns[0], 0.001)
    assert rate is not None
    life = life_of(candle, (rate,), 0.030)
    assert life is not None
    assert 20 * HOUR <= life.low <= life.high
    assert any("about 20 h in all" in line for line in summary_lines(candle, Plan()))


# -- pool -------------------------------------------------------------------------------------------


def test_the_pace_is_told_against_the_age_of_the_pool():
    burn = cycle(None, None, seen(1, across=0.024, across_other=0.026), seen(2, across=0.038))
    speed = pace(burn)
    assert speed is not None
    assert speed * 3.6e6 == pytest.approx(25.0)
    when = reaches(PILLAR, burn)
    # 25 mm after one hour, 38 after two: 13 an hour, 13 to go to the 51 mm that leave 12 mm of wall.
    assert when == pytest.approx(3 * HOUR)


def test_a_pool_that_stands_still_reaches_no_wall():
    assert reaches(PILLAR, cycle(None, None, seen(2, across=0.030), seen(3, across=0.031))) == float("inf")
    assert reaches(PILLAR, cycle(None, None, seen(2, across=0.030))) is None


def test_a_wall_that_was_measured_counts_before_one_reckoned_from_the_pool():
    both = BurnLook(T, seen(2, across=0.055, wall=0.008))
    assert wall_left(PILLAR, both) == 0.008
    assert wall_left(PILLAR, BurnLook(T, seen(2, across=0.055))) == pytest.approx(0.010)


# -- limits -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "limit"),
    [
        ({"flame": 0.076}, "flame"),
        ({"second_flame": 11.0}, "second flame"),
        ({"leaning": True}, "leaning"),
        ({"soot": "steady"}, "soot"),
        ({"wall": 0.0}, "wall"),
    ],
)
def test_each_limit_is_told_with_its_source_and_says_to_put_it_out(what, limit):
    burn = cycle(None, None, seen(1, **what))
    (passed,) = passed_limits((burn,), "metric")
    assert passed.limit.id == limit
    assert stop_now(burn, "metric") == (passed,)
    assert passed.limit.source in limits_words((burn,), "metric")


def test_on_the_limit_is_not_over_it():
    assert passed_limits((cycle(None, None, seen(1, flame=0.075, second_flame=10.0)),), "metric") == ()


def test_after_glow_is_an_average_over_the_burns():
    one, two = cycle(0.4, 0.38), cycle(0.38, 0.36)
    assert passed_limits((replace(one, glow=45.0), replace(two, glow=10.0)), "metric") == ()
    over = passed_limits((replace(one, glow=45.0), replace(two, glow=20.0)), "metric")
    assert [passed.limit.id for passed in over] == ["after-glow"]


def test_it_never_says_safe_nor_that_anything_complies():
    for burns in ((), (cycle(None, None, seen(1, flame=0.03)),), (cycle(None, None, seen(1, flame=0.09)),)):
        says = limits_words(burns, "metric").lower()
        assert not {"safe", "complies", "compliant", "conforms"} & set(says.replace(".", " ").split())


# -- looks ------------------------------------------------------------------------------------------


def test_looks_come_at_a_quarter_hour_to_a_half_and_then_hourly_up_to_the_four_of_f1972():
    assert 15 * 60 <= LOOKS[0] <= 30 * 60
    assert [mark / HOUR for mark in LOOKS[1:]] == [1, 2, 3, 4]
    assert CYCLE == 4 * HOUR


def test_a_look_that_was_missed_is_not_asked_for_once_the_next_has_come():
    burn = replace(cycle(None, None), ended_at=None)
    assert look_due(burn, T + 600) is None
    due = look_due(burn, T + 2.2 * HOUR)
    assert due is not None
    assert due.mark == 2 * HOUR
    assert next_look(burn, T + 2.2 * HOUR) == T + 3 * HOUR
    assert look_due(burn, T + 2.2 * HOUR, frozenset({2 * HOUR})) is None


# -- the sentence -----------------------------------------------------------------------------------


def steady(wall: float, flame: float = 0.03, **more) -> tuple[Burn, Burn]:
    what = {
        "across": 0.075 - 2 * wall,
        "across_other": 0.075 - 2 * wall,
        "wall": wall,
        "flame": flame,
        **more,
    }
    return (
        cycle(0.596, 0.576, seen(1, **what), seen(4, **what)),
        cycle(0.576, 0.556, seen(1, **what), seen(4, **what), t=T + 86_400),
    )


@pytest.mark.parametrize(
    ("burns", "came"),
    [
        (steady(0.008), "passed"),
        (steady(0.025), "one up"),
        (steady(0.0), "one down"),
        (steady(0.008, flame=0.06), "one down"),
        (steady(0.025, flame=0.06), "other family"),
    ],
)
def test_a_tunnel_asks_for_more_wick_and_a_melted_rim_for_less(burns, came):
    verdict = judge(burned(*burns), 0.001, "metric")
    assert verdict.came == came
    assert verdict.says
    assert verdict.speaks_for


def test_a_draught_is_found_before_the_wick_is_blamed():
    burns = tuple(
        cycle(
            0.6,
            0.58,
            seen(1, across=0.05, across_other=0.03),
            seen(4, across=0.06, across_other=0.04, wall=0.0),
        )
        for _ in range(2)
    )
    assert judge(burned(*burns), 0.001, "metric").came == "other cause"


def test_one_cycle_passes_no_wick_and_a_burn_of_minutes_says_nothing():
    assert judge(burned(steady(0.008)[0]), 0.001, "metric").came is None
    assert judge(burned(cycle(None, None, seen(0.33, across=0.02))), 0.001, "metric").came is None
    assert judge(PILLAR, 0.001, "metric").came is None


# -- cure and label ---------------------------------------------------------------------------------


def test_plant_wax_rests_longest_and_nothing_is_given_before_it_may_be_tested():
    """Soy a week to a test and two to a gift, paraffin days: common practice, no source."""
    soy, paraffin = (cure_of((family(wax),), True) for wax in ("soy_pillar", "paraffin_pillar"))
    assert (soy.test_from, soy.give_from) == (7, 14)
    assert paraffin.give_from < soy.give_from
    for wax in families().values():
        for scented in (False, True):
            cure = cure_of((wax,), scented)
            assert 1 <= cure.test_from <= cure.give_from


def test_the_slowest_wax_of_a_candle_counts():
    assert cure_of((family("paraffin_pillar"), family("soy_pillar")), False).test_from == 7


def test_a_label_is_short_and_another_batch_s_is_another():
    assert batch_label("2026-11-25-a", "B") == "261125a-B"
    assert batch_label("2026-11-25-a-copy-2", "B") == "2026-11-25-a-copy-2-B"
