"""The slip for a candle or its box: what it is, and how it is burned safely. It claims nothing about any rule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.plan.bench import bench
from pourday.plan.model import Mould
from pourday.plan.waxes import waxes_of
from pourday.session.candle import CandleState
from pourday.session.state import State
from pourday.times import local, span
from pourday.units import Units, show_mass

NOT_TESTED = "not tested"
NOT_WEIGHED = "not weighed"
LABELS = (
    "What a label must say where you sell or give it away is for you to find out: your local rules decide."
)
OUTRANKED = "Wax, scent and dye suppliers' sheets outrank this slip."


@dataclass(frozen=True, slots=True)
class CandleSlip:
    """One slip."""

    title: str
    rows: tuple[tuple[str, str], ...]
    """(what, says)"""
    rules: tuple[str, ...]


def candle_slips(state: State, candles: Mapping[str, CandleState]) -> tuple[CandleSlip, ...]:
    """A slip for each mould on the bench; `candles` has what was seen of each since, by letter.

    Raises `Trouble` for a plan with an unknown wax.
    """
    plan = state.plan
    waxes = sorted({wax.name for wax in waxes_of(plan)})
    scented = any(layer.scent_load or layer.scent_by_eye for layer in plan.layers)
    names = list(dict.fromkeys(part.name for layer in plan.layers for part in layer.scents))
    scent = "none" if not scented else ", ".join(names) or plan.scent_lot or "yes, which: not noted"
    slips = []
    for standing in bench(plan):
        mould = state.moulds.get(standing.letter)
        weight = (
            NOT_WEIGHED
            if mould is None or mould.candle_kg is None
            else show_mass(mould.candle_kg, plan.units, plan.scale_step)
        )
        candle = candles.get(standing.letter)
        made = f"{local(state.opened_at):%d %B %Y}" if state.opened_at else "not noted"
        rows = (
            (
                "Candle",
                candle.label
                if candle is not None and candle.label
                else f"{standing.letter} {standing.mould.name}".strip(),
            ),
            ("Batch", f"{state.session}, made {made}"),
            ("Wax", "; ".join(waxes)),
            ("Scent", scent),
            ("Weight", weight),
            ("Burn time", burn_time(candles)),
        )
        slips.append(CandleSlip(plan.title or "Candle", rows, _rules(standing.mould, plan.units)))
    if not slips:
        raise Trouble("There is no mould in this plan.", instead="Print the record instead.")
    return tuple(slips)


def _rules(mould: Mould, units: Units) -> tuple[str, ...]:
    """How it is burned safely, in the round figures of either system (rules of candle makers' associations as they are
    passed on; 6 mm is also where soot stopped in one study)."""
    apart, trim, pillar, vessel = (
        ("75 mm", "6 mm", "50 mm", "13 mm") if units == "metric" else ("3 in", "1/4 in", "2 in", "1/2 in")
    )
    end = (
        f"{vessel} of wax are left in it; the vessel gets hot" if mould.stays else f"{pillar} of it are left"
    )
    return (
        "Never leave it burning unattended.",
        "Keep it away from children, pets and whatever can catch fire; out of draughts; on a level plate that stands heat.",
        f"Leave {apart} at least between burning candles.",
        f"Trim the wick to {trim} before each burn.",
        "Burn it at most 4 h at a time; let it cool for 2 h before it is lit again.",
        f"Stop when {end}. No water on burning wax.",
    )


def burn_time(candles: Mapping[str, CandleState]) -> str:
    """What burns of this batch have shown: only a candle that burned down was measured."""
    burned = {
        letter: sum(burn.ended_at - burn.lit_at for burn in candle.burns if burn.ended_at is not None)
        for letter, candle in candles.items()
        if candle.burns
    }
    down = [seconds for letter, seconds in burned.items() if candles[letter].burns[-1].how == "burned down"]
    if down:
        of = "one candle" if len(down) == 1 else f"{len(down)} candles"
        return f"{span(min(down))}, measured on {of} of this batch"
    if burned:
        return f"not burned to its end; one was lit for {span(max(burned.values()))} in all"
    return NOT_TESTED


def slip_text(slips: tuple[CandleSlip, ...]) -> list[str]:
    """All slips as plain text, one below the other."""
    lines: list[str] = []
    for slip in slips:
        lines += [slip.title, *(f"  {what:<10} {says}" for what, says in slip.rows)]
        lines += [*(f"  - {rule}" for rule in slip.rules), f"  {OUTRANKED}", ""]
    return [*lines, LABELS]
