"""The burner lit, or a low flame turned up: when a full flame is due, for what, and what goes in first."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.additions import amounts
from pourday.guide.acts.cautions import heat
from pourday.guide.acts.durations import JUG_LEAD
from pourday.guide.acts.flame_turns import back_in_the_bath
from pourday.guide.acts.heat_plan import PourNeed, lead, light_at
from pourday.guide.acts.load_pot import LOAD
from pourday.guide.acts.stove_reads import last_wax_reading
from pourday.guide.acts.wording import heat_on_says
from pourday.guide.outlook.blend_parts import melt_order
from pourday.guide.outlook.jugs import standing_jugs
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import CARRIES_MOST
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State
from pourday.times import MINUTE, clock, letters, span

CARRIES_ON = 3 * MINUTE
"""A bath that was just turned off is left so long to warm its wax further. An estimate of ours."""


def heat_on(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> Act | None:
    """Lighting the burner for the pour that wants it first; None where none does."""
    first = not state.burner_spans
    lightings = [(light_at(outlook, need, now), need) for need in wanted]
    times = [(t, need) for t, need in lightings if t is not None]
    if not times:
        return None
    t, need = min(times, key=lambda pair: pair[0])
    due = (state.fixed_at or now) if first else max(t, carries_on_until(state, outlook, need, now))
    says = heat_on_says(outlook)
    if need.drawn:
        jug = outlook.jug_name(need.layer) if len(standing_jugs(state)) > 1 else tr("the jug")
        says = tr(
            "Stand {jug} in the bath and light the burner; wax to {wanted}, never above {ceiling}.",
            jug=jug,
            wanted=outlook.degrees(need.celsius),
            ceiling=outlook.degrees(outlook.ceiling_c),
        )
    if first and LOAD not in state.waived:
        says += f" {_what_first(state, outlook)}"
    return Act(
        id=ActId("heat on", nth=round(state.burner_since)),
        kind="heat on",
        word=tr("HEAT ON"),
        layer=need.layer if need.drawn else None,
        says=says,
        why=tr("Everything waits for the melt.") if first else _why_now(outlook, need, now),
        due=due,
        caution=heat(state),
        records=(ev.BurnerSet(state="on"), *back_in_the_bath(state, need)),
        urgency=Urgency.USUAL,
    )


def _what_first(state: State, outlook: Outlook) -> str:
    """How much wax there is to melt, and what goes in first."""
    whole = outlook.mass(outlook.paper.total_wax)
    order = melt_order(state.plan, outlook.sheet)
    if order is None:
        return tr("{whole} of wax in all.", whole=whole)
    return tr("Begin with {amounts}, of {whole} in all.", amounts=amounts(outlook, order.first), whole=whole)


def _why_now(outlook: Outlook, need: PourNeed, now: float) -> str:
    """For what the burner is lit now, in a sentence."""
    takes = span(max(60.0, lead(outlook, need, now)))
    what = tr("{colour} for {letters}", colour=outlook.colour(need.layer), letters=letters(need.moulds))
    colouring = "" if need.drawn else tr(", {span} of them to draw and colour the jug", span=span(JUG_LEAD))
    wanted = (
        tr("is wanted about {clock}", clock=clock(need.at, now)) if need.at > now else tr("is wanted now")
    )
    return tr(
        "Hot {what} {wanted}; warming up takes about {takes} by the forecast{colouring}.",
        what=what,
        wanted=wanted,
        takes=takes,
        colouring=colouring,
    )


def carries_on_until(state: State, outlook: Outlook, need: PourNeed, now: float) -> float:
    """Until when not to light the burner again after it was put out: the hot bath goes on warming the wax for `CARRIES_ON`. 0
    (no wait) where the wax was read since, or is far below what is wanted."""
    last = last_wax_reading(state)
    read_since = last is not None and last.t > state.burner_since + MINUTE
    # What was found off was not turned off just now.
    found_off = state.burner_spans[-1:] and state.burner_spans[-1].what == "unknown"
    if read_since or found_off or not outlook.warmer_than(need.celsius - CARRIES_MOST, now):
        return 0.0
    return state.burner_since + CARRIES_ON
