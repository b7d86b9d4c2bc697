"""What falls due with the candles of all batches: lit ones first, then what may be done, then what comes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import msgspec

from pourday.burn.candle import Candle
from pourday.burn.looks import COLD_AFTER, CYCLE, weigh_from
from pourday.burn.rate import is_low
from pourday.language import ntr, tr
from pourday.times import DAY

What = Literal["burning", "weigh cold", "burn again", "burn test", "judge", "ready to give"]
WORDS: dict[What, str] = {
    "burning": tr("burns: look at it"),
    "weigh cold": tr("weigh it cold"),
    "burn again": tr("may burn again"),
    "burn test": tr("may be burned to test"),
    "judge": tr("judge its wick"),
    "ready to give": tr("ready to give"),
}
CYCLES = 4
"""Cycles of at most 4 h after which a wick is judged: 16 h, the burn period of ASTM F1972-05's first page."""


@dataclass(frozen=True, slots=True)
class CandleDue:
    """One thing that is due with one candle."""

    at: Annotated[float, msgspec.Meta(ge=-2e10, le=2e10)]
    """From when, s since the epoch."""
    what: What
    batch: str
    letter: str
    label: str
    title: str
    """Of the batch."""
    why: str = ""

    @property
    def says(self) -> str:
        """`251125a-B may be burned to test`."""
        return f"{self.label} {WORDS[self.what]}"

    def is_due(self, now: float) -> bool:
        """Whether it has fallen due by `now`, s since the epoch."""
        return self.at <= now


def due_of(candle: Candle, title: str) -> tuple[CandleDue, ...]:
    """What is due with one candle, by time; nothing of one that is judged and given, or to be melted again."""
    life = candle.life
    if life.goes == "melt again":
        return ()

    if life.burning is not None:
        return (row(candle, title, life.burning.lit_at, "burning", tr("a cycle lasts 4 h at most")),)
    if life.burns:
        return (_after_burns(candle, title),) if _unfinished(candle) else ()
    rows = []
    if life.goes in (None, "keep", "test"):
        rows.append(
            row(candle, title, candle.since + candle.cure.test_from * DAY, "burn test", candle.cure.why)
        )
    if life.goes in (None, "gift", "sale"):
        rows.append(
            row(candle, title, candle.since + candle.cure.give_from * DAY, "ready to give", candle.cure.why)
        )
    return tuple(rows)


def row(candle: Candle, title: str, at: float, what: What, why: str) -> CandleDue:
    """One thing that is due with this candle."""
    return CandleDue(at, what, candle.batch, candle.letter, candle.label, title, why)


def _unfinished(candle: Candle) -> bool:
    """Whether a candle that burned has still to be weighed, or its wick to be judged."""
    return candle.life.judged is None or weigh_from(candle.life.burns[-1]) is not None


def _after_burns(candle: Candle, title: str) -> CandleDue:
    """What is due with a candle that burned and is out."""
    burns = candle.life.burns
    weigh = weigh_from(burns[-1])
    if weigh is not None:
        return row(candle, title, weigh, "weigh cold", tr("at least an hour cold"))
    ended = burns[-1].ended_at or burns[-1].lit_at
    cold = max(burns[-1].cold_at or ended, ended + COLD_AFTER)
    if len(burns) >= CYCLES or burns[-1].how in ("burned down", "went out") or is_low(candle):
        why = ntr("{count} cycle", "{count} cycles", len(burns), count=len(burns))
        return row(
            candle, title, cold, "judge", tr("{why}, and low enough", why=why) if is_low(candle) else why
        )
    return row(candle, title, cold, "burn again", tr("cycle {count}", count=len(burns) + 1))


def in_order(rows: tuple[CandleDue, ...], now: float) -> tuple[CandleDue, ...]:
    """Lit candles first, then what is due by the time it fell due, then what comes."""
    return tuple(
        sorted(rows, key=lambda row: (row.what != "burning", not row.is_due(now), row.at, row.label))
    )


def end_of_cycle(row: CandleDue) -> float:
    """When a lit candle has to be put out at the latest."""
    return row.at + CYCLE
