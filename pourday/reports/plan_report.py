"""A plan file weighed out without a screen: as text for a person, as plain data for a program."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec

from pourday.columns import padded
from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.named_files import read_named
from pourday.plan.findings import findings
from pourday.plan.model import Plan
from pourday.plan.origins import origins
from pourday.plan.sheet_words import SheetEntry, sheet_words
from pourday.plan.weigh import weigh_sheet
from pourday.plan.wick import wicks_of
from pourday.store.clean import BadLine, cleaned, reason
from pourday.store.disk import because
from pourday.text import plain

LARGEST = 1_000_000
"""Bytes; a plan is a few kilobytes."""


def read_plan(path: Path) -> Plan:
    """The plan of a JSON file. Raises `Trouble` naming the file and the place."""
    name = f"“{plain(str(path), 200)}”"
    try:
        data = read_named(path, LARGEST)
    except FileNotFoundError:
        raise Trouble(
            tr("There is no file {name}.", name=name), instead=tr("Give the path of a plan file.")
        ) from None
    except OSError as error:
        raise Trouble(
            tr("{name} cannot be read.", name=name), because(error), tr("Give the path of a plan file.")
        ) from None
    if len(data) > LARGEST:
        raise Trouble(
            tr("{name} is too large for a plan.", name=name),
            tr("A plan is a few kilobytes of JSON."),
            tr("Give the path of a plan file."),
        )
    try:
        return cleaned(msgspec.json.decode(data, type=Plan))
    except (msgspec.DecodeError, RecursionError, UnicodeError, BadLine) as error:
        raise Trouble(
            tr("{name} is not a plan.", name=name),
            reason(error),
            tr("“pourday schema --plan” says what one looks like."),
        ) from None


def plan_schema() -> bytes:
    """The JSON Schema of a plan file."""
    return msgspec.json.format(msgspec.json.encode(msgspec.json.schema(Plan)))


def plan_data(plan: Plan) -> dict[str, Any]:
    """Shapes, weigh sheet, cost, wicks, findings and sources as plain data; kg, m, °C, unrounded."""
    sheet = weigh_sheet(plan)
    data: dict[str, Any] = msgspec.to_builtins(
        {
            "shapes": [mould.shape for mould in plan.moulds],
            "sheet": sheet,
            "cost_of_candle": {mould.letter: sheet.cost_of(mould.letter) for mould in sheet.moulds},
            "wicks": [{"words": wick.words, **msgspec.to_builtins(wick)} for wick in wicks_of(plan)],
            "findings": findings(plan, sheet),
            "sources": [{"of": name, "says": says} for name, says in origins(plan)],
        }
    )
    return data


def plan_text(plan: Plan) -> list[str]:
    """The same for a person, in the plan's units and rounded to the plan's scale."""
    sheet = weigh_sheet(plan)
    lines = [plan.title or tr("A plan")]
    for part in sheet_words(plan, sheet):
        lines += ["", f"{part.name}: {part.amount}", *(_entry(entry) for entry in part.entries)]
    for finding in findings(plan, sheet):
        lines += ["", f"{word(finding.level)}: {finding.what}", f"  {finding.why}", f"  {finding.do}"]
    lines += ["", tr("Where figures come from")]
    for name, sentences in origins(plan):
        lines += [f"  {name}", *(f"    {says}" for says in sentences)]
    return [*lines, "", tr("Estimates until weighed. The supplier's sheet outranks all of this.")]


def _entry(entry: SheetEntry) -> str:
    if not entry.label:
        return f"    {entry.remark}"
    return f"    {padded(entry.label, 10)} {entry.amount:>10}  {entry.remark}".rstrip()
