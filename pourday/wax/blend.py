"""Waxes melted together, and the temperatures a wax is worked at.

Nothing here was measured on a blend: masses and volumes add, heats and temperatures are averaged by
mass, and the melting range is widened by how far the parts lie apart. Some pairs melt lower than
either part (paraffin with stearin is the known case), which no average shows: a cooling curve of
one's own outranks every figure of a blend.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal

import msgspec

from pourday.errors import Trouble
from pourday.wax.materials import Wax

Material = Literal["bright metal", "dull metal", "plastic", "silicone", "glass"]


class Uncertainty(msgspec.Struct, frozen=True):
    """How far a lot may lie from the figures of its wax; estimates."""

    temperature_k: float
    """± K, melting and congealing."""
    latent_share: float
    density_share: float


_LOT_SPREAD = {
    "A": Uncertainty(1.0, 0.10, 0.01),
    "B": Uncertainty(1.5, 0.15, 0.02),
    "C": Uncertainty(3.0, 0.20, 0.03),
    "D": Uncertainty(4.0, 0.25, 0.04),
}
"""By confidence of the family. B is how far two lots of "the same" wax differ; the others are scaled
from it. Estimates, no source."""

_MIX_LATENT = 0.05
_MIX_DENSITY = 0.005
"""Further share in doubt where waxes were mixed and not measured. Estimates, no source."""


def shares(weights: Sequence[float]) -> tuple[float, ...]:
    """Shares of one from shares or from weights at hand. Raises `Trouble` for a sum of nothing."""
    if not all(math.isfinite(weight) and weight >= 0 for weight in weights) or not sum(weights) > 0:
        raise Trouble("The blend adds up to nothing.", instead="Give at least one wax a share above zero.")
    whole = math.fsum(weights)
    return tuple(weight / whole for weight in weights)


def blend(parts: Sequence[tuple[Wax, float]]) -> Wax:
    """One wax from (wax, share or weight) parts; the same wax twice (two lots) counts as one.

    Mass-weighted: temperatures, heats, conductivities, scent limit. By volume: densities, liquid
    expansion. Widened by the parts' weighted deviation: melting and congealing range. Lowest: working
    ceiling, flash point. Worst: confidence, at best C, for a blend is never measured. Raises `Trouble`
    for no parts or shares that add up to nothing.
    """
    merged = _merge(parts)
    if len(merged) == 1:
        return merged[0][0]
    waxes = [wax for wax, _ in merged]

    def mean(of: Callable[[Wax], float]) -> float:
        return math.fsum(share * of(wax) for wax, share in merged)

    melt, congeal = _deviation(merged, _peak), _deviation(merged, _congealing)
    at_c = mean(lambda w: w.density_liquid_at_c)
    solid = 1 / mean(lambda w: 1 / w.density_solid)
    liquid = 1 / mean(lambda w: 1 / w.density_at(at_c))
    warmer = 1 / mean(lambda w: 1 / w.density_at(at_c + 1))
    low, high = _transition(merged)
    pour_min, pour_max = _pour_range(merged, mean)
    return Wax(
        id="+".join(wax.id for wax in waxes),
        name=" + ".join(f"{wax.short_name} {share:.0%}" for wax, share in merged),
        solidus_c=max(mean(lambda w: w.solidus_c) - melt, min(w.solidus_c for w in waxes)),
        liquidus_c=min(mean(lambda w: w.liquidus_c) + melt, max(w.liquidus_c for w in waxes)),
        peak_c=mean(_peak),
        transition_low_c=low,
        transition_high_c=high,
        congealing_min_c=mean(lambda w: w.congealing_min_c) - congeal,
        congealing_max_c=mean(lambda w: w.congealing_max_c) + congeal,
        density_solid=solid,
        density_liquid=liquid,
        density_liquid_at_c=at_c,
        liquid_expansion=1 - warmer / liquid,
        cp_solid=mean(lambda w: w.cp_solid),
        cp_liquid=mean(lambda w: w.cp_liquid),
        latent_main=mean(lambda w: w.latent_main),
        latent_transition=mean(lambda w: w.latent_transition),
        latent_total_min=mean(lambda w: w.latent_total_min),
        latent_total_max=mean(lambda w: w.latent_total_max),
        conductivity_solid=mean(lambda w: w.conductivity_solid),
        conductivity_liquid=mean(lambda w: w.conductivity_liquid),
        flash_point_c=min(w.flash_point_c for w in waxes),
        max_working_c=min(w.max_working_c for w in waxes),
        pour_min_c=pour_min,
        pour_max_c=pour_max,
        shrinkage_percent=100 * (1 - liquid / solid),
        shrinkage_min_percent=mean(lambda w: w.shrinkage_min_percent),
        shrinkage_max_percent=mean(lambda w: w.shrinkage_max_percent),
        scent_max=mean(lambda w: w.scent_max),
        cure_min_days=max(w.cure_min_days for w in waxes),
        cure_max_days=max(w.cure_max_days for w in waxes),
        plateau="no" if any(w.plateau == "no" for w in waxes) else "maybe",
        mould_suitable=_suitable(merged),
        confidence=max("C", *(w.confidence for w in waxes)),
        source_key=";".join(dict.fromkeys(key for w in waxes for key in w.source_key.split(";"))),
    )


def uncertainty(parts: Sequence[tuple[Wax, float]]) -> Uncertainty:
    """How far the figures of a blend, or of one wax, may be off. Raises `Trouble` as `blend` does."""
    merged = _merge(parts)
    worst = _LOT_SPREAD.get(max(wax.confidence for wax, _ in merged), _LOT_SPREAD["D"])
    if len(merged) == 1:
        return worst
    return Uncertainty(
        temperature_k=math.hypot(worst.temperature_k, _deviation(merged, _congealing)),
        latent_share=worst.latent_share + _MIX_LATENT,
        density_share=worst.density_share + _MIX_DENSITY,
    )


def _merge(parts: Sequence[tuple[Wax, float]]) -> list[tuple[Wax, float]]:
    """One entry a wax, shares scaled to one, without those that have none."""
    together: dict[str, tuple[Wax, float]] = {}
    for (wax, _), share in zip(parts, shares([share for _, share in parts]), strict=True):
        if share > 0:
            together[wax.id] = (wax, together.get(wax.id, (wax, 0.0))[1] + share)
    return list(together.values())


def _peak(wax: Wax) -> float:
    return wax.peak_c


def _congealing(wax: Wax) -> float:
    return wax.congealing_c


def _deviation(parts: list[tuple[Wax, float]], of: Callable[[Wax], float]) -> float:
    """Weighted standard deviation of a property over the parts: 0 where they agree."""
    mean = math.fsum(share * of(wax) for wax, share in parts)
    return math.sqrt(math.fsum(share * (of(wax) - mean) ** 2 for wax, share in parts))


def _transition(parts: list[tuple[Wax, float]]) -> tuple[float | None, float | None]:
    """The solid-solid range, weighted by the heat each part brings to it."""
    low = high = heat = 0.0
    for wax, share in parts:
        if wax.transition_low_c is not None and wax.transition_high_c is not None:
            brought = share * wax.latent_transition
            low, high = low + brought * wax.transition_low_c, high + brought * wax.transition_high_c
            heat += brought
    return (low / heat, high / heat) if heat else (None, None)


def _pour_range(
    parts: list[tuple[Wax, float]], mean: Callable[[Callable[[Wax], float]], float]
) -> tuple[float, float]:
    """°C; not above the lowest ceiling of the parts."""
    ceiling = min(wax.max_working_c for wax, _ in parts)
    return min(mean(lambda w: w.pour_min_c), ceiling), min(mean(lambda w: w.pour_max_c), ceiling)


def _suitable(parts: list[tuple[Wax, float]]) -> str:
    """An additive up to a tenth changes nothing; otherwise the first wax that is no plain yes speaks."""
    for wax, share in parts:
        if wax.mould_suitable != "yes" and not (wax.mould_suitable == "additive" and share <= 0.1):
            return wax.mould_suitable
    return "yes"


# --- the temperatures a wax is worked at ---

_PLACE_IN_RANGE: dict[Material, float] = {
    "bright metal": 0.5,
    "dull metal": 0.5,
    "plastic": 0.2,
    "silicone": 0.2,
    "glass": 0.0,
}
"""Where in the wax's own pour range to start: metal chills the wax and wants it hotter, plastic and
silicone keep it warm, glass cracks. Common practice, no source for the figures."""
_ROOM_C = 20.0
_PER_ROOM_K = -0.5
"""K of pour temperature for each K the room is above 20 °C. One published soy table falls by 1.1; half
of it is used, for other waxes quote no room at all. Estimate."""

MOLTEN_MARGIN = 10.0
"""K above the liquidus before a wax counts as wholly molten: what the cooling-curve standard asks
(ASTM D87: 8 K, and 10 K for an unknown wax) before it trusts a melt."""
JUG_LOSS = 3.0
"""K a jug loses between pot and lip: estimate."""


class PourTemperature(msgspec.Struct, frozen=True):
    """A pour temperature and where it comes from."""

    celsius: float
    offset_k: float
    """K above the congealing point."""
    bound: Literal["", "asked", "range", "mould", "ceiling"]
    """What decided it, where it is not the rule itself."""


def pour_temperature(
    wax: Wax, material: Material, room_c: float, asked: float | None = None, limit_c: float | None = None
) -> PourTemperature:
    """Pour temperature as an offset from the congealing point, to whole °C.

    The offset comes from the wax's own pour range, the mould material and the room; the result keeps
    within that range, under what the mould stands (`limit_c`) and under the wax's working ceiling. What a
    person asked for is taken as asked: findings say what speaks against it.
    """
    congealing = wax.congealing_c
    if asked is not None:
        return PourTemperature(asked, asked - congealing, "asked")
    least, most = wax.pour_min_c - congealing, wax.pour_max_c - congealing
    offset = least + _PLACE_IN_RANGE[material] * (most - least) + _PER_ROOM_K * (room_c - _ROOM_C)
    kept = min(max(offset, least), most)
    celsius, bound = float(round(congealing + kept)), "range" if kept != offset else ""
    if celsius > wax.max_working_c:
        celsius, bound = wax.max_working_c, "ceiling"
    if limit_c is not None and celsius > limit_c:
        celsius, bound = limit_c, "mould"
    return PourTemperature(celsius, celsius - congealing, bound)  # type: ignore[arg-type]


def pour_c(
    wax: Wax, material: Material, room_c: float, asked: float | None = None, limit_c: float | None = None
) -> float:
    """°C of `pour_temperature`."""
    return pour_temperature(wax, material, room_c, asked, limit_c).celsius


def melt_to_c(parts: Sequence[tuple[Wax, float]], pour: float) -> float:
    """°C to heat to: every part molten with a margin, and hot enough to be poured at `pour`; never
    above the lowest working ceiling of the parts. Raises `Trouble` as `blend` does.
    """
    merged = _merge(parts)
    molten = max(wax.liquidus_c for wax, _ in merged) + MOLTEN_MARGIN
    return min(max(molten, pour + JUG_LOSS), ceiling_c(parts))


def ceiling_c(parts: Sequence[tuple[Wax, float]]) -> float:
    """°C, the lowest working ceiling of the parts. Raises `Trouble` as `blend` does."""
    return min(wax.max_working_c for wax, _ in _merge(parts))
