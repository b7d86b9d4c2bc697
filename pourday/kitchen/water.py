"""Water in the simulated bath: air pressure by altitude, vapour pressure, boiling point.

Air pressure is the US Standard Atmosphere 1976 below 11 km; vapour pressure is the Antoine equation
with the common handbook constants for water from 1 to 100 °C (pressure in mmHg).
"""

from __future__ import annotations

import math

_A, _B, _C = 8.07131, 1730.63, 233.426
_PA_PER_MMHG = 133.322
"""Antoine coefficients of water for mmHg and °C, 1 to 100 °C (Dortmund Data Bank, from memory; `tests/kitchen/test_water.py`
holds them to IAPWS-95), and what takes mmHg to Pa, by definition."""
_LN10 = math.log(10.0)  # exact

SPECIFIC_HEAT = 4186.0
"""J/(kg K), about the mean from 20 to 100 °C (handbook; IAPWS-95: 4178 to 4216)."""
LATENT = 2.257e6
"""J/kg, heat of evaporation at 100 °C (handbook; IAPWS-95: 2.2565e6)."""
_GAS_CONSTANT = 461.5
"""J/(kg K), water vapour: the gas constant (CODATA) over 18.015 g/mol."""


def air_pressure(altitude: float) -> float:
    """Pa at an altitude in m: 101325 (1 - 2.25577e-5 z)^5.25588."""
    return 101325.0 * math.pow(1.0 - 2.25577e-5 * altitude, 5.25588)


def vapour_pressure(celsius: float) -> float:
    """Saturation pressure over water, Pa."""
    return _PA_PER_MMHG * math.exp(_LN10 * (_A - _B / (_C + celsius)))


def boiling_point(pressure: float) -> float:
    """°C at which water boils under that pressure in Pa."""
    return _B / (_A - math.log10(pressure / _PA_PER_MMHG)) - _C


def vapour_density(celsius: float) -> float:
    """kg/m³ of saturated vapour, as an ideal gas."""
    return vapour_pressure(celsius) / (_GAS_CONSTANT * (celsius + 273.15))
