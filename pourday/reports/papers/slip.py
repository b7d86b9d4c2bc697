"""The slip for a candle or its box: what it is, and how it is burned safely. It claims nothing about any rule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import dated, tr
from pourday.plan.bench import bench
from pourday.plan.model import Mould
from pourday.plan.waxes import waxes_of
from pourday.session.candle import CandleState
from pourday.session.state import State
from pourday.times import local, span
from pourday.units import Units, show_mass

NOT_TESTED = tr("not tested")
NOT_WEIGHED = tr("not weighed")
LABELS = tr(
    "What a label must say where you sell or give it away is for you to find out: your local rules decide."
)
OUTRANKED = tr("Wax, scent and dye suppliers' sheets outrank this slip.")


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
    scent = "none" if not scented else ", ".join(names) or plan.scent_lot or tr("yes, which: not noted")
    slips = []
    for standing in bench(plan):
        mould = state.moulds.get(standing.letter)
        weight = (
            NOT_WEIGHED
            if mould is None or mould.candle_kg is None
            else show_mass(mould.candle_kg, plan.units, plan.scale_step)
        )
        candle = candles.get(standing.letter)
        made = f"{dated(local(state.opened_at), '%d %B %Y')}" if state.opened_at else tr("not noted")
        rows = (
            (
                tr("Candle"),
                candle.label
                if candle is not None and candle.label
                else f"{standing.letter} {standing.mould.name}".strip(),
            ),
            (tr("Batch"), tr("{session}, made {made}", session=state.session, made=made)),
            (tr("Wax"), "; ".join(waxes)),
            (tr("Scent"), scent),
            (tr("Weight"), weight),
            (tr("Burn time"), burn_time(candles)),
        )
        slips.append(CandleSlip(plan.title or tr("Candle"), rows, _rules(standing.mould, plan.units)))
    if not slips:
        raise Trouble(tr("There is no mould in this plan."), instead=tr("Print the record instead."))
    return tuple(slips)


def _rules(mould: Mould, units: Units) -> tuple[str, ...]:
    """How it is burned safely, in the round figures of either system (rules of candle makers' associations as they are
    passed on; 6 mm is also where soot stopped in one study)."""
    apart, trim, pillar, vessel = (
        (tr("75 mm"), tr("6 mm"), tr("50 mm"), tr("13 mm"))
        if units == "metric"
        else (tr("3 in"), tr("1/4 in"), tr("2 in"), tr("1/2 in"))
    )
    end = (
        tr("{vessel} of wax are left in it; the vessel gets hot", vessel=vessel)
        if mould.stays
        else tr("{pillar} of it are left", pillar=pillar)
    )
    return (
        tr("Never leave it burning unattended."),
        tr(
            "Keep it away from children, pets and whatever can catch fire; out of draughts; on a level plate that stands heat."
        ),
        tr("Leave {apart} at least between burning candles.", apart=apart),
        tr("Trim the wick to {trim} before each burn.", trim=trim),
        tr("Burn it at most 4 h at a time; let it cool for 2 h before it is lit again."),
        tr("Stop when {end}. No water on burning wax.", end=end),
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
        of = tr("one candle") if len(down) == 1 else tr("{count} candles", count=len(down))
        return tr("{span}, measured on {of} of this batch", span=span(min(down)), of=of)
    if burned:
        return tr("not burned to its end; one was lit for {span} in all", span=span(max(burned.values())))
    return NOT_TESTED


def slip_text(slips: tuple[CandleSlip, ...]) -> list[str]:
    """All slips as plain text, one below the other."""
    lines: list[str] = []
    for slip in slips:
        lines += [slip.title, *(f"  {what:<10} {says}" for what, says in slip.rows)]
        lines += [*(f"  - {rule}" for rule in slip.rules), f"  {OUTRANKED}", ""]
    return [*lines, LABELS]
