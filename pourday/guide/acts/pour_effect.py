"""What the computed heat says about a pour before it is made: what it melts, for how long, and how far a well sinks."""

from __future__ import annotations

from dataclasses import replace

from pourday.forecast.remelt import Remelt
from pourday.guide.acts.act import Act
from pourday.guide.outlook.moulds import MouldOutlook, planned_c
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.times import span
from pourday.units import show_length

FINEST = 0.00005
"""m below which a depth is not worth a figure. Chosen: the finest row that is computed is ten times as high."""
LONGEST = 3600.0
"""s after a pour for which its effect is computed. Chosen."""
ALL = 0.9
"""Share of a layer that has to melt for it to be called soft all through. Chosen."""


def with_remelt(act: Act, outlook: Outlook, now: float, read: float | None) -> Act:
    """A pour onto another colour with what it does to the wax below, said in its reason; `read` is the jug's °C."""
    if act.kind != "pour" or not act.layer:
        return act
    at = max(now, act.due)
    if read is not None and act.between is not None:
        # A jug that is out of its range is not poured from as it was read.
        read = min(max(read, act.between[0]), act.between[1])
    said = [words for letter in act.moulds if (words := _remelted(outlook, letter, act.layer, at, read))]
    return replace(act, why=" ".join([act.why, *said]))


def _remelted(outlook: Outlook, letter: str, layer: int, at: float, read: float | None) -> str:
    """What a pour into one mould melts, in a sentence; empty where that is not known."""
    forecast = outlook.mould(letter)
    if forecast is None or at == float("inf"):
        return ""
    celsius = read if read is not None else planned_c(outlook.sheet, letter, layer, "layer")
    verdict = outlook.foresee(letter, at, celsius)
    if verdict is None:
        return ""
    return tr(
        "In {letter}, poured at {degrees}: {remelt_words}",
        letter=letter,
        degrees=outlook.degrees(celsius),
        remelt_words=remelt_words(outlook, forecast, verdict.remelt),
    )


def remelt_words(outlook: Outlook, forecast: MouldOutlook, remelted: Remelt) -> str:
    """How deep the old wax melts again at wall and axis, and for how long the seam is weak; an estimate."""
    return f"{_at_wall(outlook, forecast, remelted)}; {_at_axis(outlook, forecast, remelted)}."


def _at_wall(outlook: Outlook, forecast: MouldOutlook, remelted: Remelt) -> str:
    """What it does at the wall, where the old wax is coldest."""
    if remelted.soft_edge < FINEST:
        return tr("at the wall the old wax stays hard")
    if remelted.soft_edge >= ALL * forecast.heat.case.pours[-1].height:
        return tr("at the wall the old wax has not set hard yet")
    melts = tr("melts {depth} and ", depth=_depth(outlook, remelted.edge)) if remelted.edge >= FINEST else ""
    softens = tr(
        "at the wall it {melts}softens {depth} of the old wax",
        melts=melts,
        depth=_depth(outlook, remelted.soft_edge),
    )
    return (
        tr("{softens}, set again after about {span}", softens=softens, span=span(remelted.edge_lasts))
        if remelted.edge_lasts < LONGEST
        else softens
    )


def _at_axis(outlook: Outlook, forecast: MouldOutlook, remelted: Remelt) -> str:
    """What it does in the middle."""
    if remelted.soft_axis >= ALL * forecast.heat.case.pours[-1].height:
        return tr("in the middle the old layer is soft all through")
    lasts = (
        tr("for about {span}", span=span(remelted.axis_lasts))
        if remelted.axis_lasts < LONGEST
        else tr("for an hour or longer")
    )
    return tr(
        "in the middle it melts {depth}, soft {lasts}", depth=_depth(outlook, remelted.axis), lasts=lasts
    )


def _depth(outlook: Outlook, metres: float) -> str:
    """A depth in words: to the millimetre, or less than the finest that is worth a figure."""
    return show_length(round(metres, 4), outlook.state.plan.units)
