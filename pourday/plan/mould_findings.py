"""What speaks for a second look at the moulds of a plan: what they stand, how full they get, their holes and plugs."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.language import ntr, tr, word
from pourday.plan.check import height_of
from pourday.plan.finding import Finding, caution, note, stop
from pourday.plan.finding_case import FindingCase
from pourday.plan.model import Mould
from pourday.plan.own_layers import shares_of
from pourday.plan.volumes import capacity
from pourday.plan.wick import wanted_wicks
from pourday.units import show_length
from pourday.wax.working_heat import pourable_c

CLOSE_TO_RIM = 0.003
"""m. Nearer than this to the rim a full mould spills when it is moved. Estimate."""
OTHER_THAN_BEFORE = 0.15
"""Difference between shape and remembered weight from which one of them is probably wrong. Estimate."""
USUAL_LIMITS = {"plastic": (80.0, 88.0), "glass": (54.0, 66.0)}
"""°C rigid clear plastic and glass are mostly poured at. Common practice, no source."""


def glass_moulds(case: FindingCase) -> Iterator[Finding]:
    """A glass that may be meant to keep its candle."""
    for index, mould in enumerate(case.plan.moulds):
        if mould.count and mould.material == "glass" and not mould.stays:
            name = mould.name or tr("Mould {index}", index=index + 1)
            what = tr("{name} is of glass; as it stands here, its candle comes out of it.", name=name)
            why = tr(
                "A candle in a glass has no hole to seal, a wick on a tab, and its own top; it is never demoulded."
            )
            do = tr("If the candle stays in it, say so in its row.")
            yield note(f"moulds.{index}.stays", what, why, do)


def wick_holes(case: FindingCase) -> Iterator[Finding]:
    """Wide moulds: how many wicks they can have hangs on their holes."""
    for index, mould in enumerate(case.plan.moulds):
        wanted = wanted_wicks(mould)
        if not mould.count or wanted < 2 or not mould.inverted or (mould.holes or 0) >= wanted:
            continue
        name, field = mould.name or tr("Mould {index}", index=index + 1), f"moulds.{index}.holes"
        if mould.holes is None:
            what = tr(
                "{name} is wide enough for {wanted} wicks; how many holes it has was not said.",
                name=name,
                wanted=wanted,
            )
            yield note(
                field, what, tr("There are never more wicks than holes."), tr("Count them, and say so.")
            )
        else:
            what = ntr(
                "{name} is wide enough for {wanted} wicks and has {holes} hole.",
                "{name} is wide enough for {wanted} wicks and has {holes} holes.",
                mould.holes,
                name=name,
                wanted=wanted,
                holes=mould.holes or tr("no"),
            )
            why = tr("A wick that is alone in a wide candle leaves a thick wall, or drowns.")
            yield note(
                field, what, why, tr("Take the largest wick and a long first burn, or a narrower mould.")
            )


def mould_limits(case: FindingCase) -> Iterator[Finding]:
    """What each mould stands, and how full it gets."""
    for index, mould in enumerate(case.plan.moulds):
        hottest = case.hottest(index)
        if hottest is None:
            continue
        name = mould.name or tr("Mould {index}", index=index + 1)
        yield from _limit(case, mould, f"moulds.{index}.limit_c", name, hottest)
        if mould.below_rim < CLOSE_TO_RIM:
            line = show_length(mould.below_rim, case.plan.units)
            what = tr("The hot wax in {name} stands {line} below the rim.", name=name, line=line)
            do = tr("Set the line {length} below it.", length=show_length(0.006, case.plan.units))
            yield caution(f"moulds.{index}.below_rim", what, tr("It runs over at the first nudge."), do)
    layered = [m for m in case.plan.moulds if m.inverted and sum(x > 0 for x in shares_of(case.plan, m)) > 1]
    if layered:
        gets = next(index for index, share in enumerate(shares_of(case.plan, layered[0])) if share > 0)
        first = case.plan.layers[gets].colour or tr("the first layer")
        what = tr("The candle stands upside down in the mould: {first} ends up on top.", first=first)
        yield note(
            "layers",
            what,
            tr("The closed end of the mould is the top."),
            tr("Order the layers from the top down."),
        )


def _limit(case: FindingCase, mould: Mould, field: str, name: str, hottest: float) -> Iterator[Finding]:
    """What a mould stands against the hottest pour into it (`hottest`, °C), and against what its wax needs."""
    wax = max(case.waxes, key=lambda each: each.congealing_c)
    if mould.limit_c is None:
        if mould.material in USUAL_LIMITS:
            what = tr(
                "What {name} may be poured at is not known; the plan pours at {degrees}.",
                name=name,
                degrees=case.degrees(hottest),
            )
            low, high = (case.degrees(limit) for limit in USUAL_LIMITS[mould.material])
            why = tr(
                "{low} to {high} is usual for {material}; thin formed plastic takes less.",
                low=low,
                high=high,
                material=word(mould.material),
            )
            warm = tr("; warm the glass first") if mould.material == "glass" else ""
            yield note(field, what, why, tr("Follow its maker's sheet{warm}.", warm=warm))
        return
    limit = case.degrees(mould.limit_c)
    if mould.limit_c < pourable_c(wax):
        what = tr(
            "{name} takes {limit} at most, but {short_name} sets at {degrees}.",
            name=name,
            limit=limit,
            short_name=wax.short_name,
            degrees=case.degrees(wax.congealing_c),
        )
        why = tr("Wax cool enough for the mould sets while it is poured.")
        yield stop(field, what, why, tr("Use another mould, or a wax that melts lower."))
    elif hottest > mould.limit_c:
        what = tr(
            "Pouring at {degrees} is above the {limit} that {name} takes.",
            degrees=case.degrees(hottest),
            limit=limit,
            name=name,
        )
        why = tr("It can soften, crack or let go at the seal.")
        yield stop(field, what, why, tr("Pour cooler, or use another mould."))
    elif mould.limit_c < wax.pour_min_c:
        what = tr(
            "{name} takes {limit} at most, below the usual pour of {short_name}.",
            name=name,
            limit=limit,
            short_name=wax.short_name,
        )
        yield caution(
            field, what, tr("Expect rings and weak joins."), tr("Warm the mould first, or use another.")
        )


def remembered_weights(case: FindingCase) -> Iterator[Finding]:
    """What a mould weighed before, against its shape."""
    for index, mould in enumerate(case.plan.moulds):
        if mould.set_weight is None or case.hottest(index) is None:
            continue
        start = sum(each.count for each in case.plan.moulds[:index])
        estimate = case.sheet.moulds[start].estimate
        field, name = f"moulds.{index}.set_weight", mould.name or tr("Mould {index}", index=index + 1)
        what = tr(
            "{name} weighed {weighed} before; its size gives {estimate}.",
            name=name,
            weighed=case.weight(mould.set_weight),
            estimate=case.weight(estimate),
        )
        if mould.set_weight > capacity(mould.shape) * max(wax.density_solid for wax in case.waxes):
            why = tr("So much wax does not fit under the rim.")
            yield stop(field, what, why, tr("Measure the mould and weigh the candle again."))
        elif abs(mould.set_weight / estimate - 1) > OTHER_THAN_BEFORE:
            why = tr("One of the two is probably wrong, or it was another wax.")
            yield caution(field, what, why, tr("Measure the mould and weigh the candle again."))


def plug_height(case: FindingCase) -> Iterator[Finding]:
    """A plug that does not fit into its first layer, and moulds that hardly need one."""
    plan = case.plan
    if not plan.plug:
        return
    plug = show_length(plan.plug, plan.units)
    short = [mould for mould in case.sheet.moulds if mould.plug and plan.plug >= mould.pours[0].level]
    if short:
        letters = ", ".join(mould.letter for mould in short)
        line = show_length(min(mould.pours[0].level for mould in short), plan.units)
        what = tr(
            "The plug of {plug} is higher than the first layer ({line}) in {letters}.",
            plug=plug,
            line=line,
            letters=letters,
        )
        do = tr("Make the plug lower or the first layer higher.")
        yield stop("plug", what, tr("The plug belongs to the first layer and has to end inside it."), do)
    for index, entry in enumerate(plan.moulds):
        if entry.stays:
            continue
        if entry.count and not entry.inverted:
            what = tr(
                "{name} is poured from the candle's own top.",
                name=entry.name or tr("Mould {index}", index=index + 1),
            )
            why = tr("Such moulds mostly have no wick hole to seal.")
            yield note("plug", what, why, tr("Leave the plug out where there is no hole."))
        if entry.count and plan.plug >= height_of(entry.shape) / 2:
            high = show_length(0.012, plan.units)
            why = tr("A plug only has to cover the hole; {high} are plenty.", high=high)
            yield note(
                "plug", tr("The plug of {plug} is half the mould.", plug=plug), why, tr("Make it lower.")
            )
