"""What was told beforehand beside what came: the first forecast of each act, never a later one.

What came is known as an interval only: not yet at one look, there at the next. A forecast disagrees
where that interval lies wholly outside its window; where it merely could, that is said instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pourday.guide.acts.wording import block_word
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId, read_act_id
from pourday.session.clock import on_newest_clock
from pourday.session.events import Entry
from pourday.session.fold import effective
from pourday.times import clock, span

Came = Literal["agrees", "earlier", "later", "cannot tell", "in time", "too late", "not seen"]
READY = ("firm", "cold", "pulled away")
"""What a look sees once a layer carries the next one."""


@dataclass(frozen=True, slots=True)
class ForecastOutcome:
    """One forecast and what came of it. Times in seconds since the epoch."""

    word: str
    """What was forecast: `LOOK A`, `POUR B`."""
    told_at: float
    early: float | None
    likely: float | None
    late: float | None
    closes: float | None
    """End of the window that was told, of a pour; the three before are None then, and this one else."""
    not_yet: float | None
    """When it was last seen not to be so."""
    came: float | None
    """When it was first seen, or done; None where it never was."""
    how: Came
    off: float = 0.0
    """Seconds outside the window, at least; for a pour, before or after the window closed."""


def forecast_outcomes(entries: Sequence[Entry]) -> list[ForecastOutcome]:
    """What came of every forecast with a window or an end, in the order they were told, times on the newest clock."""
    counted = effective(on_newest_clock(entries))
    outcomes: dict[tuple[ActId, str], ForecastOutcome] = {}
    for entry in counted:
        fact = entry.fact
        if not isinstance(fact, ev.Told) or (fact.early is None and fact.closes is None):
            continue
        # The same act, whether it was waited for or due, and whatever other mould was done in the same go.
        act = replace(read_act_id(fact.act), moulds="", waits=False)
        for letter in fact.moulds:
            if (act, letter) in outcomes:
                continue
            outcome = _outcome(entry, fact, act, letter, counted)
            if outcome is not None:
                outcomes[act, letter] = outcome
    return list(outcomes.values())


def _outcome(
    entry: Entry, told: ev.Told, act: ActId, letter: str, counted: Sequence[Entry]
) -> ForecastOutcome | None:
    """One forecast for one mould against what came; None for an act of which the record holds nothing to tell."""
    if act.far:
        return None
    word = f"{(tr('SEAL') if act.what == 'look under' else block_word(act.what))} {letter}"
    if act.what in ("pour", "top-up") and told.closes is not None:
        return _against_end(word, entry.t, told, _poured(counted, letter, act))
    if told.early is None or told.late is None:
        return None
    seen = _seen(entry, act, letter, counted)
    return None if seen is None else _against_window(word, entry.t, told, seen)


def _seen(entry: Entry, act: ActId, letter: str, counted: Sequence[Entry]) -> list[tuple[float, bool]] | None:
    """(when somebody looked, whether it was so) for what an act forecasts of a mould, in order of time.

    None for an act of which no fact on record tells whether it was so.
    """
    match act.what:
        case "look under":
            return [
                (e.t, not e.fact.weeps)
                for e in counted
                if isinstance(e.fact, ev.SealSeen) and e.fact.mould == letter
            ]
        case "look" if act.nth is not None:
            return _looks(counted, letter, act.nth, entry.seq)
        case "relief":
            times = [e.t for e in counted if isinstance(e.fact, ev.Relieved) and e.fact.mould == letter]
            return [(t, True) for t in times[act.nth or 0 :]]
        case "demould":
            return [
                (e.t, e.fact.release != "stuck")
                for e in counted
                if isinstance(e.fact, ev.Demoulded) and e.fact.mould == letter
            ]
        case _:
            return None


def _poured(counted: Sequence[Entry], letter: str, act: ActId) -> float | None:
    """When a mould first got the layer, or the top-up, that an act pours."""
    for entry in counted:
        match entry.fact:
            case ev.Poured(mould=mould, part="layer", layer=layer) if mould == letter and act.what == "pour":
                if layer == (act.layer or 0):
                    return entry.t
            case ev.Poured(mould=mould, part="top-up") if mould == letter and act.what == "top-up":
                return entry.t
    return None


def _looks(counted: Sequence[Entry], letter: str, pours: int, told: int) -> list[tuple[float, bool]]:
    """(when, whether the surface was ready) of every look at a mould while so many `pours` stood in it.

    `told` is the number of the entry that has the forecast.
    """
    layers_in = list[int]()
    looks = list[tuple[float, bool]]()
    for entry in counted:
        match entry.fact:
            case ev.Poured(mould=mould, layer=layer) if mould == letter:
                layers_in.append(layer)
            case ev.Emptied(mould=mould, from_layer=lowest) if mould == letter:
                if entry.seq > told:
                    break  # What is poured in its place is another surface.
                layers_in = [layer for layer in layers_in if layer < lowest]
            case ev.Looked(mould=mould, cue=cue) if mould == letter and len(layers_in) == pours:
                looks.append((entry.t, cue in READY))
    return looks


def _against_window(
    word: str, told_at: float, told: ev.Told, looks: list[tuple[float, bool]]
) -> ForecastOutcome:
    """A forecast with a window against the looks that were taken."""
    assert told.early is not None
    assert told.late is not None
    early, late = told.early.timestamp(), told.late.timestamp()
    likely = told.likely.timestamp() if told.likely else None
    came = next((t for t, ready in looks if ready), None)
    before = [t for t, ready in looks if not ready and (came is None or t < came)]
    not_yet = before[-1] if before else None
    how: Came = "agrees"
    off = 0.0
    if came is not None and came < early:
        how, off = "earlier", early - came
    elif not_yet is not None and not_yet > late:
        how, off = "later", not_yet - late
    elif came is None:
        how = "not seen"
    elif came > late:
        how = "cannot tell"
    return ForecastOutcome(word, told_at, early, likely, late, None, not_yet, came, how, off)


def _against_end(word: str, told_at: float, told: ev.Told, came: float | None) -> ForecastOutcome:
    """A forecast of when a window closes against the pour that was made."""
    assert told.closes is not None
    closes = told.closes.timestamp()
    how: Came = "not seen" if came is None else "in time" if came <= closes else "too late"
    off = 0.0 if came is None else abs(closes - came)
    return ForecastOutcome(word, told_at, None, None, None, closes, None, came, how, off)


def say_outcome(one: ForecastOutcome) -> str:
    """One forecast and what came of it, in one line."""

    def at(t: float) -> str:
        return clock(t, one.told_at)

    if one.closes is not None:
        ends = {
            "not seen": tr("not poured"),
            "in time": tr(
                "poured {clock}, {span} before", clock=clock(one.came or 0, one.told_at), span=span(one.off)
            ),
            "too late": tr(
                "poured {clock}, {span} after", clock=clock(one.came or 0, one.told_at), span=span(one.off)
            ),
        }
        return tr(
            "{word:<10} closes {at} (said at {clock}); {ends}",
            word=one.word,
            at=at(one.closes),
            clock=clock(one.told_at),
            ends=ends[one.how],
        )
    assert one.early is not None
    assert one.late is not None
    likely = tr(", likely {at}", at=at(one.likely)) if one.likely is not None else ""
    seen = [tr("not yet {at}", at=at(one.not_yet))] if one.not_yet is not None else []
    seen += [tr("there {at}", at=at(one.came))] if one.came is not None else []
    verdicts = {
        "agrees": tr("within it"),
        "earlier": tr("earlier than said, {span} at least", span=span(one.off)),
        "later": tr("later than said, {span} at least", span=span(one.off)),
        "cannot tell": tr("seen after the window, so it says nothing"),
        "not seen": tr("never seen"),
    }
    came = ", ".join([*seen, verdicts[one.how]])
    return tr(
        "{word:<10} {early}-{late}{likely} (said at {clock}); {came}",
        word=one.word,
        early=at(one.early),
        late=at(one.late),
        likely=likely,
        clock=clock(one.told_at),
        came=came,
    )
