"""All probes of a session: lines in; sentences, readings for the record, and how each probe stands, out. It reads no clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pourday.language import tr
from pourday.probes.channel import ProbeChannel, ProbeNow
from pourday.probes.doubt import Lie, Surroundings, is_swapped
from pourday.probes.lateness import Lateness
from pourday.probes.line import line_text, understand
from pourday.probes.offset import ProbeTest
from pourday.probes.source import PLACES, ProbeSpot, SourceSpec
from pourday.session.events import Reading
from pourday.session.state import ReadingAt
from pourday.units import Units

SHOWN = 120
"""Characters of a line that are kept to be shown."""
GARBAGE = 3
"""Lines in a row without a temperature until that is said."""
WELL = 2
"""Lines in a row with a temperature after such ones until it is believed: rubbish has a lone number in it now and then."""
FLOOD = 100
"""Lines a second until that is said."""


@dataclass(frozen=True, slots=True)
class ProbeReading:
    """A reading for the record, and when it was, s since the epoch."""

    t: float
    fact: Reading


class _SourceState:
    """What one source does, whatever its channels say."""

    def __init__(self, spec: SourceSpec) -> None:
        self.spec = spec
        self.lateness = Lateness()
        self.once = spec.make().once
        self.losses = 0
        """How often running it was gone without a line."""
        self.garbage = 0
        """Lines in a row that said no temperature."""
        self.well = 0
        """Lines in a row that said one, since then."""
        self.second = 0.0
        self.lines = 0
        """Lines in that second."""
        self.said: set[str] = set()
        """What was said of it since it was last well."""


class ProbeWatch:
    """Probes by the names their sources have in the settings; a source of several numbers has a probe for each.

    `tests` are the offsets found, by the name of the probe; `known` the last reading of each on record.
    """

    def __init__(
        self,
        specs: Mapping[str, SourceSpec],
        tests: Mapping[str, ProbeTest] | None = None,
        known: Sequence[ReadingAt] = (),
        units: Units = "metric",
    ) -> None:
        self.around = Surroundings()
        self._units: Units = units
        self._sources = {name: _SourceState(spec) for name, spec in specs.items()}
        self._channels: dict[tuple[str, str], ProbeChannel] = {}
        self._news: list[str] = []
        self._kept: list[ProbeReading] = []
        last = {reading.probe: reading for reading in known if reading.probe}
        for source, spec in specs.items():
            for index, channel in enumerate(spec.pattern.channels):
                name = f"{source} {channel}".strip()
                test = (tests or {}).get(name)
                made = ProbeChannel(name, _first_place(spec, index), test.kelvin if test else 0.0)
                if name in last:
                    made.put_into(ProbeSpot(last[name].place, last[name].mould, last[name].jug))
                    made.last_known(last[name].t, last[name].celsius)
                self._channels[source, channel] = made
        probe_at: dict[ProbeSpot, str] = {}
        for made in self._channels.values():
            if made.place is not None and probe_at.setdefault(made.place, made.name) != made.name:
                # Two in one place would contradict each other line by line.
                made.put_into(None)

    @property
    def probes(self) -> tuple[ProbeNow, ...]:
        """How each probe stands, in the order of the settings."""
        return tuple(channel.now() for channel in self._channels.values())

    def channel(self, name: str) -> ProbeChannel:
        """A probe by its name."""
        return next(channel for channel in self._channels.values() if channel.name == name)

    def news(self) -> list[str]:
        """What there is to say since it was last asked, each thing once."""
        for channel in self._channels.values():
            said = channel.news(self._units)
            if said:
                self._news.append(said)
        news, self._news = self._news, []
        return news

    def kept(self) -> list[ProbeReading]:
        """Readings for the record since it was last asked, in order of time."""
        readings, self._kept = self._kept, []
        return sorted(readings, key=lambda reading: reading.t)

    # -- what comes in ------------------------------------------------------------------------------

    def heard(self, source: str, lines: Sequence[bytes], t: float, dropped: int = 0) -> list[ProbeNow]:
        """Lines of a source that came together at `t` (s since the epoch), oldest first; `dropped` more came before them.

        How each of its probes stood after each line that says something of it.
        """
        state = self._sources[source]
        self._set_trouble(source, "")
        state.losses = 0
        self._count(source, state, len(lines) + dropped, t)
        if state.lateness.is_heap(t, len(lines)):
            self._say_once(
                state,
                "heap",
                tr(
                    "The lines of the probe {source} come in heaps, late: only the last one counts.",
                    source=source,
                ),
            )
            lines = lines[-1:]
        stood = []
        for line in lines:
            stood += self._take(source, state, line_text(line, SHOWN), t)
        self._look_for_swaps()
        return stood

    def lost(self, source: str, trouble: str) -> None:
        """A source is gone, or was not there, and why: said once it is so twice running.

        A program that ends after each reading, and is started again, is none that is lost.
        """
        state = self._sources[source]
        self._set_trouble(source, trouble)
        state.losses += 1
        if state.losses > 1 or state.once:
            self._say_once(state, "lost", tr("Probe {source}: {trouble}", source=source, trouble=trouble))

    def _set_trouble(self, source: str, trouble: str) -> None:
        if not trouble:
            self._sources[source].said.discard("lost")
        for (of, _), channel in self._channels.items():
            if of == source:
                channel.trouble = trouble

    def _count(self, source: str, state: _SourceState, lines: int, t: float) -> None:
        """Notice a flood."""
        if not 0 <= t - state.second < 1.0:
            state.second, state.lines = t, 0
        state.lines += lines
        if state.lines > FLOOD:
            self._say_once(
                state,
                "flood",
                tr(
                    "Probe {source} sends more than {flood} lines a second; the newest count.",
                    source=source,
                    flood=FLOOD,
                ),
            )

    def _take(self, source: str, state: _SourceState, raw: str, t: float) -> list[ProbeNow]:
        """One cleaned line."""
        heard, stood = understand(raw, state.spec.pattern), []
        if not heard:
            return self._garbage(source, state, raw)
        state.well += 1
        if state.garbage >= GARBAGE and state.well < WELL:
            return self._unread(source, raw)
        state.garbage = 0
        state.said.discard("garbage")
        for one in heard:
            channel = self._channels[source, one.channel]
            late = state.lateness.is_late(t, one.stamp)
            fault: Lie | None = one.fault or None
            for kept in channel.heard(t, one.celsius, raw, self.around, fault, late=late):
                spot = channel.place
                assert spot is not None
                fact = Reading(
                    place=spot.place,
                    mould=spot.mould,
                    jug=spot.jug,
                    celsius=round(kept.celsius, 2),
                    probe=channel.name,
                    doubt=kept.doubt,
                )
                self._kept.append(ProbeReading(kept.t, fact))
            stood.append(channel.now())
        if state.lateness.clock_off:
            self._say_once(
                state,
                "clock",
                tr(
                    "The clock of the probe {source} is set differently: what counts is when its lines arrive.",
                    source=source,
                ),
            )
        return stood

    def _garbage(self, source: str, state: _SourceState, raw: str) -> list[ProbeNow]:
        """A line that says no temperature, or not plainly which number is one."""
        state.garbage, state.well = state.garbage + 1, 0
        if state.garbage >= GARBAGE:
            says = tr(
                "Probe {source} sends lines without a temperature, or with several: “{raw}”.",
                source=source,
                raw=raw[:40],
            )
            self._say_once(
                state,
                "garbage",
                tr("{says} A pattern in the settings says which number is meant.", says=says),
            )
        return self._unread(source, raw)

    def _unread(self, source: str, raw: str) -> list[ProbeNow]:
        """A line that counts for nothing is only shown."""
        of_source = [channel for (of, _), channel in self._channels.items() if of == source]
        for channel in of_source:
            channel.unread(raw)
        return [channel.now() for channel in of_source]

    def _say_once(self, state: _SourceState, what: str, says: str) -> None:
        if what not in state.said:
            state.said.add(what)
            self._news.append(says)

    def _look_for_swaps(self) -> None:
        """Two that jumped to each other's temperature have changed places."""
        jumped = [(c, both) for c in self._channels.values() if (both := c.before_and_now()) is not None]
        for index, (one, both) in enumerate(jumped):
            for other, other_both in jumped[index + 1 :]:
                if is_swapped(both, other_both):
                    one.accuse("swapped")
                    other.accuse("swapped")

    # -- what a person says -------------------------------------------------------------------------

    def put_into(self, name: str, place: ProbeSpot | None) -> None:
        """A probe is in another place from now on, alone; None: in none, and nothing of it goes on record."""
        for channel in self._channels.values():
            if place is not None and channel.place == place and channel.name != name:
                channel.put_into(None)
        self.channel(name).put_into(place)

    def typed(self, spot: ProbeSpot, celsius: float, now: float) -> ProbeNow | None:
        """The probe that says otherwise than what was typed of its place (°C), and was not overruled before; None for none."""
        for channel in self._channels.values():
            if channel.is_in(spot):
                before = channel.now()
                if channel.agrees(celsius, now) is False and not before.overruled:
                    return before
        return None


def _first_place(spec: SourceSpec, index: int) -> ProbeSpot | None:
    """Where a probe is as long as nobody says otherwise: as written, else by its channel's name; the pot for a single one."""
    channel = spec.pattern.channels[index]
    word, _, letter = channel.partition(" ")
    named = next((p for p in PLACES if p == word.lower()), None)
    if named is not None:
        return ProbeSpot(named, letter.upper() if named == "surface" else "")
    if index == 0 and spec.place is not None:
        return spec.place
    return ProbeSpot("pot") if len(spec.pattern.channels) == 1 else None
