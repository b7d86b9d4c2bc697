"""What is likely of a stove, its bath and what stands in it before anything was read: the figures of the pot's law.

Medians, and standard deviations of their logarithms (0.35: nineteen times in twenty between half and twice). They are
physics and common practice, estimates of ours where no source is named; `pot_prior.py` says how each was come by. Whoever
has learned better of a kitchen gives a law with other figures (`PotSetup.law`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

WATER_CP: Final = 4186.0
"""J/(kg K), water between 0 and 100 °C within 1 % (IAPWS-95: 4178 to 4217)."""
STEAM: Final = 2.29e6
"""J/kg to turn water at 85 °C into steam; 2.26e6 at 100 °C, 2.33e6 at 70 °C (IAPWS-95)."""
STEAM_SHARE: Final = (0.25, 0.005)
"""Share of what a bath loses that goes as steam at so many K above the room: 0.25 + 0.005 K⁻¹. Derived: the sum in
`pot_prior.py` of wall and open water gives 0.41, 0.48, 0.58 and 0.63 at 30 to 80 K."""


@dataclass(frozen=True, slots=True)
class PotLaw:
    """What is held to be true of one kitchen's pot before the day's first reading."""

    uptake: float = 14.0
    """W/(kg K) into molten wax, half a kilogram of it in one vessel in the bath. Estimate, as all that follows but where it
    says otherwise."""
    uptake_sd: float = 0.4  # estimate
    contact: float = 0.45
    """The same of solid wax, as a share (estimate)."""
    contact_sd: float = 0.3  # estimate
    air: float = 0.65
    """W/(kg K) out of a 1 kg jug on the bench, 40 K above the room (estimate, so that it falls 1 K a minute at 80 °C: common
    practice, no source)."""
    air_sd: float = 0.35  # estimate
    power: float = 850.0
    """W that the full flame gives the bath (estimate: half of a ring of 1 to 2 kW)."""
    power_sd: float = 0.35
    """Estimate. Over burners evenly from a third to three times the usual 80 % bands hold 69 % on a stove's first day, and 80
    with 0.5; but then flames of usual stoves are turned low half a minute after they were lit. With 0.42 (stoves 100 to 129) 82 %
    where these hold 76; there one day of eight on usual stoves took its wax 1 K over its ceiling, none with these."""
    low: float = 0.25
    """Share of it that a low one gives (estimate: a seventh to a half)."""
    low_sd: float = 0.3  # estimate
    lag: float = 60.0
    """s, how slowly the hob warms up and dies away (estimate: half a minute of gas, two of an iron plate)."""
    lag_sd: float = 0.5  # estimate
    loss: float = 2.6
    """W/K out of a bath 50 K above the room, by wall and steam (derived in `pot_prior.py` for a pot of estimated size)."""
    loss_sd: float = 0.3  # estimate
    water: float = 1.75
    """kg of water in the bath of a usual pot, of which nobody said how much it holds: 1-3 kg (estimate)."""
    water_sd: float = 0.35
    """Nineteen times in twenty between 0.9 and 3.5 kg (estimate)."""
    pot_heat: float = 400.0
    """J/K of the pot that holds the bath (estimate: as much as a tenth of a kilogram of water)."""


USUAL_POT: Final = PotLaw()
"""A kitchen of which nothing is known."""
