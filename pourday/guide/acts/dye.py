"""Dye that was added to a jug because its colour was too pale: how much, so that the record has the shade as made."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from pourday.guide.acts.act import Choice, Question
from pourday.guide.acts.wording import dye_words
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.wax_left import wax_left
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.state import State

SHARES = (
    ("1", tr("a tenth more"), 0.1),
    ("2", tr("a quarter more"), 0.25),
    ("5", tr("half as much more"), 0.5),
    ("9", tr("as much again"), 1.0),
)
"""Key, words, and share of the dye that was in it; steps as people add it, common practice, no source."""


def dye_question(state: State, outlook: Outlook, layer: int, facts: Sequence[Fact]) -> Question:
    """How much dye went in, in shares of what was in it; each answer files `facts`, and the plan with that much dye.

    Where nobody weighed it, the note says so and the plan stays as it was.
    """
    name, planned = outlook.colour(layer), state.plan.layers[layer]
    in_it = wax_left(state).jugs.get(layer, 0.0) * planned.dye_load
    choices = []
    for key, words, share in SHARES if planned.dye_load > 0 else ():
        grams = f", {dye_words(state, in_it * share)}" if in_it > 0 else ""
        more = replace(planned, dye_load=min(1.0, planned.dye_load * (1 + share)))
        layers = (*state.plan.layers[:layer], more, *state.plan.layers[layer + 1 :])
        revised = ev.PlanRevised(
            plan=replace(state.plan, layers=layers), why=f"{name} was too pale: {words} dye"
        )
        note = ev.Noted(text=f"Dye added to {name}: {words}{grams}.")
        choices.append(Choice(key, f"{words}{grams}", (note, revised, *facts)))
    unweighed = ev.Noted(text=f"Dye added to {name}, not weighed.")
    choices.append(Choice("n", tr("not weighed"), (unweighed, *facts)))
    return Question(tr("How much dye went into {name}:", name=name), tuple(choices))
