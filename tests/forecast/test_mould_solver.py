"""A batch of moulds stepped on: what leaves the wax arrives outside, and neighbours in a batch do not feel each other."""

from __future__ import annotations

import numpy as np
import pytest

from pourday.forecast import mould as mo
from pourday.forecast.mould_solver import Batch
from pourday.forecast.mould_tables import LOW_C, Tables
from pourday.wax.enthalpy import curve
from pourday.wax.materials import family

PARAFFIN = family("paraffin_pillar")


def kept(celsius: float, room_c: float = 21.0) -> mo.MouldRun:
    pours = [mo.PourInto(0.0, celsius, PARAFFIN, height=0.05)]
    return mo.simulate(mo.RoundMould(0.038, 0.16), pours, mo.Around(room_c), until_s=60.0)


def test_a_mould_in_a_batch_has_the_times_and_surface_it_has_alone():
    runs = [kept(85.0), kept(75.0, 15.0)]
    cases, fields = [run.case for run in runs], [run.after_last_pour for run in runs]
    both, alone = Batch(cases, fields), Batch(cases[:1], fields[:1])
    for batch in (both, alone):
        rate = batch.prepare()
        for _ in range(20):
            batch.step(np.full(rate.size, 10.0), rate)
            rate = batch.prepare()
    assert both.t - [field.at_s for field in fields] == pytest.approx([200.0, 200.0])
    assert both.celsius[0, both.first : -1, 0] == pytest.approx(
        alone.celsius[0, alone.first : -1, 0], abs=0.02
    )
    assert (both.lost() > 0).all()
    assert both.lost()[0] == pytest.approx(alone.lost()[0], rel=1e-3)


def test_the_table_of_a_wax_is_its_heat_curve_at_every_hundredth_of_its_steps():
    """T = a[i] + s[i] x at x table steps, against the curve it was made from."""
    tables = Tables()
    wax = curve(PARAFFIN)
    at, low, step, steepest = tables.wax(wax, PARAFFIN)
    a, s, _, _ = tables.joined()
    x = np.linspace(0, 1999.99, 7001)
    i = at + x.astype(int)
    read = a[i] + s[i] * (at + x)
    assert read == pytest.approx(wax.celsius_at(low + step * x), abs=0.02)
    assert steepest == pytest.approx(s[at : at + 2000].max())
    assert a[at] + s[at] * at == pytest.approx(LOW_C)


def test_surroundings_keep_their_temperature_whatever_flows_into_them():
    tables = Tables()
    at = tables.surroundings(21.0)
    a, s, _, _ = tables.joined()
    assert [a[at + n] + s[at + n] * (at + n) for n in (-20, 0, 20)] == [21.0] * 3
    assert tables.surroundings(21.0) == at
