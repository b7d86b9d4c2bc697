"""The simulated moulds against closed forms of heat conduction, and against their own bookkeeping."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import erf, j0, j1, jn_zeros

from pourday.kitchen import looks, moulds
from pourday.kitchen.moulds import Filling, graded, reach
from pourday.kitchen.shells import MouldTruth, Shell, draw_mould, shell
from pourday.kitchen.truth import Lot, draw_lot
from pourday.plan.model import Cylinder, Hexagon, Mould, Rectangle, Square, Tapered, WaterFilled, WaterPoint
from pourday.wax.materials import family

PILLAR_SHELL = Shell(0.0375, math.pi * 0.0375**2, 0.16)


def still_room(_: float) -> float:
    return 20.0


def poured(lot: Lot, shape: Shell, truth: MouldTruth, kg: float, celsius: float = 80.0) -> Filling:
    filling = Filling(lot, shape, truth)
    filling.pour(0, kg, float(lot.enthalpy_at(celsius)), 20.0, 0.0)
    return filling


def test_a_mould_whose_wall_insulates_cools_as_one_lump(
    plain_lot: Callable[..., Lot], bare_mould: MouldTruth
) -> None:
    """With nearly all resistance in the wall, T follows exp(-t / (R m cp / A))."""
    lot = plain_lot(cp=2000.0, k=20.0)
    filling = poured(lot, PILLAR_SHELL, replace(bare_mould, wall=4.0, side=1e6), 0.5)
    height = float(filling.heights.sum())
    filling.advance(0.0, 6 * 3600.0, still_room)
    rate = 2 * math.pi * 0.0375 * height / 4.0 / (0.5 * 2000.0)
    expected = 20 + 60 * math.exp(-rate * 6 * 3600)
    assert float(filling.celsius.mean()) == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("minutes", [60, 120, 240])
def test_a_cylinder_with_a_cold_wall_follows_the_series(
    plain_lot: Callable[..., Lot], bare_mould: MouldTruth, minutes: int
) -> None:
    """Finite cylinder, side and top held at the room, bottom closed: product of the two classic series."""
    lot = plain_lot(cp=2000.0, k=0.2, melts_c=-30.5)  # liquid throughout: no gap at the wall
    filling = poured(lot, PILLAR_SHELL, replace(bare_mould, side=1e9, top=1e9), 0.2)
    filling.advance(0.0, minutes * 60.0, still_room)
    height, alpha, t = float(filling.heights.sum()), 0.2 / (850 * 2000), minutes * 60.0
    zeros = jn_zeros(0, 40)
    middle = np.diff(filling.r_edges)[0] / 2
    radial = np.sum(
        2 / (zeros * j1(zeros)) * j0(zeros * middle / 0.0375) * np.exp(-(zeros**2) * alpha * t / 0.0375**2)
    )
    z = float(filling.heights[0]) / 2
    n = (np.arange(200) + 0.5) * math.pi
    axial = np.sum(2 * np.sin(n) / n * np.cos(n * z / height) * np.exp(-(n**2) * alpha * t / height**2))
    assert float(filling.celsius[0, 0]) == pytest.approx(20 + 60 * radial * axial, abs=0.6)


def test_a_freezing_front_follows_neumann(plain_lot: Callable[..., Lot], bare_mould: MouldTruth) -> None:
    """Liquid at its melting point, cold face: depth 2 x sqrt(alpha t), x exp(x²) erf(x) = Ste / sqrt(pi)."""
    cp, k, latent, melts = 2000.0, 0.2, 150e3, 60.5
    lot = plain_lot(cp=cp, k=k, latent=latent, melts_c=melts)
    filling = poured(lot, PILLAR_SHELL, replace(bare_mould, top=1e9), 0.4, celsius=61.0)
    filling.advance(0.0, 5400.0, still_room)
    stefan = cp * (melts - 20) / latent
    root = brentq(lambda x: x * math.exp(x * x) * erf(x) - stefan / math.sqrt(math.pi), 0.01, 3)
    front = 2 * root * math.sqrt(k / (850 * cp) * 5400.0)
    solid = (1 - filling.melted)[::-1, 0]
    heat = 2 * k * (melts - 20) * math.sqrt(5400.0 / (math.pi * k / (850 * cp))) / erf(root)
    assert filling.heat_out == pytest.approx(heat * PILLAR_SHELL.area, rel=0.015)
    # Where the front stands is read between rows that are 6 mm high at that depth.
    assert reach(filling.heights[::-1], solid, 0.5) == pytest.approx(front, abs=0.0015)


def test_a_contact_temperature_is_the_effusivity_mean(
    plain_lot: Callable[..., Lot], bare_mould: MouldTruth
) -> None:
    """Hot on cold of the same wax: the joint stands at the mean of the two while both are thick."""
    lot = plain_lot()
    filling = poured(lot, PILLAR_SHELL, bare_mould, 0.2, celsius=30.0)
    filling.pour(1, 0.2, float(lot.enthalpy_at(80.0)), 20.0, 0.0)
    filling.advance(0.0, 120.0, still_room)
    row = filling.joints[0].row
    below, above = filling.celsius[row - 1, 0], filling.celsius[row, 0]
    assert (below + above) / 2 == pytest.approx(55.0, abs=0.3)


@pytest.mark.parametrize("seed", range(3))
def test_heat_and_wax_are_kept(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lot = draw_lot(family("paraffin_pillar"), rng)
    mould = Mould(material="plastic")
    filling = Filling(lot, shell(mould), draw_mould(mould, rng))
    now, kg = 0.0, 0.0
    for layer in range(4):
        weight = float(rng.uniform(0.0005, 0.12))
        filling.pour(layer, weight, float(lot.enthalpy_at(80.0)), 20.0, now)
        kg += weight
        wait = float(rng.uniform(1, 5000))
        filling.advance(now, now + wait, still_room)
        now += wait
    assert filling.kg == pytest.approx(kg, rel=1e-12)
    assert filling.energy == pytest.approx(filling.heat_in - filling.heat_out, rel=1e-10)
    assert filling.heat_out > 0


def run_day(step: float | None) -> list[float]:
    """A plug, an hour, a second layer, six hours; what came of it."""
    rng = np.random.default_rng(3)
    lot = draw_lot(family("paraffin_pillar"), rng)
    filling = Filling(lot, PILLAR_SHELL, draw_mould(Mould(material="dull metal"), rng))
    now = 0.0

    def go(seconds: float) -> None:
        nonlocal now
        for _ in range(round(seconds / step) if step else 1):
            filling.advance(now, now + (step or seconds), still_room)
            now += step or seconds

    filling.pour(0, 0.1, float(lot.enthalpy_at(80.0)), 20.0, now)
    go(3600)
    crust = float(filling.celsius[-1] @ filling.ring_share)
    filling.pour(1, 0.35, float(lot.enthalpy_at(80.0)), 20.0, now)
    go(6 * 3600)
    seam = filling.seam(1)
    assert seam is not None
    return [crust, float(filling.celsius.max()), 1e3 * seam.mean, 1e3 * seam.edge, filling.well * 1e6]


@pytest.mark.slow
def test_second_by_second_steps_give_the_same_field() -> None:
    """One step against steps of a second: within 0.2 K, 0.2 mm and 0.2 ml."""
    assert run_day(1.0) == pytest.approx(run_day(None), abs=0.2)


def test_steps_of_any_length_give_the_same_field() -> None:
    """One step against steps of 20 s: within 0.1 K, 0.1 mm, and 0.2 ml of well."""
    at_once, by_little = run_day(None), run_day(20.0)
    assert by_little[:4] == pytest.approx(at_once[:4], abs=0.1)
    assert by_little[4] == pytest.approx(at_once[4], abs=0.2)


def test_a_finer_grid_changes_little(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half the cell size moves temperatures by less than 0.3 K and the joint by less than 0.3 mm."""
    usual = run_day(None)
    monkeypatch.setattr(moulds, "_FINEST", 0.00025)
    monkeypatch.setattr(moulds, "_COARSEST", 0.004)
    assert run_day(None)[:4] == pytest.approx(usual[:4], abs=0.3)


@pytest.mark.parametrize("thickness", [0.0011, 0.004, 0.01, 0.025, 0.15])
def test_rows_fill_a_pour_and_are_fine_at_both_faces(thickness: float) -> None:
    rows = graded(thickness)
    assert rows.sum() == pytest.approx(thickness)
    assert (rows > 0).all()
    assert rows[0] == pytest.approx(rows[-1])
    assert rows[0] <= 0.0011
    assert rows.max() < 0.0121


@given(st.floats(0.0011, 0.3))
@example(0.0014)
def test_no_row_of_a_pour_is_a_sliver(thickness: float) -> None:
    """A row ten times as thin as its neighbours asks for ten times the stages of every step."""
    rows = graded(thickness)
    assert rows.sum() == pytest.approx(thickness)
    assert rows.min() >= moulds._FINEST * (1 - 1e-9)
    ratio = rows[1:] / rows[:-1]
    assert max(ratio.max(initial=1.0), (1 / ratio).max(initial=1.0)) < 2.2


@pytest.mark.parametrize(
    ("shape", "volume", "wall"),
    [
        (Cylinder(diameter=0.075, height=0.15), math.pi * 0.075**2 / 4 * 0.15, math.pi * 0.075 * 0.15),
        (Square(side=0.07, height=0.15), 0.07**2 * 0.15, 4 * 0.07 * 0.15),
        (Rectangle(width=0.06, depth=0.1, height=0.12), 0.06 * 0.1 * 0.12, 0.32 * 0.12),
        (
            Hexagon(across_flats=0.08, height=0.1),
            0.08**2 * math.sqrt(3) / 2 * 0.1,
            6 * 0.08 / math.sqrt(3) * 0.1,
        ),
        (Tapered(diameter_low=0.05, diameter_rim=0.07, height=0.1), math.pi / 12 * 1.09e-2 * 0.1, None),
        (WaterFilled(points=(WaterPoint(height=0.1, water=0.499),)), 0.0005, None),
    ],
)
def test_the_stand_in_keeps_volume_and_wall(shape: object, volume: float, wall: float | None) -> None:
    """Volumes by school geometry; water at 20 °C weighs 998 kg/m³."""
    stand_in = shell(Mould(shape=shape))  # type: ignore[arg-type]
    assert stand_in.area * stand_in.height == pytest.approx(volume, rel=1e-3)
    side = 2 * math.pi * stand_in.radius * stand_in.height * stand_in.crowd
    if wall is not None:
        assert side == pytest.approx(wall, rel=1e-9)
    assert stand_in.area * stand_in.height / side == pytest.approx(stand_in.radius / 2)


def test_liquid_level_is_weight_over_liquid_density() -> None:
    """0.5 kg at 80 °C: the table's liquid density, give or take the lot's one percent."""
    wax = family("paraffin_pillar")
    for seed in range(5):
        lot = draw_lot(wax, np.random.default_rng(seed))
        filling = Filling(
            lot, PILLAR_SHELL, replace(draw_mould(Mould(), np.random.default_rng(1)), wall_heat=0.0)
        )
        filling.pour(0, 0.5, float(lot.enthalpy_at(80.0)), 20.0, 0.0)
        expected = 0.5 / wax.density_at(80.0) / PILLAR_SHELL.area
        assert filling.level == pytest.approx(expected, rel=0.03)


def test_a_surface_is_wet_until_its_edge_has_set(
    plain_lot: Callable[..., Lot], bare_mould: MouldTruth
) -> None:
    """New wax over an edge that is still liquid runs down the wall, however firm the middle."""
    lot = plain_lot(latent=150e3)
    filling = poured(lot, PILLAR_SHELL, bare_mould, 0.1, celsius=50.0)
    assert looks.look(filling, 20.0) == "firm"
    filling.enthalpy[-1, -1] = lot.enthalpy_at(70.0)
    assert looks.look(filling, 20.0) == "wet"


def test_what_does_not_fit_runs_over_the_rim(plain_lot: Callable[..., Lot], bare_mould: MouldTruth) -> None:
    filling = poured(plain_lot(), PILLAR_SHELL, bare_mould, 0.7)
    holds = PILLAR_SHELL.area * PILLAR_SHELL.height * 850
    assert filling.kg == pytest.approx(holds)
    assert filling.spilled == pytest.approx(0.7 - holds)
    assert filling.level == pytest.approx(PILLAR_SHELL.height)
