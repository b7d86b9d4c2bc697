"""When hot wax is wanted, and when a jug is fit to pour: worked back from the windows of the moulds.

The burner is lit once a window: late enough that a mould has probably been seen firm by then, early
enough that the window is still open when the wax is hot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.guide.acts.act import Act
from pourday.guide.acts.durations import JUG_HOT, JUG_LEAD
from pourday.guide.acts.pour_heat import (
    WANTS_WAX,
    WARMER_BATH,
    at_hot_end,
    coming_layer,
    hottest_c,
    kelvin_outside,
    pour_range,
    window_is_short,
)
from pourday.guide.outlook.jugs import MOMENT, last_read_in
from pourday.guide.outlook.outlook import READY_WITHIN, STILL_READY, Outlook
from pourday.guide.outlook.pot import warm_up
from pourday.guide.outlook.room import next_top_up
from pourday.session.state import ReadingAt, State
from pourday.times import MINUTE

COOLER = 8.0
"""K below the heat of the pour at which wax still takes colour and scent, for a jug that is warmed in its bath
before it is poured (common practice, no source: scent goes in at 63-85 °C)."""
RECOVERS = 3 * MINUTE
"""s after which a jug that was colder than its bath is read again. An estimate of ours."""
JUG_IN_BATH_S_PER_K = 60.0
"""s for a jug in a bath that cools to fall one kelvin (common practice, no source)."""
JUG_ON_BENCH_S_PER_K = 30.0
"""s for a jug on the bench to fall one kelvin: 1 K a minute is said of a full one (common practice, no source); a
smaller one falls faster, and read too soon it is only read again. An estimate of ours."""
SETTLES = 1.0
"""K inside its range a jug that was too hot is let fall to before it is read again. Estimate."""
STILL_RISES = 8 * MINUTE
"""A bath that carries its wax up to where it is wanted within this needs no burner. An estimate of ours."""
TOP_UP_KEEPS, POUR_KEEPS = 30 * MINUTE, 12 * MINUTE
"""So long a top-up, or the rest of a layer, may wait for a low flame to warm its jug. Estimates of ours."""
FIRST_KEEPS = 20 * MINUTE
"""So long the first wax of a mould may wait: nothing sets meanwhile. An estimate of ours."""
LOOKED = 3 * MINUTE
"""s to go to a mould, look, and come back to the stove. Estimate."""
MOST_MARGIN = 20 * MINUTE
"""s past the likely time of a window at which the heat is begun at the latest, however unsure the window is. Estimate."""
IN_TIME = 10 * MINUTE
"""s before a window probably closes at which hot wax has to be ready: to read, look and pour. Estimate."""
CROWD_EARLIER = 20 * MINUTE
"""s that the next jug is drawn earlier before a crowd of pours: later both hands are needed at the moulds. An
estimate of ours."""
CROWD, CROWDED = 30 * MINUTE, 3
"""So many pours within so many s are a crowd: the wax is hot before the first of them may open. Estimate."""


@dataclass(frozen=True, slots=True)
class PourNeed:
    """One pour to come, as far as the stove is concerned."""

    at: float
    """When hot wax is wanted, seconds since the epoch."""
    moulds: str
    layer: int
    celsius: float
    """What is poured hottest, °C."""
    drawn: bool
    """Its jug is made; only warmth is wanted."""
    least: float = 0.0
    """°C of the bath from which its jug is warmed enough, once it is drawn."""
    hurry: bool = False
    """Its window is short, or it is one of a crowd: the wax must not be found cold."""
    served: bool = False
    """Its jug was just read warm enough: it asks for no heat."""
    crowd: bool = False
    """It is one of several that come together: its jug is drawn before the first of them."""
    keeps: float = 0.0
    """s that it may wait past `at` without harm."""
    soonest: float = float("inf")
    """When it may be wanted first, where `at` waits until a look has probably found its mould ready."""


def needs(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[PourNeed]:
    """Every pour that can be seen coming, the soonest first."""
    pairs = [(act, need) for act in moulds if (need := _need(state, outlook, act, now)) is not None]
    pour_needs = in_a_crowd([_with_fellow(act, need, pairs, now) for act, need in pairs], now)
    return sorted(pour_needs, key=lambda need: (need.at, need.layer, need.moulds))


def in_a_crowd(pour_needs: Sequence[PourNeed], now: float) -> list[PourNeed]:
    """The same pours; where several come close together (`crowded`), each wants its wax hot by the first time it may be
    ready, for waiting to be sure of each would make the last one late."""
    return [
        replace(need, at=min(need.at, need.soonest), hurry=True, crowd=True)
        if crowded(pour_needs, need, now)
        else need
        for need in pour_needs
    ]


def crowded(pour_needs: Sequence[PourNeed], need: PourNeed, now: float) -> bool:
    """Whether so many pours fall near this one that the hands, and not the windows, set the time."""
    near = [len(x.moulds) for x in pour_needs if abs(_from(x, now) - _from(need, now)) <= CROWD]
    return sum(near) >= CROWDED


def _from(need: PourNeed, now: float) -> float:
    """When a pour may be wanted first, seconds since the epoch; not before now."""
    return max(now, min(need.at, need.soonest))


def _with_fellow(act: Act, need: PourNeed, pairs: Sequence[tuple[Act, PourNeed]], now: float) -> PourNeed:
    """A pour that waits for the look at another mould of its colour: its wax is wanted hot only when that mould's is."""
    if act.kind not in ("pour", "top-up") or act.due <= now:
        return need
    others = [n.at for a, n in pairs if a.kind == "look" and n.layer == need.layer and a.due < act.due]
    latest = act.closes - IN_TIME if act.closes is not None else float("inf")
    return replace(need, at=max(need.at, min(max(others, default=need.at), latest)))


def _need(state: State, outlook: Outlook, act: Act, now: float) -> PourNeed | None:
    """What one act at a mould asks of the stove: itself, or the pour that it is a look for. None for an act that leads to no
    pour."""
    layer = coming_layer(state, act)
    if layer is None:
        return None
    drawn = layer in state.jugs
    warm = warm_enough_c(state, outlook, act)
    hurry = any(at_hot_end(outlook, letter) for letter in act.moulds)
    need = PourNeed(act.due, act.moulds, layer, hottest_c(state, outlook, act), drawn, warm, hurry)
    need = replace(need, keeps=0.0 if hurry else _keeps(state, outlook, act, now))
    if act.kind == "look":
        soonest = max(act.due, _top_up_from(outlook, act))
        return replace(need, at=max(_probably(outlook, act, need, now), soonest), soonest=soonest)
    if act.due <= now and drawn and warm_as_read(state, outlook, act, now):
        need = replace(need, served=True)
    return need if act.kind in WANTS_WAX else None


def _top_up_from(outlook: Outlook, act: Act) -> float:
    """When the top-up is wanted that a look leads to, which may be made long before it; 0 where it leads to none."""
    wanted = [next_top_up(outlook, letter) for letter in act.moulds]
    return min((window.likely for window in wanted if window is not None), default=0.0)


def _keeps(state: State, outlook: Outlook, act: Act, now: float) -> float:
    """s past its time that a pour may wait for a jug that a low flame warms slowly; 0 where the jug is hot already."""
    read = jug_reading(state, coming_layer(state, act) or 0, now)
    if read is not None and kelvin_outside(pour_range(state, outlook, act), read.celsius) >= 0:
        return 0.0
    if _leads_to_top_up(state, act):
        return TOP_UP_KEEPS
    if act.closes is None and not any(_holds_wax(state, letter) for letter in act.moulds):
        return FIRST_KEEPS
    left = float("inf") if act.closes is None else act.closes - act.due - IN_TIME
    return max(0.0, min(POUR_KEEPS, left))


def _holds_wax(state: State, letter: str) -> bool:
    """Whether a mould holds a layer. A plug alone does not count: the first layer on it has no window to miss."""
    return any(pour.part != "plug" for pour in state.moulds[letter].pours)


def _leads_to_top_up(state: State, act: Act) -> bool:
    """Whether an act is a top-up, or the look before one."""
    coming = [state.next_pour(letter) for letter in act.moulds]
    return act.kind == "top-up" or (
        act.kind == "look" and all(p is not None and p.part == "top-up" for p in coming)
    )


def _probably(outlook: Outlook, act: Act, need: PourNeed, now: float) -> float:
    """When all moulds of an act that are still to be looked at will probably be ready and their wax is wanted hot, s since
    the epoch."""
    return max(_ready_probably(outlook, act, letter, need, now) for letter in act.moulds)


def _ready_probably(outlook: Outlook, act: Act, letter: str, need: PourNeed, now: float) -> float:
    """The same for one mould of the act: some time after the look falls due, as the forecast is unsure, but early enough that
    wax can be heated and poured before the window closes."""
    forecast = outlook.mould(letter)
    if (
        forecast is None
        or forecast.opens.open_ended
        or (act.closes is not None and window_is_short(forecast))
    ):
        return act.due
    unsure = forecast.opens.late - forecast.opens.likely
    # The heat follows the look, unless the window would be over by then.
    margin = max(min(MOST_MARGIN, unsure), lead(outlook, replace(need, at=act.due), now) + LOOKED)
    if act.closes is not None and forecast.closes_spread is not None:
        sure = (forecast.closes or act.closes) - forecast.closes_spread.early
        margin = min(margin, act.closes - sure - IN_TIME - act.due)
    return act.due + max(0.0, margin)


def jug_lead(need: PourNeed) -> float:
    """Seconds before its pour that a jug is drawn."""
    return JUG_LEAD + (CROWD_EARLIER if need.crowd else 0.0)


def lead(outlook: Outlook, need: PourNeed, now: float) -> float:
    """Seconds from lighting the burner to hot wax in the jug, by the late side of the forecast."""
    colouring = 0.0 if need.drawn else jug_lead(need)
    if outlook.pot is None:
        return colouring
    return warm_up(outlook.pot, need.celsius, max(now, need.at - colouring), now) + colouring


def light_at(outlook: Outlook, need: PourNeed, now: float) -> float | None:
    """When to light the burner for a need, seconds since the epoch; None where the pot stays warm enough by itself,
    or never gets there."""
    if need.at == float("inf") or need.served:
        return None
    within = COOLER if outlook.state.burner == "low" else READY_WITHIN
    least = need.least if need.drawn else need.celsius - within
    cool = outlook.cool_at(least, now)
    if cool is None or cool > max(now, need.at):
        return None
    reached = outlook.pot_reaches(least).likely
    if reached < now + STILL_RISES and not outlook.warmer_than(least, now):
        return None
    if outlook.state.burner == "low" and reached <= need.at and not outlook.warmer_than(least, now):
        return None
    return max(cool, need.at - lead(outlook, need, now))


def warm_enough_c(state: State, outlook: Outlook, act: Act) -> float:
    """°C of the bath from which it still warms the jug of a pour enough."""
    return pour_range(state, outlook, act)[0] + WARMER_BATH


def jug_reading(state: State, layer: int, now: float) -> ReadingAt | None:
    """The jug as it was read since it was made, while that still counts."""
    jug, read = state.jugs.get(layer), last_read_in(state, layer)
    if jug is None or read is None or read.t < jug.made_at or not -MOMENT <= now - read.t <= STILL_READY:
        return None
    return read


def warm_as_read(state: State, outlook: Outlook, act: Act, now: float) -> bool:
    """Whether the jug of a pour was just read warm enough to pour, or hotter."""
    layer = act.layer or 0
    read = jug_reading(state, layer, now)
    return (
        read is not None
        and kelvin_outside(pour_range(state, outlook, act), _as_now(state, outlook, layer, read, now)) >= 0
    )


def _as_now(state: State, outlook: Outlook, layer: int, read: ReadingAt, now: float) -> float:
    """°C that the jug of a layer has by now, from what was `read` in it: less what it has lost since, where nothing
    heats it."""
    law = outlook.jug_law(layer)
    if state.jugs[layer].where != "bath":
        return read.celsius - (now - read.t) * law.bench / JUG_ON_BENCH_S_PER_K
    return read.celsius - (
        (now - read.t) * law.cooling / JUG_IN_BATH_S_PER_K if state.burner == "off" else 0.0
    )


def fit_from(state: State, outlook: Outlook, act: Act, now: float) -> float:
    """When the jug of a pour is fit to pour from, seconds since the epoch; infinite while there is none, or while
    nothing warms it."""
    layer = coming_layer(state, act)
    jug = state.jugs.get(layer) if layer is not None else None
    if jug is None or layer is None or jug.has_set:
        return float("inf")
    between = pour_range(state, outlook, act)
    read = jug_reading(state, layer, now)
    if read is not None and (over := kelvin_outside(between, read.celsius)) > 0:
        return read.t + (over + SETTLES) * JUG_ON_BENCH_S_PER_K / outlook.jug_law(layer).bench
    if read is not None and kelvin_outside(between, _as_now(state, outlook, layer, read, now)) >= 0:
        return read.t
    if read is None and (now - jug.made_at < JUG_HOT or outlook.pot is None):
        return jug.made_at
    warm = warm_enough_c(state, outlook, act)
    if outlook.warmer_than(warm, now):
        return read.t + RECOVERS if read is not None else jug.made_at
    hot = outlook.pot_reaches(warm).likely
    return hot if read is None else max(hot, read.t + RECOVERS)


def delay_until_jug_fits(state: State, outlook: Outlook, act: Act, now: float) -> Act:
    """A pour, put off until there is a jug fit to pour from."""
    if act.kind not in ("plug", "pour", "top-up"):
        return act
    return replace(act, due=max(act.due, fit_from(state, outlook, act, now)))
