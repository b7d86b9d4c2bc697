"""From a record to a plan and back: a day that did as it was told gives the same recipe again."""

from __future__ import annotations

import msgspec
import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.errors import Trouble
from pourday.plan.model import Layer, Mould, Plan, Square, Tapered
from pourday.plan.scaling import start_from
from pourday.plan.weigh import weigh_sheet
from pourday.reports.recipe import recipe_lines
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.session.repeat import as_it_went, as_planned, only_mould, poured_moulds
from pourday.session.state import State

NOON = 1_795_608_000.0
PLANS = [
    two_pillars(),
    Plan(
        title="one", moulds=(Mould(shape=Square(side=0.06, height=0.12)),), layers=(Layer(scent_load=0.05),)
    ),
    Plan(
        title="eight",
        units="us",
        moulds=(Mould(shape=Tapered(diameter_low=0.04, diameter_rim=0.05, height=0.07), count=8),),
        layers=(Layer(share=1), Layer(share=2, dye_load=0.001), Layer(share=1)),
    ),
]


def obedient(plan: Plan) -> State:
    """A day on which every pour came just as the weigh sheet has it; each was read at the jug."""
    sheet = weigh_sheet(plan)
    facts: list[Fact] = [ev.Opened(session="s", program="0"), ev.PlanFixed(plan=plan)]
    for mould in sheet.moulds:
        pours = [("plug", mould.plug)] if mould.plug else []
        pours += [("layer", pour) for pour in mould.pours]
        for part, pour in pours:
            facts += [
                ev.Reading(place="jug", celsius=pour.pour_c),
                ev.Poured(mould=mould.letter, layer=pour.layer, part=part, kg=pour.kg),
            ]
    entries = []
    for n, fact in enumerate(facts):
        at = ev.moment(NOON + 60 * (n if isinstance(fact, ev.Reading) else n - 1))
        entries.append(Entry(seq=n + 1, at=at, logged_at=at, by="person", fact=fact))
    return fold(entries)


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.title)
def test_as_planned_through_a_file_gives_the_same_recipe(plan: Plan) -> None:
    again = msgspec.json.decode(msgspec.json.encode(as_planned(obedient(plan))), type=Plan)
    assert recipe_lines(again) == recipe_lines(start_from(plan))
    assert as_planned(obedient(again)) == again


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.title)
def test_as_poured_after_an_obedient_day_weighs_the_same(plan: Plan) -> None:
    state = obedient(plan)
    letter = poured_moulds(state)[0]
    planned, again = weigh_sheet(plan), weigh_sheet(as_it_went(state, letter))
    # The heights are read off the hot fills; half a per cent is below what the scale makes of it.
    for before, after in zip(planned.mould(letter).pours, again.mould(letter).pours, strict=True):
        assert after.kg == pytest.approx(before.kg, rel=0.005)
        assert after.pour_c == pytest.approx(before.pour_c, abs=0.06)
    assert again.mould(letter).finished == pytest.approx(planned.mould(letter).finished, rel=0.005)


def test_which_mould_is_meant_is_asked_where_several_were_poured() -> None:
    several, one = obedient(PLANS[0]), obedient(PLANS[1])
    assert only_mould(one, None) == "A"
    assert only_mould(several, "b") == "B"
    for letter in (None, "C", "\x1b[31m"):
        with pytest.raises(Trouble, match="Give --mould with one of A, B") as trouble:
            only_mould(several, letter)
        assert "\x1b" not in str(trouble.value)
    with pytest.raises(Trouble, match="Nothing was poured"):
        only_mould(fold([]), None)


def test_lots_are_never_carried_over() -> None:
    plan = replace(PLANS[0], scent_lot="old", dye_lot="old")
    again = as_planned(obedient(plan))
    assert (again.scent_lot, again.dye_lot, again.blend[0].lot) == ("", "", "")
