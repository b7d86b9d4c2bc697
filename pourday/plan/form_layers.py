"""The rows of each layer: colour, height, scent and dye; its own wax and the rest folded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import get_args

import msgspec

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.plan import form_read as read
from pourday.plan.colours import (
    Named,
    goes_from_one_to_another,
    read_colours,
    read_swatch,
    swatch_name,
    swatch_of,
)
from pourday.plan.form_shares import share_row
from pourday.plan.form_wax import blend_rows
from pourday.plan.model import DyeForm, Layer, Plan, Product
from pourday.plan.rows import (
    Known,
    Put,
    Row,
    act_row,
    choice_row,
    folded,
    insert,
    put_at,
    remove,
    text_row,
    untyped,
    yes_row,
)
from pourday.units import read_share, show_share

MOST_LAYERS = 8
"""So many bands of a tall candle are thinner than a join is worth already."""
_FORMS: tuple[DyeForm, ...] = get_args(DyeForm)


def layer_rows(plan: Plan, known: Known) -> Iterator[Row]:
    """All layers in pour order, and the acts that add and take away."""
    yield _colours(plan)
    for index, layer in enumerate(plan.layers):
        yield from _layer(plan, index, layer, known)
    count = len(plan.layers)
    if count > 1:
        goes = f"layers.{count - 2}.colour"
        yield act_row("layers.remove", tr("remove the last layer"), _remover(count - 1), goes)
    yield act_row("layers.add", tr("another layer"), _add, f"layers.{count}.colour")


def _add(plan: Plan, _: str) -> Plan:
    """Another layer like the last one, without its colour and what makes it."""
    if len(plan.layers) >= MOST_LAYERS:
        raise Trouble(tr("A plan takes up to {most_layers} layers.", most_layers=MOST_LAYERS))
    like = plan.layers[-1] if plan.layers else Layer()
    fresh = msgspec.structs.replace(like, colour="", blend=(), dyes=())
    return insert(plan, "layers", len(plan.layers), fresh)


def _remover(index: int) -> Put:
    """An act that takes a layer out."""

    def put(plan: Plan, _: str) -> Plan:
        fewer = remove(plan, "layers", index)
        if len(fewer.layers) > 1:
            return fewer
        # The only one is the whole candle.
        return untyped(put_at(fewer, "layers.0.share", 1.0), "layers.0.share")

    return put


def _layer(plan: Plan, index: int, layer: Layer, known: Known) -> Iterator[Row]:
    """The rows of one layer."""
    at = f"layers.{index}"
    yield Row(
        f"{at}.colour",
        tr("colour"),
        layer.colour,
        head=tr("Layer {index}{place}", index=index + 1, place=_place(plan, index)),
        ghost=tr("its name"),
        put=lambda before, text: put_at(before, at, _coloured(before.layers[index], (text, swatch_of(text)))),
    )
    yield _load(plan, f"{at}.scent_load", tr("scent, of wax"), layer.scent_load, tr("6 % or 1 oz/lb"))
    yield _load(plan, f"{at}.dye_load", tr("dye, of wax"), layer.dye_load, tr("0.1 % or 1 g/kg"))
    if len(plan.layers) > 1:
        yield share_row(plan, "layers", index, tr("share of height"))
    summary = ", ".join(_summary(layer))
    yield from folded(f"{at}.more", tr("more about this layer"), summary, _more(plan, index, layer, known))


def _colours(plan: Plan) -> Row:
    """One row for the colours of all layers: a list, or from one to another in so many bands."""
    named = [layer.colour for layer in plan.layers]

    def put(before: Plan, text: str) -> Plan:
        if not text:
            return before
        colours = read_colours(text, len(before.layers), MOST_LAYERS)
        plan, count = before, len(before.layers)
        if len(colours) != count:
            plan = untyped(plan, *(f"layers.{at}.share" for at in range(max(count, len(colours)))))
        for at in range(len(colours), count):
            plan = remove(plan, "layers", len(colours) + count - 1 - at)
        for at in range(count, len(colours)):
            like = plan.layers[-1] if plan.layers else Layer()
            plan = insert(plan, "layers", at, msgspec.structs.replace(like, blend=()))
        layers = tuple(_coloured(*pair) for pair in zip(plan.layers, colours, strict=True))
        if len(colours) != count:
            layers = tuple(msgspec.structs.replace(layer, share=1.0) for layer in layers)
        if len(colours) > count > 1 and goes_from_one_to_another(text):
            plan = untyped(plan, *(f"layers.{at}.dye_load" for at in range(1, len(colours) - 1)))
            layers = _shaded(layers)
        return put_at(plan, "layers", layers)

    return Row(
        "layers.colours",
        tr("colours"),
        ", ".join(named) if any(named) else "",
        head=tr("Layers, in the order they are poured"),
        hint=tr("like rust, cream, or dark green to pale in 3"),
        ghost=tr("like dark green to pale in 3"),
        put=put,
    )


def _shaded(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The same layers with dye from that of the first to that of the last, each band so many times the one before it: the
    eye goes by ratios (Weber and Fechner's law). An estimate; without dye at either end nothing is known of those between."""
    first, last = layers[0].dye_load, layers[-1].dye_load
    if not first or not last:
        return tuple(layers)
    step = (last / first) ** (1 / (len(layers) - 1))
    between = (
        msgspec.structs.replace(layer, dye_load=round(first * step**at, 5))
        for at, layer in enumerate(layers[1:-1], 1)
    )
    return (layers[0], *between, layers[-1])


def _coloured(layer: Layer, colour: Named) -> Layer:
    """A layer called so; its swatch follows the name unless somebody chose another."""
    name, code = colour
    own = layer.swatch not in (Layer().swatch, swatch_of(layer.colour)) and bool(layer.colour)
    swatch = layer.swatch if own or code is None else code
    return msgspec.structs.replace(layer, colour=name, swatch=swatch)


def _place(plan: Plan, index: int) -> str:
    """Where a layer ends up in the candle, where that is the same in all moulds: ` (poured first: the top)`."""
    count = len(plan.layers)
    if count < 2 or 0 < index < count - 1:
        return ""
    order = tr("poured first") if index == 0 else tr("poured last")
    turned = {mould.inverted for mould in plan.moulds}
    if len(turned) != 1:
        return f" ({order})"
    top = (index == 0) == turned.pop()
    return tr(" ({order}: the candle's {top})", order=order, top=tr("top") if top else tr("foot"))


def _load(plan: Plan, path: str, label: str, load: float, like: str) -> Row:
    """A row for a load of scent or dye."""
    return text_row(
        plan, path, label, show_share(load), lambda text: read_share(text, label).value, hint=like, unit="%"
    )


def _summary(layer: Layer) -> Iterator[str]:
    """What is set under the fold of a layer."""
    if layer.dye_load:
        yield tr("{dye_form} dye", dye_form=word(layer.dye_form))
    if layer.scent_by_eye:
        yield tr("scent by eye")
    yield from (part.name for part in (*layer.scents, *layer.dyes))
    if layer.blend:
        yield tr("a wax of its own")


def _more(plan: Plan, index: int, layer: Layer, known: Known) -> Iterator[Row]:
    """The rows under the fold of a layer."""
    at = f"layers.{index}"
    yield Row(
        f"{at}.swatch",
        tr("swatch"),
        layer.swatch,
        hint=swatch_name(layer.swatch),
        put=lambda before, text: put_at(before, f"{at}.swatch", read_swatch(text)),
    )
    yield choice_row(f"{at}.dye_form", tr("form of the dye"), layer.dye_form, _FORMS)
    hint = tr("by drops or spoon, not weighed")
    yield yes_row(f"{at}.scent_by_eye", tr("scent by eye"), layer.scent_by_eye, hint=hint)
    yield _products(
        f"{at}.scents", tr("scents by name"), layer.scents, tr("lavender 60 % lot L-3, cedar 40 %")
    )
    yield _products(f"{at}.dyes", tr("dyes by name"), layer.dyes, tr("sage lot D-9"))
    if layer.blend:
        yield from blend_rows(plan, f"{at}.blend", known)
        yield act_row(
            f"{at}.usual_wax",
            tr("back to the plan's wax"),
            lambda before, _: untyped(put_at(before, f"{at}.blend", ()), f"{at}.blend."),
            f"{at}.own_wax",
        )
    else:
        yield act_row(
            f"{at}.own_wax",
            tr("a wax of its own"),
            lambda before, _: _own_wax(before, at),
            f"{at}.blend.0.wax",
            hint=tr("Enter: this layer is made of another wax"),
        )
    if len(plan.layers) > 1:
        goes = f"layers.{max(0, index - 1)}.colour"
        yield act_row(f"{at}.remove", tr("remove this layer"), _remover(index), goes)


def _products(path: str, label: str, parts: tuple[Product, ...], like: str) -> Row:
    """A row for the scents or dyes of a layer by the names on their bottles."""
    return Row(
        path,
        label,
        read.show_products(parts),
        ghost=tr("not noted"),
        hint="" if parts else tr("like {like}", like=like),
        put=lambda before, text: put_at(before, path, read.products(text, label)),
    )


def _own_wax(plan: Plan, at: str) -> Plan:
    """A layer begins its own blend with the plan's, without lots and stock of that."""
    begun = tuple(msgspec.structs.replace(part, lot="", at_hand=None) for part in plan.blend)
    return put_at(plan, f"{at}.blend", begun)
