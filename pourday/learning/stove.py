"""What a day's readings of the pot said of its stove, and what such days teach the next one: figures of the pot's law.

Each figure is a factor on the usual one (`forecast/pot_law.py`), by itself: burner and bath are known apart by what the
burner does when it is lit, turned low and put out. What stands in air is no part of it: no record says how a pot cools there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pourday.forecast.pot import PotForecast
from pourday.forecast.pot_law import USUAL_POT, PotLaw
from pourday.forecast.pot_prior import WATER_SD, unknown_values
from pourday.learning.days import SaidOn, next_day_of_spread
from pourday.learning.factors import LogFactor

StoveFactor = Literal["power", "low", "lag", "loss", "uptake", "contact", "water"]
UNKNOWN_OF: Mapping[StoveFactor, str] = {
    "power": "power", "low": "low", "lag": "lag", "loss": "loss", "uptake": "rate", "contact": "contact", "water": "water",
}  # fmt: skip
"""By what name the pot's fit knows each figure (`UNKNOWNS` in `forecast/pot_prior.py`)."""
DAY_SHARE = 0.2
"""Of the spread of a figure among kitchens, as much as it differs by from day to day in one (estimate): the bath is filled
by eye, and another load stands in it. With 0.3 bands of a fourth day held 90 % once the pot was read, with this 84 (stoves 100
to 139 of `tests/bench/varied_stoves.py`)."""
DAY_SHARE_OF: Mapping[StoveFactor, float] = {"power": 0.3}
"""The same of what a knob is turned to by hand: a tenth (estimate)."""
TELLS = 0.97
"""A stretch tells of a figure where it left less than this share of its spread. Chosen."""
FIT = 0.4
"""What the fit of a day's readings is off by in each figure, as a share of its spread before them: of a pot that obeys the
law itself it was off by 0.15 to 0.95 with burners of half to nearly three times the usual, and held itself surer than that.
Estimate between these."""
FIT_OF: Mapping[StoveFactor, float] = {"uptake": 0.9, "loss": 0.7}
"""The same of what shows only together with others: how fast heat goes into the wax with how far the thermometer's tip feels
the bath, what is lost with how much water stands there. Set on stoves 0 to 39 of `tests/bench/varied_stoves.py`: with as
little as of the rest, forecasts of a fourth day came 6 % too soon."""
FARTHEST = 4.0
"""No day says more than so many times the spread before anything was read. Chosen."""


@dataclass(frozen=True)
class StoveTaught:
    """What the readings of one finished day said of its stove by themselves."""

    readings: int
    """How many were used."""
    said: Mapping[StoveFactor, LogFactor]
    """Natural logarithm of each figure over the usual one, by what it tells anything of."""


def stove_taught(stretches: Sequence[PotForecast]) -> StoveTaught | None:
    """What one day said of its stove, apart from what earlier days had said; None where nothing was read. `stretches` are the
    pot's forecasts as each stretch of the day ended (from one change at the stove to the next).

    A stretch begins with what the one before it had shown of a figure, where that was carried over, and then the last of such
    a row says it all. What was not carried over was learned anew and is added up.
    """
    said = dict[StoveFactor, LogFactor]()
    for view in stretches:
        carried = view.setup.carried.names if view.setup.carried is not None else ()
        values = unknown_values(view.setup, view.ensemble.z)
        for figure, name in UNKNOWN_OF.items():
            told = figure == "water" and view.setup.water_sd < WATER_SD
            if name not in values or not view.readings or told:
                continue
            mean = float(view.weights @ values[name])
            variance = float(view.weights @ (values[name] - mean) ** 2)
            if variance >= TELLS**2:
                continue
            # Of a bell about nought with a spread of one, and one after readings, precisions subtract.
            precision, pull = 1 / max(variance, 1e-4) - 1, mean / max(variance, 1e-4)
            if name not in carried and figure in said:
                before = said[figure]
                precision, pull = precision + before.sigma**-2, pull + before.mean * before.sigma**-2
            value = min(max(pull / precision, -FARTHEST), FARTHEST)
            said[figure] = LogFactor(value, precision**-0.5)
    said = {
        figure: one._replace(sigma=math.hypot(one.sigma, FIT_OF.get(figure, FIT)))
        for figure, one in said.items()
    }
    read = sum(view.readings for view in stretches)
    if not said:
        return None
    sizes = {figure: spread_of(figure) for figure in said}
    return StoveTaught(
        read,
        {
            x: LogFactor(round(one.mean * sizes[x], 4), round(one.sigma * sizes[x], 4))
            for x, one in said.items()
        },
    )


def spread_of(figure: StoveFactor) -> float:
    """Standard deviation of the natural logarithm of a figure among stoves, before anything was read of this one."""
    return float(getattr(USUAL_POT, f"{figure}_sd"))


def next_stove(days: Iterable[tuple[StoveTaught, float]], now: float, figure: StoveFactor) -> LogFactor:
    """How many times the usual one a figure is likely to be on the next day, as a natural logarithm with its spread. `days`
    are pairs: what a day said, and when it was (seconds since the epoch, as `now`)."""
    said = [SaidOn(day.said[figure], t) for day, t in days if figure in day.said]
    return next_day_of_spread(said, now, spread_of(figure), DAY_SHARE_OF.get(figure, DAY_SHARE))


def law_of(days: Sequence[tuple[StoveTaught, float]], now: float) -> PotLaw:
    """The pot's law to begin the next day with: every figure as the days before have it; the usual one without any."""
    law = USUAL_POT
    for figure in UNKNOWN_OF:
        factor = next_stove(days, now, figure)
        law = replace(
            law,
            **{
                figure: getattr(law, figure) * math.exp(factor.mean),
                f"{figure}_sd": factor.sigma,
            },
        )
    return law
