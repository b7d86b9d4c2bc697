"""What the stove asks for: the burner's turns (`burner_acts.py`), with the readings, jugs and looks at the bath that go with them.

Worked back from the moulds (`heat_plan.py`): wax has to be hot, coloured and scented when a window is open, and the
burner has no business being on for longer than that takes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act
from pourday.guide.acts.additions import addition
from pourday.guide.acts.burner_acts import burner_acts, burner_question
from pourday.guide.acts.durations import HANDS, JUG_LEAD
from pourday.guide.acts.flame_turns import OUT_FOR_JUGS, turn_off
from pourday.guide.acts.heat_plan import fit_from, needs
from pourday.guide.acts.jug_acts import SCENT, colour_drops, next_jug
from pourday.guide.acts.load_pot import load_pot
from pourday.guide.acts.stove_reads import read_cooling, read_lit, water_check
from pourday.guide.outlook.jugs import MOMENT
from pourday.guide.outlook.outlook import Outlook
from pourday.session.state import LIT, State
from pourday.times import MINUTE

__all__ = ["SCENT", "burner_question", "stove_acts"]

LOOK_AT_FLAME, BY_THEN = 22 * MINUTE, 2 * MINUTE
"""s for which a low flame is left to itself, and so much longer where something calls to the stove by then: well within its
watch. Estimates of ours."""
NEVER_LEFT_OUT = ("burner?", "heat off")
"""What a person may put off, but what comes back as long as its cause is there."""


def stove_acts(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[Act]:
    """Acts of the stove, given what the moulds will ask for."""
    wanted = needs(state, outlook, moulds, now)
    free = hands_free(state, outlook, moulds, now)
    acts = [
        *load_pot(state, outlook),
        *burner_acts(state, outlook, wanted, now, free),
        *next_jug(state, outlook, wanted, free),
        *colour_drops(state, outlook, now, free),
        *addition(state, outlook, now),
    ]
    acts = _out_before_jugs(state, acts)
    if state.burner != "off":
        lit = read_lit(state, outlook, wanted, now)
        # The same reading is wanted once, and by whichever wants it sooner.
        soonest = min((act.due for act in lit), default=now)
        asked = [act for act in acts if act.kind == "read"]
        acts = [replace(act, due=min(act.due, soonest)) if act in asked else act for act in acts]
        acts += lit if not asked else []
        to_do = [act for act in (*moulds, *acts) if act.id not in state.waived]
        acts.append(_seen_in_passing(state, water_check(state, outlook), to_do, now))
    elif not any(act.kind in ("heat on", "heat low") and act.due <= now for act in acts):
        cooling = read_cooling(state, outlook, wanted, now)
        # The same reading is wanted once, and by whichever wants it sooner.
        acts = [act for act in acts if act.kind != "read" or not cooling] + cooling
    return [act for act in acts if act.id not in state.waived or act.kind in NEVER_LEFT_OUT]


def _out_before_jugs(state: State, acts: Sequence[Act]) -> list[Act]:
    """The acts, a lit burner being put out before a jug is drawn: that takes both hands for minutes, and little wax over a
    flame passes its ceiling in them."""
    jug = next((act for act in acts if act.kind == "jug" and act.due < float("inf")), None)
    if state.burner not in LIT or jug is None:
        return list(acts)
    offs = [act for act in acts if act.kind == "heat off"]
    if not offs:
        return [*acts, turn_off(OUT_FOR_JUGS, jug.due - MOMENT)]
    return [replace(act, due=max(act.due, offs[0].due + MOMENT)) if act is jug else act for act in acts]


def _seen_in_passing(state: State, water: Act, others: Sequence[Act], now: float) -> Act:
    """The look at the bath, made sooner over a low flame that nobody had to come to for a while: whoever looks at the water
    sees the flame as well. What has to be done there soon in any case does as well."""
    if state.burner != "low":
        return water
    if state.told is not None and state.told.act == str(water.id) and water.due > state.told_at:
        # Who was sent to it is not called off by the key that says it is done.
        return replace(water, due=state.told_at)
    unseen = max(state.heard_at, state.burner_since) + LOOK_AT_FLAME
    comes = now < unseen + BY_THEN and any(act.due <= max(unseen, now) + BY_THEN for act in others)
    return water if comes or water.due <= unseen else replace(water, due=unseen)


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
