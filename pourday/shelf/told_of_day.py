"""What one day says of everything that two days are compared by, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pourday.burn.candle import Candle, try_candles_of
from pourday.burn.rate import burn_rate
from pourday.errors import Trouble
from pourday.language import ntr, tr, word
from pourday.plan.bench import Standing, bench
from pourday.plan.model import BlendPart, Layer, Plan, Product, tried_words
from pourday.plan.products import show_dose
from pourday.plan.sheet_words import shape_words
from pourday.plan.waxes import own_of, parts_of
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.plan.wick import chosen_wick
from pourday.reports.deviations import deviations
from pourday.session import events as ev
from pourday.session.act_id import read_act_id
from pourday.session.candle import Burn, CandleState, faults_seen
from pourday.session.clock import on_newest_clock
from pourday.session.describe_equipment import equipped_words
from pourday.session.events import Entry
from pourday.session.fold import effective
from pourday.session.looks import LOOK_WORDS
from pourday.session.mould import MouldState, PourAt
from pourday.session.state import LIT, JugState, State
from pourday.times import span
from pourday.units import (
    Units,
    show_altitude,
    show_length,
    show_mass,
    show_share,
    show_temperature,
    show_volume,
)
from pourday.wax.blend import shares
from pourday.wax.materials import Wax

NOT_TOLD = tr("not noted")
OPEN_WAIT = ("look", "pour")
_HEAT = {"off": 0, "unknown": 0, "low": 1, "on": 2}
"""How strong each state of the burner is, to find the strongest of a day."""


@dataclass(frozen=True, slots=True)
class ComparedDay:
    """One day that is compared: its record, and the record of what became of its candles, where there is one."""

    state: State
    entries: Sequence[Entry]
    log: State | None = None


Told = Iterator[tuple[tuple[str, str], str]]
"""((group, label), what it says)."""


def told_of_day(day: ComparedDay, units: Units) -> Told:
    """Everything that is compared of one day, in these units."""
    state, plan = day.state, day.state.fixed_plan or day.state.plan
    try:
        sheet = weigh_sheet(plan)
    except Trouble:
        sheet = None
    yield from _wax(plan, units)
    yield from _layers(plan, state, units)
    yield from _kitchen(state, plan, units)
    yield from _stove(day, units)
    candles = {candle.letter: candle for candle in try_candles_of(state, day.log)}
    opened = _opened(day.entries)
    for standing in bench(plan):
        group = tr("Candle {letter}", letter=standing.letter)
        yield from _mould(group, standing, plan)
        mould = state.moulds.get(standing.letter)
        if mould is not None:
            yield from _poured(group, plan, sheet, mould, state, opened, units)
            yield from _came(group, day, mould, candles.get(standing.letter), units)
    came = tr("How it came out")
    yield (came, tr("verdict")), state.verdict or NOT_TOLD
    yield (came, tr("what was changed")), tried_words(plan.tried) if plan.tried else tr("nothing named")
    yield (came, tr("that came out")), word(state.change_came) or NOT_TOLD
    off = sorted({word(each.kind) for each in deviations(state, day.entries)})
    yield (came, tr("not as planned")), ", ".join(off) or tr("nothing")


def _parts(parts: Sequence[BlendPart], plan: Plan) -> str:
    """A blend in words: `70 % paraffin + 30 % palm`."""
    try:
        named = [wax.name for wax, _ in parts_of(tuple(parts), own_of(plan))]
    except Trouble:
        named = [part.wax for part in parts]
    if len(named) == 1:
        return named[0]
    shared = shares([part.share for part in parts])
    return " + ".join(f"{show_share(share)} {name}" for share, name in zip(shared, named, strict=True))


def _wax(plan: Plan, units: Units) -> Told:
    """The plan's title, its blend with lots, where own waxes set, and the lots of scent and dye."""
    group = tr("Wax")
    yield (tr("Plan"), tr("title")), plan.title or NOT_TOLD
    yield (group, tr("wax")), _parts(plan.blend, plan)
    yield (group, tr("lot")), ", ".join(part.lot or NOT_TOLD for part in plan.blend)
    own = own_of(plan)
    for part in plan.blend:
        if part.wax in own:
            # Two own waxes may have one name; where they set tells them apart.
            yield (group, tr("{name} sets at", name=own[part.wax].name)), _sets(own[part.wax], units)
    for what, name, lot, products in (
        (
            "scent",
            tr("lot of the scent"),
            plan.scent_lot,
            [each for layer in plan.layers for each in layer.scents],
        ),
        ("dye", tr("lot of the dye"), plan.dye_lot, [each for layer in plan.layers for each in layer.dyes]),
    ):
        used = any(
            layer.scent_load or layer.scent_by_eye if what == "scent" else layer.dye_load
            for layer in plan.layers
        )
        if used:
            lots = dict.fromkeys(each.lot for each in products if each.lot)
            yield (group, name), ", ".join(lots) or lot or NOT_TOLD


def _sets(wax: Wax, units: Units) -> str:
    """Where a wax sets: `54.1 °C to 58.3 °C`."""
    return _between((wax.congealing_min_c, wax.congealing_max_c), units)


def _named(load: str, products: Sequence[Product]) -> str:
    """A load with what it is made of: `6 % rose + oud`."""
    if len(products) == 1:
        return f"{load} {products[0].name}"
    shared = shares([each.share for each in products]) if products else ()
    of = " + ".join(f"{show_share(share)} {each.name}" for share, each in zip(shared, products, strict=True))
    return tr("{load}, of it {parts}", load=load, parts=of) if of else load


def _scent(layer: Layer) -> str:
    """The scent of a layer, with what it is made of."""
    load = tr("by eye") if layer.scent_by_eye else show_share(layer.scent_load)
    return _named(load, layer.scents)


def _dye(layer: Layer) -> str:
    """The dye of a layer, with what it is made of."""
    load = show_share(layer.dye_load)
    return _named(f"{load} {word(layer.dye_form)}" if layer.dye_load else load, layer.dyes)


def _layers(plan: Plan, state: State, units: Units) -> Told:
    """What was planned for each layer, and what really went into its jug."""
    for number, layer in enumerate(plan.layers):
        group = tr("Layer {number}", number=number + 1)
        yield (group, tr("colour")), layer.colour or NOT_TOLD
        if not number and plan.plug:
            yield (group, tr("plug planned")), show_length(plan.plug, units)
        if layer.blend:
            yield (group, tr("its own wax")), _parts(layer.blend, plan)
        yield (group, tr("scent")), _scent(layer)
        yield (group, tr("dye")), _dye(layer)
        yield (
            (group, tr("share of the height")),
            show_share(layer.share / sum(each.share for each in plan.layers)),
        )
        jug = state.jugs.get(number)
        if jug is not None:
            yield from _jug(group, plan, jug, units)
    if any(layer.scent_load for layer in plan.layers):
        yield (tr("Wax"), tr("scent is reckoned")), word(plan.scent_basis)


def _jug(group: str, plan: Plan, jug: JugState, units: Units) -> Told:
    """What really went into the jug of a layer."""
    kg = jug.drawn_kg if jug.drawn_kg is not None else jug.kg
    yield (group, tr("wax drawn")), tr("not weighed") if kg is None else show_mass(kg, units, plan.scale_step)
    yield (
        (group, tr("melted")),
        tr("once") if jug.heat_cycles == 1 else tr("{count} times", count=jug.heat_cycles),
    )
    for what, label in (("scent", tr("scent weighed in")), ("dye", tr("dye weighed in"))):
        doses = [dose.fact for dose in jug.doses if dose.fact.what == what]
        if doses:
            each = [
                " ".join(
                    part
                    for part in (
                        tr("not weighed") if fact.kg is None else show_dose(fact.kg, units, plan.scale_step),
                        fact.product,
                        ""
                        if fact.celsius is None
                        else tr("at {heat}", heat=show_temperature(fact.celsius, units)),
                    )
                    if part
                )
                for fact in doses
            ]
            yield (group, label), ", ".join(each)


def _kitchen(state: State, plan: Plan, units: Units) -> Told:
    """Where it was poured and with what: room, water, altitude, tools, and by whom."""
    group = tr("Kitchen")
    if plan.pour_c is not None:
        yield (group, tr("pour asked for")), show_temperature(plan.pour_c, units)
    yield (group, tr("room planned")), show_temperature(plan.room_c, units)
    rooms = [reading.celsius for reading in state.readings if reading.place == "room" and not reading.doubt]
    yield (group, tr("room read")), _between(rooms, units)
    if plan.bath is not None:
        yield (group, tr("water in the bath")), show_volume(plan.bath, units)
    yield (group, tr("altitude")), show_altitude(plan.altitude, units)
    told = dict(equipped_words(state.equipped, units))
    for what, label in (
        ("thermometer", tr("thermometer")),
        ("scale", tr("scale")),
        ("pot", tr("pot")),
        ("burner", tr("burner")),
    ):
        yield (group, label), told.get(what, NOT_TOLD)
    yield (group, tr("made by")), state.equipped.who or NOT_TOLD


def _between(celsius: Sequence[float], units: Units) -> str:
    """From the coldest to the warmest that was read."""
    if not celsius:
        return NOT_TOLD
    low, high = (show_temperature(each, units, 1) for each in (min(celsius), max(celsius)))
    return low if low == high else tr("{low} to {high}", low=low, high=high)


def _is_up(before: ev.BurnerSet, now: ev.BurnerSet) -> bool:
    """Whether the second turn of the burner made it burn stronger; a low flame may be set higher and stay one."""
    higher = before.state == now.state == "low" and now.knob == "higher"
    return higher or _HEAT[now.state] > _HEAT[before.state]


def _stove(day: ComparedDay, units: Units) -> Told:
    """What was done at the stove, and how long it all took."""
    group, state = tr("At the stove"), day.state
    facts = [(entry.t, entry.fact) for entry in effective(on_newest_clock(day.entries))]
    turns = [fact for _, fact in facts if isinstance(fact, ev.BurnerSet)]
    turned = sum(_is_up(before, now) for before, now in pairwise([ev.BurnerSet(state="off"), *turns]))
    yield (group, tr("burner turned up")), _times(turned)
    lit = sum((each.end or state.last_t) - each.start for each in state.burner_spans if each.what in LIT)
    yield (group, tr("burner lit for")), span(lit)
    stood = sum(isinstance(fact, ev.JugStands) for _, fact in facts)
    if stood:
        yield (group, tr("jugs moved")), _times(stood)
    yield (group, tr("readings")), str(len(state.readings))
    wax = [r.celsius for r in state.readings if r.place in ("pot", "jug") and not r.doubt]
    yield (group, tr("hottest wax")), show_temperature(max(wax), units, 1) if wax else NOT_TOLD
    loads = [kg for _, kg in state.additions]
    weighed = sum(kg for kg in loads if kg is not None)
    known = loads and None not in loads
    yield (
        (group, tr("wax into the pot")),
        show_mass(weighed, units, state.plan.scale_step) if known else NOT_TOLD,
    )
    spilled = [each.kg for each in state.spills]
    if spilled:
        yield (
            (group, tr("spilled")),
            show_mass(sum(kg or 0.0 for kg in spilled), units, state.plan.scale_step),
        )
    away = sum((each.end or state.last_t) - each.start for each in state.gaps if each.what == "away")
    yield (group, tr("away from it")), span(away) if away else tr("never")
    heated = [t for t, fact in facts if isinstance(fact, ev.BurnerSet) and fact.state in LIT]
    poured = [t for t, fact in facts if isinstance(fact, ev.Poured)]
    out = [mould.demoulded_at for mould in state.moulds.values() if mould.demoulded_at is not None]
    for label, ends in ((tr("first heat to last pour"), poured), (tr("first heat to last candle out"), out)):
        yield (group, label), span(max(ends) - heated[0]) if heated and ends else NOT_TOLD
    seen = sum(isinstance(fact, ev.WaterSeen) for _, fact in facts)
    yield (group, tr("water looked at")), _times(seen)
    yield (group, tr("water topped up")), _times(len(state.water_added))
    done = sum(mark == "done" for mark in state.prepared.values())
    yield (group, tr("ticked before the heat")), ntr("{count} item", "{count} items", done, count=done)
    if state.waived:
        yield (group, tr("acts left out")), str(len(state.waived))


def _times(count: int) -> str:
    """`once`, `twice`, `3 times`."""
    return tr("never") if not count else tr("once") if count == 1 else tr("{count} times", count=count)


def _opened(entries: Sequence[Entry]) -> dict[int, float]:
    """s from the told opening of its window to each pour, by the pour's entry; the last word before the pour counts."""
    likely: dict[str, float] = {}
    after: dict[int, float] = {}
    for entry in effective(on_newest_clock(entries)):
        fact = entry.fact
        if isinstance(fact, ev.Told) and fact.likely is not None and fact.early is not None:
            if read_act_id(fact.act).what in OPEN_WAIT:
                likely |= dict.fromkeys(fact.moulds, fact.likely.timestamp())
        elif isinstance(fact, ev.Poured) and fact.mould in likely:
            after[entry.seq] = entry.t - likely.pop(fact.mould)
    return after


def _mould(group: str, standing: Standing, plan: Plan) -> Told:
    """The mould a candle stands in, as it was planned."""
    mould = standing.mould
    yield (
        (group, tr("mould")),
        ", ".join(part for part in (mould.name, shape_words(mould, plan), word(mould.material)) if part),
    )
    if mould.holes is not None:
        yield (group, tr("holes")), str(mould.holes)
    yield (group, tr("closed end")), tr("is the top") if mould.inverted else tr("is the foot")
    yield (group, tr("wick")), chosen_wick(plan, mould) or NOT_TOLD


def _poured(
    group: str, plan: Plan, sheet: WeighSheet | None, mould: MouldState, state: State, opened: dict[int, float], units: Units
) -> Told:  # fmt: skip
    """Every pour into one mould: how hot, how heavy, on what, and after how long."""
    before: PourAt | None = None
    tops = 0
    for pour in mould.pours:
        colour = plan.layers[pour.layer].colour if 0 <= pour.layer < len(plan.layers) else ""
        tops += pour.part == "top-up"
        name = {
            "layer": tr("layer {layer}", layer=pour.layer + 1),
            "plug": tr("plug"),
            "top-up": tr("top-up {tops}", tops=tops),
        }[pour.part]
        celsius = state.lip_c(pour)
        yield (
            (group, tr("{name}: at the lip", name=name)),
            show_temperature(celsius, units, 1) if celsius is not None else NOT_TOLD,
        )
        yield (
            (group, tr("{name}: weight", name=name)),
            show_mass(pour.kg, units, plan.scale_step) if pour.kg is not None else NOT_TOLD,
        )
        if pour.share != 1.0:
            yield (group, tr("{name}: of what was planned", name=name)), show_share(pour.share)
        if before is not None:
            yield (group, tr("{name}: wait before it", name=name)), span(pour.t - before.t)
            looks = [look for look in mould.looks if before.t <= look.t <= pour.t]
            yield (
                (group, tr("{name}: surface before it", name=name)),
                LOOK_WORDS[looks[-1].cue] if looks else NOT_TOLD,
            )
        if pour.seq in opened:
            late = opened[pour.seq]
            yield (
                (group, tr("{name}: its window opened", name=name)),
                tr("{span} before it", span=span(late))
                if late >= 0
                else tr("{span} after it", span=span(-late)),
            )
        if pour.part == "layer":
            yield (group, tr("{name}: colour", name=name)), colour or NOT_TOLD
        before = pour
    heights = _heights(sheet, mould.letter)
    for number, height in heights.items():
        yield (
            (group, tr("layer {number}: thickness planned", number=number + 1)),
            show_length(round(height, 3), units),
        )
    yield (group, tr("top-ups")), str(tops)
    yield (group, tr("relief holes opened")), _times(len(mould.relieved_at))
    yield (group, tr("looked at")), _times(len(mould.looks))
    weeps = {None: NOT_TOLD, True: tr("wept"), False: tr("dry")}[mould.weeps]
    yield (group, tr("seal, seen from below")), weeps
    if mould.restarts:
        yield (group, tr("emptied and begun again")), _times(mould.restarts)


def _heights(sheet: WeighSheet | None, letter: str) -> dict[int, float]:
    """m that each layer of a mould was planned to be thick as it is poured, by its number."""
    of_mould = (
        next((each for each in sheet.moulds if each.letter == letter), None) if sheet is not None else None
    )
    pours = of_mould.pours if of_mould is not None else ()
    below = [0.0, *(pour.level for pour in pours)]
    return {pour.layer: pour.level - low for pour, low in zip(pours, below, strict=False)}


def _came(group: str, day: ComparedDay, mould: MouldState, candle: Candle | None, units: Units) -> Told:
    """How one candle came out, and how it burned."""
    plan = day.state.plan
    kg = mould.candle_kg
    yield (group, tr("came out")), word(mould.release) or NOT_TOLD
    yield (group, tr("candle weighs")), show_mass(kg, units, plan.scale_step) if kg is not None else NOT_TOLD
    if mould.demoulded_at is not None and mould.pours:
        yield (group, tr("hours in its mould")), span(mould.demoulded_at - mould.pours[-1].t)
    blank = CandleState(mould.letter)
    logged = day.log.candles if day.log is not None else {}
    life = logged.get(mould.letter, blank)
    seen = faults_seen(day.state.candles.get(mould.letter, blank), life)
    yield (
        (group, tr("faults")),
        ", ".join(dict.fromkeys(word(each.defect) for each in seen.defects))
        or (tr("none seen") if seen.none else NOT_TOLD),
    )
    if life.finish:
        yield (group, tr("finished with")), ", ".join(dict.fromkeys(word(each) for each in life.finish))
    if candle is None or not life.burns:
        return
    yield (
        (group, tr("cured before its first burn")),
        tr("{age_days:.0f} days", age_days=candle.age_days(life.burns[0].lit_at)),
    )
    rates = [rate for burn in life.burns if (rate := burn_rate(burn, plan.scale_step)) is not None]
    yield (
        (group, tr("burned")),
        span(sum(burn.ended_at - burn.lit_at for burn in life.burns if burn.ended_at is not None)),
    )
    yield (group, tr("burned an hour")), rates[-1].words if rates else NOT_TOLD
    yield from _burned(group, life.burns, units)
    yield (group, tr("wick judged")), word(life.judged.came) if life.judged is not None else NOT_TOLD


def _burned(group: str, burns: Sequence[Burn], units: Units) -> Told:
    """What was seen of the flame and its pool over all cycles."""
    looks = [look.seen for burn in burns for look in burn.looks]
    for label, lengths in (
        (tr("tallest flame"), [each.flame for each in looks if each.flame is not None]),
        (tr("widest pool"), [each.across for each in looks if each.across is not None]),
        (tr("deepest pool"), [each.depth for each in looks if each.depth is not None]),
    ):
        yield (group, label), show_length(max(lengths), units) if lengths else NOT_TOLD
    walls = [each.wall for each in looks if each.wall is not None]
    yield (group, tr("thinnest wall")), show_length(min(walls), units) if walls else NOT_TOLD
    signs = [
        name
        for name, seen in (
            (tr("mushroom"), any(each.mushroom for each in looks)),
            (tr("soot"), any(each.soot not in (None, "none") for each in looks)),
            (tr("leaning wick"), any(each.leaning for each in looks)),
            (tr("second flame"), any(each.second_flame for each in looks)),
        )
        if seen
    ]
    yield (
        (group, tr("seen while it burned")),
        ", ".join(signs) or (tr("nothing of note") if looks else NOT_TOLD),
    )
