"""What the stove asks for: heat on and off, readings, water, the next jug.

Worked back from the moulds: wax has to be hot, coloured and scented when a window opens, and the
burner has no business being on for longer than that takes.
"""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.act import Act, Choice, Question
from pourday.guide.outlook import READY_WITHIN, Outlook
from pourday.guide.words import clock, span
from pourday.session import events as ev
from pourday.session.state import State
from pourday.units import show_share

MINUTE = 60.0

READ_EVERY = 8 * MINUTE
"""Sooner than the watch, so that a person who follows the guide never hears it."""
READ_SOONEST = 3 * MINUTE
"""Readings closer than this teach the forecast little."""
WATER_EVERY = 15 * MINUTE
"""Common practice, no source: look at the bath every 10-15 min."""
JUG_LEAD = 10 * MINUTE
"""To draw, colour, scent and stir one jug. An estimate of ours."""
JUG_HOT = 12 * MINUTE
"""A jug standing in a bath that cools stays fit to pour for about this long: it falls near 1 K a minute
(common practice, no source)."""
IDLE_HEAT = 25 * MINUTE
"""A longer wait than this is spent with the burner off. An estimate of ours."""
NEAR_CEILING = 5.0
"""K below the ceiling where heat goes off (NUREG-0700: set points leave room to act)."""
WARM_ENOUGH = 1.0
"""K below the target that a thermometer and a forecast cannot tell from it."""

HEAT = "Stay in the room while the burner is on; lid and extinguisher at hand. Your supplier's sheet and local rules decide."
SCENT = "Off the flame for scent: its vapour can catch fire. Follow the supplier's sheet."

NEEDS_WAX = ("plug", "pour", "top-up")
TOO_HOT = frozenset({"ceiling", "dry pot"})
NEVER_LEFT_OUT = ("burner?", "heat off")
"""What a person may put off, but what comes back as long as its cause is there."""


def stove_acts(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[Act]:
    """Acts of the stove, given what the moulds will ask for."""
    need = _next_need(state, moulds, now)
    acts = [*_burner(state, outlook, need, now), *_jug(state, outlook, moulds, now)]
    if state.burner != "off":
        acts += [*_read(state, outlook, now), _water(state)]
    return [act for act in acts if act.id not in state.waived or act.kind in NEVER_LEFT_OUT]


def _next_need(state: State, moulds: Sequence[Act], now: float) -> float | None:
    """When heat is wanted next; None when it is not wanted any more. A jug just made is still hot."""
    times = []
    for act in moulds:
        jug = state.jugs.get(act.layer if act.layer is not None else 0)
        if act.kind in ("plug", "pour", "decide", "look under") and jug and now - jug.made_at < JUG_HOT:
            continue
        if act.kind in NEEDS_WAX:
            times.append(act.due if act.due < float("inf") else now)
        elif act.kind == "look" and act.window:
            times.append(act.window.likely)
        elif act.kind in ("look under", "decide"):
            times.append(act.due)
    return min(times, default=None)


def burner_question() -> Question:
    return Question(
        "The burner is:",
        (
            Choice("o", "off", (ev.BurnerSet(state="off"),)),
            Choice("l", "lit", (ev.BurnerSet(state="on"),)),
        ),
    )


def _burner(state: State, outlook: Outlook, need: float | None, now: float) -> list[Act]:
    if state.burner == "unknown":
        return [
            Act(
                id="burner?",
                kind="burner?",
                word="HEAT?",
                says="Nobody watched the stove meanwhile. Look at the burner first: is it lit?",
                why="Until somebody has looked, an unknown burner counts as lit.",
                due=state.burner_since,
                caution=HEAT,
                question=burner_question(),
                urgency=0,
            )
        ]
    if state.burner == "on":
        off = _heat_off(outlook, need, now)
        return [off] if off else []
    on = _heat_on(state, outlook, need, now) if need is not None else None
    if on and not TOO_HOT.isdisjoint(state.alarms):
        # Too hot when it was last seen: a reading, not the forecast, lets it be lit again.
        return _read(state, outlook, now)
    return [on] if on else []


def _heat_on(state: State, outlook: Outlook, need: float, now: float) -> Act | None:
    first = not state.burner_spans
    lead = outlook.reheat
    cool = outlook.cool_at(outlook.pour_c - READY_WITHIN, now)
    if cool is None:
        return None
    due = (state.fixed_at or now) if first else max(cool, need - lead - JUG_LEAD)
    says = f"Light the burner under the bath; wax to {outlook.degrees(outlook.melt_c)}"
    says += f", ceiling {outlook.degrees(outlook.ceiling_c)}."
    if first:
        says += f" {outlook.mass(outlook.sheet.total)} in all, hardest wax first."
    return Act(
        id=f"heat on {state.burner_since:.0f}",
        kind="heat on",
        word="HEAT ON",
        says=says,
        why=(
            "Everything waits for the melt."
            if first
            else f"Hot wax is wanted about {clock(need)}; warming up takes about {span(lead)} by the forecast."
        ),
        due=due,
        caution=HEAT,
        files=(ev.BurnerSet(state="on"),),
        urgency=4,
    )


def _heat_off(outlook: Outlook, need: float | None, now: float) -> Act | None:
    hot = outlook.hot_at(outlook.ceiling_c - NEAR_CEILING, now)
    reached = outlook.hot_at(outlook.melt_c - WARM_ENOUGH, now)
    if need is None:
        due, why = now, "No pour needs hot wax any more."
    elif reached is not None and need - max(now, reached) > IDLE_HEAT:
        back = need - outlook.reheat - JUG_LEAD
        due, why = (
            max(now, reached),
            f"Nothing is poured before {clock(need)}; light it again about {clock(back)}.",
        )
    elif hot is not None:
        due, why = (
            hot,
            f"The ceiling of this wax is {outlook.degrees(outlook.ceiling_c)}; a full bath holds the heat.",
        )
    else:
        return None
    return Act(
        id="heat off",
        kind="heat off",
        word="HEAT OFF",
        says=f"Burner off. {why}",
        why=why,
        due=due,
        files=(ev.BurnerSet(state="off"),),
        urgency=3 if hot is not None and due >= hot else 5,
    )


def _read(state: State, outlook: Outlook, now: float) -> list[Act]:
    last = state.last_reading("pot")
    since = max(last.t if last else 0.0, state.burner_since)
    due = since + READ_EVERY
    reached = outlook.pot_reaches(outlook.melt_c)
    if last is None or last.celsius < outlook.melt_c - WARM_ENOUGH:
        due = min(due, max(reached.likely, since + READ_SOONEST))
    if state.burner == "on":
        # Sooner where the wax may already be close to its ceiling: the likely path is no safeguard.
        due = min(due, max(outlook.pot_reaches(outlook.ceiling_c - NEAR_CEILING).early, since + READ_SOONEST))
    return [
        Act(
            id=f"read {0 if last is None else last.seq}",
            kind="read",
            word="READ POT",
            says=f"Stir, then read the pot and type it. Target {outlook.degrees(outlook.melt_c)}.",
            why="The forecast rests on readings; wax gives no sign before it smokes.",
            due=due,
            window=reached if reached.likely > now else None,
            place=("pot", ""),
            urgency=5,
        )
    ]


def _water(state: State) -> Act:
    since = max(state.water_seen_at or 0.0, state.burner_spans[-1].start if state.burner_spans else 0.0)
    return Act(
        id=f"water {since:.0f}",
        kind="water",
        word="WATER",
        says="Look at the bath: water well up the side of the wax pot. Top up with hot water, never into a dry hot pot.",
        why="While water is left the wax cannot pass the boiling point; dry, it can.",
        due=since + WATER_EVERY,
        caution="Steam burns: lift the pot away from you.",
        question=Question(
            "Water enough?",
            (
                Choice("y", "yes, enough", (ev.WaterSeen(topped_up=False),)),
                Choice("t", "topped up", (ev.WaterSeen(topped_up=True),)),
                Choice(
                    "d",
                    "ran dry: burner off",
                    (ev.BurnerSet(state="off"), ev.Noted(text="The bath ran dry.")),
                ),
            ),
        ),
        urgency=3,
    )


def _jug(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[Act]:
    wanted: dict[int, float] = {}
    for act in moulds:
        layer, due = _wants_jug(state, act, now)
        if layer is not None and layer not in state.jugs:
            wanted[layer] = min(wanted.get(layer, due), due)
    if not wanted:
        return []
    layer = min(wanted)
    ready = outlook.pot_ready(now)
    due = ready if layer == 0 else max(ready, wanted[layer] - JUG_LEAD)
    return [
        Act(
            id=f"jug {layer}",
            kind="jug",
            word=f"JUG {layer + 1}",
            layer=layer,
            says=_jug_sentence(state, outlook, layer),
            why=f"Colour and scent need about {span(JUG_LEAD)} before the pour.",
            due=due,
            caution=SCENT,
            files=(ev.JugMade(layer=layer, planned_kg=outlook.sheet.jug(layer).wax),),
            place=("jug", ""),
            urgency=4,
        )
    ]


def _wants_jug(state: State, act: Act, now: float) -> tuple[int | None, float]:
    """The layer whose jug this act, or the pour it leads to, will need, and when."""
    if act.kind in ("plug", "pour", "decide"):
        # A pour that waits for its jug alone wants it now.
        return act.layer, act.due if act.due < float("inf") else now
    if act.kind == "look":
        last = state.moulds[act.moulds].last_pour
        following = last.layer + 1 if last else 0
        if following < len(state.plan.layers):
            return following, act.window.likely if act.window else act.due
    return None, 0.0


def _jug_sentence(state: State, outlook: Outlook, layer: int) -> str:
    jug = outlook.sheet.jug(layer)
    parts = [f"Draw {outlook.mass(jug.wax)} into a jug for {outlook.colour(layer)}"]
    if jug.dye > 0:
        form = {"liquid": "liquid dye", "pure": "dye", "block": "dye block"}[
            state.plan.layers[layer].dye_form
        ]
        parts.append(f"{jug.dye * 1000:.2g} g {form} ({show_share(state.plan.layers[layer].dye_load)})")
    if jug.scent > 0:
        parts.append(f"{outlook.mass(jug.scent)} scent, stirred slowly for a minute or two")
    return "; ".join(parts) + "."
