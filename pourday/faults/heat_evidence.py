"""What the computed heat, the readings and the looks say of one candle."""

from __future__ import annotations

from pourday.faults.evidence import Evidence, told, untold
from pourday.faults.heat import LIQUID_ENOUGH, SEES_APART, SeamHeat
from pourday.faults.record import CandleRecord
from pourday.faults.table import About
from pourday.forecast.fuse import Window, window
from pourday.guide.acts.pour_heat import COLD_BY, HOTTER
from pourday.guide.outlook.cases import JUG_HOLDS
from pourday.guide.outlook.moulds import WELD
from pourday.language import tr, word
from pourday.session.mould import PourAt
from pourday.session.state import State
from pourday.times import span
from pourday.units import show_difference, show_mass, show_share, show_temperature
from pourday.wax.working_heat import pour_temperature

MUCH_COLDER = 9.0
"""K below the usual temperature of a pour from which it was much colder: estimate; colder and hotter go by what the stove says."""
LONG_AFTER = 1800.0
"""s after a window closed from which a pour is long after it: estimate."""
LOOK_COUNTS = 2400.0
"""s before a pour in which a look tells what it was poured on: estimate."""
UNMELTED, RUNS, DEEP = 3.0, 6.0, 0.006
"""K under what melts the edge at which nothing holds, K over it and m of remelt at the axis from which colours run: estimates."""
FASTER, SLOWER = 0.75, 1.35
"""The time seen as a share of the time computed under and over which wax set faster or slower than computed:
estimates, a fifth of heat and more."""
MUCH_LIQUID = 0.30
"""Share that was liquid at the last top-up from which it came too early: estimate."""
LITTLE_TOPPED, MUCH_TOPPED = 0.75, 1.7
"""Share of the planned top-up that is short, and that is too much: a lot may well take half as much again. Estimates."""
MUCH_OWED, LITTLE_OWED = 0.020, 0.008
"""Share of a mould that still went missing after the last top-up: estimates."""


def heat_evidence(record: CandleRecord, about: About) -> list[Evidence]:
    """What was read at the lip, what is computed of seams, pace and top-up, and how that fits the thermometer; by
    the keys of `evidence.csv`."""
    if about == "burn":
        return [*_lip(record, "any"), *_pace(record), *_top_up(record)]
    return [*_lip(record, about), *_seam(record, about), *_pace(record), *_top_up(record)]


def read_c(state: State, pour: PourAt) -> float | None:
    """°C a pour was read at: at the lip, else as a jug was read in the ten minutes before; None where it was not."""
    lip = state.lip_c(pour)
    if lip is not None:
        return lip
    for reading in reversed(state.readings):
        if reading.place == "jug" and not reading.doubt and 0 <= pour.t - reading.t <= JUG_HOLDS:
            return reading.celsius
    return None


def usual_c(record: CandleRecord, pour: PourAt) -> float:
    """°C this wax is usually poured at in this mould, whatever the plan asked for; a top-up a little hotter."""
    plan, mould = record.batch.plan, record.mould
    wax = record.waxes[min(pour.layer, len(record.waxes) - 1)]
    usual = pour_temperature(wax, mould.material, plan.room_c, None, mould.limit_c)
    return usual + WELD if pour.part == "top-up" else usual


def layer_name(record: CandleRecord, pour: PourAt) -> str:
    """`the cream`; a layer without a colour by its number."""
    layers = record.batch.plan.layers
    colour = layers[pour.layer].colour if pour.layer < len(layers) else ""
    return tr("the {colour}", colour=colour) if colour else tr("layer {layer}", layer=pour.layer + 1)


def pours_about(record: CandleRecord, about: About) -> list[PourAt]:
    """The pours that a fault can come from; a plug only seals the hole and is none of them."""
    pours = [pour for pour in record.mould_state.pours if pour.part != "plug"]
    if about == "top-up":
        return [pour for pour in pours if pour.part == "top-up"]
    if about == "seam" and record.heat is not None and record.heat.seams:
        seam = record.heat.weakest()
        return [seam.pour] if seam is not None else []
    return [pour for pour in pours if pour.part == "layer"]


def off_usual(record: CandleRecord, about: About) -> tuple[PourAt, float, float] | None:
    """(pour, °C read, K above the usual, negative below) of the pour that is farthest from it; None where none was
    read.

    A top-up that is only as hot as the first pour counts as usual, too.
    """
    read = []
    for pour in pours_about(record, about):
        celsius = read_c(record.batch, pour)
        if celsius is not None:
            usual = usual_c(record, pour)
            least = usual - WELD if pour.part == "top-up" else usual
            read.append((pour, celsius, celsius - max(least, min(usual, celsius))))
    return max(read, key=lambda one: abs(one[2]), default=None)


def _lip(record: CandleRecord, about: About) -> list[Evidence]:
    """`lip`, `limit`: how hot the pours were beside what is usual, and beside what the mould stands."""
    if not pours_about(record, about):
        return []
    off = off_usual(record, about)
    limit = record.mould.limit_c
    rows = untold("limit") if limit is None else []
    if off is None:
        return [*rows, *untold("lip")]
    pour, celsius, kelvin = off
    units = record.batch.plan.units
    read = show_temperature(celsius, units)
    if limit is not None:
        over = celsius > limit + 0.5
        shown = tr(
            "it was poured at {read}, and the mould stands {temperature}",
            read=read,
            temperature=show_temperature(limit, units),
        )
        rows = [told("limit", "over its limit" if over else "under its limit", shown)]
    value = (
        "much colder" if kelvin < -MUCH_COLDER else "colder" if kelvin < -COLD_BY
        else "hotter" if kelvin > HOTTER else "as planned"
    )  # fmt: skip
    usual = show_temperature(usual_c(record, pour), units)
    name = tr("the top-up") if pour.part == "top-up" else layer_name(record, pour)
    if value == "as planned":
        return [
            *rows,
            told(
                "lip",
                value,
                tr("{name} was read at {read}, about the usual {usual}", name=name, read=read, usual=usual),
            ),
        ]
    return [
        *rows,
        told(
            "lip",
            value,
            tr("{name} was read at {read}, where {usual} is usual", name=name, read=read, usual=usual),
        ),
    ]


def seam_about(record: CandleRecord, *, deep: bool = False) -> SeamHeat | None:
    """The seam a fault is looked for at: the weakest, or the one that melted deepest."""
    heat = record.heat
    if heat is None:
        return None
    return heat.deepest() if deep else heat.weakest()


def _seam(record: CandleRecord, about: About) -> list[Evidence]:
    """`timing`, `remelt`, `cue` of the seam a fault is looked for at."""
    if about != "seam" or len(record.layers) < 2:
        return []
    seam = seam_about(record)
    if seam is None:
        return untold("timing", "remelt", "cue")
    return [_timing(record, seam), _remelt(record, seam), *_cue(record, seam)]


def _timing(record: CandleRecord, seam: SeamHeat) -> Evidence:
    """`timing`: when the pour came within its window.

    The window is that of a pour at the usual temperature: one that was only too cold is not called late for that.
    """
    w, at = usual_window(record, seam), seam.into.at_s
    name = layer_name(record, seam.pour)
    if w.closes_s is not None and at > w.closes_s + 60:
        late = at - w.closes_s
        value = "long after" if late > LONG_AFTER else "late"
        by = (
            tr("when the layer below left the wall")
            if w.closed_by == "pulled"
            else tr("when the edge was too cold")
        )
        return told(
            "timing",
            value,
            tr(
                "{name} came {span} after its window closed, {by}, as computed",
                name=name,
                span=span(late),
                by=by,
            ),
        )
    if w.opens_s is not None and at < w.opens_s - 300:
        early = span(w.opens_s - at)
        return told(
            "timing",
            "early",
            tr("{name} came {early} before the surface carried it, as computed", name=name, early=early),
        )
    return told("timing", "in time", tr("{name} came while its window was open, as computed", name=name))


def usual_window(record: CandleRecord, seam: SeamHeat) -> Window:
    """The window of a pour at the temperature that is usual, or at its own where that was hotter."""
    return window(seam.run, max(seam.into.celsius, usual_c(record, seam.pour)), seam.into.wax)


def _remelt(record: CandleRecord, seam: SeamHeat) -> Evidence:
    """`remelt`: how well the pour melted the layer below."""
    units, m = record.batch.plan.units, seam.remelt
    name = tr("under {layer_name}", layer_name=layer_name(record, seam.pour))
    comes, melts = seam.seam_c(seam.into.celsius), seam.melts_c
    shown = tr(
        "{name} the edge came to {came}, as computed, and melts at {melts}",
        name=name,
        came=show_temperature(comes, units),
        melts=show_temperature(melts, units),
    )
    if comes < melts - UNMELTED:
        return told("remelt", "none", shown)
    if comes < melts:
        return told("remelt", "thin", shown)
    if m.axis > DEEP and comes > melts + RUNS:
        return told("remelt", "deep", shown)
    return told("remelt", "good", tr("{shown}, so the join should hold", shown=shown))


def _cue(record: CandleRecord, seam: SeamHeat) -> list[Evidence]:
    """`cue`: how the surface looked just before the pour."""
    looks = [look for look in record.mould_state.looks if 0 <= seam.pour.t - look.t <= LOOK_COUNTS]
    before = max((p.t for p in record.mould_state.pours if p.t < seam.pour.t), default=0.0)
    looks = [look for look in looks if look.t >= before]
    if not looks:
        return untold("cue")
    last = looks[-1]
    return [
        told(
            "cue",
            last.cue,
            tr(
                "the surface was seen {cue} {span} before",
                cue=word(last.cue),
                span=span(seam.pour.t - last.t),
            ),
        )
    ]


def _pace(record: CandleRecord) -> list[Evidence]:
    """`pace`: whether the wax set faster or slower than computed, by what was seen and read."""
    heat = record.heat
    if heat is None or (heat.pace is None and heat.colder is None):
        return untold("pace")
    low, high = heat.pace or (0.0, float("inf"))
    off = heat.colder
    units = record.batch.plan.units
    if high < FASTER:
        return [
            told(
                "pace",
                "faster",
                tr("it set in {share} of the computed time, or less", share=show_share(round(high, 2))),
            )
        ]
    if low > SLOWER:
        return [
            told(
                "pace",
                "slower",
                tr("it took {share} of the computed time to set, or more", share=show_share(round(low, 2))),
            )
        ]
    if off is not None and abs(off) > SEES_APART:
        shown = show_difference(abs(off), units)
        way = "colder" if off > 0 else "warmer"
        return [
            told(
                "pace",
                "faster" if off > 0 else "slower",
                tr("the surface was read {shown} {way} than computed", shown=shown, way=way),
            )
        ]
    if off is None and (low <= 0.5 or high > 2.0):
        # A look that only says "not yet" after minutes, or "set" after hours, bounds nothing.
        return untold("pace")
    return [told("pace", "as computed", tr("it set about as fast as computed"))]


def _top_up(record: CandleRecord) -> list[Evidence]:
    """`topped`, `liquid`, `owed`: how much the top-up was, how much was liquid under it, how much still went
    missing."""
    heat, plan = record.heat, record.batch.plan
    planned = record.sheet.top_up(record.letter).kg
    tops = [pour for pour in record.mould_state.pours if pour.part == "top-up"]
    finished = record.sheet.mould(record.letter).finished
    if not tops:
        none = told("topped", "none", tr("no top-up is on record"))
        return [none] if planned > 0.02 * finished and record.mould_state.demoulded_at is not None else []
    rows = []
    weights = [pour.kg for pour in tops]
    kgs = [kg for kg in weights if kg is not None]
    if len(kgs) < len(weights) or planned <= 0:
        rows += untold("topped")
    else:
        share = sum(kgs) / planned
        value = "short" if share < LITTLE_TOPPED else "over" if share > MUCH_TOPPED else "as planned"
        shown = tr(
            "{poured} were topped up, planned {planned}",
            poured=show_mass(sum(kgs), plan.units, plan.scale_step),
            planned=show_mass(planned, plan.units, plan.scale_step),
        )
        rows.append(told("topped", value, shown))
    if heat is None or heat.top_up is None:
        return [*rows, *untold("liquid", "owed")]
    top = heat.top_up
    value = "much" if top.liquid > MUCH_LIQUID else "little" if top.liquid <= LIQUID_ENOUGH else "some"
    rows.append(
        told(
            "liquid",
            value,
            tr(
                "{share} of the wax was still liquid at the last top-up, as computed",
                share=show_share(round(top.liquid, 2)),
            ),
        )
    )
    owed = "much" if top.owed_share > MUCH_OWED else "little" if top.owed_share < LITTLE_OWED else "some"
    rows.append(
        told(
            "owed",
            owed,
            tr(
                "about {mass} still went missing after the last top-up, as computed",
                mass=show_mass(top.owed_kg, plan.units, plan.scale_step),
            ),
        )
    )
    return rows
