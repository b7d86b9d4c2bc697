"""A line that a person types about a lot: what came, what was counted, what is to be forgotten.

`add wax palm 10 kg lot A12 paid 64`, `dye ivory 12 g`, `forget wick 30 ply`. A line without `add` or `forget` is what
was counted. The words `lot`, `is`, `paid`, `pack`, `note` and `first` say the rest, in any order:
`wax palm lot A12 is 9.2 kg` is a line as well.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import any_of, tr, typed_words
from pourday.stock.lot import KINDS, Kind, LotKey, StockLot, StockUnit, compared, counted, lot_key, more
from pourday.text import plain
from pourday.units import Units, read_length, read_mass, read_number

LIKE = tr("Type it like: add wax palm 10 kg lot A12 paid 64; or what you counted: scent orange 85 g.")
_SAYS = typed_words("lot", "is", "paid", "pack", "note", "first")
_VERBS = typed_words("add", "count", "forget")
_NAMED = typed_words("wax", "scent", "dye", "wick", "waxes", "scents", "dyes", "wicks")
_NUMBER = r"[0-9]+(?:[.,][0-9]+)?"
_MASS = r"kgs?|kilos?|g|grams?|lbs?|pounds?|oz|ounces?"
_LENGTH = r"m|cm|mm|ft|feet|in|inch(?:es)?|yd|yards?|met(?:er|re)s?"
_PIECES = any_of(typed_words("piece", "pieces", "pc", "pcs"))
_AMOUNT = re.compile(
    rf"(?:^|\s)({_NUMBER}\s*(?:{_MASS}|{_LENGTH}|{_PIECES})(?:\s+{_NUMBER}\s*(?:{_MASS}|{_LENGTH}))*)$",
    re.IGNORECASE,
)
_COUNT = re.compile(rf"({_NUMBER})\s*(?:{_PIECES})", re.IGNORECASE)
Verb = Literal["add", "count", "forget"]


@dataclass(frozen=True, slots=True)
class StockLine:
    """What a line says. Amounts in SI; None: not said."""

    verb: Verb
    kind: Kind | None
    product: str
    amount: float | None = None
    unit: StockUnit = "kg"
    lot: str | None = None
    paid: float | None = None
    """For all of `amount`."""
    pack: float | None = None
    note: str = ""
    first: bool = False


def read_stock_line(text: str, units: Units) -> StockLine:
    """What a line says. Raises `Trouble` for what cannot be understood."""
    words = plain(text, 400).split()
    verb: Verb = "count"
    if words and words[0].casefold() in _VERBS:
        verb, words = _verb(words[0]), words[1:]
    head, said = _parts(words)
    named = _NAMED.get(head[0].casefold(), "") if head else ""
    kind = next((kind for kind in KINDS if named in (kind, f"{kind}s", f"{kind}es")), None)
    told = " ".join(head[1:] if kind else head)
    written = _AMOUNT.search(said.get("is", told))
    if written is None and (last := _AMOUNT.search(said.get("lot", ""))):
        # The lot first and then how much of it: a person's order as well.
        said |= {"is": last[1], "lot": said["lot"][: last.start()].strip(" ,;:")}
        written = _AMOUNT.search(last[1])
    amount: float | None = None
    unit: StockUnit = "kg"
    if written:
        amount, unit = _amount(written[1], units)
    product = (told[: written.start()] if written and "is" not in said else told).strip(" ,;:")
    if not product:
        raise Trouble(tr("No product is named."), instead=LIKE)
    if verb != "forget" and amount is None:
        raise Trouble(
            tr("How much of {product} is not said, or not in which unit.", product=product), instead=LIKE
        )
    if kind is not None and amount is not None and (unit == "kg") == (kind == "wick"):
        wanted = (
            tr("pieces or by length, like 20 pieces or 5 m") if kind == "wick" else tr("weight, like 450 g")
        )
        raise Trouble(
            tr("{kind} is counted by {wanted}.", kind=kind.capitalize(), wanted=wanted), instead=LIKE
        )
    pack, pack_unit = _amount(said["pack"], units) if "pack" in said else (None, unit)
    if pack_unit != unit or pack == 0:
        raise Trouble(tr("Give the pack in the same unit as the amount."), instead=tr("Like: pack 10 kg."))
    return StockLine(
        verb, kind, product, amount, unit,
        lot=said.get("lot"), note=said.get("note", ""), first="first" in said, pack=pack,
        paid=read_number(said["paid"], tr('price')) if "paid" in said else None,
    )  # fmt: skip


def key_of(line: StockLine, lots: Sequence[StockLot], waxes: Mapping[str, str]) -> LotKey:
    """The lot that a line is about: one that is there, else the one it would become.

    `waxes` are the names of all waxes by id; a wax is one of them. Raises `Trouble` where more than one may be meant.
    """
    kinds = (line.kind,) if line.kind else KINDS
    wanted = compared(line.product)
    same = [lot for lot in lots if lot.kind in kinds and lot.key[1] == wanted]
    kind = line.kind or (same[0].kind if len({lot.kind for lot in same}) == 1 else None)
    product = same[0].product if same else line.product
    if not same and kind in (None, "wax"):
        ids = _waxes_called(wanted, waxes)
        if len(ids) > 1 or (kind == "wax" and not ids):
            raise _no_wax(line.product, ids, waxes)
        if len(ids) == 1:
            kind, product = "wax", ids[0]
            same = [lot for lot in lots if lot.key[:2] == lot_key("wax", product)[:2]]
    if kind is None:
        raise Trouble(
            tr("“{product}” may be wax, scent, dye or wick.", product=line.product),
            instead=tr("Say which before it: dye ivory 12 g."),
        )
    if line.lot is None and line.verb != "add" and len(same) == 1:
        return same[0].key
    if line.lot is None and line.verb != "add" and len(same) > 1:
        names = ", ".join(lot.lot or tr("without a name") for lot in same)
        raise Trouble(
            tr(
                "There are {count} lots of {product}: {names}.",
                count=len(same),
                product=line.product,
                names=names,
            ),
            instead=tr("Name one, like: lot A12."),
        )
    return lot_key(kind, product, line.lot or "")


def changed(
    line: StockLine, key: LotKey, old: StockLot | None, now: float, product: str = ""
) -> StockLot | None:
    """What becomes of a lot (None: there is none) by a line; `now` in s since the epoch.

    `product` is how a new one is written. Raises `Trouble` where there is nothing that could be forgotten.
    """
    if line.verb == "forget":
        if old is None:
            raise Trouble(
                tr("There is no such lot of {product}.", product=line.product),
                instead=tr("“pourday stock” shows what there is."),
            )
        return None
    amount = line.amount or 0.0
    price = None if line.paid is None or not amount else line.paid / amount
    fresh = StockLot(
        kind=key[0], product=product or line.product, lot=line.lot or "", unit=line.unit, counted=amount, counted_at=now,
        price=price, pack=line.pack, since=now, use_first=line.first, note=line.note,
    )  # fmt: skip
    if old is None or (line.verb == "count" and old.unit != line.unit):
        return fresh
    if line.verb == "add":
        return more(old, fresh)
    lot = counted(old, amount, now)
    return msgspec.structs.replace(
        lot,
        price=lot.price if price is None else price,
        pack=lot.pack if line.pack is None else line.pack,
        use_first=lot.use_first or line.first,
        note=line.note or lot.note,
    )


def _verb(word: str) -> Verb:
    match _VERBS.get(word.casefold()):
        case "add":
            return "add"
        case "forget":
            return "forget"
        case _:
            return "count"


def _parts(words: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """What stands before the first of the words that say something, and what follows each of those."""
    head: list[str] = []
    said: dict[str, list[str]] = {}
    into = head
    for word in words:
        name = word.casefold().rstrip(":")
        if name in _SAYS and head:
            into = said.setdefault(_SAYS[name], [])
        elif not (name == "use" and head and _SAYS.get(words[-1].casefold()) == "first"):
            into.append(word)
    return head, {name: " ".join(of).strip(" ,;:") for name, of in said.items()}


def _amount(text: str, units: Units) -> tuple[float, StockUnit]:
    """(amount in SI, its unit). Raises `Trouble`."""
    count = _COUNT.fullmatch(text.strip())
    if count:
        return read_number(count[1], tr("number")), "pieces"
    if re.fullmatch(rf".*?{_NUMBER}\s*(?:{_LENGTH})", text.strip(), re.IGNORECASE):
        # A reel's metres: read_length knows no more than ten of them.
        number = re.fullmatch(rf"({_NUMBER})\s*(?:m|met(?:er|re)s?)", text.strip(), re.IGNORECASE)
        return (float(number[1].replace(",", ".")) if number else read_length(text, units).value), "m"
    return read_mass(text, units).value, "kg"


def _waxes_called(wanted: str, waxes: Mapping[str, str]) -> list[str]:
    """Ids of the waxes that have this id or name, else of all that have every one of these words."""
    exact = [
        id_
        for id_, name in waxes.items()
        if wanted in (id_.casefold(), name.casefold(), id_.replace("_", " "))
    ]
    if exact:
        return exact
    words = wanted.split()
    return [id_ for id_, name in waxes.items() if all(word in f"{id_} {name}".casefold() for word in words)]


def _no_wax(product: str, ids: Sequence[str], waxes: Mapping[str, str]) -> Trouble:
    """That a word names no wax, or several."""
    names = ", ".join(sorted(ids or waxes))
    what = (
        tr("“{product}” may be several waxes.", product=product)
        if ids
        else tr("No wax is called “{product}”.", product=product)
    )
    why = (
        "" if ids else tr("A plan can use the waxes of the table, and your own that you described in a plan.")
    )
    return Trouble(what, why, tr("Take one of: {names}.", names=names))
