"""How long things take and wait, s: one set for the agenda of the moment and for the day worked out ahead.

What only one act needs stands beside that act; here is what both go by, so that they cannot tell two different days.
"""

from __future__ import annotations

from pourday.forecast.spread import Quantiles
from pourday.times import HOUR, MINUTE

# -- wax ---------------------------------------------------------------------------------------------

SEAL_WAIT = Quantiles(5 * MINUTE, 8 * MINUTE, 15 * MINUTE)
"""From the plug pour until it has set at the hole. From memory of the trade, not measured."""
RELIEF_EVERY = 40 * MINUTE
"""Relief holes close as a skin forms; on a large pillar reopened every 20-40 min (common practice, no source)."""
LITTLE_LIQUID = 0.1
"""Share of the wax below which no hole is opened but for a top-up. An estimate of ours."""
TOP_UP_AFTER = HOUR
"""A top-up earlier than this sinks again (common practice, no source: 1-4 h after the last pour)."""
LOOK_TO_TOP_UP = 20 * MINUTE
"""s from the look before a top-up to the top-up itself: the reserve has to be heated. An estimate of ours."""
LOOK_SOONEST, LOOK_LATEST = 5 * MINUTE, 25 * MINUTE
"""Between two looks at one surface. An estimate of ours."""
LATE = 2 * MINUTE
"""s after its window closed from which a pour of the day ahead is called late: no forecast is sharper. An estimate
of ours."""

# -- stove and jugs ----------------------------------------------------------------------------------

REACTS = 90.0
"""s from a word at the stove to its being done: whoever is at a mould finishes there first. An estimate of ours."""
JUG_LEAD = 10 * MINUTE
"""s to draw, colour, scent and stir one jug. An estimate of ours."""
JUG_HOT = 12 * MINUTE
"""A jug standing in a bath that cools stays fit to pour for about this long: it falls near 1 K a minute
(common practice, no source)."""
IDLE_HEAT = 25 * MINUTE
"""A wait longer than this is not spent over a flame: what comes after it gets a heat of its own. An estimate of
ours."""
HOLD_LOW = 100 * MINUTE
"""A wait up to this is spent over a low flame: the jugs stay fit to pour, and nothing has to be melted again. An
estimate of ours: an hour or two between two layers (common practice, no source)."""

# -- one pair of hands -------------------------------------------------------------------------------

PACE = MINUTE
"""s from a prompt to its being done, for the person whose hands the table `HANDS` is about; a slower person takes
longer for everything in proportion. Estimate."""
HANDS = {
    "heat on": 0.5 * MINUTE,
    "heat low": 0.5 * MINUTE,
    "heat off": 0.5 * MINUTE,
    "jug": 5 * MINUTE,
    "plug": MINUTE,
    "look under": 0.5 * MINUTE,
    "look": MINUTE,
    "pour": 1.5 * MINUTE,
    "relief": MINUTE,
    "top-up": 1.5 * MINUTE,
    "demould": 2 * MINUTE,
}
"""s that each act keeps both hands, for one mould; common practice, no source."""
TOGETHER = 10 * MINUTE
"""Acts of one kind due within this of each other are done in one go. Estimate."""
HOLDS = {"pour": 20 * MINUTE, "top-up": 75 * MINUTE}
"""How long a mould that is ready waits for another that takes the same colour: one jug, one heat. An
estimate of ours; a window that closes sooner ends it."""
