"""The same mould poured the same way, and the same pot read the same way, is computed once for all tests of a process that are
not about the computing."""

from __future__ import annotations

import pickle
from collections import OrderedDict
from dataclasses import replace

import pytest

from pourday.forecast import mould, warming
from pourday.forecast.mould import MouldRun
from pourday.forecast.mould_case import Case
from pourday.forecast.pot import PotForecast
from pourday.guide.ahead import moulds as ahead
from pourday.guide.outlook import learned, pot
from pourday.guide.outlook import mould_heat as heat
from pourday.learning.heat import LayerHeat, layer_heats

_REAL = heat.compute
_COMPUTED: dict[tuple[Case, int], heat.MouldHeat] = {}
_SIMULATE = ahead.simulate_all
_SIMULATED: dict[bytes, list[MouldRun]] = {}
MOST_SIMULATED = 400
"""Some hundred kilobytes each."""
_NINE: dict[Case, LayerHeat] = {}
_FORECAST = pot.forecast
_POTS: OrderedDict[tuple[object, ...], PotForecast] = OrderedDict()
MOST_POTS = 100
"""Some hundred kilobytes each as well."""


def heat_once(patch: pytest.MonkeyPatch) -> None:
    """From here on heat that was computed before is not computed again."""
    patch.setattr(heat, "compute", _once)
    patch.setattr(learned, "layer_heats", _nine_once)
    patch.setattr(pot, "forecast", _pot_once)


def _once(wanted, known, grid):  # noqa: ARG001 - from scratch, so that it cannot depend on the order of tests
    for letter, (zero, case) in wanted.items():
        if (case, id(grid)) not in _COMPUTED:
            _COMPUTED[case, id(grid)] = _REAL({letter: (zero, case)}, {}, grid)[letter]
    return {
        letter: replace(_COMPUTED[case, id(grid)], first_pour_t=zero)
        for letter, (zero, case) in wanted.items()
    }


def rest_once(patch: pytest.MonkeyPatch) -> None:
    """The same for what goes on from any field of heat, told by all it is given: days worked out ahead, pours and warmings that
    are tried."""
    for module in (ahead, mould, warming):
        patch.setattr(module, "simulate_all", _simulated_once)


def _simulated_once(cases, **how):
    given = pickle.dumps((cases, how))
    if given not in _SIMULATED:
        if len(_SIMULATED) >= MOST_SIMULATED:
            _SIMULATED.clear()
        _SIMULATED[given] = _SIMULATE(cases, **how)
    return list(_SIMULATED[given])


def _nine_once(cases, below=None):  # noqa: ARG001 - from scratch as well
    for case in cases:
        if case not in _NINE:
            _NINE[case] = layer_heats([case])[0]
    return [_NINE[case] for case in cases]


def _pot_once(setup, readings, now, ahead_s=None, before=None):  # noqa: ARG001 - what it would serve again is here as well
    asked = setup, tuple(readings), now, ahead_s
    if asked not in _POTS:
        _POTS[asked] = _FORECAST(setup, readings, now, ahead_s)
        if len(_POTS) > MOST_POTS:
            _POTS.popitem(last=False)
    _POTS.move_to_end(asked)
    # What a test has worked out from it, perhaps with a part of the program changed, is no business of the next one.
    return replace(_POTS[asked], asides={}, _asked={}, _looked={})
