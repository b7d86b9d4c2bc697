"""The plan as a form: which rows there are, what stands in each, and what a typed text does to the plan.

Pure: text in, a new plan out. A row is named by the path of its field (`moulds.0.diameter`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import msgspec

from pourday.errors import Trouble
from pourday.plan.check import height_of
from pourday.plan.model import MATERIALS, Cylinder, Layer, Mould, Plan
from pourday.text import plain
from pourday.units import (
    read_altitude,
    read_length,
    read_mass,
    read_number,
    read_share,
    read_temperature,
    show_length,
    show_share,
    show_temperature,
)
from pourday.wax.materials import families

MOST_MOULDS, MOST_LAYERS, MOST_COUNT = 6, 8, 12
Kind = Literal["text", "choice", "act"]


@dataclass(frozen=True, slots=True)
class Row:
    path: str
    label: str
    value: str
    kind: Kind = "text"
    choices: tuple[str, ...] = ()
    hint: str = ""
    head: str = ""
    """A heading that stands above this row."""


def rows(plan: Plan) -> list[Row]:
    """Every row of the form for this plan, in order."""
    found = [*_day(plan)]
    for index, mould in enumerate(plan.moulds):
        found += _mould(plan, index, mould)
    found.append(Row("moulds.add", "another mould", "", "act", hint="Enter adds one"))
    if len(plan.moulds) > 1:
        found.append(Row("moulds.remove", "remove the last mould", "", "act", hint="Enter removes it"))
    found += _wax(plan)
    for index, layer in enumerate(plan.layers):
        found += _layer(plan, index, layer)
    found.append(Row("layers.add", "another layer", "", "act", hint="Enter adds one"))
    if len(plan.layers) > 1:
        found.append(Row("layers.remove", "remove the last layer", "", "act", hint="Enter removes it"))
    return found + _lots(plan)


def _day(plan: Plan) -> list[Row]:
    units = plan.units
    return [
        Row("title", "name of the session", plan.title, head="The day"),
        Row("units", "units", plan.units, "choice", ("metric", "us")),
        Row("room_c", "room", _typed(plan, "room_c", show_temperature(plan.room_c, units))),
        Row(
            "altitude",
            "altitude",
            _typed(plan, "altitude", f"{plan.altitude:.0f} m"),
            hint="sets where water boils",
        ),
        Row(
            "scale_step",
            "scale shows steps of",
            _typed(plan, "scale_step", f"{plan.scale_step * 1000:g} g"),
        ),
    ]


def _mould(plan: Plan, index: int, mould: Mould) -> list[Row]:
    at = f"moulds.{index}"
    shape = mould.shape
    wide = shape.diameter if isinstance(shape, Cylinder) else 0.0

    def length(name: str, value: float) -> str:
        return _typed(plan, f"{at}.{name}", show_length(value, plan.units))

    limit = "" if mould.limit_c is None else show_temperature(mould.limit_c, plan.units)
    return [
        Row(f"{at}.name", "mould", mould.name, head=f"Mould {index + 1}"),
        Row(f"{at}.count", "how many", str(mould.count)),
        Row(f"{at}.diameter", "diameter inside", length("diameter", wide)),
        Row(f"{at}.height", "height inside", length("height", height_of(shape))),
        Row(f"{at}.below_rim", "fill line below rim", length("below_rim", mould.below_rim)),
        Row(f"{at}.material", "material", mould.material, "choice", MATERIALS),
        Row(f"{at}.upside_down", "cast upside down", _yes(mould.upside_down), "choice", ("yes", "no")),
        Row(
            f"{at}.limit_c",
            "mould stands up to",
            _typed(plan, f"{at}.limit_c", limit),
            hint="by its maker; may be empty",
        ),
    ]


def _wax(plan: Plan) -> list[Row]:
    part = plan.blend[0]
    asked = "" if plan.pour_c is None else show_temperature(plan.pour_c, plan.units)
    return [
        Row("blend.0.wax", "wax", families()[part.wax].name if part.wax in families() else part.wax, "choice",
            tuple(wax.name for wax in families().values()), head="Wax"),
        Row("blend.0.lot", "its lot", part.lot),
        Row("pour_c", "pour at", _typed(plan, "pour_c", asked), hint="empty: computed"),
        Row("loss", "stays on pot and jug", _typed(plan, "loss", show_share(plan.loss))),
        Row("plug", "plug", _typed(plan, "plug", show_length(plan.plug, plan.units)), hint="0 for none"),
    ]  # fmt: skip


def _layer(plan: Plan, index: int, layer: Layer) -> list[Row]:
    at = f"layers.{index}"
    order = " (poured first)" if index == 0 else ""
    return [
        Row(f"{at}.colour", "colour", layer.colour, head=f"Layer {index + 1}{order}"),
        Row(f"{at}.swatch", "swatch", layer.swatch, hint="#rrggbb, for the picture only"),
        Row(f"{at}.share", "share of height", _typed(plan, f"{at}.share", show_share(layer.share))),
        Row(
            f"{at}.scent_load",
            "scent, of wax",
            _typed(plan, f"{at}.scent_load", show_share(layer.scent_load)),
        ),
        Row(f"{at}.dye_load", "dye, of wax", _typed(plan, f"{at}.dye_load", show_share(layer.dye_load))),
    ]


def _lots(plan: Plan) -> list[Row]:
    return [
        Row("scent_lot", "scent and its lot", plan.scent_lot, head="Lots and wick"),
        Row("dye_lot", "dye and its lot", plan.dye_lot),
        Row("wick", "wick and its lot", plan.wick),
    ]


def _typed(plan: Plan, path: str, shown: str) -> str:
    return plan.typed.get(path, shown)


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def set_field(plan: Plan, path: str, text: str) -> Plan:
    """The plan with one row set from what was typed. Raises `Trouble` naming the field."""
    text = plain(text, 120)
    head, _, name = path.rpartition(".")
    value, kept = _value(plan, path, name or path, text)
    changed = _put(plan, head, name or path, value)
    typed = {k: v for k, v in changed.typed.items() if k != path}
    if kept:
        typed[path] = text
    return msgspec.structs.replace(changed, typed=typed)


def act(plan: Plan, path: str) -> Plan:
    """The plan after one of the form's own acts: another mould or layer, or one less."""
    replaced = msgspec.structs.replace
    match path:
        case "moulds.add":
            if len(plan.moulds) >= MOST_MOULDS:
                raise Trouble(
                    f"A plan takes up to {MOST_MOULDS} kinds of mould.", instead="Raise “how many” instead."
                )
            return replaced(plan, moulds=(*plan.moulds, replaced(plan.moulds[-1], name="")))
        case "moulds.remove":
            return replaced(
                plan, moulds=plan.moulds[:-1], typed=_without(plan, f"moulds.{len(plan.moulds) - 1}")
            )
        case "layers.add":
            if len(plan.layers) >= MOST_LAYERS:
                raise Trouble(f"A plan takes up to {MOST_LAYERS} layers.")
            return replaced(
                plan, layers=(*plan.layers, replaced(plan.layers[-1], colour="", share=plan.layers[-1].share))
            )
        case _:
            return replaced(
                plan, layers=plan.layers[:-1], typed=_without(plan, f"layers.{len(plan.layers) - 1}")
            )


def _without(plan: Plan, head: str) -> dict[str, str]:
    return {k: v for k, v in plan.typed.items() if not k.startswith(f"{head}.")}


_LENGTHS = ("diameter", "height", "below_rim", "plug")
_SHARES = ("share", "scent_load", "dye_load", "loss")
_TEXTS = ("title", "name", "lot", "colour", "scent_lot", "dye_lot", "wick")


def _value(plan: Plan, path: str, name: str, text: str) -> tuple[Any, bool]:
    """The value of a text, and whether the text itself is worth keeping beside it."""
    field = next((row.label for row in rows(plan) if row.path == path), name)
    if name in _TEXTS:
        return text, False
    if name in _LENGTHS:
        return read_length(text, plan.units, field).value, True
    if name in _SHARES:
        return read_share(text, field).value, True
    other: dict[str, Callable[[], tuple[Any, bool]]] = {
        "room_c": lambda: (_degrees(text, plan, field, room=True), True),
        "pour_c": lambda: (None, False) if not text else (_degrees(text, plan, field), True),
        "limit_c": lambda: (None, False) if not text else (_degrees(text, plan, field), True),
        "altitude": lambda: (read_altitude(text, plan.units, field).value, True),
        "scale_step": lambda: (_step(text, plan, field), True),
        "count": lambda: (_count(text, field), False),
        "units": lambda: (_choice(text, ("metric", "us"), field), False),
        "material": lambda: (_choice(text, MATERIALS, field), False),
        "upside_down": lambda: (_choice(text, ("yes", "no"), field) == "yes", False),
        "wax": lambda: (_wax_id(text), False),
        "swatch": lambda: (_swatch(text), False),
    }
    return other[name]()


def _degrees(text: str, plan: Plan, field: str, room: bool = False) -> float:
    try:
        reading = read_temperature(text, plan.units, "room" if room else "wax")
    except Trouble as trouble:
        what = trouble.what if text else "nothing is typed."
        raise Trouble(f"{field.capitalize()}: {what}", trouble.why, trouble.instead) from None
    if reading.doubt:
        raise Trouble(f"{field.capitalize()}: is “{text}” in C or F?", instead=f"Type {text}C or {text}F.")
    return reading.celsius


def _step(text: str, plan: Plan, field: str) -> float:
    step = read_mass(text, plan.units, field).value
    if not 1e-6 <= step <= 0.1:
        raise Trouble(
            f"{field.capitalize()}: a kitchen scale shows steps from 0.001 g to 100 g.",
            instead="Type 1 g or 0.1 g.",
        )
    return step


def _count(text: str, field: str) -> int:
    count = read_number(text, field, MOST_COUNT)
    if count != int(count) or count < 1:
        raise Trouble(
            f"{field.capitalize()}: “{text}” is not a whole number of moulds.", instead="Type 1, 2, 3 ..."
        )
    return int(count)


def _choice(text: str, choices: tuple[str, ...], field: str) -> str:
    if text not in choices:
        raise Trouble(f"{field.capitalize()}: there is no “{text}”.", instead=f"Choose {', '.join(choices)}.")
    return text


def _wax_id(name: str) -> str:
    found = next((wax.id for wax in families().values() if name in (wax.name, wax.id)), None)
    if found is None:
        raise Trouble(f"There is no wax called “{name}”.", instead="Choose one with the arrow keys.")
    return found


def _swatch(text: str) -> str:
    code = text.lower().lstrip("#")
    if len(code) != 6 or any(c not in "0123456789abcdef" for c in code):
        raise Trouble(f"Swatch: “{text}” is not a colour.", instead="Type six digits like #b4532f.")
    return f"#{code}"


def _put(plan: Plan, head: str, name: str, value: object) -> Plan:
    """The plan with one attribute replaced, however deep it lies."""
    replaced = msgspec.structs.replace
    if not head:
        return replaced(plan, **{name: value})
    group, number = head.split(".")
    items: list[Any] = list(getattr(plan, group))
    item = items[int(number)]
    if name in ("diameter", "height"):
        shape = item.shape if isinstance(item.shape, Cylinder) else Cylinder(diameter=0.075, height=0.15)
        item = replaced(item, shape=replaced(shape, **{name: value}))
    else:
        item = replaced(item, **{name: value})
    items[int(number)] = item
    return replaced(plan, **{group: tuple(items)})
