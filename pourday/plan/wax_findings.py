"""What speaks for a second look at the waxes of a plan: what they are not made for, and what nobody knows of them."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.language import tr
from pourday.plan.finding import Finding, caution, note, stop
from pourday.plan.finding_case import FindingCase
from pourday.plan.wax_words import is_wide
from pourday.units import show_difference, show_share
from pourday.wax.blend import uncertainty
from pourday.wax.materials import NOBODY_KNOWS, WORDS, Wax
from pourday.wax.supplier import lent_figures
from pourday.wax.working_heat import CRYSTALS_GONE, FLOWS_ABOVE

RECLAIMED = "reclaimed_unknown"
"""The family of old candles: what scent is in them stands on no sheet."""
TOO_SOFT = {
    "no": tr("It is made for containers and too soft to stand."),
    "with hardener": tr("It is too soft to stand alone."),
    "additive": tr("It is meant as an addition to another wax."),
    "test first": tr("Nobody knows what is in it."),
}


def fat_crystals(case: FindingCase) -> Iterator[Finding]:
    """Hydrogenated fats: old crystals melted away first, and what slow cooling does to them."""
    fats = [wax for wax in dict.fromkeys(case.waxes) if case.fat >= 0.5 and wax.congealing_c < CRYSTALS_GONE]
    if not fats:
        return
    name, first = fats[0].short_name, case.degrees(min(CRYSTALS_GONE, case.sheet.melt_to_c))
    what = tr(
        "{name} is of hydrogenated fat: heat it to {first} first, however cool it is poured.",
        name=name,
        first=first,
    )
    why = tr("Old crystals that are left in it grow again, and show as bloom.")
    if fats[0].kin == "palm":
        yield note("blend", what, why, tr("Then let it cool slowly where its crystal figure is wanted."))
        return
    below = show_difference(5.0, case.plan.units)
    why += tr(
        " So does slow cooling: a core {below} below where it sets within 30 to 90 min is asked for against it (US 8500826 B2), and a pillar in still air takes hours.",
        below=below,
    )
    do = tr(
        "Cool it as fast as mould and seal allow, in a water bath where it is metal; or live with some bloom."
    )
    yield note("blend", what, why, do)


def unlikely_sheets(case: FindingCase) -> Iterator[Finding]:
    """Figures of a supplier's sheet that cannot both be right."""
    for wax in case.plan.own:
        if wax.pour_min_c < wax.congealing_c + FLOWS_ABOVE:
            low, sets = case.degrees(wax.pour_min_c), case.degrees(wax.congealing_c)
            what = tr(
                "{short_name} is said to be poured from {low} on, and to set at {sets}.",
                short_name=wax.short_name,
                low=low,
                sets=sets,
            )
            why = tr("It sets at the wall before it is level; one of the two is probably in the wrong unit.")
            yield stop(f"own.{wax.id}.pour", what, why, tr("Look at its sheet again."))


def _unknown(case: FindingCase, wax: Wax) -> Iterator[Finding]:
    """What stays unknown of a wax that has no sheet: scent, flash point, density."""
    nobody = wax.confidence in NOBODY_KNOWS
    if wax.kin == RECLAIMED or (nobody and wax.scent_max == 0):
        what = tr("Nobody knows how much scent is in {short_name} already.", short_name=wax.short_name)
        why = tr(
            "Old candles hold up to a tenth (common practice, no source); more on top sweats, soots and drowns a wick."
        )
        do = tr(
            "Add none or little, and burn one small test candle for three hours before you choose the wick."
        )
        yield caution("blend", what, why, do)
    if not nobody:
        return
    sheet_figures = dict(wax.given)
    if "flash_point_c" not in sheet_figures and not is_wide(wax):
        ceiling = case.degrees(wax.max_working_c)
        what = tr("The flash point of {short_name} is not known.", short_name=wax.short_name)
        why = tr(
            "It is kept under {ceiling}; over water it cannot get hotter than boiling water, on a plate it can.",
            ceiling=ceiling,
        )
        yield note(
            f"own.{wax.id}.flash_point_c", what, why, tr("Only over water, lid at hand, and never alone.")
        )
    if "density_solid" not in sheet_figures:
        off = show_share(uncertainty([(wax, 1.0)]).density_share)
        what = tr(
            "{short_name} may weigh {off} more or less than reckoned: its density is not known.",
            short_name=wax.short_name,
            off=off,
        )
        why = tr("All weights of the sheet hang on it, and so does what is at hand.")
        do = tr(
            "Fill to the line and not by the scale, and have as much more at hand; or take its density: h in the list."
        )
        yield note(f"own.{wax.id}.density_solid", what, why, do)


def unsuited_waxes(case: FindingCase) -> Iterator[Finding]:
    """Waxes too soft to stand by themselves, and those whose figures are lent or estimated."""
    for wax in dict.fromkeys(case.waxes):
        stands = any(mould.count and not mould.stays for mould in case.plan.moulds)
        if wax.mould_suitable != "yes" and (stands or wax.mould_suitable == "test first"):
            why = TOO_SOFT.get(
                wax.mould_suitable, tr("Its sheet says: {suitable}.", suitable=wax.mould_suitable)
            )
            level = stop if wax.mould_suitable == "no" else caution
            what = (
                tr("{short_name} may be too soft for a standing candle.", short_name=wax.short_name)
                if wax.confidence == WORDS and wax.mould_suitable == "test first"
                else tr(
                    "{short_name} is not made for a standing candle by itself.", short_name=wax.short_name
                )
            )
            yield level("blend", what, why, tr("Take a harder wax, or pour a small trial candle first."))
        lent = lent_figures(wax)
        if "congealing_min_c" in lent and "melt_high_c" in lent:
            what = tr(
                "Where {short_name} sets is not known from its sheet; its family's figure is used.",
                short_name=wax.short_name,
            )
            why = tr("Pour temperature and waiting times hang on it, and families differ by many degrees.")
            yield note(
                f"own.{wax.id}.congealing",
                what,
                why,
                tr("Ask its supplier, or read a jug of it while it cools and sets."),
            )
        if is_wide(wax):
            low, high = case.degrees(wax.congealing_min_c), case.degrees(wax.congealing_max_c)
            what = tr(
                "{short_name} sets anywhere from {low} to {high}, as far as is known.",
                short_name=wax.short_name,
                low=low,
                high=high,
            )
            why = tr(
                "Pour temperature and waiting times can be off by as much, and its flash point is not known at all."
            )
            do = tr("Take its cooling curve: h in the list of sessions, or pourday curve FILE of a log.")
            yield note(f"own.{wax.id}.congealing", what, why, do)
        yield from _unknown(case, wax)
        if wax.confidence == "D":
            why = tr("No measurement stands behind its family.")
            do = tr("Let what you see decide, and give its temperatures room.")
            yield note(
                "blend", tr("The figures of {short_name} are estimates.", short_name=wax.short_name), why, do
            )
