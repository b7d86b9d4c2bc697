"""What the shelf knows of one session: little enough that ten thousand fit into the hand, all in plain words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime

import msgspec

from pourday.burn.due import CandleDue, in_order
from pourday.language import word
from pourday.moulds.use import MouldUse
from pourday.stock.taken import Taken
from pourday.store.library import Epoch
from pourday.times import local

SEASONS = ("winter", "spring", "summer", "autumn")
"""By quarter of the year from December on, as in the northern half of the earth."""

_WORD = re.compile(r"[^\W_]+", re.UNICODE)


class DayCard(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """One session on the shelf. Texts are plain; empty where nothing was said."""

    session: str
    title: str = ""
    stage: str = "setup"
    finished: bool = False
    demo: bool = False
    started: Epoch | None = None
    """Seconds since the epoch, UTC."""
    colours: tuple[str, ...] = ()
    waxes: tuple[str, ...] = ()
    """Names, not ids."""
    lots: tuple[str, ...] = ()
    scents: tuple[str, ...] = ()
    dyes: tuple[str, ...] = ()
    wicks: tuple[str, ...] = ()
    moulds: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    """What was not as planned, each once, in the words of `making.OFF_WORDS`."""
    faults: tuple[str, ...] = ()
    """Faults that somebody saw on its candles, and seals that wept."""
    no_fault: bool = False
    """Somebody looked at its candles and saw none on any."""
    tested: bool = False
    """Some candle of it was burned."""
    verdict: str = ""
    notes: tuple[str, ...] = ()
    parent: str = ""
    """The session it was poured after."""
    change: str = ""
    """The one thing that was changed against that one, and why."""
    came: str = ""
    """How that came out: better, same or worse; empty where nobody said."""
    due: tuple[CandleDue, ...] = ()
    """What is due with its candles, or will be; nothing in a demo."""
    begun: Epoch | None = None
    """When the plan was fixed, seconds since the epoch; None of a plan that is no day yet."""
    takes: tuple[Taken, ...] = ()
    """What it takes off the shelf of materials: as planned until it is finished, then as it was recorded."""
    uses: tuple[MouldUse, ...] = ()
    """What it says of its moulds."""


def due_now(cards: Iterable[DayCard], now: float) -> tuple[CandleDue, ...]:
    """What is due with the candles of all days by now: candles that burn first, then by when it fell due."""
    return in_order(tuple(row for card in cards for row in card.due if row.is_due(now)), now)


def about_card(card: DayCard) -> str:
    """What tells a session from others, in a few words: colours, faults, what was not as planned, wax."""
    parts = (
        ", ".join(card.colours),
        ", ".join(map(word, card.faults or (("no fault seen",) if card.no_fault else ()))),
        ", ".join(map(word, card.off)),
        word("tested") if card.tested else "",
        " + ".join(card.waxes),
    )
    return "; ".join(part for part in parts if part)


def hay(card: DayCard) -> str:
    """All words a card can be found by, small, each after a space: ` violet palm wax 2026 may spring`.

    Words of the program stand there in English and in the person's language.
    """
    when = local(card.started) if card.started is not None else None
    as_planned = not card.off and card.stage != "setup"
    data = (
        card.stage,
        "done" if card.finished else "open",
        *(("demo",) if card.demo else ()),
        *card.off,
        *card.faults,
        *(("as planned",) if as_planned else ()),
        *(("good", "none", "faultless") if card.no_fault else ()),
        *(("tested", "burned") if card.tested else ()),
    )
    said = (
        card.session,
        card.title,
        *(card.colours + card.waxes + card.lots + card.scents + card.dyes + card.wicks + card.moulds),
        *data,
        *(other for each in data if (other := word(each)) != each),
        *card.notes,
        card.verdict,
        card.parent,
        card.change,
        day_words(when) if when is not None else "",
    )
    return " " + " ".join(words_in(" ".join(said)))


def words_in(text: str) -> list[str]:
    """The words of a text, small: letters and digits, whatever stands between them."""
    return _WORD.findall(text.casefold())


def day_words(when: datetime) -> str:
    """A day in words: `2026 october autumn sunday`."""
    return f"{when:%Y} {when:%B} {SEASONS[when.month % 12 // 3]} {when:%A}"
