"""The rest of a blend put into the pot once its hardest waxes are clear: how far the wax falls, and when it is back."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.outlook.blend_parts import ADDED, as_filed, still_out
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import addition_says
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.state import State
from pourday.times import NEVER


def addition(state: State, outlook: Outlook, now: float) -> list[Act]:
    """The act that puts the rest of a blend into the pot, once what is in it is clear; none where all is in."""
    out = still_out(state, outlook.sheet)
    if out is None or not state.burner_spans or outlook.pot is None:
        return []
    last = state.last_reading("pot")
    seen = last is not None and last.celsius >= out.clear_c
    clear = outlook.pot_reaches(out.clear_c)
    # Too early a look costs a minute, too late a one heats a small pot over its ceiling.
    due = last.t if last is not None and seen else clear.early
    kg, names = out.later_kg, amounts(outlook, out.later)
    return [
        Act(
            id=ADDED,
            kind="add",
            word=tr("ADD"),
            says=tr(
                "Once it is clear put {names} into the pot and stir.{dips}",
                names=names,
                dips=_dips(outlook, kg, max(now, due)),
            ),
            why=tr(
                "What is harder melts first; the rest goes into it once it is clear (common practice, no source)."
            ),
            due=due,
            window=None if seen or clear.open_ended else clear,
            records=(
                ev.WaxAdded(what=names, kg=as_filed(kg)),
                ev.Waived(act=str(ADDED), why="all wax is in"),
            ),
            # Before the burner is turned off: the cold wax is what the heat is for.
            urgency=Urgency.BEFORE_HEAT,
        )
    ]


def amounts(outlook: Outlook, parts: Sequence[tuple[str, float]]) -> str:
    """`43 g microcrystalline and 174 g paraffin`."""
    weighed = [f"{outlook.mass(kg)} {name}" for name, kg in parts]
    return (
        weighed[0]
        if len(weighed) == 1
        else tr("{weights} and {last}", weights=", ".join(weighed[:-1]), last=weighed[-1])
    )


def _dips(outlook: Outlook, kg: float, at: float) -> str:
    """How far the pot cools by an addition and when it is back, in a sentence: an estimate."""
    if outlook.pot is None or at >= NEVER:
        return ""
    return f" {addition_says(outlook.pot, kg, at, outlook.degrees)}"
