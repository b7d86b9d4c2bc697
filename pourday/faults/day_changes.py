"""How much more or less of what went into a mould, and how its candle has to be looked after there, by the cause of the fault."""

from __future__ import annotations

import msgspec

from pourday.faults.day_evidence import fill_share, scent_held
from pourday.faults.record import CandleRecord
from pourday.faults.sized_change import ChangeSize, SizedChange, degrees
from pourday.faults.table import Fault
from pourday.language import tr
from pourday.plan.model import Layer, Plan
from pourday.session.repeat import dosed_load
from pourday.times import span
from pourday.units import show_length, show_mass, show_share

LESS_SCENT = 0.8
"""Share of what the wax holds that a lighter load goes to: estimate."""


def _mass(record: CandleRecord, kg: float) -> str:
    """A weight in the units and steps of the plan."""
    return show_mass(kg, record.batch.plan.units, record.batch.plan.scale_step)


def _top_more(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A larger top-up: what the plan kept back for it, or what was missing as computed."""
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
    return SizedChange(
        tr(
            "Top {letter} up with {more} more, {whole} in all.",
            letter=record.letter,
            more=_mass(record, more),
            whole=_mass(record, sum(kgs) + more),
        ),
        why,
    )


def _fill_less(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """Less wax into a mould that was overfilled."""
    filled = fill_share(record)
    if filled is None:
        return None
    kg, share = filled
    less = kg - kg / share
    if less <= record.batch.plan.scale_step:
        return None
    line = show_length(0.006, record.batch.plan.units)
    return SizedChange(
        tr(
            "Pour {mass} less into {letter}, and top up to {line} below the first line.",
            mass=_mass(record, less),
            letter=record.letter,
            line=line,
        ),
        tr("It holds so much more than was planned."),
    )


def _less_scent(record: CandleRecord, _fault: Fault, base: Plan) -> SizedChange | None:
    """A lighter load of scent, well below what the wax holds."""
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
    says = tr("Take {wanted} scent instead of {before}.", wanted=show_share(wanted), before=show_share(load))
    return SizedChange(
        says, tr("That is {share} of what this wax holds.", share=show_share(LESS_SCENT)), plan
    )


def _less_dye(record: CandleRecord, _fault: Fault, base: Plan) -> SizedChange | None:
    """Half of the dye."""
    load = max((base.layers[layer].dye_load for layer in record.layers), default=0.0)
    if load <= 0:
        return None
    layers = tuple(msgspec.structs.replace(layer, dye_load=layer.dye_load / 2) for layer in base.layers)
    typed = {key: text for key, text in base.typed.items() if not key.endswith("dye_load")}
    plan = msgspec.structs.replace(base, layers=layers, typed=typed)
    return SizedChange(
        tr("Take {wanted} dye instead of {before}.", wanted=show_share(load / 2), before=show_share(load)),
        "",
        plan,
    )


def _holes(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """Relief holes, opened more often than they were."""
    heat = record.heat
    if heat is None:
        return None
    layers = [pour for pour in record.mould_state.pours if pour.part == "layer"]
    opened = len(record.mould_state.relieved_at)
    liquid = heat.cold_s
    if not layers or liquid is None:
        return None
    times = 3 if opened < 3 else opened + 1
    return SizedChange(
        tr('Open 2 to 4 holes beside the wick of {letter} {times} times, each time a skin has formed, and not {opened}.', letter=record.letter, times=times, opened=opened or tr('never'))
        if opened else tr('Open 2 to 4 holes beside the wick of {letter} each time a skin has formed, three times at least.', letter=record.letter)
    )  # fmt: skip


def _longer_in_mould(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A longer stand in the mould: until the candle is as cold as its room."""
    heat, state = record.heat, record.mould_state
    if heat is None or heat.cold_s is None or state.demoulded_at is None:
        return None
    last = max(pour.t for pour in state.pours)
    needed, stood = heat.first_pour_t + heat.cold_s - last, state.demoulded_at - last
    if needed <= stood:
        return None
    return SizedChange(
        tr(
            "Leave {letter} in its mould for {wanted} after the last pour, instead of {before}.",
            letter=record.letter,
            wanted=span(needed),
            before=span(stood),
        ),
        tr("By then it is as cold as the room, as computed."),
    )


def _warmer_room(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A warmer, still place to cool in, for a day in a cold room."""
    read = [r.celsius for r in record.batch.readings if r.place == "room" and not r.doubt]
    if not read or min(read) >= 18:
        return None
    return SizedChange(
        tr(
            "Let it cool in still air at {least} to {most}, instead of {before}.",
            least=degrees(record, 18),
            most=degrees(record, 25),
            before=degrees(record, min(read)),
        )
    )


DAY_CHANGES: dict[str, ChangeSize] = {
    "topped little": _top_more,
    "no holes": _holes,
    "overfilled": _fill_less,
    "scent over": _less_scent,
    "dye heavy": _less_dye,
    "out early": _longer_in_mould,
    "cold place": _warmer_room,
}
"""By cause: how the size of its change is computed."""
