"""The weigh sheet: what goes into which jug and mould, to the gram and to the millimetre.

What a mould holds in the end is *set* wax: fill volume times solid density, less the gap that opens
between candle and wall. Hot wax needs more room, so a pour to the line by liquid density weighs less
than that; the top-up is the rest, not an extra. Each later layer also fills the dip that the wax below
it left while setting. The same weight of set wax always stands for the same room in the mould, so a
mould never ends with more or less than its set weight, however many layers it has.

Scent and dye are taken to be as dense as the wax: their effect on the room is below 1 % at usual loads.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import accumulate, pairwise

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.bench import Standing, bench
from pourday.plan.check import check, height_of, number
from pourday.plan.model import BlendPart, Layer, Mould, Plan, ScentBasis
from pourday.plan.own_layers import shares_of
from pourday.plan.volumes import fill_height, volume
from pourday.plan.waxes import own_of, parts_of
from pourday.plan.waxes import waxes_of as waxes_of
from pourday.wax.blend import blend
from pourday.wax.materials import Wax, families
from pourday.wax.working_heat import ceiling_c, melt_to_c, pour_temperature

WALL_GAP = 0.3
"""Share of a wax's whole shrinkage that ends as a gap at the wall and not as a well. With it the top-up
comes to 10 % of a paraffin, 8 % of a beeswax and 5 to 6 % of a soy pillar fill, which is what makers keep
back (common practice, no source)."""


class Pour(msgspec.Struct, frozen=True, kw_only=True):
    """One pour of hot wax into one mould."""

    letter: str
    layer: int
    """Number in pour order, from 0."""
    kg: float
    level: float
    """m above the inside bottom where the hot surface stands."""
    below_rim: float
    """m from the rim down to that surface."""
    pour_c: float


class TopUp(msgspec.Struct, frozen=True, kw_only=True):
    """What is kept back, in the colour poured last, to fill the well."""

    letter: str
    layer: int
    kg: float
    """All of it."""
    first: float
    """kg of it that bring the hot surface back to the fill line; the rest goes in as that sinks again."""
    below_rim: float
    pour_c: float


class MouldSheet(msgspec.Struct, frozen=True, kw_only=True):
    """One mould on the bench."""

    letter: str
    name: str
    set_weight: float
    """kg of solid wax without any gap to the fill line."""
    finished: float
    """kg that end up in the mould: what the candle should weigh."""
    estimate: float
    """kg of `finished` as worked out from the shape, whatever the mould weighed before."""
    weighed_before: bool
    plug: Pour | None
    pours: tuple[Pour, ...]
    top_up: TopUp


class Jug(msgspec.Struct, frozen=True, kw_only=True):
    """One colour, for all moulds. `batch` is what pours, reserve and allowance come to, `total` what is in the
    jug: the same, or more by what goes on top."""

    layer: int
    colour: str
    plug: float
    """kg for plugs, poured first."""
    poured: float
    """kg for pours, the plugs among them."""
    reserve: float
    """kg kept back for top-ups of the moulds that get this colour last."""
    allowance: float
    """kg that stay on jug and spoon."""
    wax: float
    """kg to draw from the pot."""
    scent: float
    dye: float
    scent_load: float
    """kg scent per kg wax."""
    scent_content: float
    """Share of the finished candle: load / (1 + load)."""

    @property
    def batch(self) -> float:
        """kg to be made for moulds, reserve and losses."""
        return self.poured + self.reserve + self.allowance

    @property
    def total(self) -> float:
        """kg in the jug once scent and dye are in: `batch` and `over`."""
        return self.wax + self.scent + self.dye

    @property
    def over(self) -> float:
        """kg that are left when all is poured: scent and dye that went on top of the wax."""
        return max(0.0, self.total - self.batch)


class WaxNeed(msgspec.Struct, frozen=True, kw_only=True):
    """One wax of a blend, over all jugs it goes into."""

    field: str
    """Path of the blend part in the plan."""
    wax: str
    """Id of the wax."""
    name: str
    lot: str
    kg: float
    reserve: float
    """kg of it that are for top-ups."""
    kept: float
    """kg of it that stay in the pot."""
    at_hand: float | None
    cost: float | None


class WeighSheet(msgspec.Struct, frozen=True, kw_only=True):
    """All weights of a plan, kg, unrounded; `units.round_parts` rounds what has to add up."""

    wax: Wax
    """The plan's wax or blend."""
    moulds: tuple[MouldSheet, ...]
    jugs: tuple[Jug, ...]
    waxes: tuple[WaxNeed, ...]
    melt_to_c: float
    """Heat the pot to this: all parts molten, and hot enough for the hottest pour."""
    ceiling_c: float
    """Never above this."""
    cost: float | None
    """Of wax and scent; None unless each wax that is needed has a price."""

    def mould(self, letter: str) -> MouldSheet:
        """The sheet of one mould. Raises `Trouble` for a letter that is not on the bench."""
        for mould in self.moulds:
            if mould.letter == letter:
                return mould
        raise Trouble(tr("There is no mould {letter} on the bench.", letter=letter))

    def pour(self, letter: str, layer: int) -> Pour:
        """The main pour of a layer (0 is the first). Raises `Trouble` for one that is not planned."""
        pours = self.mould(letter).pours
        if not 0 <= layer < len(pours):
            raise Trouble(tr("There is no layer {layer} in the plan.", layer=layer + 1))
        return pours[layer]

    def plug(self, letter: str) -> Pour | None:
        """The small first pour over the wick hole; None where none is planned."""
        return self.mould(letter).plug

    def top_up(self, letter: str) -> TopUp:
        """What is kept back for a mould. Raises `Trouble` as `mould` does."""
        return self.mould(letter).top_up

    def jug(self, layer: int) -> Jug:
        """What goes into the jug of a layer. Raises `Trouble` for one that is not planned."""
        if not 0 <= layer < len(self.jugs):
            raise Trouble(tr("There is no layer {layer} in the plan.", layer=layer + 1))
        return self.jugs[layer]

    @property
    def kept(self) -> float:
        """kg that stay in the pot."""
        return sum(need.kept for need in self.waxes)

    @property
    def total_wax(self) -> float:
        """kg of wax to load the pot with: what is drawn into all jugs, and what it keeps."""
        return sum(jug.wax for jug in self.jugs) + self.kept

    @property
    def total(self) -> float:
        """kg of wax, scent and dye."""
        return sum(jug.total for jug in self.jugs) + self.kept

    def cost_of(self, letter: str) -> float | None:
        """Cost of one candle, by its part of all finished weight; wax and scent only."""
        whole = sum(mould.finished for mould in self.moulds)
        return None if self.cost is None or not whole else self.cost * self.mould(letter).finished / whole


def content(load: float) -> float:
    """Share of the finished candle that is scent, from the load, kg of scent for each kg of wax.

    >>> round(content(0.06), 4)
    0.0566
    """
    return load / (1 + load)


def weigh_sheet(plan: Plan, wax: Wax | None = None, own: Mapping[str, Wax] | None = None) -> WeighSheet:
    """Every weight of a plan.

    `wax` stands in for the plan's blend (a blend worked out before, or a learned one), `own` are own
    waxes by id besides those of the plan. Raises `BadField` (a `Trouble` that names the field) for a plan
    no weight can be worked out from, an unknown wax among it.
    """
    check(plan)
    own = own_of(plan, own)
    waxes = waxes_of(plan, wax, own)
    moulds = tuple(_mould(plan, standing, waxes) for standing in bench(plan))
    jugs = tuple(_jug(plan, index, moulds) for index in range(len(plan.layers)))
    needs = _needs(plan, jugs, own)
    hottest = max(pour.pour_c for mould in moulds for pour in mould.pours)
    parts = [(each, 1.0) for each in waxes]
    if wax is None:
        used = dict.fromkeys(part for layer in plan.layers for part in (layer.blend or plan.blend))
        parts = parts_of(tuple(used), own)
    return WeighSheet(
        wax=wax or blend(parts_of(plan.blend, own)),
        moulds=moulds,
        jugs=jugs,
        waxes=needs,
        melt_to_c=melt_to_c(parts, hottest),
        ceiling_c=ceiling_c(parts),
        cost=_cost(plan, jugs, needs),
    )


_PLANS_AT_ONCE = 4
_sheets: dict[int, tuple[Plan, WeighSheet]] = {}


def sheet_of(plan: Plan) -> WeighSheet:
    """The weigh sheet of a plan, the same one as long as it is the same plan: one agenda asks for it ten times.

    Raises as `weigh_sheet` does.
    """
    known = _sheets.get(id(plan))
    if known is None or known[0] is not plan:
        if len(_sheets) >= _PLANS_AT_ONCE:
            _sheets.clear()
        known = _sheets[id(plan)] = plan, weigh_sheet(plan)
    return known[1]


def set_density(wax: Wax, celsius: float) -> float:
    """kg/m³ of set wax as it stands in a mould, the wall gap counted as room of its own."""
    shrinkage = max(0.0, 1 - wax.density_at(celsius) / wax.density_solid)
    return wax.density_solid * (1 - WALL_GAP * shrinkage)


def _hot_density(wax: Wax, celsius: float) -> float:
    """kg/m³ of the liquid. Raises `BadField` where that, or the solid's, is no wax's."""
    density = wax.density_at(celsius)
    number("blend", tr("{name}: solid density in kg/m³", name=wax.name), wax.density_solid, 300, 3000)
    number("blend", tr("{name}: liquid density in kg/m³", name=wax.name), density, 300, 3000)
    return density


class _Stack(msgspec.Struct, frozen=True):
    """The layers of one mould: to where they reach, and how dense their wax is hot and set."""

    levels: list[float]
    rooms: list[float]
    """m³ up to each level."""
    pour_c: list[float]
    hot: list[float]
    cold: list[float]


def _stack(plan: Plan, mould: Mould, waxes: tuple[Wax, ...], shares: tuple[float, ...]) -> _Stack:
    """The layers in one mould; `waxes` and `shares` of the fill height are one for each layer of the plan."""
    fill, lines = fill_height(mould), tuple(accumulate(shares))
    levels = [fill * line / lines[-1] for line in lines]
    pour_c = [pour_temperature(wax, mould.material, plan.room_c, plan.pour_c, mould.limit_c) for wax in waxes]
    return _Stack(
        levels=levels,
        rooms=[volume(mould.shape, level) for level in levels],
        pour_c=pour_c,
        hot=[_hot_density(wax, celsius) for wax, celsius in zip(waxes, pour_c, strict=True)],
        cold=[set_density(wax, celsius) for wax, celsius in zip(waxes, pour_c, strict=True)],
    )


def _mould(plan: Plan, standing: Standing, waxes: tuple[Wax, ...]) -> MouldSheet:
    """All weights of one mould; `waxes` are one for each layer of the plan."""
    mould, letter, rim = standing.mould, standing.letter, height_of(standing.mould.shape)
    shares = shares_of(plan, mould)
    gets = [index for index, share in enumerate(shares) if share > 0]
    first, last, stack = gets[0], gets[-1], _stack(plan, mould, waxes, shares)
    plug_level = 0.0 if mould.stays else min(plan.plug, stack.levels[first])
    rooms = [volume(mould.shape, plug_level), *(stack.rooms[i] for i in gets)]
    hot, cold = ([of[i] for i in (first, *gets)] for of in (stack.hot, stack.cold))
    weights, well = _fill(rooms, hot, cold)
    kgs, in_pours = dict(zip(gets, weights[1:], strict=True)), sum(weights)
    estimate = in_pours + well * stack.cold[last]
    finished = estimate if mould.set_weight is None else mould.set_weight
    # A candle that came out lighter says there is less room than the shape has. A heavier one does not
    # say there is more below the line, so it only makes the top-up larger.
    scale = min(1.0, finished / estimate)
    rest = max(0.0, finished - scale * in_pours)

    def pour(layer: int, kg: float, level: float) -> Pour:
        below, celsius = max(0.0, rim - level), stack.pour_c[layer]
        return Pour(letter=letter, layer=layer, kg=kg * scale, level=level, below_rim=below, pour_c=celsius)

    pours = [pour(layer, kgs.get(layer, 0.0), level) for layer, level in enumerate(stack.levels)]
    return MouldSheet(
        letter=letter,
        name=mould.name,
        set_weight=_solid(stack.rooms, waxes),
        finished=finished,
        estimate=estimate,
        weighed_before=mould.set_weight is not None,
        plug=pour(first, weights[0], plug_level) if plug_level else None,
        pours=tuple(pours),
        top_up=TopUp(
            letter=letter,
            layer=last,
            kg=rest,
            first=min(rest, well * scale * stack.hot[last]),
            below_rim=pours[last].below_rim,
            pour_c=pours[last].pour_c,
        ),
    )


def _solid(rooms: list[float], waxes: tuple[Wax, ...]) -> float:
    """kg of solid wax, without any gap, in layers up to these m³ from the bottom."""
    bands = [high - low for low, high in pairwise([0.0, *rooms])]
    return sum(band * wax.density_solid for band, wax in zip(bands, waxes, strict=True))


def _fill(rooms: list[float], hot: list[float], cold: list[float]) -> tuple[list[float], float]:
    """(kg of each pour, m³ left below the last line once all has set).

    `rooms` are m³ up to the line of each pour, `hot` and `cold` its densities in kg/m³. Every pour goes up
    to its line on what stands there already.
    """
    kgs, filled = [], 0.0
    for room, liquid, solid in zip(rooms, hot, cold, strict=True):
        kg = max(0.0, room - filled) * liquid
        kgs.append(kg)
        filled += kg / solid
    return kgs, max(0.0, rooms[-1] - filled)


def _jug(plan: Plan, index: int, moulds: tuple[MouldSheet, ...]) -> Jug:
    """All weights of the jug of layer number `index`."""
    layer = plan.layers[index]
    plug = sum(mould.plug.kg for mould in moulds if mould.plug and mould.plug.layer == index)
    poured = plug + sum(mould.pours[index].kg for mould in moulds)
    reserve = sum(mould.top_up.kg for mould in moulds if mould.top_up.layer == index)
    allowance = stays_on_jug(plan, poured + reserve)
    wax = wax_in(poured + reserve + allowance, layer, plan.scent_basis)
    return Jug(
        layer=index,
        colour=layer.colour,
        plug=plug,
        poured=poured,
        reserve=reserve,
        allowance=allowance,
        wax=wax,
        scent=wax * layer.scent_load,
        dye=wax * layer.dye_load,
        scent_load=layer.scent_load,
        scent_content=content(layer.scent_load),
    )


def stays_on_jug(plan: Plan, kg: float) -> float:
    """kg that stay on jug and spoon where `kg` are poured from it; nothing where nothing is."""
    return plan.vessel_keeps + plan.loss * kg if kg > 0 else 0.0


def wax_in(batch: float, layer: Layer, basis: ScentBasis) -> float:
    """kg of wax of a batch: all of it where scent and dye go on top, the rest of it otherwise."""
    return batch if basis == "on top" else batch / (1 + layer.scent_load + layer.dye_load)


def _needs(plan: Plan, jugs: tuple[Jug, ...], own: Mapping[str, Wax]) -> tuple[WaxNeed, ...]:
    """How much of each wax is melted: of the plan's blend first, then of the blends single layers have."""
    needs: list[WaxNeed] = []
    usual = [jug for jug, layer in zip(jugs, plan.layers, strict=True) if not layer.blend]
    if usual:
        needs += _parts(plan, plan.blend, "blend", usual, own)
    for index, layer in enumerate(plan.layers):
        if layer.blend:
            needs += _parts(plan, layer.blend, f"layers.{index}.blend", [jugs[index]], own)
    return tuple(needs)


def _parts(
    plan: Plan, parts: tuple[BlendPart, ...], path: str, jugs: list[Jug], own: Mapping[str, Wax]
) -> list[WaxNeed]:
    """The waxes of one blend, which is melted in a pot of its own."""
    whole = sum(part.share for part in parts)
    drawn = sum(jug.wax for jug in jugs)
    left_in_jug = plan.vessel_keeps if drawn > 0 else 0.0
    wax = drawn + left_in_jug
    reserve = sum(jug.wax * jug.reserve / jug.batch for jug in jugs if jug.batch)
    return [
        WaxNeed(
            field=f"{path}.{index}",
            wax=part.wax,
            name=_name(part.wax, own),
            lot=part.lot,
            kg=wax * part.share / whole,
            reserve=reserve * part.share / whole,
            kept=left_in_jug * part.share / whole,
            at_hand=part.at_hand,
            cost=None if part.price_per_kg is None else part.price_per_kg * wax * part.share / whole,
        )
        for index, part in enumerate(parts)
    ]


def _name(wax_id: str, own: Mapping[str, Wax]) -> str:
    wax = own.get(wax_id) or families().get(wax_id)
    return wax.short_name if wax else wax_id


def _cost(plan: Plan, jugs: tuple[Jug, ...], needs: tuple[WaxNeed, ...]) -> float | None:
    """What all wax and scent cost; None where one of them that is needed has no price."""
    costs = [need.cost for need in needs if need.kg > 0]
    known = [cost for cost in costs if cost is not None]
    if len(known) < len(costs):
        return None
    return sum(known) + (plan.scent_price_per_kg or 0.0) * sum(jug.scent for jug in jugs)
