"""The one thing to do otherwise next time, with its size: computed where it can be, else as the trade does it.

Only one thing is changed, so that the next candle tells whether it was that.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

import msgspec

from pourday.errors import Trouble
from pourday.faults.burn_evidence import AN_HOUR_EACH
from pourday.faults.day_evidence import MISREADS, fill_share, plies_in, scent_held
from pourday.faults.heat import LIQUID_ENOUGH
from pourday.faults.heat_evidence import layer_name, off_usual, seam_about, usual_c, usual_window
from pourday.faults.record import CandleRecord
from pourday.faults.table import Fault, causes
from pourday.faults.weigh import Diagnosis
from pourday.forecast.fuse import LIMITS
from pourday.language import tr
from pourday.plan.model import Layer, Plan, TriedChange
from pourday.plan.replan import change_mould
from pourday.plan.scaling import start_from
from pourday.plan.water import boiling_c
from pourday.plan.wick import PLIES, chosen_wick, wicks_of
from pourday.session.mould import PourAt
from pourday.session.repeat import dosed_load
from pourday.times import HOUR, days, span
from pourday.units import show_difference, show_length, show_mass, show_share, show_temperature

LESS_SCENT = 0.8
"""Share of what the wax holds that a lighter load goes to: estimate."""
WARM_MOULD = 45.0
"""°C a mould is warmed to (common practice, no source: 38-50 °C)."""
LOT_APART = 3.0
"""K that two lots of one wax can differ by in their melting point, twice what the wax table says of one."""
ENOUGH_MORE = 1.5
"""K of hotter pour that are worth asking for."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change."""

    cause: str
    says: str
    """With its size, a whole sentence."""
    why: str
    """How the size was come by, a whole sentence; empty where it is the trade's."""
    plan: Plan
    """The next plan: as this one was, with the change in it where a plan can hold it, and told in any case."""


@dataclass(frozen=True, slots=True)
class _Sized:
    """A change before it stands in a plan."""

    says: str
    why: str = ""
    plan: Plan | None = None


def change_for(record: CandleRecord, diagnosis: Diagnosis) -> Change:
    """The one change against the likeliest cause."""
    cause, fault = diagnosis.first.cause, diagnosis.fault
    base = start_from(record.batch.fixed_plan or record.batch.plan)
    size = _SIZES.get(cause)
    sized = None
    if size is not None:
        try:
            sized = size(record, fault, base)
        except Trouble:
            sized = None
    if sized is None:
        sized = _Sized(in_units(causes()[cause].change, base))
    tried = TriedChange(letter=record.letter, fault=fault.name, cause=cause, says=sized.says)
    plan = msgspec.structs.replace(sized.plan or base, parent=record.batch.session, tried=tried)
    return Change(cause, sized.says, sized.why, plan)


_FIGURE = re.compile(r"\{(K|C|mm):(\d+)\}")


def in_units(text: str, plan: Plan) -> str:
    """A sentence of the table with its figures in the units of a plan.

    >>> in_units("Trim the wick to {mm:6}.", Plan())
    'Trim the wick to 6 mm.'
    """

    def shown(match: re.Match[str]) -> str:
        figure = float(match[2])
        if match[1] == "K":
            return show_difference(figure, plan.units)
        if match[1] == "C":
            return show_temperature(figure, plan.units)
        return show_length(figure / 1000, plan.units)

    return _FIGURE.sub(shown, text)


# -- how hot ------------------------------------------------------------------------------------------


def _degrees(record: CandleRecord, celsius: float) -> str:
    return show_temperature(celsius, record.batch.plan.units)


def _name(record: CandleRecord, pour: PourAt) -> str:
    """`the cream into B`."""
    top = tr("the top-up of ") if pour.part == "top-up" else ""
    return tr(
        "{top}{layer_name} into {letter}", top=top, layer_name=layer_name(record, pour), letter=record.letter
    )


def _most_c(record: CandleRecord, pour: PourAt) -> float:
    """The hottest this pour may be, °C."""
    wax = record.waxes[min(pour.layer, len(record.waxes) - 1)]
    limit = record.mould.limit_c
    return min(wax.pour_max_c, limit if limit is not None else 400.0, record.sheet.ceiling_c - 1)


def _hotter(record: CandleRecord, fault: Fault, base: Plan) -> _Sized | None:
    """The temperature at which the seam melts as it should, else the usual one."""
    off = off_usual(record, fault.about)
    if fault.about == "seam" and (computed := _weld_c(record)) is not None:
        return _welding_pour(record, base, *computed)
    if off is None:
        return None
    pour, celsius, _ = off
    usual = usual_c(record, pour)
    if usual <= celsius + ENOUGH_MORE:
        return None
    says = tr(
        "Pour {name} at {degrees} instead of {degrees2}.",
        name=_name(record, pour),
        degrees=_degrees(record, usual),
        degrees2=_degrees(record, celsius),
    )
    plan = None if pour.part == "top-up" else _poured_at(base, usual)
    return _Sized(says, tr("That is what this wax is usually poured at in this mould and room."), plan)


def _poured_at(base: Plan, celsius: float) -> Plan:
    """The plan with every pour at this temperature, °C, to the degree."""
    typed = {key: text for key, text in base.typed.items() if key != "pour_c"}
    return msgspec.structs.replace(base, pour_c=float(round(celsius)), typed=typed)


def _weld_c(record: CandleRecord) -> tuple[PourAt, float, float, float] | None:
    """(pour, °C of it, °C at which the weakest seam melts at its edge, °C that it then comes to); None where none would,
    or it did melt."""
    seam = seam_about(record)
    if seam is None or seam.seam_c(seam.into.celsius) >= seam.melts_c:
        return None
    most = max(_most_c(record, seam.pour), usual_c(record, seam.pour))
    for celsius in range(round(seam.into.celsius) + 1, round(most) + 1):
        comes = seam.seam_c(float(celsius))
        if comes >= seam.melts_c + LIMITS.margin:
            return seam.pour, seam.into.celsius, float(celsius), comes
    return None


def _welding_pour(
    record: CandleRecord, base: Plan, pour: PourAt, was_c: float, wanted_c: float, comes_c: float
) -> _Sized:
    """A hotter pour with what its seam comes to."""
    says = tr(
        "Pour {name} at {degrees} instead of {degrees2}.",
        name=_name(record, pour),
        degrees=_degrees(record, wanted_c),
        degrees2=_degrees(record, was_c),
    )
    seam = seam_about(record)
    assert seam is not None
    now = _degrees(record, seam.seam_c(was_c))
    why = tr(
        "As computed the join then comes to {degrees} at the edge, where it came to {now}; the old wax melts at {degrees2}.",
        degrees=_degrees(record, comes_c),
        now=now,
        degrees2=_degrees(record, seam.melts_c),
    )
    return _Sized(says, why, _poured_at(base, wanted_c))


def _cooler(record: CandleRecord, fault: Fault, base: Plan) -> _Sized | None:
    off = off_usual(record, fault.about)
    if off is None:
        return None
    pour, celsius, kelvin = off
    wanted = usual_c(record, pour) if kelvin > ENOUGH_MORE else celsius - 5.0
    says = tr(
        "Pour {name} at {degrees} instead of {degrees2}.",
        name=_name(record, pour),
        degrees=_degrees(record, wanted),
        degrees2=_degrees(record, celsius),
    )
    return _Sized(says, "", None if pour.part == "top-up" else _poured_at(base, wanted))


def _hotter_top_up(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    off = off_usual(record, "top-up")
    if off is None:
        return None
    pour, celsius, _ = off
    wanted = min(usual_c(record, pour), _most_c(record, pour))
    if wanted <= celsius + ENOUGH_MORE:
        return None
    return _Sized(
        tr(
            "Pour {name} at {degrees} instead of {degrees2}.",
            name=_name(record, pour),
            degrees=_degrees(record, wanted),
            degrees2=_degrees(record, celsius),
        )
    )


def _lot(record: CandleRecord, fault: Fault, base: Plan) -> _Sized | None:
    """A lot may melt a few kelvin higher: the pour goes up by as much, where there is room."""
    off = off_usual(record, fault.about)
    if fault.about in ("any", "burn") or off is None:
        return None
    pour, celsius, _ = off
    wanted = min(celsius + LOT_APART, _most_c(record, pour))
    if wanted <= celsius + ENOUGH_MORE:
        return None
    says = tr(
        "Take a cooling curve of this lot, and pour {name} at {degrees} instead of {degrees2}.",
        name=_name(record, pour),
        degrees=_degrees(record, wanted),
        degrees2=_degrees(record, celsius),
    )
    why = tr(
        "Two lots of one wax can set {difference} apart.", difference=show_difference(LOT_APART, base.units)
    )
    return _Sized(says, why, None if pour.part == "top-up" else _poured_at(base, wanted))


def _thermometer(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    plan = record.batch.plan
    boils = boiling_c(plan.altitude)
    off = max((check.read_c - check.should_c for check in record.batch.equipped.checks), default=0.0)
    if off > MISREADS:
        shown = show_difference(off, plan.units, 1)
        return _Sized(
            tr("Pour {shown} hotter by this thermometer, or take one that reads right.", shown=shown),
            tr("That is how far it was off, in ice or in boiling water."),
        )
    highest = max(
        (r.celsius for r in record.batch.readings if r.place in ("bath", "pot", "jug")), default=0.0
    )
    says = tr(
        "Hold the thermometer in boiling water before the next pour: it should show {degrees} here, and {freezes} in ice water.",
        degrees=_degrees(record, boils),
        freezes=_degrees(record, 0.0),
    )
    if highest > boils + 1:
        shown = show_difference(highest - boils, plan.units)
        return _Sized(
            tr("{says} Until then pour {shown} hotter by it.", says=says, shown=shown),
            tr(
                "It showed {degrees} where water boils at {degrees2}.",
                degrees=_degrees(record, highest),
                degrees2=_degrees(record, boils),
            ),
        )
    return _Sized(says)


def _warm(record: CandleRecord, fault: Fault, _base: Plan) -> _Sized | None:
    first = min(pour.t for pour in record.mould_state.pours)
    wall = [
        r.celsius
        for r in record.batch.readings
        if r.place == "surface" and r.mould == record.letter and r.t <= first
    ]
    was = tr(" instead of {degrees}", degrees=_degrees(record, wall[-1])) if wall else ""
    thing = tr("the glass") if record.mould.stays else tr("the mould")
    del fault
    return _Sized(
        tr(
            "Warm {thing} of {letter} to {degrees} before the first pour{was}.",
            thing=thing,
            letter=record.letter,
            degrees=_degrees(record, WARM_MOULD),
            was=was,
        )
    )


# -- when ---------------------------------------------------------------------------------------------


def _earlier(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    seam = seam_about(record)
    if seam is None:
        return None
    w, at = usual_window(record, seam), seam.into.at_s
    if w.closes_s is None or w.closes_s >= at:
        return None
    below = seam.run.case.pours[-1].at_s
    closes = w.closes_s
    wanted = w.best_s if w.best_s is not None else min(closes, w.opens_s or closes)
    says = tr(
        "Pour {name} {span} earlier, {span2} after the layer below it.",
        name=_name(record, seam.pour),
        span=span(at - wanted),
        span2=span(wanted - below),
    )
    return _Sized(
        says, tr("As computed its window closed {span} before it was poured.", span=span(at - closes))
    )


def _later(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    seam = seam_about(record, deep=True)
    if seam is None or seam.window.opens_s is None or seam.window.opens_s <= seam.into.at_s:
        return None
    below = seam.run.case.pours[-1].at_s
    wanted = seam.window.best_s or seam.window.opens_s
    says = tr(
        "Pour {name} {span} later, {span2} after the layer below it.",
        name=_name(record, seam.pour),
        span=span(wanted - seam.into.at_s),
        span2=span(wanted - below),
    )
    return _Sized(
        says,
        tr(
            "As computed the surface carried it {span} after it was poured.",
            span=span(seam.window.opens_s - seam.into.at_s),
        ),
    )


def _top_later(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    heat = record.heat
    if heat is None or heat.top_up is None or heat.top_up.calm_s is None:
        return None
    at = heat.top_up.pour.t - heat.first_pour_t
    if heat.top_up.calm_s <= at + 300:
        return None
    layers = [pour.t - heat.first_pour_t for pour in record.mould_state.pours if pour.part == "layer"]
    after = heat.top_up.calm_s - max(layers)
    says = tr(
        "Make the last top-up of {letter} {span} later, {span2} after its last layer.",
        letter=record.letter,
        span=span(heat.top_up.calm_s - at),
        span2=span(after),
    )
    return _Sized(
        says,
        tr(
            "As computed {share} was still liquid when it was made; by then no more than {share2} is.",
            share=show_share(round(heat.top_up.liquid, 2)),
            share2=show_share(LIQUID_ENOUGH),
        ),
    )


# -- how much -----------------------------------------------------------------------------------------


def _mass(record: CandleRecord, kg: float) -> str:
    return show_mass(kg, record.batch.plan.units, record.batch.plan.scale_step)


def _top_more(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    tops = [pour for pour in record.mould_state.pours if pour.part == "top-up"]
    planned = record.sheet.top_up(record.letter).kg
    kgs = [pour.kg for pour in tops if pour.kg is not None]
    if len(kgs) < len(tops):
        return None
    heat = record.heat
    owed = heat.top_up.owed_kg if heat is not None and heat.top_up is not None else 0.0
    more = max(planned - sum(kgs), owed)
    if more <= record.batch.plan.scale_step:
        return None
    why = (
        tr("That is what the plan kept back for it.")
        if more > owed
        else tr("As computed that much still went missing.")
    )
    return _Sized(
        tr(
            "Top {letter} up with {mass} more, {mass2} in all.",
            letter=record.letter,
            mass=_mass(record, more),
            mass2=_mass(record, sum(kgs) + more),
        ),
        why,
    )


def _fill_less(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    filled = fill_share(record)
    if filled is None:
        return None
    kg, share = filled
    less = kg - kg / share
    if less <= record.batch.plan.scale_step:
        return None
    line = show_length(0.006, record.batch.plan.units)
    return _Sized(
        tr(
            "Pour {mass} less into {letter}, and top up to {line} below the first line.",
            mass=_mass(record, less),
            letter=record.letter,
            line=line,
        ),
        tr("It holds so much more than was planned."),
    )


def _less_scent(record: CandleRecord, _fault: Fault, base: Plan) -> _Sized | None:
    loads = [
        base.layers[layer].scent_load
        if (weighed := dosed_load(record.batch, layer, "scent")) is None
        else weighed
        for layer in record.layers
    ]
    load, wanted = max(loads, default=0.0), round(LESS_SCENT * scent_held(record), 3)
    if load <= wanted:
        return None

    def lighter(layer: Layer) -> Layer:
        return msgspec.structs.replace(layer, scent_load=min(layer.scent_load, wanted))

    typed = {key: text for key, text in base.typed.items() if not key.endswith("scent_load")}
    plan = msgspec.structs.replace(base, layers=tuple(map(lighter, base.layers)), typed=typed)
    says = tr("Take {share} scent instead of {share2}.", share=show_share(wanted), share2=show_share(load))
    return _Sized(says, tr("That is {share} of what this wax holds.", share=show_share(LESS_SCENT)), plan)


def _less_dye(record: CandleRecord, _fault: Fault, base: Plan) -> _Sized | None:
    load = max((base.layers[layer].dye_load for layer in record.layers), default=0.0)
    if load <= 0:
        return None
    layers = tuple(msgspec.structs.replace(layer, dye_load=layer.dye_load / 2) for layer in base.layers)
    typed = {key: text for key, text in base.typed.items() if not key.endswith("dye_load")}
    plan = msgspec.structs.replace(base, layers=layers, typed=typed)
    return _Sized(
        tr("Take {share} dye instead of {share2}.", share=show_share(load / 2), share2=show_share(load)),
        "",
        plan,
    )


# -- which wick ---------------------------------------------------------------------------------------


def _wick(steps: int) -> Callable[[CandleRecord, Fault, Plan], _Sized | None]:
    def size(record: CandleRecord, _fault: Fault, base: Plan) -> _Sized | None:
        plan = record.batch.plan
        chosen = chosen_wick(plan, record.mould)
        start = wicks_of(plan)[plan.moulds.index(record.mould)].plies
        plies = plies_in(chosen) or start[0 if steps > 0 else 1]
        wanted = [ply for ply in PLIES if (ply > plies if steps > 0 else ply < plies)]
        if not wanted:
            return None
        ply = wanted[0] if steps > 0 else wanted[-1]
        words = (
            re.sub(r"\d{1,3}\s*-?\s*pl(?:y|ies)\b", f"{ply} ply", chosen)
            if plies_in(chosen)
            else tr("flat braid, {ply} ply", ply=ply)
        )
        was = chosen or tr("{plies} ply", plies=plies)
        says = tr(
            "Give {letter} a wick of {ply} ply instead of {was}: one size {steps}, and nothing else.",
            letter=record.letter,
            ply=ply,
            was=was,
            steps=tr("up") if steps > 0 else tr("down"),
        )
        return _Sized(says, "", change_mould(base, record.letter, wick=words))

    return size


def _holes(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    heat = record.heat
    if heat is None:
        return None
    layers = [pour for pour in record.mould_state.pours if pour.part == "layer"]
    opened = len(record.mould_state.relieved_at)
    liquid = heat.cold_s
    if not layers or liquid is None:
        return None
    times = 3 if opened < 3 else opened + 1
    return _Sized(
        tr('Open 2 to 4 holes beside the wick of {letter} {times} times, each time a skin has formed, and not {opened}.', letter=record.letter, times=times, opened=opened or tr('never'))
        if opened else tr('Open 2 to 4 holes beside the wick of {letter} each time a skin has formed, three times at least.', letter=record.letter)
    )  # fmt: skip


# -- how long, and the rest -----------------------------------------------------------------------------


def _cure(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    candle = record.candle
    if candle is None or not candle.life.burns:
        return None
    age = min(candle.age_days(burn.lit_at) for burn in candle.life.burns)
    return _Sized(
        tr(
            "Let {letter} cure for {days} before it is burned, instead of {days2}.",
            letter=record.letter,
            days=days(candle.cure.test_from),
            days2=days(age),
        ),
        candle.cure.why[0].upper() + candle.cure.why[1:] + ".",
    )


def _longer_burns(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    candle = record.candle
    burns = [] if candle is None else [burn for burn in candle.life.burns if burn.ended_at is not None]
    if candle is None or not burns:
        return None
    longest = max((burn.ended_at or burn.lit_at) - burn.lit_at for burn in burns)
    wanted = min(4 * HOUR, candle.width / AN_HOUR_EACH * HOUR)
    if wanted <= longest + 300:
        return None
    return _Sized(
        tr(
            "Burn {letter} for {span} each time, instead of {span2}.",
            letter=record.letter,
            span=span(wanted),
            span2=span(longest),
        )
    )


def _longer_in_mould(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    heat, state = record.heat, record.mould_state
    if heat is None or heat.cold_s is None or state.demoulded_at is None:
        return None
    last = max(pour.t for pour in state.pours)
    needed, stood = heat.first_pour_t + heat.cold_s - last, state.demoulded_at - last
    if needed <= stood:
        return None
    return _Sized(
        tr(
            "Leave {letter} in its mould for {span} after the last pour, instead of {span2}.",
            letter=record.letter,
            span=span(needed),
            span2=span(stood),
        ),
        tr("By then it is as cold as the room, as computed."),
    )


def _shorter_trim(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    candle = record.candle
    trims = (
        [] if candle is None else [burn.before.trimmed for burn in candle.life.burns if burn.before.trimmed]
    )
    if not trims or max(trims) <= 0.006:
        return None
    units = record.batch.plan.units
    return _Sized(
        tr(
            "Trim the wick to {length} before each burn, instead of {length2}.",
            length=show_length(0.006, units),
            length2=show_length(max(trims), units),
        )
    )


def _warmer_room(record: CandleRecord, _fault: Fault, _base: Plan) -> _Sized | None:
    read = [r.celsius for r in record.batch.readings if r.place == "room" and not r.doubt]
    if not read or min(read) >= 18:
        return None
    return _Sized(
        tr(
            "Let it cool in still air at {degrees} to {degrees2}, instead of {degrees3}.",
            degrees=_degrees(record, 18),
            degrees2=_degrees(record, 25),
            degrees3=_degrees(record, min(read)),
        )
    )


_SIZES: dict[str, Callable[[CandleRecord, Fault, Plan], _Sized | None]] = {
    "poured cool": _hotter,
    "poured hot": _cooler,
    "mould limit": _cooler,
    "poured late": _earlier,
    "poured early": _later,
    "cold mould": _warm,
    "glass cold": _warm,
    "thermometer": _thermometer,
    "topped early": _top_later,
    "topped little": _top_more,
    "topped cool": _hotter_top_up,
    "no holes": _holes,
    "overfilled": _fill_less,
    "scent over": _less_scent,
    "dye heavy": _less_dye,
    "lot": _lot,
    "wick small": _wick(1),
    "wick large": _wick(-1),
    "hard wax": _wick(1),
    "wick long": _shorter_trim,
    "young": _cure,
    "short burns": _longer_burns,
    "out early": _longer_in_mould,
    "cold place": _warmer_room,
}
"""How the size of a change is computed, by its cause; the others go by the table's own words."""
