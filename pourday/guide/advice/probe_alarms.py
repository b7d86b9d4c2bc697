"""Alarms that a probe on a wire gives cause for: no signal, a ceiling about to be passed; and how long its heat has to stand."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.advice.alarm import Alarm
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr, word
from pourday.probes.channel import ProbeNow
from pourday.session.state import LIT, ReadingAt, State
from pourday.times import MINUTE, clock, span

HOT_FOR = 10.0
"""s for which a probe has to be over a limit: one line of noise is no heat. An estimate of ours."""
PASSES_IN, STILL_IN = 100.0, 180.0
"""s ahead at which passing the ceiling is an alarm, and at which it stays one. It rose so for 20 s by then, for the rate is
that of the last minute. Estimates of ours."""
NEAR_BY = 15.0
"""K below the ceiling from which the rate of rise is looked at: farther off it says little. An estimate of ours."""
RECENT = 10 * MINUTE
"""s before the burner was lit in which a probe must have been heard, to be missed now. An estimate of ours."""
HOT_PLACES = ("pot", "jug", "bath")
"""Where a probe guards what is over the burner."""


def stands(state: State, reading: ReadingAt, limit: float, now: float) -> bool:
    """Whether a reading over a limit (°C) is to be believed as heat: what somebody typed at once, a probe's once it stood there."""
    if not reading.probe:
        return True
    since = reading.t
    for earlier in reversed(state.readings):
        if earlier.probe == reading.probe and not earlier.doubt and earlier.seq <= reading.seq:
            if earlier.celsius < limit or (earlier.place, earlier.mould) != (reading.place, reading.mould):
                break
            since = earlier.t
    return now - since >= HOT_FOR


def lost_signal(state: State, outlook: Outlook, probes: Sequence[ProbeNow], now: float) -> list[Alarm]:
    """A probe over a lit burner that was heard in this heat gives nothing that counts, and nobody read there since."""
    if state.burner == "off":
        return []
    for probe in probes:
        if (
            probe.place not in HOT_PLACES
            or not probe.is_lost(now)
            or probe.counted_at is None
            or probe.counted is None
        ):
            continue
        there = (r for r in reversed(state.readings) if (r.place, r.mould) == (probe.place, probe.mould))
        by_hand = next((r for r in there if not r.probe), None)
        taken_over = by_hand is not None and by_hand.t > probe.counted_at
        if taken_over or probe.counted_at < state.burner_since - RECENT:
            continue
        why = tr("does not count ({doubt})", doubt=probe.doubt) if probe.doubt else tr("says nothing")
        says = tr(
            "The probe in the {place} {why} since {clock}; last it read {degrees}, {span} ago. Look at the pot, read by hand.",
            place=word(probe.place),
            why=why,
            clock=clock(probe.counted_at),
            degrees=outlook.degrees(probe.counted),
            span=span(now - probe.counted_at),
        )
        return [Alarm("signal", says)]
    return []


def rising(state: State, outlook: Outlook, probes: Sequence[ProbeNow], now: float) -> list[Alarm]:
    """A probe rises so fast that its wax passes the ceiling in a minute or two."""
    if state.burner == "off":
        return []
    for probe in probes:
        if probe.place not in ("pot", "jug") or not probe.counts(now) or probe.counted is None:
            continue
        ahead = passes_in(outlook, probe, lit=state.burner in LIT)
        known = "near ceiling" in state.alarms
        if ahead is None or ahead > (STILL_IN if known else PASSES_IN):
            continue
        says = tr(
            "The {place} is at {read} and passes its ceiling of {ceiling} in about {span}: burner off, then stir.",
            place=word(probe.place),
            read=outlook.degrees(probe.counted),
            ceiling=outlook.degrees(outlook.ceiling_c),
            span=span(max(10.0, round(ahead, -1))),
        )
        return [
            Alarm(
                "near ceiling",
                says,
                probe.counted,
                outlook.ceiling_c,
                ahead <= PASSES_IN,
                probe.counted_at or now,
            )
        ]
    return []


def passes_in(outlook: Outlook, probe: ProbeNow, *, lit: bool) -> float | None:
    """s until a probe is at the ceiling, by its rate or by the forecast of a `lit` pot, whichever is sooner; None where neither nears it."""
    left = outlook.ceiling_c - (probe.counted or 0.0)
    if probe.rate is None or probe.rate <= 0 or not 0 < left <= NEAR_BY:
        return None
    by_rate = left / probe.rate
    if not lit or outlook.pot is None or probe.place != "pot":
        return by_rate
    arrives = outlook.pot.reaches(outlook.ceiling_c).spread
    by_forecast = arrives.likely - (probe.counted_at or 0.0) if arrives is not None else float("inf")
    # A forecast that is wrong about what is measured at this moment warns of nothing.
    return min(by_rate, by_forecast) if by_forecast > by_rate / 2 else by_rate
