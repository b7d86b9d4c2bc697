"""A wax from its supplier's sheet: what the sheet says, and the nearest family for what it does not say.

A sheet has a handful of figures and hardly ever a heat. What is missing is taken from the family that
the person names as nearest; temperatures are moved along with the congealing or melting point, so that
a wax that melts 4 K lower is also poured 4 K lower. `Wax.given` keeps which figures are the sheet's own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.language import tr
from pourday.wax.materials import NOBODY_KNOWS, SUPPLIER, Wax, families, family

FIGURES = (
    "congealing_min_c",
    "congealing_max_c",
    "melt_low_c",
    "melt_high_c",
    "max_working_c",
    "pour_min_c",
    "pour_max_c",
    "density_solid",
    "density_liquid",
    "density_liquid_at_c",
    "scent_max",
    "flash_point_c",
)
"""What a sheet may say: °C, kg/m³ and a share."""
_MOVED = ("solidus_c", "peak_c", "liquidus_c", "pour_min_c", "pour_max_c")
"""Temperatures of the family that are moved along with the melting or congealing point."""
_PREFIX = "own-"
_LONGEST_ID = 40
"""Characters of a name that go into its id."""


def own_id(name: str) -> str:
    """The id of an own wax of this name. Raises `Trouble` for a name without a letter or a digit."""
    words = "-".join(re.findall(r"\w+", name.casefold()))[:_LONGEST_ID].strip("-_")
    if not words:
        raise Trouble(
            tr("A wax cannot be called “{name}”.", name=name),
            instead=tr("Give it a name with letters or digits."),
        )
    return _PREFIX + words


def from_sheet(
    name: str, nearest: str, given: Mapping[str, float], wax_id: str = "", confidence: str = SUPPLIER
) -> Wax:
    """A wax of one's own: `given` figures (keys of `FIGURES`), the rest from the family `nearest`.

    The upper end of a sheet's melting range is taken for where the wax is wholly liquid; a range on a
    sheet is how much lots differ and not how long one lot takes to set, so the family's width below that
    is kept where it is wider. Where one density is given, the other follows by the family's shrinkage.
    Both are estimates. `confidence` says where the figures come from, where that is no sheet. Raises `Trouble` for a
    family that is not known.

    Soy of 50 °C is poured from 65 °C, so one that congeals at 46 °C is poured from 61 °C:

    >>> from_sheet("House soy", "soy_pillar", {"congealing_min_c": 46.0, "congealing_max_c": 46.0}).pour_min_c
    61.0
    """
    base = family(nearest)
    figures = {key: given[key] for key in FIGURES if key in given}
    changes: dict[str, Any] = {
        **_temperatures(base, figures),
        **_densities(base, figures),
        **{key: figures[key] for key in ("scent_max", "flash_point_c") if key in figures},
    }
    return replace(
        base,
        id=wax_id or own_id(name),
        name=name,
        confidence=confidence,
        source_key=tr(
            "{confidence} of {name};{source_key}",
            confidence=confidence,
            name=name,
            source_key=base.source_key,
        ),
        based_on=base.id,
        given=tuple(figures.items()),
        **changes,
    )


def with_figures(wax: Wax, changes: Mapping[str, float | None]) -> Wax:
    """An own wax with figures of its sheet changed; None for a figure takes the family's again."""
    figures = {**dict(wax.given), **changes}
    on_sheet = {key: value for key, value in figures.items() if value is not None}
    # Whoever types where it sets has a sheet of it.
    has_sheet = wax.confidence not in NOBODY_KNOWS or {"congealing_min_c", "melt_high_c"} & changes.keys()
    return from_sheet(wax.name, wax.based_on, on_sheet, wax.id, SUPPLIER if has_sheet else wax.confidence)


def lent_figures(wax: Wax) -> tuple[str, ...]:
    """Keys of `FIGURES` that the sheet of an own wax did not have, so that they were taken from its family."""
    sheet_figures = dict(wax.given)
    return tuple(key for key in FIGURES if key not in sheet_figures) if wax.based_on in families() else ()


def _temperatures(base: Wax, given: dict[str, float]) -> dict[str, float]:
    """All temperatures of an own wax, °C: the sheet's where it has them, else the family's moved."""
    by_melting = given["melt_high_c"] - base.liquidus_c if "melt_high_c" in given else None
    congealing = _congealing(base, given, by_melting or 0.0)
    moved = sum(congealing) / 2 - base.congealing_c if by_melting is None else by_melting
    moved_c = {name: getattr(base, name) + moved for name in _MOVED}
    moved_c["congealing_min_c"], moved_c["congealing_max_c"] = congealing
    if base.transition_low_c is not None and base.transition_high_c is not None:
        moved_c["transition_low_c"] = base.transition_low_c + moved
        moved_c["transition_high_c"] = base.transition_high_c + moved
    if "melt_low_c" in given:
        moved_c["solidus_c"] = min(moved_c["solidus_c"], given["melt_low_c"])
    moved_c["max_working_c"] = given.get("max_working_c", base.max_working_c)
    for name in ("pour_min_c", "pour_max_c"):
        moved_c[name] = given.get(name, min(moved_c[name], moved_c["max_working_c"]))
    return moved_c


def _congealing(base: Wax, given: dict[str, float], moved: float) -> tuple[float, float]:
    """Congealing range, °C: the sheet's where it has both ends, else the family's moved by so many K."""
    low, high = given.get("congealing_min_c"), given.get("congealing_max_c")
    if low is None or high is None:
        return base.congealing_min_c + moved, base.congealing_max_c + moved
    return low, high


def _densities(base: Wax, given: dict[str, float]) -> dict[str, float]:
    """Solid and liquid density in kg/m³, and the shrinkage in per cent that follows from the two."""
    at = given.get("density_liquid_at_c", base.density_liquid_at_c)
    solid, liquid = given.get("density_solid"), given.get("density_liquid")
    ratio = max(base.density_at(at) / base.density_solid, 0.1)
    if solid is None:
        solid = base.density_solid if liquid is None else liquid / ratio
    if liquid is None:
        liquid = solid * ratio
    return {
        "density_solid": solid,
        "density_liquid": liquid,
        "density_liquid_at_c": at,
        "shrinkage_percent": 100 * (1 - liquid / solid) if solid else 0.0,
    }
