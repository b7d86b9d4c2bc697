"""What a row of the form is, and the few ways in which rows change a plan.

A row knows its own effect: `put` takes the plan and what was typed, and gives the plan after it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import msgspec

from pourday.language import tr
from pourday.plan.form_read import choice, degrees, price, show_price
from pourday.plan.model import Plan, Units
from pourday.units import read_mass, show_mass, show_temperature
from pourday.wax.materials import Wax, families

Kind = Literal["text", "choice", "act", "fold"]
Put = Callable[[Plan, str], Plan]


_DEGREES = re.compile(r"(?<=\d)\s*°?\s*([CcFf])\b")
"""A unit behind a figure, however it was typed."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the form."""

    path: str
    """Where it lies in the plan; what was typed is kept under this name."""
    label: str
    value: str
    """What stands in the row, and can be typed back into it."""
    kind: Kind = "text"
    choices: tuple[str, ...] = ()
    hint: str = ""
    """A word beside the value."""
    ghost: str = ""
    """What counts while the row is empty."""
    head: str = ""
    """A heading that stands above this row."""
    within: str = ""
    """Path of the fold this row is hidden in; empty where it always shows."""
    goes: str = ""
    """Where to stand after this act."""
    keeps: bool = False
    """Whether the text as typed is worth keeping beside its value."""
    unit: str = ""
    """What a bare number typed here counts in: it is kept with it, so that “3” never stands there alone."""
    words: bool = False
    """Whether a row of choices takes typed words as well."""
    put: Put | None = field(default=None, compare=False, repr=False)
    """What typing into it, or entering it, does to the plan; None for a fold."""


@dataclass(frozen=True, slots=True)
class Known:
    """What the form knows besides the plan: the person's memories."""

    waxes: Mapping[str, Wax] = field(default_factory=dict)
    """Own waxes by id."""
    weights: tuple[float | None, ...] = ()
    """kg a candle from each mould of the plan weighed before; None where none was weighed."""
    wicks: tuple[str, ...] = ()
    """The wick that passed a burn test in each mould and wax of the plan, and where; empty where none did."""

    def shelf(self, plan: Plan) -> dict[str, Wax]:
        """Every wax that can be chosen, by id: the families, then own ones; of one id the plan's own counts."""
        return {**families(), **self.waxes, **{wax.id: wax for wax in plan.own}}


NOTHING = Known()
_YES_NO = ("yes", "no")


def wax_label(wax: Wax) -> str:
    """A wax as it is chosen by; one's own are told apart from the families."""
    return wax.name if wax.id in families() else tr("{name} (own)", name=wax.name)


def text_row(plan: Plan, path: str, label: str, shown: str, read: Callable[[str], Any], **more: Any) -> Row:
    """A row whose text is read into the attribute at its path; the text as typed is kept in the plan beside it.

    `shown` is the value as the program would write it; where something else was typed it stands beside that. `read`
    takes the text and raises `Trouble`. `more` are further fields of the `Row`, here and below.
    """
    typed = plan.typed.get(path, shown)
    if "°" in shown:  # 17 C stands there as 20 °C does.
        typed = _DEGREES.sub(lambda unit: f" °{unit[1].upper()}", typed)
    if typed != shown and not more.get("hint"):
        more["hint"] = f"= {shown}"
    more.setdefault("put", lambda before, text: put_at(before, path, read(text)))
    return Row(path, label, typed, keeps=True, **more)


def maybe_row(
    plan: Plan,
    path: str,
    label: str,
    value: float | None,
    show: Callable[[float], str],
    read: Callable[[str], float],
    **more: Any,
) -> Row:
    """A `text_row` for a figure that need not be known: left empty, it is None."""
    shown = "" if value is None else show(value)
    return text_row(plan, path, label, shown, lambda text: read(text) if text else None, **more)


def degree_unit(units: Units) -> str:
    """What a bare temperature counts in."""
    return "C" if units == "metric" else "F"


def mass_unit(units: Units) -> str:
    """What a bare weight counts in."""
    return "g" if units == "metric" else "oz"


def length_unit(units: Units) -> str:
    """What a bare length counts in."""
    return "mm" if units == "metric" else "in"


def degrees_row(plan: Plan, path: str, label: str, value: float | None, **more: Any) -> Row:
    """A row for a temperature in °C that need not be known."""
    units = plan.units
    return maybe_row(
        plan,
        path,
        label,
        value,
        lambda celsius: show_temperature(celsius, units),
        lambda text: degrees(text, units, label),
        unit=degree_unit(units),
        **more,
    )


def mass_row(plan: Plan, path: str, label: str, value: float | None) -> Row:
    """A row for a weight in kg that may not have been taken."""
    units = plan.units
    return maybe_row(
        plan,
        path,
        label,
        value,
        lambda kg: show_mass(kg, units, plan.scale_step),
        lambda text: read_mass(text, units, label).value,
        unit=mass_unit(units),
        ghost=tr("not weighed"),
    )


def price_row(plan: Plan, path: str, value: float | None, **more: Any) -> Row:
    """A row for a price of a kg that need not be known."""
    units, label = plan.units, tr("its price")
    return maybe_row(
        plan,
        path,
        label,
        value,
        lambda per_kg: show_price(per_kg, units),
        lambda text: price(text, units, label),
        **more,
    )


def act_row(path: str, label: str, put: Put, goes: str = "", hint: str = "") -> Row:
    """A row that does something when it is entered; afterwards one stands at `goes`."""
    return Row(path, label, "", "act", put=put, goes=goes, hint=hint)


def word_row(path: str, label: str, value: str, **more: Any) -> Row:
    """A row for plain words, which are their own value."""
    return Row(path, label, value, put=lambda before, text: put_at(before, path, text), **more)


def choice_row(path: str, label: str, value: str, choices: tuple[str, ...], **more: Any) -> Row:
    """A row for one of several words, which are their own value."""

    def put(before: Plan, text: str) -> Plan:
        return put_at(before, path, choice(text, choices, label))

    return Row(path, label, value, "choice", choices, put=put, **more)


def yes_row(path: str, label: str, value: bool, **more: Any) -> Row:
    """A row for yes or no."""

    def put(before: Plan, text: str) -> Plan:
        return put_at(before, path, choice(text, _YES_NO, label) == "yes")

    return Row(path, label, "yes" if value else "no", "choice", _YES_NO, put=put, **more)


def folded(path: str, label: str, summary: str, rows: Iterable[Row]) -> Iterator[Row]:
    """A row that opens onto others, and those; `summary` says what is set in them while they are hidden."""
    yield Row(path, label, summary, "fold")
    for row in rows:
        yield row if row.within else replace(row, within=path)


def visible(rows: list[Row], opened: frozenset[str]) -> list[Row]:
    """The rows that are not folded away, `opened` being the paths of the open folds."""
    parents = {row.path: row.within for row in rows if row.kind == "fold"}

    def shows(within: str) -> bool:
        return not within or (within in opened and shows(parents.get(within, "")))

    return [row for row in rows if shows(row.within)]


# --- changing a plan by path ---


def put_at(plan: Plan, path: str, value: object) -> Plan:
    """The plan with the attribute at a dotted path replaced; numbers count into tuples."""
    changed: Plan = _put(plan, path, value)
    return changed


def _put(thing: Any, path: str, value: object) -> Any:
    """`put_at` for anything a path can lead through: a plan, a part of it, or a tuple."""
    name, _, rest = path.partition(".")
    if isinstance(thing, tuple):
        index = int(name)
        inner = _put(thing[index], rest, value) if rest else value
        return (*thing[:index], inner, *thing[index + 1 :])
    inner = _put(getattr(thing, name), rest, value) if rest else value
    return msgspec.structs.replace(thing, **{name: inner})


def get_at(thing: Any, path: str) -> Any:
    """The attribute at a dotted path (`moulds.0.shape.height`); numbers count into tuples."""
    name, _, rest = path.partition(".")
    inner = thing[int(name)] if isinstance(thing, tuple) else getattr(thing, name)
    return get_at(inner, rest) if rest else inner


def insert(plan: Plan, group: str, at: int, item: object, like: int | None = None) -> Plan:
    """The plan with one more item in a group; `like` copies what was typed for another one."""
    items = get_at(plan, group)
    typed = {_moved(path, group, at, 1): text for path, text in plan.typed.items()}
    if like is not None:
        there = f"{group}.{like}."
        typed |= {
            f"{group}.{at}.{path.removeprefix(there)}": text
            for path, text in plan.typed.items()
            if path.startswith(there)
        }
    return _typed(put_at(plan, group, (*items[:at], item, *items[at:])), typed)


def remove(plan: Plan, group: str, at: int) -> Plan:
    """The plan without one item of a group, and without what was typed for it."""
    items = get_at(plan, group)
    gone = f"{group}.{at}."
    typed = {
        _moved(path, group, at, -1): text for path, text in plan.typed.items() if not path.startswith(gone)
    }
    return _typed(put_at(plan, group, (*items[:at], *items[at + 1 :])), typed)


def untyped(plan: Plan, *starts: str) -> Plan:
    """The plan without what was typed for paths that begin so."""
    return _typed(plan, {path: text for path, text in plan.typed.items() if not path.startswith(starts)})


def _typed(plan: Plan, typed: dict[str, str]) -> Plan:
    return plan if typed == plan.typed else msgspec.structs.replace(plan, typed=typed)


def _moved(path: str, group: str, at: int, by: int) -> str:
    """A path after items from `at` on have moved up or down."""
    if not path.startswith(f"{group}."):
        return path
    number, dot, rest = path.removeprefix(f"{group}.").partition(".")
    moved = number.isdecimal() and int(number) >= at
    return f"{group}.{int(number) + by}{dot}{rest}" if moved else path
