"""The turns of the knob as acts: out and low, what is said of each, and the reading that goes before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.cautions import heat
from pourday.guide.acts.heat_plan import PourNeed
from pourday.guide.acts.stove_reads import NOT_BY_A_GUESS, read_act, wants_a_reading, where_to_read
from pourday.guide.acts.wording import heat_low_says, heat_off_says
from pourday.guide.outlook.jugs import MOMENT
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.events import Burner, Knob
from pourday.session.state import State
from pourday.times import clock

OUT_FOR_JUGS = tr("The jug is drawn and scented with the flame out; the bath holds its heat meanwhile.")
NOTHING_MORE = tr("No pour needs hot wax any more.")


def turn_off(why: str, due: float, urgency: Urgency = Urgency.QUICK) -> Act:
    """Turning the burner off, and why."""
    return Act(
        id=ActId("heat off"),
        kind="heat off",
        word=tr("HEAT OFF"),
        says=heat_off_says(why),
        why=why,
        due=due,
        records=(ev.BurnerSet(state="off"),),
        urgency=urgency,
    )


def knob_act(knob: Knob | None) -> str:
    """What turning the flame low is called in an act's identity on record: `heat low`, `heat lower`, `heat higher`."""
    return "heat low" if knob is None else f"heat {knob}"


def turn_low(
    state: State, need: PourNeed, why: str, due: float, urgency: Urgency, knob: Knob | None = None
) -> Act:
    """The act of turning the flame low, from full or off. `knob`: lower or higher than the last low flame was; None for as it
    was."""
    words = {None: tr("HEAT LOW"), "lower": tr("HEAT LOWER"), "higher": tr("HEAT HIGHER")}
    return Act(
        id=ActId(knob_act(knob), nth=round(state.burner_since)),
        kind="heat low",
        word=words[knob],
        says=heat_low_says(why, state.burner, knob),
        why=why,
        due=due,
        caution=heat(state),
        records=(ev.BurnerSet(state="low", knob=knob), *back_in_the_bath(state, need)),
        urgency=urgency,
    )


def back_in_the_bath(state: State, need: PourNeed) -> tuple[ev.Fact, ...]:
    """The fact that goes on record along with a turn of the flame: a jug that stood outside the bath is put back into it.
    None where it is there."""
    jug = state.jugs.get(need.layer)
    return () if jug is None or jug.where == "bath" else (ev.JugStands(layer=need.layer, where="bath"),)


def held_for(outlook: Outlook, need: PourNeed, now: float) -> str:
    """Why a low flame burns, in a sentence: for which pour it holds the wax hot, or warms it where it is not hot enough
    yet."""
    if not outlook.warmer_than(need.least, now):
        return warmed_for(outlook, need, now)
    return tr(
        "It holds the wax hot for {colour}, {when}.", colour=outlook.colour(need.layer), when=_when(need, now)
    )


def warmed_for(outlook: Outlook, need: PourNeed, now: float) -> str:
    """Why a low flame burns that warms wax, in a sentence: for which pour."""
    colour, when = outlook.colour(need.layer), _when(need, now)
    if outlook.state.burner == "on":
        return tr(
            "The hot bath warms {colour} on, and the low flame holds it; {when}.", colour=colour, when=when
        )
    return tr("It warms {colour} slowly, {when}.", colour=colour, when=when)


def _when(need: PourNeed, now: float) -> str:
    """When a pour is wanted, as part of a sentence."""
    return tr("wanted about {clock}", clock=clock(need.at, now)) if need.at > now else tr("wanted now")


def read_first(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], switch: Act, now: float
) -> list[Act]:
    """A turn of the burner that is due; with a reading in front of it, where the forecast is too unsure to turn anything
    by. A flame that goes down is safe whatever a thermometer shows: where the wax may be over its ceiling nobody reads first."""
    if goes_down(switch, state.burner) and _may_be_over(outlook, now):
        return [replace(switch, urgency=Urgency.FIRST)]
    if not wanted or not wants_a_reading(state, outlook, now):
        return [switch]
    read = read_act(state, outlook, *where_to_read(state, outlook, wanted), switch.due - MOMENT)
    return [replace(read, urgency=switch.urgency, why=NOT_BY_A_GUESS), switch]


def goes_down(switch: Act, burner: Burner) -> bool:
    """Whether a turn of the burner puts the flame out or lower."""
    if switch.kind == "heat low":
        return burner == "on" or switch.id.what == knob_act("lower")
    return switch.kind == "heat off"


def _may_be_over(outlook: Outlook, now: float) -> bool:
    """Whether the wax may be over its ceiling, by the hot side of the forecast."""
    return outlook.pot is not None and outlook.pot.at(now)[2] >= outlook.ceiling_c


def first_need(wanted: Sequence[PourNeed]) -> PourNeed | None:
    """The pour that comes first; None where none is to come."""
    return wanted[0] if wanted and wanted[0].at < float("inf") else None
