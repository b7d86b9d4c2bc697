"""The card of probes as lines: a block a probe, what it sent beside what was understood. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from pourday.language import tr
from pourday.probes.channel import ProbeNow
from pourday.probes.offset import ProbeTest
from pourday.times import local, span
from pourday.tui.drawing.lines import EMPTY, Line, fit, line, listed, wrap
from pourday.tui.stove.probe_card import ProbeCard
from pourday.units import Units, show_temperature

NONE = tr(
    "No probe is named. Write where one is read from into the settings (k), or start with --probe: serial:/dev/ttyUSB0?baud=9600, file:PATH, command:PROGRAM, mqtt://host/topic."
)


def draw_probes(
    card: ProbeCard | None,
    tests: Mapping[str, ProbeTest],
    units: Units,
    now: float,
    cells: int,
    rows: int,
) -> list[Line]:
    """Exactly `rows` lines of `cells` at most."""
    head = [line(tr("Probes: what comes in"), "glow bold"), *([EMPTY] if rows >= 16 else [])]
    foot = listed((("Esc", tr("back")), ("F1", tr("FIRE"))), cells)
    if card is None or not card.probes:
        body = wrap(NONE, cells, "ink")
        return _filled(head, body, [foot], rows)
    keys = (("Up Down", tr("which")), ("p j s b r", tr("where")), ("x", tr("nowhere")), ("i w", tr("tests")))
    foot = listed((("Esc", tr("back")), ("F1", tr("FIRE")), *keys), cells)
    said = wrap(card.message, cells, "late", most=3) if card.message else []
    blocks = [
        _block(probe, tests.get(probe.name), units, now, cells, chosen=index == card.at)
        for index, probe in enumerate(card.probes)
    ]
    room = rows - len(head) - len(said) - 1
    start = 0
    while start < card.at and sum(map(len, blocks[start : card.at + 1])) > room:
        start += 1
    body = [row for block in blocks[start:] for row in block]
    return _filled(head, body[:room], [*said, foot], rows)


def _filled(head: list[Line], body: list[Line], foot: list[Line], rows: int) -> list[Line]:
    """Head, body and foot in exactly `rows` lines; the body gives way."""
    body = body[: max(0, rows - len(head) - len(foot))]
    return [*head, *body, *[EMPTY] * (rows - len(head) - len(body) - len(foot)), *foot][-rows:]


def _block(
    probe: ProbeNow,
    test: ProbeTest | None,
    units: Units,
    now: float,
    cells: int,
    *,
    chosen: bool,
) -> list[Line]:
    """One probe: number and place, what it sent and when, what is wrong with it, how it was tested."""
    place = probe.where or tr("in nothing yet")
    shown = "--" if probe.celsius is None else show_temperature(probe.celsius, units, 1)
    job = "late bold" if probe.doubt or probe.is_lost(now) else "glow bold" if chosen else "ink bold"
    first: Line = (
        (("› " if chosen else "  "), "glow bold"),
        (shown, job),
        (tr("  probe {name}, {place}", name=probe.name, place=place), "ink"),
    )
    age = probe.age(now)
    sent = "" if age is None else tr("sent “{raw}” {span} ago", raw=probe.raw, span=span(age))
    rows = [fit(first, cells)]
    for text, how in (
        (sent, "soft"),
        (_wrong(probe, now), "late"),
        (_tested(test, probe, now), "soft"),
    ):
        rows += [
            fit((("    ", "ink"), *row), cells)
            for row in (wrap(text, max(10, cells - 4), how, most=2) if text else [])
        ]
    return rows


def _wrong(probe: ProbeNow, now: float) -> str:
    """What speaks against it, in a sentence."""
    if probe.trouble:
        return probe.trouble
    if probe.doubt:
        return tr("Does not count: {doubt}.", doubt=probe.doubt)
    if probe.heard_at is None:
        return tr("Nothing came yet.")
    return tr("Nothing comes any more.") if probe.is_lost(now) else ""


def _tested(test: ProbeTest | None, probe: ProbeNow, now: float) -> str:
    """How far it is off, and when that was found."""
    if test is None:
        off = tr("corrected by {offset:+.2f} °C, ", offset=probe.offset) if probe.offset else ""
        return off.rstrip(", ") if off else tr("never tested in ice (i) or boiling water (w)")
    old = tr(" That is more than half a year ago: test it again.") if test.is_old(local(now).date()) else ""
    return tr("corrected by {typed}.{old}", typed=test.text, old=old)
