"""Rescue cards: one key each, a first move before any figure, and picking one is a fact."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec
import pytest

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.act import NO_ANSWER, Choice, Question
from pourday.guide.acts.dye import dye_question
from pourday.guide.outlook.wax_left import wax_left
from pourday.guide.rescue.cards_bench import COOLING
from pourday.guide.rescue.cards_candles import candle_cards
from pourday.guide.rescue.cards_stove import card_question, cards, plain_wax_for
from pourday.guide.rescue.follow_up import follow_ups
from pourday.guide.rescue.options import broken_off
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py
SHEET = weigh_sheet(two_pillars())
NAMES = {
    "smoking", "overheated", "boiler dry", "water in wax", "wax set in the jug", "leak weeping", "leak running",
    "layer cold", "ran out mid-layer", "mould knocked", "wick slipped", "wrong colour", "scent", "burn",
    "spill on the hob", "power cut", "thermometer suspect", "stuck candle", "crack",
}  # fmt: skip


def poured(mould: str, layer: int, part: ev.Part = "layer") -> ev.Poured:
    return ev.Poured(mould=mould, layer=layer, part=part, planned_kg=SHEET.mould(mould).pours[layer].kg)


@pytest.fixture
def layered(day: Day) -> Day:
    day = day.melted().jug(38, 0)
    day.at(40, *(ev.Poured(mould=x, layer=0, part="plug", planned_kg=SHEET.mould(x).plug.kg) for x in "AB"))
    return day.sealed().at(51, *(poured(x, 0) for x in "AB"))


def question(day: Day, minute: float) -> Question:
    return card_question(day.state, day.outlook(minute), day.t(minute))


def pick(day: Day, minute: float, *keys: str) -> Day:
    """Answer the cards key by key, and file what the last answer brings."""
    asked: Question | None = question(day, minute)
    choice = None
    for key in keys:
        assert asked is not None
        choice = next(c for c in asked.choices if c.key == key)
        asked = choice.then
    assert choice is not None
    assert choice.then is None
    return day.at(minute, *choice.facts)


def leaves(asked: Question) -> Iterator[Choice]:
    for choice in asked.choices:
        if choice.then is None:
            yield choice
        else:
            yield from leaves(choice.then)


def questions(asked: Question) -> Iterator[Question]:
    yield asked
    for choice in asked.choices:
        if choice.then is not None:
            yield from questions(choice.then)


def test_every_event_of_the_trade_has_its_card_behind_its_own_key(layered: Day) -> None:
    found = cards(layered.state, layered.outlook(60), layered.t(60))
    assert {card.id for card in found} == NAMES
    assert len({card.key for card in found}) == len(NAMES)


def test_no_answer_takes_the_key_of_the_fire_card_and_none_is_there_twice(layered: Day) -> None:
    for asked in questions(question(layered, 60)):
        keys = [choice.key for choice in asked.choices]
        assert NO_ANSWER.isdisjoint(keys)
        assert len(set(keys)) == len(keys), asked.asks


def test_every_answer_ends_in_facts(layered: Day) -> None:
    for choice in leaves(question(layered, 60)):
        assert choice.facts, choice.label


def test_every_card_names_its_first_move_first_and_defers_to_others(layered: Day) -> None:
    for card in cards(layered.state, layered.outlook(60), layered.t(60)):
        assert card.text.startswith(card.first)
        assert card.figures
        assert card.record
        assert card.text.endswith("local rules and the emergency services outrank this card.")


def test_cards_are_there_before_anything_is_poured(day: Day) -> None:
    found = {card.id: card for card in cards(day.state, day.outlook(0), day.t(0))}
    assert set(found) == NAMES
    assert found["leak running"].choices == ()


def test_smoking_turns_the_heat_off_and_takes_the_wax_out_of_the_reckoning(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on"))
    card = next(c for c in cards(day.state, day.outlook(20), day.t(20)) if c.id == "smoking")
    assert card.first.startswith("HEAT OFF")
    assert "NO WATER" in card.first
    assert "90 °C" in card.text
    assert "of fresh wax" in card.text
    day = pick(day, 20, "u", "y")
    assert day.state.burner == "off"
    assert wax_left(day.state).pot == 0.0
    day.at(60, ev.WaxAdded(kg=0.5))
    assert wax_left(day.state).pot == 0.5
    assert day.outlook(61).pot.setup.kg == pytest.approx(0.5)


def test_a_jug_drawn_before_the_pot_was_discarded_takes_nothing_of_the_fresh_wax(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on")).jug(15, 0)
    day = pick(day, 20, "u", "y").at(60, ev.WaxAdded(kg=0.5)).at(70, ev.JugReheated(layer=0))
    assert wax_left(day.state).pot == 0.5


def test_a_dry_boiler_gets_the_burner_off_and_no_water(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on"))
    card = next(c for c in cards(day.state, day.outlook(60), day.t(60)) if c.id == "boiler dry")
    assert card.first.startswith("Burner off. NO WATER")
    assert pick(day, 60, "b", "y").state.burner == "off"


def test_overheated_wax_shows_its_ceiling_and_its_peak(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on")).at(30, ev.Reading(place="pot", celsius=97.0))
    card = next(c for c in cards(day.state, day.outlook(31), day.t(31)) if c.id == "overheated")
    assert "Ceiling 93 °C, highest reading 97 °C." in card.text
    assert pick(day, 31, "o", "y").state.burner == "off"


def test_a_burner_known_off_is_not_turned_off_again(layered: Day) -> None:
    pick(layered, 60, "o", "y")
    assert not [e for e in layered.entries[-2:] if isinstance(e.fact, ev.BurnerSet)]


def test_water_in_wax_sets_a_timer_to_settle(day: Day) -> None:
    day = pick(day.melted(), 31, "a", "y")
    assert [(t.name, t.due) for t in day.state.timers] == [("water has sunk", day.t(51))]


def test_wax_set_in_a_jug_is_asked_to_be_melted_and_counted(layered: Day) -> None:
    day = pick(layered, 200, "j", "1")
    assert day.state.jugs[0].has_set
    act = next(a for a in follow_ups(day.state, day.outlook(201)) if a.kind == "jug")
    day.at(220, *act.records)
    assert (day.state.jugs[0].heat_cycles, day.state.jugs[0].has_set) == (2, False)


def test_a_weeping_leak_is_frozen_from_outside_and_looked_at_again(layered: Day) -> None:
    card = next(c for c in cards(layered.state, layered.outlook(55), layered.t(55)) if c.id == "leak weeping")
    assert "OUTSIDE" in card.first
    assert pick(layered, 55, "w", "a").state.moulds["A"].weeps is True


def test_a_running_leak_tips_back_what_is_liquid_and_begins_the_layer_again(layered: Day) -> None:
    before = wax_left(layered.state).jugs[0]
    day = pick(layered, 53, "r", "a", "t")
    mould = day.state.moulds["A"]
    assert (mould.pours, mould.restarts, mould.weeps) == ((), 1, None)
    assert wax_left(day.state).jugs[0] > before
    assert day.state.rescue("A").fact.option == "tipped back, begun again"


def test_wax_that_ran_into_the_tray_is_lost(layered: Day) -> None:
    before = wax_left(layered.state).jugs[0]
    day = pick(layered, 53, "r", "a", "o")
    assert day.state.moulds["A"].pours == ()
    assert wax_left(day.state).jugs[0] == before


def test_a_set_layer_stays_in_when_the_one_above_it_runs(layered: Day) -> None:
    layered.at(360, poured("A", 1))
    day = pick(layered, 362, "r", "a", "t")
    assert [p.layer for p in day.state.moulds["A"].pours] == [0, 0]


def test_a_cold_layer_is_looked_at_before_any_way_is_shown(layered: Day) -> None:
    assert pick(layered, 400, "c", "a", "p").state.moulds["A"].look.cue == "pulled away"


def test_running_out_in_the_first_layer_plans_the_rest_anew(layered: Day) -> None:
    day = pick(layered, 53, "m", "a", "2", "n", "y")
    state = day.state
    assert state.moulds["A"].last_pour.share == 0.5
    assert state.revisions
    assert state.fixed_plan == two_pillars()
    assert not broken_off(state, day.outlook(54), "A")
    assert state.rescue("A").fact.option == "new heights"


def test_running_out_says_what_is_missing_and_until_when_more_may_come(layered: Day) -> None:
    asked = question(layered, 53)
    card = next(c for c in asked.choices if c.key == "m").then
    mould = next(c for c in card.choices if c.key == "a").then
    half = next(c for c in mould.choices if c.key == "2")
    kg = SHEET.mould("A").pours[0].kg / 2
    assert f"{kg * 1000:.0f} g missing" in half.label
    more = next(c for c in half.then.choices if c.key == "i")
    assert "by 08:0" in more.label


def test_running_out_of_a_pour_not_on_record_files_the_part_that_is_in(layered: Day) -> None:
    layered.jug(150, 1).at(151, ev.Looked(mould="A", cue="firm"))
    day = pick(layered, 152, "m", "a", "3", "o", "y")
    last = day.state.moulds["A"].last_pour
    assert (last.layer, last.share) == (1, 0.75)


def test_a_knocked_mould_that_spilled_is_short_from_then_on(layered: Day) -> None:
    day = pick(layered, 53, "t", "a", "2")
    assert broken_off(day.state, day.outlook(54), "A")
    assert day.state.rescue("A").fact.option == "level it, centre the wick"


def test_a_slipped_wick_is_mended_by_the_state_of_the_wax(layered: Day) -> None:
    assert "pull it taut" in pick(layered, 53, "i", "a").state.rescue("A").fact.option
    assert "warm wire" in pick(layered, 160, "i", "b").state.rescue("B").fact.option
    assert "drill" in pick(layered, 51 + 14 * 60, "i", "b").state.rescues[-1].fact.option


def test_a_wrong_colour_that_is_kept_is_planned_as_it_was_made(layered: Day) -> None:
    state = pick(layered, 60, "k", "1", "k").state
    assert state.plan.layers[0].colour == "rust, off shade"
    assert state.fixed_plan.layers[0].colour == "rust"


def test_forgotten_scent_leaves_the_layer_unscented_and_the_next_as_planned(layered: Day) -> None:
    plan = pick(layered, 60, "f", "1", "n").state.plan
    assert [layer.scent_load for layer in plan.layers] == [0.0, 0.04]


def test_doubled_scent_is_diluted_to_what_the_wax_holds(layered: Day) -> None:
    """Paraffin for pillars holds 5 % at most by the wax table."""
    state = pick(layered, 60, "f", "1", "p").state
    assert state.plan.layers[0].scent_load == pytest.approx(0.05)


def test_plain_wax_for_a_lower_load_keeps_the_scent() -> None:
    """kg of scent before and after is the same: w l0 = (w + added) l1."""
    wax, scent = 0.200, 0.016
    added = plain_wax_for(wax + scent, 0.08, 0.05)
    assert (wax + added) * 0.05 == pytest.approx(scent)
    assert plain_wax_for(0.2, 0.04, 0.05) == 0.0


def test_a_burn_comes_first_is_timed_for_twenty_minutes_and_is_not_asked_about_as_wax_is(day: Day) -> None:
    """20 minutes under cool running tap water, rings off, no ice: Kent Fire and Rescue Service; stuck wax stays: wax safety
    data sheets."""
    day.at(0, ev.BurnerSet(state="on"))
    first = cards(day.state, day.outlook(20), day.t(20))[0]
    assert first.id == "burn"
    for said in ("20 minutes", "Rings", "sticks to the skin stays", "No ice", "emergency number", "doctor"):
        assert said in first.text
    day = pick(day, 20, "n", "y")
    assert day.state.burner == "off"
    assert [timer.due for timer in day.state.timers] == [day.t(20) + COOLING] == [day.t(40)]
    assert follow_ups(day.state, day.outlook(90)) == []


def test_no_card_sends_a_hand_to_a_hot_pot_lifts_hot_wax_or_melts_it_in_a_microwave(layered: Day) -> None:
    """Microwaved wax reached 108.5 °C: Chang et al., Eplasty 11 (2011) e25. The rest: common practice, no source."""
    shown = {card.id: card for card in cards(layered.state, layered.outlook(60), layered.t(60))}
    assert "no hand on it" in shown["boiler dry"].first
    assert "lay a hand" not in shown["boiler dry"].text
    assert "leave the pot where it stands" in shown["overheated"].first
    assert "never in a microwave" in shown["wax set in the jug"].first
    assert shown["leak running"].first.startswith("Stand the mould in cold water deeper than the hole")


def test_a_running_leak_that_cold_water_stopped_loses_nothing(layered: Day) -> None:
    before = layered.state.moulds["A"].pours
    day = pick(layered, 53, "r", "a", "c")
    assert day.state.moulds["A"].pours == before
    assert day.state.moulds["A"].weeps is True


def test_dye_that_was_added_is_asked_for_and_the_plan_has_the_shade_as_made(layered: Day) -> None:
    load = two_pillars().layers[0].dye_load
    in_it = wax_left(layered.state).jugs[0] * load * 1000
    asked = next(c for c in question(layered, 60).choices if c.key == "k").then
    ways = next(c for c in asked.choices if c.key == "1").then
    how_much = next(c for c in ways.choices if c.key == "m").then
    half = next(c for c in how_much.choices if c.key == "5")
    assert float(half.label.split(", ")[1].split()[0]) == pytest.approx(in_it / 2, rel=0.1)
    day = pick(layered, 60, "k", "1", "m", "5")
    assert day.state.plan.layers[0].dye_load == pytest.approx(1.5 * load)
    assert day.state.fixed_plan.layers[0].dye_load == load
    unweighed = pick(layered, 61, "k", "1", "m", "n")
    assert unweighed.state.plan.layers[0].dye_load == pytest.approx(1.5 * load)


def test_a_cold_candle_has_cards_for_each_mould_with_wax_in_it(layered: Day) -> None:
    assert [[c.key for c in card.choices] for card in candle_cards(layered.state)] == [["a", "b"], ["a", "b"]]


def test_dye_of_a_colour_planned_without_any_is_only_noted(layered: Day) -> None:
    undyed = msgspec.structs.replace(two_pillars().layers[0], dye_load=0.0)
    plan = msgspec.structs.replace(two_pillars(), layers=(undyed, *two_pillars().layers[1:]))
    layered.at(60, ev.PlanRevised(plan=plan, why="no dye"))
    asked = dye_question(layered.state, layered.outlook(61), 0, ())
    assert [choice.key for choice in asked.choices] == ["n"]
