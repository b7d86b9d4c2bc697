"""What speaks for a second look at a plan: each finding with what, why and what to do.

Findings advise and never block. Thresholds without a source stand here by name and say so. Scent and
dye have theirs in `dosing.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

import msgspec

from pourday.language import ntr, tr, word
from pourday.plan.check import height_of
from pourday.plan.dosing import dosing
from pourday.plan.finding import LEVELS, Finding, caution, note, stop
from pourday.plan.model import Mould, Plan
from pourday.plan.own_layers import shares_of
from pourday.plan.replan import THINNEST
from pourday.plan.volumes import capacity, fill_height
from pourday.plan.water import bath_reach
from pourday.plan.wax_words import is_wide
from pourday.plan.waxes import own_of, parts_of, waxes_of
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.plan.wick import wanted_wicks
from pourday.units import show_difference, show_length, show_mass, show_share, show_temperature, show_volume
from pourday.wax.blend import uncertainty
from pourday.wax.materials import FAT_WAXES, NOBODY_KNOWS, Wax
from pourday.wax.supplier import taken
from pourday.wax.working_heat import CRYSTALS_GONE, FAT_ABOVE, FLOWS_ABOVE, pourable_c

__all__ = ["Finding", "findings"]

RECLAIMED = "reclaimed_unknown"
"""The family of old candles: what scent is in them stands on no sheet."""
THIN = 0.010
"""m under which a layer remelts through easily. Common practice, no source."""
CLOSE_TO_RIM = 0.003
"""m. Nearer than this to the rim a full mould spills when it is moved. Estimate."""
MELT_APART = 5.0
"""K between the melting peaks of neighbours; "within a few degrees" is common practice."""
LOADS_APART = 0.02
"""Difference in scent load between neighbours from which their seam deserves a word. Estimate."""
POT_FULL = 0.8
"""Share of the pot above which stirring and carrying get risky. Estimate."""
OTHER_THAN_BEFORE = 0.15
"""Difference between shape and remembered weight from which one of them is probably wrong. Estimate."""
USUAL_LIMITS = {"plastic": (80.0, 88.0), "glass": (54.0, 66.0)}
"""°C rigid clear plastic and glass are mostly poured at. Common practice, no source."""
TOO_SOFT = {
    "no": tr("It is made for containers and too soft to stand."),
    "with hardener": tr("It is too soft to stand alone."),
    "additive": tr("It is meant as an addition to another wax."),
    "test first": tr("Nobody knows what is in it."),
}


class _Case(msgspec.Struct, frozen=True):
    """What every finder looks at."""

    plan: Plan
    sheet: WeighSheet
    waxes: tuple[Wax, ...]
    """One a layer."""
    fat: float
    """Share of plant fats in the plan's blend."""

    def degrees(self, celsius: float) -> str:
        """A temperature in the plan's units."""
        return show_temperature(celsius, self.plan.units)

    def weight(self, kg: float) -> str:
        """A weight in the plan's units and steps."""
        return show_mass(kg, self.plan.units, self.plan.scale_step)

    def hottest(self, index: int) -> float | None:
        """°C of the hottest pour into the moulds of one entry of the plan; None where it has none."""
        start = sum(mould.count for mould in self.plan.moulds[:index])
        standing = self.sheet.moulds[start : start + self.plan.moulds[index].count]
        return max((pour.pour_c for mould in standing for pour in mould.pours), default=None)


def findings(
    plan: Plan, sheet: WeighSheet | None = None, own: Mapping[str, Wax] | None = None
) -> tuple[Finding, ...]:
    """All findings, the gravest first, in the order of the plan within a level.

    `sheet` is the plan's weigh sheet where it was worked out already; `own` are own waxes besides those of the plan.
    Raises what `weigh_sheet` raises.
    """
    sheet = sheet or weigh_sheet(plan, own=own)
    case = _Case(plan, sheet, waxes_of(plan, sheet.wax, own), _fat(plan, own))
    finders = (
        _tried,
        _pour,
        _crystals,
        _sheets,
        _moulds,
        _vessels,
        _holes,
        _before,
        _bath,
        _layers,
        _plug,
        _seams,
        _stock,
        _pot,
        _suitable,
    )
    noticed = [finding for finder in finders for finding in finder(case)]
    noticed += dosing(plan, sheet, case.waxes)
    return tuple(sorted(dict.fromkeys(noticed), key=lambda finding: -LEVELS.index(finding.level)))


def _tried(case: _Case) -> Iterator[Finding]:
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
        what = tr("One thing is tried{led}{after}: {says}", led=led, after=after, says=tried.says)
        why = tr("Only one thing at a time tells whether it was that.")
        yield note("title", what, why, tr("Leave the rest as it was, and say afterwards how it came out."))


def _pour(case: _Case) -> Iterator[Finding]:
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


def _crystals(case: _Case) -> Iterator[Finding]:
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


def _vessels(case: _Case) -> Iterator[Finding]:
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


def _holes(case: _Case) -> Iterator[Finding]:
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


def _sheets(case: _Case) -> Iterator[Finding]:
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


def _fat(plan: Plan, own: Mapping[str, Wax] | None) -> float:
    parts = parts_of(plan.blend, own_of(plan, own))
    return sum(share for wax, share in parts if wax.kin in FAT_WAXES) / sum(share for _, share in parts)


def _moulds(case: _Case) -> Iterator[Finding]:
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


def _limit(case: _Case, mould: Mould, field: str, name: str, hottest: float) -> Iterator[Finding]:
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


def _before(case: _Case) -> Iterator[Finding]:
    """What a mould weighed before, against its shape."""
    for index, mould in enumerate(case.plan.moulds):
        if mould.set_weight is None or case.hottest(index) is None:
            continue
        start = sum(each.count for each in case.plan.moulds[:index])
        estimate = case.sheet.moulds[start].estimate
        field, name = f"moulds.{index}.set_weight", mould.name or tr("Mould {index}", index=index + 1)
        what = tr(
            "{name} weighed {weight} before; its size gives {weight2}.",
            name=name,
            weight=case.weight(mould.set_weight),
            weight2=case.weight(estimate),
        )
        if mould.set_weight > capacity(mould.shape) * max(wax.density_solid for wax in case.waxes):
            why = tr("So much wax does not fit under the rim.")
            yield stop(field, what, why, tr("Measure the mould and weigh the candle again."))
        elif abs(mould.set_weight / estimate - 1) > OTHER_THAN_BEFORE:
            why = tr("One of the two is probably wrong, or it was another wax.")
            yield caution(field, what, why, tr("Measure the mould and weigh the candle again."))


def _bath(case: _Case) -> Iterator[Finding]:
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


def _layers(case: _Case) -> Iterator[Finding]:
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


def _plug(case: _Case) -> Iterator[Finding]:
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


def _seams(case: _Case) -> Iterator[Finding]:
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
            what = tr("Layers {index} and {index2} melt {by} apart.", index=index, index2=index + 1, by=by)
            why = tr("The {side}, and their different shrinkage shears the join.", side=side)
            yield caution(f"layers.{index}.blend", what, why, tr("Use waxes that melt within a few degrees."))
        if abs(above.scent_load - below.scent_load) >= LOADS_APART:
            loads = tr(
                "{share} and {share2}",
                share=show_share(below.scent_load),
                share2=show_share(above.scent_load),
            )
            what = tr(
                "Layers {index} and {index2} carry {loads} scent.", index=index, index2=index + 1, loads=loads
            )
            why = tr(
                "They set and shrink differently, so the join parts more easily, and they burn differently."
            )
            yield note(f"layers.{index}.scent_load", what, why, tr("Equal loads are the safe choice."))


def _stock(case: _Case) -> Iterator[Finding]:
    """Wax at hand that is not enough for the pours, or not for the reserve."""
    for need in case.sheet.waxes:
        if need.at_hand is None or need.at_hand >= need.kg:
            continue
        short = case.weight(need.kg - need.at_hand)
        field, have = f"{need.field}.at_hand", case.weight(need.at_hand)
        if need.at_hand >= need.kg - need.reserve:
            what = tr(
                "{have} of {name} are enough for the pours, but {short} of the reserve are missing.",
                have=have,
                name=need.name,
                short=short,
            )
            why = tr("The top-up needs wax of the colour poured last; another batch sets in another shade.")
            yield caution(field, what, why, tr("Get more, or lower the line a little."))
        else:
            what = tr(
                "{have} of {name} are at hand; {weight} are needed.",
                have=have,
                name=need.name,
                weight=case.weight(need.kg),
            )
            why = tr("{short} are missing, and a pour that runs short leaves a ring.", short=short)
            yield stop(field, what, why, tr("Get more, pour fewer moulds, or lower the line."))


def _pot(case: _Case) -> Iterator[Finding]:
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


def _unknown(case: _Case, wax: Wax) -> Iterator[Finding]:
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
    have = dict(wax.given)
    if "flash_point_c" not in have and not is_wide(wax):
        ceiling = case.degrees(wax.max_working_c)
        what = tr("The flash point of {short_name} is not known.", short_name=wax.short_name)
        why = tr(
            "It is kept under {ceiling}; over water it cannot get hotter than boiling water, on a plate it can.",
            ceiling=ceiling,
        )
        yield note(
            f"own.{wax.id}.flash_point_c", what, why, tr("Only over water, lid at hand, and never alone.")
        )
    if "density_solid" not in have:
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


def _suitable(case: _Case) -> Iterator[Finding]:
    """Waxes too soft to stand by themselves, and those whose figures are lent or estimated."""
    for wax in dict.fromkeys(case.waxes):
        stands = any(mould.count and not mould.stays for mould in case.plan.moulds)
        if wax.mould_suitable != "yes" and (stands or wax.mould_suitable == "test first"):
            why = TOO_SOFT.get(
                wax.mould_suitable, tr("Its sheet says: {suitable}.", suitable=wax.mould_suitable)
            )
            level = stop if wax.mould_suitable == "no" else caution
            what = tr("{short_name} is not made for a standing candle by itself.", short_name=wax.short_name)
            yield level("blend", what, why, tr("Take a harder wax, or pour a small trial candle first."))
        lent = taken(wax)
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
