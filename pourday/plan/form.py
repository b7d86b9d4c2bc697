"""The plan as a form: which rows there are, what stands in each, and what a typed text does to the plan.

Pure: text in, a new plan out. A row is named by the path of its field (`moulds.0.shape.diameter`). The
rows of moulds, waxes and layers are made in modules of their own.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

import msgspec

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.plan import form_read as read
from pourday.plan.bath import usual_bath
from pourday.plan.form_layers import MOST_LAYERS, layer_rows
from pourday.plan.form_moulds import MOST_MOULDS, mould_rows
from pourday.plan.form_read import MOST_COUNT
from pourday.plan.form_wax import blend_rows
from pourday.plan.model import Plan, ScentBasis, WaterFilled
from pourday.plan.rows import (
    NOTHING,
    Known,
    Row,
    choice_row,
    degree_unit,
    degrees_row,
    folded,
    get_at,
    length_unit,
    mass_unit,
    maybe_row,
    price_row,
    text_row,
    visible,
    word_row,
)
from pourday.plan.waxes import waxes_of
from pourday.text import plain
from pourday.units import (
    read_altitude,
    read_length,
    read_mass,
    read_share,
    read_volume,
    show_altitude,
    show_length,
    show_mass,
    show_share,
    show_temperature,
    show_volume,
)
from pourday.wax.working_heat import pour_temperature

__all__ = ["MOST_COUNT", "MOST_LAYERS", "MOST_MOULDS", "Known", "Row", "act", "row_for", "rows", "set_field"]

LONGEST = 120
"""Characters of a row: a note on a lot has room, a pasted page has not."""
_BASES: tuple[ScentBasis, ...] = get_args(ScentBasis)
_UNITS = ("metric", "us")


def rows(plan: Plan, known: Known = NOTHING, opened: frozenset[str] | None = None) -> list[Row]:
    """Every row of the form for this plan, in order; with `opened`, those under other folds left out."""
    form_rows = [
        *_day(plan),
        *mould_rows(plan, known),
        *blend_rows(plan, "blend", known, tr("Wax")),
        *_pot(plan),
        *layer_rows(plan, known),
        *_scent(plan),
    ]
    return form_rows if opened is None else visible(form_rows, opened)


def set_field(plan: Plan, path: str, text: str, known: Known = NOTHING) -> Plan:
    """The plan with one row set from what was typed. Raises `Trouble` naming the row."""
    text = plain(text, LONGEST)
    row = _row(plan, path, known)
    assert row.put is not None
    changed = row.put(plan, text)
    if not row.keeps:
        return changed
    if row.unit and read.is_bare(text):
        text = f"{text} {row.unit}"
    typed = {key: value for key, value in changed.typed.items() if key != path}
    if text:
        typed[path] = text
    return msgspec.structs.replace(changed, typed=typed)


def act(plan: Plan, path: str, known: Known = NOTHING) -> Plan:
    """The plan after one of the form's own acts: another mould, a copy, one less. Raises `Trouble`."""
    row = _row(plan, path, known)
    assert row.put is not None
    return row.put(plan, "")


def _row(plan: Plan, path: str, known: Known) -> Row:
    """The row at a path. Raises `Trouble` where the form has none that can be changed."""
    chosen = next((row for row in rows(plan, known) if row.path == path and row.put), None)
    if chosen is None:
        raise Trouble(tr("The form has no row “{path}” for this plan.", path=path))
    return chosen


_ELSEWHERE = {"moulds": "moulds.0.count", "layers": "layers.0.colour", "blend": "blend.0.wax"}


def row_for(plan: Plan, field: str, among: list[Row]) -> Row | None:
    """The row to stand on for a field of the plan that something was said about: itself, or the nearest."""
    wanted = _ELSEWHERE.get(field, field)
    if ".shape.points." in wanted:
        wanted = _water_row(plan, wanted)
    while wanted:
        for row in among:
            if row.kind in ("text", "choice") and (row.path == wanted or row.path.startswith(f"{wanted}.")):
                return row
        wanted = wanted.rpartition(".")[0]
    return None


def _water_row(plan: Plan, field: str) -> str:
    """The rim's height and water have a row each; all weighings below it share one."""
    at, _, rest = field.partition(".points.")
    index, _, name = rest.partition(".")
    shape = get_at(plan, at)
    rim = isinstance(shape, WaterFilled) and index == str(len(shape.points) - 1)
    return f"{at}.{name if rim and name else 'table'}"


def _day(plan: Plan) -> Iterator[Row]:
    """The rows of the day itself."""
    units = plan.units
    yield word_row(
        "title", tr("name of the session"), plan.title, head=tr("The day"), ghost=tr("may be empty")
    )
    room = show_temperature(plan.room_c, units)
    yield text_row(
        plan,
        "room_c",
        tr("room"),
        room,
        lambda text: read.degrees(text, units, tr("room"), room=True),
        unit=degree_unit(units),
    )
    summary = ", ".join(
        (
            word(plan.units),
            show_altitude(plan.altitude, units),
            tr("scale {scale_step:g} g", scale_step=plan.scale_step * 1000),
        )
    )
    yield from folded("day.more", tr("units, altitude, scale"), summary, _kitchen(plan))


def _kitchen(plan: Plan) -> Iterator[Row]:
    """What is the same on most days, and comes from the settings."""
    units = plan.units
    yield choice_row("units", tr("units"), plan.units, _UNITS)
    yield text_row(
        plan,
        "altitude",
        tr("altitude"),
        show_altitude(plan.altitude, units),
        lambda text: read_altitude(text, units, tr("altitude")).value,
        hint=tr("sets where water boils"),
        unit="m" if units == "metric" else "ft",
    )
    yield text_row(
        plan,
        "scale_step",
        tr("scale steps"),
        tr("{scale_step:g} g", scale_step=plan.scale_step * 1000),
        lambda text: read.scale_step(text, units, tr("scale steps")),
        hint=tr("1 g, 0.1 g, 0.05 oz"),
        unit=mass_unit(units),
    )


def _pot(plan: Plan) -> Iterator[Row]:
    """The rows of pot, plug and losses."""
    units = plan.units
    ghost = _computed_pour(plan)
    yield degrees_row(plan, "pour_c", tr("pour at"), plan.pour_c, ghost=ghost, head=tr("Pot and pour"))
    yield text_row(
        plan,
        "plug",
        tr("plug"),
        show_length(plan.plug, units),
        lambda text: read_length(text, units, tr("plug")).value,
        hint=tr("seals the wick hole; 0 for none"),
        unit=length_unit(units),
    )
    holds = "" if plan.pot is None else show_volume(plan.pot, units)
    pot = maybe_row(
        plan,
        "pot",
        tr("pot holds"),
        plan.pot,
        lambda volume: show_volume(volume, units),
        lambda text: read_volume(text, units, tr("pot holds")).value,
        unit="l" if units == "metric" else "qt",
        ghost=tr("not measured"),
    )
    bath = maybe_row(
        plan,
        "bath",
        tr("water in the bath"),
        plan.bath,
        lambda volume: show_volume(volume, units),
        lambda text: read_volume(text, units, tr("water in the bath")).value,
        unit="l" if units == "metric" else "qt",
        ghost=f"~{show_volume(usual_bath(plan), units)}",
        hint=tr("when it is full; says how fast it heats and boils away"),
    )
    keeps = text_row(
        plan,
        "vessel_keeps",
        tr("each vessel keeps"),
        show_mass(plan.vessel_keeps, units, plan.scale_step),
        lambda text: read_mass(text, units, tr("each vessel keeps")).value,
        unit=mass_unit(units),
        hint=tr("each, spoon and all, however little is made"),
    )
    loss = text_row(
        plan,
        "loss",
        tr("and are lost"),
        show_share(plan.loss),
        lambda text: read_share(text, tr("and are lost")).value,
        unit="%",
        hint=tr("of what is poured, in drips and wiping"),
    )
    each = show_mass(plan.vessel_keeps, units, plan.scale_step)
    summary = tr("{each} a vessel and {share} stay behind", each=each, share=show_share(plan.loss)) + (
        tr(", holds {holds}", holds=holds) if holds else ""
    )
    yield from folded("pot.more", tr("pot, bath and losses"), summary, [pot, bath, keeps, loss])


def _computed_pour(plan: Plan) -> str:
    """What the pour temperature comes to where none is asked for."""
    try:
        waxes = dict.fromkeys(waxes_of(plan))
    except Trouble:
        return tr("computed")
    computed = {
        pour_temperature(wax, mould.material, plan.room_c, None, mould.limit_c)
        for wax in waxes
        for mould in plan.moulds
    }
    ends = (
        [show_temperature(celsius, plan.units) for celsius in (min(computed), max(computed))]
        if computed
        else []
    )
    return tr(
        "computed: {ends}",
        ends=tr("{low} to {high}", low=ends[0], high=ends[1]) if len(set(ends)) == 2 else "".join(ends[:1]),
    )


def _scent(plan: Plan) -> Iterator[Row]:
    """The rows of what is true of scent and dye in every layer."""
    head = tr("Scent and dye")
    yield word_row("scent_lot", tr("scent and its lot"), plan.scent_lot, head=head, ghost=tr("not noted"))
    yield word_row("dye_lot", tr("dye and its lot"), plan.dye_lot, ghost=tr("not noted"))
    yield from folded("scent.more", tr("limits and price of scent"), _scent_summary(plan), _limits(plan))


def _scent_summary(plan: Plan) -> str:
    said = [tr("on top of the wax") if plan.scent_basis == "on top" else tr("within the weight")]
    if plan.scent_limit is not None:
        said.append(tr("at most {share}", share=show_share(plan.scent_limit)))
    return ", ".join(said)


def _limits(plan: Plan) -> Iterator[Row]:
    """How scent and dye count, and the figures of the scent, for the whole plan."""
    hint = tr("on top of the wax, or within the weight")
    yield choice_row("scent_basis", tr("scent and dye count"), plan.scent_basis, _BASES, hint=hint)
    yield maybe_row(
        plan,
        "scent_limit",
        tr("its sheet allows"),
        plan.scent_limit,
        show_share,
        lambda text: read_share(text, tr("its sheet allows")).value,
        unit="%",
        ghost=tr("not given"),
    )
    yield degrees_row(plan, "scent_flash_c", tr("its flash point"), plan.scent_flash_c, ghost=tr("not given"))
    price = plan.scent_price_per_kg
    yield price_row(plan, "scent_price_per_kg", price, ghost=tr("like 60/kg, 8 for 100 g"))
