"""What the plan, the readings of the kitchen and what was said say of one candle."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal

from pourday.burn.candle import HEAVY_DYE
from pourday.faults.evidence import Evidence, told, untold
from pourday.faults.record import CandleRecord
from pourday.faults.table import About
from pourday.guide.acts.mould_end import WIDE
from pourday.language import tr, word
from pourday.plan.layer_findings import THIN
from pourday.plan.own_layers import shares_of
from pourday.plan.volumes import fill_height, width_of
from pourday.plan.water import boiling_c
from pourday.session.events import Release
from pourday.session.repeat import dosed_load, doses_of
from pourday.session.state import RescueAt
from pourday.times import HOUR, span
from pourday.units import show_difference, show_length, show_mass, show_share, show_temperature
from pourday.wax.materials import FAT_WAXES

COLD_ROOM, WARM_ROOM = 17.0, 26.0
"""°C between which a room is a usual one (common practice, no source: 18-25 °C)."""
SWINGS, STEADY = 3.0, 1.5
"""K between the readings of a room over a day from which it swings, and up to which it is steady: estimates."""
COLD_WALL, WARM_WALL = 15.0, 32.0
"""°C of an empty mould that is cold, and one that was warmed (common practice, no source: warmed to 38-50 °C)."""
OVER_BOIL, UNDER_BOIL = 2.0, 4.0
"""K above boiling that no thermometer that is right shows in a bath, and below it that tell nothing of the boil: estimates."""
NEAR_LIMIT = 0.8
"""Share of the largest scent load from which it is near it: estimate."""
OVER_FILL = 0.03
"""Share by which the wax in a mould is over or under what was planned (common practice, no source)."""
LONG_HOT = 4 * HOUR
"""s above the congealing point of the wax from which the pot counts as hot for long: estimate."""
SCENT_COOL = 6.0
"""K above the congealing point under which scent does not mix well: estimate."""
DYE_COOL = 75.0
"""°C that dye needs to dissolve (common practice, no source: 75 °C and more)."""
MISREADS = 1.5
"""K off in water of known temperature from which a thermometer is off: estimate."""
SET_HOT = 6.0
"""K above the liquidus: a thermometer that read so much in wax that was seen set is not right. Estimate."""


def day_evidence(record: CandleRecord, about: About) -> list[Evidence]:
    """What the record says of one candle that is neither computed heat nor a burn; `about` is what the fault is about.

    Here and below a function yields things by their keys in `evidence.csv`, each told with a value or, where it was not
    recorded, untold.
    """
    rows = [*_room(record), *_thermometer(record), *_wax(record), *_scent_and_dye(record), *_pot(record)]
    rows += [*_mould(record), *_fill(record), *_ticked(record), *_leaving(record)]
    if about == "seam":
        rows += _watched(record)
    return [*rows, *untold("release_used", "mould_state", "kept", "primed")]


def _degrees(record: CandleRecord, celsius: float) -> str:
    """A temperature, °C, in the units of the plan."""
    return show_temperature(celsius, record.batch.plan.units, 0)


def _of_day(record: CandleRecord, place: str) -> list[tuple[float, float]]:
    """(t, °C) of every reading at a place that was not in doubt."""
    return [(r.t, r.celsius) for r in record.batch.readings if r.place == place and not r.doubt]


def _room(record: CandleRecord) -> Iterator[Evidence]:
    """`room`: how warm the room was; `swing`: whether that changed over the day."""
    read = [celsius for _, celsius in _of_day(record, "room")]
    if not read:
        yield from untold("room", "swing")
        return
    mean = sum(read) / len(read)
    value = "cold" if mean < COLD_ROOM else "warm" if mean > WARM_ROOM else "usual"
    yield told("room", value, tr("the room was read at {degrees}", degrees=_degrees(record, mean)))
    if len(read) < 2:
        yield from untold("swing")
        return
    swing = max(read) - min(read)
    value = "swings" if swing >= SWINGS else "steady" if swing <= STEADY else "a little"
    shown = show_difference(swing, record.batch.plan.units)
    says = (
        tr("the room held still between readings")
        if swing <= STEADY
        else tr("the room swung by {shown} between readings", shown=shown)
    )
    yield told("swing", value, says)


def _thermometer(record: CandleRecord) -> Iterator[Evidence]:
    """`bath`, `checked`, `set_hot`: whether the thermometer reads right, by a boiling bath, by a check, by wax that
    had set."""
    yield from _by_the_bath(record)
    yield from _by_set_wax(record)
    yield from _by_its_check(record)


def _by_the_bath(record: CandleRecord) -> Iterator[Evidence]:
    """`bath`: what was read of wax or water, beside what water boils at there."""
    boils = boiling_c(record.batch.plan.altitude)
    bath = max(
        (celsius for place in ("bath", "pot", "jug") for _, celsius in _of_day(record, place)), default=0.0
    )
    in_bath = [celsius for _, celsius in _of_day(record, "bath")]
    doubted = [r.celsius for r in record.batch.readings if r.place in ("bath", "pot", "jug")]
    highest = max([bath, *doubted])
    if highest > boils + OVER_BOIL:
        yield told(
            "bath",
            "over the boil",
            tr(
                "{read} was read, where water boils at {boils}",
                read=_degrees(record, highest),
                boils=_degrees(record, boils),
            ),
        )
    elif in_bath and max(in_bath) > boils - UNDER_BOIL:
        yield told(
            "bath",
            "not over the boil",
            tr(
                "the boiling bath was read at {degrees}, as it should be",
                degrees=_degrees(record, max(in_bath)),
            ),
        )
    else:
        yield from untold("bath")


def _by_set_wax(record: CandleRecord) -> Iterator[Evidence]:
    """`set_hot`: a jug whose wax had set within ten minutes of a reading well above where it sets."""
    liquidus = record.sheet.wax.liquidus_c
    for jug in record.batch.jugs.values():
        near = [c for t, c in _of_day(record, "jug") if jug.set_at is not None and abs(t - jug.set_at) < 600]
        if near and max(near) > liquidus + SET_HOT:
            yield told(
                "set_hot",
                "set while it read hot",
                tr("a jug had set while it was read at {degrees}", degrees=_degrees(record, max(near))),
            )
            break


def _by_its_check(record: CandleRecord) -> Iterator[Evidence]:
    """`checked`: its test in ice or boiling water, else what a rescue found of it."""
    checks = record.batch.equipped.checks
    high = [check.read_c - check.should_c for check in checks]
    checked = _rescue(record, "thermometer suspect")
    if high:
        off = max(high, key=abs)
        shown = show_difference(abs(off), record.batch.plan.units, 1)
        value = "is off" if off > MISREADS else "reads right" if off > -MISREADS else "reads low"
        says = tr(
            "the thermometer reads {shown} too {off}, by its check in {water} water",
            shown=shown,
            off=tr("high") if off > 0 else tr("low"),
            water=checks[high.index(off)].water,
        )
        yield told(
            "checked",
            value,
            says if value != "reads right" else tr("the thermometer was checked and reads right"),
        )
    elif checked is not None:
        off = checked.fact.option == "another thermometer"
        says = (
            tr("the thermometer was found to be off")
            if off
            else tr("the thermometer was checked and reads right")
        )
        yield told("checked", "is off" if off else "reads right", says)
    else:
        yield from untold("checked")


def _rescue(record: CandleRecord, card: str) -> RescueAt | None:
    """The newest rescue of this card, of this mould or of none."""
    for rescue in reversed(record.batch.rescues):
        if rescue.fact.card == card and rescue.fact.mould in ("", record.letter):
            return rescue
    return None


def _wax(record: CandleRecord) -> Iterator[Evidence]:
    """`kind`, `waxes`, `band`: what wax it was, how many there are in it, how wide they melt."""
    kins = {record.waxes[layer].kin for layer in record.layers}
    kind = (
        "unknown mix" if "reclaimed" in kins or any("unknown" in kin for kin in kins)
        else "plant fat" if kins & FAT_WAXES
        else "beeswax" if "beeswax" in kins else "paraffin"
    )  # fmt: skip
    yield told(
        "kind",
        kind,
        tr(
            "the wax is {short_name}",
            short_name=record.waxes[record.layers[0] if record.layers else 0].short_name,
        ),
    )
    loads = {record.batch.plan.layers[layer].scent_load for layer in record.layers}
    if len(record.layers) > 1:
        differ = (
            len({record.waxes[layer].id for layer in record.layers}) > 1 or max(loads) - min(loads) >= 0.02
        )
        says = (
            tr("its layers are of different wax or scent load")
            if differ
            else tr("its layers are of the same wax and load")
        )
        yield told("waxes", "differ" if differ else "alike", says)
        shares = shares_of(record.batch.plan, record.mould)
        whole = sum(shares[layer] for layer in record.layers) or 1.0
        band = min(shares[layer] for layer in record.layers) / whole * fill_height(record.mould)
        shown = show_length(round(band, 3), record.batch.plan.units)
        thin = band < THIN
        yield told(
            "band", "thin" if thin else "thick enough", tr("its thinnest band is {shown}", shown=shown)
        )
    yield from _lot(record)


def _lot(record: CandleRecord) -> Iterator[Evidence]:
    """`lot`: whether the wax came from another lot than on an earlier day."""
    lots = {part.wax: part.lot.strip() for part in record.batch.plan.blend if part.lot.strip()}
    before: dict[str, str] = {}
    for day in sorted(record.earlier, key=lambda day: day.t):
        before |= day.lots
    known = [wax for wax in lots if wax in before]
    if not known:
        yield from untold("lot")
        return
    new = [wax for wax in known if lots[wax] != before[wax]]
    if new:
        yield told(
            "lot",
            "new",
            tr("the wax is of another lot, {lots}, than on the day before it", lots=lots[new[0]]),
        )
    else:
        yield told("lot", "same", tr("the wax is of the same lot as on the day before it"))


def _loads(record: CandleRecord, what: Literal["scent", "dye"]) -> list[float]:
    """kg for each kg of wax in each of its layers: as it was weighed into the jug, else as planned."""
    loads = []
    for layer in record.layers:
        planned = record.batch.plan.layers[layer]
        weighed = dosed_load(record.batch, layer, what)
        loads.append(
            weighed if weighed is not None else planned.scent_load if what == "scent" else planned.dye_load
        )
    return loads


def _scent_and_dye(record: CandleRecord) -> Iterator[Evidence]:
    """`scent`, `dye`: how heavily the candle is loaded with each, as weighed into its jugs, else as planned."""
    plan = record.batch.plan
    load = max(_loads(record, "scent"), default=0.0)
    most = scent_held(record)
    by_eye = [
        layer
        for layer in record.layers
        if plan.layers[layer].scent_by_eye and dosed_load(record.batch, layer, "scent") is None
    ]
    if by_eye:
        yield from untold("scent")
    elif load <= 0:
        yield told("scent", "none", tr("there is no scent in it"))
    else:
        share = load / most if most > 0 else 2.0
        value = "over" if share > 1.001 else "near" if share > NEAR_LIMIT else "moderate"
        holds = show_share(most) if most > 0 else "none"
        yield told(
            "scent",
            value,
            tr("it carries {share} scent, and its wax holds {holds}", share=show_share(load), holds=holds),
        )
    if load > 0:
        yield from _scent_heat(record)
    dye = max(_loads(record, "dye"), default=0.0)
    value = "none" if dye <= 0 else "heavy" if dye >= HEAVY_DYE else "usual"
    says = tr("there is no dye in it") if dye <= 0 else tr("it carries {share} dye", share=show_share(dye))
    yield told("dye", value, says)


def scent_held(record: CandleRecord) -> float:
    """The largest scent load that its waxes and the scent's own sheet allow, kg for each kg of wax."""
    limit = record.batch.plan.scent_limit
    most = min([record.waxes[layer].scent_max for layer in record.layers], default=0.0)
    return most if limit is None else min(most, limit)


def _scent_heat(record: CandleRecord) -> Iterator[Evidence]:
    """`scent_heat`: how hot the jug was when the scent went in."""
    wax = record.sheet.wax
    for layer in record.layers:
        jug = record.batch.jugs.get(layer)
        doses = [] if jug is None else [d.celsius for d in doses_of(jug, "scent") if d.celsius is not None]
        near = [c for t, c in _of_day(record, "jug") if jug is not None and 0 <= t - jug.drawn_at <= 900]
        for celsius in [*doses, *near][:1]:
            cool = celsius < wax.congealing_c + SCENT_COOL
            value = "cool" if cool else "hot" if celsius > wax.max_working_c else "usual"
            yield told(
                "scent_heat",
                value,
                tr("the jug was at {degrees} when the scent went in", degrees=_degrees(record, celsius)),
            )
            return
    yield from untold("scent_heat")


def _pot(record: CandleRecord) -> Iterator[Evidence]:
    """`peak`, `held`, `cycles`: how hot the pot got, how long it stayed hot, how often it was heated."""
    read = [*_of_day(record, "pot"), *_of_day(record, "jug")]
    pot = _of_day(record, "pot")
    if not read:
        yield from untold("peak")
    else:
        peak = max(celsius for _, celsius in read)
        value = (
            "over the ceiling"
            if peak > record.sheet.ceiling_c + 0.5
            else "cool"
            if peak < DYE_COOL
            else "usual"
        )
        yield told(
            "peak", value, tr("pot and jugs were read up to {degrees}", degrees=_degrees(record, peak))
        )
    hot = [t for t, celsius in pot if celsius > record.sheet.wax.congealing_c + 5]
    if len(hot) < 2:
        yield from untold("held")
    else:
        hot_for = max(hot) - min(hot)
        yield told(
            "held",
            "long" if hot_for > LONG_HOT else "short",
            tr("the pot was hot for {span} at least", span=span(hot_for)),
        )
    cycles = [record.batch.jugs[layer].heat_cycles for layer in record.layers if layer in record.batch.jugs]
    if not cycles:
        yield from untold("cycles")
    else:
        again = max(cycles) > 1
        yield told(
            "cycles",
            "again" if again else "once",
            tr("its wax was melted {cycles} times", cycles=max(cycles))
            if again
            else tr("its wax was melted once"),
        )
    yield from _water(record)


def _water(record: CandleRecord) -> Iterator[Evidence]:
    """`water`: whether water came to the wax."""
    if _rescue(record, "water in wax") is not None:
        yield told("water", "told", tr("water in the wax was noted on the day"))
        return
    bath, boils = [c for _, c in _of_day(record, "bath")], boiling_c(record.batch.plan.altitude)
    if not bath:
        yield from untold("water")
    elif max(bath) > boils - 1.5:
        yield told("water", "boiled hard", tr("the bath was at a rolling boil"))
    elif max(bath) < boils - 6:
        yield told(
            "water",
            "no boil",
            tr(
                "the bath was read at {degrees} at most, and did not boil",
                degrees=_degrees(record, max(bath)),
            ),
        )
    else:
        yield told("water", "simmered", tr("the bath simmered"))


def _mould(record: CandleRecord) -> Iterator[Evidence]:
    """`material`, `width`, `mould`: what the mould is of, how wide it is, how warm it was before the first pour."""
    mould = record.mould
    first = min(pour.t for pour in record.mould_state.pours)
    wall = [
        r.celsius for r in record.batch.readings
        if r.place == "surface" and r.mould == record.letter and not r.doubt and r.t <= first
    ]  # fmt: skip
    if not wall:
        yield from untold("mould")
    else:
        value = "cold" if wall[-1] < COLD_WALL else "warmed" if wall[-1] > WARM_WALL else "as the room"
        yield told(
            "mould", value, tr("the empty mould was read at {degrees}", degrees=_degrees(record, wall[-1]))
        )
    kind = "metal" if "metal" in mould.material else mould.material
    yield told("material", kind, tr("the mould is of {material}", material=word(mould.material)))
    wide = width_of(mould.shape) > WIDE
    yield told(
        "width",
        "wide" if wide else "usual",
        tr(
            "it is {length} wide",
            length=show_length(round(width_of(mould.shape), 3), record.batch.plan.units),
        ),
    )


def fill_share(record: CandleRecord) -> tuple[float, float] | None:
    """(kg that went in or came out, as a share of what was planned), by the candle's own weight before the pours'."""
    planned = record.sheet.mould(record.letter).finished
    state = record.mould_state
    kgs = [pour.kg for pour in state.pours]
    spilled = sum(pour.spilled_kg for pour in state.pours)
    if all(kg is not None for kg in kgs) and any(pour.part == "top-up" for pour in state.pours):
        kg = sum(kg or 0.0 for kg in kgs) - spilled
    elif state.candle_kg is not None:
        kg = state.candle_kg
    else:
        return None
    return kg, kg / max(planned, 1e-6)


def _fill(record: CandleRecord) -> Iterator[Evidence]:
    """`fill`, `spilled`, `holes`, `stream`: how full the mould got, whether wax was spilled, whether holes were
    opened, whether a pour broke off."""
    plan = record.batch.plan
    filled = fill_share(record)
    if filled is None:
        yield from untold("fill")
    else:
        kg, share = filled
        value = "over" if share > 1 + OVER_FILL else "under" if share < 1 - OVER_FILL else "as planned"
        planned = show_mass(record.sheet.mould(record.letter).finished, plan.units, plan.scale_step)
        yield told(
            "fill",
            value,
            tr(
                "{mass} are in it, planned {planned}",
                mass=show_mass(kg, plan.units, plan.scale_step),
                planned=planned,
            ),
        )
    if any(spill.mould == record.letter for spill in record.batch.spills):
        yield told("spilled", "over the rim", tr("wax ran over its rim"))
    times = len(record.mould_state.relieved_at)
    left_out = any(act.what == "relief" and record.letter in act.moulds for act in record.batch.waived)
    if times:
        value = "once" if times == 1 else "again and again"
        yield told(
            "holes",
            value,
            tr(
                "relief holes were opened {times}",
                times=tr("once") if times == 1 else tr("{times} times", times=times),
            ),
        )
    elif left_out:
        yield told("holes", "none", tr("relief holes were left out"))
    else:
        yield from untold("holes")
    broken = [pour for pour in record.mould_state.pours if pour.share < 1 and pour.part == "layer"]
    if broken:
        yield told("stream", "broken off", tr("a pour was broken off"))
    else:
        yield from untold("stream")


_TICKS = {"wick": "wick_set", "level": "level", "seal": "seal_ready"}
_TICKED = {
    "wick_set": tr("the wick was ticked as taut and in the middle"),
    "level": tr("the bench was ticked as level"),
    "seal_ready": tr("hole, screw and wick tail were ticked as sealed"),
}

_WAIVED = {
    "wick_set": tr("it was left out to see that the wick is taut and in the middle"),
    "level": tr("it was left out to see that the bench is level"),
    "seal_ready": tr("it was left out to see that hole, screw and wick tail are sealed"),
}


def _ticked(record: CandleRecord) -> Iterator[Evidence]:
    """What was ticked on the list before the heat, and what befell the mould: `plugged`, `knocked`, `weeps` and
    others."""
    for item, key in _TICKS.items():
        mark = record.batch.prepared.get(item)
        if mark == "done":
            yield told(key, "done", _TICKED[key])
        elif mark == "waived":
            yield told(
                key,
                "left out",
                _WAIVED[key],
            )
        else:
            yield from untold(key)
    if _rescue(record, "mould knocked") is not None:
        yield told("knocked", "told", tr("the mould was knocked"))
    seal = record.mould_state.weeps
    if record.mould.stays:
        return
    if seal is None:
        yield from untold("weeps")
    else:
        yield told(
            "weeps",
            "weeps" if seal else "tight",
            tr("it wept underneath") if seal else tr("it was seen tight underneath"),
        )
    plug = any(pour.part == "plug" for pour in record.mould_state.pours)
    yield told(
        "plugged",
        "plug first" if plug else "no plug",
        tr("a plug was poured first") if plug else tr("it was filled without a plug"),
    )


_RELEASED: dict[Release, str] = {
    "dropped out": tr("it dropped out"),
    "needed a tap": tr("it needed a tap"),
    "stuck": tr("it was stuck"),
}


def _leaving(record: CandleRecord) -> Iterator[Evidence]:
    """`rested`, `release`: how long the candle stood in its mould, and how it came out."""
    state, heat = record.mould_state, record.heat
    if state.release is not None:
        yield told("release", state.release, _RELEASED[state.release])
    elif not record.mould.stays:
        yield from untold("release")
    if record.mould.stays:
        return
    if state.demoulded_at is None or heat is None or heat.cold_s is None:
        yield from untold("rested")
        return
    since = state.demoulded_at - max(pour.t for pour in state.pours)
    needed = heat.first_pour_t + heat.cold_s - max(pour.t for pour in state.pours)
    short = since < 0.85 * needed
    says = tr(
        "it stood {stood} in its mould; as computed it was cold after {cold}",
        stood=span(since),
        cold=span(needed),
    )
    yield told("rested", "too short" if short else "long enough", says)


def _watched(record: CandleRecord) -> Iterator[Evidence]:
    """`watched`: told only where nobody was at the stove in the hour before a layer was poured."""
    pours = record.mould_state.pours
    for gap in record.batch.gaps:
        if any(
            gap.start <= pour.t and (gap.end or pour.t) >= pour.t - HOUR
            for pour in pours
            if pour.part == "layer"
        ):
            yield told(
                "watched",
                "nobody there",
                tr(
                    "nobody was there for {span} before a pour", span=span((gap.end or gap.start) - gap.start)
                ),
            )
            return


def plies_in(wick: str) -> int | None:
    """The number of plies a person wrote into the name of a wick; None where there is none.

    >>> plies_in("flat braid, 36 ply, primed"), plies_in("square braid no 4")
    (36, None)
    """
    match = re.search(r"(\d{1,3})\s*-?\s*pl(?:y|ies)\b", wick)
    return int(match[1]) if match else None
