"""Waxes melted together, and the temperatures a wax is worked at.

Nothing here was measured on a blend: masses and volumes add, heats and temperatures are averaged by
mass, and the melting range is widened by how far the parts lie apart. Some pairs melt lower than
either part (paraffin with stearin is the known case), which no average shows: a cooling curve of
one's own outranks every figure of a blend.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Literal

import msgspec

from pourday.errors import Trouble
from pourday.wax.materials import FAT_WAXES, SUPPLIER, Wax

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
    SUPPLIER: Uncertainty(1.5, 0.20, 0.02),
}
"""By confidence of the wax. B is how far two lots of "the same" wax differ; the others are scaled from
it; a supplier's sheet hardly ever has a heat of melting. Estimates, no source."""
_BY_TRUST = ("A", "B", SUPPLIER, "C", "D")

_MIX_LATENT = 0.05
_MIX_DENSITY = 0.005
"""Further share in doubt where waxes were mixed and not measured. Estimates, no source."""


def shares(weights: Sequence[float]) -> tuple[float, ...]:
    """Shares that add up to one, from shares or weights in any unit. Raises `Trouble` for a sum of nothing.

    >>> shares([900, 100])
    (0.9, 0.1)
    """
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

    >>> from pourday.wax.materials import family
    >>> mixed = blend([(family("paraffin_pillar"), 900), (family("stearic_commercial"), 100)])
    >>> round(mixed.congealing_c, 1), mixed.confidence
    (58.6, 'C')
    """
    merged = _merge(parts)
    if len(merged) == 1:
        return merged[0][0]
    waxes = [wax for wax, _ in merged]
    low, high = _transition(merged)
    soft = _mean(merged, "soft_share")
    changes: dict[str, Any] = {
        "id": "+".join(wax.id for wax in waxes),
        "name": " + ".join(f"{wax.short_name} {share:.0%}" for wax, share in merged),
        "soft_share": soft,
        "soft_from_c": _soft_from(merged, soft),
        "transition_low_c": low,
        "transition_high_c": high,
        "flash_point_c": min(wax.flash_point_c for wax in waxes),
        "max_working_c": min(wax.max_working_c for wax in waxes),
        "cure_min_days": max(wax.cure_min_days for wax in waxes),
        "cure_max_days": max(wax.cure_max_days for wax in waxes),
        "plateau": "no" if any(wax.plateau == "no" for wax in waxes) else "maybe",
        "mould_suitable": _suitable(merged),
        "confidence": _worst("C", *(wax.confidence for wax in waxes)),
        "based_on": "",
        "given": (),
        "source_key": ";".join(dict.fromkeys(key for wax in waxes for key in wax.source_key.split(";"))),
    }
    averages = {name: _mean(merged, name) for name in _AVERAGED}
    return msgspec.structs.replace(waxes[0], **changes, **averages, **_ranges(merged), **_densities(merged))


_AVERAGED = (
    "peak_c",
    "cp_solid",
    "cp_liquid",
    "latent_main",
    "latent_transition",
    "latent_total_min",
    "latent_total_max",
    "conductivity_solid",
    "conductivity_liquid",
    "shrinkage_min_percent",
    "shrinkage_max_percent",
    "scent_max",
)


def _mean(parts: list[tuple[Wax, float]], name: str) -> float:
    """A property averaged by weight; `parts` are (wax, share) with shares that add up to one."""
    return math.fsum(share * getattr(wax, name) for wax, share in parts)


def _ranges(parts: list[tuple[Wax, float]]) -> dict[str, float]:
    """Melting and congealing range, widened but never beyond the parts; pour range under the ceiling."""
    waxes = [wax for wax, _ in parts]
    melt, congeal = _deviation(parts, "peak_c"), _deviation(parts, "congealing_c")
    ceiling = min(wax.max_working_c for wax in waxes)
    # Mixed waxes melt over a wider range than each, but not below the lowest or above the highest of them.
    return {
        "solidus_c": max(_mean(parts, "solidus_c") - melt, min(wax.solidus_c for wax in waxes)),
        "liquidus_c": min(_mean(parts, "liquidus_c") + melt, max(wax.liquidus_c for wax in waxes)),
        "congealing_min_c": _mean(parts, "congealing_min_c") - congeal,
        "congealing_max_c": _mean(parts, "congealing_max_c") + congeal,
        "pour_min_c": min(_mean(parts, "pour_min_c"), ceiling),
        "pour_max_c": min(_mean(parts, "pour_max_c"), ceiling),
    }


def _densities(parts: list[tuple[Wax, float]]) -> dict[str, float]:
    """Volumes add: solid, liquid at the mean reference temperature, and what follows from them."""
    at_c = _mean(parts, "density_liquid_at_c")
    solid = 1 / math.fsum(share / wax.density_solid for wax, share in parts)
    liquid = 1 / math.fsum(share / wax.density_at(at_c) for wax, share in parts)
    warmer = 1 / math.fsum(share / wax.density_at(at_c + 1) for wax, share in parts)
    return {
        "density_solid": solid,
        "density_liquid": liquid,
        "density_liquid_at_c": at_c,
        "liquid_expansion": 1 - warmer / liquid,
        "shrinkage_percent": 100 * (1 - liquid / solid),
    }


def uncertainty(parts: Sequence[tuple[Wax, float]]) -> Uncertainty:
    """How far the figures of a blend, or of one wax, may be off (estimate). Raises `Trouble` as `blend` does.

    The least trusted part decides; a blend adds how far its parts lie apart, for nobody measured the mixture.

    >>> from pourday.wax.materials import family
    >>> mixed = [(family("paraffin_pillar"), 0.9), (family("stearic_commercial"), 0.1)]
    >>> round(uncertainty(mixed).temperature_k, 1), round(uncertainty(mixed[:1]).temperature_k, 1)
    (1.9, 1.5)
    """
    merged = _merge(parts)
    worst = _LOT_SPREAD[_worst(*(wax.confidence for wax, _ in merged))]
    if len(merged) == 1:
        return worst
    return Uncertainty(
        temperature_k=math.hypot(worst.temperature_k, _deviation(merged, "congealing_c")),
        latent_share=worst.latent_share + _MIX_LATENT,
        density_share=worst.density_share + _MIX_DENSITY,
    )


def _worst(*confidences: str) -> str:
    """The least trusted of them; what the table does not know counts as D."""
    return max((each if each in _BY_TRUST else "D" for each in confidences), key=_BY_TRUST.index)


def _merge(parts: Sequence[tuple[Wax, float]]) -> list[tuple[Wax, float]]:
    """(wax, share) once for each wax, shares adding up to one, without waxes that have none."""
    together: dict[str, tuple[Wax, float]] = {}
    for (wax, _), share in zip(parts, shares([share for _, share in parts]), strict=True):
        if share > 0:
            together[wax.id] = (wax, together.get(wax.id, (wax, 0.0))[1] + share)
    return list(together.values())


def _deviation(parts: list[tuple[Wax, float]], name: str) -> float:
    """Weighted standard deviation of a property over the parts: 0 where they agree."""
    mean = _mean(parts, name)
    return math.sqrt(math.fsum(share * (getattr(wax, name) - mean) ** 2 for wax, share in parts))


def _transition(parts: list[tuple[Wax, float]]) -> tuple[float | None, float | None]:
    """The solid-solid range, weighted by the heat each part brings to it."""
    low = high = heat = 0.0
    for wax, share in parts:
        if wax.transition_low_c is not None and wax.transition_high_c is not None:
            brought = share * wax.latent_transition
            low, high = low + brought * wax.transition_low_c, high + brought * wax.transition_high_c
            heat += brought
    return (low / heat, high / heat) if heat else (None, None)


def _soft_from(parts: list[tuple[Wax, float]], soft: float) -> float:
    """°C from which the soft shares melt, weighted by them."""
    if not soft:
        return 0.0
    return math.fsum(share * wax.soft_share * wax.soft_from_c for wax, share in parts) / soft


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
"""Room that pour ranges are quoted for: hardly any sheet names one. Estimate."""
_PER_ROOM_K = -0.5
"""K of pour temperature for each K the room is above 20 °C. One published soy table falls by 1.1; half
of it is used, for other waxes quote no room at all. Estimate."""

MOLTEN_MARGIN = 10.0
"""K above the liquidus before a wax counts as wholly molten: what the cooling-curve standard asks
(ASTM D87: 8 K, and 10 K for an unknown wax) before it trusts a melt."""
FLOWS_ABOVE = 5.0
"""K above congealing under which a pour sets at the wall before it is level. Estimate."""
FAT_ABOVE = 15.0
"""K above congealing at which plant fats want to be poured at least, against bloom (US 8500826 B2)."""
CRYSTALS_GONE = 80.0
"""°C that plant fats are heated to first, so that no old crystal is left to grow from: 75-85 °C (common practice, no
source); that all crystals have to be destroyed is said in US 8500826 B2."""
UNDER_CEILING = 2.0
"""K that the target of the pot stays under the working ceiling: what a burner runs past its mark. Estimate."""
JUG_LOSS = 3.0
"""K a jug loses between pot and lip: estimate."""


def pour_temperature(
    wax: Wax, material: Material, room_c: float, asked_c: float | None = None, limit_c: float | None = None
) -> float:
    """°C to pour at, as an offset from the congealing point, to whole degrees.

    The offset comes from the wax's own pour range, the mould material and the room; the result keeps
    within that range, under what the mould stands (`limit_c`) and under what the wax is heated to. What a
    person asked for (`asked_c`) is taken as asked. Never less than the wax can be poured at, whatever was asked and
    whatever the mould stands: findings say what speaks against it.

    >>> from pourday.wax.materials import family
    >>> [pour_temperature(family("paraffin_pillar"), mould, 20.0) for mould in ("bright metal", "silicone")]
    [85.0, 82.0]
    """
    if asked_c is not None:
        return max(asked_c, pourable_c(wax))
    congealing = wax.congealing_c
    least, most = wax.pour_min_c - congealing, wax.pour_max_c - congealing
    if wax.kin in FAT_WAXES:
        least = min(max(least, FAT_ABOVE), most)
    offset = least + _PLACE_IN_RANGE[material] * (most - least) + _PER_ROOM_K * (room_c - _ROOM_C)
    celsius = float(round(congealing + min(max(offset, least), most)))
    most = min(wax.max_working_c - UNDER_CEILING, math.inf if limit_c is None else limit_c)
    return max(min(celsius, most), pourable_c(wax))


def pourable_c(wax: Wax) -> float:
    """°C, whole degrees, below which a wax sets at the wall before it is level: no pour is asked for below it."""
    return float(math.ceil(wax.congealing_c + FLOWS_ABOVE))


def melt_to_c(parts: Sequence[tuple[Wax, float]], pour: float) -> float:
    """°C to heat to: every part molten with a margin, old crystals of plant fats gone, and hot enough to be
    poured at `pour`; always under the lowest working ceiling of the parts. Raises `Trouble` as `blend` does.
    """
    merged = _merge(parts)
    molten = max(wax.liquidus_c for wax, _ in merged) + MOLTEN_MARGIN
    if any(wax.kin in FAT_WAXES for wax, _ in merged):
        molten = max(molten, CRYSTALS_GONE)
    return min(max(molten, pour + JUG_LOSS), ceiling_c(parts) - UNDER_CEILING)


def ceiling_c(parts: Sequence[tuple[Wax, float]]) -> float:
    """°C, the lowest working ceiling of the parts. Raises `Trouble` as `blend` does."""
    return min(wax.max_working_c for wax, _ in _merge(parts))
