"""Plans of many kinds: sizes, shapes and waxes a home maker really pours."""

from __future__ import annotations

import math

from pourday.plan.model import (
    BlendPart,
    Cylinder,
    Hexagon,
    Layer,
    Mould,
    Plan,
    Square,
    Tapered,
    WaterFilled,
    WaterPoint,
)

ONE = (Layer(colour="cream", swatch="#ead9b5"),)
TWO = (
    Layer(colour="rust", swatch="#b4532f", share=0.5, scent_load=0.05, dye_load=0.0008),
    Layer(colour="cream", swatch="#ead9b5", share=0.5, scent_load=0.05, dye_load=0.0001),
)
INCH = 0.0254
WATER = 998.2
"""kg/m³ at 20 °C (CRC Handbook of Chemistry and Physics)."""


def _sphere(diameter: float) -> WaterFilled:
    """A globe filled through a small opening at its top, as water weighed into it by tenths of its height."""
    radius = diameter / 2

    def water(height: float) -> float:
        return WATER * math.pi * height * height * (3 * radius - height) / 3

    heights = [diameter * step / 10 for step in range(1, 11)]
    return WaterFilled(points=tuple(WaterPoint(height=h, water=water(h)) for h in heights))


def _odd() -> WaterFilled:
    """A bottle with a waist, measured in four fills."""
    fills = ((0.03, 0.110), (0.07, 0.205), (0.10, 0.310), (0.13, 0.455))
    return WaterFilled(points=tuple(WaterPoint(height=h, water=kg) for h, kg in fills))


def _pillar(wax: str, **more: object) -> Plan:
    mould = Mould(shape=Cylinder(diameter=3 * INCH, height=6 * INCH), material="bright metal")
    return Plan(title=wax, moulds=(mould,), layers=ONE, blend=(BlendPart(wax=wax),), **more)  # type: ignore[arg-type]


def _one(mould: Mould, layers: tuple[Layer, ...] = ONE, **more: object) -> Plan:
    return Plan(title=mould.name, moulds=(mould,), layers=layers, **more)  # type: ignore[arg-type]


PLANS: dict[str, Plan] = {
    "votive": _one(
        Mould(
            name="votive",
            shape=Tapered(diameter_low=0.040, diameter_rim=0.048, height=0.058),
            below_rim=0.004,
            count=2,
            upside_down=False,
        ),
        plug=0.0,
    ),
    "3x6": _one(Mould(name="3 x 6", shape=Cylinder(diameter=3 * INCH, height=6 * INCH))),
    "4x6": _one(Mould(name="4 x 6", shape=Cylinder(diameter=4 * INCH, height=6 * INCH))),
    "4x8": _one(
        Mould(name="4 x 8", shape=Cylinder(diameter=4 * INCH, height=8 * INCH), material="dull metal"), TWO
    ),
    "square": _one(Mould(name="square", shape=Square(side=0.08, height=0.12), material="plastic")),
    "hexagon": _one(
        Mould(name="hexagon", shape=Hexagon(across_flats=0.07, height=0.16), material="plastic"), TWO
    ),
    "sphere": _one(Mould(name="sphere", shape=_sphere(0.2), material="plastic", below_rim=0.004)),
    "taper": _one(
        Mould(name="taper", shape=Cylinder(diameter=0.022, height=0.25), material="plastic", count=2),
        plug=0.0,
    ),
    "odd": _one(Mould(name="odd", shape=_odd(), material="silicone"), TWO),
    "bands": _one(
        Mould(name="bands", shape=Cylinder(diameter=0.07, height=0.096), material="plastic"),
        tuple(Layer(colour=f"band {n}", dye_load=0.0005) for n in range(1, 7)),
    ),
    "market": Plan(
        title="market",
        moulds=(
            Mould(name="small", shape=Cylinder(diameter=0.05, height=0.08), material="plastic", count=5),
            Mould(name="tall", shape=Cylinder(diameter=0.06, height=0.12), material="bright metal", count=3),
        ),
        layers=ONE,
    ),
    "demo-one-jug": Plan(
        title="one jug",
        moulds=(
            Mould(name="tall", shape=Cylinder(diameter=0.075, height=0.15)),
            Mould(name="short", shape=Cylinder(diameter=0.065, height=0.1), material="plastic", limit_c=85.0),
        ),
        layers=(Layer(colour="rust", scent_load=0.04, dye_load=0.0008),),
    ),
    "palm": _pillar("palm"),
    "soy": _pillar("soy_pillar"),
    "beeswax": _pillar("beeswax"),
    "cold-room": _one(
        Mould(name="cold room", shape=Cylinder(diameter=0.09, height=0.12), material="dull metal"),
        TWO,
        room_c=13.0,
        altitude=1500.0,
    ),
}
"""By name. Every one can be weighed out."""


def _star() -> WaterFilled:
    """A five-pointed star, narrower towards its far end, measured in five fills."""
    fills = ((0.02, 0.052), (0.05, 0.140), (0.08, 0.239), (0.11, 0.350), (0.13, 0.431))
    return WaterFilled(points=tuple(WaterPoint(height=h, water=kg) for h, kg in fills))


HELD_BACK: dict[str, Plan] = {
    "60x90": _one(Mould(name="60 x 90", shape=Cylinder(diameter=0.06, height=0.09), material="dull metal")),
    "120x120": _one(Mould(name="120 x 120", shape=Cylinder(diameter=0.12, height=0.12))),
    "three": _one(
        Mould(name="three", shape=Cylinder(diameter=0.09, height=0.18), material="plastic"),
        (
            Layer(colour="moss", share=0.3, scent_load=0.06, dye_load=0.001),
            Layer(colour="sand", share=0.45, scent_load=0.06),
            Layer(colour="chalk", share=0.25),
        ),
    ),
    "post": _one(Mould(name="post", shape=Square(side=0.05, height=0.2), material="bright metal"), TWO),
    "star": _one(Mould(name="star", shape=_star(), material="silicone")),
    "votive-pair": _one(
        Mould(
            name="votive 45 x 50",
            shape=Tapered(diameter_low=0.040, diameter_rim=0.045, height=0.050),
            below_rim=0.004,
            count=2,
            upside_down=False,
        ),
        plug=0.0,
    ),
    "blend": _one(
        Mould(name="blend", shape=Cylinder(diameter=0.07, height=0.14), material="plastic"),
        blend=(BlendPart(wax="paraffin_pillar", share=0.65), BlendPart(wax="beeswax", share=0.35)),
    ),
    "glass": _one(
        Mould(
            name="glass",
            shape=Cylinder(diameter=0.075, height=0.09),
            below_rim=0.012,
            material="glass",
            stays=True,
        ),
        (Layer(colour="fig", scent_load=0.06),),
        blend=(BlendPart(wax="soy_container"),),
    ),
    "cool": _one(
        Mould(name="cool", shape=Cylinder(diameter=0.08, height=0.15), material="dull metal"),
        TWO,
        room_c=14.0,
    ),
    "warm": _one(
        Mould(name="warm", shape=Cylinder(diameter=0.08, height=0.15), material="dull metal"),
        TWO,
        room_c=28.0,
    ),
}
"""By name. None of them was played before the pours, holes and top-ups were written."""


def _bands(diameter: float, height: float, material: str, shares: tuple[float, ...], **more: object) -> Plan:
    layers = tuple(Layer(colour=f"band {n}", share=share) for n, share in enumerate(shares, 1))
    name = f"{len(shares)} bands, {diameter * 1000:.0f} x {height * 1000:.0f} mm, {material}"
    mould = Mould(name=name, shape=Cylinder(diameter=diameter, height=height), material=material)  # type: ignore[arg-type]
    return _one(mould, layers, **more)


BANDED: dict[str, Plan] = {
    "bands-2-narrow": _bands(0.06, 0.12, "plastic", (0.5, 0.5)),
    "bands-2-thin-last": _bands(0.1, 0.15, "bright metal", (0.85, 0.15)),
    "bands-3": _bands(0.09, 0.18, "plastic", (1 / 3, 1 / 3, 1 / 3)),
    "bands-3-wide": _bands(0.13, 0.13, "dull metal", (0.4, 0.4, 0.2)),
    "bands-4": _bands(0.08, 0.2, "bright metal", (0.25, 0.25, 0.25, 0.25)),
    "bands-4-last-thin": _bands(0.11, 0.16, "plastic", (0.4, 0.3, 0.2, 0.1)),
    "bands-5-palm": _bands(0.075, 0.15, "plastic", (0.2,) * 5, blend=(BlendPart(wax="palm"),)),
    "bands-6": _bands(0.1, 0.2, "dull metal", (1 / 6,) * 6, room_c=16.0),
    "bands-3-beeswax": _bands(0.07, 0.16, "silicone", (0.3, 0.4, 0.3), blend=(BlendPart(wax="beeswax"),)),
}
"""By name. Every one has bands that can shut a hollow in under the next; none was looked at before that was thought of."""
