"""The pot's day as the record tells it, cut where something was done to it.

A stretch goes from one change to the next: the burner switched, wax put in, much of it poured, or something that was not
filed and shows in two readings that bear each other out.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass, replace

from pourday.forecast.pot_model import Mode
from pourday.guide.outlook.wax_left import wax_left
from pourday.plan.replan import WaxInventory
from pourday.session.doubted import borne_out
from pourday.session.events import Knob
from pourday.session.state import LIT, PourAt, ReadingAt, Span, State

WARMED = 240.0
"""s in the bath until a jug is as warm as the pot beside it. An estimate of ours."""
FALLS, STIRRED = 300.0, 1.0
"""Over a low flame nothing in the bath falls by more than `STIRRED` K within `FALLS` s; what does stands on the
bench. Estimates of ours."""
MUCH = 0.2
"""Share of the wax in the bath after whose pouring the pot counts as another one: less wax warms faster, and takes
less of what the flame gives. An estimate of ours."""
THIN = 60.0
"""s of readings that are taken for one. Chosen."""


@dataclass(frozen=True, slots=True)
class PotStretch:
    """Time between two changes to the pot."""

    start: float
    mode: Mode
    added_kg: float | None
    """Cold wax put in at its start, 0 where the burner made the change; None where nobody knows what was done,
    or how much was put in."""
    readings: tuple[tuple[float, float], ...]
    poured_kg: float = 0.0
    """Wax that left the bath in it."""
    fullest: float = 1.0
    """Share of the wax that stood in the fullest vessel as it ended."""
    topped_up: bool = False
    """Water was put into the bath at its start."""
    looked_at: float | None = None
    """When its water was last looked at in it, and was enough."""
    knob: Knob | None = None
    """Whether the low flame was set lower or higher at its start than it had been."""


def stretches(state: State, lifted_c: float) -> list[PotStretch]:
    """The pot's day, cut at every change; the last stretch is still going on.

    A jug read at `lifted_c` or hotter is taken to be lifted out of the bath, as its sentence says.
    """
    began = state.fixed_at or state.opened_at
    marks: list[tuple[float, Mode, float | None]] = [(began, "off heat", 0.0)]
    for start, end, mode in _heated(state):
        marks.append((max(start, began), mode, 0.0))
        if end is not None:
            marks.append((max(end, began), "off heat", 0.0))
    burner, pairs = tuple(marks), borne_out(state.readings)[0]
    unmeasured: list[tuple[float, float | None]] = [(pair[0].t, None) for pair in pairs]
    for when, kg in [*state.additions, *unmeasured]:
        if kg != 0:
            t = max(when, began)
            marks.append((t, [mode for since, mode, _ in burner if since <= t][-1], kg))
    topped_up = {t for t in state.water_added if t > began}
    marks += [
        (t, [mode for since, mode, _ in burner if since <= t][-1], 0.0)
        for t in {*topped_up, *_much_poured(state, began)}
    ]
    marks = _of_one_instant(sorted(marks, key=lambda mark: mark[0]))
    knobs = {max(span.start, began): span.knob for span in state.burner_spans}
    readings = _of_the_bath(state, lifted_c, {r.seq for pair in pairs for r in pair})
    pours = _pours(state)
    ends = [mark[0] for mark in marks[1:]] + [float("inf")]
    return [
        PotStretch(
            start,
            mode,
            kg,
            thinned([r for r in readings if start <= r[0] < end]),
            sum(p.kg_best for p in pours if start <= p.t < end),
            share,
            start in topped_up,
            max((t for t in state.water_enough if start < t < end), default=None),
            knobs.get(start),
        )
        for (start, mode, kg), end, share in zip(marks, ends, fullest(state, ends), strict=True)
    ]


def _much_poured(state: State, began: float) -> list[float]:
    """When so much was poured that what hangs in the bath is another pot, s since the epoch."""
    left = wax_left(state)
    pours = sorted((p for p in _pours(state) if p.t > began), key=lambda p: p.t)
    hangs = left.pot + sum(left.jugs.values()) + sum(p.kg_best for p in pours)
    cuts, poured_kg = list[float](), 0.0
    for pour in pours:
        poured_kg += pour.kg_best
        if poured_kg >= MUCH * hangs:
            cuts.append(pour.t)
            hangs, poured_kg = hangs - poured_kg, 0.0
    return cuts


def _of_one_instant(
    marks: Sequence[tuple[float, Mode, float | None]],
) -> list[tuple[float, Mode, float | None]]:
    """What was done to the pot at one and the same moment, as a single change: how the burner stood after it, and all wax
    that was put in."""
    together: list[tuple[float, Mode, float | None]] = []
    for t, mode, kg in marks:
        # What the day began with stays: it is where the pot is reckoned from.
        if len(together) > 1 and together[-1][0] == t:
            before = together.pop()[2]
            kg = None if kg is None or before is None else kg + before
        together.append((t, mode, kg))
    return together


def begun(stretch: PotStretch) -> PotStretch:
    """A stretch as it begins, before anything was read, drawn or poured in it."""
    return replace(stretch, readings=(), poured_kg=0.0, fullest=1.0, looked_at=None)


def _heated(state: State) -> list[tuple[float, float | None, Mode]]:
    """When the burner heated, and how: (from, until), None for still. Of two that touch the later one's start stands.

    What nobody watched counts as lit; but a burner that was lit when somebody left and found off on return is
    taken to have gone off as they left, for wax that is held to be hot is drawn cold. The answer that it is lit is
    no change of the burner: what it did before and meanwhile is one stretch with what follows.
    """
    spans, heated = state.burner_spans, list[tuple[float, float | None, Mode]]()
    for index, span in enumerate(spans):
        after = spans[index + 1] if index + 1 < len(spans) else None
        mode: Mode = "on low" if span.what == "low" else "on heat"
        if span.what == "unknown" and index and spans[index - 1].what == "low":
            # Nobody turned it up.
            mode = "on low" if spans[index - 1].end == span.start else mode
        # One that was put out before, and was off when they left, heated until it was put out.
        lit_on_leaving = after is not None and span.end == after.start
        if span.what in LIT and lit_on_leaving and after is not None and _found_off(spans, index + 1):
            left_at = max((g.start for g in state.gaps if g.end == after.start), default=after.start)
            heated.append((span.start, max(span.start, left_at), mode))
        elif span.what == "unknown" and _found_off(spans, index):
            continue
        elif heated and span.knob is None and heated[-1][1] == span.start and heated[-1][2] == mode:
            heated[-1] = (heated[-1][0], span.end, mode)
        else:
            heated.append((span.start, span.end, mode))
    return heated


def _found_off(spans: Sequence[Span], index: int) -> bool:
    """Whether this stretch nobody watched ended with a burner that was off, and not turned off then."""
    span, after = spans[index], spans[index + 1] if index + 1 < len(spans) else None
    return span.what == "unknown" and span.end is not None and (after is None or after.start > span.end)


def thinned(readings: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """One reading (time s, °C) a minute, the mean of its minute.

    Readings closer than that share what the model leaves out (stirring, depth of the tip); taken one by one
    they would make the fit surer than it may be, and slow.
    """
    minutes: dict[int, list[tuple[float, float]]] = {}
    for reading in readings:
        minutes.setdefault(int(reading[0] // THIN), []).append(reading)
    return tuple(
        (sum(t for t, _ in of_minute) / len(of_minute), sum(c for _, c in of_minute) / len(of_minute))
        for of_minute in minutes.values()
    )


def pot_is_empty(state: State) -> bool:
    """Whether a jug was drawn for every layer, so that all wax stands in jugs."""
    return bool(state.jugs) and len(state.jugs) >= len(state.plan.layers)


def _of_the_bath(state: State, lifted_c: float, believed: Container[int]) -> list[tuple[float, float]]:
    """(time, °C) of what was read in the pot, and in jugs while they stood in its bath beside it.

    `believed` are the entry numbers of doubted readings that count all the same.

    A jug that was read too hot to pour is taken to be lifted out until the burner is lit again: taken for the
    bath's, its fall would have the bath heated over its ceiling. Once it was poured from, it stands in the bath
    again. Once the pot is empty the jugs are all there is. Over a low flame jugs are left in their bath; one that reads
    cooler than a jug did just before was let fall on the bench.
    """
    emptied = max(j.made_at for j in state.jugs.values()) if pot_is_empty(state) else float("inf")
    hot, bath_c = dict[int | None, float](), []
    for r in state.readings:
        if (r.doubt and r.seq not in believed) or r.place not in ("pot", "jug"):
            continue
        lit = max((s.start for s in state.burner_spans if s.start <= r.t), default=float("-inf"))
        low = _burns_low(state, r.t)
        if r.place == "pot" or (
            _beside(state, r, lit, hot.get(r.jug, float("-inf")), emptied) and not (low and _fell(state, r))
        ):
            bath_c.append((r.t, r.celsius))
        if r.place == "jug" and r.celsius >= lifted_c and not low:
            hot[r.jug] = r.t
    return bath_c


def _burns_low(state: State, t: float) -> bool:
    """Whether the flame was low at a time."""
    return any(s.what == "low" and s.start <= t and (s.end is None or t < s.end) for s in state.burner_spans)


def _fell(state: State, read: ReadingAt) -> bool:
    """Whether a jug read cooler than a jug did minutes before."""
    return any(
        x.place == "jug" and 0 < read.t - x.t <= FALLS and x.celsius > read.celsius + STIRRED
        for x in state.readings
    )


def _beside(state: State, read: ReadingAt, lit: float, hot: float, emptied: float) -> bool:
    """Whether a jug, when it was read, stood in the bath and was as warm as the pot in it. A reading that names no jug may be
    of any of them.

    `hot` is when a jug was last read so hot that it was lifted out, `lit` when the burner was lit last, `emptied` when the
    pot was.
    """
    jugs = {x: jug for x, jug in state.jugs.items() if read.jug in (None, x)}
    if read.jug in jugs and jugs[read.jug].where_until(read.t) != "bath":
        return False
    pours = [p.t for m in state.moulds.values() for p in m.pours if read.jug in (None, p.layer)]
    back = any(hot <= t < read.t - WARMED for t in pours)
    drawn = max((jug.made_at for jug in jugs.values() if jug.made_at <= read.t), default=float("inf"))
    return read.t > min(drawn + WARMED, emptied) and (hot < lit or back)


def fullest(state: State, ends: Sequence[float]) -> list[float]:
    """Share of the wax in pot and jugs that stood in the fullest of them, at each of these times."""
    if not state.jugs:
        return [1.0] * len(ends)
    left, pours = wax_left(state), _pours(state)
    return [_share(state, left, pours, at) for at in ends]


def _share(state: State, left: WaxInventory, pours: Sequence[PourAt], at: float) -> float:
    """The share at one time; `left` is what is in pot and jugs now, from which poured wax is counted back."""
    pot, jugs = left.pot, list[float]()
    for layer, jug in state.jugs.items():
        in_jug = left.jugs[layer] + sum(p.kg_best for p in pours if p.layer == layer and p.t >= at)
        if jug.made_at < at:
            jugs.append(in_jug)
        else:
            pot += in_jug
    total = pot + sum(jugs)
    return max(pot, *jugs) / total if jugs and total > 0 else 1.0


def _pours(state: State) -> list[PourAt]:
    """Every pour into any mould, those that came out again among them."""
    return [p for m in state.moulds.values() for p in (*m.pours, *m.emptied)]
