"""What speaks for a second look at a plan: each finding with what, why and what to do.

Findings advise and never block. Those about moulds, layers and waxes are in `mould_findings.py`, `layer_findings.py` and
`wax_findings.py`, those about scent and dye in `dosing.py`; here are the pour, bath, pot and stock. Thresholds without a
source stand by name and say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pourday.language import tr, word
from pourday.plan.dosing import dosing
from pourday.plan.finding import LEVELS, Finding, caution, note, stop
from pourday.plan.finding_case import FindingCase
from pourday.plan.layer_findings import parting_layers, thin_layers
from pourday.plan.model import Plan
from pourday.plan.mould_findings import (
    glass_moulds,
    mould_limits,
    plug_height,
    remembered_weights,
    wick_holes,
)
from pourday.plan.water import bath_reach
from pourday.plan.wax_findings import fat_crystals, unlikely_sheets, unsuited_waxes
from pourday.plan.waxes import own_of, parts_of, waxes_of
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.units import show_difference, show_volume
from pourday.wax.materials import FAT_WAXES, Wax
from pourday.wax.working_heat import FAT_ABOVE, pourable_c

__all__ = ["Finding", "findings"]

POT_FULL = 0.8
"""Share of the pot above which stirring and carrying get risky. Estimate."""


def findings(
    plan: Plan, sheet: WeighSheet | None = None, own: Mapping[str, Wax] | None = None
) -> tuple[Finding, ...]:
    """All findings, the gravest first, in the order of the plan within a level.

    `sheet` is the plan's weigh sheet where it was worked out already; `own` are own waxes besides those of the plan.
    Raises what `weigh_sheet` raises.
    """
    sheet = sheet or weigh_sheet(plan, own=own)
    case = FindingCase(plan, sheet, waxes_of(plan, sheet.wax, own), _fat(plan, own))
    finders = (
        _tried,
        _pour,
        fat_crystals,
        unlikely_sheets,
        mould_limits,
        glass_moulds,
        wick_holes,
        remembered_weights,
        _bath,
        thin_layers,
        plug_height,
        parting_layers,
        _stock,
        _pot,
        unsuited_waxes,
    )
    noticed = [finding for finder in finders for finding in finder(case)]
    noticed += dosing(plan, sheet, case.waxes)
    return tuple(sorted(dict.fromkeys(noticed), key=lambda finding: -LEVELS.index(finding.level)))


def _tried(case: FindingCase) -> Iterator[Finding]:
    """The one change that this plan tries; some changes are nothing that a plan can hold, and have to be remembered."""
    tried = case.plan.tried
    if tried is not None:
        after = tr(" on {parent}", parent=case.plan.parent) if case.plan.parent else ""
        led = (
            tr(" because of {fault} of {letter}", fault=word(tried.fault), letter=tried.letter)
            if tried.fault
            else tr(" because {cause}", cause=tried.cause)
            if tried.cause
            else ""
        )
        what = tr(
            "One thing is tried{led}{after}: {says}.", led=led, after=after, says=tried.says.rstrip(".")
        )
        why = tr("Only one thing at a time tells whether it was that.")
        yield note("title", what, why, tr("Leave the rest as it was, and say afterwards how it came out."))


def _pour(case: FindingCase) -> Iterator[Finding]:
    """The pour temperature a person asked for, against the wax; plant fats against bloom."""
    asked_c = case.plan.pour_c
    for wax in dict.fromkeys(case.waxes):
        low, high = case.degrees(wax.pour_min_c), case.degrees(wax.pour_max_c)
        if asked_c is not None and asked_c > case.sheet.ceiling_c:
            top = case.degrees(case.sheet.ceiling_c)
            what = tr(
                "Pouring at {degrees} is hotter than this wax may get: {top}.",
                degrees=case.degrees(asked_c),
                top=top,
            )
            why = tr("Hotter wax darkens, loses scent and comes nearer to smoke and fire.")
            yield stop("pour_c", what, why, tr("Stay below {top}.", top=top))
        elif asked_c is not None and asked_c < pourable_c(wax):
            what = tr(
                "{degrees} is hardly above where {short_name} sets, if at all.",
                degrees=case.degrees(asked_c),
                short_name=wax.short_name,
            )
            why = tr("It sets at the wall before it is level, and no layers fuse.")
            least = case.degrees(pourable_c(wax))
            do = tr(
                "Try {degrees}; the sheet counts on {least}.",
                degrees=case.degrees(max(wax.pour_min_c, pourable_c(wax))),
                least=least,
            )
            yield stop("pour_c", what, why, do)
        elif asked_c is not None and not wax.pour_min_c <= asked_c <= wax.pour_max_c:
            what = tr(
                "{degrees} is outside the usual {low} to {high} of {short_name}.",
                degrees=case.degrees(asked_c),
                low=low,
                high=high,
                short_name=wax.short_name,
            )
            hot = tr("It shrinks more, weeps at the seal and runs into the colour below.")
            cold = tr("Rings, bubbles and weak joins come of it.")
            near = low if asked_c < wax.pour_min_c else high
            yield caution(
                "pour_c", what, hot if asked_c > wax.pour_max_c else cold, tr("Try {near}.", near=near)
            )
        coolest = min(pour.pour_c for mould in case.sheet.moulds for pour in mould.pours)
        if case.fat >= 0.5 and coolest < wax.congealing_c + FAT_ABOVE:
            least = show_difference(FAT_ABOVE, case.plan.units)
            what = tr(
                "The pour is less than {least} above where {short_name} sets.",
                least=least,
                short_name=wax.short_name,
            )
            yield note(
                "pour_c",
                what,
                tr("Plant fats bloom when they are poured cooler."),
                tr("Pour a little hotter."),
            )


def _fat(plan: Plan, own: Mapping[str, Wax] | None) -> float:
    parts = parts_of(plan.blend, own_of(plan, own))
    return sum(share for wax, share in parts if wax.kin in FAT_WAXES) / sum(share for _, share in parts)


def _bath(case: FindingCase) -> Iterator[Finding]:
    """Whether a water bath gets the wax hot enough here."""
    reach = bath_reach(case.plan.altitude)
    sure = reach.reaches(case.sheet.melt_to_c)
    if sure == "yes":
        return
    target, boiling = case.degrees(case.sheet.melt_to_c), case.degrees(reach.boiling_c)
    why = tr(
        "Water boils at {boiling} at this altitude, and the wax stays some degrees below it.", boiling=boiling
    )
    if sure == "no":
        what = tr("A water bath does not bring the wax to {target} here.", target=target)
        yield stop(
            "altitude", what, why, tr("Take a wax that melts and pours lower; never heat it without water.")
        )
    else:
        what = tr("A water bath hardly brings the wax to {target} here.", target=target)
        yield caution("altitude", what, why, tr("Keep the water at a full simmer, or plan a cooler pour."))


def _stock(case: FindingCase) -> Iterator[Finding]:
    """Wax at hand that is not enough for the pours, or not for the reserve."""
    for need in case.sheet.waxes:
        if need.at_hand is None or need.at_hand >= need.kg:
            continue
        short = case.weight(need.kg - need.at_hand)
        field, at_hand = f"{need.field}.at_hand", case.weight(need.at_hand)
        if need.at_hand >= need.kg - need.reserve:
            what = tr(
                "{have} of {name} are enough for the pours, but {short} of the reserve are missing.",
                have=at_hand,
                name=need.name,
                short=short,
            )
            why = tr("The top-up needs wax of the colour poured last; another batch sets in another shade.")
            yield caution(field, what, why, tr("Get more, or lower the line a little."))
        else:
            what = tr(
                "{have} of {name} are at hand; {weight} are needed.",
                have=at_hand,
                name=need.name,
                weight=case.weight(need.kg),
            )
            why = tr("{short} are missing, and a pour that runs short leaves a ring.", short=short)
            yield stop(field, what, why, tr("Get more, pour fewer moulds, or lower the line."))


def _pot(case: FindingCase) -> Iterator[Finding]:
    """Molten wax that does not fit into the pot, or only just."""
    plan, sheet = case.plan, case.sheet
    if plan.pot is None:
        return
    room = sheet.total_wax / sheet.wax.density_at(sheet.melt_to_c)
    takes, holds = show_volume(room, plan.units), show_volume(plan.pot, plan.units)
    if room > plan.pot:
        what = tr("Molten, the wax takes {takes}; the pot holds {holds}.", takes=takes, holds=holds)
        yield stop(
            "pot", what, tr("It runs over into the flame."), tr("Melt in two goes, or in a larger pot.")
        )
    elif room > POT_FULL * plan.pot:
        what = tr("Molten, the wax takes {takes} of the pot's {holds}.", takes=takes, holds=holds)
        yield caution("pot", what, tr("It slops when it is stirred and carried."), tr("Melt in two goes."))
