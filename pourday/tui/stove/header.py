"""The top row of the stove screen: session and stage, what the probes say, what can hurt, and the time."""

from __future__ import annotations

from pourday.guide.advice.adviser import Advice
from pourday.language import tr, word
from pourday.session.alarm_words import alarms_short
from pourday.times import clock, span
from pourday.tui.drawing.lines import (
    Line,
    Piece,
    fit,
    line,
    width,
)
from pourday.units import show_temperature

MOST_PROBES = 3
"""Probes in the header beside the one that stands large."""


def header(advice: Advice, now: float, cells: int) -> Line:
    """Session and stage, and at the right what can hurt and the time."""
    state = advice.state
    end = advice.rest.end if advice.rest is not None else None
    until = (
        tr(" · stove till ~{clock}", clock=clock(end.likely, now))
        if end is not None and end.likely > now
        else ""
    )
    rest = f" · {word(state.stage)}{(tr(' · demo') if state.demo else '')}"
    since = f" {span(now - state.burner_since)}" if state.burner != "off" else ""
    burner: Piece = (tr("burner {burner}{since}", burner=word(state.burner).upper(), since=since), "soft")
    if state.burner != "off":
        burner = (burner[0], "late bold" if state.burner == "unknown" else "glow bold")
    alarm: tuple[Piece, ...] = ()
    if state.alarms:
        alarm = ((f"▲ {alarms_short(state.alarms)}  ", "alarm bold"),)
    right: Line = (*alarm, *_probes(advice, now), burner, (f"   {clock(now)}", "ink"))
    room = cells - width(right) - 2
    title = line(state.plan.title or state.session, "soft")
    # Where there is no room the end of the day gives way, then the title; never what says that this is a demo.
    if width((*title, (rest + until, "soft"))) <= room:
        rest += until
    title = fit(title, min(width(title), max(8, room - width(line(rest)))))
    return (*fit((*title, (rest, "soft")), room), ("  ", "ink"), *right)


def _probes(advice: Advice, now: float) -> tuple[Piece, ...]:
    """What the probes say that do not stand large below, each with its place; the ones that are silent or in doubt, too."""
    large = advice.now.probe if advice.now is not None else ""
    pieces: list[Piece] = []
    for probe in advice.probes:
        if probe.place is None or probe.name == large:
            continue
        place = probe.where
        if probe.counts(now) and probe.counted is not None:
            figure = show_temperature(probe.counted, advice.state.plan.units, 1).split()[0]
            pieces.append((f"{word(place)} {figure}°  ", "ink"))
        elif probe.is_lost(now) or probe.doubt:
            pieces.append((f"{word(place)} ?  ", "late bold"))
    return tuple(pieces[:MOST_PROBES])
