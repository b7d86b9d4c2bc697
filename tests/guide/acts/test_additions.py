"""The waxes of a blend: what goes in first, what follows once it is clear, how far the pot falls and when it is back."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.guide.outlook.blend_parts import melt_order
from pourday.guide.outlook.wax_left import wax_left
from pourday.plan.model import BlendPart, Layer, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


def blended(*parts: tuple[str, float]) -> Plan:
    return replace(two_pillars(), blend=tuple(BlendPart(wax=wax, share=share) for wax, share in parts))


HARD = blended(("paraffin_pillar", 0.8), ("microcrystalline", 0.2))
SOFT = blended(("paraffin_pillar", 0.8), ("soy_container", 0.2))


@pytest.mark.parametrize(
    ("plan", "first", "later"),
    [
        # Hardest first, in a little of the bulk (common practice, no source).
        (HARD, ["microcrystalline petroleum wax", "paraffin, pillar"], ["paraffin, pillar"]),
        (SOFT, ["paraffin, pillar"], ["soy wax, container"]),
    ],
    ids=["a hard part", "a soft part"],
)
def test_the_hardest_wax_goes_in_first_and_nothing_is_lost_between(
    plan: Plan, first: list[str], later: list[str]
) -> None:
    sheet = weigh_sheet(plan)
    order = melt_order(plan, sheet)
    assert order is not None
    assert [name.split(",")[0] for name, _ in order.first] == [name.split(",")[0] for name in first]
    assert [name.split(",")[0] for name, _ in order.later] == [name.split(",")[0] for name in later]
    assert sum(kg for _, kg in (*order.first, *order.later)) == pytest.approx(sheet.total_wax)


def test_a_single_wax_and_layers_with_blends_of_their_own_have_no_order() -> None:
    own = (Layer(colour="a", blend=(BlendPart(wax="soy_pillar"),)), Layer(colour="b"))
    for plan in (two_pillars(), replace(HARD, layers=own)):
        assert melt_order(plan, weigh_sheet(plan)) is None


@pytest.fixture
def melting(day_of: type) -> Day:
    told: Day = day_of(plan=HARD)
    return told.at(0, ev.BurnerSet(state="on")).at(12, ev.Reading(place="pot", celsius=70.0))


def test_the_rest_is_asked_for_with_its_weight_its_dip_and_when_the_wax_is_back(melting: Day) -> None:
    act = melting.act(12.5, "add")
    assert act.word == "ADD"
    assert act.window is not None
    order = melt_order(HARD, weigh_sheet(HARD))
    assert melting.outlook(12.5).mass(order.later_kg) in act.says
    assert "falls to about" in act.says
    assert "is back at" in act.says
    added, done = act.records
    assert added.kg == pytest.approx(order.later_kg)
    assert melting.outlook(12.5).pot.setup.kg == pytest.approx(weigh_sheet(HARD).total - order.later_kg)
    melting.at(14, added, done)
    assert not [a for a in melting.acts(14.5).values() if a.kind == "add"]
    assert melting.outlook(14.5).pot.setup.kg == pytest.approx(weigh_sheet(HARD).total)
    assert wax_left(melting.state).pot == pytest.approx(weigh_sheet(HARD).total)


def test_wax_put_in_beyond_the_plan_hangs_in_the_bath_as_well(melting: Day) -> None:
    melting.at(13, *melting.act(12.5, "add").records).at(14, ev.WaxAdded(kg=0.2))
    total = weigh_sheet(HARD).total + 0.2
    assert melting.outlook(14.5).pot.setup.kg == pytest.approx(total)
    assert wax_left(melting.state).pot == pytest.approx(total)


def test_the_heat_stays_on_and_no_jug_is_drawn_while_wax_is_still_to_go_in(melting: Day) -> None:
    assert melting.act(12.5, "jug").due == float("inf")
    melting.at(15, ev.Reading(place="pot", celsius=86.0))
    assert melting.now(15.1).word == "ADD"
    melting.at(16, *melting.act(15.1, "add").records)
    # What was read before the cold wax went in says nothing of the pot any more.
    assert melting.act(16.1, "jug").due > melting.t(17)


def test_leaving_it_out_means_all_of_it_went_in_at_once(melting: Day) -> None:
    act = melting.act(12.5, "add")
    melting.at(13, ev.Waived(act=str(act.id)))
    assert not [a for a in melting.acts(13.5).values() if a.kind == "add"]
    assert melting.outlook(13.5).pot.setup.kg == pytest.approx(weigh_sheet(HARD).total)
