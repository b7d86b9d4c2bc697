"""How sure a forecast is of a time: three quantiles of it, shared by every forecast."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

QUANTILES: Final = (0.10, 0.50, 0.90)
"""What early / likely / late (and low / likely / high) stand for, by definition: one time in ten it is earlier than `early`,
one time in ten later than `late`."""


@dataclass(frozen=True, slots=True)
class Quantiles:
    """10 %, 50 % and 90 % quantiles of a time, seconds since the epoch; `late` may be `math.inf`."""

    early: float
    likely: float
    late: float

    @property
    def open_ended(self) -> bool:
        """Whether more than one chance in ten is left that it does not happen in the time looked at."""
        return math.isinf(self.late)

    def after(self, start: float) -> Quantiles:
        """This spread of waits, in seconds, as times of the clock counted from `start`."""
        return Quantiles(start + self.early, start + self.likely, start + self.late)
