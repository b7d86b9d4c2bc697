"""What the stove asks for: heat on and off, with the readings, jugs and looks at the bath that go with it.

Worked back from the moulds (`heat_plan.py`): wax has to be hot, coloured and scented when a window is
open, and the burner has no business being on for longer than that takes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.additions import addition, amounts
from pourday.guide.acts.cautions import heat
from pourday.guide.acts.durations import HANDS, IDLE_HEAT, JUG_LEAD
from pourday.guide.acts.heat_plan import PourNeed, fit_from, lead, light_at, needs
from pourday.guide.acts.jug_acts import SCENT, colour_drops, jug_due, next_jug
from pourday.guide.acts.load_pot import LOAD, load_pot
from pourday.guide.acts.pour_heat import NEAR_CEILING
from pourday.guide.acts.stove_reads import (
    BEFORE_HEAT,
    NOT_BY_A_GUESS,
    READ_SOONEST,
    WARM_ENOUGH,
    heat_to,
    last_wax_reading,
    long_unread,
    read_act,
    read_cooling,
    read_lit,
    unread_since_lit,
    wants_a_reading,
    water_check,
    where_to_read,
)
from pourday.guide.acts.wording import heat_off_says, heat_on_says
from pourday.guide.outlook.absence import absence, burner_put_off
from pourday.guide.outlook.blend_parts import melt_order, still_out
from pourday.guide.outlook.jugs import MOMENT, standing_jugs
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import CARRIES_MOST, carries_to
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State
from pourday.times import MINUTE, clock, letters, span

__all__ = ["SCENT", "burner_question", "stove_acts"]


REACTS = 60.0
"""s until a burner that is asked off is off. An estimate of ours."""
CARRIES_ON = 3 * MINUTE
"""A bath that was just turned off is left so long to warm its wax further. An estimate of ours."""
TOO_HOT = frozenset({"ceiling", "dry pot"})
NEVER_LEFT_OUT = ("burner?", "heat off")
"""What a person may put off, but what comes back as long as its cause is there."""


def stove_acts(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[Act]:
    """Acts of the stove, given what the moulds will ask for."""
    wanted = needs(state, outlook, moulds, now)
    free = hands_free(state, outlook, moulds, now)
    acts = [
        *load_pot(state, outlook),
        *_burner(state, outlook, wanted, now, free),
        *next_jug(state, outlook, wanted, free),
        *colour_drops(state, outlook, now, free),
        *addition(state, outlook, now),
    ]
    if state.burner != "off":
        if not any(act.kind == "read" for act in acts):
            acts += read_lit(state, outlook, wanted, now)
        acts.append(water_check(state))
    elif not any(act.kind == "heat on" and act.due <= now for act in acts):
        cooling = read_cooling(state, outlook, wanted, now)
        # The same reading is wanted once, and by whichever wants it sooner.
        acts = [act for act in acts if act.kind != "read" or not cooling] + cooling
    return [act for act in acts if act.id not in state.waived or act.kind in NEVER_LEFT_OUT]


def burner_question() -> Question:
    """Whether the burner is lit."""
    return Question(
        "The burner is:",
        (
            Choice("o", "off", (ev.BurnerSet(state="off"),)),
            Choice("l", "lit", (ev.BurnerSet(state="on"),)),
            Choice("w", "lit, low", (ev.BurnerSet(state="low"),)),
        ),
    )


def hands_free(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> float:
    """From when on there is time for a job of many minutes: not while a firm mould waits for its jug to be right."""
    waiting = [
        max(now, fit) + HANDS["pour"] * len(act.moulds)
        for act in moulds
        if act.kind == "pour"
        and act.closes is not None
        and act.due <= now
        and (act.layer or 0) in state.jugs
        and (fit := fit_from(state, outlook, act, now)) > now
    ]
    return min(max(waiting, default=now), now + JUG_LEAD)


def _burner(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float) -> list[Act]:
    """What is to be done at the burner: asked about, lit or turned off."""
    if state.burner == "unknown":
        return [
            Act(
                id=ActId("burner?"),
                kind="burner?",
                word="HEAT?",
                says="Nobody watched the stove meanwhile. Look at the burner first: is it lit?",
                why="Until somebody has looked, an unknown burner counts as lit.",
                due=state.burner_since,
                caution=heat(state),
                question=burner_question(),
                # Asked before anything else, until the person put it off: then what is due goes on before it.
                urgency=Urgency.UNHURRIED if burner_put_off(state) else Urgency.FIRST,
            )
        ]
    if state.burner == "on":
        off = _heat_off(state, outlook, wanted, now, free)
        if off is None or off.urgency is Urgency.FIRST or off.due > now:
            return [off] if off else []
        return _read_first(state, outlook, wanted, off, now)
    on = _heat_on(state, outlook, wanted, now)
    if on and not TOO_HOT.isdisjoint(state.alarms):
        # Too hot when it was last seen: a reading, not the forecast, lets it be lit again.
        return read_lit(state, outlook, wanted, now)
    if on is None:
        return []
    if free > now:
        # A turn of the knob, and the wax warms while both hands do the rest; a mould that waits for it comes first.
        on = replace(on, urgency=Urgency.QUICK)
    if _just_back(state, now):
        # What waits is looked at while the wax warms; it is wanted when that is done.
        on = replace(on, urgency=Urgency.FIRST)
    if long_unread(state, outlook, now):
        read = read_act(state, outlook, *where_to_read(state, outlook, wanted), on.due - MOMENT)
        return [replace(read, urgency=on.urgency, why=BEFORE_HEAT), on]
    return _read_first(state, outlook, wanted, on, now) if on.due <= now else [on]


def _read_first(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], switch: Act, now: float
) -> list[Act]:
    """A turn of the burner that is due, after the reading that it wants first."""
    if not wanted or not wants_a_reading(state, outlook, now):
        return [switch]
    read = read_act(state, outlook, *where_to_read(state, outlook, wanted), switch.due - MOMENT)
    return [replace(read, urgency=switch.urgency, why=NOT_BY_A_GUESS), switch]


def _just_back(state: State, now: float) -> bool:
    """Whether somebody has come back, has read the wax, and has not yet been through all that is open."""
    gap, last = absence(state, now), last_wax_reading(state)
    return gap is not None and state.away_since is None and last is not None and last.t >= (gap.end or now)


def _carried_on(state: State, outlook: Outlook, need: PourNeed, now: float) -> float:
    """Until when a bath that was just turned off is left to carry its wax on, unless it was read since or is far off."""
    last = last_wax_reading(state)
    read_since = last is not None and last.t > state.burner_since + MINUTE
    # What was found off was not turned off just now.
    found_off = state.burner_spans[-1:] and state.burner_spans[-1].what == "unknown"
    if read_since or found_off or not outlook.warmer_than(need.celsius - CARRIES_MOST, now):
        return 0.0
    return state.burner_since + CARRIES_ON


def _heat_on(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> Act | None:
    """Lighting the burner for the pour that wants it first; None where none does."""
    first = not state.burner_spans
    lightings = [(light_at(outlook, need, now), need) for need in wanted]
    times = [(t, need) for t, need in lightings if t is not None]
    if not times:
        return None
    t, need = min(times, key=lambda pair: pair[0])
    due = (state.fixed_at or now) if first else max(t, _carried_on(state, outlook, need, now))
    says = heat_on_says(outlook)
    if need.drawn:
        jug = outlook.jug_name(need.layer) if len(standing_jugs(state)) > 1 else "the jug"
        says = (
            f"Stand {jug} in the bath and light the burner; wax to {outlook.degrees(need.celsius)}, "
            f"ceiling {outlook.degrees(outlook.ceiling_c)}."
        )
    if first and LOAD not in state.waived:
        says += f" {_what_first(state, outlook)}"
    return Act(
        id=ActId("heat on", nth=round(state.burner_since)),
        kind="heat on",
        word="HEAT ON",
        layer=need.layer if need.drawn else None,
        says=says,
        why="Everything waits for the melt." if first else _why_now(outlook, need, now),
        due=due,
        caution=heat(state),
        records=(ev.BurnerSet(state="on"), *_back_in_the_bath(state, need)),
        urgency=Urgency.USUAL,
    )


def _back_in_the_bath(state: State, need: PourNeed) -> tuple[ev.Fact, ...]:
    """What else is done by doing so: the jug that was out of the bath stands in it again."""
    jug = state.jugs.get(need.layer)
    return () if jug is None or jug.where == "bath" else (ev.JugStands(layer=need.layer, where="bath"),)


def _what_first(state: State, outlook: Outlook) -> str:
    """How much wax there is to melt, and what goes in first."""
    whole = outlook.mass(outlook.paper.total_wax)
    order = melt_order(state.plan, outlook.sheet)
    if order is None:
        return f"{whole} of wax in all."
    return f"Begin with {amounts(outlook, order.first)}, of {whole} in all."


def _why_now(outlook: Outlook, need: PourNeed, now: float) -> str:
    """For what the burner is lit now, in a sentence."""
    takes = span(max(60.0, lead(outlook, need, now)))
    what = f"{outlook.colour(need.layer)} for {letters(need.moulds)}"
    colouring = "" if need.drawn else f", {span(JUG_LEAD)} of them to draw and colour the jug"
    wanted = f"is wanted about {clock(need.at, now)}" if need.at > now else "is wanted now"
    return f"Hot {what} {wanted}; warming up takes about {takes} by the forecast{colouring}."


def _heat_off(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> Act | None:
    """Turning the burner off, and why; None where it is still wanted."""
    need = wanted[0] if wanted and wanted[0].at < float("inf") else None
    hot = outlook.hot_at(outlook.ceiling_c - NEAR_CEILING, now)
    target = heat_to(outlook, wanted, now)
    # While some of the wax is still to be put in, the heat is not there to pour by.
    enough = None if still_out(state, outlook.sheet) else _enough(outlook, target, now)
    if enough is not None and unread_since_lit(state, outlook):
        # Where it began is not known: one reading first.
        enough = max(enough, state.burner_since + READ_SOONEST + MINUTE)
    if need is None:
        due, why = now, "No pour needs hot wax any more."
    elif free <= now and jug_due(state, outlook, wanted, now):
        due, why = now, "The jug is drawn and scented with the flame out; the bath holds its heat meanwhile."
    elif enough is not None and need.at - max(now, enough) > IDLE_HEAT:
        back = need.at - lead(outlook, need, now)
        due = max(now, enough)
        why = f"Nothing is poured before {clock(need.at)}; light it again about {clock(back)}."
    elif enough is not None and (hot is None or enough <= hot):
        due, why = enough, f"The bath carries the wax on to {outlook.degrees(target)} by itself."
    elif hot is not None:
        due = hot
        why = f"The ceiling of this wax is {outlook.degrees(outlook.ceiling_c)}; a full bath holds the heat."
    else:
        return None
    return Act(
        id=ActId("heat off"),
        kind="heat off",
        word="HEAT OFF",
        says=heat_off_says(why),
        why=why,
        due=due,
        records=(ev.BurnerSet(state="off"),),
        # A turn of the knob: before what takes both hands for minutes, or the wax runs on past where it is wanted;
        # at its ceiling before everything.
        urgency=Urgency.FIRST if hot is not None and hot <= now else Urgency.QUICK,
    )


def _enough(outlook: Outlook, target: float, now: float) -> float | None:
    """When the bath is hot enough to carry the wax to its target by itself; None where it does not get there."""
    if outlook.pot is not None and carries_to(outlook.pot, target - WARM_ENOUGH, now + REACTS):
        return now
    return outlook.hot_at(target - WARM_ENOUGH, now)
