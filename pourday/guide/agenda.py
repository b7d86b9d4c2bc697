"""The agenda: everything ahead, in clock order, with what can be done in one go put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.act import Act
from pourday.guide.mould_acts import mould_acts, pour_sentence
from pourday.guide.outlook import STILL_READY, Outlook
from pourday.guide.stove_acts import stove_acts
from pourday.guide.words import letters
from pourday.session import events as ev
from pourday.session.state import State

TOGETHER = 600.0
"""Acts of one kind due within this many seconds of each other are done in one go."""
POUR_WITHIN = 3.0
"""K above the pour temperature that are let pass without a word. An estimate of ours."""
COLD_BY = 5.0
"""K below the pour temperature from which rings and weak seams are likely. An estimate of ours."""
MERGED = ("plug", "pour", "top-up", "relief", "cure")


def agenda(state: State, outlook: Outlook, now: float) -> tuple[Act, ...]:
    """Every act that can be seen ahead, by when it falls due."""
    if state.fixed_plan is None or state.finished_at is not None:
        return ()
    moulds = mould_acts(state, outlook)
    stove = stove_acts(state, outlook, moulds, now)
    acts = [*_together(moulds, outlook, now), *stove, *_timers(state), *_finish(state, moulds, now)]
    return tuple(sorted(acts, key=lambda act: (act.due, act.urgency, act.id)))


def order_now(acts: Sequence[Act], now: float) -> list[Act]:
    """What is due, the most pressing first: danger, then what closes soonest, then what waited longest."""
    due = [act for act in acts if act.due <= now]
    return sorted(due, key=lambda act: (act.urgency, act.closes or float("inf"), act.due, act.id))


def _together(acts: Sequence[Act], outlook: Outlook, now: float) -> list[Act]:
    """The same act on several moulds as one, each with its own weight and level."""
    merged: list[Act] = []
    for act in acts:
        fellow = next((i for i, other in enumerate(merged) if _same_go(other, act)), None)
        if fellow is None:
            merged.append(act)
        else:
            merged[fellow] = _join(merged[fellow], act)
    return [_worded(act, outlook, now) for act in merged]


def _same_go(one: Act, other: Act) -> bool:
    if one.kind != other.kind or one.kind not in MERGED or one.layer != other.layer:
        return False
    soonest = min(one.closes or float("inf"), other.closes or float("inf"))
    both_at = max(one.due, other.due)
    if one.due == other.due:
        return True
    return abs(one.due - other.due) <= TOGETHER and both_at <= soonest


def _join(one: Act, other: Act) -> Act:
    closes = [act.closes for act in (one, other) if act.closes is not None]
    return replace(
        one,
        id=f"{one.id}{other.moulds}",
        parts=(*(one.parts or (one.id,)), other.id),
        moulds=one.moulds + other.moulds,
        says=f"{one.says} {other.says}".strip(),
        due=max(one.due, other.due),
        closes=min(closes) if closes else None,
        files=one.files + other.files,
    )


def _worded(act: Act, outlook: Outlook, now: float) -> Act:
    if act.kind not in ("plug", "pour"):
        return act
    jug = outlook.state.last_reading("jug")
    read = jug.celsius if jug is not None and now - jug.t <= STILL_READY else None
    cautions = (_jug_off_range(act, outlook, read), _what_it_does(act, outlook, now, read))
    said = " ".join(caution for caution in cautions if caution)
    return replace(act, says=pour_sentence(outlook, act), caution=said or act.caution)


def _jug_off_range(act: Act, outlook: Outlook, read: float | None) -> str:
    """A caution where the jug was just read hotter or colder than the moulds of this pour should get."""
    if read is None or act.layer is None:
        return ""
    wanted = [outlook.sheet.pour(letter, act.layer).pour_c for letter in act.moulds]
    said = f"The jug read {outlook.degrees(read)}:"
    if read > min(wanted) + POUR_WITHIN:
        return f"{said} let it fall to {outlook.degrees(min(wanted))} before you pour."
    if read < max(wanted) - COLD_BY:
        return f"{said} stand it in the hot bath up to {outlook.degrees(max(wanted))}, or the colours may not fuse."
    return ""


def _what_it_does(act: Act, outlook: Outlook, now: float, read: float | None) -> str:
    """What a late, cold or too early pour will do, said before it is made; nothing for one that will weld."""
    if act.kind != "pour" or not act.layer or act.due > now:
        return ""
    said = []
    for letter in act.moulds:
        planned = outlook.sheet.pour(letter, act.layer).pour_c
        off = read is not None and read < planned - COLD_BY
        forecast = outlook.mould(letter)
        late = forecast is not None and (forecast.empty or now >= (forecast.closes or float("inf")))
        if not off and not late:
            continue
        found = outlook.foresee(letter, now, read if read is not None else planned)
        if found is not None and found.outcome != "welds":
            said.append(f"{letter}, poured now: {found.words}")
    return " ".join(said)


def _timers(state: State) -> list[Act]:
    return [
        Act(
            id=f"timer {timer.name}",
            kind="timer",
            word="TIMER",
            says=f"Your timer “{timer.name}” has run out.",
            why="You set it.",
            due=timer.due,
            files=(ev.TimerEnded(name=timer.name),),
            urgency=4,
        )
        for timer in state.timers
    ]


def _finish(state: State, moulds: Sequence[Act], now: float) -> list[Act]:
    done = state.moulds and all(m.demoulded_at is not None for m in state.moulds.values())
    if not done or moulds:
        return []
    names = letters("".join(sorted(state.moulds)))
    return [
        Act(
            id="finish",
            kind="finish",
            word="FINISH",
            says=f"{names} are through their cure. “Done” closes the record; it stays to be read and repeated.",
            why="Nothing of this session is open any more.",
            due=now,
            files=(ev.Finished(),),
            urgency=8,
        )
    ]
