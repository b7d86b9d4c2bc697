"""What was measured, turned into the fact that is filed: a reading with its means and its doubt, or a weight.

The keyboard, the player of the demo and whatever reads by itself go by the same rules.
"""

from __future__ import annotations

from pourday.forecast.pot import PotForecast, doubt
from pourday.session import events as ev
from pourday.session.doubted import borne_out
from pourday.session.events import Means, Place
from pourday.session.state import State


def usual_means(place: Place) -> Means:
    """How a temperature is taken there where nobody says otherwise: common practice, no source."""
    return "infrared" if place == "surface" else "probe"


def reading_of(
    state: State,
    pot: PotForecast | None,
    place: Place,
    celsius: float,
    typed: str,
    now: float,
    *,
    mould: str = "",
    jug: int | None = None,
) -> ev.Reading:
    """A reading (°C, taken at `now`) at its place; one of the pot that cannot be carries the doubt it raises.

    `jug` is the layer whose jug it was read in; where there is only one, it was that.

    `pot` is the forecast from the readings before it; without one nothing is doubted.
    """
    return ev.Reading(
        place=place,
        mould=mould,
        celsius=celsius,
        typed=typed,
        means=usual_means(place),
        jug=which_jug(state, jug) if place == "jug" else None,
        doubt=_doubt(state, pot, celsius, now) if place == "pot" and pot is not None else "",
    )


def which_jug(state: State, told: int | None) -> int | None:
    """The jug that was told, or the only one there is."""
    return next(iter(state.jugs)) if told is None and len(state.jugs) == 1 else told


def weight_of(
    state: State, mould: str, kg: float, typed: str, *, pour: int | None = None, doubt: str = ""
) -> ev.Weighed:
    """The weight (kg) of one pour into a mould, or of its candle once that is out.

    `pour` is the number of that pour's entry; None: the last one. `doubt` says why it can hardly be, where the person
    kept it all the same.
    """
    standing = state.moulds[mould]
    if standing.demoulded_at is not None:
        return ev.Weighed(mould=mould, what="candle", kg=kg, typed=typed, doubt=doubt)
    last = standing.last_pour
    meant = pour if pour is not None or last is None else last.seq
    return ev.Weighed(mould=mould, what="pour", kg=kg, typed=typed, pour=meant, doubt=doubt)


def _doubt(state: State, pot: PotForecast, celsius: float, now: float) -> str:
    """Why a reading of the pot cannot be, after those since its heating last changed; nothing for one that can."""
    since = [r for r in state.readings if r.place == "pot" and r.t >= pot.setup.mode_since]
    used = [(r.t, r.celsius) for r in since if not r.doubt]
    doubted = [(r.t, r.celsius) for r in borne_out(state.readings)[1]]
    return doubt(pot.setup, used, (now, round(celsius, 1)), doubted, pot) or ""
