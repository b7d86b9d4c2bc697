"""What a person would find wrong with a candle of the simulated kitchen, from its true field alone.

Nothing here knows why: a flaw shows where the wax did what makes it. The limits are estimates, drawn a little different for
each mould where the eye decides. Each flaw comes with how far it is over its limit, 1 at the limit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from pourday.kitchen.burning import BurningNow
from pourday.kitchen.kitchen import Kitchen
from pourday.kitchen.truth import near

HOLDS = 0.00006
"""m of old wax that has to have run together with the new at the wall, where a seam is weakest and opens first. Estimate."""
HOLLOW_SHARE = 0.012
"""Hidden hollow that is found, as a share of the candle. Estimate."""
SUNK_SHARE = 0.012
"""Open well in the base that is seen, as a share of the candle. Estimate."""
OVER_LINE = 0.0025
"""m above the fill line at which wax gets between candle and mould. Estimate."""
WALL_TAKES = 0.30
"""Share of the mould in the temperature that wax and wall come to where they touch. Estimate."""
CRACKS_AT = 0.75
"""K/min of the skin at the wall, just after it has set, from which it crazes. Estimate."""
COLD_TOUCH = 4.0
"""K over half melted that wax and wall have to come to where they touch, so that no rings are left. Estimate."""
SMEARS = 0.012
"""m of old wax that were molten under a seam, area mean, from which its line is smeared. Estimate."""

THICK_WALL, GIVES_WAY, TALL_FLAME, SPITS_AT = 0.165, 0.0028, 0.058, 0.002
"""Wall that is called a tunnel, as a share of the candle's width; m of warm wall that gives way; m of flame; kg of water a
kg. Estimates."""


class CandleWatch:
    """Watches every mould of a kitchen through its day, for what cannot be seen afterwards."""

    def __init__(self, kitchen: Kitchen, seed: int) -> None:
        self.kitchen = kitchen
        self._eye = np.random.default_rng(seed)
        self._chill: dict[str, float] = {}
        self._touch: dict[str, float] = {}
        self._last: dict[str, tuple[float, float]] = {}

    def poured(self, letter: str, landed: float) -> None:
        """Wax of so many °C has come to the wall of a mould."""
        filling = self.kitchen.fillings[letter]
        mould = filling.mould_c if filling.mould_c is not None else self.kitchen.room_at(self.kitchen.now)
        touch = (1 - WALL_TAKES) * landed + WALL_TAKES * mould
        over = touch - float(np.interp(0.5, filling.lot.melted, np.arange(filling.lot.melted.size) - 40.0))
        self._touch[letter] = min(self._touch.get(letter, over), over)

    def look(self) -> None:
        """Note how fast each skin cools now; to be called every few minutes."""
        now = self.kitchen.now
        for letter, filling in self.kitchen.fillings.items():
            if filling.empty:
                continue
            half = max(1, len(filling.heights) // 2)
            edge = float(np.average(filling.celsius[:half, -1], weights=filling.heights[:half]))
            before = self._last.get(letter)
            self._last[letter] = now, edge
            set_c = filling.lot.solidus_c
            if before is None or now - before[0] < 60 or not set_c - 15 < edge < set_c - 2:
                continue
            rate = (before[1] - edge) / (now - before[0]) * 60
            self._chill[letter] = max(self._chill.get(letter, 0.0), rate)

    def flaws(self, letter: str, line: float) -> Mapping[str, float]:
        """Every flaw of a cold candle, by name, with how far it is over its limit; `line` is the planned fill line in m."""
        kitchen, filling = self.kitchen, self.kitchen.fillings[letter]
        volume = max(filling.volume, 1e-9)
        eye = near(self._eye, 0.1)
        sizes: dict[str, float] = {}
        seams = [kitchen.seam(letter, above) for _, above in kitchen.joints(letter)]
        if seams:
            sizes["parts"] = HOLDS * eye / max(min(seam.edge for seam in seams), 1e-6)
            sizes["smears"] = max(seam.mean for seam in seams) / (SMEARS * eye)
        sizes["hollow"] = filling.hollow / volume / (HOLLOW_SHARE * eye)
        sizes["sunk"] = filling.well / volume / (SUNK_SHARE * eye)
        sizes["collar"] = (kitchen.highest_level(letter) - line) / (OVER_LINE * eye)
        sizes["rings"] = 2.0 - self._touch.get(letter, 10.0) / (COLD_TOUCH * eye)
        sizes["crazed"] = self._chill.get(letter, 0.0) / (CRACKS_AT * eye)
        return {name: size for name, size in sizes.items() if size > 1.0}


def oily(load: float, holds: float) -> bool:
    """Whether scent comes out of a wax that truly holds so much, both kg per kg."""
    return load > holds


def burn_flaws(cycles: Sequence[Sequence[BurningNow]], width: float, moisture: float) -> Mapping[str, float]:
    """Flaws of the burns of a candle so wide (m), whose wax has so much water in it (kg per kg)."""
    ends = [cycle[-1] for cycle in cycles]
    flame = max(now.flame for cycle in cycles for now in cycle)
    sizes = {
        "tunnels": max(end.wall for end in ends) / (THICK_WALL * width),
        "drowns": 1.5 if any(end.out for end in ends) else 0.0,
        "knob": 1.2
        if sum(now.mushroom for cycle in cycles for now in cycle) * 2 > sum(map(len, cycles))
        else 0.0,
        "soots": 1.5
        if sum(now.soot == "steady" for cycle in cycles for now in cycle) * 5 > sum(map(len, cycles))
        else 0.0,
        "tall": flame / TALL_FLAME,
        "breaks out": 1.2 if min(end.wall for end in ends) <= GIVES_WAY else 0.0,
        "spits": moisture / SPITS_AT,
    }
    return {name: size for name, size in sizes.items() if size > 1.0}
