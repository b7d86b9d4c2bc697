"""Where the wax of a day is: what was melted against candles, jugs, pot and what was spilled."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.guide.outlook.blend_parts import wax_added
from pourday.guide.outlook.wax_left import wax_left
from pourday.language import tr
from pourday.plan.weigh import weigh_sheet
from pourday.session.state import MouldState, State
from pourday.units import show_mass

SAYS_FROM = 0.03
"""Share of the melted wax that is missing or too much from which on it is said: more than vessels and scales explain.
Estimate."""


@dataclass(frozen=True, slots=True)
class WaxBalance:
    """Where the wax of a day went, kg. What was not weighed is taken as planned, or worked out from what was."""

    melted: float
    candles: float
    jugs: float
    pot: float
    apart: float
    """Came out of moulds again and into no jug."""
    spilled: float

    @property
    def missing(self) -> float:
        """kg not accounted for; less than 0 where more is there than was melted."""
        return self.melted - self.candles - self.jugs - self.pot - self.apart - self.spilled

    @property
    def share(self) -> float:
        """Of what was melted."""
        return self.missing / self.melted if self.melted > 0 else 0.0

    @property
    def explained(self) -> bool:
        """Whether so little is missing or too much that vessels and scales explain it."""
        return abs(self.share) <= SAYS_FROM


def wax_balance(state: State) -> WaxBalance:
    """The balance as it stands. Raises `Trouble` where the plan cannot be weighed out."""
    inventory = wax_left(state)
    jugs = {layer: state.left_over.get(layer, kg) for layer, kg in inventory.jugs.items()}
    added = sum(kg or 0.0 for _, kg in wax_added(state))
    emptied = sum(pour.kg_best for mould in state.moulds.values() for pour in mould.emptied)
    returned = sum(jug.returned_kg for jug in state.jugs.values())
    return WaxBalance(
        melted=weigh_sheet(state.fixed_plan or state.plan).total + added,
        candles=sum(_candle(mould) for mould in state.moulds.values()),
        jugs=sum(jugs.values()),
        pot=state.left_over.get(None, inventory.pot),
        apart=max(0.0, emptied - returned),
        spilled=sum(spill.kg or 0.0 for spill in state.spills),
    )


def _candle(mould: MouldState) -> float:
    """kg of a candle: as weighed, else all that was poured into its mould."""
    return mould.candle_kg if mould.candle_kg is not None else sum(pour.kg_best for pour in mould.pours)


def balance_words(state: State) -> str:
    """The balance as one sentence: `608 g melted: 549 g in candles, ...; 3 g not accounted for (0.5 %)`."""
    balance = wax_balance(state)

    def mass(kg: float) -> str:
        return show_mass(kg, state.plan.units, state.plan.scale_step)

    parts = [
        f"{mass(kg)} {where}"
        for kg, where in (
            (balance.candles, tr("in candles")),
            (balance.jugs, tr("left in jugs")),
            (balance.pot, tr("left in the pot")),
            (balance.apart, tr("kept apart")),
            (balance.spilled, "spilled"),
        )
        if kg >= state.plan.scale_step / 2
    ]
    missing = f"{mass(abs(balance.missing))} {(tr('not accounted for') if balance.missing >= 0 else tr('more than was melted'))}"
    doubt = (
        ""
        if balance.explained
        else tr(": weigh what is left in pot and jugs, or look for a weight that was typed wrong")
    )
    return tr(
        "{mass} melted: {parts}; {missing} ({share:.1%}){doubt}",
        mass=mass(balance.melted),
        parts=", ".join(parts) or tr("none of it poured"),
        missing=missing,
        share=abs(balance.share),
        doubt=doubt,
    )
