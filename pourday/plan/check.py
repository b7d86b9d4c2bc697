"""What a plan must satisfy before it can be reckoned with: every number finite and in its place.

The forms refuse most of this while it is typed; a plan file can say anything.
"""

from __future__ import annotations

import math

from pourday.errors import Trouble
from pourday.plan.bench import MOST_MOULDS
from pourday.plan.model import (
    BlendPart,
    Cylinder,
    Hexagon,
    Layer,
    Mould,
    Plan,
    Rectangle,
    Shape,
    Square,
    Tapered,
    WaterFilled,
)

LARGEST = 2.0
"""m. No mould is larger."""
HEAVIEST = 1000.0
"""kg. Nothing on the bench is heavier."""
MOST_LAYERS = 40


class BadField(Trouble):
    """A field of the plan that cannot be reckoned with."""

    def __init__(self, field: str, what: str, instead: str = "") -> None:
        super().__init__(what, instead=instead)
        self.field = field
        """Path of the field in the plan, such as `moulds.0.shape.height`."""


def number(field: str, name: str, value: float, least: float, most: float, *, above: bool = False) -> None:
    """Raise `BadField` unless `least <= value <= most` (`above`: least itself is refused too)."""
    if math.isfinite(value) and least <= value <= most and not (above and value == least):
        return
    span = f"more than {least:g} and at most {most:g}" if above else f"from {least:g} to {most:g}"
    raise BadField(field, f"{name} is {value:g}; it has to be {span}.", "Look at this field again.")


def check(plan: Plan) -> None:
    """Raise `BadField`, naming the field, for what no weight can be worked out from."""
    number("room_c", "The room temperature", plan.room_c, -30, 60)
    number("altitude", "The altitude", plan.altitude, -500, 6000)
    number("scale_step", "The step of the scale", plan.scale_step, 0, 1, above=True)
    number("loss", "The share lost on pot and jug", plan.loss, 0, 1)
    number("plug", "The plug", plan.plug, 0, LARGEST)
    if plan.pour_c is not None:
        number("pour_c", "The pour temperature", plan.pour_c, 0, 250)
    if plan.pot is not None:
        number("pot", "The pot", plan.pot, 0, 1, above=True)
    if plan.scent_limit is not None:
        number("scent_limit", "The scent's own limit", plan.scent_limit, 0, 1)
    if plan.scent_price_per_kg is not None:
        number("scent_price_per_kg", "The price of the scent", plan.scent_price_per_kg, 0, 1e9)
    _blend("blend", plan.blend)
    for index, mould in enumerate(plan.moulds):
        _mould(f"moulds.{index}", mould.name or f"Mould {index + 1}", mould)
    for index, layer in enumerate(plan.layers):
        _layer(f"layers.{index}", layer.colour or f"Layer {index + 1}", layer)
    _count("moulds", "mould", sum(mould.count for mould in plan.moulds), MOST_MOULDS)
    _count("layers", "layer", len(plan.layers), MOST_LAYERS)


def _count(field: str, name: str, count: int, most: int) -> None:
    if not 1 <= count <= most:
        raise BadField(
            field, f"The plan has {count} {name}s; it takes 1 to {most}.", "Add one or take some out."
        )


def _mould(path: str, name: str, mould: Mould) -> None:
    number(f"{path}.count", f"{name}: how many of them", mould.count, 0, MOST_MOULDS)
    check_shape(mould.shape, f"{path}.shape", name)
    height = height_of(mould.shape)
    number(f"{path}.below_rim", f"{name}: fill line below the rim", mould.below_rim, 0, LARGEST)
    if mould.below_rim >= height:
        raise BadField(
            f"{path}.below_rim",
            f"{name}: the fill line lies {mould.below_rim * 1000:g} mm below the rim of a mould"
            f" {height * 1000:g} mm high.",
            "Move the line up.",
        )
    if mould.limit_c is not None:
        number(f"{path}.limit_c", f"{name}: what it may be poured at", mould.limit_c, 0, 400)
    if mould.set_weight is not None:
        number(f"{path}.set_weight", f"{name}: weight before", mould.set_weight, 0, HEAVIEST, above=True)


def _layer(path: str, name: str, layer: Layer) -> None:
    number(f"{path}.share", f"{name}: share of the height", layer.share, 0, 1e6, above=True)
    number(f"{path}.scent_load", f"{name}: scent load", layer.scent_load, 0, 1)
    number(f"{path}.dye_load", f"{name}: dye load", layer.dye_load, 0, 1)

    if layer.blend:
        _blend(f"{path}.blend", layer.blend)


def _blend(path: str, parts: tuple[BlendPart, ...]) -> None:
    for index, part in enumerate(parts):
        at = f"{path}.{index}"
        number(f"{at}.share", f"Share of {part.wax}", part.share, 0, 1e6)
        if part.price_per_kg is not None:
            number(f"{at}.price_per_kg", f"Price of {part.wax}", part.price_per_kg, 0, 1e9)
        if part.at_hand is not None:
            number(f"{at}.at_hand", f"Weight of {part.wax} at hand", part.at_hand, 0, HEAVIEST)
    if not sum(part.share for part in parts) > 0:
        raise BadField(path, "The shares of the blend add up to nothing.", "Give one wax a share above zero.")


def height_of(shape: Shape) -> float:
    """m, inside, bottom to rim."""
    return shape.points[-1].height if isinstance(shape, WaterFilled) else shape.height


def check_shape(shape: Shape, path: str = "shape", name: str = "The mould") -> None:
    """Raise `BadField` unless the shape encloses something."""
    if isinstance(shape, WaterFilled):
        _check_water(shape, path, name)
        return
    for key, word in _sizes(shape):
        least_too = not (isinstance(shape, Tapered) and key == "diameter_low")
        number(f"{path}.{key}", f"{name}: {word} in metres", getattr(shape, key), 0, LARGEST, above=least_too)


def _sizes(shape: Shape) -> tuple[tuple[str, str], ...]:
    height = ("height", "height")
    match shape:
        case Cylinder():
            return ("diameter", "diameter"), height
        case Tapered():
            return (
                ("diameter_low", "diameter at the closed end"),
                ("diameter_rim", "diameter at the rim"),
                height,
            )
        case Square():
            return ("side", "side"), height
        case Rectangle():
            return ("width", "width"), ("depth", "depth"), height
        case Hexagon():
            return ("across_flats", "width across the flats"), height
        case _:
            return ()


def _check_water(shape: WaterFilled, path: str, name: str) -> None:
    if not shape.points:
        raise BadField(
            f"{path}.points", f"{name}: no water was weighed into it.", "Weigh one full fill at least."
        )
    height, water = 0.0, 0.0
    for index, point in enumerate(shape.points):
        at = f"{path}.points.{index}"
        number(
            f"{at}.height",
            f"{name}: water height {index + 1} in metres",
            point.height,
            0,
            LARGEST,
            above=True,
        )
        number(
            f"{at}.water",
            f"{name}: water weight {index + 1} in kilograms",
            point.water,
            0,
            HEAVIEST,
            above=True,
        )
        if point.height <= height or point.water <= water:
            raise BadField(
                at, f"{name}: water line {index + 1} is not above the one before.", "Sort the table."
            )
        height, water = point.height, point.water
