"""What to do now: one word, one sentence, two numbers. Everything else on the screen is smaller."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pourday.guide.acts.act import Act, Kind, Urgency
from pourday.guide.acts.leaving import in_words, leave
from pourday.guide.acts.pour_heat import coming_layer
from pourday.guide.acts.stove_reads import water_check
from pourday.guide.advice.agenda import order_now
from pourday.guide.advice.alarms import alarms
from pourday.guide.advice.calm import ON_THE_WAY, WORD_STAYS, told_first
from pourday.guide.advice.degrees import TOO_HOT_ALARMS, Number, figure_of, live_degrees
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue import on_return as coming_back
from pourday.language import tr
from pourday.plan.model import Units
from pourday.probes.channel import ProbeNow
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.events import Fact
from pourday.session.state import LIT, State
from pourday.times import clock, countdown, letters_short

WATCHES = ("heat off", "heat low", "burner?", "read", "water", "alarm")
"""Acts that can come too late while the burner is lit, although they have no closing time."""
HEAT_OFF, TOO_HOT = tr("HEAT OFF"), tr("TOO HOT")
"""The word of an alarm about heat while the burner is lit, and once it is off."""
NAMED = 2
"""Acts named behind the sentence of the one that comes first."""
LATE = 600.0
"""s after which what is due is called late where nothing closes. An estimate of ours."""
STAYS: tuple[Kind, ...] = ("read", "water", "look", "relief", "jug", "heat on", "heat low", "heat off")
"""Acts whose word stays once it was told. A pour is none of them: it depends on how hot its jug is."""
EARLY: Mapping[Kind, float] = {
    "look": 60.0, "look under": 60.0, "relief": 60.0, "read": 60.0, "water": 60.0, "jug": 60.0, "heat on": 60.0,
    "heat low": 60.0, "heat off": 30.0, "pour": 10.0, "top-up": 10.0,
}  # fmt: skip
"""s before an act falls due within which it is told at once, to somebody who has just said something. A full flame
is not put out much too early, and a jug that has to cool is left to cool. Estimates of ours."""


@dataclass(frozen=True, slots=True)
class Now:
    """What stands large on the screen."""

    act: Act
    word: str
    """In block letters, with the moulds it is about: `POUR A B`."""
    says: str
    degrees: Number
    """The temperature that matters for the act,"""
    time: Number
    """and how long it may wait, or has waited."""
    others: int = 0
    """How many further acts are due as well,"""
    then: tuple[str, ...] = ()
    """and the words of the first of them, in their order."""
    next: str = ""
    """Beside WAIT in the same letters, and softer: what is waited for, `LOOK B`."""
    probe: str = ""
    """The probe whose number is the temperature, so that it moves with each of its lines; empty for none."""


def what_now(
    state: State, outlook: Outlook, acts: Sequence[Act], now: float, probes: Sequence[ProbeNow] = ()
) -> Now:
    """The one act that comes first, and the two numbers that go with it; `probes` are those that report by themselves."""
    acts = _at_once(state, _as_told(state, acts, now), now)
    back = coming_back.acts(state, outlook, now)
    burner_asked = [
        a for a in (*back, *acts) if a.kind == "burner?" and (a in back or a.urgency is Urgency.FIRST)
    ][:1]
    rest = [
        a
        for a in (*_away(state, outlook, acts, now), *back, *acts)
        if a.kind != "burner?" or not burner_asked
    ]
    ordered = order_now(rest, now)
    if state.told is not None and state.heard_at <= state.told_at:
        ordered = told_first(ordered, state.told.act, now - state.told_at)
    due = [*_burner_first(_alarm_acts(state, outlook, now, probes), burner_asked), *ordered]
    act = due[0] if due else _wait(state, acts, now)
    word = _with_moulds(act)
    coming = _coming(state, [a for a in acts if a.due > now]) if act.kind == "wait" else act
    degrees, probe = live_degrees(state, outlook, coming, now, probes)
    return Now(
        act=act,
        word=word,
        says=act.says,
        degrees=degrees,
        time=_time(act, now, state.burner),
        others=max(0, len(due) - 1),
        then=tuple(_with_moulds(each) for each in due[1 : 1 + NAMED]),
        next=_with_moulds(coming) if act.kind == "wait" else "",
        probe=probe,
    )


def with_live_figure(first: Now, probes: Sequence[ProbeNow], now: float, units: Units) -> Now:
    """The same with the figure of its probe as it stands this moment, where its temperature is a probe's."""
    probe = next((p for p in probes if p.name == first.probe), None)
    if not first.probe or probe is None or probe.counted is None or not probe.counts(now):
        return first
    return replace(first, degrees=replace(first.degrees, text=f"{figure_of(probe.counted, units, 1)}°"))


def late_by(act: Act, now: float, burner: str) -> float | None:
    """Seconds since an act closed, or, where it has no closing time, since it fell due; None where it is not late.

    Without a closing time only what watches or turns a burner that may be lit can be late: lighting it, a new jug or a
    walk to cold candles have all day.
    """
    if act.closes is not None:
        return now - act.closes if act.closes < now else None
    harms = act.kind in WATCHES and burner != "off"
    return now - act.due if harms and now - act.due > LATE else None


def _with_moulds(act: Act) -> str:
    """The act's word with its moulds: `POUR A B`."""
    return f"{act.word} {letters_short(act.moulds)}".strip()


def _burner_first(alarms: Sequence[Act], burner_asked: Sequence[Act]) -> list[Act]:
    """The alarms; only wax that was read too hot comes before the question for the burner, whose answer is the same."""
    by_forecast = {"near ceiling"} if burner_asked else set[str]()
    hot = [act for act in alarms if act.id.name in TOO_HOT_ALARMS - by_forecast]
    return [*hot, *burner_asked, *(act for act in alarms if act not in hot)]


def _alarm_acts(state: State, outlook: Outlook, now: float, probes: Sequence[ProbeNow]) -> list[Act]:
    """Alarms nobody acknowledged yet, the gravest first; acknowledging leaves the stove's acts in front.

    Each says what is the case now, by the newest reading: what it said as it was raised stays on record.
    """
    there = alarms(state, outlook, now, probes=probes) if state.alarms else []
    says = {alarm.id: alarm.says for alarm in there}
    hot = HEAT_OFF if state.burner != "off" else TOO_HOT
    words = {
        "dry pot": hot,
        "ceiling": hot,
        "near ceiling": hot,
        "watch": tr("ANSWER"),
        "water": tr("CHECK WATER"),
        "silent": tr("READ"),
        "signal": tr("READ"),
        "away": "BACK?",
    }
    acts = []
    for alarm, big in words.items():
        known = state.alarms.get(alarm)
        if known is None or known.acknowledged_at is not None:
            continue
        records: tuple[Fact, ...] = (ev.AlarmAcknowledged(alarm=alarm),)
        if alarm in TOO_HOT_ALARMS and state.burner != "off":
            records = (ev.BurnerSet(state="off"), *records)
        if alarm == "water":
            records = (ev.WaterSeen(topped_up=False), *records)
        if alarm == "away":
            records = (ev.CameBack(), *records)
        if alarm in ("silent", "signal"):
            # What it asks for is a reading: nothing else says that it was taken.
            records = ()
        acts.append(
            Act(
                id=ActId("alarm", name=alarm),
                kind="alarm",
                word=big,
                says=says.get(alarm, known.says),
                why=tr("An alarm: it stays until its cause is gone."),
                # One thing, one time: that of the look at the water which is asked for beside it.
                due=water_check(state, outlook).due if alarm == "water" else known.raised_at,
                records=records,
                urgency=Urgency.FIRST,
            )
        )
    return acts


def _away(state: State, outlook: Outlook, acts: Sequence[Act], now: float) -> list[Act]:
    """While somebody is away: until when that costs nothing, and “done” for being back."""
    if state.away_since is None:
        return []
    by = tr(" You meant to be back by {clock}.", clock=clock(state.back_by)) if state.back_by else ""
    return [
        Act(
            id=ActId("back"),
            kind="back",
            word=tr("BACK {clock}", clock=clock(state.back_by)) if state.back_by else tr("AWAY"),
            says=tr(
                "Away since {clock}.{by} “Done” when you are back: the moulds come first. ",
                clock=clock(state.away_since),
                by=by,
            )
            + in_words(leave(outlook, acts, now), now),
            why=tr("You said you were leaving the stove."),
            due=state.away_since,
            closes=state.back_by,
            records=(ev.CameBack(),),
            urgency=Urgency.QUICK,
        )
    ]


def _as_told(state: State, acts: Sequence[Act], now: float) -> Sequence[Act]:
    """The acts, but one that was told as due a moment ago stays due although the forecast now puts it off a little:
    a word does not come and go while nobody did anything. A flame that was to go out stays so for whoever is on the way to
    it, however far it is put off: near a ceiling a tenth of a kelvin decides between now and minutes from now."""
    if state.told is None or state.heard_at > state.told_at:
        return acts
    stays = dict.fromkeys(STAYS, now + WORD_STAYS)
    if now - state.told_at <= ON_THE_WAY:
        stays["heat off"] = math.inf
    return [
        replace(act, due=now)
        if now < act.due <= stays.get(act.kind, -math.inf) and str(act.id) == state.told.act
        else act
        for act in acts
    ]


def _at_once(state: State, acts: Sequence[Act], now: float) -> Sequence[Act]:
    """The acts, but what falls due within a minute of what the person said last is due now: whoever has just read or
    looked is not sent away to be called back before the thermometer is down. They keep their order: a reading comes before
    the turn of the flame that wants it."""
    earliest = max(EARLY.values())
    return [
        replace(act, due=now - (now + earliest - act.due) / 1000.0)
        if now < act.due <= state.heard_at + EARLY.get(act.kind, 0.0)
        # A jug is drawn with the flame out, and a full flame is not put out too early.
        and not (act.kind == "jug" and state.burner in LIT)
        # What the day ahead has is a line to be read: what to do now is for the agenda to say.
        and act.urgency is not Urgency.NOT_YET
        else act
        for act in acts
    ]


def _coming(state: State, ahead: Sequence[Act]) -> Act:
    """What is waited for: the next act. Of several that come within minutes, the one that was named before, so that
    the name does not change."""
    named = state.told.act if state.told is not None else ""
    soon = [act for act in ahead if act.due <= ahead[0].due + WORD_STAYS]
    return next((act for act in soon if str(replace(act.id, waits=True)) == named), ahead[0])


def _wait(state: State, acts: Sequence[Act], now: float) -> Act:
    """What to show while nothing is due: the next act, or that there is none."""
    ahead = [act for act in acts if act.due > now]
    if not ahead:
        return Act(
            id=ActId("wait"),
            kind="nothing",
            word=tr("DONE") if state.finished_at else tr("READY"),
            says=tr("Nothing is due.") if state.finished_at is None else tr("This session is finished."),
            why="",
            due=now,
            urgency=Urgency.NOT_YET,
        )
    coming = _coming(state, ahead)
    when = (
        tr("about {clock}", clock=clock(coming.due, now))
        if coming.due < float("inf")
        else tr("once the wax is hot")
    )
    return Act(
        id=replace(coming.id, waits=True),
        kind="wait",
        word=tr("WAIT"),
        says=tr(
            "Next: {with_moulds} {when}. {says}",
            with_moulds=_with_moulds(coming),
            when=when,
            says=coming.says,
        ),
        why=coming.why,
        due=coming.due,
        window=coming.window,
        layer=coming.layer if coming.layer is not None else coming_layer(state, coming),
        place=coming.place,
        urgency=Urgency.NOT_YET,
    )


def thinking(first: Now) -> Now:
    """What to show while the consequences of the last fact are still being worked out, in place of `first`.

    Nothing is due then, and nothing is announced by figures from before that fact. Typed digits go where they went.
    """
    says = tr("Working out what comes next.")
    act = Act(
        id=ActId("wait"),
        kind="wait",
        word=tr("WAIT"),
        says=says,
        why="",
        due=float("inf"),
        layer=first.act.layer,
        place=first.act.place,
        urgency=Urgency.NOT_YET,
    )
    return replace(first, act=act, word=act.word, says=says, time=Number("", ""), next="")


def _time(act: Act, now: float, burner: str) -> Number:
    """How long the act may still wait, or how late it is; for what has all day, since when it is due."""
    if act.due == float("inf"):
        return Number("", "")
    if act.kind == "wait":
        return Number(countdown(act.due - now), tr("until {clock}", clock=clock(act.due, now)))
    if act.closes is not None and act.kind in ("back", "stop", "timer"):
        left = act.closes - now
        until = clock(act.closes, now)
        words = (
            tr("late, over since {until}", until=until)
            if left < 0
            else tr("left, until {until}", until=until)
        )
        return Number(countdown(left), words, late=left < 0)
    if act.closes is not None:
        left = act.closes - now
        if left < 0:
            return Number(
                countdown(left), tr("late, closed {clock}", clock=clock(act.closes, now)), late=True
            )
        return Number(countdown(left), tr("left, closes {clock}", clock=clock(act.closes, now)))
    if act.urgency is Urgency.NOT_YET:
        return Number("", "")
    if act.kind == "nothing":
        return Number("", "")
    waited = now - act.due
    if waited < 60:
        return Number(tr("NOW"), tr("due {clock}", clock=clock(act.due, now)))
    if act.kind not in WATCHES or burner == "off":
        return Number(tr("NOW"), tr("due since {clock}", clock=clock(act.due, now)))
    late = late_by(act, now, burner) is not None
    return Number(
        countdown(-waited),
        tr("{late}due {clock}", late=tr("late, ") if late else "", clock=clock(act.due, now)),
        late,
    )
