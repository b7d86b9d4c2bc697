"""The plan the day began with beside the plan as it stands now, and what is still to be weighed out."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.guide.acts.wording import dye_words
from pourday.guide.outlook.wax_left import heat_warning, in_moulds, left_out_of, wax_left
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.model import Plan
from pourday.plan.own_layers import layers_of
from pourday.plan.replan import RestLine, orders, rest_sheet
from pourday.plan.weigh import weigh_sheet
from pourday.session.state import State
from pourday.times import clock
from pourday.units import show_length, show_mass


def revised_plan_lines(state: State) -> tuple[str, ...]:
    """How the plan changed during the day, in lines; none where it did not.

    Each revision with its time and reason, then every mould whose plan changed: as planned, as it is now, and the
    colours in the order they are poured and as they end up.
    """
    if state.fixed_plan is None or not state.revisions:
        return ()
    lines = [
        tr("{clock} plan revised: {why}", clock=clock(t), why=why)
        if why
        else tr("{clock} plan revised", clock=clock(t))
        for t, why in state.revisions
    ]
    for standing in bench(state.plan):
        before, after = (_heights(plan, standing.letter) for plan in (state.fixed_plan, state.plan))
        if before == after:
            continue
        poured, finished = orders(state.plan, standing.letter)
        lines += [
            tr("{letter} planned: {before}", letter=standing.letter, before=before),
            tr("{letter} now: {after}", letter=standing.letter, after=after),
            tr(
                "{letter} poured: {poured}; finished, from the top: {finished}",
                letter=standing.letter,
                poured=", ".join(poured),
                finished=", ".join(finished),
            ),
        ]
    return tuple(lines)


def _heights(plan: Plan, letter: str) -> str:
    """The layers of a mould with their heights, or that it is not there."""
    try:
        sheet, gets = weigh_sheet(plan).mould(letter), layers_of(plan, letter)
    except Trouble:
        return tr("not on the bench")
    parts, below = [], 0.0
    for layer in gets:
        level = sheet.pours[layer].level
        name = plan.layers[layer].colour or tr("layer {layer}", layer=layer + 1)
        parts.append(f"{name} {show_length(level - below, plan.units)}")
        below = level
    return ", ".join(parts)


def still_to_weigh(state: State) -> tuple[str, ...]:
    """What each colour still needs from its jug and from the pot, in lines, and what is missing or left over.

    Raises `Trouble` where the plan cannot be weighed out.
    """
    rest = rest_sheet(state.plan, in_moulds(state), wax_left(state), left_out_of(state))
    lines = [_line(state, line) for line in rest.lines if line.wanted > 0]
    if rest.short > 0:
        lines.append(
            tr("Missing: {mass} of wax. Melt more, or plan the rest lower.", mass=_mass(state, rest.short))
        )
    elif lines:
        lines.append(tr("Left in the pot after that: about {mass}.", mass=_mass(state, rest.pot_after)))
    return tuple(lines)


def _line(state: State, line: RestLine) -> str:
    """What one colour still needs, in a sentence."""
    parts = [tr("{colour}: {mass} still to pour", colour=line.colour, mass=_mass(state, line.wanted))]
    if line.in_jug > 0:
        parts.append(tr("{mass} of it in the jug", mass=_mass(state, min(line.in_jug, line.wanted))))
    if line.draw > 0:
        parts.append(tr("draw {mass} of wax", mass=_mass(state, line.wax)))
    if line.draw > 0 and line.scent > 0:
        parts.append(tr("{mass} scent", mass=_mass(state, line.scent)))
    if line.draw > 0 and line.dye > 0:
        parts.append(tr("{dye_words} dye", dye_words=dye_words(state, line.dye)))
    if warning := heat_warning(state, line.layer):
        parts.append(warning)
    return ", ".join(parts) + "."


def _mass(state: State, kg: float) -> str:
    """A weight in the units and steps of the plan."""
    return show_mass(kg, state.plan.units, state.plan.scale_step)
