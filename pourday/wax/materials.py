"""What each wax family is: temperatures, heats, densities, limits, and where the figures come from.

The table is `waxes.csv` beside this module. Two lots of "the same" wax differ by about 1.5 K,
15 % in latent heat and 2 % in density, so every number taken from here is a start that the
supplier's own sheet outranks.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

import msgspec

from pourday.errors import Trouble
from pourday.language import tr

FAT_WAXES = frozenset({"palm", "soy_container", "soy_pillar", "rapeseed", "coconut_blend"})
"""Ids of the families made of hydrogenated plant fats."""
SUPPLIER = "supplier's sheet"
"""Confidence of a person's own wax: the sheet's figures, and a family's where it has none."""

CURVE, WORDS = "cooling curve", "words"
"""Confidences of a person's own wax that nobody has a sheet of: its cooling curve was read, or somebody said about what
it is. All figures but where it sets are a family's."""
NOBODY_KNOWS = frozenset({CURVE, WORDS})


class Wax(msgspec.Struct, frozen=True, kw_only=True):
    """One wax family or a supplier's own wax. Temperatures in °C, energies in J, SI otherwise."""

    id: str
    name: str
    solidus_c: float
    """Below this the wax has set: wholly solid but for its soft share, where it has one."""
    liquidus_c: float
    """Above this it is wholly liquid."""
    peak_c: float
    """Where most of the main latent heat is taken up or given off."""
    transition_low_c: float | None = None
    """Start of the solid-solid change, where the wax has one."""
    transition_high_c: float | None = None
    soft_share: float = 0.0
    """Share of the wax that melts evenly from `soft_from_c` up to the liquidus, below and through the main range: a
    fat's softer crystals, in a wax that has set and carries all the same. The rest melts in the main range."""
    soft_from_c: float = 0.0
    congealing_min_c: float
    """Lower and upper end of the congealing point, over lots."""
    congealing_max_c: float
    density_solid: float
    """kg/m³ at 20-25 °C."""
    density_liquid: float
    """kg/m³ at `density_liquid_at_c`."""
    density_liquid_at_c: float
    liquid_expansion: float
    """1/K."""
    cp_solid: float
    """J/(kg K), without the solid-solid heat."""
    cp_liquid: float
    latent_main: float
    """J/kg over solidus to liquidus."""
    latent_transition: float
    """J/kg over the solid-solid range; 0 where there is none."""
    latent_total_min: float
    """J/kg, lowest and highest sum of both heats that was published."""
    latent_total_max: float
    conductivity_solid: float
    """W/(m K)."""
    conductivity_liquid: float
    flash_point_c: float
    max_working_c: float
    """Working ceiling of the wax itself."""
    pour_min_c: float
    """Usual range to pour at, before mould and room are thought of."""
    pour_max_c: float
    shrinkage_percent: float = 0.0
    """By volume, liquid at the reference temperature to cold solid."""
    shrinkage_min_percent: float = 0.0
    shrinkage_max_percent: float = 0.0
    scent_max: float
    """Largest scent load the wax holds, share of the wax weight."""
    cure_min_days: int
    cure_max_days: int
    plateau: str
    """Whether a cooling curve shows a plateau: yes, no or maybe."""
    mould_suitable: str
    """`yes`, `no`, `with hardener`, `test first`, or `additive` for one that goes in small parts into others."""
    confidence: str
    """A (several measurements agree) to D (estimate only); `SUPPLIER` for a wax from its supplier's sheet."""
    source_key: str
    based_on: str = ""
    """Id of the family that gave the figures which a supplier's sheet does not have; empty for a family."""
    given: tuple[tuple[str, float], ...] = ()
    """What stood on the supplier's sheet, by the keys of `wax.supplier.FIGURES`."""

    @property
    def kin(self) -> str:
        """Id of the family this wax belongs to or is nearest to."""
        return self.based_on or self.id

    @property
    def short_name(self) -> str:
        """The name without what stands in brackets."""
        return self.name.split(" (")[0]

    @property
    def congealing_c(self) -> float:
        """Middle of the congealing range, °C."""
        return (self.congealing_min_c + self.congealing_max_c) / 2

    def density_at(self, celsius: float) -> float:
        """Liquid density at a temperature, kg/m³: rho_ref (1 - beta (T - T_ref)).

        Below the liquidus the liquid line is simply carried on; a part-solid wax is denser, so
        a weight worked out from it errs on the side of less wax in the mould.

        >>> round(family("paraffin_pillar").density_at(80.0), 1)
        768.6
        """
        return self.density_liquid * (1 - self.liquid_expansion * (celsius - self.density_liquid_at_c))


def _optional(text: str) -> float | None:
    return float(text) if text else None


def _from_row(row: dict[str, str]) -> Wax:
    """A wax from its row of waxes.csv, shares in place of percent."""
    return Wax(
        id=row["family_id"],
        name=tr(row["family_name"]),
        solidus_c=float(row["solidus_c"]),
        liquidus_c=float(row["liquidus_c"]),
        peak_c=float(row["main_peak_c"]),
        transition_low_c=_optional(row["solid_transition_low_c"]),
        transition_high_c=_optional(row["solid_transition_high_c"]),
        soft_share=(_optional(row["soft_share_percent"]) or 0.0) / 100,
        soft_from_c=_optional(row["soft_from_c"]) or 0.0,
        congealing_min_c=float(row["congealing_min_c"]),
        congealing_max_c=float(row["congealing_max_c"]),
        density_solid=float(row["density_solid_kg_m3"]),
        density_liquid=float(row["density_liquid_kg_m3"]),
        density_liquid_at_c=float(row["density_liquid_at_c"]),
        liquid_expansion=float(row["liquid_expansion_1_k"]),
        cp_solid=float(row["cp_solid_j_kg_k"]),
        cp_liquid=float(row["cp_liquid_j_kg_k"]),
        latent_main=float(row["latent_heat_main_j_kg"]),
        latent_transition=float(row["latent_heat_solid_transition_j_kg"]),
        latent_total_min=float(row["latent_heat_total_min_j_kg"]),
        latent_total_max=float(row["latent_heat_total_max_j_kg"]),
        conductivity_solid=float(row["conductivity_solid_w_m_k"]),
        conductivity_liquid=float(row["conductivity_liquid_w_m_k"]),
        flash_point_c=float(row["flash_point_c"]),
        max_working_c=float(row["max_working_c"]),
        pour_min_c=float(row["pour_min_c"]),
        pour_max_c=float(row["pour_max_c"]),
        shrinkage_percent=float(row["shrinkage_vol_percent"]),
        shrinkage_min_percent=float(row["shrinkage_vol_min_percent"]),
        shrinkage_max_percent=float(row["shrinkage_vol_max_percent"]),
        scent_max=float(row["fragrance_max_percent"]) / 100,
        cure_min_days=int(row["cure_min_days"]),
        cure_max_days=int(row["cure_max_days"]),
        plateau=row["cooling_curve_plateau_expected"],
        mould_suitable=row["mould_suitable"],
        confidence=row["confidence"],
        source_key=row["source_key"],
    )


@cache
def families() -> dict[str, Wax]:
    """Every wax family of the table by its id, in the table's order."""
    text = files("pourday.wax").joinpath("waxes.csv").read_text(encoding="utf-8")
    return {row["family_id"]: _from_row(row) for row in csv.DictReader(text.splitlines())}


def family(wax_id: str) -> Wax:
    """The wax family with this id. Raises `Trouble` naming those there are."""
    try:
        return families()[wax_id]
    except KeyError:
        known = ", ".join(families())
        raise Trouble(
            tr("There is no wax family called “{wax_id}”.", wax_id=wax_id),
            instead=tr("Known ones are: {known}.", known=known),
        ) from None


class Source(msgspec.Struct, frozen=True):
    """Where a figure comes from."""

    key: str
    reference: str
    read: str
    """What of it was read, or that it was remembered or estimated."""


@cache
def _references() -> dict[str, Source]:
    text = files("pourday.wax").joinpath("sources.csv").read_text(encoding="utf-8")
    return {row["key"]: Source(**row) for row in csv.DictReader(text.splitlines())}


def limit_sources(wax: Wax) -> tuple[Source, Source] | None:
    """Where flash point and working ceiling of a family come from, each by itself; None for a wax that is none."""
    text = files("pourday.wax").joinpath("waxes.csv").read_text(encoding="utf-8")
    row = next((row for row in csv.DictReader(text.splitlines()) if row["family_id"] == wax.id), None)
    if row is None:
        return None
    return _references()[row["flash_point_source"]], _references()[row["max_working_source"]]


def sources(wax: Wax) -> tuple[Source, ...]:
    """Where the figures of a wax come from; a key that the table of sources does not know is its own reference."""
    keys = [key for key in wax.source_key.split(";") if key]
    return tuple(_references().get(key, Source(key, key, "")) for key in keys)
