"""Before bed or before leaving: what can still be done well today, and what is better left for tomorrow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.durations import TOP_UP_AFTER
from pourday.guide.acts.pour_heat import coming_layer
from pourday.guide.acts.stove_reads import heated_since
from pourday.guide.advice.hollow_left import hollow_words
from pourday.guide.ahead.day import Step
from pourday.guide.outlook.cases import thickness
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr, word
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.quiet_hours import LAST_THINGS, PersonsClock
from pourday.session.state import State
from pourday.times import MINUTE, clock, letters

CLEAR_UP = 10 * MINUTE
"""Said so long before the person is gone: burner off, jugs off the bath, lids on. An estimate of ours."""
STILL_LIT = 6 * 3600.0
"""s for which the day's end is said after it has passed, while the burner is lit. Chosen."""
UNKNOWN_WAIT = 75.0 * MINUTE
"""Between two layers, where nothing is computed yet (common practice, no source: 1-2 h)."""
ROUGH = 0.25
"""Where a layer is not poured yet its wait is only guessed; it may be longer by this share. Estimate."""
THICKER = 0.4
"""A layer twice as thick waits 2 to the power of this times as long. An estimate of ours, from computed heat of
usual layers."""


@dataclass(frozen=True, slots=True)
class Coming:
    """One pour of the rest of the day, and when it would be: likely `at`, at the latest `late` (s since the epoch)."""

    what: str
    """Its colour, or the top-up, as a sentence names it."""
    tops_up: bool
    moulds: str
    at: float
    late: float


def day_end(
    state: State,
    outlook: Outlook,
    moulds: Sequence[Act],
    persons: PersonsClock,
    now: float,
    far: Sequence[Step] = (),
) -> list[Act]:
    """The act that ends the day at the stove, where the person has set an end or some of it will not be reached."""
    ends = _end(state, persons, now)
    leaves = ends == persons.hard_stop
    coming = _from_ahead(outlook, far) if far else _roughly(state, outlook, moulds)
    last = ends - LAST_THINGS
    if ends == float("inf") or not coming or not (leaves or any(c.late > last for c in coming)):
        return []
    up_late = not leaves and (persons.up_until is not None and ends == persons.up_until)
    act = ActId("end", nth=round(ends))
    if act in state.waived:
        return []
    off = (ev.BurnerSet(state="off"),) if state.burner != "off" else ()
    return [
        Act(
            id=act,
            kind="stop",
            word=tr("LEAVE") if leaves else tr("BED"),
            says=_in_bed_words(leaves or up_late)
            + " ".join(
                _sentences(
                    coming,
                    last,
                    ends,
                    now,
                    outlook,
                    tr("when you are back") if leaves else tr("in the morning"),
                )
            ),
            why=tr("You said when you must leave.")
            if leaves
            else tr("Until then you stay up.")
            if up_late
            else tr("Your quiet hours begin; nobody pours at night."),
            due=ends - CLEAR_UP,
            closes=ends,
            records=(*off, ev.Waived(act=str(act), why="cleared up")),
            urgency=Urgency.USUAL,
        )
    ]


def _in_bed_words(settled: bool) -> str:
    """How to work on instead, where it is only the clock that ends the day."""
    return "" if settled else tr("You work on? o, then y. ")


def _end(state: State, persons: PersonsClock, now: float) -> float:
    """When the person is gone from the bench; the end that has passed while the burner is still lit."""
    passed = persons.ends(now - STILL_LIT)
    lit_before = state.burner != "off" and heated_since(state) < passed
    if passed <= now and lit_before and ActId("end", nth=round(passed)) not in state.waived:
        return passed
    return persons.ends(now)


def _sentences(
    coming: Sequence[Coming], last: float, ends: float, now: float, outlook: Outlook, again: str
) -> list[str]:
    """What there is time for until `last` (the last pour), what just possibly, and what to leave for tomorrow.

    `again` says when the person is at the bench again.
    """
    well = [c for c in coming if c.late <= last]
    maybe = [c for c in coming if c.at <= last < c.late]
    left = [c for c in coming if c.at > last]
    said = [tr("By {clock} the burner is off and the jugs are off the bath.", clock=clock(ends, now))]
    if well:
        said.append(tr("Until then there is time for {list}.", list=_list(well, now)))
    if maybe:
        said.append(tr("Just possible: {list}.", list=_list(maybe, now)))
    if left:
        said.append(tr("Leave for tomorrow: {list}.", list=_list(left, now, timed=False)))
    if hollow := hollow_words(outlook, _left_hollow(coming, last), again):
        said.append(hollow)
    if any(not c.tops_up for c in (*maybe, *left)):
        said.append(
            tr(
                "A layer that stood overnight is cold: warm it to {degrees_between} first, and pour at the hot end.",
                degrees_between=outlook.degrees_between(40.0, 50.0),
            )
        )
    return said


def _left_hollow(coming: Sequence[Coming], last: float) -> list[tuple[str, float | None]]:
    """(mould, time of its last top-up before `last`, None without one) of each mould that is only still to be topped
    up after `last`."""
    left = [c for c in coming if c.at > last]
    layered = {letter for c in left if not c.tops_up for letter in c.moulds}
    letters = sorted({letter for c in left if c.tops_up for letter in c.moulds} - layered)
    topped = [c for c in coming if c.tops_up and c.at <= last]
    return [(x, max((c.at for c in topped if x in c.moulds), default=None)) for x in letters]


def _list(coming: Sequence[Coming], now: float, *, timed: bool = True) -> str:
    """Pours as a list in a sentence, each with its time where `timed`."""
    return "; ".join(
        tr("{what} into {letters}", what=word(c.what), letters=letters(c.moulds))
        + (tr(" about {clock}", clock=clock(c.at, now)) if timed else "")
        for c in coming
    )


def _from_ahead(outlook: Outlook, far: Sequence[Step]) -> list[Coming]:
    """The pours still to come, where the rest of the day was worked out."""
    return [
        Coming(_what(outlook, step.layer, tops_up), tops_up, step.moulds, step.at.likely, step.at.late)
        for step in far
        if (tops_up := step.kind == "top-up") or step.kind == "pour"
    ]


def _what(outlook: Outlook, layer: int | None, tops_up: bool) -> str:
    """A pour by its colour, or `the top-up`, as a sentence names it."""
    return tr("the top-up") if tops_up else outlook.colour(layer or 0)


def _roughly(state: State, outlook: Outlook, moulds: Sequence[Act]) -> list[Coming]:
    """Where nobody has worked the day out: each further layer waits as the one in the mould does."""
    coming = []
    for act in moulds:
        if coming_layer(state, act) is None or act.due == float("inf"):
            continue
        for letter in act.moulds:
            coming += _rest(state, outlook, letter, act)
    return sorted(coming, key=lambda c: (c.at, c.moulds))


def _rest(state: State, outlook: Outlook, letter: str, act: Act) -> list[Coming]:
    """The pours still to come into one mould: each waits as the layer now in it does, the longer the thicker it is."""
    last, forecast = state.moulds[letter].last_pour, outlook.mould(letter)
    at, late = act.due, max(act.due, act.window.late if act.window else act.due)
    if late == float("inf"):
        late = at
    wait, thick = UNKNOWN_WAIT, 0.0
    if last is not None and forecast is not None and forecast.best < float("inf"):
        wait, thick = forecast.best - last.t, thickness(outlook.sheet, letter, last.layer, "layer")
    coming: list[Coming] = []
    waits = 0.0
    for layer, part in (pour for pour in state.remaining(letter) if pour.part != "plug"):
        waits = max(waits, TOP_UP_AFTER) if coming and part == "top-up" else waits
        at, late = at + waits, late + waits * (1 + ROUGH)
        coming.append(Coming(_what(outlook, layer, part == "top-up"), part == "top-up", letter, at, late))
        this = thickness(outlook.sheet, letter, layer, "layer")
        waits = wait * (this / thick) ** THICKER if thick > 0 else wait
    return coming
