"""What a surface looks like, in a maker's words: one word a state, the same in question, picture, agenda and record.

The names in the record stay what they were in its first version. That a layer is firm through, with nothing liquid left
inside, is no look: it is computed, and said as `FIRM_THROUGH`.
"""

from __future__ import annotations

from collections.abc import Mapping

from pourday.language import tr
from pourday.session.events import Cue

LOOK_WORDS: Mapping[Cue, str] = {
    "wet": tr("wet"),
    "skinned": tr("edge set"),
    "firm": tr("carries the next colour"),
    "cold": tr("cold"),
    "pulled away": tr("pulled away"),
}
"""As it is said aloud."""
LOOK_SHORT: Mapping[Cue, str] = {**LOOK_WORDS, "firm": tr("carries")}
"""Where there is room for a word or two."""
FIRM_THROUGH = tr("firm through")
