"""What a turn of the knob would do to the wax by the forecast: whether a low flame holds it, warms it, or lets it run over."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.forecast.pot import PotForecast
from pourday.guide.acts.durations import HOLD_LOW, REACTS
from pourday.guide.acts.heat_plan import LOOKED, POUR_KEEPS, TOP_UP_KEEPS, PourNeed
from pourday.guide.acts.pour_heat import NEAR_CEILING, SHORT_OF_CEILING
from pourday.guide.acts.stove_reads import SMALL
from pourday.guide.outlook.outlook import READY_WITHIN, Outlook
from pourday.guide.outlook.pot import (
    bath_on_full,
    bath_peak,
    held_low,
    low_at,
    peak,
    peak_after_full,
    warm_up,
    warm_up_low,
)
from pourday.session.events import Knob
from pourday.times import MINUTE

FULL_FOR = 2 * MINUTE
"""A full flame that has to go down sooner than this is not lit: it is turned to and fro. An estimate of ours."""
KNOWN_HIGH = 0.25
"""Of the way from the likely to the high side, as much as is reckoned with over a low flame that was read. An estimate of
ours."""
LOW_NEAR = 2.0
"""K below the ceiling at which even a low flame goes out. An estimate of ours."""
LOW_WARMS = 75 * MINUTE
"""A low flame is lit no longer ahead than this to warm jugs by itself. An estimate of ours."""
SOON_POURED = 10 * MINUTE
"""What is poured within this is read at once, so that a low flame need not surely keep below the ceiling. An estimate of
ours."""
AS_QUICK = 4 * MINUTE
"""So much longer a low flame may take than a full one and be lit in its place. An estimate of ours."""
HOLDS_FOR, LOW_SHORT = 20 * MINUTE, 4.0
"""For a pour further ahead than this a low flame is lit although it seems to hold the wax so many K too cold: how strong
it is on this stove the readings show. Estimates of ours."""


def runs_over(outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> bool:
    """Whether the wax in the jugs would pass its ceiling although the flame were turned low now: hob and bath still have heat
    to give.

    By the high side of the forecast, and only once a jug is drawn: it holds so little that it follows its bath within
    minutes.
    """
    drawn = bool(wanted) and wanted[0].drawn and outlook.pot is not None
    return drawn and outlook.pot is not None and bath_peak(outlook.pot, now + REACTS)[1] >= outlook.ceiling_c


def too_cold_on_low(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether turning the flame low now would be in vain: the jug would stay too cold to pour and is in no danger of its
    ceiling, so the flame would only be turned up again."""
    if outlook.pot is None:
        return False
    _, likely, high = held_low(outlook.pot, now + REACTS)
    return likely < need.least and high < outlook.ceiling_c - LOW_NEAR


def low_is_weak(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether a low flame is too weak on this stove: even by the high side of the forecast the jug is too cold to pour when
    it is wanted (or after `HOLDS_FOR`, where it is wanted sooner)."""
    when = min(max(now + HOLDS_FOR, need.at), now + HOLD_LOW)
    return need.drawn and outlook.pot is not None and low_at(outlook.pot, now, when)[2] < need.least


def bath_may_reach(pot: PotForecast, at: float) -> float:
    """°C to reckon with for the bath, if the flame is turned low at `at`: halfway from the likely to the high side of the
    forecast. For small jugs, which are as hot as their bath at once, the high side."""
    likely, high = bath_peak(pot, at)
    return high if pot.setup.vessel_kg < SMALL else 0.5 * (likely + high)


def warmed_on_to(pot: PotForecast, at: float, known: bool) -> float:
    """°C to reckon with for the wax, if the flame is put out at `at`: halfway from the likely to the high side of the
    forecast.

    Over a low flame whose strength is `known` from readings only `KNOWN_HIGH` of that way: a flame put out needlessly has to
    be lit again, and the wax is read before it can be too hot.
    """
    likely, high = peak(pot, at)
    return likely + (KNOWN_HIGH if known else 0.5) * (high - likely)


def gets_there(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether the low flame that burns will likely warm a jug that is too cold to what it is poured at, no later than its
    pour can wait."""
    by = max(now, need.at) + max(need.keeps, POUR_KEEPS)
    return not outlook.warmer_than(need.least, now) and outlook.pot_reaches(need.least).likely <= by


def holds(outlook: Outlook, need: PourNeed, at: float, knob: Knob | None = None) -> bool:
    """Whether from `at` on a low flame is better than none: a pour comes within `HOLD_LOW`, and the wax stays below its
    ceiling.

    That has to hold by the likely path, and halfway from there to the high side; less strictly for wax that is poured or read
    within minutes.
    """
    if outlook.pot is None or need.at - at > HOLD_LOW:
        return False
    _, likely, high = held_low(outlook.pot, at, knob)
    if need.at - at <= SOON_POURED:
        # Soon most of it is poured, or read: turned off it would be lit again for the next.
        return likely < outlook.ceiling_c - LOW_NEAR and 0.5 * (likely + high) < outlook.ceiling_c
    return 0.5 * (likely + high) < outlook.ceiling_c - LOW_NEAR


def low_is_as_quick(outlook: Outlook, need: PourNeed, now: float, knob: Knob | None = None) -> bool:
    """Whether on this stove a low flame warms a jug about as soon as a full one, which would have to go down again at once."""
    if outlook.pot is None:
        return False
    full = warm_up(outlook.pot, need.least, now, now)
    return warm_up_low(outlook.pot, need.least, now, now, knob) <= full + AS_QUICK


def low_in_time(outlook: Outlook, need: PourNeed, now: float, knob: Knob | None = None) -> float | None:
    """When to light a low flame so that it warms a jug in time all by itself: then nothing runs past its ceiling and nobody
    has to stand by the knob. None where it would be too slow, or the jug is warm as it is."""
    if outlook.pot is None:
        return None
    by = max(now, need.at)
    takes = warm_up_low(outlook.pot, _warm_c(outlook, need), by, now, knob)
    if takes <= 0.0:
        # It is warm as it is: there is nothing to be lit for yet.
        return None
    if need.keeps >= TOP_UP_KEEPS and now < need.soonest < float("inf"):
        # A top-up keeps: it is warmed for once its mould was looked at.
        return max(by - takes, need.soonest + LOOKED) if takes <= LOW_WARMS else None
    if takes > LOW_WARMS or now + takes > by + need.keeps:
        return None
    return max(now, by - takes)


def _warm_c(outlook: Outlook, need: PourNeed) -> float:
    """°C to which a low flame is to warm a jug: the least it may be poured at, a little more where the pour may wait (and the
    jug cools meanwhile); never near the ceiling."""
    more = READY_WITHIN if need.keeps >= TOP_UP_KEEPS else 0.0
    return min(need.least + more, need.celsius, outlook.ceiling_c - NEAR_CEILING)


def full_runs_over(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether a full flame lit now would have to go down again within `FULL_FOR`: the bath is too near the ceiling for it."""
    if outlook.pot is None:
        return False
    if not need.drawn:
        return peak_after_full(outlook.pot, now, FULL_FOR)[1] >= outlook.ceiling_c - SHORT_OF_CEILING
    _, likely, high = bath_on_full(outlook.pot, now, now + FULL_FOR + REACTS)
    most = high if outlook.pot.setup.vessel_kg < SMALL else 0.5 * (likely + high)
    return most >= outlook.ceiling_c - SHORT_OF_CEILING


def bath_is_hot(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether the bath, with the flame low from now on, would be as hot as the jug is wanted: then no full flame is
    needed."""
    return outlook.pot is not None and sum(bath_peak(outlook.pot, now)) / 2 >= need.celsius
