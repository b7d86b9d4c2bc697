"""Wax that nobody knows in a day's forecasts: wider windows, narrowed by its own melt and by looks."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.forecast.pot import Guess, PotSetup, forecast
from pourday.guide.advice.queries import ForecastQuery, Memory
from pourday.guide.outlook.outlook import as_it_melted
from pourday.kitchen.pot import Pot
from pourday.plan.model import BlendPart, Plan
from pourday.plan.wax_words import from_words
from pourday.session import events as ev
from pourday.wax.materials import CURVE, Wax, family
from pourday.wax.supplier import from_sheet
from pourday.wax.unsure import kelvin_sd, moved

Day = Any
CURVED = from_sheet(
    "Ends", "paraffin_pillar", {"congealing_min_c": 58.7, "congealing_max_c": 59.3}, confidence=CURVE
)
ABOUT = from_words("paraffin, about 59", "metric")
assert ABOUT is not None


def of(wax: Wax | None) -> Plan:
    plan = two_pillars()
    if wax is None:
        return replace(plan, blend=(BlendPart(wax="paraffin_pillar"),))
    return replace(plan, blend=(BlendPart(wax=wax.id),), own=(wax,))


def wide(day: Day, minute: float) -> float:
    """How wide the window's opening is told, as a natural logarithm of the wait."""
    outlook = day.outlook(minute)
    mould = outlook.mould("A")
    poured = outlook.state.moulds["A"].pours[-1].t
    return math.log((mould.opens.late - poured) / (mould.opens.early - poured))


def test_a_window_of_wax_from_words_is_wider_than_from_a_curve_than_from_the_table(day: Day) -> None:
    told = []
    for wax in (None, CURVED, ABOUT):
        fresh = type(day)(plan=of(wax))
        fresh.at(0, ev.BurnerSet(state="on"))
        fresh.at(50, ev.Poured(mould="A", layer=0, part="plug", kg=0.02))
        fresh.at(60, ev.Poured(mould="A", layer=0, part="layer", kg=0.2))
        told.append(wide(fresh, 61))
    assert told[0] < told[1] < told[2]
    assert told[2] > 1.05 * told[0]


@pytest.mark.parametrize("seeds", [range(200, 205)])
def test_its_own_melt_tells_where_it_sets(seeds) -> None:
    """Pots of the simulated kitchen, which shares nothing with the forecast, melt wax of "paraffin, about 58" that truly
    sets up to 4 K beside that; somebody reads them every two minutes with an error of 0.4 K."""
    wax = from_words("paraffin, about 58", "metric")
    assert wax is not None
    off, truths = [], []
    for seed in seeds:
        rng = np.random.default_rng(seed)
        truth = float(rng.uniform(-4, 4))
        pot = Pot(
            moved(wax, truth),
            float(rng.uniform(0.6, 1.5)),
            float(rng.uniform(1, 2.5)),
            np.random.default_rng(seed),
        )
        kg, readings = pot.pan.kg, []
        pot.burner(True)
        while pot.seconds < 5400 and pot.wax_c < 82:
            pot.advance(120 * float(rng.uniform(0.7, 1.3)))
            readings.append((pot.seconds, pot.wax_c + 0.4 * float(rng.standard_normal())))
        setup = PotSetup(
            wax=wax, kg=kg, room_c=21.0, mode="on heat", mode_since=0.0, start_c=Guess(21.0, 2.0),
            bath_c=Guess(21.0, 3.0), bath_limit_c=99.0,
        )  # fmt: skip
        view = forecast(setup, readings, readings[-1][0])
        lot = as_it_melted(view)
        assert lot.sd < 0.6 * kelvin_sd(wax)
        off.append(view.wax_moved.mean - truth)
        truths.append(truth)
    rms = float(np.sqrt(np.mean(np.square(off))))
    assert rms < 1.5 < float(np.sqrt(np.mean(np.square(truths))))


def test_a_wax_with_figures_is_not_moved_by_its_melt() -> None:
    wax = family("paraffin_pillar")
    setup = PotSetup(wax=wax, kg=1.0, room_c=21.0, mode="on heat", mode_since=0.0, start_c=Guess(21.0, 2.0))
    view = forecast(setup, [(600.0, 40.0), (1200.0, 52.0), (1800.0, 55.0)], 1800.0)
    assert as_it_melted(view).mean == 0.0


def melted_higher(day: Day) -> tuple[Day, float]:
    """A pot of the simulated kitchen melts wax that truly sets 3.5 K above what its words say; its readings go on record.
    The day and its last minute."""
    assert ABOUT is not None
    fresh = type(day)(plan=of(ABOUT))
    fresh.at(0, ev.BurnerSet(state="on"))
    kg = fresh.outlook(0).sheet.total_wax
    pot, rng = Pot(moved(ABOUT, 3.5), kg, 1.9, np.random.default_rng(4)), np.random.default_rng(5)
    pot.burner(True)
    while pot.seconds < 5400 and pot.wax_c < 84:
        pot.advance(150.0)
        celsius = round(pot.wax_c + 0.3 * float(rng.standard_normal()), 1)
        fresh.at(pot.seconds / 60, ev.Reading(place="pot", celsius=celsius))
    return fresh, pot.seconds / 60 + 0.1


def test_a_day_s_own_melt_moves_its_windows_and_says_so(day: Day) -> None:
    fresh, minute = melted_higher(day)
    outlook = fresh.outlook(minute)
    assert 2.0 <= outlook.wax_moved <= 5.0
    assert "By how it melted, this wax sets between" in outlook.news
    assert fresh.plan.own == outlook.state.plan.own  # what is told of it on record stays as it was said


@pytest.mark.parametrize("known", [None, frozenset()], ids=["at once", "beside the screen"])
def test_what_the_melt_told_is_said_for_ten_minutes_and_not_again(
    day: Day, known: frozenset[int] | None
) -> None:
    """Whoever answers, and however often they are asked meanwhile."""
    fresh, minute = melted_higher(day)
    memory, said = Memory(), []
    for later in (0.0, 1.0, 9.0, 11.0, 60.0):
        query = ForecastQuery(fresh.state, fresh.t(minute + later), known)
        said.append({bool(part.outlook and part.outlook.news) for part in query.answers(memory)})
    assert said == [{True}] * 3 + [{False}] * 2
