"""What speaks for a second look at the layers of a plan: those too thin to stay, and neighbours that part."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from pourday.language import tr
from pourday.plan.finding import Finding, caution, note
from pourday.plan.finding_case import FindingCase
from pourday.plan.model import Plan
from pourday.plan.own_layers import shares_of
from pourday.plan.replan import THINNEST
from pourday.plan.volumes import fill_height
from pourday.units import show_difference, show_length, show_share

THIN = 0.010
"""m under which a layer remelts through easily. Common practice, no source."""
MELT_APART = 5.0
"""K between the melting peaks of neighbours; "within a few degrees" is common practice."""
LOADS_APART = 0.02
"""Difference in scent load between neighbours from which their seam deserves a word. Estimate."""


def thin_layers(case: FindingCase) -> Iterator[Finding]:
    """Layers too thin to stay, and a last one without the name by which its reserve is found."""
    plan = case.plan
    for index, layer in enumerate(plan.layers):
        height, name = _lowest(plan, index), layer.colour or tr("layer {index}", index=index + 1)
        if height is None:
            continue
        what = tr("{name} is only {length} high.", name=name, length=show_length(height, plan.units))
        field, do = f"layers.{index}.share", tr("Give it more height, or have fewer layers.")
        if height < THINNEST:
            yield caution(field, what, tr("The next pour melts it through, and the colours mix."), do)
        elif height < THIN:
            yield note(field, what, tr("It remelts easily when the next colour goes in."), do)
    if len(plan.layers) > 1 and not plan.layers[-1].colour:
        what = tr("The last layer has no colour name.")
        why = tr("Its reserve is needed hours later for the top-up and has to be found again.")
        yield note(f"layers.{len(plan.layers) - 1}.colour", what, why, tr("Name it, and label its jug."))


def _lowest(plan: Plan, layer: int) -> float | None:
    """m, how high a layer is where it is lowest; None where it is all of each candle that gets it."""
    heights = []
    for mould in plan.moulds:
        shares = shares_of(plan, mould)
        if mould.count and 0 < shares[layer] < sum(shares):
            heights.append(fill_height(mould) * shares[layer] / sum(shares))
    return min(heights, default=None)


def parting_layers(case: FindingCase) -> Iterator[Finding]:
    """Neighbouring layers that part, or melt each other."""
    pairs = pairwise(zip(case.plan.layers, case.waxes, strict=True))
    for index, ((below, below_wax), (above, above_wax)) in enumerate(pairs, start=1):
        apart = above_wax.peak_c - below_wax.peak_c
        if abs(apart) > MELT_APART:
            by = show_difference(abs(apart), case.plan.units)
            side = (
                tr("hotter wax melts the layer under it")
                if apart > 0
                else tr("cooler pour may not fuse to it")
            )
            what = tr("Layers {lower} and {upper} melt {by} apart.", lower=index, upper=index + 1, by=by)
            why = tr("The {side}, and their different shrinkage shears the join.", side=side)
            yield caution(f"layers.{index}.blend", what, why, tr("Use waxes that melt within a few degrees."))
        if abs(above.scent_load - below.scent_load) >= LOADS_APART:
            loads = tr(
                "{lower} and {upper}",
                lower=show_share(below.scent_load),
                upper=show_share(above.scent_load),
            )
            what = tr(
                "Layers {lower} and {upper} carry {loads} scent.", lower=index, upper=index + 1, loads=loads
            )
            why = tr(
                "They set and shrink differently, so the join parts more easily, and they burn differently."
            )
            yield note(f"layers.{index}.scent_load", what, why, tr("Equal loads are the safe choice."))
