"""The weigh sheet beside the form: plain lines that follow each key."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.plan.findings import findings
from pourday.plan.model import Plan
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.tui.lines import EMPTY, Line, fit, line, wrap
from pourday.units import show_mass, show_temperature

JOBS = {"note": "soft", "caution": "late", "stop-and-think": "alarm"}


def finding_at(plan: Plan, path: str) -> tuple[str, str] | None:
    """The finding about the row under the cursor, else the gravest: its sentence and its job."""
    try:
        found = findings(plan)
    except Trouble:
        return None
    if not found:
        return None
    chosen = next((f for f in found if f.about == path), found[0])
    more = f" ({len(found) - 1} more)" if len(found) > 1 else ""
    return f"{chosen.level}{more}: {chosen.what} {chosen.do}", JOBS[chosen.level]


def draw_sheet(plan: Plan, cells: int, rows: int) -> list[Line]:
    """What the plan weighs out to, or the one sentence that says why it cannot be."""
    try:
        sheet = weigh_sheet(plan)
    except Trouble as trouble:
        return [line("Weigh sheet", "glow bold"), EMPTY, *wrap(str(trouble), cells, "late")][:rows]
    drawn = [
        line("Weigh sheet (estimates until weighed)", "glow bold"),
        *_moulds(plan, sheet),
        EMPTY,
        *_jugs(plan, sheet),
        EMPTY,
        *_pot(plan, sheet),
    ]
    for finding in findings(plan, sheet):
        drawn += [
            EMPTY,
            *wrap(f"{finding.level}: {finding.what} {finding.why} {finding.do}", cells, JOBS[finding.level]),
        ]
    return [fit(row, cells) for row in drawn[:rows]]


def _moulds(plan: Plan, sheet: WeighSheet) -> list[Line]:
    def mass(kg: float) -> str:
        return show_mass(kg, plan.units, plan.scale_step)

    drawn: list[Line] = []
    for mould in sheet.moulds:
        drawn.append(
            (
                (f"{mould.letter} {mould.name}".strip(), "ink bold"),
                (f"  set {mass(mould.set_weight)}", "ink bold"),
                (f", candle ~{mass(mould.finished)}", "soft"),
            )
        )
        if mould.plug:
            drawn.append(line(f"  plug      {mass(mould.plug.kg):>7} first", "ink"))
        for pour in mould.pours:
            name = plan.layers[pour.layer].colour or f"layer {pour.layer + 1}"
            deep = f"{pour.below_rim * 1000:.0f} mm to rim"
            drawn.append(line(f"  {name[:9]:<9} {mass(pour.kg):>7} hot, {deep}", "ink"))
        drawn.append(line(f"  top-up    {mass(mould.top_up.kg):>7} kept back", "ink"))
    return drawn


def _jugs(plan: Plan, sheet: WeighSheet) -> list[Line]:
    drawn: list[Line] = []
    for jug in sheet.jugs:
        name = plan.layers[jug.layer].colour or f"layer {jug.layer + 1}"
        wax = show_mass(jug.wax, plan.units, plan.scale_step)
        scent = show_mass(jug.scent, plan.units, min(plan.scale_step, 1e-4))
        drawn.append(line(f"jug {jug.layer + 1} {name[:9]:<9} wax {wax}", "ink"))
        drawn.append(line(f"      scent {scent}  dye {jug.dye * 1000:.2f} g", "soft"))
    return drawn


def _pot(plan: Plan, sheet: WeighSheet) -> list[Line]:
    units = plan.units
    total = show_mass(sheet.total_wax, units, plan.scale_step)
    lost = show_mass(sum(jug.allowance for jug in sheet.jugs), units, plan.scale_step)
    return [
        line(f"melt {total} of wax, {lost} of it for pot and jug", "ink"),
        line(
            f"heat to {show_temperature(sheet.melt_to_c, units)}, never above "
            f"{show_temperature(sheet.ceiling_c, units)}",
            "ink",
        ),
        line(f"{sheet.wax.name}, confidence {sheet.wax.confidence}", "soft"),
        line("The supplier's sheet outranks all of this.", "soft"),
    ]
