"""One mould at this moment in words and numbers: surface, crust, core, and its window."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from pourday.guide.outlook.as_seen import core_c, crust, look_of, seen_s, surface_c
from pourday.guide.outlook.moulds import MouldOutlook, next_layer_of
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.room import liquid_share, next_top_up, owed_in_the_end
from pourday.language import tr
from pourday.session.events import Cue
from pourday.session.looks import FIRM_THROUGH, LOOK_SHORT
from pourday.session.state import State
from pourday.times import NEVER, clock
from pourday.units import show_length, show_temperature

Window = Literal["not yet", "open", "missed", "never opens", "no pour left"]
SET_THROUGH = 0.005
"""Share of the wax below which none of it counts as liquid. Estimate."""
Three = tuple[float, float, float]
"""Low, likely, high."""


@dataclass(frozen=True, slots=True)
class MouldNow:
    """How one mould stands at a moment."""

    letter: str
    layer: int
    """The one on top."""
    look: Cue
    seen: bool
    """Whether somebody just saw it; else computed."""
    surface_c: Three
    crust: Three
    """m of set wax at the axis."""
    core_c: Three
    """Hottest point of the layer on top, °C."""
    liquid: float
    """Share of that layer still liquid, by volume; likely."""
    window: Window
    opens: float | None
    closes: float | None
    """Likely; None where it does not close in the time computed."""
    closes_early: float | None
    says: str
    short: str
    """Colour, look and window for a small screen, without the letter."""
    owed_kg: float | None = None
    """kg of hot wax that its hollow still wants until it has set; None until its layers are all in."""


def mould_now(state: State, outlook: Outlook, letter: str, now: float) -> MouldNow | None:
    """How a mould stands; None for one that is empty, demoulded or still being worked out."""
    forecast, mould = outlook.mould(letter), state.moulds[letter]
    if forecast is None or mould.last_pour is None:
        return None
    spread = forecast.heat.spread
    runs = (spread.early, spread.likely, spread.late)
    at = [seen_s(state, forecast, run, now) for run in runs]
    look, seen = look_of(state, forecast, now)
    surface, crusts, core = (
        _three([value(run, t) for run, t in zip(runs, at, strict=True)])
        for value in (surface_c, crust, core_c)
    )
    liquid = float(spread.likely.liquid(at[1])[-1])
    # What was seen moves the forecast's clock, and its times with it.
    shift = at[1] - forecast.at(now)
    opens = (
        None
        if forecast.window.opens_s is None
        else forecast.heat.first_pour_t + forecast.window.opens_s - shift
    )
    closes = None if forecast.closes is None else forecast.closes - shift
    early = None if forecast.closes_spread is None else forecast.closes_spread.early - shift
    coming, owed = state.next_pour(letter), None
    if coming is None or coming.part == "top-up":
        due, owed = next_top_up(outlook, letter), owed_in_the_end(outlook, letter)
        liquid = liquid_share(outlook, letter, now) or 0.0
        opens = None if due is None else due.likely
        # Once nothing inside is liquid, what is missing is a shut hollow: no hole reaches it, and no top-up fills it alone.
        solid = forecast.solid.likely - shift
        closes, early = solid if due is not None and solid < NEVER else None, None
        window: Window = "no pour left" if opens is None else _top_up_window(liquid, now, opens)
    else:
        window = _window(state, forecast, look, now, opens, closes)
    stands = MouldNow(
        letter, mould.last_pour.layer, look, seen, surface, crusts, core, liquid, window, opens, closes, early, "", "", owed
    )  # fmt: skip
    return replace(
        stands,
        says=_says(state, outlook, forecast, stands, now),
        short=f"{outlook.colour(stands.layer)}: {_short_word(outlook, stands)}; {_window_short(state, outlook, stands, now)}",
    )


def _three(values: list[float]) -> Three:
    """(low, likely, high) of values that come in the order early, likely, late, whichever of them is the largest."""
    return min(values), values[1], max(values)


def _window(
    state: State, forecast: MouldOutlook, look: Cue, now: float, opens: float | None, closes: float | None
) -> Window:
    """How the pour window stands for the next layer; a surface seen cold or off the wall has missed it whatever the
    forecast says."""
    if look in ("cold", "pulled away") and next_layer_of(state, forecast.letter) is not None:
        return "missed"
    if forecast.empty:
        return "never opens"
    if opens is None or now < opens:
        return "not yet"
    return "missed" if closes is not None and now > closes else "open"


def _top_up_window(liquid: float, now: float, opens: float) -> Window:
    """The same for a top-up, which is in time as long as some of the wax is liquid."""
    if liquid < SET_THROUGH:
        return "missed"
    return "not yet" if now < opens else "open"


def _word(m: MouldNow) -> str:
    # A finished candle that has come off the wall is as it should be.
    """How the surface looks, in a word or two; with a ~ where nobody just looked."""
    name = tr("off the wall") if (m.window, m.look) == ("no pour left", "pulled away") else LOOK_SHORT[m.look]
    return name if m.seen else f"~{name}"


def _short_word(outlook: Outlook, m: MouldNow) -> str:
    """How it looks; once its layers are all in, how much is liquid and what is still owed to its hollow."""
    if m.owed_kg is None or m.window == "no pour left":
        return _word(m)
    return tr(
        "{word}, {liquid:.0%} liquid, {mass} owed",
        word=_word(m),
        liquid=m.liquid,
        mass=outlook.mass(m.owed_kg),
    )


def _says(state: State, outlook: Outlook, forecast: MouldOutlook, m: MouldNow, now: float) -> str:
    """A mould in full sentences: its surface, its core, how much is liquid, and its window."""
    units = state.plan.units
    cool, warm = (outlook.degrees(m.surface_c[i]) for i in (0, 2))
    surface = tr("surface {cool}", cool=cool) + (tr(" to {warm}", warm=warm) if cool != warm else "")
    parts = [f"{m.letter}, {outlook.colour(m.layer)}: {_word(m)}, {surface}"]
    if m.liquid < SET_THROUGH:
        parts.append(
            tr(
                "{firm_through}, core {temperature}",
                firm_through=FIRM_THROUGH,
                temperature=show_temperature(m.core_c[1], units),
            )
        )
    else:
        low, high = (show_length(m.crust[i], units) for i in (0, 2))
        crusted = (
            tr("crust {low} to {high}", low=low, high=high) if m.crust[2] >= 5e-4 else tr("no crust yet")
        )
        parts.append(
            tr(
                "{crusted}, {liquid:.0%} still liquid, core {temperature}",
                crusted=crusted,
                liquid=m.liquid,
                temperature=show_temperature(m.core_c[1], units),
            )
        )
    if m.owed_kg is not None and m.window != "no pour left":
        owed = (
            tr("still missing inside")
            if m.window == "missed"
            else tr("still owed to the hollow until it has set")
        )
        parts.append(f"{outlook.mass(m.owed_kg)} {owed}")
    return f"{'; '.join(parts)}. {_window_words(state, outlook, forecast, m, now)}"


def _next_name(state: State, outlook: Outlook, letter: str) -> str:
    """The colour that goes in next, or `top-up`."""
    following = next_layer_of(state, letter)
    return outlook.colour(following) if following is not None else "top-up"


def _window_short(state: State, outlook: Outlook, m: MouldNow, now: float) -> str:
    """The window in a few words, for a small screen."""
    name = _next_name(state, outlook, m.letter)
    match m.window:
        case "no pour left":
            return tr("nothing to pour")
        case "never opens":
            return tr("no window for {name}", name=name)
        case "not yet":
            return f"{name} {(tr('about {clock}', clock=clock(m.opens, now)) if m.opens is not None else tr('not in sight'))}"
        case "missed" if m.owed_kg is not None:
            return tr("hollow to open, warm and fill")
        case "missed":
            return tr("{name} missed", name=name)
        case "open":
            return tr("{name} now", name=name) + (
                tr(", until {clock}", clock=clock(m.closes, now)) if m.closes is not None else ""
            )


def _window_words(state: State, outlook: Outlook, forecast: MouldOutlook, m: MouldNow, now: float) -> str:
    """The window in a sentence."""
    name = _next_name(state, outlook, m.letter)
    match m.window:
        case "no pour left":
            cold = forecast.cold.likely
            when = (
                tr("cold about {clock}", clock=clock(cold, now))
                if cold < NEVER
                else tr("not cold in the time computed")
            )
            return tr("Nothing to pour; {when}.", when=when)
        case "never opens":
            return tr(
                "At {degrees} its window for {name} does not open.",
                degrees=outlook.degrees(forecast.next_c),
                name=name,
            )
        case "not yet":
            when = (
                tr(" about {clock}", clock=clock(m.opens, now))
                if m.opens is not None
                else tr(" in the time computed")
            )
            return (
                tr("Window for {name} opens{when}.", name=name, when=when)
                if m.opens
                else tr("Window for {name} does not open{when}.", name=name, when=when)
            )
        case "missed" if m.owed_kg is not None:
            since = (
                tr(" since {clock}", clock=clock(m.closes, now))
                if m.closes is not None and m.closes <= now
                else ""
            )
            return tr(
                "Set through{since}, a hollow shut inside: open it with a hot rod, warm it, then fill it.",
                since=since,
            )
        case "missed":
            since = (
                tr(" since {clock}", clock=clock(m.closes, now))
                if m.closes is not None and m.closes <= now
                else ""
            )
            return tr("Window for {name} missed{since}.", name=name, since=since)
        case "open":
            if m.closes is None:
                return tr("Window for {name} is open.", name=name)
            early = (
                tr(", {clock} at the earliest", clock=clock(m.closes_early, now)) if m.closes_early else ""
            )
            return tr(
                "Window for {name} is open, closes {clock}{early}.",
                name=name,
                clock=clock(m.closes, now),
                early=early,
            )
