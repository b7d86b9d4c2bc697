"""The card of probes over the stove: what comes in, raw beside understood; keys say where each one is, and test it in ice or boiling water."""

from __future__ import annotations

from collections.abc import Callable

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.plan.jug_names import the_jug
from pourday.probes.channel import ProbeNow
from pourday.probes.offset import Bath, ProbeTest, offset_found
from pourday.probes.source import ProbeSpot
from pourday.probes.watch import ProbeWatch
from pourday.session.events import Place
from pourday.session.state import State
from pourday.times import local

PLACES: dict[str, Place] = {"p": "pot", "j": "jug", "s": "surface", "b": "bath", "r": "room"}
"""The letter that says where the chosen probe is, the same as for a reading that is typed."""
BATHS: dict[str, Bath] = {"i": "ice", "w": "boiling water"}


class ProbeCard:
    """Which probe the cursor is on, and what was said last; `keep_test` stores what a test found, by the name of the probe."""

    def __init__(self, watch: ProbeWatch, keep_test: Callable[[str, ProbeTest], None]) -> None:
        self._watch = watch
        self._keep_test = keep_test
        self.at = 0
        self.message = ""

    @property
    def probes(self) -> tuple[ProbeNow, ...]:
        """How each probe stands."""
        return self._watch.probes

    def press(self, key: str, character: str | None, state: State, now: float) -> None:
        """One key of the card."""
        self.message = ""
        probe = self.probes[min(self.at, len(self.probes) - 1)]
        sign = (character or "").lower()
        if key in ("up", "down"):
            self.at = (self.at + (1 if key == "down" else -1)) % len(self.probes)
        elif sign in PLACES:
            self._put(probe, PLACES[sign], state)
        elif sign == "x":
            self._watch.put_into(probe.name, None)
            self.message = tr(
                "Probe {name} is in nothing now: it is shown, and nothing of it goes on record.",
                name=probe.name,
            )
        elif sign in BATHS:
            self._test(probe, BATHS[sign], now)

    def _put(self, probe: ProbeNow, place: Place, state: State) -> None:
        """Say where a probe is from now on; with several moulds or jugs the same key goes on to the next one."""
        spots = [ProbeSpot(place)]
        if place == "surface":
            letters = sorted(letter for letter, each in state.moulds.items() if each.pours)
            spots = [ProbeSpot(place, letter) for letter in letters]
        elif place == "jug" and len(state.jugs) > 1:
            spots = [ProbeSpot(place, "", layer) for layer in sorted(state.jugs)]
        if not spots:
            self.message = tr("There is no surface before something is poured.")
            return
        here = ProbeSpot(place, probe.mould, probe.jug)
        spot = spots[(spots.index(here) + 1) % len(spots) if here in spots else 0]
        self._watch.put_into(probe.name, spot)
        name = f"{word(place)} {spot.mould}".strip()
        name = tr("the {name}", name=name) if spot.jug is None else the_jug(state.plan, spot.jug)
        self.message = tr("Probe {probe} is in {place} from now on.", probe=probe.name, place=name)

    def _test(self, probe: ProbeNow, bath: Bath, now: float) -> None:
        """Take what a probe says now as that of ice or boiling water, and store how far it is off."""
        channel = self._watch.channel(probe.name)
        readings = [reading for reading in channel.as_said if now - reading[0] <= 60]
        try:
            test = offset_found(
                bath, readings or [(now, float("nan"))], self._watch.around.boiling_c, local(now).date()
            )
        except Trouble as trouble:
            self.message = str(trouble)
            return
        channel.correct(test.kelvin)
        try:
            self._keep_test(probe.name, test)
        except Trouble as trouble:
            self.message = tr(
                "Probe {name} is corrected by {kelvin:+.2f} °C until the program ends. {trouble}",
                name=probe.name,
                kelvin=test.kelvin,
                trouble=trouble,
            )
            return
        self.message = tr(
            "Probe {name} is corrected by {kelvin:+.2f} °C, found in {bath}, and that is kept.",
            name=probe.name,
            kelvin=test.kelvin,
            bath=bath,
        )
