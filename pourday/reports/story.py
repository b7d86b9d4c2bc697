"""A session told in plain text: planned beside actual, then everything that happened, in order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.language import dated, ntr, tr, word
from pourday.plan.weigh import weigh_sheet
from pourday.reports.as_made import as_made_lines
from pourday.reports.balance_table import balance_doubt, balance_table
from pourday.reports.corrections import corrections, say_correction
from pourday.reports.deviations import Deviation, deviations, say_deviation, untold
from pourday.reports.forecast_check import forecast_outcomes, say_outcome
from pourday.reports.recipe import recipe_lines
from pourday.session import events as ev
from pourday.session.describe import say_fact
from pourday.session.events import Entry, Fact
from pourday.session.fold import effective
from pourday.session.state import State
from pourday.times import clock, local
from pourday.units import show_mass, show_temperature

HIDDEN = (ev.PlanDrafted, ev.WatchAnswered, ev.Told)
"""Facts that a reader of the story does not miss; the record keeps them."""
TOLD_EVERY, TOLD_STEP = 600.0, 5.0
"""s, and K, after which a probe's next reading is told: it reports by itself, every few seconds. Estimates of ours."""


@dataclass(frozen=True, slots=True)
class Happening:
    """One entry in words, or a day's name where another day begins."""

    seq: int | None
    """Number of the entry; None for a day's name."""
    says: str
    clock: str = ""
    """`14:31:07`, local time."""
    weight: int | None = None
    """Number of the entry with the pour's weight, where this line tells both."""
    drawn: bool = False
    """A reading or the burner, which a ledger draws in columns of its own."""


def story(state: State, entries: Sequence[Entry]) -> list[str]:
    """The session as lines of text: how it went, then everything that happened."""
    happened = [
        f"  {each.says}" if each.seq is None else f"  {each.clock} {each.seq:>4}  {each.says}"
        for each in happenings(state, entries)
    ]
    return [*compared(state, entries), "", tr("What happened:"), *happened]


def batch_record(state: State, entries: Sequence[Entry]) -> list[str]:
    """The record as somebody needs it who wants to make the same again: how it went, the whole recipe, then what was
    poured and told."""
    recipe = recipe_lines(state.fixed_plan or state.plan)
    put_right = [f"  {say_correction(one)}" for one in corrections(entries, state.plan)]
    return [
        *_heading(state, entries),
        "",
        *recipe,
        "",
        *as_made_lines(state),
        "",
        *_compared(state, entries),
        *(["", tr("Taken back or put right:"), *put_right] if put_right else []),
    ]


def compared(state: State, entries: Sequence[Entry]) -> list[str]:
    """How it went: verdict, what was not as planned, planned beside actual, and what was told beside what came."""
    return [*_heading(state, entries), "", *_compared(state, entries)]


def _heading(state: State, entries: Sequence[Entry]) -> list[str]:
    """Name, day and verdict, and beside it what was not as planned."""
    demo = tr(" (demo: never counts as evidence)") if state.demo else ""
    lines = [f"{state.plan.title or state.session}  [{state.session}]{demo}"]
    if state.opened_at:
        lines.append(
            tr(
                "begun {when}, stage: {stage}",
                when=dated(local(state.opened_at), "%A %d %B %Y, %H:%M"),
                stage=word(state.stage),
            )
        )
    deviating = deviations(state, entries)
    if state.verdict:
        besides = f"; {besides_words(len(deviating))}" if deviating else ""
        lines.append(f"“{state.verdict}”{besides}")
    return [*lines, "", *_deviating(state, deviating)]


def besides_words(count: int) -> str:
    """How many things went otherwise, to stand beside a verdict."""
    return ntr("{count} thing was not as planned", "{count} things were not as planned", count, count=count)


def _compared(state: State, entries: Sequence[Entry]) -> list[str]:
    """Planned beside actual, and what was told beside what came."""
    told = [f"  {say_outcome(one)}" for one in forecast_outcomes(entries)]
    return [*_weights(state), *(["", tr("What was expected, and what came:"), *told] if told else [])]


def _deviating(state: State, deviating: Sequence[Deviation]) -> list[str]:
    """What did not go as planned, and what nobody told."""
    said = [f"  {say_deviation(one)}" for one in deviating]
    lines = (
        [tr("Not as planned:"), *said] if deviating else [tr("Not as planned: nothing, in what was noted.")]
    )
    return [*lines, *([f"  {untold(state)}"] if untold(state) else [])]


def _weights(state: State) -> list[str]:
    """Planned beside weighed, a mould after the other; or why the plan cannot be weighed out."""
    try:
        sheet = weigh_sheet(state.plan)
    except Trouble as trouble:
        return [str(trouble)]
    planned_for = {mould.letter for mould in sheet.moulds}
    lines = [tr("Planned beside actual:")]
    for letter, mould in sorted(state.moulds.items()):
        lines += [f"  {letter}", *_pours(state, letter)]
        units, step = state.plan.units, state.plan.scale_step
        kg = sheet.mould(letter).finished if letter in planned_for else None
        planned = "-" if kg is None else show_mass(kg, units, step)
        actual = tr("not weighed") if mould.candle_kg is None else show_mass(mould.candle_kg, units, step)
        share = (
            tr("   {candle_kg:.1%} of theoretical", candle_kg=mould.candle_kg / kg)
            if kg and mould.candle_kg is not None
            else ""
        )
        lines.append(
            tr(
                "    {it:<20} planned {planned:>8}   {actual:>11}{share}",
                it=tr("candle"),
                planned=planned,
                actual=actual,
                share=share,
            )
        )
    return [*lines, *_balance(state)]


def _balance(state: State) -> list[str]:
    """Where the wax is, each part in per cent of the theoretical."""
    rows = balance_table(state)
    if not rows:
        return []
    wide = max(len(row.weight) for row in rows)
    lines = ["", tr("Balance, in per cent of what was melted:")]
    lines += [f"  {row.where:<22} {row.weight:>{wide}}   {row.share:>7}" for row in rows]
    doubt = balance_doubt(state)
    return [*lines, *([f"  {doubt}"] if doubt else [])]


def _pours(state: State, letter: str) -> list[str]:
    """A line a pour of one mould: planned and weighed, when, and how hot."""
    lines = []
    units, step = state.plan.units, state.plan.scale_step
    for pour in state.moulds[letter].pours:
        named = state.plan.layers[pour.layer].colour if 0 <= pour.layer < len(state.plan.layers) else ""
        name = f"{word(pour.part)} {named or pour.layer + 1}"
        planned = "-" if pour.planned_kg is None else show_mass(pour.planned_kg, units, step)
        actual = tr("not weighed") if pour.kg is None else show_mass(pour.kg, units, step)
        celsius = state.lip_c(pour)
        at = "" if celsius is None else tr(" at {temperature}", temperature=show_temperature(celsius, units))
        lines.append(
            tr(
                "    {name:<20} planned {planned:>8}   {actual:>11}   {clock}{at}",
                name=name,
                planned=planned,
                actual=actual,
                clock=clock(pour.t),
                at=at,
            )
        )
    return lines


def worth_telling(entries: Sequence[Entry]) -> list[Entry]:
    """The entries that a reader of the story does not miss; of a probe's many readings some."""
    last: dict[str, tuple[float, float]] = {}
    told_entries = []
    for entry in entries:
        fact = entry.fact
        if isinstance(fact, HIDDEN):
            continue
        if isinstance(fact, ev.Reading) and fact.probe and not fact.doubt:
            t, celsius = last.get(fact.probe, (float("-inf"), 0.0))
            if 0 <= entry.t - t < TOLD_EVERY and abs(fact.celsius - celsius) < TOLD_STEP:
                continue
            last[fact.probe] = entry.t, fact.celsius
        told_entries.append(entry)
    return told_entries


def happenings(state: State, entries: Sequence[Entry]) -> list[Happening]:
    """Everything that a reader wants to know of, in the order it was logged, with the days between."""
    counts = {entry.seq: entry.fact for entry in effective(entries)}
    weights = _weighed_at_once(state, entries, counts)
    with_pour = {weight.seq for weight in weights.values()}
    lines = []
    day = ""
    for entry in worth_telling(entries):
        if entry.seq in with_pour:
            continue
        today = f"{dated(local(entry.t), '%a %d %b')}"
        if today != day:
            lines.append(Happening(None, today))
            day = today
        says = _say(entry, state, counts)
        if entry.seq in weights:
            assert isinstance(entry.fact, ev.Poured)
            weight = weights[entry.seq].fact
            assert isinstance(weight, ev.Weighed)
            says = say_fact(replace(entry.fact, kg=weight.kg), state.plan)
        with_it = weights[entry.seq].seq if entry.seq in weights else None
        drawn = isinstance(entry.fact, ev.Reading | ev.BurnerSet)
        lines.append(Happening(entry.seq, says, f"{local(entry.t):%H:%M:%S}", with_it, drawn))
    return lines


def _weighed_at_once(state: State, entries: Sequence[Entry], counts: Mapping[int, Fact]) -> dict[int, Entry]:
    """The weight of each pour that was weighed as it was poured, by the number of the pour: one line tells both.

    Only where both stand as they were said, and agree to the scale's step if the pour has a weight of its own.
    """
    poured: dict[str, Entry] = {}
    weights: dict[int, Entry] = {}
    for entry in entries:
        fact = entry.fact
        if counts.get(entry.seq) != fact:
            continue
        if isinstance(fact, ev.Poured):
            poured[fact.mould] = entry
        elif isinstance(fact, ev.Weighed) and fact.what == "pour" and not fact.doubt:
            pour = poured.get(fact.mould)
            if pour is None or entry.at != pour.at or fact.pour not in (None, pour.seq):
                continue
            assert isinstance(pour.fact, ev.Poured)
            own, step = pour.fact.kg, state.plan.scale_step
            if own is None or abs(own - fact.kg) <= step / 2:
                weights.setdefault(pour.seq, entry)
    return weights


def _say(entry: Entry, state: State, counts: Mapping[int, Fact]) -> str:
    """An entry with what became of it; `counts` has the fact that counts of each entry that was not taken back."""
    late = (entry.logged_at - entry.at).total_seconds()
    entered = tr("  (entered {late:.0f} min later)", late=late / 60) if late > 60 else ""
    says = say_fact(entry.fact, state.plan)
    if isinstance(entry.fact, ev.Corrected):
        return f"{says}: {say_fact(entry.fact.fact, state.plan)}{entered}"
    if isinstance(entry.fact, ev.Undone):
        return f"{says}{entered}"
    mark = tr("  (taken back)") if entry.seq not in counts else ""
    if not mark and counts[entry.seq] != entry.fact:
        mark = tr("  (corrected later)")
    return f"{says}{mark}{entered}"
