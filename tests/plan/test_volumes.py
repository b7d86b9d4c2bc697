"""Room in a mould by true shape, against numerical integration of its cross-section."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from pourday.plan import volumes
from pourday.plan.check import BadField, check_shape
from pourday.plan.model import (
    Cylinder,
    Hexagon,
    Mould,
    Rectangle,
    Shape,
    Square,
    Tapered,
    WaterFilled,
    WaterPoint,
)

H = 0.15


def _hexagon_section(across: float) -> float:
    """Area from the corners by the shoelace rule: another road than the formula in the code."""
    radius = across / math.sqrt(3)
    x = [radius * math.cos(math.pi / 3 * k) for k in range(7)]
    y = [radius * math.sin(math.pi / 3 * k) for k in range(7)]
    return 0.5 * abs(sum(a * d - b * c for a, b, c, d in zip(x, x[1:], y, y[1:], strict=False)))


def _cone_section(z: float) -> float:
    return math.pi * (0.03 + (0.0375 - 0.03) * z / H) ** 2


SECTIONS = [
    (Cylinder(diameter=0.075, height=H), lambda _z: math.pi * 0.0375**2),
    (Tapered(diameter_low=0.06, diameter_rim=0.075, height=H), _cone_section),
    (Tapered(diameter_low=0.0, diameter_rim=0.075, height=H), lambda z: math.pi * (0.0375 * z / H) ** 2),
    (Square(side=0.07, height=H), lambda _z: 0.07**2),
    (Rectangle(width=0.05, depth=0.09, height=H), lambda _z: 0.05 * 0.09),
    (Hexagon(across_flats=0.08, height=H), lambda _z: _hexagon_section(0.08)),
]


@pytest.mark.parametrize(("shape", "section"), SECTIONS)
@pytest.mark.parametrize("height", [0.001, 0.05, 0.144, H])
def test_volume_is_the_integral_of_the_cross_section(shape: Shape, section, height: float) -> None:
    integral, _ = quad(section, 0, height)
    assert volumes.volume(shape, height) == pytest.approx(integral, rel=1e-9)


BALL_R = 0.04
BALL_HEIGHTS = (0.007, 0.020, 0.028, 0.040, 0.055, 0.061, 0.070)


def _cap(height: float) -> float:
    """Spherical cap, closed form."""
    return math.pi * height**2 * (3 * BALL_R - height) / 3


BALL = WaterFilled(
    points=tuple(WaterPoint(height=h, water=_cap(h) * volumes.WATER_DENSITY) for h in BALL_HEIGHTS)
)


def test_a_short_water_table_describes_a_ball() -> None:
    """Against the closed form of the spherical cap: within 1 % of the full mould anywhere."""
    full = _cap(BALL_HEIGHTS[-1])
    for height in np.linspace(0.001, 0.07, 60):
        assert volumes.volume(BALL, float(height)) == pytest.approx(_cap(float(height)), abs=0.01 * full)


def test_the_water_curve_is_the_monotone_cubic_of_scipy() -> None:
    """The same method (Fritsch and Butland 1984) in code nobody here wrote."""
    heights = [0.0, *BALL_HEIGHTS]
    oracle = PchipInterpolator(heights, [_cap(h) for h in heights])
    for height in np.linspace(0, 0.07, 71):
        assert volumes.volume(BALL, float(height)) == pytest.approx(
            float(oracle(height)), rel=1e-9, abs=1e-12
        )


def test_one_full_fill_of_water_is_a_straight_mould() -> None:
    mould = WaterFilled(points=(WaterPoint(height=0.1, water=0.5),))
    assert volumes.volume(mould, 0.05) == pytest.approx(0.25 / volumes.WATER_DENSITY)


_SIZE = st.floats(0.005, 0.5)
_SHAPES = st.one_of(
    st.builds(Cylinder, diameter=_SIZE, height=_SIZE),
    st.builds(Tapered, diameter_low=st.floats(0, 0.5), diameter_rim=_SIZE, height=_SIZE),
    st.builds(Square, side=_SIZE, height=_SIZE),
    st.builds(Rectangle, width=_SIZE, depth=_SIZE, height=_SIZE),
    st.builds(Hexagon, across_flats=_SIZE, height=_SIZE),
    st.lists(st.tuples(st.floats(0.002, 0.1), st.floats(0.001, 1)), min_size=1, max_size=6).map(
        lambda steps: WaterFilled(
            points=tuple(
                WaterPoint(height=sum(s[0] for s in steps[: i + 1]), water=sum(s[1] for s in steps[: i + 1]))
                for i in range(len(steps))
            )
        )
    ),
)


@given(_SHAPES, st.floats(0, 1), st.floats(0, 1))
def test_volume_rises_with_height_and_turns_back_into_it(shape: Shape, low: float, high: float) -> None:
    check_shape(shape)
    rim = volumes.height_of(shape)
    low, high = sorted((low * rim, high * rim))
    assert volumes.volume(shape, low) <= volumes.volume(shape, high) * (1 + 1e-9)
    back = volumes.height_for(shape, volumes.volume(shape, high))
    assert volumes.volume(shape, back) == pytest.approx(volumes.volume(shape, high), rel=1e-6, abs=1e-15)
    assert 0 <= back <= rim


def test_a_pointed_mould_that_is_all_but_full_is_not_filled_above_its_rim() -> None:
    """Found by chance: rounding put the wax 6e-17 m above the rim."""
    point = Tapered(diameter_low=0.0, diameter_rim=0.005, height=0.4375)
    below = volumes.volume(point, 0.4375 * 0.9999999999999999)
    assert volumes.height_for(point, below) <= 0.4375


def test_heights_and_volumes_outside_the_mould_are_cut_to_it() -> None:
    shape = Cylinder(diameter=0.075, height=H)
    assert volumes.volume(shape, -1) == 0
    assert volumes.volume(shape, 9) == volumes.capacity(shape)
    assert volumes.height_for(shape, 9) == H
    assert volumes.height_for(shape, -9) == 0


@pytest.mark.parametrize(
    ("diameter", "height", "millilitres"), [(50, 100, 196), (65, 100, 332), (75, 150, 663), (100, 150, 1178)]
)
def test_fill_volume_of_usual_pillars(diameter: float, height: float, millilitres: float) -> None:
    """Volumes by hand, pi d^2 h / 4, to the millilitre."""
    mould = Mould(shape=Cylinder(diameter=diameter / 1000, height=0.006 + height / 1000), below_rim=0.006)
    room = volumes.volume(mould.shape, volumes.fill_height(mould))
    assert room * 1e6 == pytest.approx(millilitres, abs=0.6)


@pytest.mark.parametrize(("shape", "section"), SECTIONS)
def test_the_cooling_cylinder_has_the_same_height_and_room_per_wall(shape: Shape, section) -> None:
    """Wall area by integrating the perimeter along the slant, apart from the code's own formulas."""
    like = volumes.like_cylinder(shape, 0.1)
    perimeter = {
        "Cylinder": lambda _z: math.pi * 0.075,
        "Square": lambda _z: 4 * 0.07,
        "Rectangle": lambda _z: 2 * 0.14,
        "Hexagon": lambda _z: 6 * 0.08 / math.sqrt(3),
    }.get(type(shape).__name__)
    if perimeter is None:
        slant = math.hypot(1, (shape.diameter_rim - shape.diameter_low) / 2 / H)
        wall = quad(lambda z: 2 * math.sqrt(math.pi * section(z)) * slant, 0, 0.1)[0]
    else:
        wall = quad(perimeter, 0, 0.1)[0]
    assert like.height == 0.1
    assert like.diameter / 4 == pytest.approx(quad(section, 0, 0.1)[0] / wall, rel=1e-8)


@pytest.mark.parametrize(
    ("shape", "field"),
    [
        (Cylinder(diameter=math.nan, height=H), "shape.diameter"),
        (Cylinder(diameter=0.07, height=0), "shape.height"),
        (Square(side=-1, height=H), "shape.side"),
        (Hexagon(across_flats=math.inf, height=H), "shape.across_flats"),
        (Rectangle(width=0.1, depth=99, height=H), "shape.depth"),
        (WaterFilled(points=()), "shape.points"),
        (
            WaterFilled(points=(WaterPoint(height=0.1, water=1), WaterPoint(height=0.05, water=2))),
            "shape.points.1",
        ),
    ],
)
def test_a_shape_that_encloses_nothing_is_refused_by_the_name_of_its_field(shape: Shape, field: str) -> None:
    with pytest.raises(BadField) as caught:
        check_shape(shape)
    assert caught.value.field == field
    assert caught.value.what.endswith(".")
