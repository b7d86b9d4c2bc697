"""When hot wax is wanted, and when a jug is fit to pour: worked back from the windows of the moulds.

The burner is lit once a window: late enough that a mould has probably been seen firm by then, early
enough that the window is still open when the wax is hot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.guide.act import Act
from pourday.guide.mould_outlook import WELD, planned_c
from pourday.guide.outlook import READY_WITHIN, STILL_READY, Outlook
from pourday.guide.pot_outlook import warm_up
from pourday.guide.rescue_follow import rescued_c
from pourday.plan.own_layers import next_layer
from pourday.session.state import ReadingAt, State

MINUTE = 60.0
JUG_LEAD = 10 * MINUTE
"""To draw, colour, scent and stir one jug. An estimate of ours."""
JUG_HOT = 12 * MINUTE
"""A jug standing in a bath that cools stays fit to pour for about this long: it falls near 1 K a minute
(common practice, no source)."""
POUR_WITHIN = 3.0
"""K above the pour temperature that are let pass without a word. An estimate of ours."""
COLD_BY = 5.0
"""K below the pour temperature from which rings and weak seams are likely. An estimate of ours."""
WARM_BATH = 3.0
"""K below the pour temperature down to which the bath still warms a jug enough. An estimate of ours."""
RECOVERS = 3 * MINUTE
"""A jug colder than its bath is read again after this. An estimate of ours."""
COOLS = 60.0
"""s for a jug in a bath that cools to fall one kelvin (common practice, no source)."""
FALLS = 30.0
"""s for a jug on the bench to fall one kelvin: 1 K a minute is said of a full one (common practice, no source); a
smaller one falls faster, and read too soon it is only read again. An estimate of ours."""
SETTLES = 1.0
"""K inside its range a jug that was too hot is let fall to before it is read again."""
STILL_RISES = 8 * MINUTE
"""A bath that carries its wax up to where it is wanted within this needs no burner. An estimate of ours."""
LOOKED = 3 * MINUTE
"""To go, look, and come back to the stove."""
MOST_MARGIN = 20 * MINUTE
"""However unsure a window is, the heat does not wait longer than this past the likely time."""
IN_TIME = 10 * MINUTE
"""Hot wax is ready this long before a window probably closes: to read, look and pour."""
WANTS_WAX = ("plug", "pour", "top-up", "decide", "look under")


@dataclass(frozen=True, slots=True)
class Need:
    """One pour to come, as far as the stove is concerned."""

    at: float
    """When hot wax is wanted, seconds since the epoch."""
    moulds: str
    layer: int
    celsius: float
    """What is poured hottest, °C."""
    drawn: bool
    """Its jug is made; only warmth is wanted."""
    kinder: float = 0.0
    """K by which it may be colder: a top-up is asked for hotter than it must be."""


def needs(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[Need]:
    """Every pour that can be seen coming, the soonest first."""
    pairs = [(act, need) for act in moulds if (need := _need(state, outlook, act, now)) is not None]
    found = [_with_fellow(act, need, pairs, now) for act, need in pairs]
    return sorted(found, key=lambda need: (need.at, need.layer, need.moulds))


def _with_fellow(act: Act, need: Need, pairs: Sequence[tuple[Act, Need]], now: float) -> Need:
    """A pour that waits for another mould's look is heated for when that one is."""
    if act.kind not in ("pour", "top-up") or act.due <= now:
        return need
    others = [n.at for a, n in pairs if a.kind == "look" and n.layer == need.layer and a.due < act.due]
    latest = act.closes - IN_TIME if act.closes is not None else float("inf")
    return replace(need, at=max(need.at, min(max(others, default=need.at), latest)))


def _need(state: State, outlook: Outlook, act: Act, now: float) -> Need | None:
    layer = coming_layer(state, act)
    if layer is None:
        return None
    drawn = layer in state.jugs
    kinder = WELD if act.kind == "top-up" else 0.0
    need = Need(act.due, act.moulds, layer, hottest_c(state, outlook, act), drawn, kinder)
    if act.kind == "look":
        return replace(need, at=_probably(outlook, act, need, now))
    return need if act.kind in WANTS_WAX else None


def _probably(outlook: Outlook, act: Act, need: Need, now: float) -> float:
    """When a mould that is still to be looked at will probably be ready, with time left to pour."""
    forecast = outlook.mould(act.moulds)
    if forecast is None or forecast.opens.open_ended:
        return act.due
    unsure = forecast.opens.late - forecast.opens.likely
    # The heat follows the look, unless the window would be over by then.
    margin = max(min(MOST_MARGIN, unsure), lead(outlook, replace(need, at=act.due), now) + LOOKED)
    if act.closes is not None and forecast.closes_spread is not None:
        sure = (forecast.closes or act.closes) - forecast.closes_spread.early
        margin = min(margin, act.closes - sure - IN_TIME - act.due)
    return act.due + max(0.0, margin)


def coming_layer(state: State, act: Act) -> int | None:
    """The layer whose jug this act, or the pour it leads to, will need; None where it needs none."""
    if act.kind == "look under":
        return 0
    if act.kind != "look":
        return act.layer if act.kind in WANTS_WAX else None
    last = state.moulds[act.moulds].last_pour
    following = next_layer(state.plan, act.moulds, last.layer if last else None)
    return following if following is not None else last.layer if last else 0


def hottest_c(state: State, outlook: Outlook, act: Act) -> float:
    """What the pour of an act, or the one it leads to, is planned at; of several moulds the hottest."""
    return max(wanted_c(state, outlook, act), default=outlook.pour_c)


def wanted_c(state: State, outlook: Outlook, act: Act) -> list[float]:
    """What each mould of the act should get, °C."""
    layer = coming_layer(state, act)
    if layer is None:
        return []
    found = []
    for letter in act.moulds:
        last = state.moulds[letter].last_pour
        top_up = act.kind == "top-up" or (act.kind == "look" and last is not None and last.layer == layer)
        planned = planned_c(outlook.sheet, letter, layer, "top-up" if top_up else "layer")
        found.append(rescued_c(state, letter, layer, planned))
    return found


def lead(outlook: Outlook, need: Need, now: float) -> float:
    """Seconds from lighting the burner to hot wax in the jug, by the late side of the forecast."""
    colouring = 0.0 if need.drawn else JUG_LEAD
    if outlook.pot is None:
        return colouring
    return warm_up(outlook.pot, need.celsius, max(now, need.at - colouring), now) + colouring


def light_at(outlook: Outlook, need: Need, now: float) -> float | None:
    """When to light the burner for a need; None where the pot stays warm enough by itself, or it never comes."""
    if need.at == float("inf"):
        return None
    least = need.celsius - (WARM_BATH + need.kinder if need.drawn else READY_WITHIN)
    cool = outlook.cool_at(least, now)
    if cool is None or cool > max(now, need.at):
        return None
    if outlook.pot_reaches(least).likely < now + STILL_RISES and not outlook.warmer_than(least, now):
        return None
    return max(cool, need.at - lead(outlook, need, now))


def jug_reading(state: State, layer: int, now: float) -> ReadingAt | None:
    """The jug as it was read since it was made, while that still counts."""
    jug, read = state.jugs.get(layer), state.last_reading("jug")
    if jug is None or read is None or read.t < jug.made_at or not 0 <= now - read.t <= STILL_READY:
        return None
    return read


def fit_from(state: State, outlook: Outlook, act: Act, now: float) -> float:
    """When the jug of a pour is fit to pour from; never, while there is none or nothing warms it."""
    layer = coming_layer(state, act)
    jug = state.jugs.get(layer) if layer is not None else None
    if jug is None or layer is None or jug.has_set:
        return float("inf")
    low, high = pour_range(state, outlook, act)
    read = jug_reading(state, layer, now)
    if read is not None and read.celsius > high:
        return read.t + (read.celsius - high + SETTLES) * FALLS
    fallen = (now - read.t) / COOLS if read is not None and state.burner == "off" else 0.0
    if read is not None and read.celsius - fallen >= low:
        return read.t
    if read is None and (now - jug.made_at < JUG_HOT or outlook.pot is None):
        return jug.made_at
    warm = low + COLD_BY - WARM_BATH
    if outlook.warmer_than(warm, now):
        return read.t + RECOVERS if read is not None else jug.made_at
    hot = outlook.pot_reaches(warm).likely
    return hot if read is None else max(hot, read.t + RECOVERS)


def pour_range(state: State, outlook: Outlook, act: Act) -> tuple[float, float]:
    """°C between which the jug may be poured into the moulds of an act; upside down where they want too much.

    A top-up is asked for hotter than the pour before it, and does as hot as that one, too.
    """
    wanted = wanted_c(state, outlook, act)
    kinder = WELD if act.kind == "top-up" else 0.0
    return max(wanted) - COLD_BY - kinder, min(wanted) + POUR_WITHIN


def after_wax(state: State, outlook: Outlook, act: Act, now: float) -> Act:
    """A pour, put off until there is a jug fit to pour from."""
    if act.kind not in ("plug", "pour", "top-up"):
        return act
    return replace(act, due=max(act.due, fit_from(state, outlook, act, now)))
