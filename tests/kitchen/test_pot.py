"""The simulated double boiler: heat kept, closed forms met, figures of practice met."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from pourday.errors import Trouble
from pourday.kitchen import pot, water
from pourday.kitchen.pot import Pot, StoveTruth
from pourday.kitchen.truth import Lot
from pourday.wax.materials import family

PILLAR = family("paraffin_pillar")


def heated(seed: int, minutes: float = 60.0, wax: float = 1.2, fill: float = 2.0) -> Pot:
    pot = Pot(PILLAR, wax, fill, np.random.default_rng(seed))
    pot.burner(True)
    pot.advance(60 * minutes)
    return pot


@pytest.mark.parametrize("seed", range(12))
def test_heats_a_pot_of_wax_in_25_to_45_minutes(seed: int) -> None:
    """1.2 kg over 2 kg of water, room to 85 °C: common practice, no source."""
    pot = heated(seed, 0)
    while pot.wax_c < 85:
        pot.advance(30)
    assert 25 <= pot.seconds / 60 <= 45


@pytest.mark.parametrize("seed", range(12))
def test_a_jug_on_the_bench_falls_about_a_kelvin_a_minute(seed: int) -> None:
    """1 kg at 80 °C in air: common practice, no source."""
    pot = heated(seed)
    pot.draw_jug(0, 1.0, in_bath=False)
    jug = pot.jug(0)
    while jug.celsius > 80:
        pot.advance(10)
    pot.advance(300)
    assert 0.7 <= (80 - jug.celsius) / 5 <= 1.4


def test_heat_is_kept_through_a_whole_day() -> None:
    """What came in less what went out is what is there, whatever was done."""
    rng = np.random.default_rng(5)
    pot = Pot(PILLAR, 1.0, 0.6, np.random.default_rng(2))
    first = pot.energy - pot.heat_in + pot.heat_out
    acts = [
        lambda: pot.burner(True, float(rng.uniform(0, 1))),
        lambda: pot.burner(False),
        lambda: pot.add_wax(0.1, 20.0),
        lambda: pot.add_water(0.05),
        lambda: pot.lift(bool(rng.integers(2))),
    ]
    seen_dry = False
    for turn in range(150):
        acts[int(rng.integers(len(acts)))]()
        if turn == 60:
            pot.burner(True)
            pot.advance(7200)
        if pot.pan.melted > 0.9 and pot.pan.kg > 0.3 and turn % 10 == 0:
            pot.draw_jug(turn % 3, 0.1)
        pot.advance(float(rng.uniform(1, 400)))
        seen_dry = seen_dry or pot.dry
    assert seen_dry
    assert pot.energy - pot.heat_in + pot.heat_out == pytest.approx(first, abs=pot.heat_in * 1e-9)


def test_liquid_wax_on_the_bench_cools_by_the_lumped_law(
    plain_lot: Callable[..., Lot], stove: StoveTruth
) -> None:
    """dT/dt = -UA (T - room) / C with constant cp and UA: an exponential."""
    lot = plain_lot(cp=2300.0)
    pot = Pot(lot, 0.0, 0.0, np.random.default_rng(0), 20.0, truth=stove)
    pot.add_wax(1.0, 80.0)
    pot.lift(True)
    start = pot.wax_c
    pot.advance(3600)
    rate = (0.7 + 0.02) / (2300.0 + pot.pan.metal)
    assert pot.wax_c == pytest.approx(20 + (start - 20) * math.exp(-rate * 3600), abs=0.01)


def test_a_boiling_bath_turns_its_surplus_into_steam(
    plain_lot: Callable[..., Lot], stove: StoveTruth
) -> None:
    """dm/dt = (power - what the pot loses) / latent heat, once everything is hot."""
    truth = replace(stove, top_loss=0.0)
    pot = Pot(plain_lot(), 0.5, 8.0, np.random.default_rng(0), 20.0, truth=truth)
    pot.burner(True)
    pot.advance(3 * 3600)
    before = pot.water_kg
    pot.advance(1800)
    expected = (truth.power - truth.bath_loss * (pot.boiling_c - 20)) / water.LATENT * 1800
    assert pot.water_c == pytest.approx(pot.boiling_c, abs=1e-9)
    assert before - pot.water_kg == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize("altitude", [0.0, 1500.0])
def test_wax_stays_below_the_local_boiling_point_until_the_pot_is_dry(altitude: float) -> None:
    pot = Pot(PILLAR, 1.0, 1.0, np.random.default_rng(3), 20.0, altitude)
    pot.burner(True)
    while not pot.dry:
        pot.advance(60)
        assert pot.wax_c <= pot.boiling_c
    assert pot.wax_c > pot.boiling_c - 8
    pot.advance(1200)
    assert pot.wax_c > pot.boiling_c + 2


def test_cold_wax_makes_a_dip_that_mends() -> None:
    pot = heated(4)
    pot.burner(False)
    start = pot.wax_c
    pot.add_wax(0.25, 20.0)
    assert pot.wax_c == start
    pot.advance(180)
    dip = pot.wax_c
    assert dip < start - 5
    pot.burner(True)
    pot.advance(1800)
    assert pot.wax_c > dip + 3


def test_mixed_wax_ends_at_the_mean_enthalpy(plain_lot: Callable[..., Lot], stove: StoveTruth) -> None:
    """1 kg at 80 °C and 0.5 kg at 20 °C with nowhere for heat to go: energy balance by hand."""
    shut = replace(stove, bath_loss=0.0, top_loss=0.0, bench_loss=0.0)
    lot = plain_lot(cp=2000.0, latent=150e3, melts_c=55.5)
    pot = Pot(lot, 0.0, 0.0, np.random.default_rng(0), 80.0, truth=shut)
    pot.add_wax(1.0, 80.0)
    pot.lift(True)
    pot.add_wax(0.5, 20.0)
    pot.room_c = 55.0
    before = pot.pan.energy
    pot.advance(3600)
    kept = before - pot.pan.energy
    assert 55 < pot.wax_c < 56
    given = 1.0 * 2000 * (80 - pot.wax_c) + pot.pan.metal * (80 - pot.wax_c) - kept
    melted_share = pot.wax_c - 55.0
    wanted = 0.5 * 2000 * (pot.wax_c - 20) + 150e3 * (1.5 * melted_share - 1.0)
    assert given == pytest.approx(wanted, abs=50)


def test_the_hob_overshoots_after_it_is_switched_off(
    plain_lot: Callable[..., Lot], stove: StoveTruth
) -> None:
    pot = Pot(plain_lot(), 0.3, 1.0, np.random.default_rng(0), truth=stove)
    pot.burner(True)
    pot.advance(300)
    pot.burner(False)
    before = pot.water_c
    pot.advance(60)
    assert pot.water_c > before + 3


def test_steps_of_any_length_give_the_same_pot() -> None:
    """One hour at once, by minutes and by quarter seconds agree within 0.1 K and 2 g of water."""
    results = []
    for step in (3600.0, 60.0, 7.0, 0.25):
        pot = Pot(PILLAR, 1.2, 1.0, np.random.default_rng(6))
        pot.burner(True)
        for _ in range(int(1800 / step)):
            pot.advance(step)
        pot.advance(1800 - pot.seconds)
        pot.add_wax(0.3, 20.0)
        pot.burner(False)
        for _ in range(int(1800 / step)):
            pot.advance(step)
        pot.advance(3600 - pot.seconds)
        results.append((pot.wax_c, pot.water_c, pot.water_kg))
    for wax, bath, kg in results[1:]:
        assert wax == pytest.approx(results[0][0], abs=0.1)
        assert bath == pytest.approx(results[0][1], abs=0.1)
        assert kg == pytest.approx(results[0][2], abs=0.002)


def test_water_on_a_hot_dry_pot_flashes_to_steam() -> None:
    pot = heated(1, 240, fill=0.5)
    assert pot.dry
    assert pot.water_c > 150
    hot = pot.water_c
    pot.add_water(0.02)
    assert pot.water_kg < 0.02
    assert pot.water_c < hot


def test_what_cannot_be_done_is_said() -> None:
    pot = Pot(PILLAR, 1.0, 1.0, np.random.default_rng(0))
    with pytest.raises(Trouble, match="has set"):
        pot.draw_jug(0, 0.5)
    with pytest.raises(Trouble, match="only 1000 g"):
        pot.draw_jug(0, 1.5)
    with pytest.raises(Trouble, match="no jug for layer 2"):
        pot.jug(1)
    with pytest.raises(Trouble, match="no level"):
        pot.burner(True, 1.5)
    for kg in (0.0, -1.0, math.nan):
        with pytest.raises(Trouble, match="no weight"):
            pot.add_wax(kg, 20.0)
    assert pot.jugs == {}
    assert pot.wax_kg == pytest.approx(1.0)


def test_calm_nights_in_long_steps_end_like_short_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    """A jug in the bath, everything five kelvin above the room and less: within 0.02 K hour by hour."""
    nights = []
    for longest in (pot._CALM_STEP, 5.0):
        monkeypatch.setattr(pot, "_CALM_STEP", longest)
        evening = heated(1, 45.0)
        evening.draw_jug(0, 0.25)
        evening.burner(False)
        while not evening._calm:
            evening.advance(600.0)
        night = []
        for _ in range(8):
            evening.advance(3600.0)
            night += [evening.water_c, evening.wax_c, evening.jug(0).celsius]
        nights.append(night)
    assert nights[0] == pytest.approx(nights[1], abs=0.02)
