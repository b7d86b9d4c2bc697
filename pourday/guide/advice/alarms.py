"""Alarms: abnormal, and somebody has to act. Everything else the guide says is only a prompt.

An alarm is raised once, stays until its cause is gone by a deadband, and comes back when it was
acknowledged but nothing changed. Silencing the bell, acknowledging and ending are three things.
"""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.acts.stove_reads import WATER_OVERDUE, heated_since, water_due
from pourday.guide.advice.alarm import Alarm
from pourday.guide.advice.probe_alarms import lost_signal, rising, stands
from pourday.guide.outlook.absence import lit_on_leaving
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot_stretches import pot_is_empty
from pourday.language import tr, word
from pourday.probes.channel import ProbeNow
from pourday.session import events as ev
from pourday.session.doubted import borne_out
from pourday.session.events import Fact, Place
from pourday.session.state import LIT, AlarmState, ReadingAt, State
from pourday.times import MINUTE, clock, span

DRY_POT_ABOVE = 2.0
"""K above local boiling: no bath with water in it heats wax that far. Estimate of what a thermometer may be off by."""
DEADBAND = 2.0
"""K below its limit before a temperature alarm ends. An estimate of ours."""
FORGET = 5 * MINUTE
"""After this, with the burner off, the forecast's high side may end an alarm that a reading raised. Estimate."""
WATCH = 10 * MINUTE
"""Burner on and nobody answers, unless the person has set another time. Estimate."""
LOW_WATCH = 2.5
"""A low flame may be left unanswered and unread so many times as long as a full one: what goes wrong over it takes
longer. An estimate of ours."""
SILENT = 20 * MINUTE
"""Lit, and no reading since: one is asked for every 8 min, so that two were passed over. Estimate."""
NEAR_FOR = 2 * MINUTE
"""The forecast has to hold the pot above its ceiling for so long. An estimate of ours."""
AGAIN = 5 * MINUTE
"""s after which an alarm that was acknowledged sounds again, where its cause stays. Estimate."""
AWAY_GRACE = 5 * MINUTE
"""Past the time somebody meant to be back, before they are called. An estimate of ours."""


Vessel = tuple[Place, int | None]
"""Pot or jug, and the layer of a jug where that was told."""


def alarms(
    state: State, outlook: Outlook, now: float, watch: float = WATCH, probes: Sequence[ProbeNow] = ()
) -> list[Alarm]:
    """Every alarm whose cause is there now, the gravest first.

    `watch`: s with a lit burner after which somebody has to have pressed a key; `probes`: how those stand that report
    by themselves.
    """
    if state.fixed_plan is None or state.finished_at is not None:
        return []
    hot = _too_hot(state, outlook, now)
    near = [] if hot else _near(state, outlook, now) or rising(state, outlook, probes, now)
    lost = lost_signal(state, outlook, probes, now)
    return [
        *hot,
        *near,
        *lost,
        *_unwatched(state, now, watch),
        *_silent(state, now),
        *_overdue(state, outlook, now),
    ]


def _too_hot(state: State, outlook: Outlook, now: float) -> list[Alarm]:
    """Wax that was read too hot, each alarm once, by whichever place is hotter.

    Raised by a reading only; ended by a cooler one of the same place, or once the pot has surely cooled since.
    """
    by_place: dict[str, Alarm] = {}
    jugs: list[Vessel] = [("jug", jug) for jug in {r.jug: 0 for r in state.readings if r.place == "jug"}]
    # Once every jug is drawn, what the pot read says nothing of wax any more that a jug was read since.
    for vessel in jugs if _only_jugs(state) else [("pot", None), *jugs]:
        for alarm in _read_too_hot(state, outlook, vessel, now):
            other = by_place.get(alarm.id)
            if other is None or (alarm.holds, alarm.value or 0.0) > (other.holds, other.value or 0.0):
                by_place[alarm.id] = alarm
    return sorted(by_place.values(), key=lambda alarm: alarm.id != "dry pot")


def _only_jugs(state: State) -> bool:
    """Whether all wax stands in jugs, and one of them was read later than the pot."""
    pot, jug = state.last_reading("pot"), state.last_reading("jug")
    return pot_is_empty(state) and jug is not None and (pot is None or jug.t > pot.t)


def _read_too_hot(state: State, outlook: Outlook, vessel: Vessel, now: float) -> list[Alarm]:
    """What the newest reading of the pot, or of one jug, gives cause for."""
    believed = _as_believed(state, outlook, vessel, now)
    if believed is None:
        return []
    reading, celsius = believed
    # Of the heat before this one, it says nothing new: an alarm that stood ended or stands still.
    lit_since = bool(state.burner_spans) and reading.t < state.burner_spans[-1].start
    read, off = outlook.degrees(reading.celsius), "" if state.burner == "off" else tr("burner off, ")
    place, layer = vessel
    name = (
        tr("the {place}", place=word(place))
        if layer is None or len(state.jugs) < 2
        else outlook.jug_name(layer)
    )
    name = name[:1].upper() + name[1:]
    alarms = []
    dry = outlook.boiling_c + DRY_POT_ABOVE
    if celsius >= dry - DEADBAND:
        says = tr(
            "{name} read {read}; water here boils at {degrees}. Dry bath or bad thermometer: {off}no water into a hot dry pot, wait.",
            name=name,
            read=read,
            degrees=outlook.degrees(outlook.boiling_c),
            off=off,
        )
        over = celsius >= dry and stands(state, reading, dry, now)
        alarms.append(Alarm("dry pot", says, reading.celsius, dry, over, reading.t, reading.place))
    if celsius >= outlook.ceiling_c - DEADBAND:
        says = tr(
            "{name} read {read}, and may get {degrees} at most: {off}let it fall, open a window if it smells of smoke.",
            name=name,
            read=read,
            degrees=outlook.degrees(outlook.ceiling_c),
            off=off,
        )
        over = celsius >= outlook.ceiling_c and stands(state, reading, outlook.ceiling_c, now)
        alarms.append(
            Alarm("ceiling", says, reading.celsius, outlook.ceiling_c, over, reading.t, reading.place)
        )
    return [alarm for alarm in alarms if not lit_since or alarm.id in state.alarms]


def _as_believed(
    state: State, outlook: Outlook, vessel: Vessel, now: float
) -> tuple[ReadingAt, float] | None:
    """The newest reading of pot or jug that counts against a ceiling, and the °C it stands for now.

    A doubted reading is left out of the forecast, but a pot that reads 108 °C has to be believed first; one that
    is doubted and cooler ends nothing, before a second one bears it out.
    """
    reading = None
    agreed = {second.seq for _, second in borne_out(state.readings)[0]}
    for newer in (r for r in reversed(state.readings) if (r.place, r.jug) == vessel):
        if newer.probe and newer.doubt:
            # What a broken wire says is no heat; that it does not count is an alarm of its own.
            continue
        reading = newer if reading is None or newer.celsius > reading.celsius else reading
        if not newer.doubt or newer.seq in agreed:
            break
    if reading is None:
        return None
    celsius = reading.celsius
    if state.burner == "off" and now - reading.t > FORGET and outlook.pot is not None:
        celsius = min(celsius, outlook.pot.at(now)[2])
    return reading, celsius


def _near(state: State, outlook: Outlook, now: float) -> list[Alarm]:
    """The pot is over its ceiling by the forecast for some minutes, lit as far as anybody knows, and nobody read it."""
    pot, last = outlook.pot, _last_read(state)
    maybe_lit = state.burner in LIT or (state.burner == "unknown" and lit_on_leaving(state))
    if not maybe_lit or pot is None or last is None:
        return []
    since = now - max(last.t, heated_since(state))
    # How strong a low flame is differs from hob to hob: left for an hour it rings where the cold side is over as well.
    side = 0 if _burns_low(state) else 1
    reckoned_c = pot.at(now)[side]
    long_over = since >= NEAR_FOR and min(reckoned_c, pot.at(now - NEAR_FOR)[side]) >= outlook.ceiling_c
    stands = "near ceiling" in state.alarms and reckoned_c >= outlook.ceiling_c - DEADBAND
    if not (long_over or stands):
        return []
    says = tr(
        "Nobody read the pot for {span}, and by the forecast it is at its ceiling of {degrees}: burner off, then stir and read.",
        span=span(since),
        degrees=outlook.degrees(outlook.ceiling_c),
    )
    return [Alarm("near ceiling", says, reckoned_c, outlook.ceiling_c, long_over, where="pot")]


def _burns_low(state: State) -> bool:
    """Whether the flame was low when somebody saw it last."""
    seen = [span.what for span in state.burner_spans if span.what != "unknown"]
    return bool(seen) and seen[-1] == "low"


def _last_read(state: State) -> ReadingAt | None:
    """The wax as it was last read in pot or jug, in doubt or not."""
    return next((r for r in reversed(state.readings) if r.place in ("pot", "jug")), None)


def _unwatched(state: State, now: float, watch: float) -> list[Alarm]:
    """Nobody pressed a key for a while and the burner is not known to be off."""
    silent = now - max(state.heard_at, state.burner_since)
    if state.burner == "off" or silent < (watch * LOW_WATCH if state.burner == "low" else watch):
        return []
    lit = tr("lit") if state.burner in LIT else tr("not known to be off")
    says = tr(
        "The burner is {lit} and nobody answered for {span}. Press any key.", lit=lit, span=span(silent)
    )
    return [Alarm("watch", says)]


def _silent(state: State, now: float) -> list[Alarm]:
    """No thermometer was read for a while and the burner is not known to be off."""
    last = _last_read(state)
    # Armed by the first reading of the day: who melts without a thermometer is not called to it.
    most = SILENT * LOW_WATCH if state.burner == "low" else SILENT
    if state.burner == "off" or last is None or now - max(last.t, state.burner_since) < most:
        return []
    silent = span(now - max(last.t, state.burner_since))
    return [
        Alarm(
            "silent",
            tr(
                "The burner is lit and no thermometer was read for {silent}: stir, read, type.", silent=silent
            ),
        )
    ]


def _overdue(state: State, outlook: Outlook, now: float) -> list[Alarm]:
    """The water was not looked at, or somebody is not back when they meant to be."""
    alarms = []
    if state.burner != "off" and now - water_due(state, outlook) >= WATER_OVERDUE:
        # Words that stay true however long it stands.
        lit = next(
            s.start for s in state.burner_spans if s.end is None or s.end > (state.water_seen_at or 0.0)
        )
        since = clock(max(lit, state.water_seen_at or 0.0))
        says = tr(
            "Nobody looked at the bath since {since}, with the burner lit: look at the water.", since=since
        )
        alarms.append(Alarm("water", says))
    if state.back_by is not None and now > state.back_by + AWAY_GRACE:
        alarms.append(Alarm("away", tr("You meant to be back by {clock}.", clock=clock(state.back_by))))
    return alarms


def alarm_facts(
    state: State, outlook: Outlook, now: float, watch: float = WATCH, probes: Sequence[ProbeNow] = ()
) -> list[Fact]:
    """What has to be put on record so that the alarms of the state match what is the case now."""
    causes = {alarm.id: alarm for alarm in alarms(state, outlook, now, watch, probes)}
    facts: list[Fact] = [ev.AlarmEnded(alarm=known) for known in state.alarms if known not in causes]
    for alarm in causes.values():
        known = state.alarms.get(alarm.id)
        if alarm.holds and (known is None or _comes_back(state, alarm, known, now)):
            facts.append(
                ev.AlarmRaised(alarm=alarm.id, says=alarm.says, value=alarm.value, limit=alarm.limit)
            )
    return facts


def _comes_back(state: State, alarm: Alarm, known: AlarmState, now: float) -> bool:
    """Whether an acknowledged alarm sounds again because its cause is still there. One that only rests on an old
    reading does not once the burner is off."""
    if known.acknowledged_at is None or now - known.acknowledged_at <= AGAIN:
        return False
    if alarm.id not in ("ceiling", "dry pot") or state.burner != "off":
        return True
    return alarm.read_at > known.acknowledged_at
