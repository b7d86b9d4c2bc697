"""The jugs in one row: what each is called, how warm it is, where it stands."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.outlook.jugs import JugNow
from pourday.language import tr
from pourday.plan.jug_names import go_by_numbers
from pourday.session.events import JugPlace
from pourday.session.state import State
from pourday.tui.drawing.lines import Line, fit, width
from pourday.units import show_temperature

FRESH = 90.0
"""s for which a reading is the temperature; after that the estimate stands in for it, with a `~`."""
STANDS: dict[JugPlace, str] = {"bath": tr("bath"), "bench": tr("bench"), "hand": tr("in hand")}


def draw_jugs(state: State, jugs: Sequence[JugNow], now: float, cells: int) -> Line:
    """Every jug with wax in it, as many as have room whole; empty where there is none."""
    full = [jug for jug in jugs if not jug.empty]
    if not full:
        return ()
    numbered = go_by_numbers(state.plan)
    pieces: Line = ((tr("jugs ") if len(full) > 1 else tr("jug "), "soft"),)
    for jug in full:
        swatch = state.plan.layers[jug.layer].swatch if jug.layer < len(state.plan.layers) else "soft"
        more: Line = (
            *pieces,
            ("  ▐", swatch),
            # Whoever is told READ JUG 2 finds its number here.
            (
                f" {jug.layer + 1} {jug.name}" if numbered and not jug.name.isdigit() else f" {jug.name}",
                "ink bold",
            ),
            (f" {_warmth(state, jug, now)}", "ink"),
            (f" {STANDS[jug.where]}", "soft"),
        )
        if width(more) > cells:
            return fit((*pieces, (" …", "soft")), cells)
        pieces = more
    return fit(pieces, cells)


def _warmth(state: State, jug: JugNow, now: float) -> str:
    """As it was just read, else as it probably is."""
    if jug.has_set:
        return tr("set hard")
    if jug.read is not None and now - jug.read.t <= FRESH:
        return show_temperature(jug.read.celsius, state.plan.units, 1)
    return tr("not read") if jug.celsius is None else f"~{show_temperature(jug.celsius[1], state.plan.units)}"
