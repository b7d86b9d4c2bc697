"""Each jug by itself: how much is in it, where it stands, what was read in it, and how warm it probably is now.

No jug has a forecast of its own. In the bath it goes the way of the pot beside it, and what it was read above or below
the pot fades; on the bench it falls towards the room, as fast as this kitchen's jugs do. The figures are estimates of ours, held against the simulated
kitchen in tests/guide/outlook/test_jugs.py.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from pourday.forecast.jug_law import WAX_CP, bench_lasts
from pourday.guide.outlook.outlook import Outlook, room_c
from pourday.guide.outlook.wax_left import wax_left
from pourday.plan.jug_names import jug_name
from pourday.session.events import JugPlace
from pourday.session.state import PourAt, ReadingAt, State

MOMENT = 1.0
"""s by which a fact filed this moment may seem to lie ahead. Chosen: the record keeps milliseconds."""
AT_THE_LIP = 120.0
"""s before a pour within which a reading that names no jug is of the jug that is poured from: jugs are read at the
lip. Estimate."""
FADES = 300.0
"""s in the bath after which 37 % is left of what a jug was read above or below the pot. An estimate of ours."""
IN_HAND = 0.7
"""The same for a jug that is carried and poured from, as a share. An estimate of ours."""
READS_TO = 0.5
"""K by which a jug may be warmer or colder than its thermometer showed. An estimate of ours."""
STRAYS = 0.1
"""How unsure a jug's temperature is some time after it was read: this share of how much it has probably changed
since. An estimate of ours."""
JUG_HEAT = 110.0
"""J/K that a cool jug takes from its wax: a quarter of a kilogram of steel at 0.46 kJ/(kg K), from memory of the tables. An
estimate of ours."""
COLOURED = 300.0
"""s of colouring and stirring, in which its bath has given part of that back before anybody pours. An estimate of ours."""
DRAWN_SD = 3.0
"""K by which a jug that nobody has read may be colder or hotter than that. An estimate of ours."""
CLINGS = 0.01
"""kg below which a jug counts as empty: what clings to wall and spoon. An estimate of ours."""


@dataclass(frozen=True, slots=True)
class JugNow:
    """One jug at one moment."""

    layer: int
    name: str
    """Its colour, or its number."""
    where: JugPlace
    kg: float
    """What should be left in it."""
    read: ReadingAt | None
    """What was last read in it since it was made."""
    celsius: tuple[float, float, float] | None
    """°C, low, likely and high; None while nothing is known of the pot."""
    has_set: bool

    @property
    def empty(self) -> bool:
        """Whether nothing can be poured from it any more."""
        return self.kg < CLINGS


def jugs_now(state: State, outlook: Outlook, now: float) -> tuple[JugNow, ...]:
    """Every jug that was drawn, in the order of the layers."""
    if not state.jugs:
        return ()
    left = wax_left(state).jugs
    return tuple(_jug_now(state, outlook, layer, left.get(layer, 0.0), now) for layer in sorted(state.jugs))


def standing_jugs(state: State) -> list[int]:
    """The layers whose jugs still hold wax; all that were drawn, where by the record none does."""
    if not state.jugs:
        return []
    left = wax_left(state).jugs
    return [x for x in sorted(state.jugs) if left.get(x, 0.0) >= CLINGS] or sorted(state.jugs)


def _jug_now(state: State, outlook: Outlook, layer: int, kg: float, now: float) -> JugNow:
    jug, read = state.jugs[layer], last_read_in(state, layer)
    if read is not None and read.t < jug.made_at:
        read = None
    warmth = _warmth(state, outlook, layer, kg, read, now)
    return JugNow(layer, jug_name(state.plan, layer), jug.where, kg, read, warmth, jug.has_set)


def last_read_in(state: State, layer: int) -> ReadingAt | None:
    """The newest reading of a layer's jug, None without one.

    A reading that names no jug counts for every jug, unless a pour of another colour just after it (`AT_THE_LIP`) shows
    whose it was.
    """
    pours = [p for m in state.moulds.values() for p in m.pours]
    return next((r for r in reversed(state.jug_readings) if is_reading_of(r, layer, pours)), None)


def is_reading_of(reading: ReadingAt, layer: int, pours: Iterable[PourAt]) -> bool:
    """Whether a reading was of the jug of this layer; one that names no jug may be anybody's, but for what `pours`
    show."""
    if reading.place != "jug":
        return False
    if reading.jug is not None:
        return reading.jug == layer
    return not any(p.layer != layer and -MOMENT <= p.t - reading.t <= AT_THE_LIP for p in pours)


def _warmth(
    state: State, outlook: Outlook, layer: int, kg: float, read: ReadingAt | None, now: float
) -> tuple[float, float, float] | None:
    """How warm a jug probably is, °C, from what was read last in it, else in the pot as it was drawn."""
    pot, jug = outlook.pot, state.jugs[layer]
    if pot is None:
        return None
    since = read.t if read is not None else jug.made_at
    lost = 0.0 if read is not None else _drawn_below(pot.at(since)[1], kg, state)
    start = read.celsius if read is not None else pot.at(since)[1] - lost
    likely = start
    stretches = [(t, where) for t, where in jug.stands if since < t <= now]
    where = jug.where_at(since)
    for t, then in [*stretches, (now, jug.where)]:
        likely = _after(outlook, layer, likely, kg, where, since, t)
        since, where = t, then
    low, middle, high = pot.at(now)
    off = READS_TO + STRAYS * abs(likely - start) + (0.0 if read is not None else max(DRAWN_SD, 0.5 * lost))
    bath = jug.where == "bath"
    return (
        likely - off - (middle - low if bath else 0.0),
        likely,
        likely + off + (high - middle if bath else 0.0),
    )


def _drawn_below(pot_c: float, kg: float, state: State) -> float:
    """K by which `kg` of wax, drawn at °C `pot_c` into a cool jug and coloured, is colder than the pot: little wax loses more."""
    share = JUG_HEAT / (JUG_HEAT + kg * WAX_CP)
    return share * max(0.0, pot_c - room_c(state)) * math.exp(-COLOURED / FADES)


def _after(
    outlook: Outlook, layer: int, celsius: float, kg: float, where: JugPlace, since: float, until: float
) -> float:
    """°C at `until` of a jug with `kg` of wax that had `celsius` at `since`, and stood at `where` all that time.

    Times in s since the epoch.
    """
    assert outlook.pot is not None
    seconds = max(0.0, until - since)
    if where == "bath":
        # What the pot was before its heating last changed is not in this forecast: then the jug goes all the pot's way.
        known = since >= outlook.pot.setup.mode_since
        above = celsius - outlook.pot.at(since)[1] if known else 0.0
        return outlook.pot.at(until)[1] + above * math.exp(-seconds / FADES)
    warm = room_c(outlook.state)
    lasts = bench_lasts(kg) / outlook.jug_law(layer).bench * (IN_HAND if where == "hand" else 1.0)
    return warm + (celsius - warm) * math.exp(-seconds / lasts)
