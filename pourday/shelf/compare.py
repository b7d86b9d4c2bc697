"""Days laid side by side: what each says of the same thing, and where they differ.

Two figures differ where they are written differently: what no scale or thermometer of theirs shows is no difference.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pourday.burn.candle import Candle, try_candles_of
from pourday.burn.rate import burn_rate
from pourday.columns import cells_of, padded
from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.model import BlendPart, Plan
from pourday.plan.sheet_words import shape_words
from pourday.plan.waxes import own_of, parts_of
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.plan.wick import chosen_wick
from pourday.reports.deviations import deviations
from pourday.session import events as ev
from pourday.session.act_id import read_act_id
from pourday.session.candle import CandleState, faults_seen
from pourday.session.clock import on_newest_clock
from pourday.session.events import Entry
from pourday.session.fold import effective
from pourday.session.looks import LOOK_WORDS
from pourday.session.mould import MouldState, PourAt
from pourday.session.state import State
from pourday.shelf.stacks import DayStack, stacks_of
from pourday.times import span
from pourday.units import Units, show_length, show_mass, show_share, show_temperature
from pourday.wax.blend import shares

NOT_TOLD = tr("not noted")
ABSENT = "-"
"""What stands where a day has no such mould, layer or pour."""
MOST = 3
"""Days that can be read side by side."""
OPEN_WAIT = ("look", "pour")


@dataclass(frozen=True, slots=True)
class ComparedDay:
    """One day that is compared: its record, and the record of what became of its candles, where there is one."""

    state: State
    entries: Sequence[Entry]
    log: State | None = None


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One thing and what each day says of it, in words and in the units of the first day."""

    group: str
    label: str
    values: tuple[str, ...]

    @property
    def differs(self) -> bool:
        return len(set(self.values)) > 1


@dataclass(frozen=True, slots=True)
class Comparison:
    """Days side by side, the first one's order of things."""

    sessions: tuple[str, ...]
    rows: tuple[ComparedRow, ...]
    stacks: tuple[tuple[DayStack, ...], ...] = ()
    """What was poured into each mould, a row a day."""

    @property
    def differences(self) -> tuple[ComparedRow, ...]:
        """The rows on which not all days say the same."""
        return tuple(row for row in self.rows if row.differs)


def compare(days: Sequence[ComparedDay]) -> Comparison:
    """Days side by side. Raises `Trouble` for fewer than two or more than three."""
    if not 2 <= len(days) <= MOST:
        raise Trouble(
            tr("{count} cannot be laid side by side.", count=len(days)),
            instead=tr("Choose two days, or three."),
        )
    units = days[0].state.plan.units
    told = [dict(_told(day, units)) for day in days]
    keys = _in_order([list(each) for each in told])
    rows = tuple(
        ComparedRow(group, label, tuple(each.get((group, label), ABSENT) for each in told))
        for group, label in keys
    )
    return Comparison(
        tuple(day.state.session for day in days), rows, tuple(stacks_of(day.state) for day in days)
    )


def _in_order(orders: Sequence[list[tuple[str, str]]]) -> list[tuple[str, str]]:
    """All keys once: in the first one's order, what only others have at the end of its group."""
    groups = list(dict.fromkeys(group for order in orders for group, _ in order))
    every = list(dict.fromkeys(key for order in orders for key in order))
    return [key for group in groups for key in every if key[0] == group]


# -- what one day says ----------------------------------------------------------------------------------

Told = Iterator[tuple[tuple[str, str], str]]
"""((group, label), what it says)."""


def _told(day: ComparedDay, units: Units) -> Told:
    """Everything that is compared of one day."""
    plan = day.state.fixed_plan or day.state.plan
    try:
        sheet = weigh_sheet(plan)
    except Trouble:
        sheet = None
    yield from _wax(plan)
    yield from _layers(plan, units)
    yield from _kitchen(day.state, plan, units)
    candles = {candle.letter: candle for candle in try_candles_of(day.state, day.log)}
    opened = _opened(day.entries)
    for standing in bench(plan):
        group = tr("Candle {letter}", letter=standing.letter)
        yield (group, "mould"), f"{shape_words(standing.mould, plan)}, {standing.mould.material}"
        yield (group, "wick"), chosen_wick(plan, standing.mould) or NOT_TOLD
        state = day.state.moulds.get(standing.letter)
        if state is not None:
            yield from _poured(group, plan, sheet, state, day.state, opened, units)
            yield from _came(group, day, state, candles.get(standing.letter), units)
    yield (tr("How it came out"), "verdict"), day.state.verdict or NOT_TOLD
    off = sorted({each.kind for each in deviations(day.state, day.entries)})
    yield (tr("How it came out"), tr("not as planned")), ", ".join(off) or "nothing"


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


def _wax(plan: Plan) -> Told:
    yield (tr("Wax"), "wax"), _parts(plan.blend, plan)
    yield (tr("Wax"), "lot"), ", ".join(part.lot or NOT_TOLD for part in plan.blend)


def _layers(plan: Plan, units: Units) -> Told:
    for number, layer in enumerate(plan.layers, 1):
        group = tr("Layer {number}", number=number)
        yield (group, "colour"), layer.colour or NOT_TOLD
        if layer.blend:
            yield (group, tr("its own wax")), _parts(layer.blend, plan)
        scents = ", ".join(scent.name for scent in layer.scents)
        yield (group, "scent"), f"{show_share(layer.scent_load)} {scents}".strip()
        yield (
            (group, "dye"),
            f"{show_share(layer.dye_load)} {', '.join(dye.name for dye in layer.dyes)}".strip(),
        )
        yield (
            (group, tr("share of the height")),
            show_share(layer.share / sum(each.share for each in plan.layers)),
        )
    if plan.pour_c is not None:
        yield (tr("Kitchen"), tr("pour asked for")), show_temperature(plan.pour_c, units)


def _kitchen(state: State, plan: Plan, units: Units) -> Told:
    rooms = [reading.celsius for reading in state.readings if reading.place == "room" and not reading.doubt]
    yield (tr("Kitchen"), tr("room planned")), show_temperature(plan.room_c, units)
    low, high = (min(rooms), max(rooms)) if rooms else (0.0, 0.0)
    between = show_temperature(low, units, 1) if low == high else tr('{temperature} to {temperature2}', temperature=show_temperature(low, units, 1), temperature2=show_temperature(high, units, 1))  # fmt: skip
    yield (tr("Kitchen"), tr("room read")), between if rooms else NOT_TOLD
    yield (tr("Kitchen"), "thermometer"), state.equipped.thermometer or NOT_TOLD


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
            "plug": "plug",
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
                (group, tr("{name}: after its window opened", name=name)),
                span(late) if late >= 0 else tr("{span} before", span=span(-late)),
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
    yield (group, "top-ups"), str(tops)


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
    yield (group, tr("came out")), mould.release or NOT_TOLD
    yield (group, tr("candle weighs")), show_mass(kg, units, plan.scale_step) if kg is not None else NOT_TOLD
    if mould.demoulded_at is not None and mould.pours:
        yield (group, tr("hours in its mould")), span(mould.demoulded_at - mould.pours[-1].t)
    blank = CandleState(mould.letter)
    logged = day.log.candles if day.log is not None else {}
    life = logged.get(mould.letter, blank)
    seen = faults_seen(day.state.candles.get(mould.letter, blank), life)
    yield (group, "faults"), ", ".join(dict.fromkeys(each.defect for each in seen.defects)) or (tr('none seen') if seen.none else NOT_TOLD)  # fmt: skip
    if candle is None or not life.burns:
        return
    yield (
        (group, tr("cured before its first burn")),
        tr("{age_days:.0f} days", age_days=candle.age_days(life.burns[0].lit_at)),
    )
    rates = [rate for burn in life.burns if (rate := burn_rate(burn, plan.scale_step)) is not None]
    yield (
        (group, "burned"),
        span(sum(burn.ended_at - burn.lit_at for burn in life.burns if burn.ended_at is not None)),
    )
    yield (group, tr("burned an hour")), rates[-1].words if rates else NOT_TOLD
    yield (group, "wick judged"), life.judged.came if life.judged is not None else NOT_TOLD


# -- as text and as data --------------------------------------------------------------------------------


def compare_text(comparison: Comparison, *, everything: bool = False) -> list[str]:
    """The differences as lines, or every row; a group's name stands above its rows."""
    rows = comparison.rows if everything else comparison.differences
    if not rows:
        return [", ".join(comparison.sessions), tr("Nothing differs of what is on record.")]
    label = max(cells_of(row.label) for row in rows)
    columns = [comparison.sessions, *(row.values for row in rows)]
    wide = [max(cells_of(column[n]) for column in columns) for n in range(len(comparison.sessions))]
    lines = [f"  {'':<{label}}  {_columns(comparison.sessions, wide)}"]
    group = ""
    for row in rows:
        if row.group != group:
            group = row.group
            lines.append(group)
        mark = "*" if everything and row.differs else " "
        lines.append(f" {mark}{padded(row.label, label)}  {_columns(row.values, wide)}")
    alike = len(comparison.rows) - len(comparison.differences)
    if not everything:
        lines.append(tr("Alike: {alike} more; --all shows them.", alike=alike))
    return lines


def _columns(values: Sequence[str], wide: Sequence[int]) -> str:
    """What each day says, under each other."""
    return "   ".join(padded(value, cells) for value, cells in zip(values, wide, strict=True)).rstrip()


def compare_data(comparison: Comparison) -> dict[str, Any]:
    """Plain data for `--json`: every row, with whether it differs."""
    return {
        "sessions": list(comparison.sessions),
        "rows": [
            {"group": row.group, "what": row.label, "values": list(row.values), "differs": row.differs}
            for row in comparison.rows
        ],
    }
