"""Whether somebody was away from the stove, and since when nobody said they were back."""

from __future__ import annotations

from pourday.session.act_id import ActId
from pourday.session.state import LIT, Span, State

MOMENT = 1.0
"""s by which two facts of one moment may lie apart. Chosen: the record keeps milliseconds."""

LEAST = 120.0
"""Seconds away below which nobody has to be told anything. An estimate of ours."""


def absence(state: State, now: float) -> Span | None:
    """The last stretch in which nobody was at the stove, until somebody says they are back; `end` is the return.

    None where nobody was away, or nothing had been heated or poured by then.
    """
    if state.away_since is not None:
        return Span(state.away_since, now, "away")
    gap = last_gap(state)
    if gap is None or (gap.end or 0.0) < state.came_back_at or not _something_begun(state, gap.start):
        return None
    return gap


def _something_begun(state: State, by: float) -> bool:
    """Whether anything had been heated or poured by then; a day not begun has nothing to come back to."""
    by += 1.0  # A gap is reckoned back from its end, and may begin some milliseconds before the last entry.
    lit = any(span.what in LIT and span.start <= by for span in state.burner_spans)
    poured = any(pour.t <= by for mould in state.moulds.values() for pour in mould.pours)
    return lit or poured or any(reading.t <= by for reading in state.readings)


def last_gap(state: State) -> Span | None:
    """The last stretch nobody was there, whether or not somebody said since that they were back."""
    long = [g for g in state.gaps if g.end is not None and g.end - g.start >= LEAST]
    return long[-1] if long else None


def burner_question_skipped(state: State) -> bool:
    """Whether somebody came back and skipped the question whether the burner is lit."""
    gap = last_gap(state)
    if gap is None or gap.end is None or gap.end < state.burner_since - MOMENT:
        # It was known since, or nobody was asked yet about this absence.
        return False
    return ActId("back burner", nth=round(gap.end)) in state.waived


def lit_on_leaving(state: State) -> bool:
    """Whether a burner that nobody knows of was lit when somebody last saw it."""
    spans = state.burner_spans
    return len(spans) > 1 and spans[-1].what == "unknown" and spans[-2].end == spans[-1].start
