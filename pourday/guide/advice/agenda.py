"""The agenda: everything ahead, in clock order, with what can be done in one go put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.bath_on_the_way import with_water
from pourday.guide.acts.heat_plan import delay_until_jug_fits, fit_from, jug_reading
from pourday.guide.acts.mould_acts import mould_acts
from pourday.guide.acts.pour_effect import with_remelt
from pourday.guide.acts.pour_heat import FALLS_SURELY, kelvin_outside, pour_range, wanted_c, with_pour_range
from pourday.guide.acts.pour_size import sized
from pourday.guide.acts.sharing import (
    collision,
    delay_for_shared_jug,
    look_when_its_jug_is_hot,
    merge_same_acts,
)
from pourday.guide.acts.stove_acts import stove_acts
from pourday.guide.acts.timers import timer_acts
from pourday.guide.acts.wording import cured_says
from pourday.guide.advice.day_end import day_end
from pourday.guide.advice.far import far_acts, with_dates
from pourday.guide.ahead.day import Step
from pourday.guide.outlook.balance import balance_words
from pourday.guide.outlook.moulds import on_bench
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.follow_up import pour_words
from pourday.guide.rescue.in_agenda import with_rescues
from pourday.language import tr
from pourday.plan.own_layers import stays
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import MouldState, State
from pourday.times import clock, days, letters

NEWS_FOR = 600.0
"""Seconds for which it is said what a look taught. An estimate of ours."""


def agenda(
    state: State,
    outlook: Outlook,
    now: float,
    clock: PersonsClock | None = None,
    far: Sequence[Step] = (),
    too_much: str = "",
) -> tuple[Act, ...]:
    """Every act that can be seen ahead, by when it falls due.

    `clock` is the person's, else the usual one; `far` the steps of the day worked out `ahead`, where known, and
    `too_much` what of that day is too much for one pair of hands: it is said before the burner is lit.
    """
    if state.fixed_plan is None or state.finished_at is not None:
        return ()
    persons = (clock or PersonsClock()).of(state)
    of_moulds = with_rescues(state, outlook, mould_acts(state, outlook, persons), now, persons)
    moulds = merge_same_acts(
        delay_for_shared_jug(state, outlook, [with_pour_range(state, outlook, act) for act in of_moulds]),
        now,
        lambda act: now if act.between is None else fit_from(state, outlook, act, now),
        state.told.act if state.told is not None else "",
    )
    stove = stove_acts(state, outlook, moulds, now)
    if too_much and not state.burner_spans:
        stove = [replace(a, caution=f"{too_much} {a.caution}") if a.kind == "heat on" else a for a in stove]
    end = day_end(state, outlook, moulds, persons, now, far)
    finish = _finish(state, outlook, moulds, now)
    if finish:
        moulds = []
    moulds = _with_news(_in_order(state, outlook, moulds, now), state, outlook, now)
    moulds = [look_when_its_jug_is_hot(state, outlook, act, now) for act in moulds]
    moulds = [
        _worded(sized(delay_until_jug_fits(state, outlook, act, now), outlook, now), outlook, now)
        for act in moulds
    ]
    stove = with_water(state, outlook, [*moulds, *stove], now)
    acts = [*stove, *timer_acts(state, now), *end, *finish]
    acts = [*with_dates(far, acts, now), *far_acts(far, acts, now)]
    return tuple(sorted(acts, key=lambda act: (act.due, act.urgency, str(act.id))))


def order_now(acts: Sequence[Act], now: float) -> list[Act]:
    """What is due, the most pressing first: danger, then what closes soonest, then what waited longest."""
    due = [act for act in acts if act.due <= now]
    return sorted(due, key=lambda act: (act.urgency, act.closes or float("inf"), act.due, str(act.id)))


def _in_order(state: State, outlook: Outlook, acts: Sequence[Act], now: float) -> list[Act]:
    """The acts, the first of those pours that get in each other's way saying so."""
    order, says = collision(state, outlook, acts, now)
    if not says:
        return list(acts)
    first = next(a for a in acts if a.kind in ("pour", "look") and set(a.moulds) & set(order[:1]))
    return [replace(a, caution=f"{says} {a.caution}".strip()) if a is first else a for a in acts]


def _with_news(acts: Sequence[Act], state: State, outlook: Outlook, now: float) -> list[Act]:
    """What the newest look taught of this kitchen, said for a while with the mould act that comes first."""
    looks = [look.t for mould in state.moulds.values() for look in mould.looks]
    ahead = [act for act in acts if act.kind in ("look", "pour", "top-up")]
    if not outlook.news or not ahead or now - max(looks, default=now) > NEWS_FOR:
        return list(acts)
    first = min(ahead, key=lambda act: act.due)
    return [replace(a, caution=f"{outlook.news} {a.caution}".strip()) if a is first else a for a in acts]


def _worded(act: Act, outlook: Outlook, now: float) -> Act:
    """A pour with its sentence, and with cautions about the jug and about what a pour made now will do; of candles that have
    cured together one sentence."""
    if act.kind == "cure" and act.window is not None:
        return replace(act, says=cured_says(outlook, act.moulds, act.window.late))
    if act.kind not in ("plug", "pour", "top-up"):
        return act
    jug = jug_reading(outlook.state, act.layer or 0, now)
    read = jug.celsius if jug is not None else None
    over = kelvin_outside(pour_range(outlook.state, outlook, act), read) if read is not None else 0.0
    if jug is not None and act.due <= now and over and not 0 < over <= FALLS_SURELY:
        # It had time to fall or to warm since; what it is now only the thermometer says.
        when = tr(
            "The jug read {degrees} at {clock}: read it again before you pour.",
            degrees=outlook.degrees(jug.celsius),
            clock=clock(jug.t),
        )
        return replace(_said(act, outlook), caution=f"{when} {act.caution}")
    act = with_remelt(act, outlook, now, read)
    if over > 0 and act.due > now:
        # A wait says no cautions: what has to be done meanwhile stands in its sentence.
        act = replace(act, says=f"{_jug_off_range(act, outlook, read)} {act.says}")
    cautions = (
        "" if over > 0 else _jug_off_range(act, outlook, read),
        _what_it_does(act, outlook, now, read),
        act.caution,
    )
    return replace(_said(act, outlook), caution=" ".join(caution for caution in cautions if caution))


def _said(act: Act, outlook: Outlook) -> Act:
    """A pour with its sentence, and what somebody decided about it on a rescue card."""
    return replace(
        act, says=f"{act.says} {pour_words(outlook.state, outlook, act.moulds, act.layer or 0)}".strip()
    )


def _jug_off_range(act: Act, outlook: Outlook, read: float | None) -> str:
    """A caution where the jug was just read hotter or colder than the moulds of this pour should get."""
    if read is None or act.layer is None:
        return ""
    wanted = wanted_c(outlook.state, outlook, act)
    low, high = pour_range(outlook.state, outlook, act)
    said = tr("The jug read {degrees}:", degrees=outlook.degrees(read))
    if (off := kelvin_outside((low, high), read)) > 0:
        return tr(
            "{said} let it fall to {degrees} before you pour, then stand it back in the bath.",
            said=said,
            degrees=outlook.degrees(min(wanted)),
        )
    if off < 0:
        return tr(
            "{said} stand it in the hot bath up to {degrees}, or the colours may not fuse.",
            said=said,
            degrees=outlook.degrees(max(wanted)),
        )
    return ""


def _what_it_does(act: Act, outlook: Outlook, now: float, read: float | None) -> str:
    """What a late, cold or too early pour will do, said before it is made; nothing for one that will weld."""
    if act.kind != "pour" or not act.layer or act.due > now:
        return ""
    said = []
    off = read is not None and kelvin_outside(pour_range(outlook.state, outlook, act), read) < 0
    for letter in act.moulds:
        planned = outlook.sheet.pour(letter, act.layer).pour_c
        forecast = outlook.mould(letter)
        late = forecast is not None and (forecast.empty or act.late(now) > 0)
        rescued = pour_words(outlook.state, outlook, letter, act.layer)
        if rescued or (not off and not late):
            continue
        verdict = outlook.foresee(letter, now, read if read is not None else planned)
        if verdict is not None and verdict.outcome != "welds":
            said.append(tr("{letter}, poured now: {words}", letter=letter, words=verdict.words))
    return " ".join(said)


def _is_open(state: State, mould: MouldState, cured: str) -> bool:
    """Whether a candle is not out of its mould; of one that stays in its vessel, whether its cure goes on. `cured` has the
    letters of those that may be tested."""
    if stays(state.plan, mould.letter):
        return mould.letter not in cured and ActId("cure", mould.letter) not in state.waived
    return mould.demoulded_at is None


def _finish(state: State, outlook: Outlook, moulds: Sequence[Act], now: float) -> list[Act]:
    """The last act of all, once every mould on the bench is out and cured; nothing before. That the last of them may be tested
    is said with it."""
    cures = [act for act in moulds if act.kind == "cure" and act.due <= now]
    cured = "".join(act.moulds for act in cures)
    here = [m for m in state.moulds.values() if m.letter in on_bench(state)]
    used = [m for m in here if not state.given_up(m.letter)]
    if not here or len(cures) < len(moulds) or any(_is_open(state, mould, cured) for mould in used):
        return []
    names = letters("".join(sorted(m.letter for m in used))) or tr("The moulds")
    balance = f"{balance_words(state)}." if any(m.pours for m in used) else ""
    tested = " ".join(dict.fromkeys(act.says for act in cures)) or tr(
        "{names} may be burn-tested; ready to give after {days} of cure.",
        names=names,
        days=days(outlook.cure_days[1]),
    )
    return [
        Act(
            id=ActId("finish"),
            kind="finish",
            word=tr("FINISH"),
            says=tr(
                "{tested} “Done” closes the record; it stays to be read and repeated. {balance}",
                tested=tested,
                balance=balance,
            ).rstrip(),
            why=tr("Nothing of this session is open any more."),
            due=now,
            caution=cures[0].caution if cures else "",
            records=(ev.Finished(),),
            urgency=Urgency.LAST,
        )
    ]
