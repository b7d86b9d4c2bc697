"""Moulds with what is remembered of each: as text, and as plain data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from pourday.language import dated, ntr, tr, word
from pourday.moulds.line import like
from pourday.moulds.memory import MouldMemory
from pourday.plan.model import Mould, Plan
from pourday.plan.sheet_words import shape_words
from pourday.times import local, utc_text
from pourday.units import Units, show_mass, show_temperature


def moulds_text(moulds: Iterable[MouldMemory], units: Units, names: Mapping[str, str]) -> list[str]:
    """A part a mould; `names` of waxes by their ids."""
    lines: list[str] = []
    for memory in moulds:
        lines += ["", *mould_lines(memory, units, names)]
    return [
        *(lines[1:] or [tr("No mould is known yet: none was poured, and nothing was said of one.")]),
        "",
        like(),
    ]


def mould_lines(memory: MouldMemory, units: Units, names: Mapping[str, str]) -> list[str]:
    """The name of a mould, then a line a thing that is remembered of it."""
    lines = [memory.name or tr("a mould without a name")]
    if memory.uses:
        use = memory.newest
        mould = Mould(shape=use.shape, below_rim=use.below_rim, material=use.material)
        lines.append(f"  {shape_words(mould, Plan(units=units))}, {word(use.material)}")
        count = len(memory.uses)
        lines.append(
            "  "
            + ntr(
                "poured once, on {day}",
                "poured {count} times, last on {day}",
                count,
                count=count,
                day=dated(local(use.at), "%Y-%m-%d"),
            )
        )
        lines.append(f"  {_releases(memory)}")
    if memory.holes is not None:
        lines.append("  " + tr("holes: {count}", count=memory.holes))
    if memory.limit_c is not None:
        lines.append("  " + tr("may be poured at {heat}", heat=show_temperature(memory.limit_c, units)))
    note = memory.note
    if note is not None:
        lines += ["  " + tr("sealed with {seal}", seal=note.seal)] if note.seal else []
        lines += ["  " + tr("release that worked: {agent}", agent=note.agent)] if note.agent else []
    if memory.passed:
        lines.append("  " + tr("wick that passed: {wick}", wick=memory.passed))
    for wax, kg in memory.weights:
        of = " + ".join(names.get(id_, id_) for id_ in wax)
        lines.append("  " + tr("candle of {wax}: {mass}", wax=of, mass=show_mass(kg, units)))
    if memory.wall is not None:
        factor, days = memory.wall
        lines.append(
            "  "
            + tr(
                "its wall loses ~{factor:.2f} times as much heat as is computed (from {days} days)",
                factor=factor,
                days=days,
            )
        )
    bad = memory.last_fault
    if bad is not None:
        what = [word(fault) for fault in bad.faults]
        what += [tr("its seal wept")] if bad.wept else []
        what += [tr("the candle stuck")] if bad.release == "stuck" else []
        lines.append(
            "  " + tr("last fault, {day}: {what}", day=dated(local(bad.at), "%Y-%m-%d"), what=", ".join(what))
        )
    if memory.clean_now:
        lines.append("  " + tr("clean it before the next pour: {why}", why=memory.clean_now))
    elif note is not None and note.clean_every is not None:
        left = note.clean_every - memory.since_cleaned
        lines.append("  " + tr("next cleaning after {count} more", count=left))
    return [*lines, f"  {note.note}"] if note is not None and note.note else lines


def _releases(memory: MouldMemory) -> str:
    """How its candles came out, each way with how often."""
    ways = [use.release for use in memory.uses if use.release is not None]
    if not ways:
        return tr("how its candles came out is not noted")
    return ", ".join(f"{word(way)} {ways.count(way)}×" for way in dict.fromkeys(reversed(ways)))


def moulds_data(moulds: Iterable[MouldMemory]) -> dict[str, Any]:
    """The same as plain data; m, kg, °C."""
    return {
        "moulds": [
            {
                "name": memory.name,
                "shape": msgspec.to_builtins(memory.newest.shape) if memory.uses else None,
                "below_rim": memory.newest.below_rim if memory.uses else None,
                "material": memory.newest.material if memory.uses else None,
                "holes": memory.holes,
                "limit_c": memory.limit_c,
                "seal": memory.note.seal if memory.note else "",
                "agent": memory.note.agent if memory.note else "",
                "note": memory.note.note if memory.note else "",
                "poured": len(memory.uses),
                "last_utc": utc_text(memory.newest.at) if memory.uses else None,
                "releases": [use.release for use in memory.uses],
                "wick_passed": memory.passed,
                "weights": [{"wax": dict(wax), "kg": kg} for wax, kg in memory.weights],
                "wall_factor": None if memory.wall is None else memory.wall[0],
                "last_faults": list(memory.last_fault.faults) if memory.last_fault else [],
                "wept": bool(memory.last_fault and memory.last_fault.wept),
                "since_cleaned": memory.since_cleaned,
                "clean_every": memory.note.clean_every if memory.note else None,
                "clean_now": memory.clean_now,
            }
            for memory in moulds
        ]
    }
