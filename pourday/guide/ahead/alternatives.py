"""A day rehearsed: what it comes to in a few sentences, and what would shorten it at what price.

Every way of shortening is the same day computed again with one thing changed; the price is read off both.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import msgspec
import numpy as np

from pourday import times
from pourday.errors import Trouble
from pourday.forecast.fuse import contact_c, top_surface
from pourday.forecast.mould_case import Around
from pourday.forecast.mould_read import HALF
from pourday.forecast.spread import Quantiles
from pourday.guide.ahead.clashes import LIKELY
from pourday.guide.ahead.day import DayForecast, ahead_of_plan, left_for_morning, lets_go, past_bedtime
from pourday.guide.ahead.moulds import MouldCourse, waxes_in
from pourday.guide.outlook.moulds import planned_c
from pourday.language import ntr, tr
from pourday.plan.model import Plan
from pourday.plan.volumes import fill_height
from pourday.session.quiet_hours import PersonsClock
from pourday.times import clock, letters, letters_short, span
from pourday.units import show_difference

COOLER = 8.0
"""K that a cooler pour is cooler in the day it is tried in. Chosen."""
THINNER = 0.8
"""Share of the fill height that is left where all layers are poured thinner. Chosen."""
BATH_UP_TO = 0.8
"""Share of the lowest mould's fill that a water bath reaches in the day it is tried in. Chosen."""
BATH_BELOW = 10.0
"""K below the solidus at which the bath is kept: cool enough to take heat away faster than air does, and warm
enough that no window closes sooner for it (found by trying 25 to 50 °C with a pillar paraffin; an estimate)."""
NARROWER = 0.75
"""Share of the narrowest window that has to be lost before it is said. Chosen."""
STAGGERS = (1200.0, 2400.0)
"""Seconds by which some moulds are begun later in the days that are tried. Chosen."""
WORTH = 300.0
"""Seconds below which a day counts as no shorter. Chosen."""
WEAKER = 1.0
"""K by which a seam has to be touched cooler before it is called weaker. Chosen."""


@dataclass(frozen=True, slots=True, eq=False)
class Shorter:
    """One way to a shorter day."""

    name: str
    saves: float
    """Seconds at the stove, likely; below zero where the day gets longer."""
    burner: float
    """Seconds less of a lit burner."""
    price: str
    eases: bool = False
    """Whether it brings in time what one pair of hands does not get to otherwise."""

    @property
    def tells(self) -> bool:
        """Whether it saves or eases enough to be worth a sentence."""
        return self.eases or self.saves >= WORTH

    @property
    def says(self) -> str:
        """What it saves and at what price, in a sentence."""
        if self.saves < WORTH:
            longer = tr("{span} longer", span=span(self.saves)) if self.saves < -WORTH else tr("no shorter")
            return f"{self.name}: {longer}. {self.price}"
        return tr(
            "{name}: about {span} shorter. {price}", name=self.name, span=span(self.saves), price=self.price
        )


def between(spread: Quantiles, now: float) -> str:
    """`about 17:40, 16:50-18:50`; the day is named once where it is the same: `about Tue 17:40, 16:50-18:50`."""
    likely = clock(spread.likely, now)
    whole = times.between(spread.early, spread.late, now, likely)
    return (
        tr("about {likely}, {whole}", likely=likely, whole=whole)
        if whole
        else tr("about {likely}", likely=likely)
    )


def keeps_you(day_ahead: DayForecast) -> str:
    """How long somebody will be needed at the stove, in a sentence."""
    end = lets_go(day_ahead)
    if end is None:
        return tr("Nothing is left to do at the stove.")
    return f"{_bands(day_ahead)} {between(end, day_ahead.now)}{_morning(day_ahead)}."


def briefly(day_ahead: DayForecast) -> str:
    """The same for a screen that has hardly room."""
    end = lets_go(day_ahead)
    if end is None:
        return tr("Nothing is left to do at the stove.")
    return tr(
        "Keeps you here until {between}.", between=f"{between(end, day_ahead.now)}{_morning(day_ahead)}"
    )


def _morning(day_ahead: DayForecast) -> str:
    """What is left until after the night, within that sentence; empty where nothing is."""
    later = left_for_morning(day_ahead)
    if not later:
        return ""
    acts = [step for step in later if step.kind != "look"] or later
    names = dict.fromkeys(f"{step.word} {letters_short(step.moulds)}".strip() for step in acts)
    return tr(
        "; left for the morning: {what}, about {when}",
        what=", ".join(names),
        when=clock(acts[0].at.likely, day_ahead.now),
    )


def _bands(day_ahead: DayForecast) -> str:
    """The beginning of that sentence: how many bands of what height, or what is left of a day that has begun."""
    plan, sheet = day_ahead.state.plan, day_ahead.outlook.sheet
    if any(p.made for c in day_ahead.courses for p in c.pours):
        return tr("What is left keeps you here until")
    heights = []
    for mould in sheet.moulds:
        tops = [0.0, *(p.level for p in mould.pours if p.kg > 0)]
        heights += [round(b - a, 3) for a, b in pairwise(tops)]
    count = len(plan.layers)
    low, high = (day_ahead.outlook.length(height) for height in (min(heights), max(heights)))
    size = low if low == high else f"{low.split()[0]}-{high}"
    numbers = {
        1: tr("One band"),
        2: tr("Two bands"),
        3: tr("Three bands"),
        4: tr("Four bands"),
        5: tr("Five bands"),
    }
    name = numbers.get(count, tr("{count} bands", count=count))
    return tr(
        "{name} of {size} {count} you here until",
        name=name,
        size=size,
        count=tr("keeps") if count == 1 else tr("keep"),
    )


def summary(day_ahead: DayForecast) -> list[str]:
    """What the day comes to: its end, the burner, cold and cured, what collides."""
    sentences = [keeps_you(day_ahead)]
    if day_ahead.lit:
        times = tr(", lit {count} times", count=len(day_ahead.lit)) if len(day_ahead.lit) > 1 else ""
        sentences.append(
            tr(
                "The burner is on for about {span} of it{times}; you are told when to look at the water.",
                span=span(day_ahead.burner),
                times=times,
            )
        )
    sentences += _cold(day_ahead)
    if left_for_morning(day_ahead):
        sentences.append(tr("Begin sooner to have it all done in one day."))
    elif past_bedtime(day_ahead):
        sentences.append(
            tr(
                "It runs past {clock}, when you are gone: begin sooner, or shorten it.",
                clock=clock(day_ahead.gone, day_ahead.now),
            )
        )
    if day_ahead.too_much:
        sentences.append(day_ahead.too_much)
    return [*sentences, *(f"{note[:1].upper()}{note[1:]}" for note in day_ahead.collisions)]


# -- what would shorten it ------------------------------------------------------------------------------


def shorter(
    day_ahead: DayForecast, *, follow: float = 60.0, clock: PersonsClock | None = None
) -> Iterator[Shorter]:
    """Ways to a shorter day, computed one by one as they are asked for; none once wax has been poured."""
    for way, _ in shorter_days(day_ahead, follow=follow, clock=clock):
        yield way


def _cold(day_ahead: DayForecast) -> list[str]:
    """When the moulds are cold through, those that are within a few minutes of each other in one sentence."""
    out = {s.moulds: s.at.likely for s in day_ahead.steps if s.kind == "demould"}
    together: list[tuple[str, Quantiles, float | None]] = []
    for letter, cold in sorted(day_ahead.cold.items(), key=lambda each: (each[1].likely, each[0])):
        opened = out.get(letter)
        night = opened if opened is not None and opened > cold.likely + WORTH else None
        if (
            together
            and cold.likely - together[-1][1].likely < WORTH
            and (night is None) == (together[-1][2] is None)
        ):
            moulds, before, first = together.pop()
            both = Quantiles(min(before.early, cold.early), cold.likely, max(before.late, cold.late))
            night = None if night is None or first is None else min(first, night)
            together.append(("".join(sorted(moulds + letter)), both, night))
        else:
            together.append((letter, cold, night))
    said = []
    for moulds, cold, night in together:
        when = clock(night, day_ahead.now) if night is not None else ""
        later = ntr("; demould it {clock}", "; demould them {clock}", len(moulds), clock=when) if when else ""
        said.append(
            ntr(
                "{moulds} is cold through {between}{later}.",
                "{moulds} are cold through {between}{later}.",
                len(moulds),
                moulds=letters(moulds),
                between=between(cold, day_ahead.now),
                later=later,
            )
        )
    return said


def shorter_days(
    day_ahead: DayForecast, *, follow: float = 60.0, clock: PersonsClock | None = None
) -> Iterator[tuple[Shorter, DayForecast]]:
    """Ways to a shorter day (see `shorter`), each with the whole day as it would go then."""
    if day_ahead.end is None or any(p.made for c in day_ahead.courses for p in c.pours):
        return
    for tried in _tries(day_ahead):
        way = _try(day_ahead, tried, follow, clock)
        if way is not None:
            yield way


def easing(
    day_ahead: DayForecast, *, follow: float = 60.0, clock: PersonsClock | None = None
) -> Iterator[tuple[str, bool]]:
    """What would make a day fit one pair of hands, the cheapest change first; nothing for a day that fits.

    Each change costs as much to try as the day itself, so a pair comes after each: ("", False) while the search goes
    on, and at the end (the sentence, True).
    """
    best: tuple[Shorter, DayForecast] | None = None
    for tried in _easing(day_ahead) if day_ahead.clashes else ():
        way = _try(day_ahead, tried, follow, clock)
        if way is not None and _clash_counts(way[1]) < _clash_counts(best[1] if best else day_ahead):
            best = way
        if best is not None and not best[1].clashes:
            break
        yield "", False
    if best is not None:
        name, price = best[0].name, best[0].price
        yield tr("Better: {change}. {price}", change=name[:1].lower() + name[1:], price=price), True
    elif day_ahead.clashes:
        yield tr("Nothing that was tried makes it fit: fewer moulds, or fewer layers, at once."), True


def _clash_counts(day_ahead: DayForecast) -> tuple[int, int]:
    """How many pours come late on the likely way, and on any way: the fewer, the better a day."""
    return sum(c.way == LIKELY for c in day_ahead.clashes), len(day_ahead.clashes)


def _try(
    day_ahead: DayForecast, tried: Try, follow: float, clock: PersonsClock | None
) -> tuple[Shorter, DayForecast] | None:
    """The day with one thing changed, and what that saves and costs; None where no such day can be worked out."""
    try:
        day = ahead_of_plan(
            tried.plan or day_ahead.state.plan,
            day_ahead.now,
            follow=follow,
            clock=clock,
            bath=tried.bath,
            together=tried.together,
            later=tried.later,
            prior=day_ahead.prior,
        )
    except Trouble:
        return None
    if day.end is None or day_ahead.end is None:
        return None
    price = f"{tried.price} {_seams(day_ahead, day)} {_hands(day_ahead, day)}".strip()
    saves, eases = day_ahead.end.likely - day.end.likely, _clash_counts(day) < _clash_counts(day_ahead)
    return Shorter(tried.name, saves, day_ahead.burner - day.burner, " ".join(price.split()), eases), day


def _hands(base: DayForecast, other: DayForecast) -> str:
    """What becomes of the pours that come late for want of hands, in a sentence; empty where there are none."""
    before, after = len(base.clashes), len(other.clashes)
    if not before and not after:
        return ""
    if not after:
        return tr("Then one pair of hands is enough.")
    if not _clash_counts(other)[0] and _clash_counts(base)[0]:
        return tr(
            "Then one pair of hands is enough on a usual day, but not on one that cools quicker or slower."
        )
    return ntr(
        "{after} pour comes late for want of hands, instead of {before}.",
        "{after} pours come late for want of hands, instead of {before}.",
        after,
        after=after,
        before=before,
    )


@dataclass(frozen=True, slots=True)
class Try:
    """One thing changed about a day."""

    name: str
    price: str
    plan: Plan | None = None
    bath: Around | None = None
    together: bool = False
    later: Mapping[str, float] | None = None


def _easing(day_ahead: DayForecast) -> Iterator[Try]:
    """What might make a day fit one pair of hands, the cheapest first."""
    if len(day_ahead.courses) > 1:
        yield _all_at_once()
        yield from _staggered(day_ahead)
    yield from _fewer_bands(day_ahead)
    if len(day_ahead.courses) > 1:
        yield _one_mould_fewer(day_ahead)


def _tries(day_ahead: DayForecast) -> Iterator[Try]:
    """What might make a day shorter, the cheapest first."""
    plan, sheet = day_ahead.state.plan, day_ahead.outlook.sheet
    show = day_ahead.outlook.degrees
    if len(day_ahead.courses) > 1:
        yield _all_at_once()
        yield from _staggered(day_ahead) if day_ahead.clashes else ()
    yield from _fewer_bands(day_ahead)
    lower = tuple(
        msgspec.structs.replace(m, below_rim=m.below_rim + (1 - THINNER) * fill_height(m), set_weight=None)
        for m in plan.moulds
    )
    kg = sum(m.finished for m in sheet.moulds) * (1 - THINNER)
    price = tr(
        "Candles about {thinner:.0%} lower, {mass} less wax in all.",
        thinner=1 - THINNER,
        mass=day_ahead.outlook.mass(kg),
    )
    yield Try(tr("Thinner bands"), price, msgspec.structs.replace(plan, moulds=lower))
    cool = min(p.pour_c for m in sheet.moulds for p in m.pours) - COOLER
    price = tr(
        "A cool pour {count}shows more rings.", count=tr("welds less and ") if len(plan.layers) > 1 else ""
    )
    yield Try(tr("Pouring at {show}", show=show(cool)), price, msgspec.structs.replace(plan, pour_c=cool))
    yield _in_bath(day_ahead)
    if len(day_ahead.courses) > 1:
        yield _one_mould_fewer(day_ahead)


def _all_at_once() -> Try:
    """Each colour into all moulds as soon as all can take it."""
    price = tr("A mould poured before its best moment gives way more easily; fewer reheats.")
    return Try(tr("Each colour into all moulds at once"), price, together=True)


def _staggered(day_ahead: DayForecast) -> Iterator[Try]:
    """The moulds of the worst clash, or half of all, begun later than the others."""
    if not day_ahead.clashes:
        return
    worst = max(day_ahead.clashes, key=lambda c: (c.way == LIKELY, c.late))
    every = "".join(sorted(course.letter for course in day_ahead.courses))
    groups = [x for x in (worst.moulds, every[len(every) // 2 :]) if len(x) < len(every)]
    for late in dict.fromkeys(groups):
        for seconds in STAGGERS:
            name = tr("Begin {letters} {span} after the others", letters=letters(late), span=span(seconds))
            yield Try(name, tr("One more heat for their first pour."), later=dict.fromkeys(late, seconds))


def _fewer_bands(day_ahead: DayForecast) -> Iterator[Try]:
    """Without the thinnest band, where a plan has several and no mould has shares of its own."""
    plan = day_ahead.state.plan
    if len(plan.layers) < 2 or any(m.shares for m in plan.moulds):
        return
    thin = min(range(len(plan.layers)), key=lambda i: plan.layers[i].share)
    layers = tuple(x for i, x in enumerate(plan.layers) if i != thin)
    price = tr("No {colour} in the candle.", colour=day_ahead.outlook.colour(thin))
    yield Try(tr("One band fewer"), price, msgspec.structs.replace(plan, layers=layers))


def _one_mould_fewer(day_ahead: DayForecast) -> Try:
    """Without the mould that is done last."""
    return Try(tr("One mould fewer"), tr("One candle less."), _without_slowest(day_ahead))


def _in_bath(day_ahead: DayForecast) -> Try:
    """Moulds in water that is just warm enough not to pull the layers from the wall."""
    warm = max(w.solidus_c for w in waxes_in(day_ahead.state, day_ahead.outlook)) - BATH_BELOW
    level = BATH_UP_TO * min(fill_height(m) for m in day_ahead.state.plan.moulds)
    water = day_ahead.outlook.degrees(warm)
    price = tr(
        "A tub to be kept at {water}, moulds weighed down and sealed against the water; colder, and layers pull from the wall.",
        water=water,
    )
    return Try(
        tr("Moulds in water of {water}", water=water), price, bath=Around(bath_c=warm, bath_level=level)
    )


def _without_slowest(day_ahead: DayForecast) -> Plan:
    """The plan without the mould that is done last."""
    plan = day_ahead.state.plan
    last = max(day_ahead.courses, key=lambda c: c.pours[-1].t if c.pours else 0.0).mould
    moulds = []
    for mould in plan.moulds:
        if mould is not last:
            moulds.append(mould)
        elif mould.count > 1:
            moulds.append(msgspec.structs.replace(mould, count=mould.count - 1))
    return msgspec.structs.replace(plan, moulds=tuple(moulds) or plan.moulds)


def _seams(base: DayForecast, other: DayForecast) -> str:
    """Where windows or seams are worse than in the day it began from, in sentences; empty where none is."""
    if _empty(other) > _empty(base):
        return tr("At least one window is then empty: expect joins that do not hold.")
    sentences = []
    before, after = _narrowest(base), _narrowest(other)
    if after is not None and (before is None or after < NARROWER * before):
        instead = tr(" instead of {span}", span=span(before)) if before is not None else ""
        sentences.append(
            tr("The narrowest window is open for {span}{instead}.", span=span(after), instead=instead)
        )
    was, now = weakest_seam(base), weakest_seam(other)
    if was is not None and now is not None and now < was - WEAKER:
        sentences.append(
            tr(
                "The weakest join is made {difference} cooler.",
                difference=show_difference(was - now, base.state.plan.units),
            )
        )
    return " ".join(sentences)


def _empty(day_ahead: DayForecast) -> int:
    """How many windows of a day never open."""
    return sum(step.empty for step in day_ahead.steps)


def _narrowest(day_ahead: DayForecast) -> float | None:
    """Seconds that the shortest window of the day is open."""
    spans = [s.closes - s.opens for s in day_ahead.steps if s.kind == "pour" and s.closes and s.opens]
    return min(spans, default=None)


def weakest_seam(day_ahead: DayForecast) -> float | None:
    """K by which the coolest new colour is above half melting what it touches at the edge; None without seams."""
    margins = [x for course in day_ahead.courses for x in _margins(day_ahead, course)]
    return min(margins, default=None)


def _margins(day_ahead: DayForecast, course: MouldCourse) -> list[float]:
    """K by which each new colour in a mould is above half melting what it touches at the edge."""
    waxes, sheet = waxes_in(day_ahead.state, day_ahead.outlook), day_ahead.outlook.sheet
    margins = []
    for before, after in pairwise(course.stretches):
        pour = next((p for p in course.pours if p.t == after.start), None)
        if pour is None or pour.part != "layer":
            continue
        top = top_surface(before.heat)
        k = int(before.heat.after_last_pour.layer[-1])
        old = before.heat.case.pours[k]
        if course.pours[k].layer == pour.layer:
            continue
        edge = float(np.interp(pour.t - before.first_pour_t, top.at_s, top.edge_c))
        hot = planned_c(sheet, course.letter, pour.layer, pour.part)
        half = old.heat_curve(1.0).celsius_where_set(HALF)
        margins.append(float(contact_c(hot, edge, waxes[pour.layer], old.wax)) - half)
    return margins
