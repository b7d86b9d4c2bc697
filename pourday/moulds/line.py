"""A line that a person types about a mould: `tall sealed putty and tape`, `tall stands 85C`, `tall cleaned`."""

from __future__ import annotations

import re
from collections.abc import Sequence

import msgspec

from pourday.errors import Trouble
from pourday.language import any_of, tr, typed_words
from pourday.moulds.memory import MouldNote
from pourday.text import plain
from pourday.units import Units, read_temperature

_SAYS = typed_words("sealed", "release", "stands", "holes", "cleaned", "clean", "note", "forget")
_EVERY = re.compile(
    rf"(?:{any_of(typed_words('every', 'after'))})?\s*([0-9]{{1,4}})(?:\s+(?:{any_of(typed_words('candle', 'candles'))}))?"
)


def read_mould_line(
    text: str, units: Units, known: Sequence[MouldNote], now: float
) -> tuple[str, MouldNote | None]:
    """(name of the mould, what is kept of it from now on; None: it is forgotten). `now` in s since the epoch.

    Raises `Trouble` for what cannot be understood.
    """
    words = plain(text, 400).split()
    at = next((n for n, each in enumerate(words) if n and each.casefold() in _SAYS), None)
    if at is None:
        raise Trouble(tr("Say which mould, and what to remember of it."), instead=like())
    name, verb, rest = " ".join(words[:at]), _SAYS[words[at].casefold()], " ".join(words[at + 1 :])
    old = next(
        (note for note in known if plain(note.name).casefold() == name.casefold()), MouldNote(name=name)
    )
    if not rest and verb not in ("cleaned", "forget"):
        raise Trouble(tr("What follows “{verb}” is missing.", verb=words[at]), instead=like())
    match verb:
        case "forget":
            return name, None
        case "sealed":
            return name, msgspec.structs.replace(old, seal=rest)
        case "release":
            return name, msgspec.structs.replace(old, agent=rest)
        case "stands":
            return name, msgspec.structs.replace(old, limit_c=read_temperature(rest, units).celsius)
        case "holes":
            if not rest.isdecimal() or len(rest) > 2:
                raise Trouble(tr("“{rest}” is no number of holes.", rest=rest), instead=like())
            return name, msgspec.structs.replace(old, holes=int(rest))
        case "cleaned":
            return name, msgspec.structs.replace(old, cleaned_at=now)
        case "clean":
            every = _EVERY.fullmatch(rest.casefold())
            if every is None or int(every[1]) < 1 or int(every[1]) > 1_000:
                raise Trouble(tr("“{rest}” is no number of candles.", rest=rest), instead=like())
            return name, msgspec.structs.replace(old, clean_every=int(every[1]))
        case _:
            return name, msgspec.structs.replace(old, note=rest)


def like() -> str:
    """What such lines look like."""
    return tr(
        "Type it like: tall sealed putty and tape; tall release silicone spray; tall stands 85C; tall holes 1; "
        "tall cleaned; tall clean every 5; tall note dented at the rim."
    )
