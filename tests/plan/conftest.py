"""Plans that the tests of this area share."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import strategies as st

from pourday.plan.model import (
    BlendPart,
    Cylinder,
    Hexagon,
    Layer,
    Mould,
    Plan,
    Rectangle,
    Square,
    Tapered,
    WaterFilled,
    WaterPoint,
)
from pourday.wax.materials import families

_SIZE = st.floats(0.02, 0.3)
_SHAPE = st.one_of(
    st.builds(Cylinder, diameter=_SIZE, height=_SIZE),
    st.builds(Tapered, diameter_low=_SIZE, diameter_rim=_SIZE, height=_SIZE),
    st.builds(Square, side=_SIZE, height=_SIZE),
    st.builds(Rectangle, width=_SIZE, depth=_SIZE, height=_SIZE),
    st.builds(Hexagon, across_flats=_SIZE, height=_SIZE),
    st.builds(
        lambda low, water, more: WaterFilled(
            points=(WaterPoint(height=low, water=water), WaterPoint(height=2.5 * low, water=water + more))
        ),
        _SIZE,
        st.floats(0.01, 2),
        st.floats(0.01, 2),
    ),
)
_MOULD = st.builds(
    Mould,
    shape=_SHAPE,
    below_rim=st.floats(0, 0.015),
    material=st.sampled_from(["bright metal", "plastic", "silicone", "glass"]),
    count=st.integers(1, 2),
    upside_down=st.booleans(),
    stays=st.booleans(),
    holes=st.one_of(st.none(), st.integers(0, 3)),
    limit_c=st.one_of(st.none(), st.floats(50, 120)),
    set_weight=st.one_of(st.none(), st.floats(0.01, 5)),
)
_BLEND = st.lists(
    st.builds(
        BlendPart,
        wax=st.sampled_from(sorted(families())),
        share=st.floats(0.01, 1),
        price_per_kg=st.one_of(st.none(), st.floats(0, 50)),
        at_hand=st.one_of(st.none(), st.floats(0, 5)),
    ),
    min_size=1,
    max_size=3,
).map(tuple)
_LAYER = st.builds(
    Layer,
    colour=st.sampled_from(["", "sage", "sand"]),
    share=st.floats(0.01, 10),
    scent_load=st.floats(0, 0.15),
    dye_load=st.floats(0, 0.01),
    blend=st.one_of(st.just(()), st.just(()), _BLEND),
)

PLANS = st.builds(
    Plan,
    room_c=st.floats(5, 35),
    altitude=st.floats(-100, 4000),
    units=st.sampled_from(["metric", "us"]),
    scale_step=st.sampled_from([0.001, 0.0001, 0.00141747615625]),
    moulds=st.lists(_MOULD, min_size=1, max_size=3).map(tuple),
    blend=_BLEND,
    layers=st.lists(_LAYER, min_size=1, max_size=5).map(tuple),
    plug=st.sampled_from([0.0, 0.006, 0.012, 0.05]),
    scent_basis=st.sampled_from(["on top", "within"]),
    loss=st.floats(0, 0.3),
    vessel_keeps=st.one_of(st.just(0.010), st.floats(0, 0.05)),
    bath=st.one_of(st.none(), st.floats(0.0003, 0.01)),
    pour_c=st.one_of(st.none(), st.floats(50, 110)),
)


@pytest.fixture(scope="session")
def any_plan() -> st.SearchStrategy[Plan]:
    """Any plan a person could mean, and many nobody would."""
    return PLANS


@pytest.fixture
def pillar() -> Callable[..., Plan]:
    """A plan for straight round moulds, 75 mm x 150 mm filled to the rim unless told otherwise."""

    def make(
        *layers: Layer, diameter: float = 0.075, height: float = 0.150, below: float = 0.0, **more
    ) -> Plan:
        shape = Cylinder(diameter=diameter, height=height)
        count = more.pop("count", 1)
        moulds = (Mould(shape=shape, below_rim=below, count=count),)
        return Plan(moulds=moulds, layers=layers or (Layer(),), **{"plug": 0.0, **more})

    return make
