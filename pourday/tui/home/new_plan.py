"""What a new plan begins with: empty, or made from an older day; and the questions that come before it.

`session/repeat.py` makes the plans. Imports stand in the functions, for the first paint needs none of them.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from pourday.language import tr
from pourday.tui.home.command import HomeCommand, HomeQuestion

if TYPE_CHECKING:
    from pourday.plan.model import Plan
    from pourday.session.state import State
    from pourday.store.settings import Settings
    from pourday.units import Units

MEASURES = (("m", tr("metric: g, mm, °C")), ("u", tr("US: oz, in, °F")))
"""What is asked once, before the first plan."""
LONGEST_CHANGE = 160
"""Characters in which the one change of a plan can be said."""


def empty_plan(settings: Settings) -> Plan:
    """A new plan with the units, scale, altitude, room temperature and bath of the settings; all else as usual."""
    from pourday.plan.model import Plan

    return Plan(
        units=settings.units,
        scale_step=settings.scale_step,
        altitude=settings.altitude,
        room_c=settings.room_c,
        bath=settings.bath,
    )


def ask_units(*, begins: bool) -> HomeQuestion:
    """In which units somebody weighs and measures: asked once, for all plans. `begins`: a plan is begun with the answer."""
    says = tr("First, once: how do you weigh and measure? (, changes it later)")
    return HomeQuestion(says, MEASURES, partial(ask_altitude, begins), tr("later"))


def ask_altitude(begins: bool, key: str) -> HomeQuestion:
    """How high the kitchen lies, which says where water boils; `key` is the answer to `ask_units`."""
    units: Units = "us" if key == "u" else "metric"
    like = tr("like 1500 ft or 450 m") if units == "us" else tr("like 450 m")
    says = tr(
        "How high above the sea is your kitchen ({like}; it says where water boils)? Enter alone: at the sea.",
        like=like,
    )
    return HomeQuestion(says, (), partial(_kitchen_settings, units, begins), tr("later"), typed="")


def _kitchen_settings(units: Units, begins: bool, typed: str) -> HomeCommand:
    """Have units and altitude kept for all plans. Raises `Trouble` for what is no altitude."""
    from pourday.store.settings_fields import BY_NAME

    keep: tuple[tuple[str, str], ...] = (("units", units),)
    if typed.strip():
        BY_NAME["altitude"].read(typed, units)
        keep = (*keep, ("altitude", typed.strip()))
    return HomeCommand("keep", keep=keep, begins=begins)


def begin_from(state: State, title: str) -> HomeCommand | HomeQuestion:
    """A plan from an older day, called `title`; where something was poured, first whether as planned or as it went."""
    from pourday.session.repeat import as_planned, poured_moulds

    letters = poured_moulds(state)
    if not letters:
        return HomeCommand("begin", plan=as_planned(state))
    return HomeQuestion(
        tr("A new plan from “{title}”:", title=title),
        (("p", tr("as it was planned")), ("w", tr("as it really went"))),
        partial(_planned_or_poured, state, letters),
    )


def _planned_or_poured(state: State, letters: list[str], key: str) -> HomeQuestion:
    """As it was planned (p), or as it went (w): in which mould is asked where several were poured."""
    from pourday.session.repeat import as_planned

    if key == "p":
        return _ask_change(as_planned(state))
    if len(letters) == 1:
        return _as_in_mould(state, letters[0])
    return HomeQuestion(
        tr("The layers as they came out in which mould?"),
        tuple((letter.lower(), tr("mould {letter}", letter=letter)) for letter in letters),
        partial(_as_in_mould, state),
    )


def _as_in_mould(state: State, letter: str) -> HomeQuestion:
    from pourday.session.repeat import as_it_went

    return _ask_change(as_it_went(state, letter.upper()))


def _ask_change(plan: Plan) -> HomeQuestion:
    """What is to be changed against the day a plan was made after, and why: one thing, or nothing said yet."""
    says = tr(
        "What is the one thing you change, and why? Like: pour at 78C because of rings. Enter alone: say it later."
    )
    answer = partial(_with_change, plan)
    return HomeQuestion(says, (), answer, tr("no new plan"), typed="", longest=LONGEST_CHANGE)


def _with_change(plan: Plan, typed: str) -> HomeCommand:
    from pourday.session.repeat import with_change

    return HomeCommand("begin", plan=with_change(plan, typed))
