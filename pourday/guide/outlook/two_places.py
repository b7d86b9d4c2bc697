"""Two places of one bath that should be as warm, and were read otherwise: said as the second is filed, and never corrected."""

from __future__ import annotations

from pourday.language import tr
from pourday.plan.jug_names import the_jug
from pourday.session.state import ReadingAt, State
from pourday.units import show_temperature

TOGETHER = 300.0
"""s between two readings that count as made together. An estimate of ours."""
ALIKE_AFTER = 1200.0
"""s side by side, with no flame or a low one that is left as it is, until wax in one bath is as warm everywhere: five times
what a jug needs in it (`WARMED` in `pot_stretches.py`). An estimate of ours."""
APART = 4.0
"""K from which on two such readings do not agree: each may be off by a degree or two for where the tip was. In the simulated
kitchen pot and jug then truly lie within 0.1 K (tests/guide/outlook/test_two_places.py). An estimate of ours."""


def read_otherwise(state: State) -> ReadingAt | None:
    """What was read just before the newest reading at another place of the same bath, and does not go with it."""
    if not state.readings:
        return None
    newest = state.readings[-1]
    if not _as_its_bath(state, newest):
        return None
    for other in reversed(state.readings[:-1]):
        if newest.t - other.t > TOGETHER:
            return None
        if (other.place, other.jug) != (newest.place, newest.jug) and _as_its_bath(state, other):
            return other if abs(other.celsius - newest.celsius) > APART else None
    return None


def read_otherwise_words(state: State) -> str:
    """The same as a sentence beside the newest reading; empty where nothing contradicts it."""
    other = read_otherwise(state)
    if other is None:
        return ""
    read = show_temperature(other.celsius, state.plan.units, 1)
    place = tr("the pot") if other.jug is None else the_jug(state.plan, other.jug)
    return tr(
        "But {place} read {read} just before: in one bath they should be nearly alike. Stir, and read both again; neither was corrected.",
        place=place,
        read=read,
    )


def _as_its_bath(state: State, read: ReadingAt) -> bool:
    """Whether what was read had stood in the bath long enough to be as warm as all else in it."""
    since = read.t - ALIKE_AFTER
    if read.doubt or read.means != "probe" or state.burner == "on" or state.burner_since > since:
        return False
    if any(t > since for t in (*(t for t, _ in state.additions), *state.water_added)):
        return False
    if read.place == "pot":
        return len(state.jugs) < len(state.plan.layers)
    jug = state.jugs.get(read.jug) if read.place == "jug" and read.jug is not None else None
    if jug is None or jug.made_at > since or any(t > since for t, _ in jug.stands):
        return False
    return jug.where_until(read.t) == "bath"
