"""How long a candle rests before it is burnt and before it is given away, by wax and scent.

Days from leaving the mould (in a vessel, from its last pour). "May be burnt to test from" is the fewest days of the wax
table, with the sources that stand there; "ready to give from" is common practice, no source. The supplier's sheet outranks both.
"""

from __future__ import annotations

from dataclasses import dataclass

from pourday.language import tr
from pourday.wax.materials import Wax

SOURCE = tr("common practice, no source; your supplier's sheet outranks it")
_SCENTED_GIVE = {"paraffin_low": 7, "paraffin_pillar": 7, "palm": 14}
"""Days after which a scented candle is given, where that is longer than the table's own: scent needs time to settle in."""


@dataclass(frozen=True, slots=True)
class Cure:
    """Whole days from leaving the mould."""

    test_from: int
    give_from: int
    scented: bool

    @property
    def why(self) -> str:
        """The days in a sentence, with their source."""
        scent = "scented" if self.scented else "unscented"
        return tr(
            "{scent}: test from day {test_from}, give from day {give_from} ({source})",
            scent=scent,
            test_from=self.test_from,
            give_from=self.give_from,
            source=SOURCE,
        )


def cure_of(waxes: tuple[Wax, ...], scented: bool) -> Cure:
    """The cure of a candle of these waxes; the slowest of them counts.

    >>> from pourday.wax.materials import family
    >>> cure_of((family("soy_pillar"),), scented=True).give_from
    14
    """
    test = max((wax.cure_min_days for wax in waxes), default=1)
    longest = (max(wax.cure_max_days, _SCENTED_GIVE.get(wax.kin, 0) if scented else 0) for wax in waxes)
    return Cure(test, max(max(longest, default=3), test), scented)
