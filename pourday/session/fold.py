"""From entries to state: the one function that undo, resume, review, replay and tests share.

`fold(entries)` is pure. `apply(state, entry)` adds one entry; it does not know how to take things
back, so whoever adds an `Undone` or a `Corrected` folds anew (`needs_refold`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import singledispatch

from pourday.plan.bench import bench
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.act_id import read_act_id
from pourday.session.candle import OF_CANDLES, CandleState, with_fact
from pourday.session.clock import clock_change, on_newest_clock
from pourday.session.events import Entry, Fact
from pourday.session.heap import OF_HEAP, HeapState, with_heap_fact
from pourday.session.state import (
    LIT,
    AlarmState,
    DoseAt,
    JugState,
    LookAt,
    MouldState,
    PourAt,
    ReadingAt,
    RescueAt,
    Span,
    SpillAt,
    State,
    TimerState,
)

_MANY = 512
"""Readings, or notes, that a fold carries along before it lays them aside until its end."""


def effective(entries: Sequence[Entry]) -> list[Entry]:
    """The entries that count, in order: undone ones left out, corrected ones with their new fact.

    A later word wins: an `Undone` may itself be undone, and so may a `Corrected`.
    """
    struck = _struck(entries)
    corrected: dict[int, Fact] = {}
    for entry in entries:
        if isinstance(entry.fact, ev.Corrected) and entry.seq not in struck:
            corrected[entry.fact.entry] = entry.fact.fact
    counting = []
    for entry in entries:
        if entry.seq in struck or isinstance(entry.fact, ev.Undone | ev.Corrected):
            continue
        if entry.seq in corrected:
            entry = Entry(
                seq=entry.seq,
                at=entry.at,
                logged_at=entry.logged_at,
                by=entry.by,
                fact=corrected[entry.seq],
            )
        counting.append(entry)
    return counting


def _struck(entries: Sequence[Entry]) -> set[int]:
    """Numbers of the entries that were taken back."""
    struck: set[int] = set()
    for entry in reversed(entries):
        if isinstance(entry.fact, ev.Undone) and entry.seq not in struck:
            struck.add(entry.fact.entry)
    return struck


def fold(entries: Sequence[Entry]) -> State:
    """The state that these entries amount to, all times on the clock of the last of them."""
    state = State()
    entries = on_newest_clock(entries)
    readings: list[ReadingAt] = []
    notes: list[tuple[float, str]] = []
    for entry in effective(entries):
        state = _after(entry.fact, state, entry)
        # No fact's meaning hangs on those of before; carried along they would cost the square of their number.
        if len(state.readings) >= _MANY or len(state.notes) >= _MANY:
            readings += state.readings
            notes += state.notes
            state = replace(state, readings=(), notes=())
    if entries:
        last = max(entries, key=lambda e: e.seq)
        state = replace(state, last_seq=last.seq, heard_at=last_heard(entries), last_t=last.t)
    if not readings and not notes:
        return state
    return replace(state, readings=(*readings, *state.readings), notes=(*notes, *state.notes))


def plan_of(entries: Sequence[Entry]) -> Plan:
    """The plan that these entries amount to, as in their state, at a fraction of its cost."""
    plans = (ev.PlanDrafted, ev.PlanFixed, ev.PlanRevised)
    facts = (entry.fact for entry in effective(entries))
    return next((fact.plan for fact in reversed([*facts]) if isinstance(fact, plans)), State().plan)


def last_heard(entries: Iterable[Entry]) -> float:
    """When a person last said anything, s since the epoch."""
    return max((e.logged_at.timestamp() for e in entries if e.by == "person"), default=0.0)


def needs_refold(fact: Fact) -> bool:
    """Whether this fact changes what earlier entries mean."""
    return isinstance(fact, ev.Undone | ev.Corrected) or clock_change(fact) != 0


def apply(state: State, entry: Entry) -> State:
    """The state after one more entry."""
    state = _after(entry.fact, state, entry)
    heard = entry.logged_at.timestamp() if entry.by == "person" else 0.0
    return replace(state, last_seq=entry.seq, last_t=entry.t, heard_at=max(state.heard_at, heard))


def last_undoable(entries: Sequence[Entry]) -> Entry | None:
    """The newest thing a person said that still counts, corrections too, leaving out the plan and the opening."""
    fixed = (ev.Opened, ev.PlanDrafted, ev.PlanFixed, ev.Reopened, *SAYS_NOTHING_NEW)
    struck = _struck(entries)
    put_right = [e for e in entries if isinstance(e.fact, ev.Corrected) and e.seq not in struck]
    for entry in sorted([*effective(entries), *put_right], key=lambda e: e.seq, reverse=True):
        if entry.by == "person" and not isinstance(entry.fact, fixed):
            return entry
    return None


SAYS_NOTHING_NEW = (ev.WatchAnswered, ev.AlarmAcknowledged, ev.Reasoned)
"""Facts of a person after which what was taken back can still be brought back."""


def last_redoable(entries: Sequence[Entry]) -> Entry | None:
    """The newest taking-back that still counts, where nothing was said since: an `Undone` of it brings the entry back."""
    struck = _struck(entries)
    by_seq = {entry.seq: entry for entry in entries}
    for entry in reversed(entries):
        if isinstance(entry.fact, ev.Undone):
            took = by_seq.get(entry.fact.entry)
            if entry.seq not in struck and took is not None and not isinstance(took.fact, ev.Undone):
                return entry
        elif entry.by == "person" and not isinstance(entry.fact, SAYS_NOTHING_NEW):
            return None
    return None


@singledispatch
def _after(fact: Fact, state: State, entry: Entry) -> State:
    """Facts about candles and unknown wax, and those that change nothing but the record itself, fall through to here."""
    if isinstance(fact, OF_HEAP):
        return replace(state, heap=with_heap_fact(state.heap or HeapState(), fact, entry.t))
    if not isinstance(fact, OF_CANDLES):
        return state
    known = state.candles.get(fact.mould, CandleState(fact.mould))
    return replace(state, candles={**state.candles, fact.mould: with_fact(known, fact, entry.t)})


@_after.register
def _(fact: ev.Opened, state: State, entry: Entry) -> State:
    return replace(
        state,
        session=fact.session,
        demo=fact.demo,
        batch=fact.batch,
        heap=HeapState() if fact.heap else None,
        opened_at=entry.t,
        burner_since=entry.t,
    )


@_after.register
def _(fact: ev.Equipped, state: State, entry: Entry) -> State:
    return replace(state, equipped=fact)


@_after.register
def _(fact: ev.PlanDrafted, state: State, entry: Entry) -> State:
    return replace(state, plan=fact.plan)


@_after.register
def _(fact: ev.PlanFixed, state: State, entry: Entry) -> State:
    return replace(
        state,
        plan=fact.plan,
        fixed_plan=fact.plan,
        fixed_at=entry.t,
        moulds=_on_bench(fact.plan, state.moulds),
    )


@_after.register
def _(fact: ev.PlanRevised, state: State, entry: Entry) -> State:
    return replace(
        state,
        plan=fact.plan,
        moulds=_on_bench(fact.plan, state.moulds),
        revisions=(*state.revisions, (entry.t, fact.why)),
    )


def _on_bench(plan: Plan, known: dict[str, MouldState]) -> dict[str, MouldState]:
    """One state a standing mould; what is already in a mould stays, whatever the plan says now."""
    moulds = {s.letter: known.get(s.letter, MouldState(s.letter)) for s in bench(plan)}
    return moulds | {letter: m for letter, m in known.items() if m.pours}


@_after.register
def _(fact: ev.Prepared, state: State, entry: Entry) -> State:
    return replace(state, prepared={**state.prepared, fact.item: fact.mark})


@_after.register
def _(fact: ev.BurnerSet, state: State, entry: Entry) -> State:
    if fact.state == "low" and fact.knob is not None:
        return _with_knob(state, fact.knob, entry.t)
    return _with_burner(state, fact.state, entry.t)


def _with_knob(state: State, knob: ev.Knob, t: float) -> State:
    """The flame low, and set otherwise than it was when it was low before: a stretch of its own."""
    spans = state.burner_spans
    if spans and spans[-1].end is None:
        over = () if spans[-1].start >= t else (replace(spans[-1], end=t),)
        spans = (*spans[:-1], *over)
    return replace(state, burner="low", burner_since=t, burner_spans=(*spans, Span(t, None, "low", knob)))


def _with_burner(state: State, burner: ev.Burner, t: float) -> State:
    """The burner in another state: its open span ends, and one begins unless it is off."""
    if burner == state.burner:
        return state
    spans = state.burner_spans
    if spans and spans[-1].end is None:
        # Lit and off in one instant heated nothing; after a time that nobody watched it says that it was lit in it.
        before = spans[-2] if len(spans) > 1 else None
        unwatched = before is not None and before.what == "unknown" and before.end == spans[-1].start
        passed = spans[-1].what != "unknown" and spans[-1].start >= t and not unwatched
        spans = spans[:-1] if passed else (*spans[:-1], replace(spans[-1], end=t))
    if burner in LIT and spans and spans[-1].what == burner and spans[-1].end == t:
        # Off and lit again in one instant was never off.
        spans, t = (*spans[:-1], replace(spans[-1], end=None)), spans[-1].start
    elif burner != "off":
        spans = (*spans, Span(t, None, burner))
    return replace(state, burner=burner, burner_since=t, burner_spans=spans)


@_after.register
def _(fact: ev.Reading, state: State, entry: Entry) -> State:
    reading = ReadingAt(
        entry.seq,
        entry.t,
        fact.place,
        fact.celsius,
        fact.mould,
        fact.means,
        fact.doubt,
        fact.probe,
        fact.jug,
    )
    state = replace(state, readings=(*state.readings, reading))
    if fact.doubt:
        return state
    in_jug = (reading,) if fact.place == "jug" else ()
    return replace(
        state,
        newest={**state.newest, (fact.place, fact.mould): reading},
        jug_readings=(*state.jug_readings, *in_jug),
    )


@_after.register
def _(fact: ev.WaxAdded, state: State, entry: Entry) -> State:
    return replace(state, additions=(*state.additions, (entry.t, fact.kg)))


@_after.register
def _(fact: ev.WaterSeen, state: State, entry: Entry) -> State:
    if fact.topped_up:
        return replace(state, water_seen_at=entry.t, water_added=(*state.water_added, entry.t))
    return replace(state, water_seen_at=entry.t, water_enough=(*state.water_enough, entry.t))


@_after.register
def _(fact: ev.JugMade, state: State, entry: Entry) -> State:
    known = state.jugs.get(fact.layer)
    if known is None:
        return _with_jug(state, fact.layer, JugState(entry.t, entry.t, fact.kg, planned_kg=fact.planned_kg))
    return _with_jug(
        state,
        fact.layer,
        replace(
            known,
            made_at=entry.t,
            drawn_at=entry.t,
            kg=fact.kg,
            planned_kg=fact.planned_kg,
            heat_cycles=known.heat_cycles + 1,
            earlier=(*known.earlier, known.kg),
            set_at=None,
            stands=(),
            drawn_kg=None,
        ),
    )


def _with_jug(state: State, layer: int, jug: JugState) -> State:
    """The jug of a layer in place of what was known of it."""
    return replace(state, jugs={**state.jugs, layer: jug})


@_after.register
def _(fact: ev.JugWeighed, state: State, entry: Entry) -> State:
    known = state.jugs.get(fact.layer, JugState(entry.t, entry.t, None))
    return _with_jug(state, fact.layer, replace(known, drawn_kg=fact.kg))


@_after.register
def _(fact: ev.JugDosed, state: State, entry: Entry) -> State:
    known = state.jugs.get(fact.layer, JugState(entry.t, entry.t, None))
    doses = (*known.doses, DoseAt(entry.seq, entry.t, fact))
    return _with_jug(state, fact.layer, replace(known, doses=doses))


@_after.register
def _(fact: ev.JugReheated, state: State, entry: Entry) -> State:
    known = state.jugs.get(fact.layer, JugState(entry.t, entry.t, None))
    again = replace(known, made_at=entry.t, heat_cycles=known.heat_cycles + 1, set_at=None, stands=())
    return _with_jug(state, fact.layer, again)


@_after.register
def _(fact: ev.JugStands, state: State, entry: Entry) -> State:
    known = state.jugs.get(fact.layer)
    if known is None:
        return state
    return _with_jug(state, fact.layer, replace(known, stands=(*known.stands, (entry.t, fact.where))))


@_after.register
def _(fact: ev.JugSeen, state: State, entry: Entry) -> State:
    known = state.jugs.get(fact.layer)
    if known is None:
        return state
    return _with_jug(state, fact.layer, replace(known, set_at=entry.t if fact.has_set else None))


def _with_mould(state: State, mould: MouldState) -> State:
    """A mould in place of what was known of it."""
    return replace(state, moulds={**state.moulds, mould.letter: mould})


def _mould(state: State, letter: str) -> MouldState:
    """What is known of a mould; one that no plan has put on the bench is empty."""
    return state.moulds.get(letter, MouldState(letter))


@_after.register
def _(fact: ev.Poured, state: State, entry: Entry) -> State:
    mould = _mould(state, fact.mould)
    pour = PourAt(
        entry.seq,
        entry.t,
        fact.layer,
        fact.part,
        fact.kg,
        fact.planned_kg,
        fact.celsius,
        fact.share,
        fact.instead_of,
    )
    return _with_mould(state, replace(mould, pours=(*mould.pours, pour)))


@_after.register
def _(fact: ev.Spilled, state: State, entry: Entry) -> State:
    state = replace(state, spills=(*state.spills, SpillAt(entry.t, fact.mould, fact.layer, fact.kg)))
    mould = state.moulds.get(fact.mould)
    if mould is None or not mould.pours:
        return state
    last = mould.pours[-1]
    last = replace(last, spilled_kg=last.spilled_kg + (fact.kg or 0.0))
    return _with_mould(state, replace(mould, pours=(*mould.pours[:-1], last)))


@_after.register
def _(fact: ev.LeftOver, state: State, entry: Entry) -> State:
    return replace(state, left_over={**state.left_over, fact.layer: fact.kg})


@_after.register
def _(fact: ev.Emptied, state: State, entry: Entry) -> State:
    mould = _mould(state, fact.mould)
    stays = tuple(p for p in mould.pours if p.layer < fact.from_layer)
    out = tuple(p for p in mould.pours if p.layer >= fact.from_layer)
    mould = replace(
        mould,
        pours=stays,
        emptied=(*mould.emptied, *out),
        emptied_at=entry.t,
        restarts=mould.restarts + 1,
        weeps=mould.weeps if stays else None,
        demoulded_at=None,
        release=None,
    )
    state = _with_mould(state, mould)
    if fact.into is None:
        return state
    # Nothing was drawn from the pot for a jug that only holds what came out of a mould.
    jug = state.jugs.get(fact.into, JugState(entry.t, entry.t, 0.0))
    came = fact.kg if fact.kg is not None else sum(p.kg_best for p in out)
    returned = jug.returned_kg + came
    set_at = entry.t if fact.how == "demoulded" else jug.set_at
    return _with_jug(state, fact.into, replace(jug, returned_kg=returned, set_at=set_at))


@_after.register
def _(fact: ev.Weighed, state: State, entry: Entry) -> State:
    mould = _mould(state, fact.mould)
    if fact.what == "candle":
        return _with_mould(state, replace(mould, candle_kg=fact.kg))
    if not mould.pours:
        return state
    meant = mould.pours[-1].seq if fact.pour is None else fact.pour
    pours = tuple(replace(pour, kg=fact.kg) if pour.seq == meant else pour for pour in mould.pours)
    return _with_mould(state, replace(mould, pours=pours))


@_after.register
def _(fact: ev.SealSeen, state: State, entry: Entry) -> State:
    mould = replace(_mould(state, fact.mould), weeps=fact.weeps, seal_seen_at=entry.t)
    return _with_mould(state, mould)


@_after.register
def _(fact: ev.Looked, state: State, entry: Entry) -> State:
    mould = _mould(state, fact.mould)
    return _with_mould(state, replace(mould, looks=(*mould.looks, LookAt(entry.t, fact.cue))))


@_after.register
def _(fact: ev.Relieved, state: State, entry: Entry) -> State:
    mould = _mould(state, fact.mould)
    return _with_mould(state, replace(mould, relieved_at=(*mould.relieved_at, entry.t)))


@_after.register
def _(fact: ev.Demoulded, state: State, entry: Entry) -> State:
    mould = _mould(state, fact.mould)
    at = None if fact.release == "stuck" else entry.t
    return _with_mould(state, replace(mould, demoulded_at=at, release=fact.release))


@_after.register
def _(fact: ev.Waived, state: State, entry: Entry) -> State:
    return replace(state, waived=state.waived | {read_act_id(fact.act)})


@_after.register
def _(fact: ev.Noted, state: State, entry: Entry) -> State:
    return replace(state, notes=(*state.notes, (entry.t, fact.text)))


@_after.register
def _(fact: ev.WentAway, state: State, entry: Entry) -> State:
    back = fact.back_by.timestamp() if fact.back_by else None
    return replace(state, away_since=entry.t, back_by=back)


@_after.register
def _(fact: ev.CameBack, state: State, entry: Entry) -> State:
    away = () if state.away_since is None else (Span(state.away_since, entry.t, "away"),)
    return replace(state, away_since=None, back_by=None, came_back_at=entry.t, gaps=(*state.gaps, *away))


@_after.register
def _(fact: ev.HardStop, state: State, entry: Entry) -> State:
    return replace(state, hard_stop=fact.at.timestamp() if fact.at else None)


@_after.register
def _(fact: ev.StaysUp, state: State, entry: Entry) -> State:
    # Taken back, it is over from now on: that also holds for who began at night and never said so.
    return replace(state, stays_up=fact.at.timestamp() if fact.at else entry.t)


@_after.register
def _(fact: ev.AlarmRaised, state: State, entry: Entry) -> State:
    return replace(state, alarms={**state.alarms, fact.alarm: AlarmState(entry.t, fact.says)})


@_after.register
def _(fact: ev.AlarmAcknowledged, state: State, entry: Entry) -> State:
    if fact.alarm not in state.alarms:
        return state
    alarm = replace(state.alarms[fact.alarm], acknowledged_at=entry.t)
    return replace(state, alarms={**state.alarms, fact.alarm: alarm})


@_after.register
def _(fact: ev.AlarmEnded, state: State, entry: Entry) -> State:
    return replace(state, alarms={k: v for k, v in state.alarms.items() if k != fact.alarm})


@_after.register
def _(fact: ev.TimerSet, state: State, entry: Entry) -> State:
    others = tuple(t for t in state.timers if t.name != fact.name)
    return replace(state, timers=(*others, TimerState(fact.name, entry.t, fact.due.timestamp())))


@_after.register
def _(fact: ev.TimerEnded, state: State, entry: Entry) -> State:
    return replace(state, timers=tuple(t for t in state.timers if t.name != fact.name))


@_after.register
def _(fact: ev.Told, state: State, entry: Entry) -> State:
    return replace(state, told=fact, told_at=entry.t)


@_after.register
def _(fact: ev.RescueChosen, state: State, entry: Entry) -> State:
    return replace(state, rescues=(*state.rescues, RescueAt(entry.seq, entry.t, fact)))


@_after.register
def _(fact: ev.RescueEnded, state: State, entry: Entry) -> State:
    open_one = state.rescue(fact.mould, fact.card)
    if open_one is None:
        return state
    return replace(
        state, rescues=tuple(replace(r, ended=fact) if r is open_one else r for r in state.rescues)
    )


@_after.register
def _(fact: ev.GapSeen, state: State, entry: Entry) -> State:
    # A changed clock is no stretch of time: nobody was away while it was changed.
    seconds = 0.0 if fact.cause == "clock changed" else fact.seconds
    return replace(state, gaps=(*state.gaps, Span(entry.t - seconds, entry.t, fact.cause)))


@_after.register
def _(fact: ev.Reopened, state: State, entry: Entry) -> State:
    state = replace(state, gaps=(*state.gaps, Span(entry.t - fact.away, entry.t, "closed")))
    # Nobody watched the stove meanwhile. Only in the cure, with the heat seen off, is there nothing to ask.
    matters = state.stage in ("melt", "pour") or state.burner != "off"
    return _with_burner(state, "unknown", entry.t) if matters else state


@_after.register
def _(fact: ev.ChangeJudged, state: State, entry: Entry) -> State:
    return replace(state, change_came=fact.came)


@_after.register
def _(fact: ev.Finished, state: State, entry: Entry) -> State:
    return replace(state, finished_at=entry.t, verdict=fact.verdict)
