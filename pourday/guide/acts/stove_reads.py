"""When the thermometer and the bath are looked at, and what the wax is heated to.

Each reading has its reason: the end of a melt, a heat that is about to begin, a jug that must not be found cold.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from pourday.forecast.pot import PotForecast
from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.durations import IDLE_HEAT, JUG_HOT, REACTS
from pourday.guide.acts.heat_plan import PourNeed, jug_reading
from pourday.guide.acts.pour_heat import NEAR_CEILING, SHORT_OF_CEILING
from pourday.guide.acts.wording import jug_word
from pourday.guide.outlook.jugs import standing_jugs
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import peak
from pourday.guide.outlook.pot_stretches import pot_is_empty
from pourday.language import tr, word
from pourday.plan.bath import WATER_DENSITY
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.events import Place
from pourday.session.state import LIT, ReadingAt, State
from pourday.times import MINUTE
from pourday.units import show_volume

READ_EVERY = 8 * MINUTE
"""s after which lit wax is read at the latest. Chosen: sooner than the watch rings, so that whoever follows the guide never
hears it."""
SOON = 8 * MINUTE
"""s before a pour that cannot wait at which its wax is read where it may have grown too cold (estimate),"""
DOUBT = 5 * MINUTE
"""and has not been read for so many s. Estimates of ours."""
OLD = 10 * MINUTE
"""s before the burner was lit again: a reading older than that says little of where the new heat begins. An estimate
of ours."""
READ_MOLTEN = 3 * MINUTE
"""s between readings of molten wax: melting is the slow half, the last degrees are quick, so the end is watched
(common practice, no source)."""
READ_NEAR = 2 * MINUTE
"""s between readings where the hot side of the forecast is near the ceiling, or near the target over a full flame.
An estimate of ours."""
SMALL = 0.3
"""kg in the fullest vessel below which a full flame takes wax from set to its ceiling in ten minutes, so that it is read as
often as molten wax. An estimate of ours."""
READ_LOW = 44 * MINUTE
"""s between readings over a low flame that was read before: what it does is known, so that the forecast says when the wax may
come near its ceiling; within the time in which a thermometer is missed. An estimate of ours."""
READ_LOW_FIRST, READ_LOW_HOT = 10 * MINUTE, 4 * MINUTE
"""The first time on a stove whose low flame nobody has read yet: how strong it is differs from hob to hob by more than a
forecast can tell; where the wax may come near its ceiling by then, the second, or as long again as it has burned. Estimates
of ours."""
LOW_WARMS_BY = 8.0
"""K below its target from which a jug over a low flame is warmed and not held. An estimate of ours."""
READ_LOW_SOONEST = 6 * MINUTE
"""So long two readings are apart that show how strong a low flame is. An estimate of ours."""
LOW_NEAR_CEILING = 1.0
"""K below the ceiling at which the hot side of the forecast on a low flame asks for a reading. An estimate of ours."""
READ_SOONEST = 3 * MINUTE
"""Readings closer than this teach the forecast little. Estimate."""
WATER_TAKES, WATER_LEFT = (0.1, 0.25), 0.4
"""Share of the full bath that may go as steam before it is looked at again: the less, the nearer it may be to its last two
fifths by then. Estimates of ours."""
WATER_EVERY, WATER_EVERY_LOW = 30 * MINUTE, 90 * MINUTE
"""Lit so long, at full and low, it is looked at whatever the forecast says. Estimates of ours."""
MOSTLY_FULL = 0.85
"""Share of a full bath above which nobody has to be told how much is left. An estimate of ours."""
WATER_SOONEST = 5 * MINUTE
"""s between two looks at the water at the least. An estimate of ours."""
WATER_OVERDUE = 10 * MINUTE
"""s past its time after which a look at the water that was not made is an alarm. An estimate of ours."""
MISSED = 2.5
"""K that the forecast may begin above the last reading and still be a guide to when the burner is turned off. Estimate."""
WARM_ENOUGH = 1.0
"""K below the target that neither a thermometer nor a forecast can tell from it. Estimate."""

UNSURE = 12.0
"""K between the low and the high side of the forecast above which nobody is told to turn the burner by it. An
estimate of ours."""
AHEAD_OF_TARGET = 20.0
"""K below the target at which the hot side of the forecast asks for a reading: a boiling bath carries its wax on by 15 K,
and it rises 5 K a minute, so that it can still be turned down in time. An estimate of ours."""

NOT_BY_A_GUESS = tr("Nothing is switched by a guess: one reading first.")
BEFORE_HEAT = tr(
    "Read before the burner is lit: a small bath is hot in minutes, and from a guess it runs over."
)


def read_lit(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> list[Act]:
    """The next reading while the burner is lit: sooner the nearer the wax may be to where it is wanted, or to its ceiling."""
    jug = bool(wanted and wanted[0].drawn)
    place: Place = "jug" if jug else "pot"
    target = heat_to(outlook, wanted[:1], now) if jug else outlook.melt_c
    last = last_wax_reading(state)
    since = max(last.t if last else 0.0, heated_since(state))
    due = (
        _low_due(state, outlook, target, since)
        if state.burner == "low"
        else _full_due(state, outlook, target, since)
    )
    reached = outlook.pot_reaches(target)
    read = read_act(state, outlook, place, target, wanted[0].layer if jug else None, due)
    # Over a flame that nobody knows yet the thermometer goes before what takes both hands for minutes.
    unknown = state.burner == "low" and not _low_was_read(state)
    if unknown and outlook.pot is not None and outlook.pot.at(due)[2] >= outlook.ceiling_c - NEAR_CEILING:
        read = replace(read, urgency=Urgency.QUICK)
    return [replace(read, window=reached if reached.likely > now else None)]


def _full_due(state: State, outlook: Outlook, target: float, since: float) -> float:
    """When a full flame wants the wax read: the hot side of the forecast decides, the likely path is no safeguard."""
    last = last_wax_reading(state)
    molten = last is not None and last.celsius >= outlook.wax.solidus_c
    small = outlook.pot is not None and outlook.pot.setup.vessel_kg < SMALL
    due = since + (READ_MOLTEN if small or (molten and _known_cooler(last, target)) else READ_EVERY)
    near = min(target - AHEAD_OF_TARGET, outlook.ceiling_c - NEAR_CEILING)
    if unread_since_lit(state, outlook):
        # Nobody knows how far it cooled meanwhile.
        due = min(due, since + READ_SOONEST)
    due = min(due, max(outlook.pot_reaches(near).early, since + READ_NEAR))
    if outlook.pot is None or pot_is_empty(state):
        # Jugs are turned down by how hot their bath is.
        return due
    return min(due, _time_to_turn_down(outlook.pot, outlook.ceiling_c, since))


def _time_to_turn_down(pot: PotForecast, ceiling_c: float, since: float) -> float:
    """Until when a full flame may burn unread since the last reading: it is read, and turned down by what that shows, before
    the heat of its bath may carry the wax past its ceiling, °C."""

    def too_late(minutes: int) -> bool:
        return peak(pot, since + minutes * MINUTE + 2 * REACTS)[1] >= ceiling_c - SHORT_OF_CEILING

    minutes = range(round(READ_NEAR / MINUTE), round(READ_EVERY / MINUTE))
    return since + MINUTE * (minutes.start + bisect_left(minutes, True, key=too_late))


def _low_due(state: State, outlook: Outlook, target: float, since: float) -> float:
    """When a low flame wants the wax read: now and then, and before it may be at its ceiling."""
    known = _low_was_read(state)
    due = since + (READ_LOW if known else _unknown_low(state, outlook, since))
    near = outlook.ceiling_c - LOW_NEAR_CEILING
    if outlook.pot is not None and outlook.pot.at(since)[1] < target - LOW_WARMS_BY:
        # It is warmed, not held: how strong a low flame is, the readings show; on some hobs three kelvin a minute.
        if not known:
            due = min(due, max(outlook.pot_reaches(target - LOW_WARMS_BY).early, since + READ_SOONEST))
        near = outlook.ceiling_c - NEAR_CEILING
    return min(due, max(outlook.pot_reaches(near).early, since + READ_NEAR))


def _unknown_low(state: State, outlook: Outlook, since: float) -> float:
    """s after which a low flame is read whose strength nobody knows yet: before its bath may be at the ceiling."""
    pot, soon = outlook.pot, max(READ_LOW_HOT, since - state.burner_since)
    if pot is None:
        return READ_LOW_FIRST
    if pot.at(since + soon)[2] < outlook.ceiling_c - NEAR_CEILING:
        soon = READ_LOW_FIRST
    steps = range(round(READ_NEAR), round(READ_LOW_FIRST), round(MINUTE))
    hot = outlook.ceiling_c - LOW_NEAR_CEILING
    return min(soon, next((float(s) for s in steps if pot.bath_at(since + s)[2] >= hot), READ_LOW_FIRST))


def _low_was_read(state: State) -> bool:
    """Whether the wax was read over a low flame long enough to show how strong it is: twice, so long apart."""
    for span in reversed([s for s in state.burner_spans if s.what == "low"]):
        times = [
            read.t
            for read in state.readings
            if read.place in ("pot", "jug")
            and not read.doubt
            and span.start + READ_SOONEST <= read.t <= (span.end or read.t)
        ]
        if times and times[-1] - times[0] >= READ_LOW_SOONEST:
            return True
        if span.knob is not None:
            # It was another flame before that.
            return False
    return False


def heated_since(state: State) -> float:
    """Since when a lit burner has been on as far as anybody knows, seconds since the epoch.

    The answer to the question whether it is lit is no news of the wax, so it starts no new heat. While that is still
    being asked: since when nobody knew.
    """
    since = state.burner_since
    for span in reversed(state.burner_spans if state.burner in LIT else ()):
        since = span.start if span.end is None or span.end >= since else since
    return since


def read_act(
    state: State, outlook: Outlook, place: Place, target: float, layer: int | None, due: float
) -> Act:
    """A reading of pot or jug, °C `target` being what it is to come to."""
    last = last_wax_reading(state)
    return Act(
        id=ActId("read", nth=0 if last is None else last.seq),
        kind="read",
        word=_read_word(state, place, layer),
        layer=layer,
        says=_read_says(state, outlook, place, target, layer),
        why=tr("The forecast rests on readings; wax gives no sign before it smokes."),
        due=due,
        place=(place, ""),
        urgency=Urgency.SOON,
    )


def _read_word(state: State, place: Place, layer: int | None) -> str:
    """`READ POT`, `READ JUG`; with the jug's name where there are several."""
    several = place == "jug" and layer is not None and len(standing_jugs(state)) > 1
    return (
        jug_word("read", state.plan, layer or 0) if several else tr("READ {place}", place=word(place).upper())
    )


def _read_says(state: State, outlook: Outlook, place: Place, target: float, layer: int | None) -> str:
    """What to read and what it is to come to; of a jug also when it is lifted out, or where it has to be put."""
    if place != "jug":
        return tr(
            "Stir, then read the {place} and type it. Target {degrees}.",
            place=word(place),
            degrees=outlook.degrees(target),
        )
    several = layer is not None and len(standing_jugs(state)) > 1
    name = outlook.jug_name(layer or 0) if several else tr("the jug")
    out = tr("above {degrees} lift the jug out.", degrees=outlook.degrees(outlook.wax.pour_max_c))
    said = tr(
        "Stir, then read {name} and type it. Target {degrees}", name=name, degrees=outlook.degrees(target)
    )
    # A low flame only holds it where it is.
    said += "." if state.burner == "low" else f"; {out}"
    jug = state.jugs.get(layer) if layer is not None else None
    if jug is not None and jug.where != "bath" and state.burner in LIT:
        said += tr(" It is out of the bath: stand it back in.")
    return said


def read_cooling(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> list[Act]:
    """A reading with the burner off: where a mould waits or soon will, and nobody knows how warm the wax still is."""
    if any(_in_doubt(state, outlook, need, now) for need in wanted):
        return [read_act(state, outlook, *where_to_read(state, outlook, wanted), now)]
    for need in wanted:
        jug = state.jugs.get(need.layer)
        if need.at > now or jug is None or jug.has_set or now - jug.made_at < JUG_HOT:
            continue
        if jug_reading(state, need.layer, now) is None:
            return [read_act(state, outlook, "jug", need.celsius, need.layer, now)]
    return []


def _in_doubt(state: State, outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether the wax for a pour that cannot wait may be too cold by then, whatever was read so far."""
    last = last_wax_reading(state)
    if not need.hurry or not need.drawn or not 0 < need.at - now <= SOON or outlook.pot is None:
        return False
    unread = last is None or now - last.t > DOUBT
    return unread and outlook.pot.at(max(now, need.at))[0] < need.least


def long_unread(state: State, outlook: Outlook, now: float) -> bool:
    """Whether nobody knows how warm the wax still is from the heat before, so that the next heat might run too long.

    A full pot that is still to be melted is slow, and wax that has surely set again is melted as it was the first time:
    neither needs a reading.
    """
    if not state.jugs or outlook.pot is None or outlook.pot.at(now)[2] < outlook.wax.solidus_c:
        return False
    last = last_wax_reading(state)
    return last is None or now - last.t > OLD


def is_unsure(outlook: Outlook, at: float) -> bool:
    """Whether the forecast of the pot spreads too wide at a time for the burner to be switched by it."""
    if outlook.pot is None or at == float("inf"):
        return False
    low, _, high = outlook.pot.at(at)
    return high - low > UNSURE


def wants_a_reading(state: State, outlook: Outlook, now: float) -> bool:
    """Whether the wax is read before the burner is turned: its forecast is no more than a guess, and no reading is
    fresh.

    Wax that was never heated is as cold as the room and needs none.
    """
    last = last_wax_reading(state)
    if not state.burner_spans or (last is not None and now - last.t < READ_SOONEST):
        return False
    return is_unsure(outlook, now)


def where_to_read(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed]
) -> tuple[Place, float, int | None]:
    """The pot while there is wax in it, else the jug that is wanted first; with what it is to reach."""
    if wanted and wanted[0].drawn and pot_is_empty(state):
        return "jug", wanted[0].celsius, wanted[0].layer
    return "pot", outlook.melt_c, None


def heat_to(outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> float:
    """What this heat is for, °C: the hottest of what is poured from it before the burner would be lit again."""
    if not wanted:
        return outlook.melt_c
    first = wanted[0]
    served = [x for x in wanted if x.at <= max(now, first.at) + IDLE_HEAT]
    if not all(x.drawn for x in served):
        return outlook.melt_c
    return max(x.celsius for x in served)


def unread_since_lit(state: State, outlook: Outlook) -> bool:
    """Whether nothing tells how warm the wax was when the burner was lit: the last reading is too old, or the
    forecast does not follow it."""
    last = last_wax_reading(state)
    if last is None or last.t >= heated_since(state) + MINUTE:
        return False
    missed = outlook.pot is not None and outlook.pot.at(heated_since(state))[1] > last.celsius + MISSED
    return missed or heated_since(state) - last.t > OLD


def last_wax_reading(state: State) -> ReadingAt | None:
    """The newest reading of wax in the bath, pot or jug."""
    readings = (state.last_reading("pot"), state.last_reading("jug"))
    return max((r for r in readings if r is not None), key=lambda r: r.t, default=None)


def _known_cooler(last: ReadingAt | None, target: float) -> bool:
    """Whether the wax was read cooler than its target."""
    return last is not None and last.celsius < target - WARM_ENOUGH


def water_due(state: State, outlook: Outlook) -> float:
    """When the water of the bath is to be looked at, seconds since the epoch: once a set share of it may have gone
    as steam since the last look."""
    seen = state.water_seen_at or 0.0
    lit = max(seen, state.burner_spans[-1].start if state.burner_spans else 0.0)
    most = WATER_EVERY_LOW if state.burner == "low" else WATER_EVERY
    latest = lit + most * max(0.0, 1.0 - _lit_share(state, seen, lit))
    if outlook.pot is None or outlook.state.burner_spans != state.burner_spans:
        # A forecast made before the burner was turned, or before the clock was set, tells nothing of the water.
        return max(latest, seen + WATER_SOONEST)
    takes = 1.0 - WATER_LEFT - outlook.pot.gone_when_seen(state.water_seen_at)
    takes = min(max(takes, WATER_TAKES[0]), WATER_TAKES[1])
    boiled = outlook.pot.boils_away(takes, state.water_seen_at)
    return max(min(latest, boiled), seen + WATER_SOONEST)


def _lit_share(state: State, start: float, end: float) -> float:
    """How much of the longest wait between two looks at the water has been used up from `start` to `end`. Only time with the
    burner lit counts, over a low flame less than over a full one; 1: it is time to look."""
    return sum(
        max(0.0, min(end, span.end if span.end is not None else end) - max(start, span.start))
        / (WATER_EVERY_LOW if span.what == "low" else WATER_EVERY)
        for span in state.burner_spans
    )


def water_question() -> Question:
    """What the bath looked like."""
    dry = (ev.BurnerSet(state="off"), ev.Noted(text="The bath ran dry."))
    return Question(
        tr("Water enough?"),
        (
            Choice("y", tr("yes, enough"), (ev.WaterSeen(topped_up=False),)),
            Choice("t", tr("topped up"), (ev.WaterSeen(topped_up=True),)),
            Choice("n", tr("no, ran dry: burner off"), dry),
        ),
    )


def water_check(state: State, outlook: Outlook) -> Act:
    """The look at the bath, due by what boils away."""
    return Act(
        id=ActId("water", nth=round(state.water_seen_at or 0.0)),
        kind="water",
        word=tr("CHECK WATER"),
        says=tr(
            "Look at the bath: water well up the side of the wax pot. {water_left}Top up with hot water, never into a dry hot pot.",
            water_left=_water_left(outlook),
        ),
        why=tr("While water is left the wax cannot pass the boiling point; dry, it can."),
        due=water_due(state, outlook),
        caution=tr("Steam burns: face away, and leave the pot in its bath."),
        question=water_question(),
        urgency=Urgency.CLOSING,
    )


def _water_left(outlook: Outlook) -> str:
    """How much of the bath is probably left, in a sentence; empty where most of it is."""
    if outlook.pot is None:
        return ""
    full, units = outlook.pot.setup.water_kg / WATER_DENSITY, outlook.state.plan.units
    left = max(0.0, full - outlook.pot.gone_at(max(outlook.pot.now, outlook.state.last_t)) / WATER_DENSITY)
    if left > MOSTLY_FULL * full:
        return ""
    return tr(
        "By the forecast about {left} of {full} is left. ",
        left=show_volume(left, units),
        full=show_volume(full, units),
    )
