"""The burner: lit, turned low or off, in time for what is poured next, and never past what wax may stand.

A full flame melts and warms. A low one holds what is poured within `HOLD_LOW`: jugs stand in the bath and are left
there. While jugs are drawn and scented, and where nothing is poured for long, it is out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.forecast.pot import PotForecast
from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.additions import amounts
from pourday.guide.acts.cautions import heat
from pourday.guide.acts.durations import HOLD_LOW, JUG_LEAD
from pourday.guide.acts.heat_plan import COOLER, LOOKED, POUR_KEEPS, TOP_UP_KEEPS, PourNeed, lead, light_at
from pourday.guide.acts.jug_acts import jug_due
from pourday.guide.acts.load_pot import LOAD
from pourday.guide.acts.pour_heat import NEAR_CEILING
from pourday.guide.acts.stove_reads import (
    BEFORE_HEAT,
    NOT_BY_A_GUESS,
    READ_SOONEST,
    SMALL,
    WARM_ENOUGH,
    heat_to,
    last_wax_reading,
    long_unread,
    read_act,
    read_lit,
    unread_since_lit,
    wants_a_reading,
    where_to_read,
)
from pourday.guide.acts.wording import heat_low_says, heat_off_says, heat_on_says, heat_up_says
from pourday.guide.outlook.absence import absence, burner_put_off
from pourday.guide.outlook.blend_parts import melt_order, still_out
from pourday.guide.outlook.jugs import MOMENT, standing_jugs
from pourday.guide.outlook.outlook import READY_WITHIN, Outlook
from pourday.guide.outlook.pot import (
    CARRIES_MOST,
    bath_peak,
    carries_to,
    held_low,
    low_at,
    peak,
    warm_up,
    warm_up_low,
)
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State
from pourday.times import MINUTE, clock, letters, span

REACTS = 60.0
"""s until a burner that is asked off is off. An estimate of ours."""
BACK_WITHIN = 2 * MINUTE
"""s within which whoever is at a mould is back at the knob of a low flame. An estimate of ours."""
CARRIES_ON = 3 * MINUTE
"""A bath that was just turned off is left so long to warm its wax further. An estimate of ours."""
TOO_HOT = frozenset({"ceiling", "dry pot"})
LOW_NEAR = 2.0
"""K below the ceiling at which even a low flame goes out. An estimate of ours."""
BATH_ABOVE = 5.0
"""K above what a jug is to have that its bath is brought to by a full flame: it comes after within minutes. An estimate of
ours."""
BURNS_FOR = 3 * MINUTE
"""So long a flame that was turned up is left burning, if nothing grows too hot. An estimate of ours."""
LOW_WARMS = 75 * MINUTE
"""A low flame is lit no longer ahead than this to warm jugs by itself. An estimate of ours."""
SOON_POURED = 10 * MINUTE
"""What is poured within this is read at once, so that a low flame need not surely keep below the ceiling. An estimate of
ours."""
LOW_COOLER = 4.0
"""K below what is asked for that a jug still does for a layer. An estimate of ours."""
LOW_STAYS = 20 * MINUTE
"""By so much longer a low flame that burns is left burning than one is lit for: it is not turned to and fro. An estimate
of ours."""
LOW_TRIED = 10 * MINUTE
"""So long a low flame is left to show what it does before it is turned up, unless a reading shows it sooner. An estimate of
ours."""
WARMED_AFTER = 6 * MINUTE
"""A jug that a full flame warms within this is warmed once its mould was found ready. An estimate of ours."""
STEPS_AHEAD = 6
"""Minutes ahead that the turn of a flame is looked for which runs over. An estimate of ours."""
AS_QUICK = 4 * MINUTE
"""So much longer a low flame may take than a full one and be lit in its place. An estimate of ours."""
HOLDS_FOR, LOW_SHORT = 20 * MINUTE, 4.0
"""For a pour further ahead than this a low flame is lit although it seems to hold the wax so many K too cold: how strong
it is on this stove the readings show. Estimates of ours."""
OUT_FOR_JUGS = tr("The jug is drawn and scented with the flame out; the bath holds its heat meanwhile.")
NOTHING_MORE = tr("No pour needs hot wax any more.")


def burner_acts(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """What is to be done at the burner, with the reading that goes before it; `free` is when the hands have time for a
    jug."""
    match state.burner:
        case "unknown":
            return [_asked(state)]
        case "on":
            return _at_full(state, outlook, wanted, now, free)
        case "low":
            return _at_low(state, outlook, wanted, now, free)
        case _:
            return _when_off(state, outlook, wanted, now, free)


def burner_question() -> Question:
    """Whether the burner is lit."""
    return Question(
        tr("The burner is:"),
        (
            Choice("o", tr("off"), (ev.BurnerSet(state="off"),)),
            Choice("l", tr("lit"), (ev.BurnerSet(state="on"),)),
            Choice("w", tr("lit, low"), (ev.BurnerSet(state="low"),)),
        ),
    )


def _asked(state: State) -> Act:
    """The question for a burner that nobody watched."""
    return Act(
        id=ActId("burner?"),
        kind="burner?",
        word=tr("HEAT?"),
        says=tr("Nobody watched the stove meanwhile. Look at the burner first: is it lit?"),
        why=tr("Until somebody has looked, an unknown burner counts as lit."),
        due=state.burner_since,
        caution=heat(state),
        question=burner_question(),
        # Asked before anything else, until the person put it off: then what is due goes on before it.
        urgency=Urgency.UNHURRIED if burner_put_off(state) else Urgency.FIRST,
    )


# -- a full flame --------------------------------------------------------------------------------------


def _at_full(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """Turned low or off once the wax is hot enough, or as hot as it may get."""
    down = _down(state, outlook, wanted, now, free)
    if down is not None and down.due <= now and _runs_over(outlook, wanted, now):
        # A flame that is turned down in vain costs a few minutes; one that burns on, the wax.
        down = replace(down, urgency=Urgency.FIRST)
    if down is None or down.urgency is Urgency.FIRST or down.due > now:
        return [down] if down else []
    return _read_first(state, outlook, wanted, down, now)


def _down(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float) -> Act | None:
    """The turn of a full flame that comes next, and why; None where it is still wanted."""
    need = _first(wanted)
    if need is None:
        return _turn_off(NOTHING_MORE, now)
    if free <= now and jug_due(state, outlook, wanted, now):
        return _turn_off(OUT_FOR_JUGS, now)
    hot = _hot_from(outlook, need, now)
    # A turn of the knob: before what takes both hands for minutes, or the wax runs on past where it is wanted; at its
    # ceiling before everything.
    urgency = Urgency.FIRST if outlook.warmer_than(outlook.ceiling_c - NEAR_CEILING, now) else Urgency.QUICK
    target = heat_to(outlook, wanted, now)
    # What a low flame cannot hold is left on the full one, as long as nothing grows too hot.
    enough = None if _low_is_weak(outlook, need, now) else _enough_from(state, outlook, target, now)
    if hot is None and enough is None:
        return None
    due = min(t for t in (hot, enough) if t is not None)
    if need.drawn and _holds(outlook, need, due):
        return _turn_low(state, need, _held_for(outlook, need, now), due, urgency)
    if need.at - max(now, due) > HOLD_LOW:
        back = need.at - lead(outlook, need, now)
        return _turn_off(
            tr(
                "Nothing is poured before {clock}; light it again about {clock2}.",
                clock=clock(need.at),
                clock2=clock(back),
            ),
            due,
            urgency,
        )
    if enough is not None and (hot is None or enough <= hot):
        return _turn_off(
            tr("The bath carries the wax on to {degrees} by itself.", degrees=outlook.degrees(target)),
            due,
            urgency,
        )
    ceiling = outlook.degrees(outlook.ceiling_c)
    return _turn_off(
        tr("This wax must not get hotter than {ceiling}; a full bath holds the heat.", ceiling=ceiling),
        due,
        urgency,
    )


def _runs_over(outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> bool:
    """Whether jugs may pass their ceiling with the heat that is under way, were the flame turned low now."""
    drawn = bool(wanted) and wanted[0].drawn and outlook.pot is not None
    return drawn and outlook.pot is not None and bath_peak(outlook.pot, now + REACTS)[1] >= outlook.ceiling_c


def _hot_from(outlook: Outlook, need: PourNeed, now: float) -> float | None:
    """When the flame has to go down, or wax may pass its ceiling; None where it does not come to that.

    A jug holds so little that it is as hot as its bath within minutes: there the bath is what must not pass it.
    """
    if (
        need.drawn
        and outlook.pot is not None
        and _bath_may_reach(outlook.pot, now + REACTS) >= _bath_most(outlook, need, now)
        and not _too_cold_on_low(outlook, need, now)
    ):
        return now
    if (
        not need.drawn
        and outlook.pot is not None
        and peak(outlook.pot, now + REACTS)[1] >= outlook.ceiling_c - 1.0
    ):
        return now
    return outlook.hot_at(outlook.ceiling_c - NEAR_CEILING, now)


def _too_cold_on_low(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether a jug, were the flame turned low now, would neither be warm enough within minutes nor may be too hot: it would
    only be turned up again."""
    if outlook.pot is None:
        return False
    _, likely, high = held_low(outlook.pot, now + REACTS)
    return likely < need.least and high < outlook.ceiling_c - LOW_NEAR


def _low_is_weak(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether a low flame lets a jug grow too cold before it is wanted, or within `HOLDS_FOR`, on this stove."""
    when = min(max(now + HOLDS_FOR, need.at), now + HOLD_LOW)
    return need.drawn and outlook.pot is not None and low_at(outlook.pot, now, when)[2] < need.least


def _bath_may_reach(pot: PotForecast, at: float) -> float:
    """°C that the bath of jugs is held to get to, were the flame turned low at a time: halfway to its high side; of small
    jugs, which are as hot as their bath at once, the high side itself."""
    likely, high = bath_peak(pot, at)
    return high if pot.setup.vessel_kg < SMALL else 0.5 * (likely + high)


def _bath_most(outlook: Outlook, need: PourNeed, now: float) -> float:
    """°C that the bath of a jug should not pass: its ceiling, and where the flame has burned for a while somewhat more than
    the jug is to have: it is not turned to and fro."""
    most = outlook.ceiling_c - 1.0
    burns_on = now - outlook.state.burner_since < BURNS_FOR or _low_is_weak(outlook, need, now)
    return most if burns_on else min(need.celsius + BATH_ABOVE, most)


def _enough_from(state: State, outlook: Outlook, target: float, now: float) -> float | None:
    """When the bath is hot enough to carry the wax to its target by itself; None where it does not get there."""
    if still_out(state, outlook.sheet):
        # While some of the wax is still to be put in, the heat is not there to pour by.
        return None
    if outlook.pot is not None and carries_to(outlook.pot, target - WARM_ENOUGH, now + REACTS):
        enough: float | None = now
    else:
        enough = outlook.hot_at(target - WARM_ENOUGH, now)
    if enough is not None and unread_since_lit(state, outlook):
        # Where it began is not known: one reading first.
        return max(enough, state.burner_since + READ_SOONEST + MINUTE)
    return enough


# -- a low flame ---------------------------------------------------------------------------------------


def _at_low(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float) -> list[Act]:
    """Left burning as long as something is to be poured from what it holds; up where that grows too cold."""
    need = _first(wanted)
    if need is None:
        return [_turn_off(NOTHING_MORE, now)]
    hot = _over_from(state, outlook, now)
    if hot is not None:
        why = tr(
            "Even a low flame takes it to the hottest it may get, {degrees}.",
            degrees=outlook.degrees(outlook.ceiling_c),
        )
        off = _turn_off(why, hot, Urgency.FIRST)
        return [off] if hot > now else _read_first(state, outlook, wanted, off, now)
    if need.at - now > HOLD_LOW + LOW_STAYS:
        back = need.at - lead(outlook, need, now)
        return [
            _turn_off(
                tr(
                    "Nothing is poured before {clock}; light it again about {clock2}.",
                    clock=clock(need.at),
                    clock2=clock(back),
                ),
                now,
            )
        ]
    if free <= now and jug_due(state, outlook, wanted, now):
        return _read_first(state, outlook, wanted, _turn_off(OUT_FOR_JUGS, now), now)
    up = _heat_on(state, outlook, wanted, now)
    if up is None or (need.drawn and up.due <= now and _bath_is_hot(outlook, need, now)):
        return []
    if need.drawn and (_gets_there(outlook, need, now) or _can_wait_for_its_look(outlook, need, now)):
        return []
    up = replace(
        up,
        says=heat_up_says(outlook, heat_to(outlook, wanted, now)),
        due=max(up.due, _tried_until(state)),
        urgency=Urgency.QUICK,
    )
    return _read_first(state, outlook, wanted, up, now) if up.due <= now else [up]


def _over_from(state: State, outlook: Outlook, now: float) -> float | None:
    """When a low flame has to go out, or the heat that is under way by then may take wax past its ceiling; None where it does
    not come to that soon.

    A reading decides before any forecast. A bath that is hotter than its wax warms it on for minutes after the flame is out.
    """
    read, pot = last_wax_reading(state), outlook.pot
    near = outlook.ceiling_c - LOW_NEAR
    if outlook.warmer_than(near, now):
        return now
    if read is not None and read.t > state.burner_since and read.celsius >= near:
        return now
    if pot is None or outlook.pot_reaches(near).early == float("inf"):
        return None
    ahead = (now + minute * MINUTE for minute in range(STEPS_AHEAD))
    return next((t for t in ahead if _warmed_on_to(pot, t + BACK_WITHIN) >= outlook.ceiling_c - 1.0), None)


def _warmed_on_to(pot: PotForecast, at: float) -> float:
    """°C that wax is held to get to, were the flame out from a time on: halfway to its high side; of small jugs, which melt and
    are as hot as their bath within minutes, the high side itself."""
    likely, high = peak(pot, at)
    return high if pot.setup.vessel_kg < SMALL else 0.5 * (likely + high)


def _tried_until(state: State) -> float:
    """Until when a low flame is left to show what it does: a knob is not turned to and fro by a forecast alone."""
    read = last_wax_reading(state)
    shown = read is not None and read.t >= state.burner_since + READ_SOONEST
    return state.burner_since if shown else state.burner_since + LOW_TRIED


def _can_wait_for_its_look(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether a mould that nobody has found ready yet is looked at first: a full flame warms its jug within minutes then, and
    would be turned to and fro for as long as the mould is not ready."""
    if outlook.pot is None or need.hurry or need.soonest == float("inf"):
        return False
    return warm_up(outlook.pot, need.least, now, now) <= WARMED_AFTER


def _gets_there(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether the low flame that burns brings the jug to where it will do, soon enough after it is wanted."""
    by = max(now, need.at) + max(need.keeps, POUR_KEEPS)
    return not outlook.warmer_than(need.least, now) and outlook.pot_reaches(need.least).likely <= by


def _holds(outlook: Outlook, need: PourNeed, at: float) -> bool:
    """Whether the flame is better low than out from a time on: a pour comes soon enough, and the wax keeps away from its
    ceiling, by the likely path and halfway to the hot side as well."""
    if outlook.pot is None or need.at - at > HOLD_LOW:
        return False
    _, likely, high = held_low(outlook.pot, at)
    if need.at - at <= SOON_POURED:
        # Soon most of it is poured, or read: turned off it would be lit again for the next.
        return likely < outlook.ceiling_c - LOW_NEAR and 0.5 * (likely + high) < outlook.ceiling_c
    return 0.5 * (likely + high) < outlook.ceiling_c - LOW_NEAR


def _held_for(outlook: Outlook, need: PourNeed, now: float) -> str:
    """For what a low flame holds the wax, in a sentence."""
    when = tr("wanted about {clock}", clock=clock(need.at, now)) if need.at > now else tr("wanted now")
    return tr("It holds the wax hot for {colour}, {when}.", colour=outlook.colour(need.layer), when=when)


def _warmed_for(outlook: Outlook, need: PourNeed, now: float) -> str:
    """For what a low flame warms the wax, in a sentence."""
    when = tr("wanted about {clock}", clock=clock(need.at, now)) if need.at > now else tr("wanted now")
    return tr("It warms {colour} slowly, {when}.", colour=outlook.colour(need.layer), when=when)


# -- a flame that is out -------------------------------------------------------------------------------


def _when_off(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """Lit for the next pour: low under jugs that are still warm, else full."""
    on = _low_again(state, outlook, wanted, now) or _lit(state, outlook, wanted, now)
    if on is not None and wanted and on.kind == "heat low":
        on = replace(on, due=max(on.due, _carried_on(state, outlook, wanted[0], now)))
    if on and not TOO_HOT.isdisjoint(state.alarms):
        # Too hot when it was last seen: a reading, not the forecast, lets it be lit again.
        return read_lit(state, outlook, wanted, now)
    hurries = bool(wanted) and wanted[0].hurry and wanted[0].drawn
    if on is None or (not hurries and jug_due(state, outlook, wanted, now)):
        # Whoever is at the jugs draws the next one first: the flame is lit once, for both. A pour that hurries and has no jug
        # yet needs that jug before the flame.
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


def _least_c(state: State, need: PourNeed) -> float:
    """°C that a low flame has to hold a jug at: of a plug what the rest of its layer needs, minutes later; and the pot, so
    that the next jug can be drawn."""
    if not need.drawn:
        return need.celsius - COOLER
    coming = [state.next_pour(letter) for letter in need.moulds]
    plug = any(pour is not None and pour.part == "plug" for pour in coming)
    return max(need.least, need.celsius - LOW_COOLER) if plug else need.least


def _lit(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> Act | None:
    """A full flame; a low one for jugs whose bath is nearly as hot as they may be: they come after it."""
    on = _heat_on(state, outlook, wanted, now)
    need = _first(wanted)
    if on is None or need is None or not need.drawn:
        return on
    if on.due <= now and _bath_is_hot(outlook, need, now):
        return _turn_low(state, need, _held_for(outlook, need, now), on.due, on.urgency)
    if on.due <= now and _low_is_as_quick(outlook, need, now):
        return _turn_low(state, need, _warmed_for(outlook, need, now), on.due, on.urgency)
    slowly = _low_in_time(outlook, need, now)
    if slowly is None or (slowly > on.due and need.keeps < TOP_UP_KEEPS):
        return on
    return _turn_low(state, need, _warmed_for(outlook, need, now), slowly, on.urgency)


def _low_is_as_quick(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether on this stove a low flame warms a jug about as soon as a full one, which would have to go down again at once."""
    if outlook.pot is None:
        return False
    full = warm_up(outlook.pot, need.least, now, now)
    return warm_up_low(outlook.pot, need.least, now, now) <= full + AS_QUICK


def _low_in_time(outlook: Outlook, need: PourNeed, now: float) -> float | None:
    """When a low flame is lit that warms a jug in time by itself, so that nothing runs over and nobody has to stand by; None
    where it does not."""
    if outlook.pot is None:
        return None
    by = max(now, need.at)
    takes = warm_up_low(outlook.pot, _warm_c(outlook, need), by, now)
    if takes <= 0.0:
        # It is warm as it is: there is nothing to be lit for yet.
        return None
    if need.keeps >= TOP_UP_KEEPS and now < need.soonest < float("inf"):
        # A top-up keeps: it is warmed for once its mould was looked at.
        return max(by - takes, need.soonest + LOOKED) if takes <= LOW_WARMS else None
    if takes > LOW_WARMS or now + takes > by + need.keeps:
        return None
    return max(now, by - takes)


def _warm_c(outlook: Outlook, need: PourNeed) -> float:
    """°C to which a low flame warms a jug: what will do; of what keeps, somewhat more."""
    more = READY_WITHIN if need.keeps >= TOP_UP_KEEPS else 0.0
    return min(need.least + more, need.celsius, outlook.ceiling_c - NEAR_CEILING)


def _bath_is_hot(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether the bath would be as hot on a low flame as a jug is wanted: it needs no full one then."""
    return outlook.pot is not None and sum(bath_peak(outlook.pot, now)) / 2 >= need.celsius


def _low_again(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> Act | None:
    """A low flame under jugs that are still warm enough, so that they need not be heated anew; None where they are too
    cold, or nothing is poured for long."""
    need = _first(wanted)
    if need is None or not state.jugs or outlook.pot is None or jug_due(state, outlook, wanted, now):
        return None
    least = _least_c(state, need)
    if not outlook.warmer_than(least - WARM_ENOUGH, now):
        return None
    too_strong = low_at(outlook.pot, now, now + HOLD_LOW)[1] >= outlook.ceiling_c - LOW_NEAR
    soon = need.at - now <= HOLDS_FOR and not too_strong
    cool = outlook.cool_at(
        min(need.celsius if soon else least + LOW_NEAR, outlook.ceiling_c - 2 * LOW_NEAR), now
    )
    due = max(now, cool if cool is not None else now)
    by = max(now, need.at)
    if too_strong:
        # On this stove it can hold nothing for long: it only warms, shortly before and from as cold as may be.
        due = max(due, need.at - HOLDS_FOR)
    cold = outlook.cool_at(least - WARM_ENOUGH, now)
    if cold is not None and cold < due:
        return None
    short = LOW_SHORT if by - due > HOLDS_FOR else 0.0
    if not _holds(outlook, need, due) or low_at(outlook.pot, due, by)[1] < least - short:
        return None
    return _turn_low(state, need, _held_for(outlook, need, now), due, Urgency.USUAL)


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
        jug = outlook.jug_name(need.layer) if len(standing_jugs(state)) > 1 else tr("the jug")
        says = tr(
            "Stand {jug} in the bath and light the burner; wax to {degrees}, never above {degrees2}.",
            jug=jug,
            degrees=outlook.degrees(need.celsius),
            degrees2=outlook.degrees(outlook.ceiling_c),
        )
    if first and LOAD not in state.waived:
        says += f" {_what_first(state, outlook)}"
    return Act(
        id=ActId("heat on", nth=round(state.burner_since)),
        kind="heat on",
        word=tr("HEAT ON"),
        layer=need.layer if need.drawn else None,
        says=says,
        why=tr("Everything waits for the melt.") if first else _why_now(outlook, need, now),
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
        return tr("{whole} of wax in all.", whole=whole)
    return tr("Begin with {amounts}, of {whole} in all.", amounts=amounts(outlook, order.first), whole=whole)


def _why_now(outlook: Outlook, need: PourNeed, now: float) -> str:
    """For what the burner is lit now, in a sentence."""
    takes = span(max(60.0, lead(outlook, need, now)))
    what = tr("{colour} for {letters}", colour=outlook.colour(need.layer), letters=letters(need.moulds))
    colouring = "" if need.drawn else tr(", {span} of them to draw and colour the jug", span=span(JUG_LEAD))
    wanted = (
        tr("is wanted about {clock}", clock=clock(need.at, now)) if need.at > now else tr("is wanted now")
    )
    return tr(
        "Hot {what} {wanted}; warming up takes about {takes} by the forecast{colouring}.",
        what=what,
        wanted=wanted,
        takes=takes,
        colouring=colouring,
    )


def _carried_on(state: State, outlook: Outlook, need: PourNeed, now: float) -> float:
    """Until when a bath that was just turned off is left to carry its wax on, unless it was read since or is far off."""
    last = last_wax_reading(state)
    read_since = last is not None and last.t > state.burner_since + MINUTE
    # What was found off was not turned off just now.
    found_off = state.burner_spans[-1:] and state.burner_spans[-1].what == "unknown"
    if read_since or found_off or not outlook.warmer_than(need.celsius - CARRIES_MOST, now):
        return 0.0
    return state.burner_since + CARRIES_ON


def _just_back(state: State, now: float) -> bool:
    """Whether somebody has come back, has read the wax, and has not yet been through all that is open."""
    gap, last = absence(state, now), last_wax_reading(state)
    return gap is not None and state.away_since is None and last is not None and last.t >= (gap.end or now)


# -- all of them ---------------------------------------------------------------------------------------


def _first(wanted: Sequence[PourNeed]) -> PourNeed | None:
    """The pour that comes first; None where none is to come."""
    return wanted[0] if wanted and wanted[0].at < float("inf") else None


def _read_first(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], switch: Act, now: float
) -> list[Act]:
    """A turn of the burner that is due, after the reading that it wants first."""
    if not wanted or not wants_a_reading(state, outlook, now):
        return [switch]
    read = read_act(state, outlook, *where_to_read(state, outlook, wanted), switch.due - MOMENT)
    return [replace(read, urgency=switch.urgency, why=NOT_BY_A_GUESS), switch]


def _turn_off(why: str, due: float, urgency: Urgency = Urgency.QUICK) -> Act:
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


def _turn_low(state: State, need: PourNeed, why: str, due: float, urgency: Urgency) -> Act:
    """Turning the flame low, from full or off, and why."""
    return Act(
        id=ActId("heat low", nth=round(state.burner_since)),
        kind="heat low",
        word=tr("HEAT LOW"),
        says=heat_low_says(why, lit=state.burner == "on"),
        why=why,
        due=due,
        caution=heat(state),
        records=(ev.BurnerSet(state="low"), *_back_in_the_bath(state, need)),
        urgency=urgency,
    )
