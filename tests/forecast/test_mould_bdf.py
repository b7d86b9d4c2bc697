"""The mould's solver agrees with SciPy's BDF on the same equations and cells, layer upon layer."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from pourday.forecast import mould as mo
from pourday.wax.enthalpy import curve
from pourday.wax.materials import family


@pytest.fixture(scope="module")
def plain():
    path = Path(__file__).parents[1] / "plain_mould.py"
    spec = importlib.util.spec_from_file_location("plain_mould", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.PlainMould


EVEN = mo.Resolution(0.005, 0.005, 0.0076, 0.0076, 0.0, 0.005, 0.1, 15.0, late=1.0)
"""The same size everywhere, so that a pour changes nothing about the cells below."""
PARAFFIN, BEESWAX, SOY, STEARIN = (
    family(name) for name in ("paraffin_pillar", "beeswax", "soy_pillar", "stearic_commercial")
)
CASES = {
    "one paraffin": ((9, 6, 10), [(0, 85, PARAFFIN, 0.025), (2700, 85, PARAFFIN, 0.1), (7200, 85, PARAFFIN, 0.025)]),
    "unlike waxes": ((11, 7, 14), [(0, 75, BEESWAX, 0.03), (3000, 72, SOY, 0.03), (6000, 75, BEESWAX, 0.03)]),
    "in a bath": ((150, 100, 10), [(0, 82, STEARIN, 0.03), (900, 85, STEARIN, 0.04), (2000, 80, STEARIN, 0.03)]),
}  # fmt: skip


# Of a wax on itself in the quick suite: the Neumann fronts of test_mould_solutions.py.
@pytest.mark.parametrize(
    "name", [pytest.param("one paraffin", marks=pytest.mark.slow), "unlike waxes", "in a bath"]
)
def test_three_layers_follow_bdf_within_a_hundredth_of_a_kelvin(plain, name):
    """Mean over all cells, and every cell within 0.3 K, at eight times after the last pour."""
    films, layers = CASES[name]
    pours = [mo.PourInto(t, c, wax, height=h) for t, c, wax, h in layers]
    vessel = mo.RoundMould(0.038, 0.16, films=mo.Films(*films))
    end = 30000.0
    o = mo.simulate(vessel, pours, mo.Around(21.0), grid=EVEN, until_s=end)
    waxes = list(dict.fromkeys(p.wax for p in pours))
    materials = [
        (
            c.celsius,
            c.heat,
            c.solid,
            w.conductivity_solid,
            w.conductivity_liquid,
            mo.PourInto(0.0, 80.0, w).density,
        )
        for w, c in ((w, curve(w)) for w in waxes)
    ]
    z, r = np.zeros(1), o.after_last_pour.r
    heat, material = np.empty((0, r.size - 1)), []
    for k, p in enumerate(pours):
        fresh = round(p.height / 0.005)
        z = np.concatenate([z, z[-1] + p.height / fresh * np.arange(1, fresh + 1)])
        material += [waxes.index(p.wax)] * fresh
        c = curve(p.wax)
        heat = np.vstack([heat, np.full((fresh, r.size - 1), np.interp(p.celsius, c.celsius, c.heat))])
        bench = plain(z, r, films, 21.0, materials, material)
        last = k + 1 == len(pours)
        times = list(np.geomspace(400, end - p.at_s, 8) + p.at_s) if last else [pours[k + 1].at_s]
        heats = bench.run(heat, p.at_s, times)
        heat = heats[-1]
    assert np.allclose(z, o.after_last_pour.z)
    for at_s, h in zip(times, heats, strict=True):
        off = np.abs(o.section(at_s).celsius - bench.state(h)[0])
        assert off.mean() < 0.01
        # A cell that is just giving up its last latent heat falls fast: a few seconds show there.
        assert off.max() < 0.3
