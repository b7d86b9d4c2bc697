"""The rows of a wax of one's own: what its supplier's sheet says, and what a family lends it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import msgspec

from pourday.errors import Trouble
from pourday.language import ntr, tr
from pourday.plan import form_read as read
from pourday.plan.model import Plan
from pourday.plan.rows import Known, Row, folded, put_at
from pourday.plan.wax_words import from_words, span_of
from pourday.units import read_share, show_share, show_temperature
from pourday.wax.materials import Wax, families
from pourday.wax.supplier import from_sheet, own_id, with_figures

Figures = Mapping[str, float | None]


def adopt(plan: Plan, wax: Wax) -> Plan:
    """The plan with an own wax in it, in the place of an older one of its id."""
    others = tuple(each for each in plan.own if each.id != wax.id)
    return msgspec.structs.replace(plan, own=(*others, wax))


def new_own_row(path: str, part: str, nearest: str, known: Known) -> Row:
    """The row that takes the name of a new wax of one's own and gives it to the blend part at `part`."""

    def put(plan: Plan, text: str) -> Plan:
        if not text:
            return plan
        wax_id = own_id(text)
        if all(wax.id != wax_id for wax in plan.own):
            meant = from_words(text, plan.units) or from_sheet(text, nearest, {})
            plan = adopt(plan, known.waxes.get(wax_id) or meant)
        return put_at(plan, f"{part}.wax", wax_id)

    return Row(
        path,
        tr("new wax, its name"),
        "",
        ghost=tr("or “about 60”, “unknown paraffin”"),
        put=put,
    )


def own_rows(plan: Plan, wax: Wax, path: str, *, kept: bool) -> Iterator[Row]:
    """The sheet of one own wax, folded away at `path`; `kept` ones can be forgotten."""
    rows = list(_sheet(plan, wax))
    own = sum(bool(row.value) for row in rows[2:])
    if kept:
        rows.append(Row(f"own.{wax.id}.forget", tr("forget it for other plans"), "", "act"))
    yield from folded(
        f"{path}.sheet",
        tr("its supplier's sheet"),
        ntr("{own} figure of its own", "{own} figures of its own", own, own=own or tr("no")),
        rows,
    )


def _sheet(plan: Plan, wax: Wax) -> Iterator[Row]:
    """Name, nearest family and figures of an own wax."""
    at = f"own.{wax.id}"
    yield Row(f"{at}.name", tr("its name"), wax.name, put=lambda before, text: _renamed(before, wax.id, text))
    names = tuple(each.name for each in families().values())
    yield Row(
        f"{at}.based_on",
        tr("nearest family"),
        families()[wax.based_on].name if wax.based_on in families() else wax.based_on,
        "choice",
        names,
        put=lambda before, text: _moved(before, wax.id, read.choice(text, names, tr("nearest family"))),
    )
    yield from _figures(plan, wax)


def _figures(plan: Plan, wax: Wax) -> Iterator[Row]:
    """The figures of a supplier's sheet, each as it is typed, or as the family lends it."""
    units = plan.units

    def degrees(name: str, label: str) -> Row:
        shown = show_temperature(getattr(wax, name), units)
        return _figure(
            plan,
            wax,
            name,
            label,
            (name,),
            shown,
            lambda t: {name: read.degrees(t, units, label) if t else None},
        )

    def span(name: str, label: str, keys: tuple[str, str], low: float, high: float) -> Row:
        return _figure(
            plan, wax, name, label, keys, read.show_span(low, high, units),
            lambda t: dict(zip(keys, span_of(t, units, field=label) if t else (None, None), strict=True)),
        )  # fmt: skip

    def weight(name: str, label: str) -> Row:
        shown = f"{getattr(wax, name):.0f} kg/m3"
        return _figure(
            plan, wax, name, label, (name,), shown, lambda t: {name: read.density(t, label) if t else None}
        )

    keys = ("congealing_min_c", "congealing_max_c")
    yield span("congealing", tr("congealing point"), keys, wax.congealing_min_c, wax.congealing_max_c)
    yield span("melting", tr("melting range"), ("melt_low_c", "melt_high_c"), wax.solidus_c, wax.liquidus_c)
    yield degrees("max_working_c", tr("never hotter than"))
    yield span("pour", tr("pour range"), ("pour_min_c", "pour_max_c"), wax.pour_min_c, wax.pour_max_c)
    yield weight("density_solid", tr("density, solid"))
    yield weight("density_liquid", tr("density, liquid"))
    yield degrees("density_liquid_at_c", tr("liquid density at"))
    yield _figure(
        plan, wax, "scent_max", tr('holds scent up to'), ("scent_max",), show_share(wax.scent_max),
        lambda t: {"scent_max": read_share(t, tr('holds scent up to')).value if t else None},
    )  # fmt: skip
    yield degrees("flash_point_c", tr("flash point"))


def _figure(
    plan: Plan,
    wax: Wax,
    name: str,
    label: str,
    keys: tuple[str, ...],
    shown: str,
    figures: Callable[[str], Figures],
) -> Row:
    """One figure of the sheet; empty, what the family lends stands there marked as taken."""
    path, given_figures = f"own.{wax.id}.{name}", dict(wax.given)
    is_given = all(key in given_figures for key in keys)
    lender = families()[wax.based_on].short_name if wax.based_on in families() else "nowhere"
    if is_given and name == "melting":
        shown = read.show_span(given_figures["melt_low_c"], given_figures["melt_high_c"], plan.units)

    def put(before: Plan, text: str) -> Plan:
        return adopt(before, with_figures(_own(before, wax.id), figures(text)))

    value = plan.typed.get(path, shown) if is_given else ""
    hint = f"= {shown}" if value not in ("", shown) else ""
    return Row(
        path,
        label,
        value,
        keeps=True,
        hint=hint,
        ghost=tr("{shown}, taken from {lender}", shown=shown, lender=lender),
        put=put,
    )


def _own(plan: Plan, wax_id: str) -> Wax:
    """The own wax of this id. Raises `Trouble` where no family could lend it what its sheet lacks."""
    own_wax = next((wax for wax in plan.own if wax.id == wax_id), None)
    if own_wax is None or own_wax.based_on not in families():
        raise Trouble(
            tr("This wax names no family that could lend it what its sheet does not have."),
            instead=tr("Choose its nearest family first."),
        )
    return own_wax


def _renamed(plan: Plan, wax_id: str, text: str) -> Plan:
    wax = _own(plan, wax_id)
    if not text:
        raise Trouble(tr("Its name: a wax needs one."), instead=tr("Type what stands on its sack."))
    return adopt(plan, from_sheet(text, wax.based_on, dict(wax.given), wax.id))


def _moved(plan: Plan, wax_id: str, name: str) -> Plan:
    """Another family lends what is missing."""
    nearest = next(each.id for each in families().values() if each.name == name)
    wax = next(each for each in plan.own if each.id == wax_id)
    return adopt(plan, from_sheet(wax.name, nearest, dict(wax.given), wax.id))
