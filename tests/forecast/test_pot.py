"""The pot forecast: its arithmetic against closed forms and SciPy, its answers in the situations of a day.

How well it forecasts is scored on the simulated kitchen in tests/bench/test_pot_score.py.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pourday.errors import Trouble
from pourday.forecast.pot import Guess, PotSetup, after_addition, after_change, doubt, forecast
from pourday.forecast.pot_fit import fit
from pourday.forecast.pot_law import WATER_CP
from pourday.forecast.pot_model import Members, grid_through, run, table
from pourday.forecast.pot_prior import UNKNOWNS, members_of
from pourday.forecast.pot_sample import MEMBERS, points_of
from pourday.forecast.spread import QUANTILES, Quantiles
from pourday.wax import enthalpy
from pourday.wax.materials import family

PILLAR = family("paraffin_pillar")


def setup(mode="on heat", **changes) -> PotSetup:
    return PotSetup(**{"wax": PILLAR, "kg": 1.0, "room_c": 21.0, "mode": mode, "mode_since": 0.0, **changes})


def one_member(wax, start_c: float, **values: float) -> Members:
    base = {
        "start_h": float(enthalpy.curve(wax).heat_at(start_c)),
        "bath_c": 20.0,
        "rate": 8.0,
        "contact": 1.0,
        "tip": 0.0,
        "kg": 1.0,
        "power": 0.0,
        "flame": 1.0,
        "was": 0.0,
        "lag": 1.0,
        "burning": 1e6,
        "cap_c": 100.0,
        "pot_heat": 5000.0,
        "full": 1.0,
        "water": 0.2,
        "loss": 0.0,
        "top": 0.0,
        "metal": 0.0,
        "latent": 1.0,
        "shift": 0.0,
        "width": 0.0,
        "room_c": 21.0,
        "later": 1.0,
    }
    return Members(**{name: np.array([value]) for name, value in {**base, **values}.items()})


def lumped(times: np.ndarray, start_c: float, air_c: float, k_over_c: float) -> np.ndarray:
    return air_c + (start_c - air_c) * np.exp(-k_over_c * times)


class TestArithmetic:
    def test_wax_in_a_steady_bath_follows_newtons_law(self):
        """Lumped capacity, T = Tb + (T0 - Tb) exp(-k t / c) (Incropera and DeWitt, chapter 5.1)."""
        times = np.arange(0.0, 1801.0, 30.0)
        member = one_member(PILLAR, 65.0, bath_c=95.0, cap_c=95.0, pot_heat=1e12, power=1e12)
        path = run(table(PILLAR), member, "on heat", times)
        exact = lumped(times, 65.0, 95.0, 8.0 / PILLAR.cp_liquid)
        assert np.abs(path.celsius[:, 0] - exact).max() < 0.06

    def test_a_jug_in_air_follows_the_power_law_of_cooling(self):
        """d(theta)/dt = -b theta^1.2 has the closed form theta = (theta0^-0.2 + 0.2 b t)^-5."""
        times = np.arange(0.0, 1321.0, 60.0)
        path = run(table(PILLAR), one_member(PILLAR, 85.0, rate=0.7), "in air", times)
        b = 0.7 / PILLAR.cp_liquid / 40.0**0.2
        exact = 21.0 + (64.0**-0.2 + 0.2 * b * times) ** -5.0
        assert exact[-1] > PILLAR.liquidus_c
        assert np.abs(path.celsius[:, 0] - exact).max() < 0.06

    @pytest.mark.parametrize("metal", [130.0, 1300.0])
    def test_the_metal_of_a_vessel_goes_along_with_its_wax(self, metal):
        """Lumped capacity of both, T = Tb + (T0 - Tb) exp(-k t / (c + metal)); in air the power law likewise."""
        times = np.arange(0.0, 1801.0, 30.0)
        steady = {"bath_c": 95.0, "cap_c": 95.0, "pot_heat": 1e12, "power": 1e12}
        path = run(table(PILLAR), one_member(PILLAR, 65.0, metal=metal, **steady), "on heat", times)
        exact = lumped(times, 65.0, 95.0, 8.0 / (PILLAR.cp_liquid + metal))
        assert np.abs(path.celsius[:, 0] - exact).max() < 0.06
        times = np.arange(0.0, 1321.0, 60.0)
        path = run(table(PILLAR), one_member(PILLAR, 85.0, rate=0.7, metal=metal), "in air", times)
        b = 0.7 / (PILLAR.cp_liquid + metal) / 40.0**0.2
        exact = 21.0 + (64.0**-0.2 + 0.2 * b * times) ** -5.0
        assert np.abs(path.celsius[:, 0] - exact).max() < 0.06

    def test_wax_and_bath_without_losses_share_their_heat(self):
        """In the end both have the temperature at which the heat is what it was (energy balance)."""
        member = one_member(PILLAR, 65.0, bath_c=95.0, pot_heat=5000.0 - 0.2 * WATER_CP)
        path = run(table(PILLAR), member, "off heat", np.arange(0.0, 30001.0, 100.0))
        shared = (PILLAR.cp_liquid * 65.0 + 5000.0 * 95.0) / (PILLAR.cp_liquid + 5000.0)
        assert path.celsius[-1, 0] == pytest.approx(shared, abs=0.06)
        assert path.bath_c[-1, 0] == pytest.approx(shared, abs=0.06)

    @pytest.mark.parametrize(
        ("wax_id", "mode", "start_c", "bath_c", "target_c"),
        [
            ("paraffin_pillar", "on heat", 21.0, 30.0, 75.0),
            ("soy_pillar", "on heat", 21.0, 80.0, 70.0),
            ("beeswax", "off heat", 72.0, 97.0, 70.0),
            ("stearic_commercial", "off heat", 80.0, 85.0, 56.0),
            ("paraffin_pillar", "on low", 88.0, 92.0, 80.0),
        ],
    )
    def test_long_steps_agree_with_scipy_on_the_same_two_lumps_and_water(
        self, wax_id, mode, start_c, bath_c, target_c
    ):
        """LSODA at 1e-7 on the equations written out once more; steps of two minutes here."""
        wax = family(wax_id)
        curve, on = enthalpy.curve(wax), mode == "on heat"
        v = {
            "rate": 12.0,
            "contact": 0.5,
            "kg": 1.0,
            "power": 660.0,
            "cap_c": 98.0,
            "pot_heat": 400.0,
            "water": 1.218,
            "full": 1.218,
            "loss": 2.75,
            "top": 0.25,
            "lag": 60.0,
            "flame": {"on heat": 1.0, "on low": 0.25, "off heat": 0.0}[mode],
            "was": 0.0 if on else 1.0,
        }

        def slopes(t, y):
            h, b, water = y
            c = float(curve.celsius_at(h))
            k = v["rate"] * (0.5 + 0.5 * (1.0 - float(curve.set_at(c))))
            burner = v["power"] * (v["flame"] + (v["was"] - v["flame"]) * math.exp(-t / 60.0))
            loss = v["loss"] * (b - 21.0) * max((b - 21.0) / 50.0, 0.0) ** 0.5
            net = burner - v["kg"] * k * (b - c) - loss
            capped = b >= v["cap_c"] and net > 0
            steam = loss * (0.25 + 0.005 * (b - 21.0)) + (net if capped else 0.0)
            db = 0.0 if capped else net / (v["pot_heat"] + 4186.0 * water)
            return [k * (b - c) - v["top"] * (c - 21.0), db, -steam / 2.29e6]

        start = [float(curve.heat_at(start_c)), bath_c, v["water"]]
        exact = solve_ivp(
            slopes, (0.0, 7200.0), start, "LSODA", rtol=1e-7, atol=1e-3, max_step=20.0, dense_output=True
        )
        fine = np.arange(0.0, 7200.0, 5.0)
        wax_c = curve.celsius_at(exact.sol(fine)[0])
        settled = 600.0 if on else 1500.0
        true_at = fine[np.argmax((wax_c >= target_c) if on else (wax_c <= target_c) & (fine > settled))]
        times = np.arange(0.0, 7201.0, 120.0)
        path = run(table(wax), one_member(wax, start_c, bath_c=bath_c, burning=0.0, **v), mode, times)
        mine = np.interp(fine, times, path.celsius[:, 0])
        at = fine[np.argmax((mine >= target_c) if on else (mine <= target_c) & (fine > settled))]
        assert true_at > 600.0
        assert at == pytest.approx(true_at, rel=0.02)
        late = fine > 0.6 * 7200.0
        assert np.abs(mine - wax_c)[late].max() < 0.5
        assert path.water[-1, 0] == pytest.approx(max(0.1, exact.sol(7200.0)[2]), abs=0.02)

    def test_a_grid_goes_through_every_reading(self):
        when = np.array([0.0, 10.0, 500.0])
        grid = grid_through(0.0, when, 120.0)
        assert set(when) <= set(grid.tolist())
        assert np.diff(grid).max() <= 120.0
        assert np.diff(grid).min() > 0.0

    @pytest.mark.parametrize("unknowns", [6, 9, 13])
    def test_the_points_are_standard_normal_and_spread_better_than_chance(self, unknowns):
        """Mean 0, covariance 1; the largest gap to the normal quantiles is a tenth of that of random points
        (Kolmogorov-Smirnov at 5 %: 1.36 / sqrt(n))."""
        points = points_of(unknowns)
        assert points.shape == (MEMBERS, unknowns)
        assert np.abs(points.mean(axis=0)).max() < 1e-9
        assert np.abs(points.T @ points / MEMBERS - np.eye(unknowns)).max() < 0.01
        ranks = (np.arange(1, MEMBERS + 1) - 0.5) / MEMBERS
        for column in points.T:
            share = np.array([0.5 * (1.0 + math.erf(x / math.sqrt(2.0))) for x in np.sort(column)])
            assert np.abs(share - ranks).max() < 0.1 * 1.36 / math.sqrt(MEMBERS)


class TestPriorAlone:
    def test_without_readings_the_band_is_wide_and_holds_what_makers_report(self):
        """Common practice: half a kilogram melts from chunks in about 15-25 min on a hot bath."""
        cold = setup(kg=0.5, start_c=Guess(21.0, 1.5), bath_c=Guess(92.0, 3.0))
        spread = forecast(cold, (), 0.0).reaches(65.0).spread
        assert spread.early < 20 * 60 < spread.late
        assert 10 * 60 < spread.likely < 35 * 60
        assert spread.late > 1.8 * spread.early

    def test_a_kilogram_jug_in_air_falls_about_a_kelvin_a_minute_at_first(self):
        """Common practice, rough."""
        view = forecast(setup("in air", start_c=Guess(80.0, 0.5)), (), 0.0)
        low, likely, high = view.at(600.0)
        assert 67.0 < likely < 74.0
        assert likely - low > 1.5
        assert high - likely > 1.5

    def test_a_pot_that_was_never_lit_stays_as_cold_as_the_room(self):
        cold = setup("off heat", start_c=Guess(21.0, 1.0), bath_c=Guess(21.0, 1.0))
        low, _, high = forecast(cold, (), 0.0).at(1800.0)
        assert low > 18.0
        assert high < 24.0

    def test_a_burner_that_just_went_off_leaves_the_bath_no_colder_than_the_wax_it_heated(self):
        off = setup("off heat")
        points = points_of(len(UNKNOWNS["off heat"]))
        members = members_of(off, points, np.zeros(MEMBERS), 0.0, Guess(90.0, 0.4))
        assert members.bath_c.min() >= 88.0

    def test_half_the_wax_in_the_fullest_jug_falls_as_fast_as_a_pot_of_that_weight(self):
        """On the bench; only there does the rest of the wax not matter."""
        known = {"start_c": Guess(80.0, 0.5)}
        half = forecast(setup("in air", kg=0.4, fullest=0.5, **known), (), 0.0)
        alone = forecast(setup("in air", kg=0.2, **known), (), 0.0)
        assert half.at(600.0) == alone.at(600.0)

    @pytest.mark.parametrize("mode", ["on heat", "off heat", "in air"])
    def test_every_guess_is_physical(self, mode):
        members = members_of(setup(mode), points_of(len(UNKNOWNS[mode])), np.zeros(MEMBERS), 0.0, None)
        for name in ("rate", "contact", "power", "lag", "pot_heat", "water", "loss", "latent"):
            assert np.all(getattr(members, name) > 0.0)
        assert np.all(members.cap_c <= 100.0)
        assert np.all(members.bath_c <= members.cap_c)
        assert np.all(members.tip < 0.5)


def cooling(minutes, start_c=82.0, per_s=3.0e-4, noise=(0.2, -0.3, 0.1, -0.1, 0.3, -0.2)):
    """Readings of a jug cooling in a room at 21 °C by Newton's law, with fixed errors."""
    times = [60.0 * m for m in minutes]
    return [
        (t, round(float(lumped(np.array(t), start_c, 21.0, per_s)) + noise[i % len(noise)], 1))
        for i, t in enumerate(times)
    ]


class TestWithReadings:
    def test_readings_narrow_the_band_and_draw_it_to_where_they_lead(self):
        """The jug follows Newton's closed form; the forecast does not know its rate."""
        jug = setup("in air")
        true_at = -math.log((65.0 - 21.0) / (82.0 - 21.0)) / 3.0e-4
        few = forecast(jug, cooling((0, 2)), 120.0).reaches(65.0).spread
        many = forecast(jug, cooling((0, 2, 4, 6, 9, 12)), 720.0).reaches(65.0).spread
        assert many.early < true_at < many.late
        assert many.likely == pytest.approx(true_at, rel=0.08)
        assert many.late - many.early < 0.6 * (few.late - few.early)

    def test_the_band_is_ordered_and_early_likely_late_are_its_times(self):
        view = forecast(setup("in air"), cooling((0, 3, 6)), 360.0)
        low, likely, high = view.band(np.linspace(360.0, 7200.0, 20))
        assert low.shape == (20,)
        assert np.all(low <= likely)
        assert np.all(likely <= high)
        spread = view.reaches(60.0).spread
        assert view.at(spread.likely)[1] == pytest.approx(60.0, abs=0.4)
        assert view.at(spread.early)[0] == pytest.approx(60.0, abs=0.4)
        assert view.at(spread.late)[2] == pytest.approx(60.0, abs=0.4)
        assert QUANTILES == (0.1, 0.5, 0.9)

    def test_the_same_readings_in_any_order_give_the_same_forecast(self):
        readings = cooling((0, 3, 6, 8))
        a = forecast(setup("in air"), readings, 600.0).reaches(65.0)
        b = forecast(setup("in air"), readings[::-1], 600.0).reaches(65.0)
        assert a == b
        assert hash(setup("in air")) == hash(setup("in air"))

    def test_readings_from_before_the_change_or_after_now_are_left_out(self):
        readings = cooling((0, 3, 6))
        stray = [(-60.0, 30.0), *readings, (3000.0, 95.0)]
        view = forecast(setup("in air"), stray, 400.0)
        assert view.readings == 3
        assert view.at(400.0) == forecast(setup("in air"), readings, 400.0).at(400.0)

    def test_one_reading_twenty_kelvin_out_hardly_moves_the_likely_time(self):
        """Student's t: an outlier that got into the record pulls little."""
        clean = cooling((0, 2, 4, 6, 8, 10, 12))
        typo = [*clean[:3], (240.0 + 30.0, 47.0), *clean[3:]]
        a = forecast(setup("in air"), clean, 720.0).reaches(65.0).spread
        b = forecast(setup("in air"), typo, 720.0).reaches(65.0).spread
        assert b.likely - 720.0 == pytest.approx(a.likely - 720.0, rel=0.15)

    def test_a_first_reading_that_all_others_deny_is_not_the_start(self):
        readings = cooling((0, 2, 4, 6, 8, 10))
        low, likely, high = forecast(setup("in air"), [(0.0, 28.0), *readings[1:]], 600.0).at(600.0)
        assert likely == pytest.approx(readings[-1][1], abs=1.0)
        assert high - low < 3.0

    def test_hundreds_of_readings_over_hours_are_no_trouble(self):
        times = np.arange(0.0, 4 * 3600.0, 60.0)
        readings = list(zip(times.tolist(), (95.0 - 15.0 * np.exp(-times / 900.0)).tolist(), strict=True))
        low, _, high = forecast(setup(), readings, 4 * 3600.0).at(4 * 3600.0)
        assert low < 95.0 < high + 1.0
        assert high - low < 3.0

    def test_the_bath_may_be_read_off_the_wax(self):
        """Wax levelling off at 92 °C says that the bath is a little above that, not at boiling."""
        times = np.arange(0.0, 2400.0, 200.0)
        readings = list(zip(times.tolist(), (92.0 - 20.0 * np.exp(-times / 300.0)).tolist(), strict=True))
        low, likely, high = forecast(setup(), readings, 2400.0).bath_at(2400.0)
        assert 91.0 < low <= likely < 96.0
        assert high < 98.0


class TestArrivals:
    def test_a_target_above_the_boiling_bath_is_not_reached_and_says_so(self):
        arrival = forecast(setup(start_c=Guess(70.0, 1.0), bath_limit_c=95.0), (), 0.0).reaches(97.0)
        assert arrival.spread is None
        assert arrival.reason == "The pot does not warm to 97 °C as it stands: 0% likely within 3 hours."

    def test_a_target_near_the_ceiling_has_a_chance_and_an_open_end(self):
        """A simmer leaves the wax some kelvin below boiling, how many is not known."""
        arrival = forecast(setup(start_c=Guess(80.0, 1.0), bath_c=Guess(90.0, 3.0)), (), 0.0).reaches(94.0)
        assert arrival.spread.late == math.inf
        assert arrival.spread.open_ended
        assert not Quantiles(1.0, 2.0, 3.0).open_ended

    def test_less_likely_than_not_is_told_with_the_time_it_may_still_be(self):
        """At 1500 m water boils at 95 °C (check value of the standard atmosphere): 92 °C are in doubt, not out."""
        hills = setup(start_c=Guess(80.0, 1.0), bath_c=Guess(90.0, 3.0), bath_limit_c=95.0)
        arrival = forecast(hills, (), 0.0).reaches(92.5)
        assert arrival.spread is None
        assert 0.0 < arrival.earliest < 3 * 3600.0
        assert forecast(hills, (), 0.0).reaches(97.0).earliest == math.inf

    def test_wax_already_out_of_range_leaves_it_now(self):
        spread = forecast(setup("in air", start_c=Guess(60.0, 0.5)), (), 50.0).leaves(70.0, 80.0).spread
        assert spread == Quantiles(50.0, 50.0, 50.0)

    def test_a_jug_leaves_the_range_downwards_when_it_reaches_the_lower_end(self):
        view = forecast(setup("in air", start_c=Guess(78.0, 0.5)), (), 0.0)
        assert view.leaves(70.0, 90.0).spread == view.reaches(70.0).spread

    def test_heating_wax_leaves_the_range_upwards(self):
        view = forecast(setup(start_c=Guess(72.0, 0.5), bath_c=Guess(95.0, 1.0)), (), 0.0)
        assert view.leaves(60.0, 80.0).spread == view.reaches(80.0).spread

    def test_a_jug_that_cools_to_the_room_never_gets_colder(self):
        assert forecast(setup("in air", start_c=Guess(80.0, 0.5)), (), 0.0).reaches(12.0).spread is None

    def test_an_upside_down_range_an_empty_pot_and_a_time_before_the_change_are_refused(self):
        with pytest.raises(Trouble, match="is empty"):
            forecast(setup(), (), 0.0).leaves(80.0, 70.0)
        with pytest.raises(Trouble, match="pot is empty"):
            forecast(setup(kg=0.0), (), 0.0)
        with pytest.raises(Trouble, match="before the last change"):
            forecast(setup(), (), -1.0)

    @pytest.mark.parametrize("place", ["kg", "room_c", "bath_limit_c", "now", "time", "celsius"])
    def test_what_is_no_number_is_refused_and_not_computed_with(self, place):
        given = {"now": 600.0, "time": 300.0, "celsius": 70.0, place: math.nan}
        known = {k: v for k, v in given.items() if k in ("kg", "room_c", "bath_limit_c")}
        with pytest.raises(Trouble):
            forecast(setup(**known), [(given["time"], given["celsius"])], given["now"])


class TestChanges:
    def test_cold_wax_dips_the_pot_to_where_the_heats_balance_and_it_comes_back(self):
        """Mixing by enthalpy, worked out with SciPy-free root finding on the curve itself."""
        before = forecast(setup(start_c=Guess(80.0, 0.3), bath_c=Guess(97.0, 0.5)), [(0.0, 80.0)], 0.0)
        addition = after_addition(before, 0.0, 0.25)
        curve = enthalpy.curve(PILLAR)
        mixed_h = (1.0 * float(curve.heat_at(before.at(0.0)[1])) + 0.25 * float(curve.heat_at(21.0))) / 1.25
        temperatures = np.linspace(20.0, 90.0, 70001)
        balance = temperatures[np.argmin(np.abs(curve.heat_at(temperatures) - mixed_h))]
        low, likely, high = addition.dip_c
        assert likely == pytest.approx(balance, abs=0.7)
        assert low < likely < high
        assert addition.recovers.spread.early > 60.0
        assert addition.forecast.setup.kg == 1.25

    def test_the_wax_is_where_it_was_after_a_change_and_what_was_learned_goes_with_it(self):
        readings = cooling((0, 2, 4, 6, 9, 12))
        before = forecast(setup("in air"), readings, 720.0)
        setup_then = after_change(before, 720.0, "on heat")
        view = forecast(setup_then, (), 720.0)
        assert view.at(720.0)[1] == pytest.approx(before.at(720.0)[1], abs=0.3)
        assert view.at(720.0)[2] - view.at(720.0)[0] < 4.0
        assert view.at(1800.0)[1] > before.at(720.0)[1] + 3.0

    def test_a_pot_that_heated_fast_is_expected_to_heat_fast_again(self):
        """From the same temperatures, an hour later: only what was learned of pot and hob differs."""
        cold = setup(start_c=Guess(21.0, 1.0), bath_c=Guess(21.0, 2.0))
        plain = forecast(cold, (), 0.0)
        times = (300.0, 600.0, 900.0, 1200.0, 1500.0)
        slow, _, fast = plain.band(times)
        rises = []
        for seen in (slow, fast):
            readings = list(zip(times, seen.tolist(), strict=True))
            again = after_change(forecast(cold, readings, 1500.0), 1500.0, "on heat")
            same = dict(zip(again.carried.names, again.carried.mean, strict=True))
            same |= {"start": float(enthalpy.curve(PILLAR).heat_at(65.0)), "bath": 70.0}
            again = replace(again, carried=replace(again.carried, mean=tuple(same.values())))
            view = forecast(again, (), 1500.0)
            rises.append(view.at(1800.0)[1] - view.at(1500.0)[1])
        assert rises[1] > 1.3 * rises[0]

    def test_adding_nothing_is_refused(self):
        with pytest.raises(Trouble, match="amount"):
            after_addition(forecast(setup(), (), 0.0), 0.0, 0.0)


class TestLongAgo:
    """A pot nobody looked at for days or months: the record was left open, or the clock of the machine is wrong."""

    DAY = 86400.0
    READINGS = ((0.0, 25.0), (1200.0, 60.0), (2400.0, 80.0))

    def left(self, mode, kg=1.0) -> tuple[PotSetup, tuple[tuple[float, float], ...]]:
        """A pot read at 80 °C on heat; then the burner went off, or the jug was lifted out, or nothing changed."""
        lit = setup(kg=kg)
        if mode == "on heat":
            return lit, self.READINGS
        return after_change(forecast(lit, self.READINGS, 2400.0), 2400.0, mode), ()

    @pytest.mark.parametrize("mode", ["on heat", "off heat", "in air"])
    @pytest.mark.parametrize("hours", [18.0, 24.0, 50.0, 110.0])
    def test_longer_steps_lead_where_steps_of_two_minutes_lead(self, mode, hours):
        """Held against the very same equations stepped as finely as while readings are fresh."""
        lot, readings = self.left(mode)
        coarse = forecast(lot, readings, 2400.0 + hours * 3600.0)
        ensemble = fit(lot, readings)
        times = np.arange(2400.0, 2400.0 + hours * 3600.0 + 1.0, 120.0)
        fine = run(table(PILLAR), ensemble.members, mode, times, ensemble.path)
        row = int(np.searchsorted(coarse.path.times, times[-1]))
        assert np.abs(coarse.path.celsius[row] - fine.celsius[-1]).max() < 0.15
        assert np.abs(coarse.path.bath_c[row] - fine.bath_c[-1]).max() < 0.15

    def test_half_a_day_is_stepped_as_ever(self):
        """Two minutes at most from the last reading on: the answers of a day at the stove stay what they were."""
        lot, readings = self.left("off heat")
        view = forecast(lot, readings, 2400.0 + 11.5 * 3600.0)
        past = view.path.times[view.path.times <= 2400.0 + 11.5 * 3600.0]
        assert np.array_equal(past, grid_through(2400.0, past[-1:], 120.0))

    @pytest.mark.parametrize("kg", [0.2, 1.0, 5.0, 30.0])
    @pytest.mark.parametrize("days", [7.0, 34.0, 400.0, 20_000.0])
    def test_in_the_end_wax_is_as_warm_as_its_room(self, kg, days):
        """Heat flows until there is no difference left; the guess at the room is some kelvin wide in air."""
        lot, readings = self.left("off heat", kg)
        low, likely, high = forecast(lot, readings, days * self.DAY).at(days * self.DAY)
        assert 20.8 < low < likely < high < 21.2

    @pytest.mark.parametrize("mode", ["on heat", "off heat", "in air"])
    def test_what_it_costs_does_not_depend_on_how_long_ago_it_was(self, mode):
        lot, readings = self.left(mode)
        day, months = (forecast(lot, readings, days * self.DAY) for days in (1.0, 400.0))
        assert months.path.times.size < 2.0 * day.path.times.size
        assert np.all(np.diff(months.path.times) > 0.0)

    def test_the_burner_is_lit_again_after_months(self):
        lot, readings = self.left("off heat")
        before = forecast(lot, readings, 400 * self.DAY)
        view = forecast(after_change(before, 400 * self.DAY, "on heat"), (), 400 * self.DAY)
        assert view.at(400 * self.DAY)[1] == pytest.approx(21.0, abs=0.5)
        assert 5 * 60 < view.reaches(60.0).spread.likely - 400 * self.DAY < 3600


class TestDoubt:
    """At 12 min the jug is near 70 °C by its readings."""

    jug = setup("in air")
    readings = cooling((0, 2, 4, 6, 9, 12))

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            (7.0, "was it 70?"),
            (7.05, "was it 70.5?"),
            (700.0, "was it 70?"),
            (158.0, "was it 158 °F?"),
            (21.5, "was that the room?"),
            (55.0, "was it read in stirred wax, and typed right?"),
        ],
    )
    def test_a_reading_that_cannot_be_is_questioned_in_one_sentence(self, typed, says):
        question = doubt(self.jug, self.readings, (780.0, typed))
        assert question is not None
        assert question.startswith(f"{typed:g} °C does not fit: the pot should be near ")
        assert question.endswith(says)

    def test_swapped_digits_are_recognised(self):
        pot = setup("in air")
        readings = cooling((0, 2, 4), start_c=76.0)
        assert doubt(pot, readings, (300.0, 47.0)).endswith("was it 74?")

    @pytest.mark.parametrize("celsius", [67.5, 69.0, 71.0])
    def test_a_reading_that_may_be_is_not(self, celsius):
        assert doubt(self.jug, self.readings, (780.0, celsius)) is None

    def test_wax_hotter_than_boiling_water_asks_for_the_dry_pot(self):
        pot = setup(start_c=Guess(80.0, 1.0), bath_c=Guess(98.0, 1.0))
        question = doubt(pot, [(0.0, 80.0), (300.0, 86.0), (600.0, 90.0)], (700.0, 108.0))
        assert question == "108 °C is above boiling water (100 °C): a dry pot or a wrong thermometer?"

    def test_the_bath_read_for_the_wax_is_named(self):
        pot = setup(start_c=Guess(21.0, 1.0), bath_c=Guess(95.0, 1.0))
        question = doubt(pot, [(0.0, 21.0), (120.0, 27.0), (240.0, 32.0)], (300.0, 93.0))
        assert question.endswith("was that the bath?")

    def test_a_second_doubted_reading_that_bears_out_the_first_points_to_a_change(self):
        question = doubt(self.jug, self.readings, (840.0, 77.0), doubted=[(780.0, 76.0)])
        assert question.endswith("was the burner, jug or wax changed and not filed?")

    def test_the_first_reading_of_a_pot_nobody_knows_is_taken(self):
        for celsius in (22.0, 55.0, 80.0, 95.0):
            assert doubt(setup(), (), (600.0, celsius)) is None
