"""A candle that stays in its glass: nothing to seal, nothing to demould, a top of its own."""

from __future__ import annotations

from msgspec.structs import replace

from pourday.guide.acts.menu import menu
from pourday.guide.rescue.cards_candles import candle_cards
from pourday.guide.rescue.options import options
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, preparations
from pourday.session import events as ev

GLASS = Mould(
    name="glass", shape=Cylinder(diameter=0.075, height=0.09), below_rim=0.012, material="glass", stays=True
)
PLAN = Plan(moulds=(GLASS,), blend=(BlendPart(wax="soy_container"),), layers=(Layer(colour="cream"),))


def poured_and_topped_up(day_of):
    return (
        day_of(PLAN)
        .at(1, ev.BurnerSet(state="on"), ev.Reading(place="pot", celsius=80.0))
        .at(2, ev.BurnerSet(state="off"), ev.JugMade(layer=0))
        .at(5, ev.Poured(mould="A", layer=0, part="layer", kg=0.3))
        .at(150, ev.Looked(mould="A", cue="firm"))
    )


def test_the_glass_is_warmed_before_its_first_pour_and_metal_is_not(day_of):
    pour = day_of(PLAN).act(1, "pour")
    assert pour.caution.startswith("Warm the glass")
    tin = replace(PLAN, moulds=(replace(GLASS, material="bright metal"),))
    assert "glass" not in day_of(tin).act(1, "pour").caution


def test_the_top_up_is_the_candles_own_top(day_of):
    says = poured_and_topped_up(day_of).act(151, "top-up").says
    assert "level with its line" in says
    assert "below the first line" not in says


def test_it_cures_from_when_it_is_cold_and_is_never_demoulded(day_of):
    day = poured_and_topped_up(day_of).at(160, ev.Poured(mould="A", layer=0, part="top-up", kg=0.01))
    day.at(161, ev.Waived(act="top-up A 2"))
    acts = day.acts(165)
    kinds = {act.kind for act in acts.values()}
    assert "cure" in kinds
    assert not {"demould", "finish", "look under", "plug"} & kinds
    cure = day.act(165, "cure")
    shortest, _ = day.outlook(165).cure_days
    assert cure.due >= day.t(160) + shortest * 24 * 3600.0
    assert "demould" not in cure.why
    day.at(60 * 24 * 9, *cure.records)
    assert day.act(60 * 24 * 9 + 1, "finish").kind == "finish"


def test_the_menu_offers_no_demoulding_where_there_is_none(day_of):
    for plan, offered in ((PLAN, False), (replace(PLAN, moulds=(GLASS, Mould())), True)):
        day = day_of(plan)
        choices = menu(day.state, day.outlook(1), day.now(1).act).choices
        assert any(choice.label == "demoulded" for choice in choices) == offered


def test_what_to_prepare_is_a_vessels():
    assert [item.id for item in preparations(PLAN)] == ["vessel", "level", "lid", "screen", "bell"]
    both = preparations(replace(PLAN, moulds=(GLASS, Mould())))
    assert {"vessel", "wick", "seal"} <= {item.id for item in both}
    assert "vessel" not in {item.id for item in preparations(Plan())}


def test_a_day_of_a_glass_is_played_to_its_end(played_day):
    """In the simulated kitchen, by a person who follows the guide."""
    day, said = played_day("glass")
    told = " ".join(said)
    assert day.live.state.finished_at is not None
    assert "TOP UP A" in told
    assert not any(word in told for word in ("DEMOULD", "LOOK UNDER", "PLUG"))
    assert "cannot follow" not in told


def test_no_rescue_takes_a_candle_out_of_the_vessel_it_stays_in(day_of):
    two = replace(PLAN, layers=(Layer(colour="cream", share=0.5), Layer(colour="sage", share=0.5)))
    for mould, taken_out in ((GLASS, False), (replace(GLASS, stays=False), True)):
        day = day_of(replace(two, moulds=(mould,)))
        day.at(1, ev.BurnerSet(state="on"), ev.Reading(place="pot", celsius=80.0))
        day.at(2, ev.BurnerSet(state="off"), ev.JugMade(layer=0))
        day.at(5, ev.Poured(mould="A", layer=0, part="layer", kg=0.15))
        night = 5 + 14 * 60.0
        ways = {way.id for way in options(day.state, day.outlook(night), "A", day.t(night))}
        assert ways
        assert ("melt again" in ways) == taken_out
        stuck = candle_cards(day.state)[0]
        assert bool(stuck.choices) == taken_out
