"""Where each figure comes from: the formula or source behind a row of the form or a line of the sheet."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.language import figures, tr
from pourday.plan.model import Plan
from pourday.plan.waxes import own_of, parts_of, waxes_of
from pourday.plan.weigh import WALL_GAP
from pourday.plan.wick import WIDEST_FOR_ONE
from pourday.units import DROP, show_share, show_temperature
from pourday.wax.blend import uncertainty
from pourday.wax.materials import SUPPLIER, Wax, families, limit_sources, sources
from pourday.wax.supplier import lent_figures
from pourday.wax.working_heat import CRYSTALS_GONE, JUG_LOSS, MOLTEN_MARGIN, UNDER_CEILING

_TRADE = tr("Common practice, no source.")
_BY_FIELD = {
    "room_c": tr(
        "The room as typed; it moves the pour temperature by half a degree for each degree (estimate)."
    ),
    "altitude": tr(
        "Pressure by the U.S. Standard Atmosphere 1976, boiling point by IAPWS-IF97 region 4; the wax stays 2 to 5 °C below the water (estimate)."
    ),
    "scale_step": tr("As typed. Amounts are rounded to it by largest remainder, so that parts still add up."),
    "shape": tr(
        "Volumes in closed form by the shape. A mould known by water: weight over 998.2 kg/m³ (CRC Handbook, 20 °C), between weighings a monotone cubic (Fritsch and Butland 1984)."
    ),
    "below_rim": tr("As typed; 6 mm to begin with. ") + _TRADE,
    "material": tr(
        "Metal chills and wants the middle of the wax's pour range, plastic and silicone a fifth of it, glass its lower end. "
    )
    + _TRADE,
    "limit_c": tr("By the mould's maker. Rigid plastic mostly stands 80 to 88 °C, glass 54 to 66 °C. ")
    + _TRADE,
    "set_weight": tr("What a candle from this mould weighed; it replaces the estimate by shape and density."),
    "plug": tr("As typed; 10 mm to begin with. {trade}", trade=_TRADE),
    "vessel_keeps": tr(
        "As typed; 10 g to begin with. A jug with its spoon keeps 8 to 15 g whatever its size. {trade}",
        trade=_TRADE,
    ),
    "loss": tr(
        "As typed; 2 % to begin with. With what the vessels keep, 3 to 10 % of a batch are lost. {trade}",
        trade=_TRADE,
    ),
    "pot": tr("As measured, to the brim."),
    "bath": tr(
        "As measured, full. Where you do not say, 1.75 l around a pot of 2 l, and more around a larger one by its surface: an estimate. How fast it heats, how far it carries and when it wants water rest on it."
    ),
    "at_hand": tr("As weighed. Too little is said among the findings."),
    "price_per_kg": tr("As typed; the cost of a candle is its part of all finished weight."),
    "scent_price_per_kg": tr("As typed; it counts towards the cost of a candle."),
    "swatch": tr("For the picture only: a screen cannot match set wax."),
    "colours": tr(
        "Your own words. Names of wax have swatches mixed by eye, others are those that CSS names (W3C, CSS Color Module Level 4); dark, light and pale are mixed with black and white by eye. For the picture only."
    ),
    "share": tr("As typed; shares are scaled to make one whole."),
    "scent_load": tr(
        "As typed, of the wax. Content is load / (1 + load): 1 oz a pound is 6.25 % load, 5.88 % content. The wax's limit is in the wax table or on its sheet."
    ),
    "scent_limit": tr("From the scent's own sheet, as typed. It outranks what the wax would hold."),
    "scent_flash_c": tr("From the scent's own sheet, as typed. A caution about naked flames, no limit."),
    "dye_load": tr(
        "As typed, of the wax. A drop counts as {drop:.2f} g. {trade}", drop=DROP * 1000, trade=_TRADE
    ),
    "scents": tr(
        "As typed; the shares are of all the scent of the layer, by weight, and are scaled to make one whole."
    ),
    "dyes": tr(
        "As typed; the shares are of all the dye of the layer, by weight, and are scaled to make one whole."
    ),
    "dye_form": tr("Highest usual loads: liquid 0.15 %, pure 0.2 %, block 1 %. ") + _TRADE,
    "wick": tr(
        "A range by diameter, one size up in a vessel, for hard-drawing wax or for 8 % scent and more; several above {widest_for_one:.0f} mm, never more than the mould has holes; on a tab in votives and vessels. {trade} The burn test decides.",
        widest_for_one=WIDEST_FOR_ONE * 1000,
        trade=_TRADE,
    ),
    "holes": tr("As counted. A mould takes no more wicks than it has holes."),
    "stays": tr("As said. A candle in a glass or tin has no hole to seal and is never demoulded. ") + _TRADE,
}
_SHEET = (
    (tr("wax, once set"), tr("Fill volume by the shape, times the solid density of the wax.")),
    (
        "candle",
        tr(
            "The wax once set, less the gap at the wall, {wall_gap:.0%} of the wax's shrinkage (common practice, no source), or what one weighed before.",
            wall_gap=WALL_GAP,
        ),
    ),
    (
        "pours",
        tr("Room up to the line, on what stands there set, times the liquid density at pour temperature."),
    ),
    ("top-up", tr("The candle less all pours; a later layer also fills the dip of the one below.")),
    (
        tr("heat to"),
        tr(
            "All parts molten and {molten_margin:.0f} °C more (what ASTM D87 asks), or the pour and {jug_loss:.0f} °C lost in the jug (estimate); plant fats {crystals_gone:.0f} °C at least, so that old crystals go (75 to 85 °C: common practice, no source); always {under_ceiling:.0f} °C under the hottest that any of its waxes may get (estimate).",
            molten_margin=MOLTEN_MARGIN,
            jug_loss=JUG_LOSS,
            crystals_gone=CRYSTALS_GONE,
            under_ceiling=UNDER_CEILING,
        ),
    ),
    ("wick", _BY_FIELD["wick"]),
)


def origin_of(plan: Plan, path: str) -> list[str]:
    """Sentences about the figure at one row's path; none where a row is only a person's own words."""
    name = path.rpartition(".")[2]
    if path == "pour_c":
        return list(_pours(plan))
    if path.startswith("own.") or name == "wax":
        return [says for wax in _named(plan, path) for says in wax_origin(wax, plan)]
    if ".shape" in path:
        name = "shape"
    return [_BY_FIELD[name]] if name in _BY_FIELD else []


def origins(plan: Plan) -> list[tuple[str, list[str]]]:
    """(name, sentences) for every figure of the weigh sheet. Raises `Trouble` for an unknown wax."""
    groups = [(name, [says]) for name, says in _SHEET]
    groups.insert(2, (tr("pour temperature"), list(_pours(plan))))
    known = own_of(plan)
    used = [wax for wax, _ in parts_of(plan.blend, known)]
    for index, layer in enumerate(plan.layers):
        used += [wax for wax, _ in parts_of(layer.blend, known, f"layers.{index}.blend")]
    groups += [(wax.short_name, wax_origin(wax, plan)) for wax in dict.fromkeys(used)]
    return groups


def wax_origin(wax: Wax, plan: Plan) -> list[str]:
    """What a wax's figures are, how far a lot may be off, and who says so."""
    off = uncertainty([(wax, 1.0)])
    degrees = figures(
        "{temperature_k:.1f}", temperature_k=off.temperature_k * (1 if plan.units == "metric" else 1.8)
    )
    says = [
        tr(
            "Sets at {sets}, solid {density_solid:.0f} kg/m³, liquid {density_liquid:.0f} kg/m³ at {hot}.",
            sets=show_temperature(wax.congealing_c, plan.units),
            density_solid=wax.density_solid,
            density_liquid=wax.density_liquid,
            hot=show_temperature(wax.density_liquid_at_c, plan.units),
        ),
        tr(
            "Confidence {confidence}; a lot may be off by {degrees} degrees, {heat} in heat, {density} in density.",
            confidence=wax.confidence,
            degrees=degrees,
            heat=show_share(off.latent_share),
            density=show_share(off.density_share),
        ),
    ]
    if wax.confidence == SUPPLIER:
        lender = families()[wax.based_on].name if wax.based_on in families() else wax.based_on
        own = ", ".join(_words(key) for key, _ in wax.given) or tr("nothing yet")
        lent = ", ".join(_words(key) for key in lent_figures(wax))
        says.append(tr("From its supplier's sheet: {own}.", own=own))
        says.append(tr("Taken from {lender}: {lent}, and all heats.", lender=lender, lent=lent))
    limits = limit_sources(wax)
    if limits is not None:
        says.append(
            tr(
                "Flash point {flash}: {flash_source}. Hottest it is worked, {hottest}: {hottest_source}.",
                flash=show_temperature(wax.flash_point_c, plan.units),
                flash_source=limits[0].reference,
                hottest=show_temperature(wax.max_working_c, plan.units),
                hottest_source=limits[1].reference,
            )
        )
    for source in sources(wax):
        key = f"{source.key}: " if source.key != source.reference else ""
        read = f" ({source.read})" if source.read else ""
        says.append(f"{key}{source.reference}{read}.")
    return says


def _words(key: str) -> str:
    """A figure of a sheet as it is called."""
    words = key.removesuffix("_c").replace("_", " ")
    return {"max working": "ceiling", "melt low": tr("melting from"), "melt high": tr("melting to")}.get(
        words, words
    )


def _named(plan: Plan, path: str) -> Iterator[Wax]:
    """The wax of a blend row, or the own wax of a sheet row."""
    known = own_of(plan)
    if path.startswith("own."):
        wax_id = path.split(".")[1]
    else:
        blend = plan.layers[int(path.split(".")[1])].blend if path.startswith("layers.") else plan.blend
        wax_id = blend[int(path.split(".")[-2])].wax
    wax = known.get(wax_id) or families().get(wax_id)
    if wax is not None:
        yield wax


def _pours(plan: Plan) -> Iterator[str]:
    """Where the pour temperature comes from."""
    if plan.pour_c is not None:
        yield tr("As you asked; findings say what speaks against it.")
    for wax in dict.fromkeys(waxes_of(plan)):
        low, high = (show_temperature(each, plan.units) for each in (wax.pour_min_c, wax.pour_max_c))
        sets = show_temperature(wax.congealing_c, plan.units)
        yield tr(
            "{short_name} sets at {sets} and is poured at {low} to {high}.",
            short_name=wax.short_name,
            sets=sets,
            low=low,
            high=high,
        )
    yield (
        tr(
            "An offset from the congealing point by mould material and room, kept within that range, under the hottest that the wax may get and the mould stands. Common practice, no source."
        )
    )
