"""Where the wax of a day is, each part in per cent of the theoretical: of what was melted."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.guide.outlook.balance import wax_balance
from pourday.language import figures, tr
from pourday.session.state import State
from pourday.units import show_mass


@dataclass(frozen=True, slots=True)
class BalanceRow:
    """One part of the wax, in words."""

    where: str
    weight: str
    share: str
    """Of what was melted; empty where nothing was."""


def balance_table(state: State) -> tuple[BalanceRow, ...]:
    """What was melted, where it is now, and what nobody accounts for; nothing before anything was poured, or where the
    plan cannot be weighed out."""
    if not any(mould.pours or mould.emptied for mould in state.moulds.values()):
        return ()
    try:
        balance = wax_balance(state)
    except Trouble:
        return ()
    rows = (
        (tr("melted"), balance.melted),
        (tr("in candles"), balance.candles),
        (tr("left in jugs"), balance.jugs),
        (tr("left in the pot"), balance.pot),
        (tr("kept apart"), balance.apart),
        (tr("spilled"), balance.spilled),
        (
            tr("not accounted for") if balance.missing >= 0 else tr("more than was melted"),
            abs(balance.missing),
        ),
    )
    plan, whole = state.plan, balance.melted
    return tuple(
        BalanceRow(
            where,
            show_mass(kg, plan.units, plan.scale_step),
            figures("{kg:.1%}", kg=kg / whole) if whole > 0 else "",
        )
        for where, kg in rows
    )


def balance_doubt(state: State) -> str:
    """What to look for where more is missing than vessels and scales explain; empty where that is not so."""
    try:
        explained = wax_balance(state).explained
    except Trouble:
        return ""
    return (
        ""
        if explained
        else tr("Weigh what is left in pot and jugs, or look for a weight that was typed wrong.")
    )
