"""How much hotter, cooler, earlier or later a pour has to be, by the cause of the fault: computed where the heat of the
day can be, else as the trade does it.
"""

from __future__ import annotations

import msgspec

from pourday.faults.day_evidence import MISREADS
from pourday.faults.heat import LIQUID_ENOUGH
from pourday.faults.heat_evidence import layer_name, off_usual, seam_about, usual_c, usual_window
from pourday.faults.record import CandleRecord
from pourday.faults.sized_change import ChangeSize, SizedChange, degrees
from pourday.faults.table import Fault
from pourday.forecast.fuse import LIMITS
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.plan.water import boiling_c
from pourday.session.mould import PourAt
from pourday.times import span
from pourday.units import show_difference, show_share

WARM_MOULD = 45.0
"""°C a mould is warmed to (common practice, no source: 38-50 °C)."""
LOT_APART = 3.0
"""K that two lots of one wax can differ by in their melting point, twice what the wax table says of one."""
ENOUGH_MORE = 1.5
"""K under which a difference of the pour is not worth asking for. Estimate."""


def _name(record: CandleRecord, pour: PourAt) -> str:
    """`the cream into B`."""
    top = tr("the top-up of ") if pour.part == "top-up" else ""
    return tr(
        "{top}{layer_name} into {letter}", top=top, layer_name=layer_name(record, pour), letter=record.letter
    )


def _pour_at(record: CandleRecord, pour: PourAt, next_c: float, was_c: float) -> str:
    """At what temperature, °C, to pour next time instead of as it was."""
    return tr(
        "Pour {name} at {wanted} instead of {before}.",
        name=_name(record, pour),
        wanted=degrees(record, next_c),
        before=degrees(record, was_c),
    )


def _most_c(record: CandleRecord, pour: PourAt) -> float:
    """The hottest this pour may be, °C."""
    wax = record.waxes[min(pour.layer, len(record.waxes) - 1)]
    limit = record.mould.limit_c
    return min(wax.pour_max_c, limit if limit is not None else 400.0, record.sheet.ceiling_c - 1)


def _hotter(record: CandleRecord, fault: Fault, base: Plan) -> SizedChange | None:
    """A hotter pour: for a weak seam the temperature that melts its edge, else the usual one."""
    off = off_usual(record, fault.about)
    if fault.about == "seam" and (computed := _weld_c(record)) is not None:
        return _welding_pour(record, base, *computed)
    if off is None:
        return None
    pour, celsius, _ = off
    usual = usual_c(record, pour)
    if usual <= celsius + ENOUGH_MORE:
        return None
    says = _pour_at(record, pour, usual, celsius)
    plan = None if pour.part == "top-up" else _poured_at(base, usual)
    return SizedChange(says, tr("That is what this wax is usually poured at in this mould and room."), plan)


def _poured_at(base: Plan, celsius: float) -> Plan:
    """The plan with every pour at this temperature, °C, to the degree."""
    typed = {key: text for key, text in base.typed.items() if key != "pour_c"}
    return msgspec.structs.replace(base, pour_c=float(round(celsius)), typed=typed)


def _weld_c(record: CandleRecord) -> tuple[PourAt, float, float, float] | None:
    """(pour, °C it had, °C at which the edge of its seam melts, °C the seam then comes to) of the weakest seam.

    None where no temperature that wax and mould stand would melt it, or where it melted anyway.
    """
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
) -> SizedChange:
    """A hotter pour with what its seam comes to."""
    says = _pour_at(record, pour, wanted_c, was_c)
    seam = seam_about(record)
    assert seam is not None
    now = degrees(record, seam.seam_c(was_c))
    why = tr(
        "As computed the join then comes to {comes} at the edge, where it came to {came}; the old wax melts at {melts}.",
        comes=degrees(record, comes_c),
        came=now,
        melts=degrees(record, seam.melts_c),
    )
    return SizedChange(says, why, _poured_at(base, wanted_c))


def _cooler(record: CandleRecord, fault: Fault, base: Plan) -> SizedChange | None:
    """A cooler pour: the usual one, or 5 K less where it was hardly hotter than usual."""
    off = off_usual(record, fault.about)
    if off is None:
        return None
    pour, celsius, kelvin = off
    wanted = usual_c(record, pour) if kelvin > ENOUGH_MORE else celsius - 5.0
    says = _pour_at(record, pour, wanted, celsius)
    return SizedChange(says, "", None if pour.part == "top-up" else _poured_at(base, wanted))


def _hotter_top_up(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A hotter top-up, as far as mould and wax allow."""
    off = off_usual(record, "top-up")
    if off is None:
        return None
    pour, celsius, _ = off
    wanted = min(usual_c(record, pour), _most_c(record, pour))
    if wanted <= celsius + ENOUGH_MORE:
        return None
    return SizedChange(_pour_at(record, pour, wanted, celsius))


def _lot(record: CandleRecord, fault: Fault, base: Plan) -> SizedChange | None:
    """A curve of this lot, and a hotter pour: a lot may melt a few kelvin higher than another."""
    off = off_usual(record, fault.about)
    if fault.about in ("any", "burn") or off is None:
        return None
    pour, celsius, _ = off
    wanted = min(celsius + LOT_APART, _most_c(record, pour))
    if wanted <= celsius + ENOUGH_MORE:
        return None
    says = tr(
        "Take a cooling curve of this lot, and pour {name} at {wanted} instead of {before}.",
        name=_name(record, pour),
        wanted=degrees(record, wanted),
        before=degrees(record, celsius),
    )
    why = tr(
        "Two lots of one wax can set {difference} apart.", difference=show_difference(LOT_APART, base.units)
    )
    return SizedChange(says, why, None if pour.part == "top-up" else _poured_at(base, wanted))


def _thermometer(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A thermometer that was found off is allowed for; one that was never checked is checked first."""
    plan = record.batch.plan
    boils = boiling_c(plan.altitude)
    off = max((check.read_c - check.should_c for check in record.batch.equipped.checks), default=0.0)
    if off > MISREADS:
        shown = show_difference(off, plan.units, 1)
        return SizedChange(
            tr("Pour {shown} hotter by this thermometer, or take one that reads right.", shown=shown),
            tr("That is how far it was off, in ice or in boiling water."),
        )
    highest = max(
        (r.celsius for r in record.batch.readings if r.place in ("bath", "pot", "jug")), default=0.0
    )
    says = tr(
        "Hold the thermometer in boiling water before the next pour: it should show {degrees} here, and {freezes} in ice water.",
        degrees=degrees(record, boils),
        freezes=degrees(record, 0.0),
    )
    if highest > boils + 1:
        shown = show_difference(highest - boils, plan.units)
        return SizedChange(
            tr("{says} Until then pour {shown} hotter by it.", says=says, shown=shown),
            tr(
                "It showed {read} where water boils at {boils}.",
                read=degrees(record, highest),
                boils=degrees(record, boils),
            ),
        )
    return SizedChange(says)


def _warm(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A mould that is warmed before its first pour."""
    first = min(pour.t for pour in record.mould_state.pours)
    wall = [
        r.celsius
        for r in record.batch.readings
        if r.place == "surface" and r.mould == record.letter and r.t <= first
    ]
    was = tr(" instead of {degrees}", degrees=degrees(record, wall[-1])) if wall else ""
    vessel = tr("the glass") if record.mould.stays else tr("the mould")
    return SizedChange(
        tr(
            "Warm {thing} of {letter} to {degrees} before the first pour{was}.",
            thing=vessel,
            letter=record.letter,
            degrees=degrees(record, WARM_MOULD),
            was=was,
        )
    )


def _earlier(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """An earlier pour onto the layer below, well within the window it missed."""
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
        "Pour {name} {sooner} earlier, {wait} after the layer below it.",
        name=_name(record, seam.pour),
        sooner=span(at - wanted),
        wait=span(wanted - below),
    )
    return SizedChange(
        says, tr("As computed its window closed {span} before it was poured.", span=span(at - closes))
    )


def _later(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A later pour onto the layer below, once that carries it."""
    seam = seam_about(record, deep=True)
    if seam is None or seam.window.opens_s is None or seam.window.opens_s <= seam.into.at_s:
        return None
    below = seam.run.case.pours[-1].at_s
    wanted = seam.window.best_s or seam.window.opens_s
    says = tr(
        "Pour {name} {later} later, {wait} after the layer below it.",
        name=_name(record, seam.pour),
        later=span(wanted - seam.into.at_s),
        wait=span(wanted - below),
    )
    return SizedChange(
        says,
        tr(
            "As computed the surface carried it {span} after it was poured.",
            span=span(seam.window.opens_s - seam.into.at_s),
        ),
    )


def _top_later(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A later last top-up, once little of the wax is liquid."""
    heat = record.heat
    if heat is None or heat.top_up is None or heat.top_up.calm_s is None:
        return None
    at = heat.top_up.pour.t - heat.first_pour_t
    if heat.top_up.calm_s <= at + 300:
        return None
    layers = [pour.t - heat.first_pour_t for pour in record.mould_state.pours if pour.part == "layer"]
    after = heat.top_up.calm_s - max(layers)
    says = tr(
        "Make the last top-up of {letter} {later} later, {wait} after its last layer.",
        letter=record.letter,
        later=span(heat.top_up.calm_s - at),
        wait=span(after),
    )
    return SizedChange(
        says,
        tr(
            "As computed {was} was still liquid when it was made; by then no more than {most} is.",
            was=show_share(round(heat.top_up.liquid, 2)),
            most=show_share(LIQUID_ENOUGH),
        ),
    )


HEAT_CHANGES: dict[str, ChangeSize] = {
    "poured cool": _hotter,
    "poured hot": _cooler,
    "mould limit": _cooler,
    "poured late": _earlier,
    "poured early": _later,
    "cold mould": _warm,
    "glass cold": _warm,
    "thermometer": _thermometer,
    "topped early": _top_later,
    "topped cool": _hotter_top_up,
    "lot": _lot,
}
"""By cause: how the size of its change is computed."""
