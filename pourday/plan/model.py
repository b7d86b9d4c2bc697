"""The plan of a session: moulds, wax, layers, loads. What the person means to do, before doing it.

Plain data, SI inside (kg, m, shares as fractions, temperatures in °C). Every field has a value
that an empty form starts with. What was typed for a field is kept beside it in `Plan.typed`, by
the field's path (`moulds.0.shape.diameter`), so that "3 in" is still "3 in" when the plan is opened again.
"""

from __future__ import annotations

from typing import Annotated, Literal, get_args

import msgspec

from pourday.language import tr, word
from pourday.units import Units as Units
from pourday.wax.materials import Wax
from pourday.wax.working_heat import Material as Material

MATERIALS: tuple[Material, ...] = get_args(Material)
ScentBasis = Literal["on top", "within"]
"""Scent on top of the wax weight (the batch grows) or within it (the batch keeps its weight)."""
DyeForm = Literal["liquid", "pure", "block"]
Swatch = Annotated[str, msgspec.Meta(pattern="^#[0-9a-fA-F]{6}$")]
"""#rrggbb"""


class _Plain(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Immutable, named fields only, no unknown ones: a stray field in a file is a mistake to report."""


class Cylinder(_Plain, frozen=True, kw_only=True, tag="cylinder", tag_field="shape"):
    """Round and straight. Sizes of all shapes in m, inside."""

    diameter: float
    """m"""
    height: float
    """m, inside, bottom to rim."""


class Tapered(_Plain, frozen=True, kw_only=True, tag="tapered", tag_field="shape"):
    """Round, with straight sloping wall; `diameter_low` at the closed end."""

    diameter_low: float
    diameter_rim: float
    height: float


class Square(_Plain, frozen=True, kw_only=True, tag="square", tag_field="shape"):
    """Straight, with a square floor."""

    side: float
    height: float


class Rectangle(_Plain, frozen=True, kw_only=True, tag="rectangle", tag_field="shape"):
    """Straight, with a rectangular floor."""

    width: float
    depth: float
    height: float


class Hexagon(_Plain, frozen=True, kw_only=True, tag="hexagon", tag_field="shape"):
    """Straight, with a floor of six equal sides; measured from one flat side to the opposite one."""

    across_flats: float
    height: float


class WaterPoint(_Plain, frozen=True, kw_only=True):
    """One weighing: so much water stands up to this height."""

    height: float
    """m above the inside bottom."""
    water: float
    """kg of water that fill the mould to that height."""


class WaterFilled(_Plain, frozen=True, kw_only=True, tag="water", tag_field="shape"):
    """Any other shape, by water weighed into it: at least the full fill, better a short table."""

    points: tuple[WaterPoint, ...]
    """By rising height; the last one is the rim."""


Shape = Cylinder | Tapered | Square | Rectangle | Hexagon | WaterFilled


class Mould(_Plain, frozen=True, kw_only=True):
    """One kind of mould; `count` of them stand on the bench."""

    name: str = ""
    shape: Shape = Cylinder(diameter=0.075, height=0.150)  # m; chosen: a usual pillar, to be changed
    below_rim: float = 0.006
    """m from the rim down to the fill line: 6 mm (common practice, no source)."""
    material: Material = "bright metal"
    count: int = 1
    upside_down: bool = True
    """The closed end is the top of the finished candle; never so in a vessel that the candle stays in."""
    stays: bool = False
    """The candle stays in it: a glass or a tin, which has no wick hole, is never demoulded and shows its top."""
    holes: int | None = None
    """Wick holes it has; None where nobody counted."""
    wick: str = ""
    """What the person chose for it, free text with its lot; empty takes the plan's."""
    limit_c: float | None = None
    """What the mould may be poured at, by its maker; None where it is not known."""
    set_weight: float | None = None
    """kg that a finished candle from this mould weighed before; replaces the estimate."""
    shares: tuple[float, ...] = ()
    """The mould's own share of each of the plan's layers, where a rescue made it differ; 0 leaves a layer
    out. Empty takes the layers' own shares."""

    @property
    def inverted(self) -> bool:
        """Whether the closed end is the top of the finished candle."""
        return self.upside_down and not self.stays


class BlendPart(_Plain, frozen=True, kw_only=True):
    """One wax of a blend: which, how much of it, its lot and price."""

    wax: str
    """Id of a wax family or of one of the person's own waxes."""
    share: float = 1.0
    """Share of the blend by weight; the shares are scaled to one."""
    lot: str = ""
    price_per_kg: float | None = None
    at_hand: float | None = None
    """kg on the shelf, where it was weighed."""


class Product(_Plain, frozen=True, kw_only=True):
    """A scent or a dye by the name on its bottle."""

    name: str
    lot: str = ""
    share: float = 1.0
    """Share of all that layer's scent, or of its dye, by weight; the shares are scaled to one."""


class Layer(_Plain, frozen=True, kw_only=True):
    """One coloured layer, in the order it is poured."""

    colour: str = ""
    swatch: Swatch = "#d8cfc0"
    """For the picture only: a screen cannot match set wax."""
    share: float = 1.0
    """Share of the fill height; the shares are scaled to one."""
    scent_load: float = 0.0
    """kg scent per kg wax."""
    dye_load: float = 0.0
    """kg of dye product per kg wax."""
    dye_form: DyeForm = "liquid"
    scent_by_eye: bool = False
    """The scent goes in by drops or spoon and is not weighed; the load is then a wish, not a weight."""
    blend: tuple[BlendPart, ...] = ()
    """The layer's own wax, where it has one; empty takes the plan's."""
    scents: tuple[Product, ...] = ()
    """What its scent is made of, by name; empty: not told."""
    dyes: tuple[Product, ...] = ()
    """The same of its dye."""


class Preparation(_Plain, frozen=True, kw_only=True):
    """One line of the list to go through before the heat goes on."""

    id: str
    text: str


PREPARATIONS: tuple[Preparation, ...] = (
    Preparation(id="wick", text=tr("Wick threaded, taut and centred at both ends")),
    Preparation(id="seal", text=tr("Hole, screw and wick tail sealed; outside dry and wax-free")),
    Preparation(id="level", text=tr("Bench level, each mould in a tray")),
    Preparation(id="lid", text=tr("Lid that fits, and extinguisher marked B (powder or CO2), within reach")),
    Preparation(id="screen", text=tr("Screen set to stay awake")),
    Preparation(id="bell", text=tr("Bell heard from where you will stand: Space rings it")),
)


VESSEL_PREPARATION = Preparation(
    id="vessel",
    text=tr("Glass or tin clean and dry, warmed to the hand; wick stuck down by its tab, held upright"),
)


def preparations(plan: Plan) -> tuple[Preparation, ...]:
    """What to go through before the heat goes on; of moulds and their seals nothing where every candle stays in its
    vessel."""
    vessels = [mould.stays for mould in plan.moulds if mould.count]
    if not any(vessels):
        return PREPARATIONS
    of_moulds = ("wick", "seal") if all(vessels) else ()
    others = tuple(item for item in PREPARATIONS if item.id not in of_moulds)
    return (VESSEL_PREPARATION, *others)


class TriedChange(_Plain, frozen=True, kw_only=True):
    """The one thing that is done otherwise than on the day a plan was made after, and why."""

    letter: str
    """Mould of that day whose candle had the fault; empty where no fault led to it."""
    fault: str
    """Empty where no fault led to it."""
    cause: str
    """The cause that speaks most for itself; without a fault, why it is changed, in the person's words."""
    says: str
    """The change with its size, as it was told."""


def tried_words(tried: TriedChange) -> str:
    """The change with what led to it: `Pour at 78 °C (rings on A)`, `pour at 78 °C (because of rings)`."""
    why = (
        tr("{fault} on {letter}", fault=word(tried.fault), letter=tried.letter)
        if tried.fault
        else tr("because {cause}", cause=tried.cause)
        if tried.cause
        else ""
    )
    return f"{tried.says} ({why})" if why else tried.says


class Plan(_Plain, frozen=True, kw_only=True):
    """What the person means to do on one day: everything the form asks, and nothing that was done."""

    title: str = ""
    room_c: float = 20.0
    """°C of the kitchen where nobody says (estimate)."""
    altitude: float = 0.0
    """m above sea level."""
    units: Units = "metric"
    scale_step: float = 0.001
    """kg, the smallest step of the person's own scale; a kitchen scale's, where nobody says (estimate)."""
    moulds: tuple[Mould, ...] = (Mould(),)
    blend: tuple[BlendPart, ...] = (BlendPart(wax="paraffin_pillar"),)
    layers: tuple[Layer, ...] = (Layer(),)
    plug: float = 0.010
    """m of the first layer poured first to seal the wick hole; 0 for none. Within 6 to 12 mm (from memory of the trade)."""
    scent_basis: ScentBasis = "on top"
    scent_limit: float | None = None
    """Largest load by the scent's own sheet, kg per kg wax; None where it was not given."""
    scent_flash_c: float | None = None
    scent_price_per_kg: float | None = None
    scent_lot: str = ""
    dye_lot: str = ""
    wick: str = ""
    """What was chosen for each mould that names no wick of its own, free text with its lot."""
    pot: float | None = None
    """m³ the melting pot holds to its brim; None where it was not measured."""
    bath: float | None = None
    """m³ of water in the full bath around it; None where nobody said: then as much as is usual for such a pot."""
    loss: float = 0.02
    """Share of what is poured that stays on jug and spoon besides: drips, a wiped wall. Estimate."""
    vessel_keeps: float = 0.010
    """kg that stay in the pot, and on each jug with its spoon, however little is made: 8 to 15 g (common
    practice, no source)."""
    pour_c: float | None = None
    """Pour temperature asked for by the person; None takes the computed one."""
    own: tuple[Wax, ...] = ()
    """The person's own waxes that this plan uses, whole, so that its record can be read anywhere."""
    parent: str = ""
    """The session this plan was made after; empty for one that begins anew."""
    tried: TriedChange | None = None
    """The one change against that session; None where nothing is tried."""
    typed: dict[str, str] = {}
