"""One stove, one pair of hands: what waits for what, what is done in one go, and what gets in its own way."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from pourday.guide.acts.act import Act, Question, Urgency
from pourday.guide.acts.durations import HANDS, HOLDS, TOGETHER
from pourday.guide.acts.heat_plan import IN_TIME, LOOKED, PourNeed, fit_from, lead, needs
from pourday.guide.acts.mould_acts import under_question
from pourday.guide.acts.mould_end import release_question
from pourday.guide.acts.mould_looks import cue_question
from pourday.guide.acts.pour_heat import SHARED, coming_layer
from pourday.guide.acts.wording import demould_says, look_says, relief_says, under_says
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.state import State
from pourday.times import MINUTE, clock, letters, span

MERGED = ("plug", "look under", "look", "pour", "top-up", "relief", "demould", "cure")
KEEPS_FOR = 40 * MINUTE
"""s that relief holes, and the look before a top-up, wait so as to be done together with those of another mould. An
estimate of ours."""
WAITS_FOR_JUG = 15 * MINUTE
"""s that a look waits for a jug that is still warming. An estimate of ours."""
LETS_FALL = 5 * MINUTE
"""s that a jug is let cool, or left to warm, so that one pour serves several moulds. An estimate of ours."""
MOST_ORDERS = 5
"""With up to so many pours every order is tried; with more they are made in the order in which their windows close."""
NEVER = float("inf")


def delay_for_shared_jug(state: State, outlook: Outlook, acts: Sequence[Act]) -> list[Act]:
    """The acts, where a pour is put off a little if another mould that takes the same colour is about to be ready."""
    return [_held(state, outlook, act, acts) for act in acts]


def _held(state: State, outlook: Outlook, act: Act, acts: Sequence[Act]) -> Act:
    """A pour put off until the moulds of its colour that are about to be ready were looked at; as it was where its own window
    does not allow that, or where there is none."""
    if act.kind not in HOLDS:
        return act
    until = min(act.due + HOLDS[act.kind], last_call(outlook, act) - IN_TIME)
    if act.kind == "top-up" and (joint := _joint_top_up(outlook, act, acts, until)) is not None:
        return joint
    coming = [x for x in acts if _same_colour(state, act, x) and act.due - HANDS["look"] < x.due <= until]
    if not coming:
        return act
    last = max(coming, key=lambda x: x.due)
    names = letters("".join(sorted(x.moulds for x in coming)))
    why = tr(
        "{why} It waits for {names}: one jug, one heat; until {clock} at the latest.",
        why=act.why,
        names=names,
        clock=clock(until),
    )
    return replace(act, due=last.due + 2 * HANDS["look"], why=why)


def _joint_top_up(outlook: Outlook, act: Act, acts: Sequence[Act], until: float) -> Act | None:
    """A top-up put off for one of another mould from the same jug, while its own mould is surely still liquid inside; None
    where there is none."""
    forecasts = [outlook.mould(letter) for letter in act.moulds]
    until = min([until, *(forecast.solid.early for forecast in forecasts if forecast is not None)])
    later = [x for x in acts if x.kind == "top-up" and x.layer == act.layer and act.due < x.due <= until]
    if not later:
        return None
    last = max(later, key=lambda x: x.due)
    names = letters("".join(sorted(x.moulds for x in later)))
    return replace(
        act, due=last.due, why=tr("{why} It waits for {names}: one jug, one heat.", why=act.why, names=names)
    )


def _same_colour(state: State, act: Act, other: Act) -> bool:
    """Whether the other act is a look that may end in a pour from the same jug into another mould.

    A pour does not wait for a top-up, which keeps; a top-up waits for either.
    """
    if other.moulds == act.moulds or other.kind not in ("look", "look under"):
        return False
    if coming_layer(state, other) != act.layer:
        return False
    last = state.moulds[other.moulds].last_pour
    tops_up = other.kind == "look" and last is not None and last.layer == act.layer
    return act.kind == "top-up" or not tops_up


def last_call(outlook: Outlook, act: Act) -> float:
    """When the window of an act may close at the earliest; never, where it has none in sight."""
    if act.closes is None:
        return NEVER
    early = [0.0]
    for letter in act.moulds:
        forecast = outlook.mould(letter)
        if forecast is not None and forecast.closes is not None and forecast.closes_spread is not None:
            early.append(forecast.closes - forecast.closes_spread.early)
    return act.closes - max(early)


def look_when_its_jug_is_hot(state: State, outlook: Outlook, act: Act, now: float) -> Act:
    """A look before a layer, put off a little while its jug is still warming: a mould found ready now could not be poured
    yet.

    Never past its window, and not once the program has told the person to look.
    """
    called = state.told is not None and state.told.act == str(act.id)
    if (
        act.kind != "look"
        or called
        or any(x is None or x.part != "layer" for x in map(state.next_pour, act.moulds))
    ):
        return act
    hot = fit_from(state, outlook, act, now)
    if hot == NEVER:
        return act
    latest = min(max(act.due, now) + WAITS_FOR_JUG, last_call(outlook, act) - IN_TIME - LOOKED)
    return replace(act, due=max(act.due, min(hot - LOOKED, latest)))


def merge_same_acts(
    acts: Sequence[Act], now: float, fit: Callable[[Act], float] | None = None, told: str = ""
) -> list[Act]:
    """Acts of the same kind on several moulds as one act, which has each mould's own weight and level; `told` is the identity
    of the act that was told last, which nobody is sent back from.

    `fit` says from when there is a jug fit to pour for an act (seconds since the epoch): a mould that can have its jug
    does not wait long for one that cannot.
    """
    merged: list[Act] = []
    for act in acts:
        fellow = next(
            (
                i
                for i, other in enumerate(merged)
                if _same_go(other, act, now, told) and (fit is None or _waits(other, act, fit, now))
            ),
            None,
        )
        if fellow is None:
            merged.append(act)
        else:
            merged[fellow] = _join(merged[fellow], act)
    return merged


def _waits(one: Act, other: Act, fit: Callable[[Act], float], now: float) -> bool:
    """Whether two acts can share one jug: it is fit for both at the same moment, or soon after each other with no window
    closing meanwhile."""
    first, second = sorted(max(now, fit(act)) for act in (one, other))
    if first == second:
        return True
    soonest = min(act.closes if act.closes is not None else NEVER for act in (one, other))
    return second - first <= LETS_FALL and soonest - now > IN_TIME + LETS_FALL


def _same_go(one: Act, other: Act, now: float, told: str) -> bool:
    """Whether two acts are done in one go."""
    if one.kind != other.kind or one.kind not in MERGED or one.layer != other.layer:
        return False
    if one.kind == "look under" and Urgency.QUICK in (one.urgency, other.urgency):
        return False  # A seal that weeps is seen to by itself.
    if one.kind == "demould" and Urgency.SOON in (one.urgency, other.urgency):
        return False  # One that was stuck is seen to by itself.
    if one.kind == "look" and one.id.nth != other.id.nth:
        return False  # Only what is equally far along looks the same.
    low, high = _joint(one, other) or (0.0, SHARED)
    if high - low < SHARED:
        return False
    soonest = min(one.closes or NEVER, other.closes or NEVER) - (IN_TIME if one.kind == "look" else 0.0)
    first, second = sorted((max(one.due, now), max(other.due, now)))
    if first == second:
        return True
    together = TOGETHER
    if one.kind in ("look", "relief"):
        # Nobody who is on the way to one mould is sent back to wait for another.
        first, second = sorted((one.due, other.due))
        if one.kind == "relief" or (one.closes is None and other.closes is None):
            # Holes, and the look before a top-up, keep: one walk for all of them, unless it is begun.
            together = TOGETHER if told in (str(one.id), str(other.id)) else KEEPS_FOR
    return second - first <= together and second <= soonest


def _joint(one: Act, other: Act) -> tuple[float, float] | None:
    """(least, most) °C at which one jug may be poured for both acts; None where no temperature suits both."""
    if one.between is None or other.between is None:
        return one.between or other.between
    return max(one.between[0], other.between[0]), min(one.between[1], other.between[1])


def _join(one: Act, other: Act) -> Act:
    """Two acts as one that is done in one go."""
    closes = [act.closes for act in (one, other) if act.closes is not None]
    moulds = one.moulds + other.moulds
    records = one.records + other.records
    says, question = _in_one_go(one.kind, moulds, records) or (
        f"{one.says} {other.says}".strip(),
        one.question,
    )
    cautions = dict.fromkeys(x.caution for x in (one, other) if x.caution)
    return replace(
        one,
        id=replace(one.id, moulds=moulds),
        parts=(*(one.parts or (one.id,)), other.id),
        moulds=moulds,
        says=says,
        question=question,
        due=max(one.due, other.due),
        closes=min(closes) if closes else None,
        records=records,
        caution=" ".join(cautions) if one.kind in ("look", "relief") else one.caution,
        between=_joint(one, other),
    )


def _in_one_go(kind: str, moulds: str, records: Sequence[Fact]) -> tuple[str, Question | None] | None:
    """What is said and asked of several moulds that are looked at in one go; None of any other act."""
    match kind:
        case "look under":
            return under_says(moulds), under_question(moulds)
        case "look":
            holes = "".join(fact.mould for fact in records if isinstance(fact, ev.Relieved))
            return look_says(moulds, holes=bool(holes)), cue_question(moulds, holes=holes)
        case "relief":
            return relief_says(moulds, again=False), None
        case "demould":
            return demould_says(moulds), release_question(moulds)
        case _:
            return None


@dataclass(frozen=True, slots=True)
class Job:
    """One pour to come: from when, until when, and how long the jug before it takes."""

    moulds: str
    layer: int
    celsius: float
    ready: float
    closes: float
    takes: float
    """s of both hands: the look, and each mould's pour."""
    change: float
    """s to get its jug hot, where another jug or a cooler one was used before it."""


def jobs(state: State, outlook: Outlook, acts: Sequence[Act], now: float) -> list[Job]:
    """The pours that can be seen coming and have a window."""
    work = []
    for need in needs(state, outlook, acts, now):
        act = next(a for a in acts if a.moulds == need.moulds and coming_layer(state, a) == need.layer)
        if act.kind in ("pour", "look") and act.closes is not None:
            work.append(_job(outlook, act, need, now))
    return work


def _job(outlook: Outlook, act: Act, need: PourNeed, now: float) -> Job:
    """The work of one pour: both hands, and the jug made hot for it."""
    takes = HANDS["pour"] * len(act.moulds) + (HANDS["look"] if act.kind == "look" else 0.0)
    change = lead(outlook, replace(need, at=now), now)
    closes = act.closes if act.closes is not None else NEVER
    return Job(act.moulds, need.layer, need.celsius, max(now, act.due), closes, takes, change)


def lateness(order: Sequence[Job]) -> list[tuple[Job, float]]:
    """Each pour with the seconds that it comes later after its window closed because of this order; 0 while the
    order costs nothing."""
    t, before, late_jobs = 0.0, None, []
    for job in order:
        change = 0.0
        if before is not None and (before.layer != job.layer or job.celsius > before.celsius + WARMER):
            change = job.change
        t = max(t + change, job.ready) + job.takes
        alone = max(0.0, job.ready + job.takes - job.closes)
        late_jobs.append((job, max(0.0, t - job.closes - alone)))
        before = job
    return late_jobs


WARMER = 3.0
"""K by which a jug may be short of the next mould without being heated for it. Estimate."""


def best_order(work: Sequence[Job]) -> list[Job]:
    """The order that makes the fewest pours late, and those the least; of equals, what closes first.

    Two moulds of one colour go hotter first: the jug falls by itself.
    """
    first = sorted(work, key=lambda j: (j.closes, -j.celsius, j.ready, j.moulds))
    if len(first) > MOST_ORDERS:
        return first
    return min((list(order) for order in permutations(first)), key=_price)


def _price(order: Sequence[Job]) -> tuple[int, float, float]:
    """What an order costs: how many pours come late, by how much, and how long it all takes."""
    late = lateness(order)
    end = sum(j.ready * i for i, j in enumerate(reversed(order)))
    return sum(s > 0 for _, s in late), sum(s for _, s in late), end


def collision(state: State, outlook: Outlook, acts: Sequence[Act], now: float) -> tuple[str, str]:
    """(moulds in their better order, what to say of it) where pours get in each other's way; two empty texts where
    they do not."""
    work = jobs(state, outlook, acts, now)
    if len(work) < 2:
        return "", ""
    asked = sorted(work, key=lambda j: (j.ready, j.closes, j.moulds))
    if not any(late for _, late in lateness(asked)):
        return "", ""
    order = best_order(work)
    ways = tr(", then ").join(
        tr("{letters} by {clock}", letters=letters(j.moulds), clock=clock(j.closes, now)) for j in order
    )
    late = [(j, s) for j, s in lateness(order) if s > 0]
    if not late:
        return "".join(j.moulds for j in order), tr("One pair of hands, one stove: {ways}.", ways=ways)
    worst, by = max(late, key=lambda pair: pair[1])
    says = tr(
        "Too much at once for one pair of hands and one stove: {ways}; {letters} then comes about {span} late. Pour it at the hot end, or warm its surface first.",
        ways=ways,
        letters=letters(worst.moulds),
        span=span(by),
    )
    return "".join(j.moulds for j in order), says
