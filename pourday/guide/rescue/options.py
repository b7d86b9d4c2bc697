"""What can still be done with a mould that did not go by the plan: each way with its figures and its risk.

The ways are those of the trade (common practice, no source); what a pour will melt is computed, on the low
side. A layer that has pulled from the wall is never met with a hotter pour alone: that wax runs down behind
it. What is chosen goes on record with the words it was chosen by.
"""

from __future__ import annotations

from dataclasses import replace

from pourday.guide.acts.act import Act, Choice, LazyChoices, Question
from pourday.guide.acts.mould_looks import cue_question
from pourday.guide.outlook.as_seen import look_of
from pourday.guide.outlook.moulds import next_layer_of
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.ways import Option, RescueWays, broken_off
from pourday.session.state import State

__all__ = ["Option", "answerable", "broken_off", "option_question", "options"]


def options(state: State, outlook: Outlook, letter: str, now: float) -> tuple[Option, ...]:
    """The ways to go on with a mould, the best first; none for one that is empty, done or still computed."""
    mould, forecast = state.moulds[letter], outlook.mould(letter)
    if forecast is None or mould.last_pour is None:
        return ()
    cue, _ = look_of(state, forecast, now)
    way = RescueWays(state, outlook, mould, forecast, cue, now)
    if broken_off(state, outlook, letter):
        choices = [*way.new_heights(), *way.stop_here(), *way.melt_again()]
    elif mould.last_pour.part == "top-up":
        choices = []
    elif next_layer_of(state, letter) is None:
        choices = way.top_up()
    elif cue in ("wet", "skinned", "firm"):
        choices = [*way.carry_on(), *way.stop_here()]
    elif cue == "cold":
        choices = [*way.carry_on(), *way.warm(), *way.new_heights(), *way.stop_here(), *way.melt_again()]
    else:
        choices = [*way.reseat(), *way.melt_again(), *way.stop_here(), *way.accept()]
    return tuple(option for option in choices if option)


def option_question(state: State, outlook: Outlook, letter: str, now: float) -> Question | None:
    """The ways for a mould as one question; None where there is nothing to choose."""
    last = state.moulds[letter].last_pour
    if outlook.mould(letter) is None or last is None or last.part == "top-up":
        return None
    return Question(f"{letter}:", LazyChoices(_choices, letter, now).facing(state, outlook))


def _choices(state: State, outlook: Outlook, letter: str, now: float) -> tuple[Choice, ...]:
    """The answers to that question, worked out when it is shown: they cost too much for every agenda."""
    again = Choice("l", "look again", then=cue_question(letter))
    return (*(option.choice for option in options(state, outlook, letter, now)), again)


def answerable(act: Act, state: State, outlook: Outlook) -> Act:
    """An act that came from another process, its question given back the state that its answers are made from."""
    question = act.question
    if question is None or not isinstance(question.choices, LazyChoices):
        return act
    return replace(act, question=Question(question.asks, question.choices.facing(state, outlook)))
