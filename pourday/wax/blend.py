"""Waxes melted together.

Nothing here was measured on a blend: masses and volumes add, heats and temperatures are averaged by
mass, and the melting range is widened by how far the parts lie apart. Some pairs melt lower than
either part (paraffin with stearin is the known case), which no average shows: a cooling curve of
one's own outranks every figure of a blend.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.wax.materials import CURVE, NOBODY_KNOWS, SUPPLIER, WORDS, Wax


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
    CURVE: Uncertainty(0.7, 0.20, 0.03),
    WORDS: Uncertainty(3.0, 0.25, 0.04),
}
"""By confidence of the wax. B is how far two lots of "the same" wax differ; the others are scaled from
it; a supplier's sheet hardly ever has a heat of melting. A curve has a kitchen thermometer's own error beside its spread, and
knows of heat and density what the family it may be has. Estimates, no source."""
_BY_TRUST = ("A", "B", SUPPLIER, CURVE, "C", WORDS, "D")

_MIX_LATENT = 0.05
_MIX_DENSITY = 0.005
"""Further share in doubt where waxes were mixed and not measured. Estimates, no source."""


def shares(weights: Sequence[float]) -> tuple[float, ...]:
    """Shares that add up to one, from shares or weights in any unit. Raises `Trouble` for a sum of nothing.

    >>> shares([900, 100])
    (0.9, 0.1)
    """
    if not all(math.isfinite(weight) and weight >= 0 for weight in weights) or not sum(weights) > 0:
        raise Trouble(
            tr("The blend adds up to nothing."), instead=tr("Give at least one wax a share above zero.")
        )
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
    merged = merged_parts(parts)
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
    merged = merged_parts(parts)
    worst = _LOT_SPREAD[_worst(*(wax.confidence for wax, _ in merged))]
    said = [share * (wax.congealing_max_c - wax.congealing_min_c) / 2
            for wax, share in merged if wax.confidence in NOBODY_KNOWS]  # fmt: skip
    if said:
        # Its congealing range is what is known of this very lot, and not how much lots differ.
        wide = math.fsum(said)
        words = any(wax.confidence == WORDS for wax, _ in merged)
        kelvin = max(worst.temperature_k, wide) if words else math.hypot(worst.temperature_k, wide)
        worst = msgspec.structs.replace(worst, temperature_k=kelvin)
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


def merged_parts(parts: Sequence[tuple[Wax, float]]) -> list[tuple[Wax, float]]:
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
