"""A wax, stove and mould without scatter, for checks against closed forms."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from pourday.kitchen.pot import StoveTruth
from pourday.kitchen.shells import MouldTruth
from pourday.kitchen.truth import GRID_C, Lot, draw_lot
from pourday.plan.model import Cylinder, Layer, Mould, Plan
from pourday.wax.materials import family


@pytest.fixture
def plain_lot() -> Callable[..., Lot]:
    """A lot of constant properties: cp J/kgK, k W/mK, latent J/kg over one kelvin about `melts_c`, x.5."""

    def make(cp: float = 2000.0, k: float = 0.2, latent: float = 0.0, melts_c: float = 60.5) -> Lot:
        drawn = draw_lot(family("paraffin_pillar"), np.random.default_rng(1))
        melted = np.clip(GRID_C - (melts_c - 0.5), 0.0, 1.0)
        enthalpy = cp * GRID_C + latent * melted
        return replace(
            drawn,
            solidus_c=melts_c - 0.5,
            liquidus_c=melts_c + 0.5,
            enthalpy=enthalpy,
            knots=tuple(enthalpy.tolist()),
            melted=melted,
            volume=np.full_like(GRID_C, 1 / 850.0),
            conductivity_solid=k,
            conductivity_liquid=k,
            swirl=1.0,
        )

    return make


@pytest.fixture
def stove() -> StoveTruth:
    return StoveTruth(
        power=800.0,
        steps=8,
        low=0.25,
        lag=60.0,
        pot=400.0,
        bath_loss=1.2,
        water_surface=0.015,
        wet=15.0,
        dry=2.5,
        top_loss=0.2,
        bench_loss=0.7,
        loss_rise=0.0,
        stirring=0.0,
        swirl=0.0,
        phase=0.0,
    )


@pytest.fixture
def bare_mould() -> MouldTruth:
    """A mould that conducts nothing anywhere; a check opens the face it needs."""
    return MouldTruth(
        emissivity=0.0,
        side=1e-12,
        top=1e-12,
        base=1e-12,
        wall=0.0,
        wall_heat=0.0,
        pulls_at=20.0,
        hand=31.0,
        bad_seal=False,
        sticky=1.0,
    )


@pytest.fixture
def pillar_plan() -> Plan:
    """Two dull metal pillars of 75 mm x 156 mm, two layers; vessels that keep nothing."""
    mould = Mould(count=2, material="dull metal", shape=Cylinder(diameter=0.075, height=0.156))
    return Plan(moulds=(mould,), layers=(Layer(), Layer()), vessel_keeps=0.0)
