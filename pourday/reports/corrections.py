"""What was taken back or put right, what it said before, and why, where the person gave a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.language import tr, word
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.clock import on_newest_clock
from pourday.session.describe import say_fact
from pourday.session.events import Entry, Fact
from pourday.session.fold import effective
from pourday.times import clock


@dataclass(frozen=True, slots=True)
class Correction:
    """One entry that did not stay as it was said."""

    t: float
    """When it was taken back or put right, s since the epoch, UTC, on the newest clock."""
    before: str
    """What was said first,"""
    after: str
    """and what counts instead; empty where it was only taken back."""
    why: str
    """Empty: not told."""


def corrections(entries: Sequence[Entry], plan: Plan) -> list[Correction]:
    """Everything that does not count any more as it was said, in order; what was brought back again is not among it."""
    entries = on_newest_clock(entries)
    said = {entry.seq: entry.fact for entry in entries}
    counts = {entry.seq: entry.fact for entry in effective(entries)}
    reasons = {fact.entry: fact.why for fact in counts.values() if isinstance(fact, ev.Reasoned)}
    undone = {e.fact.entry for e in entries if isinstance(e.fact, ev.Undone)}
    rows = []
    for entry in entries:
        fact = entry.fact
        if not isinstance(fact, ev.Undone | ev.Corrected) or entry.seq in undone:
            continue
        before = said.get(fact.entry)
        if before is None or isinstance(before, ev.Undone | ev.Corrected):
            continue
        after: Fact | None = fact.fact if isinstance(fact, ev.Corrected) else None
        if after is None and fact.entry in counts:
            continue
        rows.append(
            Correction(
                entry.t,
                say_fact(before, plan),
                "" if after is None else say_fact(after, plan),
                reasons.get(entry.seq, ""),
            )
        )
    return rows


def say_correction(one: Correction) -> str:
    """One of them as a line."""
    what = tr("put right to “{after}”", after=one.after) if one.after else tr("taken back")
    return tr(
        "{clock} “{before}” was {what}; why: {why}",
        clock=clock(one.t),
        before=one.before,
        what=what,
        why=word(one.why) or tr("not noted"),
    )
