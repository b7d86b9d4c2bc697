"""Which wick, and how else a candle has to be cured, trimmed and burned, by the cause of the fault."""

from __future__ import annotations

import re

from pourday.faults.burn_evidence import AN_HOUR_EACH
from pourday.faults.day_evidence import plies_in
from pourday.faults.record import CandleRecord
from pourday.faults.sized_change import ChangeSize, SizedChange
from pourday.faults.table import Fault
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.plan.replan import change_mould
from pourday.plan.wick import PLIES, chosen_wick, wicks_of
from pourday.times import HOUR, days, span
from pourday.units import show_length


def _wick(steps: int) -> ChangeSize:
    """A wick of the next size up (`steps` 1) or down (-1)."""

    def size(record: CandleRecord, _fault: Fault, base: Plan) -> SizedChange | None:
        plan = record.batch.plan
        chosen = chosen_wick(plan, record.mould)
        start = wicks_of(plan)[plan.moulds.index(record.mould)].plies
        plies = plies_in(chosen) or start[0 if steps > 0 else 1]
        wanted = [ply for ply in PLIES if (ply > plies if steps > 0 else ply < plies)]
        if not wanted:
            return None
        ply = wanted[0] if steps > 0 else wanted[-1]
        words = (
            re.sub(r"\d{1,3}\s*-?\s*pl(?:y|ies)\b", f"{ply} ply", chosen)
            if plies_in(chosen)
            else tr("flat braid, {ply} ply", ply=ply)
        )
        was = chosen or tr("{plies} ply", plies=plies)
        says = tr(
            "Give {letter} a wick of {ply} ply instead of {was}: one size {steps}, and nothing else.",
            letter=record.letter,
            ply=ply,
            was=was,
            steps=tr("up") if steps > 0 else tr("down"),
        )
        return SizedChange(says, "", change_mould(base, record.letter, wick=words))

    return size


def _cure(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A longer cure before the first burn."""
    candle = record.candle
    if candle is None or not candle.life.burns:
        return None
    age = min(candle.age_days(burn.lit_at) for burn in candle.life.burns)
    return SizedChange(
        tr(
            "Let {letter} cure for {cure} before it is burned, instead of {before}.",
            letter=record.letter,
            cure=days(candle.cure.test_from),
            before=days(age),
        ),
        candle.cure.why[0].upper() + candle.cure.why[1:] + ".",
    )


def _longer_burns(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """Longer burns: an hour for each inch of width (common practice, no source)."""
    candle = record.candle
    burns = [] if candle is None else [burn for burn in candle.life.burns if burn.ended_at is not None]
    if candle is None or not burns:
        return None
    longest = max((burn.ended_at or burn.lit_at) - burn.lit_at for burn in burns)
    wanted = min(4 * HOUR, candle.width / AN_HOUR_EACH * HOUR)
    if wanted <= longest + 300:
        return None
    return SizedChange(
        tr(
            "Burn {letter} for {wanted} each time, instead of {before}.",
            letter=record.letter,
            wanted=span(wanted),
            before=span(longest),
        )
    )


def _shorter_trim(record: CandleRecord, _fault: Fault, _base: Plan) -> SizedChange | None:
    """A shorter wick at each lighting."""
    candle = record.candle
    trims = (
        [] if candle is None else [burn.before.trimmed for burn in candle.life.burns if burn.before.trimmed]
    )
    if not trims or max(trims) <= 0.006:
        return None
    units = record.batch.plan.units
    return SizedChange(
        tr(
            "Trim the wick to {wanted} before each burn, instead of {before}.",
            wanted=show_length(0.006, units),
            before=show_length(max(trims), units),
        )
    )


BURN_CHANGES: dict[str, ChangeSize] = {
    "wick small": _wick(1),
    "wick large": _wick(-1),
    "hard wax": _wick(1),
    "wick long": _shorter_trim,
    "young": _cure,
    "short burns": _longer_burns,
}
"""By cause: how the size of its change is computed."""
