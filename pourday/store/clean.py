"""What enters, from a file or from the keyboard, is checked and cleaned here and nowhere else.

The types of `session.events` refuse wrong kinds and ranges. What they cannot see is done here:
texts go through `text.plain`, times must be of this age, counts must be ones a bench can hold.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, TypeVar

import msgspec

from pourday.language import tr
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.events import SCHEMA, Entry
from pourday.store.migrate import migrated
from pourday.text import LONGEST_TEXT, plain

_MOST_MOULDS = 1_000
"""Far more than any bench holds, and few enough to be counted through."""
_MOST = 1e12
"""Larger than any amount, temperature or duration of a session in SI. Chosen."""
_FIRST = datetime(1970, 1, 1, tzinfo=UTC)
_LAST = datetime(2200, 1, 1, tzinfo=UTC)

_T = TypeVar("_T")


class BadLine(ValueError):
    """A line, or a fact, that is no entry of a session; the message says why, in words."""

    def __init__(self, says: str, *, torn: bool = False) -> None:
        super().__init__(says)
        self.torn = torn
        """It is not even JSON, as a line cut by a power failure is not."""


def entry_of(line: bytes, schema: int = SCHEMA) -> Entry:
    """The entry of one line that was written with this schema, cleaned. Raises `BadLine`."""
    try:
        if schema < SCHEMA:
            entry = msgspec.convert(migrated(msgspec.json.decode(line), schema), Entry)
        else:
            entry = ev.decode(line)
        return clean_entry(entry)
    except msgspec.ValidationError as error:
        raise BadLine(reason(error)) from None
    except (msgspec.DecodeError, UnicodeError) as error:
        raise BadLine(reason(error), torn=True) from None
    except RecursionError as error:
        raise BadLine(reason(error)) from None


def whole_entry(line: bytes) -> Entry | None:
    """The entry of one line among rubbish, cleaned; None for a line that is none, whatever is wrong with it."""
    try:
        return clean_entry(ev.decode(line))
    except (BadLine, msgspec.MsgspecError, UnicodeError, RecursionError):
        return None


def reason(error: Exception) -> str:
    """Why something could not be read, with its place: one sentence, plain."""
    if isinstance(error, RecursionError):
        return tr("It is nested far deeper than anything pourday writes.")
    if isinstance(error, UnicodeError):
        return tr("It holds bytes that are not text.")
    says = plain(str(error), 200).rstrip(".")
    if isinstance(error, msgspec.ValidationError):
        what, _, place = says.partition(" - at `$")
        place = place.strip("`.")
        return tr("At `{place}`: {what}.", place=place, what=what) if place else f"{what}."
    return (
        tr("It is not whole JSON: {says}.", says=says)
        if isinstance(error, msgspec.DecodeError)
        else f"{says}."
    )


def clean_entry(entry: Entry) -> Entry:
    """The entry as a reader of the record will see it. Raises `BadLine` or msgspec's errors."""
    clean = cleaned(entry)
    if isinstance(clean.fact, ev.Corrected) and isinstance(clean.fact.fact, ev.Corrected | ev.Undone):
        raise BadLine(tr("A correction must say what happened, not correct or take back another one."))
    if isinstance(clean.fact, ev.Corrected | ev.Undone) and not 1 <= clean.fact.entry < clean.seq:
        raise BadLine(tr("Entry {seq} takes back or corrects an entry that is not before it.", seq=clean.seq))
    # Cleaning can lengthen a text by a sign or two; what is written must be readable again.
    return entry if clean is entry else ev.decode(ev.encode(clean))


def written(entry: Entry) -> tuple[Entry, bytes]:
    """An entry made here, cleaned, and its line with the newline; both exactly as a reader gets them.

    Raises `BadLine` for what could not be read back as it was meant (NaN, infinite, out of range).
    """
    try:
        clean = clean_entry(entry)
        line = ev.encode(clean)
        back = ev.decode(line)
    except (msgspec.MsgspecError, UnicodeError, RecursionError, TypeError) as error:
        raise BadLine(reason(error)) from None
    if back != clean:
        raise BadLine(tr("A number in it is not a number."))
    return back, line + b"\n"


def cleaned(value: _T) -> _T:
    """The same value with every text in it plain; the very same object where nothing changes.

    Raises `BadLine` for times and amounts that cannot be meant.
    """
    return _walk(value)  # type: ignore[no-any-return]


def _walk(value: Any) -> Any:
    """`cleaned`, for a value of any kind that stands in an entry."""
    if isinstance(value, str):
        text = plain(value, LONGEST_TEXT)
        return value if text == value else text
    if isinstance(value, msgspec.Struct):
        return _struct(value)
    if isinstance(value, tuple):
        items = tuple(_walk(item) for item in value)
        return items if any(a is not b for a, b in zip(items, value, strict=True)) else value
    if isinstance(value, dict):
        pairs = {_walk(key): _walk(item) for key, item in value.items()}
        return pairs if pairs != value else value
    if isinstance(value, datetime):
        if not _FIRST <= value <= _LAST:
            raise BadLine(tr("The time {value} is not of this age.", value=value.isoformat()))
    elif isinstance(value, int | float) and abs(value) > _MOST:
        raise BadLine(tr("A number in it is too large to be meant."))
    return value


def _struct(value: msgspec.Struct) -> msgspec.Struct:
    """`cleaned`, for a struct, field by field; a plan has to have a number of moulds that somebody can own."""
    if isinstance(value, Plan):
        counts = [mould.count for mould in value.moulds]
        if any(count < 0 for count in counts) or sum(counts) > _MOST_MOULDS:
            raise BadLine(tr("A plan must have from 0 to {most_moulds} moulds.", most_moulds=_MOST_MOULDS))
    changes = {}
    for name in value.__struct_fields__:
        old = getattr(value, name)
        new = _walk(old)
        if new is not old:
            changes[name] = new
    return msgspec.structs.replace(value, **changes) if changes else value
