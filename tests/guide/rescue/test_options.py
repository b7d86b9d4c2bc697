"""What is offered for a mould that waited, broke off or pulled away, what follows from it, and what is not offered.

The ways are those of the trade (common practice, no source): a cold layer that is tight is warmed to 40-50 °C,
poured at the hot end and 5 K more, thin first; one that has pulled is never met with a hotter pour alone.
"""

from __future__ import annotations

from typing import Any

import pytest

from pourday.demo.scenario import two_pillars
from pourday.forecast.fuse import LIMITS
from pourday.guide.acts.act import NO_ANSWER, Act
from pourday.guide.acts.mould_acts import mould_acts
from pourday.guide.outlook.wax_left import heat_warning, in_moulds, wax_left
from pourday.guide.rescue import heat as rescue_heat
from pourday.guide.rescue.follow_up import follow_ups, pour_words, under_rescue
from pourday.guide.rescue.in_agenda import with_rescues
from pourday.guide.rescue.options import Option, broken_off, option_question, options
from pourday.plan.own_layers import layers_of
from pourday.plan.replan import rest_sheet
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.act_id import ActId

Day = Any  # the `Told` of conftest.py
SHEET = weigh_sheet(two_pillars())
NIGHT = 51 + 14 * 60.0


def poured(mould: str, layer: int, share: float = 1.0, part: ev.Part = "layer") -> ev.Poured:
    sheet = SHEET.mould(mould)
    kg = sheet.top_up.kg if part == "top-up" else sheet.pours[layer].kg
    return ev.Poured(mould=mould, layer=layer, part=part, planned_kg=kg, share=share)


def layered(day: Day, share: float = 1.0) -> Day:
    day = day.melted().jug(38, 0)
    day.at(40, *(ev.Poured(mould=x, layer=0, part="plug", planned_kg=SHEET.mould(x).plug.kg) for x in "AB"))
    return day.sealed().at(51, poured("A", 0, share), poured("B", 0))


def two_layers(day: Day) -> Day:
    day = layered(day).at(145, ev.Looked(mould="A", cue="firm")).jug(148, 1)
    return day.at(150, poured("A", 1), poured("B", 1))


def ways(day: Day, minute: float, letter: str = "A") -> dict[str, Option]:
    return {o.id: o for o in options(day.state, day.outlook(minute), letter, day.t(minute))}


def seen(day: Day, minute: float, cue: ev.Cue) -> Day:
    return day.at(minute, ev.Looked(mould="A", cue=cue))


def alone(day: Day, *, hot: bool) -> float:
    """m that the next pour into A melts at least in the night, with nothing done before it."""
    outlook = day.outlook(NIGHT)
    pour = rescue_heat.next_pour(day.state, outlook, "A", 1)
    celsius = pour.hottest_c if hot else pour.planned_c
    return rescue_heat.plain(day.state, outlook.mould("A"), pour, celsius, day.t(NIGHT)).least


def take(day: Day, minute: float, option: Option) -> Day:
    return day.at(minute, *option.facts)


# -- what is offered ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cue", "minute", "offered"),
    [
        ("wet", 70, ["carry on", "stop here"]),
        ("skinned", 100, ["carry on", "stop here"]),
        ("firm", 150, ["carry on", "stop here"]),
        ("cold", 400, ["warm and pour", "stop here", "melt again"]),
        ("pulled away", NIGHT, ["re-seat", "melt again", "stop here", "accept"]),
    ],
)
def test_the_ways_follow_what_was_seen_the_best_first(
    day: Day, cue: ev.Cue, minute: float, offered: list[str]
) -> None:
    assert list(ways(seen(layered(day), minute, cue), minute)) == offered


def test_a_cold_layer_is_warmed_to_40_to_50_and_poured_at_the_hot_end_thin_first(day: Day) -> None:
    warm = ways(seen(layered(day), 400, "cold"), 400)["warm and pour"]
    chosen = warm.facts[0]
    assert 40 <= chosen.warm_to_c <= 50
    assert chosen.pour_c == min(SHEET.wax.pour_max_c + 5, SHEET.ceiling_c)
    assert chosen.thin == 0.005
    assert chosen.remelt > 0.0001
    assert "scratch lightly" in warm.says
    assert "5 mm (" in warm.says
    assert warm.risk


def test_no_mould_is_poured_above_what_it_stands(day: Day) -> None:
    day = layered(day).at(400, ev.Looked(mould="B", cue="cold"))
    for option in ways(day, 400, "B").values():
        assert option.celsius is None or option.celsius <= two_pillars().moulds[1].limit_c


def test_a_hotter_pour_alone_is_never_offered_on_a_layer_that_pulled_away(day: Day) -> None:
    day = seen(layered(day), NIGHT, "pulled away")
    found = ways(day, NIGHT)
    for option in found.values():
        hotter = option.celsius is not None and option.celsius > SHEET.pour("A", 1).pour_c
        assert not hotter or "until it sits tight" in option.says
    assert found["re-seat"].remelt > alone(day, hot=True)


def test_pouring_a_cold_layer_as_planned_is_not_offered(day: Day) -> None:
    day = seen(layered(day), NIGHT, "cold")
    assert alone(day, hot=False) < LIMITS.no_weld
    offered = {option.celsius for option in ways(day, NIGHT).values()}
    assert SHEET.pour("A", 1).pour_c not in offered


def test_inside_its_window_a_firm_layer_is_poured_as_planned(day: Day) -> None:
    found = ways(seen(layered(day), 150, "firm"), 150)["carry on"]
    assert found.celsius == SHEET.pour("A", 1).pour_c


def test_past_its_window_a_firm_layer_is_poured_at_the_hot_end(day: Day) -> None:
    found = ways(seen(layered(day), 330, "firm"), 330)["carry on"]
    assert found.celsius > SHEET.pour("A", 1).pour_c


def test_too_early_there_is_only_the_wait_and_no_promise(day: Day) -> None:
    wait = ways(seen(layered(day), 70, "wet"), 70)["carry on"]
    assert wait.says.startswith("Wait until it carries the next colour")
    assert wait.remelt is None


def test_after_the_last_layer_only_the_well_is_left(day: Day) -> None:
    day = two_layers(day)
    pulled = ways(seen(day, 150 + 14 * 60, "pulled away"), 150 + 14 * 60)
    assert list(pulled) == ["top up", "no top-up"]
    assert "nothing down the gap" in pulled["top up"].says
    day = take(day, 1000, pulled["no top-up"])
    assert ActId("top-up", "A") in day.state.waived


def test_nothing_is_offered_for_an_empty_or_a_finished_mould(day: Day) -> None:
    assert ways(day.melted(), 30) == {}
    done = two_layers(day).at(280, poured("A", 1, part="top-up"))
    assert ways(done, 300) == {}
    assert option_question(done.state, done.outlook(300), "A", done.t(300)) is None


def test_the_question_shows_each_way_short_and_then_whole_before_it_is_filed(day: Day) -> None:
    day = seen(layered(day), NIGHT, "pulled away")
    question = option_question(day.state, day.outlook(NIGHT), "A", day.t(NIGHT))
    assert question is not None
    keys = [choice.key for choice in question.choices]
    assert len(set(keys)) == len(keys)
    assert NO_ANSWER.isdisjoint(keys)
    for choice in question.choices[:-1]:
        assert len(choice.label) <= 40
        assert choice.then is not None
        assert "Risk:" in choice.then.asks
        assert isinstance(choice.then.choices[0].facts[0], ev.RescueChosen)


# -- broken off -----------------------------------------------------------------------------------


def test_a_half_poured_layer_is_planned_anew_and_never_poured_on(day: Day) -> None:
    day = layered(day, share=0.5)
    assert broken_off(day.state, day.outlook(60), "A")
    found = ways(day, 60)
    assert list(found) == ["new heights", "stop here", "melt again"]
    day = take(day, 61, found["new heights"])
    state = day.state
    assert state.fixed_plan == two_pillars()
    assert not broken_off(state, day.outlook(62), "A")
    low, high = (p.level for p in weigh_sheet(state.plan).mould("A").pours)
    planned = [p.level for p in SHEET.mould("A").pours]
    assert low < 0.6 * planned[0]
    assert planned[1] - planned[0] < high - low
    assert high < planned[1], "there is no more cream than was melted for it"
    assert rest_sheet(state.plan, in_moulds(state), wax_left(state)).short == 0
    assert weigh_sheet(state.plan).mould("B") == SHEET.mould("B")


def test_with_wax_enough_the_rest_goes_up_to_the_line(day: Day) -> None:
    day = layered(day, share=0.5).at(59, ev.WaxAdded(kg=0.5))
    day = take(day, 61, ways(day, 60)["new heights"])
    levels = [p.level for p in weigh_sheet(day.state.plan).mould("A").pours]
    assert levels[1] == pytest.approx(SHEET.mould("A").pours[1].level, abs=2e-4)


def test_stopping_at_a_height_leaves_no_further_layer_for_that_mould(day: Day) -> None:
    day = layered(day, share=0.5)
    day = take(day, 61, ways(day, 60)["stop here"])
    assert layers_of(day.state.plan, "A") == (0,)
    assert layers_of(day.state.plan, "B") == (0, 1)
    assert list(ways(seen(day, 200, "firm"), 200)) == ["top up", "no top-up"]


def test_a_weighed_pour_that_is_short_counts_as_broken_off(day: Day) -> None:
    day = layered(day).at(52, ev.Weighed(mould="B", what="pour", kg=0.05))
    assert broken_off(day.state, day.outlook(53), "B")
    assert not broken_off(day.state, day.outlook(53), "A")


# -- what follows ---------------------------------------------------------------------------------


def follow(day: Day, minute: float) -> list[Act]:
    return follow_ups(day.state, day.outlook(minute))


def answer(day: Day, minute: float, act: Act, key: str) -> Day:
    assert act.question is not None
    return day.at(minute, *next(c for c in act.question.choices if c.key == key).facts)


def test_a_warmed_layer_is_poured_by_its_rescue_and_asked_about_when_it_is_out(day: Day) -> None:
    day = seen(layered(day), 400, "cold")
    warm = ways(day, 400)["warm and pour"]
    day = take(day, 401, warm)
    assert under_rescue(day.state, "A")
    (act,) = follow(day, 402)
    assert (act.word, act.moulds, act.place) == ("WARM", "A", ("surface", "A"))
    day = answer(day, 420, act, "y")
    assert day.state.moulds["A"].look.cue == "firm"
    assert not under_rescue(day.state, "A")
    words = pour_words(day.state, day.outlook(421), "AB", 1)
    assert words == "A by its rescue: at 93 °C, 5 mm first, the rest after a minute or two."
    assert ways(day, 421)["carry on"].remelt == warm.remelt
    day.at(422, poured("A", 1))
    (how,) = follow(day, 430)
    assert (how.word, how.due) == ("HOW", float("inf"))
    day.at(2000, poured("A", 1, part="top-up"), ev.Demoulded(mould="A", release="dropped out"))
    (how,) = follow(day, 2001)
    assert how.due == day.t(2000)
    day = answer(day, 2002, how, "w")
    assert follow(day, 2003) == []
    assert day.state.rescues[0].ended.came == "good"


def test_warming_that_did_not_help_leaves_the_choice_open_again(day: Day) -> None:
    day = seen(layered(day), NIGHT, "pulled away")
    day = take(day, NIGHT + 1, ways(day, NIGHT)["re-seat"])
    (act,) = follow(day, NIGHT + 2)
    day = answer(day, NIGHT + 200, act, "n")
    assert day.state.rescues[0].ended.came == "failed"
    assert not under_rescue(day.state, "A")
    assert follow(day, NIGHT + 201) == []


def test_melting_again_takes_the_wax_out_when_cold_melts_the_jug_and_counts_it(day: Day) -> None:
    day = seen(layered(day), NIGHT, "pulled away")
    before = wax_left(day.state).jugs[0]
    day = take(day, NIGHT + 1, ways(day, NIGHT)["melt again"])
    (act,) = follow(day, NIGHT + 2)
    assert act.word == "DEMOULD"
    day = answer(day, NIGHT + 3, act, "y")
    state = day.state
    assert state.moulds["A"].pours == ()
    assert state.jugs[0].has_set
    inside = SHEET.mould("A").pours[0].kg + SHEET.mould("A").plug.kg
    assert wax_left(state).jugs[0] == pytest.approx(before + inside)
    jug = next(a for a in follow(day, NIGHT + 4) if a.kind == "jug")
    assert "second melting" in jug.why
    assert "Scent" in jug.why
    day.at(NIGHT + 30, *jug.records)
    assert day.state.jugs[0].heat_cycles == 2
    assert (
        heat_warning(day.state, 0)
        == "melted 2 times: scent weaker; one re-melt is tolerable, add none by guess"
    )
    assert not [a for a in follow(day, NIGHT + 31) if a.kind == "jug"]


def test_several_colours_melted_again_become_one_base_layer(day: Day) -> None:
    day = seen(two_layers(day), 150, "wet")
    take(
        day,
        151,
        Option(
            "melt again",
            "m",
            "",
            "",
            "",
            (ev.RescueChosen(card="wrong colour", option="melt again", mould="A"),),
        ),
    )
    act = next(a for a in follow(day, 152) if a.word == "DEMOULD")
    day = answer(day, 1500, act, "y")
    state = day.state
    assert state.plan.layers[2].colour == "rust and cream, melted together"
    assert layers_of(state.plan, "A") == (2,)
    assert layers_of(state.plan, "B") == (0, 1)
    assert state.jugs[2].has_set
    assert in_moulds(state)["A"] == ()


def test_wax_melted_for_the_third_time_is_not_for_a_scented_candle(day: Day) -> None:
    day.jug(30, 0).at(40, ev.JugReheated(layer=0)).at(50, ev.JugReheated(layer=0))
    assert "scent is spent" in heat_warning(day.state, 0)
    assert heat_warning(day.state, 1) == ""


def test_wax_left_is_what_was_melted_less_what_was_drawn_and_poured(day: Day) -> None:
    day = layered(day)
    left = wax_left(day.state)
    assert left.pot == pytest.approx(SHEET.total - SHEET.jug(0).total)
    used = sum(SHEET.mould(x).pours[0].kg + SHEET.mould(x).plug.kg for x in "AB")
    assert left.jugs[0] == pytest.approx(SHEET.jug(0).total - used)
    day.at(60, ev.WaxAdded(kg=0.3))
    assert wax_left(day.state).pot == pytest.approx(left.pot + 0.3)


# -- in the agenda --------------------------------------------------------------------------------


def agenda_of(day: Day, minute: float) -> dict[str, Act]:
    """The acts of mould A, by word."""
    state, outlook = day.state, day.outlook(minute)
    acts = with_rescues(state, outlook, mould_acts(state, outlook), day.t(minute))
    return {act.word: act for act in acts if act.moulds == "A"}


def test_a_choice_on_the_agenda_shows_the_ways_and_what_is_not_one(day: Day) -> None:
    decide = agenda_of(seen(layered(day), NIGHT, "pulled away"), NIGHT)["DECIDE"]
    assert [choice.key for choice in decide.question.choices] == ["r", "m", "o", "a", "l"]
    assert "Not: pour hotter." in decide.caution


def test_a_pour_that_broke_off_is_a_choice_whatever_the_mould_would_ask_for(day: Day) -> None:
    found = agenda_of(layered(day, share=0.5), 60)
    assert list(found) == ["DECIDE"]
    assert "planned anew, not poured on" in found["DECIDE"].says


def test_a_mould_under_rescue_asks_for_its_next_step_alone(day: Day) -> None:
    day = seen(layered(day), NIGHT, "cold")
    day = take(day, NIGHT + 1, ways(day, NIGHT)["warm and pour"])
    assert list(agenda_of(day, NIGHT + 2)) == ["WARM"]


def test_a_cold_plug_that_was_accepted_unseen_has_its_seal_looked_at_next(day: Day) -> None:
    """Not the same choice once more: first what is under the mould, then its layer."""
    day = seen(day.melted().jug(38, 0).at(40, poured("A", 0, part="plug")), NIGHT, "pulled away")
    assert "DECIDE" in agenda_of(day, NIGHT + 1)
    day = take(day, NIGHT + 1, ways(day, NIGHT)["accept"])
    assert "DECIDE" not in agenda_of(day, NIGHT + 2)
    assert "LOOK UNDER" in agenda_of(day, NIGHT + 2)
    day.at(NIGHT + 3, ev.SealSeen(mould="A", weeps=False))
    assert "POUR" in agenda_of(day, NIGHT + 4)


def test_what_was_accepted_as_it_is_can_be_poured(day: Day) -> None:
    day = seen(layered(day), NIGHT, "pulled away")
    day = take(day, NIGHT + 1, ways(day, NIGHT)["accept"])
    pour = agenda_of(day, NIGHT + 2)["POUR"]
    planned = round(SHEET.mould("A").pours[1].kg, 3)
    assert pour.records == (ev.Poured(mould="A", layer=1, part="layer", planned_kg=planned),)
    assert pour.question is None


def test_a_firm_mould_whose_window_was_missed_on_return_is_a_choice_then_a_pour(day: Day) -> None:
    day = layered(day).at(52, ev.Reopened(program="0", away=0.0), by="program")
    day.at(300, ev.Reopened(program="0", away=248 * 60.0), by="program")
    day = seen(day, 301, "firm")
    decide = agenda_of(day, 301)["DECIDE"]
    assert "window was missed" in decide.says
    day = take(day, 302, ways(day, 301)["carry on"])
    assert agenda_of(day, 303)["POUR"].layer == 1


def test_without_a_rescue_the_acts_stay_as_they_are(day: Day) -> None:
    day = seen(layered(day), 150, "firm")
    state, outlook = day.state, day.outlook(150)
    acts = mould_acts(state, outlook)
    assert with_rescues(state, outlook, acts, day.t(150)) == acts


def test_a_mould_that_is_out_already_is_not_asked_to_be_demoulded(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    chosen = ev.RescueChosen(card="layer cold", option="melt again", mould="A", layer=1, says="cold")
    day.at(200, chosen).at(800, ev.Demoulded(mould="A", release="dropped out"))
    act = next(a for a in follow_ups(day.state, day.outlook(801)) if a.moulds == "A")
    assert act.word == "MELT"
    assert "is out of its mould" in act.says


def test_two_rescues_of_one_kind_are_asked_about_one_after_the_other(day: Day) -> None:
    """What is answered is filed for the newest that is open: so that one is asked about first."""
    day.melted().plugged().sealed().first_layers()
    first = ev.RescueChosen(card="spill", option="let it set", says="first")
    second = ev.RescueChosen(card="spill", option="let it set", says="second")
    day.at(60, first).at(62, second)
    for left in (2, 1):
        asked = [a for a in follow_ups(day.state, day.outlook(200)) if a.word == "HOW"]
        assert len(asked) == 1
        newest = day.state.rescue("", "spill")
        assert str(asked[0].id) == f"how {newest.seq}"
        day.at(200 + left, *asked[0].question.choices[0].facts)
    assert not [a for a in follow_ups(day.state, day.outlook(210)) if a.word == "HOW"]
