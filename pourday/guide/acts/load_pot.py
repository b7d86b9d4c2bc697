"""The first act of a day: the wax is weighed and put into the pot, before anything is lit."""

from __future__ import annotations

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.additions import amounts
from pourday.guide.acts.wording import WHY_LOAD, block_word
from pourday.guide.outlook.blend_parts import melt_order
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.state import State

LOAD = ActId("load pot")
"""The act that puts the weighed wax into the pot, before the burner is lit first."""


def load_pot(state: State, outlook: Outlook) -> list[Act]:
    """The act of a day that is fixed; nothing once it is done."""
    if state.fixed_at is None or not still_to_load(state):
        return []
    return [
        Act(
            id=LOAD,
            kind="load",
            word=block_word("load"),
            says=load_says(outlook),
            why=WHY_LOAD,
            due=state.fixed_at,
            records=(ev.Waived(act=str(LOAD), why="the pot is weighed and loaded"),),
            place=("pot", ""),
            urgency=Urgency.QUICK,
        )
    ]


def still_to_load(state: State) -> bool:
    """Whether the pot is still to be loaded: not once it was heated, read, drawn or poured from."""
    poured = any(mould.pours for mould in state.moulds.values())
    begun = state.burner_spans or state.jugs or state.last_reading("pot") is not None
    return not (begun or poured or LOAD in state.waived)


def load_says(outlook: Outlook) -> str:
    """What is weighed into the pot, and the bath filled."""
    return tr("{what_to_weigh} Fill the bath well up the side of it.", what_to_weigh=_what_to_weigh(outlook))


def _what_to_weigh(outlook: Outlook) -> str:
    whole, order = outlook.mass(outlook.paper.total_wax), melt_order(outlook.state.plan, outlook.sheet)
    needs = [(need.name, need.kg) for need in outlook.paper.waxes if need.kg]
    if order is None:
        each = (
            f": {amounts(outlook, needs)}"
            if len(needs) > 1
            else tr(" of {needs}", needs=needs[0][0])
            if needs
            else ""
        )
        return tr("Weigh {whole}{each} into the pot, broken small.", whole=whole, each=each)
    first, later = (amounts(outlook, parts) for parts in (order.first, order.later))
    return tr(
        "Weigh {whole}: {first} into the pot, broken small; {later} beside it, for later.",
        whole=whole,
        first=first,
        later=later,
    )
