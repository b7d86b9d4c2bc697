"""What a plan must satisfy before weights can be worked out from it: every number finite and in its place.

The forms refuse most of this while it is typed; a plan file can say anything.
"""

from __future__ import annotations

import math

from pourday.errors import Trouble
from pourday.language import tr
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
    Units,
    WaterFilled,
)
from pourday.units import SCALE_STEPS, show_length, show_mass
from pourday.wax.materials import Wax

LARGEST = 2.0
"""m. No mould is larger (estimate)."""
HEAVIEST = 1000.0
"""kg. Nothing on the bench is heavier (estimate)."""
MOST_KEPT = 0.5
"""kg that stay in one vessel. No kitchen's pot keeps more (estimate)."""
MOST_LAYERS = 40
MOST_HOLES = 20
"""Layers of a plan, holes of a mould. Beyond these a plan is a slip of the keys: the form stops long before."""


ANY_NUMBER = 1e6
"""From here a limit only keeps nonsense out; nobody is told to stay below it. Chosen far above any share that is meant."""


class BadField(Trouble):
    """A field of the plan that nothing can be worked out from."""

    def __init__(self, field: str, what: str, instead: str = "") -> None:
        super().__init__(what, instead=instead)
        self.field = field
        """Path of the field in the plan, such as `moulds.0.shape.height`."""

    def __reduce__(self) -> tuple[type[BadField], tuple[str, str, str]]:
        return type(self), (self.field, self.what, self.instead)


def number(field: str, name: str, value: float, least: float, most: float, *, above: bool = False) -> None:
    """Raise `BadField` unless `least <= value <= most` (`above`: least itself is refused too)."""
    if math.isfinite(value) and least <= value <= most and not (above and value == least):
        return
    if most >= ANY_NUMBER:
        span = tr("more than {least:g}", least=least) if above else tr("{least:g} or more", least=least)
    elif above:
        span = tr("more than {least:g} and at most {most:g}", least=least, most=most)
    else:
        span = tr("from {least:g} to {most:g}", least=least, most=most)
    raise BadField(
        field,
        tr("{name} is {value:g}; it has to be {span}.", name=name, value=value, span=span),
        tr("Look at this field again."),
    )


def _length(field: str, name: str, value: float, units: Units, *, above: bool) -> None:
    """As `number`, for metres up to `LARGEST`, said in the person's units."""
    if math.isfinite(value) and 0 <= value <= LARGEST and not (above and value == 0):
        return
    most = show_length(LARGEST, units)
    span = (
        tr("more than nothing and at most {most}", most=most)
        if above
        else tr("from nothing to {most}", most=most)
    )
    raise BadField(
        field,
        tr(
            "{name} is {length}; it has to be {span}.", name=name, length=show_length(value, units), span=span
        ),
        tr("Look at this field again."),
    )


def _weight(field: str, name: str, value: float, units: Units) -> None:
    """As `number`, for kg above zero up to `HEAVIEST`, said in the person's units."""
    if math.isfinite(value) and 0 < value <= HEAVIEST:
        return
    shown = show_mass(value, units) if math.isfinite(value) else str(value)
    most = show_mass(HEAVIEST, units)
    raise BadField(
        field,
        tr(
            "{name} is {shown}; it has to be more than nothing and at most {most}.",
            name=name,
            shown=shown,
            most=most,
        ),
        tr("Look at this field again."),
    )


def check(plan: Plan) -> None:
    """Raise `BadField`, naming the field, for what no weight can be worked out from."""
    number("room_c", tr("The room temperature in °C"), plan.room_c, -30, 60)
    number("altitude", tr("The altitude in m"), plan.altitude, -500, 6000)
    number("scale_step", tr("The step of the scale in kg"), plan.scale_step, *SCALE_STEPS)
    number("loss", tr("The share lost on jug and spoon"), plan.loss, 0, 1)
    number("vessel_keeps", tr("What each vessel keeps, in kg,"), plan.vessel_keeps, 0, MOST_KEPT)
    _length("plug", tr("The plug"), plan.plug, plan.units, above=False)
    if plan.pour_c is not None:
        number("pour_c", tr("The pour temperature in °C"), plan.pour_c, 0, 250)
    if plan.pot is not None:
        number("pot", tr("The pot in m³"), plan.pot, 0, 1, above=True)
    if plan.bath is not None:
        number("bath", tr("The water of the bath in m³"), plan.bath, 0, 0.1, above=True)
    if plan.scent_limit is not None:
        number("scent_limit", tr("The scent's own limit"), plan.scent_limit, 0, 1)
    if plan.scent_flash_c is not None:
        number("scent_flash_c", tr("The flash point of the scent in °C"), plan.scent_flash_c, -60, 400)
    if plan.scent_price_per_kg is not None:
        number("scent_price_per_kg", tr("The price of the scent"), plan.scent_price_per_kg, 0, 1e9)
    for wax in plan.own:
        _own_wax(f"own.{wax.id}", wax)
    _blend("blend", plan.blend)
    for index, mould in enumerate(plan.moulds):
        _mould(f"moulds.{index}", mould.name or tr("Mould {index}", index=index + 1), mould, plan.units)
        _own_shares(f"moulds.{index}.shares", mould, len(plan.layers))
    for index, layer in enumerate(plan.layers):
        _layer(f"layers.{index}", layer.colour or tr("Layer {index}", index=index + 1), layer)
    _count("moulds", "mould", sum(mould.count for mould in plan.moulds), MOST_MOULDS)
    _count("layers", "layer", len(plan.layers), MOST_LAYERS)


def _count(field: str, name: str, count: int, most: int) -> None:
    """Raise `BadField` unless there are 1 to `most` of them; `name` in the singular."""
    if not 1 <= count <= most:
        raise BadField(
            field,
            tr("The plan has {count} {name}s; it takes 1 to {most}.", count=count, name=name, most=most),
            tr("Add one or take some out."),
        )


def _mould(path: str, name: str, mould: Mould, units: Units) -> None:
    """Raise `BadField` unless a mould has a size, a fill line below its rim, and figures that can be meant."""
    number(f"{path}.count", tr("{name}: how many of them", name=name), mould.count, 0, MOST_MOULDS)
    check_shape(mould.shape, f"{path}.shape", name, units)
    height = height_of(mould.shape)
    _length(
        f"{path}.below_rim",
        tr("{name}: fill line below the rim", name=name),
        mould.below_rim,
        units,
        above=False,
    )
    if mould.below_rim >= height:
        raise BadField(
            f"{path}.below_rim",
            tr(
                "{name}: the fill line lies {below} below the rim of a mould {height} high.",
                name=name,
                below=show_length(mould.below_rim, units),
                height=show_length(height, units),
            ),
            tr("Move the line up."),
        )
    if mould.holes is not None:
        number(f"{path}.holes", tr("{name}: wick holes", name=name), mould.holes, 0, MOST_HOLES)
    if mould.limit_c is not None:
        number(
            f"{path}.limit_c",
            tr("{name}: what it may be poured at, in °C,", name=name),
            mould.limit_c,
            0,
            400,
        )
    if mould.set_weight is not None:
        _weight(f"{path}.set_weight", tr("{name}: weight before", name=name), mould.set_weight, units)


def _own_shares(path: str, mould: Mould, layers: int) -> None:
    """The shares a mould has of its own after a rescue, of a plan with so many layers."""
    for share in mould.shares[:layers]:
        number(path, tr("The mould's own share of a layer"), share, 0, 1e6)
    if mould.shares and not sum(mould.shares[:layers]) > 0:
        raise BadField(
            path, tr("This mould gets none of the layers."), tr("Give one of them a share above zero.")
        )


def _layer(path: str, name: str, layer: Layer) -> None:
    """Raise `BadField` unless the figures of a layer can be meant."""
    number(f"{path}.share", tr("{name}: share of the height", name=name), layer.share, 0, 1e6, above=True)
    number(f"{path}.scent_load", tr("{name}: scent load", name=name), layer.scent_load, 0, 1)
    number(f"{path}.dye_load", tr("{name}: dye load", name=name), layer.dye_load, 0, 1)
    if layer.blend:
        _blend(f"{path}.blend", layer.blend)
    for what, parts in (("scents", layer.scents), ("dyes", layer.dyes)):
        for part in parts:
            number(
                f"{path}.{what}",
                tr("{layer}: share of {product}", layer=name, product=part.name),
                part.share,
                0,
                1e6,
                above=True,
            )


def _own_wax(path: str, wax: Wax) -> None:
    """Figures that weights and forecasts can be worked out from, in an order a wax can have."""
    if not wax.solidus_c <= wax.peak_c <= wax.liquidus_c or wax.solidus_c >= wax.liquidus_c:
        span = tr(
            "{solidus_c:g}, {peak_c:g} and {liquidus_c:g} °C",
            solidus_c=wax.solidus_c,
            peak_c=wax.peak_c,
            liquidus_c=wax.liquidus_c,
        )
        raise BadField(
            f"{path}.melting",
            tr("{name}: it would be solid, half molten and liquid at {span}.", name=wax.name, span=span),
            tr("Give its melting range from low to high."),
        )
    for field, name, low, high in (
        ("congealing", tr("congealing point"), wax.congealing_min_c, wax.congealing_max_c),
        ("melting", tr("melting range"), wax.solidus_c, wax.liquidus_c),
        ("pour", tr("pour range"), wax.pour_min_c, wax.pour_max_c),
    ):
        number(f"{path}.{field}", tr("{wax}: {figure} in °C", wax=wax.name, figure=name), low, 0, 150)
        number(f"{path}.{field}", tr("{wax}: {figure} in °C", wax=wax.name, figure=name), high, low, 150)
    number(
        f"{path}.max_working_c",
        tr("{name}: hottest it may get in °C", name=wax.name),
        wax.max_working_c,
        30,
        200,
    )
    number(
        f"{path}.density_solid",
        tr("{name}: solid density in kg/m³", name=wax.name),
        wax.density_solid,
        300,
        3000,
    )
    number(
        f"{path}.density_liquid",
        tr("{name}: liquid density in kg/m³", name=wax.name),
        wax.density_liquid,
        300,
        3000,
    )
    number(
        f"{path}.density_liquid_at_c",
        tr("{name}: °C of that density", name=wax.name),
        wax.density_liquid_at_c,
        0,
        200,
    )
    number(f"{path}.scent_max", tr("{name}: scent it holds", name=wax.name), wax.scent_max, 0, 1)
    number(f"{path}.flash_point_c", tr("{name}: flash point in °C", name=wax.name), wax.flash_point_c, 0, 500)
    number(f"{path}.soft_share", tr("{name}: soft share", name=wax.name), wax.soft_share, 0, 0.9)
    number(
        f"{path}.soft_from_c",
        tr("{name}: where its soft share melts from, in °C,", name=wax.name),
        wax.soft_from_c,
        -20,
        150,
    )
    for key, most in _HEATS:
        number(f"{path}.{key}", f"{wax.name}: {key.replace('_', ' ')}", getattr(wax, key), 0, most)


_HEATS = (
    ("liquid_expansion", 0.01),
    ("cp_solid", 1e5),
    ("cp_liquid", 1e5),
    ("latent_main", 1e6),
    ("latent_transition", 1e6),
    ("conductivity_solid", 10.0),
    ("conductivity_liquid", 10.0),
)
"""What a family lends an own wax, and the most that can be meant: ten times and more what the wax table has (estimates)."""


def _blend(path: str, parts: tuple[BlendPart, ...]) -> None:
    """Raise `BadField` unless the parts of a blend add up to something."""
    for index, part in enumerate(parts):
        at = f"{path}.{index}"
        number(f"{at}.share", tr("Share of {wax}", wax=part.wax), part.share, 0, 1e6)
        if part.price_per_kg is not None:
            number(f"{at}.price_per_kg", tr("Price of {wax}", wax=part.wax), part.price_per_kg, 0, 1e9)
        if part.at_hand is not None:
            number(f"{at}.at_hand", tr("Weight of {wax} at hand", wax=part.wax), part.at_hand, 0, HEAVIEST)
    if not sum(part.share for part in parts) > 0:
        raise BadField(
            path, tr("The shares of the blend add up to nothing."), tr("Give one wax a share above zero.")
        )


def height_of(shape: Shape) -> float:
    """m, inside, bottom to rim."""
    return shape.points[-1].height if isinstance(shape, WaterFilled) else shape.height


def check_shape(
    shape: Shape, path: str = "shape", name: str = tr("The mould"), units: Units = "metric"
) -> None:
    """Raise `BadField` unless the shape encloses something."""
    if isinstance(shape, WaterFilled):
        _check_water(shape, path, name, units)
        return
    for key, word in _sizes(shape):
        least_too = not (isinstance(shape, Tapered) and key == "diameter_low")
        _length(f"{path}.{key}", f"{name}: {word}", getattr(shape, key), units, above=least_too)


def _sizes(shape: Shape) -> tuple[tuple[str, str], ...]:
    """(attribute, what it is called) of every length of a shape; none of one that goes by water."""
    height = ("height", "height")
    match shape:
        case Cylinder():
            return ("diameter", "diameter"), height
        case Tapered():
            return (
                ("diameter_low", tr("diameter at the closed end")),
                ("diameter_rim", tr("diameter at the rim")),
                height,
            )
        case Square():
            return ("side", "side"), height
        case Rectangle():
            return ("width", "width"), ("depth", "depth"), height
        case Hexagon():
            return ("across_flats", tr("width across flats")), height
        case _:
            return ()


def _check_water(shape: WaterFilled, path: str, name: str, units: Units) -> None:
    """Raise `BadField` unless heights and weights of water both rise from line to line."""
    if not shape.points:
        raise BadField(
            f"{path}.points",
            tr("{name}: no water was weighed into it.", name=name),
            tr("Weigh one full fill at least."),
        )
    height, water = 0.0, 0.0
    for index, point in enumerate(shape.points):
        at = f"{path}.points.{index}"
        _length(
            f"{at}.height",
            tr("{name}: water height {index}", name=name, index=index + 1),
            point.height,
            units,
            above=True,
        )
        _weight(
            f"{at}.water", tr("{name}: water weight {index}", name=name, index=index + 1), point.water, units
        )
        if point.height <= height or point.water <= water:
            raise BadField(
                at,
                tr("{name}: water line {index} is not above the one before.", name=name, index=index + 1),
                tr("Sort the table."),
            )
        height, water = point.height, point.water
