"""The temperature that stands large beside an act: of which vessel, as read or as forecast, against what it should be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.guide.acts.act import Act
from pourday.guide.acts.pour_heat import coming_layer, hottest_c
from pourday.guide.advice.alarms import alarms
from pourday.guide.outlook.jugs import JugNow, jugs_now
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import LEAST_KG
from pourday.guide.outlook.pot_stretches import pot_is_empty
from pourday.language import tr, word
from pourday.plan.jug_names import called_jug
from pourday.plan.model import Units
from pourday.probes.channel import ProbeNow
from pourday.session.events import Place
from pourday.session.state import State
from pourday.times import span
from pourday.units import show_temperature

POURED_FROM = ("plug", "pour", "top-up", "look under")
"""Acts that pour from a jug, or lead straight to such a pour: what counts is how hot that pour is asked for."""
TOO_HOT_ALARMS = frozenset({"dry pot", "ceiling", "near ceiling"})
"""Alarms about wax that is too hot, by their names on record."""
BY_EYE = ("look", "look under", "relief", "demould", "cure", "finish", "nothing", "burner?")
"""Acts that are done by eye: the figure of a thermometer beside them would be about something else."""
FRESH = 90.0
"""Seconds during which a reading is the temperature; after that the forecast stands in for it. Estimate."""


@dataclass(frozen=True, slots=True)
class Number:
    """A big number and the small words under it; what is late says so in words, too: its colour does not count."""

    text: str
    label: str
    late: bool = False


def live_degrees(
    state: State, outlook: Outlook, act: Act, now: float, probes: Sequence[ProbeNow]
) -> tuple[Number, str]:
    """The temperature that matters for the act, and the probe it comes from; none where nothing is live there."""
    if act.id.name in TOO_HOT_ALARMS:
        return _too_hot(state, outlook, act.id.name, now, probes), ""
    number = degrees(state, outlook, act, now)
    probe = probe_there(state, outlook, act, now, probes) if number.text else None
    if probe is None or probe.counted is None:
        return number, ""
    units, target = state.plan.units, _target(state, outlook, act)
    aim = (
        tr(", target {temperature}", temperature=show_temperature(target, units))
        if target is not None
        else ""
    )
    name = called_jug(state.plan, probe.jug) if probe.jug is not None else probe.where
    return Number(
        f"{figure_of(probe.counted, units, 1)}°", tr("probe, {name}{aim}", name=name, aim=aim)
    ), probe.name


def probe_there(
    state: State, outlook: Outlook, act: Act, now: float, probes: Sequence[ProbeNow]
) -> ProbeNow | None:
    """The probe that says how warm it is where the act is about; None where none does."""
    place, mould = act.place
    jug = _jug_meant(state, outlook, act, now) if place == "jug" else None
    for probe in probes:
        same = jug is None or probe.jug in (None, jug.layer)
        if (probe.place, probe.mould) == (place, mould) and same and probe.counts(now):
            return probe
    return None


def _target(state: State, outlook: Outlook, act: Act) -> float | None:
    """°C that the place of an act should be at; None where nothing is asked of it."""
    return {"pot": outlook.melt_c, "jug": _poured_c(state, outlook, act)}.get(act.place[0])


def _poured_c(state: State, outlook: Outlook, act: Act) -> float:
    """°C that what is in the jug of an act should have; of a reading that of the pour it is read for."""
    if act.kind in POURED_FROM:
        return hottest_c(state, outlook, act)
    if act.kind != "read" or act.layer is None:
        return outlook.pour_c
    coming = {letter: state.next_pour(letter) for letter in state.moulds}
    moulds = "".join(x for x, pour in sorted(coming.items()) if pour is not None and pour.layer == act.layer)
    if not moulds:
        # It is drawn ahead: nothing gets its colour next.
        return outlook.pour_c
    return hottest_c(state, outlook, replace(act, kind="look", moulds=moulds))


def degrees(state: State, outlook: Outlook, act: Act, now: float) -> Number:
    """The temperature that matters for the act, against what it should be: as read in the last `FRESH` s, else by the
    forecast with a ~ and its spread.

    Empty where no thermometer helps, `--` where nobody knows.
    """
    units = state.plan.units
    place, mould = act.place
    if place == "candle" or act.kind in BY_EYE or _no_wax(state, outlook, place):
        return Number("", "")
    if act.kind == "load" and not state.additions and state.last_reading("pot") is None:
        # An empty pot has no wax whose heat could matter.
        return Number("", "")
    in_jugs = pot_is_empty(state)
    if in_jugs and place == "pot":
        place = "jug"
    pour_c = _poured_c(state, outlook, act)
    jug = _jug_meant(state, outlook, act, now) if place == "jug" else None
    if jug is not None:
        return _of_jug(state, jug, pour_c, now)
    target = {"pot": outlook.melt_c, "jug": pour_c}.get(place)
    aim = (
        tr(" target {temperature}", temperature=show_temperature(target, units)) if target is not None else ""
    )
    reading = None if place == "jug" else state.last_reading(place, mould)
    if reading is None and place != "pot" and not (in_jugs and place == "jug"):
        place, mould = "pot", ""
        aim = tr(" pour at {temperature}", temperature=show_temperature(pour_c, units)) if aim else ""
        reading = state.last_reading("pot")
    name = f"{word(place)} {mould}".strip()
    if reading is not None and now - reading.t <= FRESH:
        return Number(figure_of(reading.celsius, units, 1) + "°", f"{name},{aim or tr(' read')}")
    if (place == "pot" or (in_jugs and place == "jug")) and outlook.pot is not None:
        low, likely, high = outlook.pot.at(now)
        doubted = state.last_reading(place, mould, doubted=True) is not None
        none = tr(", reading in doubt") if doubted else tr(", no reading")
        read = tr(", read {span} ago", span=span(now - reading.t)) if reading else none
        spread = f"{figure_of(low, units)}-{show_temperature(high, units)}"
        return Number(
            "~" + figure_of(likely, units) + "°",
            f"{name} {spread},{aim}{read}".replace(",,", ","),
        )
    if reading is not None:
        return Number(
            figure_of(reading.celsius, units, 1) + "°",
            tr(
                "{place} read {span} ago",
                place=f"{name},{aim}," if aim else f"{name},",
                span=span(now - reading.t),
            ),
        )
    return Number("--", tr("{name}: no reading", name=name))


def _jug_meant(state: State, outlook: Outlook, act: Act, now: float) -> JugNow | None:
    """The jug an act is about, None while it has not been drawn. For an act about no jug, the one read last of those
    still in use."""
    jugs = {jug.layer: jug for jug in jugs_now(state, outlook, now)}
    layer = act.layer if act.layer is not None else coming_layer(state, act)
    if layer is not None:
        return jugs.get(layer)
    full = [jug for jug in jugs.values() if not jug.empty]
    coming = {pour.layer for letter in state.moulds if (pour := state.next_pour(letter)) is not None}
    full = [jug for jug in full if jug.layer in coming] or full
    return max(full, key=lambda jug: jug.read.t if jug.read is not None else 0.0, default=None)


def _of_jug(state: State, jug: JugNow, pour_c: float, now: float) -> Number:
    """How warm a jug is: as just read, else as it probably is by now, with its name where there are several."""
    units = state.plan.units
    name = tr("jug") if len(state.jugs) < 2 else called_jug(state.plan, jug.layer)
    aim = tr("target {temperature}", temperature=show_temperature(pour_c, units))
    if jug.read is not None and now - jug.read.t <= FRESH:
        return Number(figure_of(jug.read.celsius, units, 1) + "°", f"{name}, {aim}")
    read = tr("read {span} ago", span=span(now - jug.read.t)) if jug.read is not None else tr("not read yet")
    if jug.celsius is None:
        return Number("--", f"{name}: {read}")
    low, likely, high = jug.celsius
    spread = f"{figure_of(low, units)}-{show_temperature(high, units)}"
    return Number("~" + figure_of(likely, units) + "°", f"{name} {spread}, {aim}, {read}")


def _too_hot(state: State, outlook: Outlook, name: str, now: float, probes: Sequence[ProbeNow]) -> Number:
    """What an alarm about heat rests on: a reading that the forecast leaves out in doubt is believed first."""
    there = alarms(state, outlook, now, probes=probes)
    alarm = next((each for each in there if each.id == name), None)
    if alarm is None or alarm.value is None or alarm.limit is None:
        return Number("", "")
    units = state.plan.units
    limit = tr("limit {temperature}", temperature=show_temperature(alarm.limit, units))
    limit = f"{word(alarm.where)}, {limit}" if alarm.where else limit
    if not alarm.read_at:
        return Number("~" + figure_of(alarm.value, units) + "°", tr("by the forecast, {limit}", limit=limit))
    return Number(
        figure_of(alarm.value, units, 1) + "°",
        tr("{limit}, read {span} ago", limit=limit, span=span(now - alarm.read_at)),
    )


def _no_wax(state: State, outlook: Outlook, place: Place) -> bool:
    """Whether a temperature would be that of a vessel with nothing in it any more."""
    if place not in ("pot", "jug") or not pot_is_empty(state):
        return False
    return outlook.pot is None or outlook.pot.setup.kg <= LEAST_KG


def figure_of(celsius: float, units: Units, digits: int = 0) -> str:
    """The bare number of a temperature (°C) in the person's unit, with so many digits after the point."""
    return show_temperature(celsius, units, digits).split()[0]
