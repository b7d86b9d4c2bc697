"""What the stove asks for: heat on and off, readings, water, the next jug, a drop of its colour.

Worked back from the moulds (`heat_plan.py`): wax has to be hot, coloured and scented when a window is
open, and the burner has no business being on for longer than that takes.
"""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.absence import burner_put_off
from pourday.guide.act import Act, Choice, Question
from pourday.guide.heat_plan import (
    JUG_HOT,
    JUG_LEAD,
    Need,
    lead,
    light_at,
    needs,
)
from pourday.guide.outlook import Outlook
from pourday.guide.pot_outlook import carries_to
from pourday.guide.words import clock, span
from pourday.session import events as ev
from pourday.session.events import Place
from pourday.session.state import ReadingAt, State
from pourday.units import show_share

__all__ = ["JUG_HOT", "JUG_LEAD", "burner_question", "stove_acts", "water_seen_lit"]

MINUTE = 60.0

READ_EVERY = 8 * MINUTE
"""Sooner than the watch, so that a person who follows the guide never hears it."""
OLD = 15 * MINUTE
"""A reading so long before the burner was lit again says little of where it begins. An estimate of ours."""
READ_MOLTEN = 4 * MINUTE
"""Melting is the slow half, the last degrees are quick, so the end is watched (common practice, no source)."""
READ_SOONEST = 3 * MINUTE
"""Readings closer than this teach the forecast little."""
WATER_EVERY = 15 * MINUTE
"""Common practice, no source: look at the bath every 10-15 min that the burner is lit."""
MISSED = 2.5
"""K by which the forecast may begin above the last reading and still be a guide to turn the burner off by."""
REACTS = 60.0
"""s until a burner that is asked off is off. An estimate of ours."""
IDLE_HEAT = 25 * MINUTE
"""A longer wait than this is spent with the burner off. An estimate of ours."""
NEAR_CEILING = 5.0
"""K below the ceiling where heat goes off (NUREG-0700: set points leave room to act)."""
WARM_ENOUGH = 1.0
"""K below the target that a thermometer and a forecast cannot tell from it."""

HEAT = "Stay in the room while the burner is on; lid and extinguisher at hand. Your supplier's sheet and local rules decide."
SCENT = "Off the flame for scent: its vapour can catch fire. Follow the supplier's sheet."

TOO_HOT = frozenset({"ceiling", "dry pot"})
NEVER_LEFT_OUT = ("burner?", "heat off")
"""What a person may put off, but what comes back as long as its cause is there."""


def stove_acts(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[Act]:
    """Acts of the stove, given what the moulds will ask for."""
    wanted = needs(state, outlook, moulds, now)
    acts = [
        *_burner(state, outlook, wanted, now),
        *_jug(state, outlook, wanted, now),
        *_drops(state, outlook),
    ]
    if state.burner != "off":
        acts += [*_read(state, outlook, wanted, now), _water(state)]
    return [act for act in acts if act.id not in state.waived or act.kind in NEVER_LEFT_OUT]


def burner_question() -> Question:
    return Question(
        "The burner is:",
        (
            Choice("o", "off", (ev.BurnerSet(state="off"),)),
            Choice("l", "lit", (ev.BurnerSet(state="on"),)),
        ),
    )


def _burner(state: State, outlook: Outlook, wanted: Sequence[Need], now: float) -> list[Act]:
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
                # Asked before anything else, until the person put it off: then what is due goes on before it.
                urgency=6 if burner_put_off(state) else 0,
            )
        ]
    if state.burner == "on":
        off = _heat_off(state, outlook, wanted, now)
        return [off] if off else []
    on = _heat_on(state, outlook, wanted, now)
    if on and not TOO_HOT.isdisjoint(state.alarms):
        # Too hot when it was last seen: a reading, not the forecast, lets it be lit again.
        return _read(state, outlook, wanted, now)
    return [on] if on else []


def _heat_on(state: State, outlook: Outlook, wanted: Sequence[Need], now: float) -> Act | None:
    first = not state.burner_spans
    found = [(light_at(outlook, need, now), need) for need in wanted]
    times = [(t, need) for t, need in found if t is not None]
    if not times:
        return None
    t, need = min(times, key=lambda pair: pair[0])
    due = (state.fixed_at or now) if first else t
    says = f"Light the burner under the bath; wax to {outlook.degrees(outlook.melt_c)}"
    if need.drawn:
        says = f"Stand the jug in the bath and light the burner; wax to {outlook.degrees(need.celsius)}"
    says += f", ceiling {outlook.degrees(outlook.ceiling_c)}."
    if first:
        says += f" {outlook.mass(outlook.sheet.total)} in all, hardest wax first."
    return Act(
        id=f"heat on {state.burner_since:.0f}",
        kind="heat on",
        word="HEAT ON",
        says=says,
        why="Everything waits for the melt." if first else _why_now(outlook, need, now),
        due=due,
        caution=HEAT,
        files=(ev.BurnerSet(state="on"),),
        urgency=4,
    )


def _why_now(outlook: Outlook, need: Need, now: float) -> str:
    takes = span(max(60.0, lead(outlook, need, now)))
    what = f"{outlook.colour(need.layer)} for {' and '.join(need.moulds)}"
    colouring = "" if need.drawn else f", {span(JUG_LEAD)} of them to draw and colour the jug"
    wanted = f"is wanted about {clock(need.at, now)}" if need.at > now else "is wanted now"
    return f"Hot {what} {wanted}; warming up takes about {takes} by the forecast{colouring}."


def _heat_off(state: State, outlook: Outlook, wanted: Sequence[Need], now: float) -> Act | None:
    need = wanted[0] if wanted else None
    hot = outlook.hot_at(outlook.ceiling_c - NEAR_CEILING, now)
    target = outlook.melt_c if need is None or not need.drawn else need.celsius
    enough = _enough(outlook, target, now)
    if enough is not None and _unread(state, outlook):
        # Where it began is not known: one reading first.
        enough = max(enough, state.burner_since + READ_SOONEST + MINUTE)
    if need is None:
        due, why = now, "No pour needs hot wax any more."
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
        id="heat off",
        kind="heat off",
        word="HEAT OFF",
        says=f"Burner off. {why}",
        why=why,
        due=due,
        files=(ev.BurnerSet(state="off"),),
        urgency=1 if hot is not None and hot <= now else 5,
    )


def _unread(state: State, outlook: Outlook) -> bool:
    """Whether nothing says how warm the wax was when the burner was lit: too old a reading, or one that the
    forecast does not follow."""
    last = last_wax_reading(state)
    if last is None or last.t >= state.burner_since + MINUTE:
        return False
    missed = outlook.pot is not None and outlook.pot.at(state.burner_since)[1] > last.celsius + MISSED
    return missed or state.burner_since - last.t > OLD


def last_wax_reading(state: State) -> ReadingAt | None:
    """The newest reading of wax in the bath, pot or jug."""
    found = (state.last_reading("pot"), state.last_reading("jug"))
    return max((r for r in found if r is not None), key=lambda r: r.t, default=None)


def _known_cooler(last: ReadingAt | None, target: float) -> bool:
    return last is not None and last.celsius < target - WARM_ENOUGH


def _enough(outlook: Outlook, target: float, now: float) -> float | None:
    """When the bath is hot enough to carry the wax to its target by itself; None where it does not get there."""
    if outlook.pot is not None and carries_to(outlook.pot, target - WARM_ENOUGH, now + REACTS):
        return now
    return outlook.hot_at(target - WARM_ENOUGH, now)


def _read(state: State, outlook: Outlook, wanted: Sequence[Need], now: float) -> list[Act]:
    jug = bool(wanted and wanted[0].drawn)
    place: Place = "jug" if jug else "pot"
    target = wanted[0].celsius if jug else outlook.melt_c
    last = last_wax_reading(state)
    since = max(last.t if last else 0.0, state.burner_since)
    molten = last is not None and last.celsius >= outlook.wax.solidus_c
    due = since + (READ_MOLTEN if molten and _known_cooler(last, target) else READ_EVERY)
    reached = outlook.pot_reaches(target)
    if last is None or last.celsius < target - WARM_ENOUGH:
        # A late look at the thermometer costs more than an early one.
        due = min(due, max(reached.early, since + READ_SOONEST))
    if _unread(state, outlook):
        # Nobody knows how far it cooled meanwhile.
        due = min(due, since + READ_SOONEST)
    if state.burner == "on":
        # Sooner where the wax may already be close to its ceiling: the likely path is no safeguard.
        due = min(due, max(outlook.pot_reaches(outlook.ceiling_c - NEAR_CEILING).early, since + READ_SOONEST))
    return [
        Act(
            id=f"read {0 if last is None else last.seq}",
            kind="read",
            word=f"READ {place.upper()}",
            says=(
                f"Stir, then read the {place} and type it. Target {outlook.degrees(target)}"
                + ("; lift the jug out once it is there." if jug else ".")
            ),
            why="The forecast rests on readings; wax gives no sign before it smokes.",
            due=due,
            window=reached if reached.likely > now else None,
            place=(place, ""),
            urgency=5,
        )
    ]


def water_seen_lit(state: State, now: float) -> float:
    """Seconds the burner was lit since the bath was last looked at."""
    seen = state.water_seen_at or 0.0
    return sum(
        max(0.0, (span.end if span.end is not None else now) - max(span.start, seen))
        for span in state.burner_spans
        if span.end is None or span.end > seen
    )


def _water(state: State) -> Act:
    lit = state.burner_spans[-1].start if state.burner_spans else 0.0
    since = max(state.water_seen_at or 0.0, lit)
    before = water_seen_lit(state, since)
    return Act(
        id=f"water {state.water_seen_at or 0.0:.0f}",
        kind="water",
        word="WATER",
        says="Look at the bath: water well up the side of the wax pot. Top up with hot water, never into a dry hot pot.",
        why="While water is left the wax cannot pass the boiling point; dry, it can.",
        due=since + max(0.0, WATER_EVERY - before),
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


def _jug(state: State, outlook: Outlook, wanted: Sequence[Need], now: float) -> list[Act]:
    """The jug of the next layer that has none; one at a time."""
    missing = [need for need in wanted if not need.drawn]
    if not missing:
        return []
    need = min(missing, key=lambda n: (n.layer, n.at))
    at = need.at if need.at < float("inf") else now
    ready = outlook.pot_ready(now)
    return [
        Act(
            id=f"jug {need.layer}",
            kind="jug",
            word=f"JUG {need.layer + 1}",
            layer=need.layer,
            says=_jug_sentence(state, outlook, need.layer),
            why=f"Colour and scent need about {span(JUG_LEAD)} before the pour; in the bath the jug stays hot.",
            due=ready if need.layer == 0 else max(ready, at - JUG_LEAD),
            caution=SCENT,
            files=(ev.JugMade(layer=need.layer, planned_kg=outlook.sheet.jug(need.layer).wax),),
            place=("jug", ""),
            urgency=4,
        )
    ]


def _drops(state: State, outlook: Outlook) -> list[Act]:
    """A drop of every dyed jug is looked at before its wax is in a mould."""
    poured = {pour.layer for mould in state.moulds.values() for pour in mould.pours}
    acts = []
    for layer, jug in sorted(state.jugs.items()):
        if layer in poured or layer >= len(state.plan.layers) or state.plan.layers[layer].dye_load <= 0:
            continue
        colour = outlook.colour(layer)
        seen = ev.Waived(act=f"drop {layer}", why=f"{colour}: colour seen")
        acts.append(
            Act(
                id=f"drop {layer}",
                kind="drop",
                word=f"DROP {layer + 1}",
                layer=layer,
                says=f"Let a drop of {colour} set on white paper and look at its colour.",
                why="Molten wax looks darker than set wax; a set drop tells, and only darker can still be had.",
                due=jug.made_at,
                question=Question(
                    f"The set drop of {colour}:",
                    (
                        Choice("r", "right", (seen,)),
                        Choice("d", "too pale: dye added", (ev.Noted(text=f"Dye added to {colour}."), seen)),
                        Choice("p", "too dark: left so", (ev.Noted(text=f"{colour} is too dark."), seen)),
                    ),
                ),
                place=("jug", ""),
                urgency=4,
            )
        )
    return acts


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
