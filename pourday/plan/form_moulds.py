"""The rows of each mould: its shape and sizes, and what rarely matters folded under one row."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec

from pourday.errors import Trouble
from pourday.language import ntr, tr
from pourday.plan import form_read as read
from pourday.plan.check import LARGEST as NO_LARGER
from pourday.plan.check import BadField, check, check_shape, height_of
from pourday.plan.model import (
    MATERIALS,
    Cylinder,
    Hexagon,
    Mould,
    Plan,
    Rectangle,
    Shape,
    Square,
    Tapered,
    Units,
    WaterFilled,
    WaterPoint,
)
from pourday.plan.rows import (
    Known,
    Put,
    Row,
    act_row,
    choice_row,
    degrees_row,
    folded,
    insert,
    length_unit,
    mass_row,
    mass_unit,
    maybe_row,
    put_at,
    remove,
    text_row,
    untyped,
    word_row,
    yes_row,
)
from pourday.plan.volumes import WATER_DENSITY, capacity, width_of
from pourday.plan.wick import wanted_wicks, wicks_of
from pourday.units import read_length, read_mass, show_length, show_mass, show_temperature

_LENGTHS: dict[Units, str] = {"metric": "millimetres", "us": "inches"}
_LENGTH_UNITS: dict[Units, tuple[str, ...]] = {"metric": ("mm", "in", "cm"), "us": ("in", "mm", "cm")}
"""In what a bare length counts, and in what it may have been meant."""
_METRES = {"mm": 0.001, "cm": 0.01, "in": 0.0254}
"""m in each of them, exact by definition."""
SMALLEST, LARGEST = 0.016, 1.0
"""m between which a mould's sizes lie: a bare number beyond them is asked about, for it is likely in another unit.
The smallest float moulds are some 20 mm wide (common practice, no source)."""
MOST_MOULDS = 6
"""Kinds of mould: one pair of hands does not get to more in a day."""
WORDS: dict[type[Shape], str] = {
    Cylinder: tr("cylinder"),
    Tapered: tr("tapered round"),
    Square: tr("square"),
    Rectangle: tr("rectangle"),
    Hexagon: tr("hexagon"),
    WaterFilled: tr("other, by water"),
}
_SIZES: dict[type[Shape], tuple[tuple[str, str], ...]] = {
    Cylinder: (("diameter", tr("diameter inside")),),
    Tapered: (("diameter_low", tr("diameter, closed end")), ("diameter_rim", tr("diameter at the rim"))),
    Square: (("side", tr("side inside")),),
    Rectangle: (("width", tr("width inside")), ("depth", tr("depth inside"))),
    Hexagon: (("across_flats", tr("width across flats")),),
    WaterFilled: (),
}
_PLAIN = Mould().shape


def mould_rows(plan: Plan, known: Known) -> Iterator[Row]:
    """All moulds, and the acts that add and take away."""
    for index, mould in enumerate(plan.moulds):
        yield from _mould(plan, index, mould, known)
    last = len(plan.moulds) - 1
    if last > 0:
        yield act_row(
            "moulds.remove", tr("remove the last mould"), _remover(last), f"moulds.{last - 1}.shape"
        )
    # Last of the part: one row above where a page key leads.
    yield act_row("moulds.add", tr("another mould"), _copier(last, last + 1), f"moulds.{last + 1}.shape")


def _mould(plan: Plan, index: int, mould: Mould, known: Known) -> Iterator[Row]:
    """The rows of one mould."""
    at, units = f"moulds.{index}", plan.units
    yield Row(
        f"{at}.shape",
        tr("shape"),
        WORDS[type(mould.shape)],
        "choice",
        tuple(WORDS.values()),
        head=tr("Mould {index}", index=index + 1),
        put=lambda before, text: _reshaped(before, at, read.choice(text, tuple(WORDS.values()), tr("shape"))),
    )
    yield from _sizes(plan, at, mould.shape)
    yield choice_row(f"{at}.material", tr("material"), mould.material, MATERIALS)
    yield Row(
        f"{at}.count",
        tr("how many"),
        str(mould.count),
        put=lambda before, text: put_at(before, f"{at}.count", read.count(text, tr("how many"))),
    )
    yield _length(plan, f"{at}.below_rim", tr("fill line below rim"), mould.below_rim)
    yield word_row(f"{at}.name", tr("its name"), mould.name, ghost=tr("may be empty"))
    questions = list(_questions(plan, at, mould))
    yield from (row for row in questions if row.path in _matters(mould, at))
    yield word_row(f"{at}.wick", tr("wick and its lot"), mould.wick, ghost=_wick(plan, index, known))
    passed = known.wicks[index] if index < len(known.wicks) else ""
    if passed and not mould.wick:
        yield act_row(
            f"{at}.use_wick",
            tr("{passed}: use it?", passed=passed),
            lambda before, _: put_at(before, f"{at}.wick", passed),
            hint=tr("a wick that passed a burn test in this mould and wax; Enter takes it"),
        )
    weighed = known.weights[index] if index < len(known.weights) else None
    if weighed is not None and mould.set_weight is None:
        shown = show_mass(weighed, units, plan.scale_step)
        yield act_row(
            f"{at}.use_weight",
            tr("weighed {shown} before, use it?", shown=shown),
            lambda before, _: put_at(before, f"{at}.set_weight", weighed),
            hint=tr("Enter uses it instead of the estimate"),
        )
    more = [row for row in questions if row.path not in _matters(mould, at)] + list(_more(plan, index, mould))
    yield from folded(f"{at}.more", tr("more about this mould"), _summary(plan, mould), more)


def _questions(plan: Plan, at: str, mould: Mould) -> Iterator[Row]:
    """What only some moulds have to be asked: whether the candle stays in it, and how many wick holes it has."""
    hint = tr("a glass or tin: no hole, never demoulded")
    yield yes_row(f"{at}.stays", tr("candle stays in it"), mould.stays, hint=hint)
    yield maybe_row(
        plan,
        f"{at}.holes",
        tr("wick holes"),
        mould.holes,
        lambda holes: f"{holes:.0f}",
        lambda text: read.holes(text, tr("wick holes")),
        ghost=tr("not counted"),
    )


def _matters(mould: Mould, at: str) -> set[str]:
    """Paths of those of these questions that matter for this mould, and so stand in sight and not under a fold."""
    vessel = mould.material == "glass" or mould.stays
    wide = not mould.stays and _wants_several(mould)
    return {*([f"{at}.stays"] if vessel else []), *([f"{at}.holes"] if wide else [])}


def _wants_several(mould: Mould) -> bool:
    """Whether a candle so wide wants several wicks."""
    try:
        check_shape(mould.shape)
        return wanted_wicks(mould) > 1
    except BadField:
        return False


def _wick(plan: Plan, index: int, known: Known) -> str:
    """What stands in the wick's row while it is empty: the plan's wick, one that passed a burn test, else one to try."""
    if plan.wick:
        return plan.wick
    if index < len(known.wicks) and known.wicks[index]:
        return tr("start from {wicks}", wicks=known.wicks[index])
    try:
        check(plan)
        return tr("try {words}", words=wicks_of(plan)[index].words)
    except Trouble:
        return tr("not chosen")


def _summary(plan: Plan, mould: Mould) -> str:
    """What is set under the fold of a mould."""
    parts = [tr("cast upside down") if mould.inverted else tr("cast upright")]
    if mould.stays:
        parts = [tr("the candle stays in it")]
    if mould.holes is not None and not mould.stays:
        parts.append(ntr("{holes} wick hole", "{holes} wick holes", mould.holes, holes=mould.holes))
    if mould.limit_c is not None:
        parts.append(tr("stands {temperature}", temperature=show_temperature(mould.limit_c, plan.units)))
    if mould.set_weight is not None:
        parts.append(tr("weighed {mass}", mass=show_mass(mould.set_weight, plan.units, plan.scale_step)))
    return ", ".join(parts)


def _more(plan: Plan, index: int, mould: Mould) -> Iterator[Row]:
    """The rows under the fold of a mould."""
    at = f"moulds.{index}"
    yield yes_row(f"{at}.upside_down", tr("cast upside down"), mould.inverted)
    yield degrees_row(plan, f"{at}.limit_c", tr("mould stands up to"), mould.limit_c, ghost=tr("not known"))
    yield mass_row(plan, f"{at}.set_weight", tr("weighed before"), mould.set_weight)
    if isinstance(mould.shape, WaterFilled):
        yield _table(plan, at, mould.shape)
    put = _copier(index, index + 1, named=True)
    yield act_row(f"{at}.copy", tr("copy this mould"), put, f"moulds.{index + 1}.shape")
    if len(plan.moulds) > 1:
        put = _remover(index)
        yield act_row(f"{at}.remove", tr("remove this mould"), put, f"moulds.{max(0, index - 1)}.shape")


def _copier(index: int, to: int, *, named: bool = False) -> Put:
    """An act that puts another mould like number `index` at place `to`; `named`: with its name and weight."""

    def put(plan: Plan, _: str) -> Plan:
        if len(plan.moulds) >= MOST_MOULDS:
            raise Trouble(
                tr("A plan takes up to {most_moulds} kinds of mould.", most_moulds=MOST_MOULDS),
                instead=tr("Raise “how many” instead."),
            )
        mould = plan.moulds[index] if plan.moulds else Mould()
        fresh = mould if named else msgspec.structs.replace(mould, name="", set_weight=None)
        copied = insert(plan, "moulds", to, fresh, like=index)
        return copied if named else untyped(copied, f"moulds.{to}.set_weight")

    return put


def _remover(index: int) -> Put:
    """An act that takes a mould out."""
    return lambda plan, _: remove(plan, "moulds", index)


# --- shapes ---


def _sizes(plan: Plan, at: str, shape: Shape) -> Iterator[Row]:
    """The rows of the sizes of a shape."""
    for name, label in _SIZES[type(shape)]:
        yield _size(plan, f"{at}.shape.{name}", label, getattr(shape, name))
    if not isinstance(shape, WaterFilled):
        yield _size(plan, f"{at}.shape.height", tr("height inside"), height_of(shape))
        return
    units, last = plan.units, shape.points[-1] if shape.points else WaterPoint(height=0.0, water=0.0)

    def put_rim(before: Plan, **change: float) -> Plan:
        points = _points(before, at)
        rim = msgspec.structs.replace(points[-1], **change)
        return put_at(before, f"{at}.shape", WaterFilled(points=(*points[:-1], rim)))

    yield Row(
        f"{at}.shape.water",
        tr("water to the rim"),
        plan.typed.get(f"{at}.shape.water", ""),
        keeps=True,
        unit=mass_unit(units),
        ghost=f"~{show_mass(last.water, units)}",
        put=lambda before, text: put_rim(before, water=read_mass(text, units, tr("water to the rim")).value),
    )
    yield text_row(
        plan,
        f"{at}.shape.height",
        tr("height inside"),
        show_length(last.height, units),
        lambda text: size(text, units, tr("height inside")),
        unit=length_unit(units),
        put=lambda before, text: put_rim(before, height=size(text, units, tr("height inside"))),
    )


def _table(plan: Plan, at: str, shape: WaterFilled) -> Row:
    """The row for water weighed in below the rim."""
    path, label = f"{at}.shape.table", tr("water, part filled")

    def put(before: Plan, text: str) -> Plan:
        inner = read.water_table(text, plan.units, label)
        points = (*inner, _points(before, at)[-1])
        return put_at(before, f"{at}.shape", WaterFilled(points=points))

    shown = read.show_water_table(shape.points[:-1], plan.units)
    ghost = tr("like 50 mm 210 g, 100 mm 430 g")
    return Row(path, label, plan.typed.get(path, shown), keeps=True, ghost=ghost, put=put)


def _points(plan: Plan, at: str) -> tuple[WaterPoint, ...]:
    """The weighings of a mould that goes by water, the rim's last; one of nothing where there is none."""
    shape = plan.moulds[int(at.split(".")[1])].shape
    points = shape.points if isinstance(shape, WaterFilled) else ()
    return points or (WaterPoint(height=0.0, water=0.0),)


def _length(plan: Plan, path: str, label: str, value: float) -> Row:
    """A row for a length."""
    return text_row(
        plan,
        path,
        label,
        show_length(value, plan.units),
        lambda t: read_length(t, plan.units, label).value,
        unit=length_unit(plan.units),
    )


def _size(plan: Plan, path: str, label: str, value: float) -> Row:
    """A row for a length of the mould itself, whose bare number is asked about where it cannot be meant."""
    return text_row(
        plan,
        path,
        label,
        show_length(value, plan.units),
        lambda text: size(text, plan.units, label),
        unit=length_unit(plan.units),
    )


def size(text: str, units: Units, field: str) -> float:
    """m of a mould's size. Raises `Trouble` for what is none, and for a bare number that is likely in another unit."""
    try:
        metres = read_length(text, units, field).value
    except Trouble:
        if read.is_bare(text) or not _is_weight(text, units):
            raise
        raise Trouble(
            tr("{field}: “{typed}” is a weight.", field=field.capitalize(), typed=text),
            instead=tr(
                "Choose the shape “{shape}” for a mould that is known by its water.", shape=WORDS[WaterFilled]
            ),
        ) from None
    if not read.is_bare(text) or SMALLEST <= metres <= LARGEST or metres == 0:
        return metres
    own, *others = _LENGTH_UNITS[units]
    number = metres / _METRES[own]
    fitting = [unit for unit in others if SMALLEST <= number * _METRES[unit] <= LARGEST]
    if not fitting and metres > NO_LARGER:
        # No unit makes it a mould: whoever looks at the plan says how large one can be.
        return metres
    ways = tr(" or ").join(f"{text} {unit}" for unit in fitting or [own])
    raise Trouble(
        tr(
            "{field}: is “{typed}” in {lengths}?",
            field=field.capitalize(),
            typed=text,
            lengths=_LENGTHS[units],
        ),
        instead=tr("Type {ways}.", ways=ways),
    )


def _is_weight(text: str, units: Units) -> bool:
    """Whether it can be read as a weight."""
    try:
        return read_mass(text, units).value > 0
    except Trouble:
        return False


def _reshaped(plan: Plan, at: str, word: str) -> Plan:
    """The plan with a mould of another shape, about as large; sizes that were typed for this shape before count again."""
    old = plan.moulds[int(at.split(".")[1])].shape
    kind = next(kind for kind, name in WORDS.items() if name == word)
    if isinstance(old, kind):
        return plan
    changed = put_at(plan, f"{at}.shape", _like(old, kind))
    for row in [*_sizes(changed, at, _like(old, kind)), *_tables(changed, at)]:
        text = changed.typed.get(row.path)
        if text is not None and row.put is not None:
            changed = row.put(changed, text)
    return changed


def _tables(plan: Plan, at: str) -> Iterator[Row]:
    """The row for water weighed in below the rim, where the mould goes by water."""
    shape = plan.moulds[int(at.split(".")[1])].shape
    if isinstance(shape, WaterFilled):
        yield _table(plan, at, shape)


def _like(old: Shape, kind: type[Shape]) -> Shape:
    """Another shape of the same height, about as wide; of the same room where it goes by water."""
    try:
        check_shape(old)
    except BadField:
        old = _PLAIN
    height, width = height_of(old), width_of(old)
    if kind is WaterFilled:
        return WaterFilled(points=(WaterPoint(height=height, water=capacity(old) * WATER_DENSITY),))
    sizes: dict[str, Any] = {name: width for name, _ in _SIZES[kind]}
    make: Any = kind
    return make(height=height, **sizes)  # type: ignore[no-any-return]
