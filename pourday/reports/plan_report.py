"""A plan file weighed out without a screen: as text for a person, as plain data for a program."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec

from pourday.errors import Trouble
from pourday.plan.findings import findings
from pourday.plan.model import Plan
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.plan.wick import wicks_of
from pourday.text import plain
from pourday.units import show_mass, show_share, show_temperature

LARGEST = 1_000_000
"""Bytes; a plan is a few kilobytes."""


def read_plan(path: Path) -> Plan:
    """The plan of a JSON file. Raises `Trouble` naming the file and the place."""
    name = plain(str(path), 200)
    try:
        if path.stat().st_size > LARGEST:
            raise Trouble(f"{name} is too large for a plan.", "A plan is a few kilobytes of JSON.")
        data = path.read_bytes()
    except OSError as error:
        raise Trouble(f"{name} cannot be read.", plain(error.strerror or str(error), 200) + ".") from None
    try:
        return msgspec.json.decode(data, type=Plan)
    except (msgspec.DecodeError, RecursionError) as error:
        raise Trouble(
            f"{name} is not a plan.",
            f"{plain(str(error), 200)}.",
            "“pourday schema --plan” says what one looks like.",
        ) from None


def plan_schema() -> bytes:
    """The JSON Schema of a plan file."""
    return msgspec.json.format(msgspec.json.encode(msgspec.json.schema(Plan)))


def plan_data(plan: Plan) -> dict[str, Any]:
    """Weigh sheet, wicks and findings as plain data; kg, m, °C."""
    sheet = weigh_sheet(plan)
    data: dict[str, Any] = msgspec.to_builtins(
        {
            "sheet": sheet,
            "wicks": [wick.words for wick in wicks_of(plan)],
            "findings": findings(plan, sheet),
        }
    )
    return data


def plan_text(plan: Plan) -> list[str]:
    """The same for a person, in the plan's units."""
    sheet = weigh_sheet(plan)
    lines = [plan.title or "A plan", ""]
    for mould, wick in zip(sheet.moulds, wicks_of(plan), strict=False):
        lines += [*_mould(plan, sheet, mould.letter), f"    wick       {wick.words}"]
    lines.append("")
    for jug in sheet.jugs:
        name = plan.layers[jug.layer].colour or f"layer {jug.layer + 1}"
        wax = show_mass(jug.wax, plan.units, plan.scale_step)
        scent = show_mass(jug.scent, plan.units, min(plan.scale_step, 1e-4))
        lines.append(
            f"jug {jug.layer + 1} {name}: wax {wax}, scent {scent} (load {show_share(jug.scent_load)}, "
            f"content {show_share(jug.scent_content)}), dye {jug.dye * 1000:.2f} g"
        )
    lines.append("")
    for need in sheet.waxes:
        lines.append(f"melt {show_mass(need.kg, plan.units, plan.scale_step)} of {need.name}")
    heat = show_temperature(sheet.melt_to_c, plan.units)
    lines.append(f"heat to {heat}, never above {show_temperature(sheet.ceiling_c, plan.units)}")
    for finding in findings(plan, sheet):
        lines += ["", f"{finding.level}: {finding.what}", f"  {finding.why}", f"  {finding.do}"]
    return [*lines, "", "Estimates until weighed. The supplier's sheet outranks all of this."]


def _mould(plan: Plan, sheet: WeighSheet, letter: str) -> list[str]:
    def mass(kg: float) -> str:
        return show_mass(kg, plan.units, plan.scale_step)

    mould = sheet.mould(letter)
    lines = [
        f"{letter} {mould.name}: set weight {mass(mould.set_weight)}, candle about {mass(mould.finished)}"
    ]
    if mould.plug:
        lines.append(f"    plug       {mass(mould.plug.kg):>10}")
    for pour in mould.pours:
        name = plan.layers[pour.layer].colour or f"layer {pour.layer + 1}"
        at = show_temperature(pour.pour_c, plan.units)
        lines.append(
            f"    {name:<10} {mass(pour.kg):>10}  at {at}, to {pour.below_rim * 1000:.0f} mm below the rim"
        )
    lines.append(f"    top-up     {mass(mould.top_up.kg):>10}  kept back")
    return lines
