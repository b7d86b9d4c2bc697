"""What was typed at the stove, turned into the fact that is filed: a reading with its doubts, or a weight."""

from __future__ import annotations

from typing import Literal

from pourday.errors import Trouble
from pourday.forecast.pot import doubt
from pourday.guide.acts.act import Choice, Question
from pourday.guide.outlook.outlook import Outlook
from pourday.session import events as ev
from pourday.session.state import State
from pourday.tui.stove.entry import Entry, Target


def reading_of(
    state: State, outlook: Outlook | None, target: Target, celsius: float, typed: str, now: float
) -> ev.Reading:
    """A reading at its place; one of the pot that cannot be is kept with the doubt it raises."""
    assert target.place != "weight"
    return ev.Reading(
        place=target.place,
        mould=target.mould,
        celsius=celsius,
        typed=typed,
        means="infrared" if target.place == "surface" else "probe",
        doubt=_doubt(state, outlook, celsius, now) if target.place == "pot" else "",
    )


def unit_question(state: State, outlook: Outlook | None, target: Target, typed: str, now: float) -> Question:
    """Asks for the unit of a number that could be either."""
    choices = []
    for unit in "cf":
        try:
            reading = Entry(text=typed, unit=unit).temperature(state.plan.units, target.place)
        except Trouble:
            continue
        fact = reading_of(state, outlook, target, reading.celsius, reading.typed, now)
        choices.append(Choice(unit, f"°{unit.upper()}", (fact,)))
    return Question(f"{typed}: C or F?", tuple(choices))


def weight_of(state: State, target: Target, entry: Entry) -> ev.Weighed:
    """The weight of the last pour into a mould, or of its candle once that is out. Raises `Trouble`."""
    kg, typed = entry.weight(state.plan.units)
    out = state.moulds[target.mould].demoulded_at is not None
    what: Literal["pour", "candle"] = "candle" if out else "pour"
    return ev.Weighed(mould=target.mould, what=what, kg=kg, typed=typed)


def _doubt(state: State, outlook: Outlook | None, celsius: float, now: float) -> str:
    if outlook is None or outlook.pot is None:
        return ""
    setup = outlook.pot.setup
    since = [r for r in state.readings if r.place == "pot" and r.t >= setup.mode_since]
    used = [(r.t, r.celsius) for r in since if not r.doubt]
    doubted = [(r.t, r.celsius) for r in since if r.doubt]
    return doubt(setup, used, (now, round(celsius, 1)), doubted, outlook.pot) or ""
