"""Whether somebody was away from the stove, and since when nobody said they were back."""

from __future__ import annotations

from pourday.session.state import Span, State

LEAST = 120.0
"""Seconds away below which nobody has to be told anything. An estimate of ours."""


def absence(state: State, now: float) -> Span | None:
    """The last stretch nobody was there, as long as nobody said they were back; `end` is the return."""
    if state.away_since is not None:
        return Span(state.away_since, now, "away")
    long = [g for g in state.gaps if g.end is not None and g.end - g.start >= LEAST]
    if not long or (long[-1].end or 0.0) < state.came_back_at:
        return None
    return long[-1]
