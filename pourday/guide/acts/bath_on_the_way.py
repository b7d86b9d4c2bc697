"""The look at the bath's water, made on the way by whoever is at the stove with something else.

It is said in the sentence of that act and filed with its "done"; typed readings file nothing else, so it rides on none
of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Kind
from pourday.guide.acts.stove_reads import MOSTLY_FULL, WATER_OVERDUE, water_due
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.state import State
from pourday.times import MINUTE

AT_THE_STOVE: tuple[Kind, ...] = ("heat on", "heat low", "jug", "plug", "pour", "top-up")
"""Acts that are done at the stove and said to be done by one key."""
COMES_SOON, JUST_SEEN = 45 * MINUTE, 20 * MINUTE
"""s within which a look at the water falls due that is made on the way, and within which somebody who looked need not look
again. Estimates of ours."""


def with_water(state: State, outlook: Outlook, acts: Sequence[Act], now: float) -> list[Act]:
    """The acts, where those that are due now at the stove bring the look at the bath's water with them, if that falls
    due soon.

    How the water is asked about follows from what the forecast says is left: to fill it up, or to see whether it is
    enough. A look that is nearly an alarm stays an act of its own.
    """
    due = water_due(state, outlook)
    overdue = now - due > WATER_OVERDUE / 2
    just_seen = state.water_seen_at is not None and now - state.water_seen_at < JUST_SEEN
    if not state.burner_spans or outlook.pot is None or overdue or just_seen or due > now + COMES_SOON:
        return list(acts)
    bring = {act.id for act in acts if act.kind in AT_THE_STOVE and act.due <= now and act.records}
    if not bring:
        return list(acts)
    full = outlook.pot.setup.water_kg
    gone = outlook.pot.gone_at(max(outlook.pot.now, state.last_t))
    fill = full - gone <= MOSTLY_FULL * full
    said = (
        tr("Fill the bath up with hot water as well.")
        if fill
        else tr("Look at the bath as well: water well up the side of the wax pot.")
    )
    seen = ev.WaterSeen(topped_up=fill)
    return [
        replace(act, says=f"{act.says} {said}", records=(*act.records, seen)) if act.id in bring else act
        for act in acts
        if act.kind != "water" or not bring
    ]
