"""Cases written from the trade's own accounts of what goes wrong, each as a maker's record of it would be.

The first cause of each is what practitioners say of it (common practice, no source); none was made from the weights.
"""

from __future__ import annotations

from collections.abc import Callable

from pourday.faults.record import CandleRecord, EarlierDay
from pourday.plan.model import BlendPart, Layer
from pourday.session import events as ev
from tests.faults.days import DAY, START, WrittenDay, pillar

USUAL = 85.0
"""°C at which pillar paraffin goes into bright metal in a room of 20 °C, by the program's own table."""
WAIT = 110.0
"""Minutes from one layer to the next that suit this pillar."""


def usual_day(
    day: WrittenDay,
    *,
    lip: float | None = USUAL,
    wait: float = WAIT,
    cue: ev.Cue | None = "firm",
    rust: float | None = None,
) -> WrittenDay:
    """Plug, rust, cream after so many minutes; the second at this temperature at the lip."""
    plug = day.sheet.plug("A")
    assert plug is not None
    day.tell(ev.Prepared(item="wick", mark="done"), ev.Prepared(item="level", mark="done"), at=0)
    day.tell(ev.Poured(mould="A", layer=0, part="plug", kg=plug.kg, planned_kg=plug.kg, celsius=80.0), at=30)
    day.tell(ev.SealSeen(mould="A", weeps=False), at=44)
    day.pour(0, 45, USUAL if rust is None else rust)
    if cue is not None:
        day.tell(ev.Looked(mould="A", cue=cue), at=45 + wait - 2)
    return day.pour(1, 45 + wait, lip)


def topped(
    day: WrittenDay, *, after: float = 240.0, share: float = 1.0, celsius: float | None = 87.0
) -> WrittenDay:
    """Holes, one top-up so many minutes after the last layer, and out the next morning."""
    last = day.at
    day.tell(ev.Relieved(mould="A"), at=last + min(after, 60.0) - 5)
    if after > 120:
        day.tell(ev.Relieved(mould="A"), at=last + after - 5)
    day.top_up(last + after, share, celsius)
    return day.out(24 * 60.0)


def cold_second_pour() -> CandleRecord:
    return topped(usual_day(WrittenDay(), lip=68.0)).record()


def second_pour_hours_late() -> CandleRecord:
    return topped(usual_day(WrittenDay(), wait=320.0, cue="pulled away")).record()


def thermometer_over_the_boil() -> CandleRecord:
    day = WrittenDay()
    day.tell(ev.Reading(place="bath", celsius=106.0), at=20)
    return topped(usual_day(day)).record()


def new_sack() -> CandleRecord:
    day = WrittenDay(pillar(blend=(BlendPart(wax="paraffin_pillar", lot="sack 2"),)))
    day.tell(ev.Reading(place="bath", celsius=99.0), at=20)
    day.tell(ev.Reading(place="room", celsius=20.0), at=21).tell(
        ev.Reading(place="room", celsius=20.5), at=150
    )
    before = (EarlierDay("2026-02-20-a", START - 15 * DAY, {"paraffin_pillar": "sack 1"}),)
    return topped(usual_day(day)).record(earlier=before)


def poured_onto_wet_wax() -> CandleRecord:
    return topped(usual_day(WrittenDay(), wait=14.0, cue="wet")).record()


def run_down_behind() -> CandleRecord:
    return topped(usual_day(WrittenDay(), wait=400.0, cue="pulled away")).record()


def ice_cold_mould() -> CandleRecord:
    day = WrittenDay()
    day.tell(ev.Reading(place="room", celsius=14.0), at=28)
    day.tell(ev.Reading(place="surface", celsius=6.0, mould="A", means="infrared"), at=29)
    return topped(usual_day(day)).record()


def cool_first_pour() -> CandleRecord:
    return topped(usual_day(WrittenDay(), rust=69.0)).record()


def topped_up_after_half_an_hour() -> CandleRecord:
    return topped(usual_day(WrittenDay()), after=35.0).record()


def half_a_top_up() -> CandleRecord:
    return topped(usual_day(WrittenDay()), share=0.4).record()


def over_the_line() -> CandleRecord:
    return topped(usual_day(WrittenDay()), share=2.2).record()


def nine_percent_scent() -> CandleRecord:
    layers = (Layer(colour="rust", scent_load=0.09), Layer(colour="cream", scent_load=0.09))
    return topped(usual_day(WrittenDay(pillar(layers=layers)))).record()


def garage_in_winter() -> CandleRecord:
    day = WrittenDay(pillar(room_c=11.0))
    day.tell(ev.Reading(place="room", celsius=11.0), at=10)
    return topped(usual_day(day).tell(ev.Reading(place="room", celsius=11.5), at=200)).record()


def thin_wick() -> CandleRecord:
    day = topped(usual_day(WrittenDay(pillar(wick="flat braid, 18 ply"))))
    lit = ev.CandleLit(mould="A", trimmed=0.006, draught="none")
    day.burned(5, 4, lit, across=0.024, across_other=0.025, flame=0.012, wall=0.023, mushroom=False)
    return day.burned(6, 4, lit, across=0.025, across_other=0.024, flame=0.012, wall=0.023).record()


def thick_wick() -> CandleRecord:
    day = topped(usual_day(WrittenDay(pillar(wick="flat braid, 60 ply"))))
    lit = ev.CandleLit(mould="A", trimmed=0.006, draught="none")
    return day.burned(
        5, 4, lit, across=0.069, across_other=0.07, flame=0.062, wall=0.001, mushroom=True
    ).record()


def an_hour_each_evening() -> CandleRecord:
    day = topped(usual_day(WrittenDay()))
    lit = ev.CandleLit(mould="A", trimmed=0.006, draught="none")
    for age in (5, 6, 7):
        day.burned(age, 1.0, lit, across=0.025, across_other=0.025, flame=0.025)
    return day.record()


def water_in_the_pot() -> CandleRecord:
    day = WrittenDay()
    day.tell(ev.RescueChosen(card="water in wax", option="settle", mould=""), at=25)
    return topped(usual_day(day)).burned(5, 1.0).record()


def out_after_three_hours() -> CandleRecord:
    day = topped(usual_day(WrittenDay()), after=60)
    day.entries.pop()
    poured = max(pour.t for pour in day.state.moulds["A"].pours)
    return day.out((poured - day.start) / 60 + 120, release="needed a tap").record()


def hole_not_cleaned() -> CandleRecord:
    day = WrittenDay()
    day.tell(ev.Prepared(item="seal", mark="waived"))
    day = usual_day(day)
    return topped(day.tell(ev.SealSeen(mould="A", weeps=True), at=day.at)).record()


def burned_the_next_morning() -> CandleRecord:
    soy = (BlendPart(wax="soy_pillar"),)
    day = topped(usual_day(WrittenDay(pillar(blend=soy)), lip=72.0, rust=72.0))
    lit = ev.CandleLit(mould="A", trimmed=0.006, draught="none")
    return day.burned(2, 4, lit, across=0.055, across_other=0.056, flame=0.03, wall=0.007).record()


def fan_over_the_table() -> CandleRecord:
    day = topped(usual_day(WrittenDay()))
    lit = ev.CandleLit(mould="A", trimmed=0.006, draught="some")
    return day.burned(
        6, 4, lit, across=0.060, across_other=0.045, flame=0.04, wall=0.006, soot="wisps"
    ).record()


CASES: dict[str, tuple[str, Callable[[], CandleRecord], str]] = {
    "cold second pour": ("join split", cold_second_pour, "poured cool"),
    "second pour hours late": ("join split", second_pour_hours_late, "poured late"),
    "thermometer over the boil": ("join split", thermometer_over_the_boil, "thermometer"),
    "a new sack": ("join split", new_sack, "lot"),
    "poured onto wet wax": ("smeared join", poured_onto_wet_wax, "poured early"),
    "wax ran down behind": ("wax behind a layer", run_down_behind, "poured late"),
    "ice-cold mould": ("rings", ice_cold_mould, "cold mould"),
    "cool first pour": ("rings", cool_first_pour, "poured cool"),
    "topped up after half an hour": ("hollow", topped_up_after_half_an_hour, "topped early"),
    "half a top-up": ("sunk base", half_a_top_up, "topped little"),
    "over the line": ("collar", over_the_line, "overfilled"),
    "nine per cent scent": ("greasy skin", nine_percent_scent, "scent over"),
    "garage in winter": ("web cracks", garage_in_winter, "cold place"),
    "thin wick": ("tunnelling", thin_wick, "wick small"),
    "thick wick": ("mushrooming", thick_wick, "wick large"),
    "an hour each evening": ("tunnelling", an_hour_each_evening, "short burns"),
    "water in the pot": ("spitting", water_in_the_pot, "water"),
    "out after three hours": ("torn skin", out_after_three_hours, "out early"),
    "hole not cleaned": ("leak at the wick hole", hole_not_cleaned, "dirty seal"),
    "burned the next morning": ("weak scent", burned_the_next_morning, "young"),
    "fan over the table": ("sooting", fan_over_the_table, "burn draught"),
}
"""By name: the fault that is seen, the record, and the cause that practitioners give."""
