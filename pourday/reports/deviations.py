"""What did not go as planned, found in the record itself: each with what was planned, what came, and how it came out.

Only what was told can be found; what nobody read or weighed is counted by `untold`, and is no deviation.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pourday.errors import Trouble
from pourday.guide.acts.pour_heat import COLD_BY, PLUG_KINDER, READS_TO
from pourday.guide.outlook.moulds import WELD, planned_c
from pourday.language import tr, word
from pourday.plan.bench import bench
from pourday.plan.weigh import WeighSheet, waxes_of, weigh_sheet
from pourday.session import events as ev
from pourday.session.act_id import read_act_id
from pourday.session.alarm_words import ALARM_WORDS
from pourday.session.clock import on_newest_clock
from pourday.session.describe import say_fact, say_left_out
from pourday.session.events import Entry
from pourday.session.fold import effective, fold
from pourday.session.mould import MouldState, PourAt
from pourday.session.sequence import remaining_pours
from pourday.session.state import State
from pourday.times import MINUTE, clock, span
from pourday.units import show_mass, show_temperature

Kind = Literal[
    "heat at the lip",
    "ceiling",
    "window",
    "weight",
    "hollow",
    "alarm",
    "gap",
    "clock",
    "doubt",
    "left out",
    "wrong colour",
    "lost wax",
    "rescue",
]
WEIGHT_OFF = 0.03
"""Share of the planned weight from which on a weight is off, if the scale shows it (common practice, no source)."""
UNHEARD = 5 * MINUTE
"""s for which an alarm may ring before somebody does or says anything. An estimate of ours."""
UNSEEN = 15 * MINUTE
"""s that the program may be closed while wax is hot or still to be poured before that is a gap. An estimate of ours."""


@dataclass(frozen=True, slots=True)
class Deviation:
    """One thing that did not go as planned. Texts are plain words; empty where there is nothing to say."""

    kind: Kind
    seq: int
    """Number of the entry that shows it; 0 for what shows only in the record as a whole."""
    t: float
    """Seconds since the epoch, UTC, on the newest clock."""
    what: str
    planned: str
    actual: str
    done: str = ""
    came: str = ""


def say_deviation(one: Deviation) -> str:
    """One deviation as a line: what, planned, actual, what was done, how it came out."""
    planned = tr(", planned {planned}", planned=one.planned) if one.planned else ""
    done = tr("; done: {done}", done=one.done) if one.done else ""
    came = tr("; came out: {came}", came=one.came) if one.came else ""
    return f"{clock(one.t)} {one.what}: {one.actual}{planned}{done}{came}"


def deviations(state: State, entries: Sequence[Entry]) -> list[Deviation]:
    """Every deviation of a session in order of time; `state` is what all `entries` amount to.

    Of a plan that cannot be weighed out, only those that need no weigh sheet.
    """
    counted = effective(on_newest_clock(entries))
    deviating = [
        *_alarms(counted),
        *_gaps(counted, entries),
        *_doubts(state, counted),
        *_said(state, counted),
    ]
    try:
        sheet = weigh_sheet(state.plan)
    except Trouble:
        sheet = None
    deviating += _windows(state, counted)
    deviating += _weights(state, sheet)
    deviating += _doses(state)
    deviating += _unfilled(state)
    if sheet is not None:
        deviating += [*_at_the_lip(state, sheet), *_ceiling(state, sheet)]
    return sorted(deviating, key=lambda one: (one.t, one.seq))


def untold(state: State) -> str:
    """How many pours have no weight or no temperature on record, as a sentence; empty where all have both."""
    pours = [pour for mould in state.moulds.values() for pour in mould.pours]
    parts = [
        tr("{what} of {some} of {all} pours", what=what, some=count, all=len(pours))
        for what, count in (
            (tr("the weight"), sum(pour.kg is None for pour in pours)),
            (tr("the temperature"), sum(state.lip_c(pour) is None for pour in pours)),
        )
        if count
    ]
    return tr("Not noted: {parts}.", parts=", ".join(parts)) if parts else ""


def _mass(state: State, kg: float) -> str:
    return show_mass(kg, state.plan.units, state.plan.scale_step)


def _degrees(state: State, celsius: float) -> str:
    return show_temperature(celsius, state.plan.units, 1)


def _pour_name(state: State, letter: str, pour: PourAt) -> str:
    """`A layer cream`."""
    layers = state.plan.layers
    named = layers[pour.layer].colour if 0 <= pour.layer < len(layers) else ""
    return f"{letter} {word(pour.part)} {named or tr('layer {layer}', layer=pour.layer + 1)}"


_RELEASED: dict[ev.Release, str] = {
    "dropped out": tr("it dropped out of its mould"),
    "needed a tap": tr("it needed a tap to come out"),
    "stuck": tr("it stuck in its mould"),
}


def _of_candle(state: State, mould: MouldState) -> str:
    """How the candle of a mould came out, as far as it was told."""
    weight = (
        "" if mould.candle_kg is None else tr("the candle weighed {mass}", mass=_mass(state, mould.candle_kg))
    )
    release = "" if mould.release is None else _RELEASED[mould.release]
    return ", ".join(part for part in (weight, release) if part)


def _at_the_lip(state: State, sheet: WeighSheet) -> Iterator[Deviation]:
    """Pours that were read hotter than wax or mould takes, or colder than rings and weak seams begin."""
    standing = {each.letter: each.mould for each in bench(state.plan)}
    waxes = waxes_of(state.plan, sheet.wax)
    for letter, mould in state.moulds.items():
        for pour in mould.pours:
            celsius = state.lip_c(pour)
            if celsius is None or letter not in standing or not 0 <= pour.layer < len(waxes):
                continue
            planned = planned_c(sheet, letter, pour.layer, "top-up" if pour.part == "top-up" else "layer")
            limit = standing[letter].limit_c
            most = max(planned, min(waxes[pour.layer].pour_max_c, limit if limit is not None else 400.0))
            least = planned - COLD_BY - {"plug": PLUG_KINDER, "top-up": WELD, "layer": 0.0}[pour.part]
            if least - READS_TO <= celsius <= most + READS_TO:
                continue
            between = tr(
                "{planned} ({least} to {most} does)",
                planned=_degrees(state, planned),
                least=_degrees(state, least),
                most=_degrees(state, most),
            )
            actual = tr(
                "poured at {degrees}, too {celsius}",
                degrees=_degrees(state, celsius),
                celsius=tr("hot") if celsius > most else tr("cold"),
            )
            name = _pour_name(state, letter, pour)
            yield Deviation(
                "heat at the lip", pour.seq, pour.t, name, between, actual, "", _of_candle(state, mould)
            )


def _ceiling(state: State, sheet: WeighSheet) -> Iterator[Deviation]:
    """Each stretch in which pot or jug was read above the ceiling of the wax: from its first reading to one below."""
    for place in ("pot", "jug"):
        readings = [r for r in state.readings if r.place == place and not r.doubt]
        above = [r.celsius > sheet.ceiling_c for r in readings]
        start = 0
        while start < len(readings):
            if not above[start]:
                start += 1
                continue
            end = next((i for i in range(start, len(readings)) if not above[i]), len(readings))
            first, most = readings[start], max(r.celsius for r in readings[start:end])
            back = readings[end] if end < len(readings) else None
            until = state.last_t if back is None else back.t
            off = next(
                (lit.end for lit in state.burner_spans if lit.end and first.t <= lit.end <= until), None
            )
            yield Deviation(
                "ceiling",
                first.seq,
                first.t,
                tr("hotter than it may get, in the {place}", place=place),
                tr("never above {degrees}", degrees=_degrees(state, sheet.ceiling_c)),
                tr("read up to {degrees}", degrees=_degrees(state, most)),
                "" if off is None else tr("burner off at {clock}", clock=clock(off)),
                tr("not read below it again")
                if back is None
                else tr(
                    "read {degrees} at {clock}", degrees=_degrees(state, back.celsius), clock=clock(back.t)
                ),
            )
            start = end


def _windows(state: State, counted: Sequence[Entry]) -> Iterator[Deviation]:
    """Layers that were poured after their window had closed, by the last word on it before the pour."""
    closes: dict[str, float] = {}
    for entry in counted:
        fact = entry.fact
        if isinstance(fact, ev.Told) and fact.closes is not None and read_act_id(fact.act).what == "pour":
            closes |= dict.fromkeys(fact.moulds, fact.closes.timestamp())
        elif isinstance(fact, ev.Poured):
            end = closes.pop(fact.mould, None)
            if end is None or fact.part != "layer" or entry.t <= end or fact.mould not in state.moulds:
                continue
            mould = state.moulds[fact.mould]
            pour = PourAt(entry.seq, entry.t, fact.layer, fact.part, fact.kg, fact.planned_kg, fact.celsius)
            yield Deviation(
                "window",
                entry.seq,
                entry.t,
                _pour_name(state, fact.mould, pour),
                tr("before {clock}", clock=clock(end, entry.t)),
                tr("poured {span} after its window closed", span=span(entry.t - end)),
                "",
                _of_candle(state, mould),
            )


def is_off(kg: float, planned_kg: float, step: float) -> bool:
    """Whether a weight is off by more than the scale's step and by more than 3 %; kg.

    >>> is_off(0.230, 0.236, 0.001), is_off(0.220, 0.236, 0.001), is_off(0.001, 0.002, 0.001)
    (False, True, False)
    """
    off = abs(kg - planned_kg)
    return off > step * 1.000001 and off > WEIGHT_OFF * planned_kg


def _weights(state: State, sheet: WeighSheet | None) -> Iterator[Deviation]:
    """Pours and candles that weighed other than planned."""
    step = state.plan.scale_step
    finished = {} if sheet is None else {mould.letter: mould.finished for mould in sheet.moulds}
    for letter, mould in state.moulds.items():
        for pour in mould.pours:
            if pour.kg is None or pour.planned_kg is None or not is_off(pour.kg, pour.planned_kg, step):
                continue
            planned, actual = _mass(state, pour.planned_kg), _mass(state, pour.kg)
            name = _pour_name(state, letter, pour)
            yield Deviation("weight", pour.seq, pour.t, name, planned, actual, "", _of_candle(state, mould))
        if (
            mould.candle_kg is not None
            and letter in finished
            and is_off(mould.candle_kg, finished[letter], step)
        ):
            t = mould.demoulded_at or state.last_t
            planned, actual = _mass(state, finished[letter]), _mass(state, mould.candle_kg)
            yield Deviation("weight", 0, t, tr("{letter} candle", letter=letter), planned, actual)


def _doses(state: State) -> Iterator[Deviation]:
    """Wax, scents and dyes of the jugs that weighed other than they were told to be."""
    step = state.plan.scale_step
    layers = state.plan.layers
    for layer, jug in state.jugs.items():
        name = (layers[layer].colour if 0 <= layer < len(layers) else "") or tr(
            "layer {layer}", layer=layer + 1
        )
        if (
            jug.drawn_kg is not None
            and jug.planned_kg is not None
            and is_off(jug.drawn_kg, jug.planned_kg, step)
        ):
            planned, actual = _mass(state, jug.planned_kg), _mass(state, jug.drawn_kg)
            yield Deviation(
                "weight", 0, jug.drawn_at, tr("wax in the jug of {name}", name=name), planned, actual
            )
        for dose in jug.doses:
            kg, planned_kg = dose.fact.kg, dose.fact.planned_kg
            if kg is None or planned_kg is None or not is_off(kg, planned_kg, step):
                continue
            what = tr(
                "{product} in the jug of {name}", product=dose.fact.product or dose.fact.what, name=name
            )
            yield Deviation("weight", dose.seq, dose.t, what, _mass(state, planned_kg), _mass(state, kg))


def _unfilled(state: State) -> Iterator[Deviation]:
    """Moulds that were demoulded, or whose day ended, before all that was planned was in them."""
    for letter, mould in state.moulds.items():
        ended = mould.demoulded_at or state.finished_at
        # What would still have come, had it stayed in its mould.
        coming = next(
            iter(remaining_pours(state.plan, state.waived, replace(mould, demoulded_at=None))), None
        )
        if ended is None or not mould.pours:
            continue
        topped = mould.last_pour is not None and mould.last_pour.part == "top-up"
        if coming is None or (coming.part == "top-up" and topped):
            continue
        what = tr("its hollow filled") if coming.part == "top-up" else tr("all its layers poured")
        came = _of_candle(state, mould)
        yield Deviation(
            "hollow", 0, ended, tr("{letter} was done", letter=letter), what, tr("not on record"), "", came
        )


def _alarms(counted: Sequence[Entry]) -> Iterator[Deviation]:
    """Alarms that rang for long, ended, or rang to the end of the record before a person did or said anything."""
    ringing: dict[str, Entry] = {}
    for entry in counted:
        fact = entry.fact
        if entry.by == "person":
            late = [raised for raised in ringing.values() if entry.t - raised.t > UNHEARD]
            yield from (_unanswered(raised, tr("answered then"), entry.t - raised.t) for raised in late)
            ringing.clear()
        elif isinstance(fact, ev.AlarmRaised):
            ringing[fact.alarm] = entry
        elif isinstance(fact, ev.AlarmEnded) and fact.alarm in ringing:
            raised = ringing.pop(fact.alarm)
            yield _unanswered(raised, tr("ended by itself after {span}", span=span(entry.t - raised.t)))
    for raised in ringing.values():
        yield _unanswered(raised, tr("rang to the end of the record"))


def _unanswered(raised: Entry, came: str, rang: float | None = None) -> Deviation:
    """An alarm to which nobody did anything, or nothing for so many seconds."""
    assert isinstance(raised.fact, ev.AlarmRaised)
    what = tr("alarm {get}", get=ALARM_WORDS.get(raised.fact.alarm, raised.fact.alarm))
    heard = tr("nobody answered") if rang is None else tr("nobody answered for {span}", span=span(rang))
    said = tr("{heard}; on the screen stood “{says}”", heard=heard, says=raised.fact.says)
    return Deviation("alarm", raised.seq, raised.t, what, "", said, "", came)


def _gaps(counted: Sequence[Entry], entries: Sequence[Entry]) -> Iterator[Deviation]:
    """Stretches that nobody watched while wax was hot or still to be poured, and every change of the clock."""
    for entry in counted:
        fact = entry.fact
        if isinstance(fact, ev.GapSeen) and fact.cause == "clock changed":
            way = tr("back") if fact.seconds < 0 else tr("forward")
            yield Deviation(
                "clock",
                entry.seq,
                entry.t,
                tr("the clock"),
                "",
                tr("put {way} by {span}", way=way, span=span(fact.seconds)),
            )
        elif isinstance(fact, ev.GapSeen):
            yield Deviation(
                "gap",
                entry.seq,
                entry.t,
                tr("nothing was seen"),
                "",
                f"{span(fact.seconds)}, {word(fact.cause)}",
            )
        elif isinstance(fact, ev.Reopened) and fact.away > UNSEEN:
            before = fold([each for each in entries if each.seq < entry.seq])
            if before.stage in ("melt", "pour") or before.burner != "off":
                actual = tr("{span}, the program was closed", span=span(fact.away))
                yield Deviation("gap", entry.seq, entry.t, tr("nothing was seen"), "", actual)


def _doubts(state: State, counted: Sequence[Entry]) -> Iterator[Deviation]:
    """Readings and weights that were in doubt when they were filed."""
    for entry in counted:
        fact = entry.fact
        if isinstance(fact, ev.Reading) and fact.doubt:
            actual = tr(
                "{degrees} in the {place}, kept out of the forecast: {doubt}",
                degrees=_degrees(state, fact.celsius),
                place=word(fact.place),
                doubt=fact.doubt,
            )
            yield Deviation("doubt", entry.seq, entry.t, tr("doubtful reading"), "", actual)
        elif isinstance(fact, ev.Weighed) and fact.doubt:
            actual = tr(
                "{mass} for the {what} of {mould}: {doubt}",
                mass=_mass(state, fact.kg),
                what=word(fact.what),
                mould=fact.mould,
                doubt=fact.doubt,
            )
            yield Deviation("doubt", entry.seq, entry.t, tr("doubtful weight"), "", actual)


_WORTH_A_LINE = frozenset({"pour", "top-up", "plug", "jug", "look under", "seal"})
"""Acts that change the candle when they are left out."""


def _said(state: State, counted: Sequence[Entry]) -> Iterator[Deviation]:
    """What a person said went otherwise: acts left out, a wrong colour, wax lost, a seal that weeps, a rescue."""
    for entry in counted:
        fact, says = entry.fact, say_fact(entry.fact, state.plan)
        match fact:
            case ev.Waived() if read_act_id(fact.act).what in _WORTH_A_LINE:
                yield Deviation(
                    "left out", entry.seq, entry.t, word("left out"), "", say_left_out(fact, state.plan)
                )
            case ev.Poured() if fact.instead_of is not None:
                planned = _pour_name(
                    state, fact.mould, PourAt(0, 0.0, fact.instead_of, fact.part, None, None, None)
                )
                yield Deviation("wrong colour", entry.seq, entry.t, tr("another colour"), planned, says)
            case ev.Poured() if fact.share < 1:
                yield Deviation("weight", entry.seq, entry.t, tr("broken off"), "", says)
            case ev.Spilled() | ev.Emptied():
                yield Deviation("lost wax", entry.seq, entry.t, tr("wax out of its place"), "", says)
            case ev.SealSeen() if fact.weeps:
                yield Deviation("lost wax", entry.seq, entry.t, tr("seal"), tr("dry"), says)
            case ev.RescueChosen():
                rescue = next((each for each in state.rescues if each.seq == entry.seq), None)
                ended = rescue.ended if rescue else None
                came = (
                    tr("not noted")
                    if ended is None
                    else f"{ended.came}{f', {ended.says}' if ended.says else ''}"
                )
                yield Deviation(
                    "rescue",
                    entry.seq,
                    entry.t,
                    word(fact.card),
                    "",
                    f"{fact.mould or tr('the stove')}",
                    fact.option,
                    came,
                )
            case _:
                continue
