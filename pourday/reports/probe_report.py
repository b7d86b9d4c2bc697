"""What a probe says, a line a reading: for a person at a shell, and for another program."""

from __future__ import annotations

from typing import Any

from pourday.language import tr
from pourday.probes.channel import ProbeNow
from pourday.units import Units, show_temperature


def probe_text(probe: ProbeNow, now: float, units: Units) -> str:
    """`pot          pot        74.6 °C   “T=74.6”   0 s`, and what is in doubt."""
    place = probe.where or "nowhere"
    shown = "-" if probe.celsius is None or probe.unread else show_temperature(probe.celsius, units, 1)
    age = probe.age(now)
    old = "" if age is None else tr("  {age:.0f} s", age=age)
    doubt = tr("  in doubt: {doubt}", doubt=probe.doubt) if probe.doubt else ""
    return f"{probe.name:<14} {place:<10} {shown:>9}  “{probe.raw}”{old}{doubt}"


def probe_data(probe: ProbeNow, now: float) -> dict[str, Any]:
    """The same as data: °C, s; `celsius` is null where the line says none."""
    age = probe.age(now)
    return {
        "source": probe.name,
        "place": probe.where or None,
        "celsius": None if probe.celsius is None or probe.unread else round(probe.celsius, 2),
        "raw": probe.raw,
        "age": None if age is None else round(age, 3),
        "doubt": probe.doubt or None,
    }
