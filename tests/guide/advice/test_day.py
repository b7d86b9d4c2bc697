"""A two-mould, two-layer day as the guide tells it, from cold pot to cured candle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace as dc_replace
from typing import Any

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.forecast.pot import after_change, forecast
from pourday.guide.acts.act import Act
from pourday.guide.acts.durations import JUG_LEAD, RELIEF_EVERY
from pourday.guide.acts.menu import menu
from pourday.guide.advice.agenda import order_now
from pourday.guide.advice.degrees import degrees
from pourday.guide.outlook.pot import LEAST_KG
from pourday.guide.outlook.room import runs_to
from pourday.plan.model import Cylinder, Layer
from pourday.session import events as ev
from pourday.session.quiet_hours import PersonsClock
from tests.guide.facts import hot, looked

Day = Any  # the `Told` of conftest.py
DAY = 24 * 60.0


def _under_a(day: Day) -> Day:
    return day.melted().plugged()


def _two_layers(day: Day) -> Day:
    return day.melted().plugged().sealed().first_layers().second_layers()


THE_DAY: list[tuple[str, Callable[[Day], Day], float, str, tuple[str, ...]]] = [
    ("empty pot", lambda d: d, 0, "LOAD POT", ("Weigh 864 g of paraffin, pillar into the pot",)),
    (
        "cold pot",
        lambda d: d.at(0, ev.Waived(act="load pot")),
        0,
        "HEAT ON",
        ("wax to 88 °C", "never above 93 °C"),
    ),
    ("lit", lambda d: d.at(0, ev.BurnerSet(state="on")), 8.5, "READ POT", ("Target 88 °C",)),
    (
        "bath",
        lambda d: d.at(0, ev.BurnerSet(state="on")).at(10, hot(50)).at(18, hot(50)).at(26, hot(50)),
        30.5,
        "CHECK WATER",
        ("Look at the bath",),
    ),
    (
        "hot",
        lambda d: d.melted(),
        30.5,
        "JUG RUST",
        ("into a jug for rust", "0.34 g liquid dye", "17 g scent"),
    ),
    (
        "jug made",
        lambda d: d.melted().at(38, ev.JugMade(layer=0)),
        38.5,
        "SHADE RUST",
        ("set on white paper",),
    ),
    # While the flame is out: one warm-up does for both colours, and a plug can wait.
    ("colour seen", lambda d: d.melted().jug(38, 0), 38.5, "JUG CREAM", ("into a jug for cream",)),
    (
        "both jugs",
        lambda d: d.melted().jug(33, 0).jug(36, 1),
        36.5,
        "PLUG A B",
        ("34 g into A", "25 g into B"),
    ),
    ("plugged", _under_a, 40.5, "JUG CREAM", ("into a jug for cream",)),
    (
        "plugged and hot",
        lambda d: _under_a(d).reheated(46),
        46.5,
        "WAIT",
        ("Next: LOOK UNDER A B about 07:48",),
    ),
    ("plug set", _under_a, 48.5, "LOOK UNDER A B", ("no wax may weep",)),
    (
        "weeps",
        lambda d: _under_a(d).at(49, ev.SealSeen(mould="A", weeps=True)),
        54,
        "LOOK UNDER A",
        ("weeps",),
    ),
    (
        "sealed",
        lambda d: _under_a(d).sealed(),
        50.5,
        "POUR A B",
        ("Pour rust", "about 235 g into A, to the line 71 mm", "about 108 g into B, to the line 48 mm"),
    ),
    ("first layers", lambda d: _under_a(d).sealed().first_layers(), 52, "WAIT", ("Next: HEAT",)),
    (
        "both firm, jug made",
        lambda d: _under_a(d).sealed().first_layers().at(130, *(looked(x, "firm") for x in "AB")).jug(132, 1),
        133,
        "POUR A B",
        ("Pour cream", "into A, to the line 6 mm below its rim", "into B, to the line 6 mm below its rim"),
    ),
    (
        "crusted",
        lambda d: _two_layers(d),
        216,
        "LOOK A B",
        ("Through any crust make 2-4 relief holes", "into the liquid"),
    ),
    (
        "firm again",
        lambda d: _two_layers(d).at(260, *(looked(x, "firm") for x in "AB")),
        261,
        "HEAT ON",
        ("Stand the cream jug in the bath", "wax to 88 °C"),
    ),
    (
        "reserve hot",
        lambda d: _two_layers(d).at(260, *(looked(x, "firm") for x in "AB")).reheated(270, 84.0),
        270.5,
        "TOP UP A B",
        ("into A, to 8 mm below its rim, never above", "into B, to 8 mm below its rim, never above"),
    ),
    ("topped up", lambda d: _two_layers(d).topped_up(), 281, "WAIT", ("Next: DEMOULD A B about Mon 07:00",)),
    (
        "cold",
        lambda d: _two_layers(d).topped_up(),
        DAY,
        "DEMOULD A B",
        ("cold to the hand", "hairline gap"),
    ),
    (
        "out",
        lambda d: (
            _two_layers(d).topped_up().at(DAY, *(ev.Demoulded(mould=x, release="dropped out") for x in "AB"))
        ),
        2 * DAY + 1,
        "FINISH",
        (
            "A has cured 1 day and may be burn-tested; ready to give from",
            "B has cured 1 day and may be burn-tested; ready to give from",
        ),
    ),
    (
        "cured",
        lambda d: (
            _two_layers(d)
            .topped_up()
            .at(DAY, *(ev.Demoulded(mould=x, release="dropped out") for x in "AB"))
            .at(2 * DAY, *(ev.Waived(act=f"cure {x}") for x in "AB"))
        ),
        2 * DAY + 1,
        "FINISH",
        ("A and B may be burn-tested; ready to give after 7 days",),
    ),
]


@pytest.mark.parametrize(
    ("upto", "minute", "word", "says"), [row[1:] for row in THE_DAY], ids=[row[0] for row in THE_DAY]
)
def test_at_each_point_of_the_day_the_guide_says_the_next_thing(
    day: Day, upto: Callable[[Day], Day], minute: float, word: str, says: tuple[str, ...]
) -> None:
    now = upto(day).now(minute)
    assert now.word == word
    for part in says:
        assert part in now.says, now.says


def test_the_plug_weighs_what_a_centimetre_of_hot_wax_weighs(day: Day) -> None:
    """10 mm of a 75 mm and a 65 mm mould: 44.2 and 33.2 ml, at 0.75 to 0.79 g/ml, the liquid density of
    paraffin near 85 °C (common practice, no source)."""
    plug = day.melted().jug(38, 0).act(38.5, "plug")
    grams = {fact.mould: fact.planned_kg * 1000 for fact in plug.records}
    assert 44.18 * 0.75 <= grams["A"] <= 44.18 * 0.79
    assert 33.18 * 0.75 <= grams["B"] <= 33.18 * 0.79


def test_one_colour_into_two_moulds_is_one_act_with_two_weights_and_two_levels(day: Day) -> None:
    day.melted().plugged().sealed()
    pour = day.act(50.5, "pour")
    assert pour.moulds == "AB"
    assert [f.mould for f in pour.records if isinstance(f, ev.Poured)] == ["A", "B"]
    assert [f.mould for f in pour.records if isinstance(f, ev.Poured)] == ["A", "B"]
    assert pour.records[0].planned_kg != pour.records[1].planned_kg
    assert "71 mm below its rim" in pour.says
    assert "48 mm below its rim" in pour.says


def test_moulds_that_are_not_ready_together_are_poured_apart(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().at(130, looked("A", "firm")).jug(132, 1)
    acts = day.acts(133)
    assert "pour 1 A" in acts
    assert [a.moulds for a in acts.values() if a.kind == "look"] == ["B"]


def test_done_files_what_was_asked_and_the_guide_goes_on(day: Day) -> None:
    day.melted().jug(38, 0).jug(41, 1)
    day.at(42, *day.now(42).act.records)
    assert [p.part for p in day.state.moulds["A"].pours] == ["plug"]
    assert day.now(42.5).word == "READ JUG RUST"


# -- looks -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cue", "share"), [("wet", 0.7), ("skinned", 0.65)])
def test_a_look_that_came_too_early_comes_back_sooner_than_the_first(
    day: Day, cue: ev.Cue, share: float
) -> None:
    day.melted().plugged().sealed().first_layers(51)
    wait = day.act(52, "look").due - day.t(51)
    looked_at = day.act(52, "look").due / 60 - day.t(0) / 60
    mould = day.act(52, "look").moulds
    day.at(looked_at, looked(mould, cue))
    again = next(a for a in day.acts(looked_at + 1).values() if a.kind == "look" and a.moulds == mould)
    after = again.due - day.t(looked_at)
    assert 3 * 60 <= after <= 25 * 60 + 1
    assert after <= max(3 * 60, wait * share) + 1


def test_a_surface_still_wet_waits_longer_than_one_that_is_skinned(day_of: type) -> None:
    dues = {}
    for cue in ("wet", "skinned"):
        told = day_of().melted().plugged().sealed().first_layers()
        first = next(a.due for a in told.acts(52).values() if a.kind == "look" and a.moulds == "B")
        minute = (first - told.t(0)) / 60
        told.at(minute, looked("B", cue))
        dues[cue] = next(
            a.due for a in told.acts(minute + 1).values() if a.kind == "look" and a.moulds == "B"
        )
    assert dues["skinned"] < dues["wet"]


def test_the_look_falls_inside_the_computed_window(day: Day) -> None:
    """Makers wait 1-2 h between layers (common practice, no source); the first look comes some time before the pour."""
    day.melted().plugged().sealed().first_layers(51)
    forecasts = day.outlook(52).moulds
    for look in (a for a in day.acts(52).values() if a.kind == "look"):
        forecast = forecasts[look.moulds]
        assert forecast.opens.likely <= look.due <= forecast.closes
        assert 0.5 * 3600 <= look.due - day.t(51) <= 2.25 * 3600


@pytest.mark.parametrize("cue", ["cold", "pulled away"])
def test_a_layer_gone_too_far_asks_for_a_decision_and_never_just_for_hotter_wax(
    day: Day, cue: ev.Cue
) -> None:
    day.melted().plugged().sealed().first_layers().at(300, looked("B", cue))
    act = next(a for a in day.acts(301).values() if a.moulds == "B")
    assert act.kind == "decide"
    assert act.word == "DECIDE"
    assert act.records == ()
    assert len(act.question.choices) >= 3
    assert "arm" in act.says.partition("pour")[0] or "hotter pour alone runs down the gap" in act.says
    assert act.due <= day.t(301)


def test_the_pulled_away_mould_is_told_why_hotter_alone_does_not_do(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().at(300, looked("B", "pulled away"))
    says = day.act(301, "decide").says
    assert "hotter pour alone runs down the gap" in says
    assert "Warm the whole mould" in says


def test_looked_at_again_and_firm_it_may_be_poured(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().at(300, looked("B", "cold"))
    day.at(310, looked("B", "firm")).jug(311, 1)
    assert "pour 1 B" in day.acts(312)


def test_no_colour_is_poured_from_a_jug_that_is_not_made(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().at(130, *(looked(x, "firm") for x in "AB"))
    assert day.now(131).word == "READ POT"  # an hour after the burner went off
    assert day.at(131.5, hot(45)).now(132).word == "HEAT ON"
    assert day.act(131, "pour").due == float("inf")
    day.at(132, ev.BurnerSet(state="on")).at(150, hot(86.0))
    # It is drawn with the flame out, and so it is told after that.
    assert day.now(150.5).word == "HEAT OFF"
    assert day.act(150.5, "heat off").due < day.act(150.5, "jug").due < day.t(151)
    day.at(151, ev.BurnerSet(state="off"))
    assert "JUG CREAM" in [act.word for act in order_now(list(day.acts(151.1).values()), day.t(151.1))]


# -- relief holes, top-up, demoulding ----------------------------------------------------------------


@pytest.mark.parametrize("shares", [(0.55, 0.45), (0.8, 0.2), (1.0,)])
def test_holes_are_asked_for_through_a_crust_and_no_deeper_than_the_liquid(
    day_of: type, shares: tuple[float, ...]
) -> None:
    """Not six minutes after a pour onto liquid wax, and no depth on record that nobody measured."""
    layers = tuple(Layer(colour=f"c{i}", share=share) for i, share in enumerate(shares))
    told = day_of(plan=replace(two_pillars(), layers=layers)).melted().plugged().sealed().first_layers()
    if len(shares) > 1:
        told.second_layers()
    last = 51 if len(shares) == 1 else 150
    # They are made by whoever looks at the top.
    holes = next(a for a in told.acts(last + 1).values() if a.kind == "look" and a.records)
    assert told.t(last + 15) < holes.due < told.t(last + 120)
    assert all(isinstance(fact, ev.Relieved) and fact.depth is None for fact in holes.records)
    assert holes.caution.count("no deeper than") == len(holes.moulds)
    for letter in holes.moulds:
        deep = runs_to(told.outlook(last + 1), letter, holes.due)
        crust = told.outlook(last + 1).mould(letter).heat.case.pours
        assert 0 < deep <= sum(pour.height for pour in crust)


def test_holes_of_a_large_pillar_are_reopened_and_the_top_up_opens_all_of_them_itself(day_of: type) -> None:
    """Reopened every 20-40 min on a large pillar: common practice, no source."""
    plan = two_pillars()
    large = replace(plan.moulds[0], shape=Cylinder(diameter=0.12, height=0.15))
    for mould, reopened in ((plan.moulds[0], False), (large, True)):
        day = day_of(plan=replace(plan, moulds=(mould,), layers=plan.layers[:1])).melted().jug(38, 0)
        day.at(40, *day.act(39, "plug").records).at(50, ev.SealSeen(mould="A", weeps=False))
        day.at(51, *day.act(50.5, "pour").records)
        day.at(75, looked("A", "firm"), ev.Relieved(mould="A"))
        again = [a for a in day.acts(76).values() if a.kind == "relief"]
        assert bool(again) is reopened
        assert all(a.due == pytest.approx(day.t(75) + RELIEF_EVERY) and "Reopen" in a.says for a in again)
        top_up = _top_up_of(day)
        assert [type(f) for f in top_up.records] == [ev.Relieved, ev.Poured]


def _top_up_of(day: Day) -> Act:
    return next(a for a in day.acts(181).values() if a.kind == "top-up")


def test_whoever_looks_before_a_top_up_makes_the_holes_on_the_same_walk(day: Day) -> None:
    """And says so by the same answer; one key says that none were made, and a wet top has no crust to make them through."""
    _two_layers(day)
    look = next(a for a in day.acts(151).values() if a.kind == "look")
    assert look.moulds == "AB"
    assert "relief holes" in look.says
    assert not [a for a in day.acts(151).values() if a.kind == "relief"]
    said = {choice.key: [type(fact) for fact in choice.facts] for choice in look.question.choices}
    assert said["f"] == said["k"] == [ev.Looked, ev.Relieved] * 2
    assert said["w"] == said["c"] == said["p"] == [ev.Looked] * 2
    bare = next(choice.then for choice in look.question.choices if choice.key == "x")
    assert {type(fact) for choice in bare.choices for fact in choice.facts} == {ev.Looked}


def test_the_top_up_waits_until_enough_is_missing_however_early_the_top_is_firm(day: Day) -> None:
    """A top-up that comes too early sinks again: common practice, no source (1-4 h after the last pour)."""
    _two_layers(day).at(170, looked("A", "firm"))
    top_up = next(a for a in day.acts(171).values() if a.kind == "top-up" and "A" in a.moulds)
    assert top_up.due >= day.t(150 + 45)


@pytest.mark.parametrize("begins", range(0, 24 * 60, 90))
def test_nobody_is_sent_to_the_bench_in_the_quiet_hours(day: Day, begins: int) -> None:
    awake = PersonsClock().awake
    for minute in range(begins, begins + 90, 10):
        hour = (7 + awake(day.t(minute)) / 3600 - day.t(0) / 3600) % 24
        assert 7 <= hour < 22
        assert awake(day.t(minute)) - day.t(minute) < 9 * 3600 + 1


def test_a_mould_cold_at_two_in_the_night_is_demoulded_at_seven(day: Day) -> None:
    late = 10 * 60
    day.melted().plugged(late).sealed(late + 10).first_layers(late + 12).second_layers(late + 100)
    day.topped_up(late + 230)
    for act in (a for a in day.acts(late + 231).values() if a.kind == "demould"):
        cold = act.window.likely
        assert act.due >= cold
        assert act.due == day.t(DAY) or 7 * 3600 <= (act.due % 86400) < 22 * 3600
    assert any(a.due == day.t(DAY) for a in day.acts(late + 231).values() if a.kind == "demould")


def test_a_stuck_candle_goes_to_the_fridge_never_the_freezer(day: Day) -> None:
    _two_layers(day).topped_up().at(DAY, ev.Demoulded(mould="B", release="stuck"))
    says = day.acts(DAY + 1)["demould B"].says
    assert "15 minutes in the fridge at a time, never the freezer" in says


# -- the stove works backwards from the moulds --------------------------------------------------------


def test_the_jug_is_drawn_coloured_and_hot_while_the_window_is_open(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    acts, outlook = day.acts(52), day.outlook(52)
    first = min((a for a in acts.values() if a.kind == "look"), key=lambda a: a.due)
    heat = next(a for a in acts.values() if a.kind == "heat on")
    lit = forecast(after_change(outlook.pot, heat.due, "on heat"), (), heat.due)
    hot = lit.reaches(outlook.melt_c).spread.likely + JUG_LEAD
    assert first.due - 5 * 60 <= hot <= first.closes


def test_a_long_wait_is_spent_with_the_burner_off(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on")).at(30, ev.Reading(place="pot", celsius=87.5), ev.WaterSeen())
    day.plugged(32).sealed(42).first_layers(43).at(44, ev.Reading(place="pot", celsius=87.5), ev.WaterSeen())
    assert day.now(45).word == "HEAT OFF"


def test_no_burner_stays_lit_when_no_pour_is_left(day: Day) -> None:
    _two_layers(day).topped_up(280).at(281, ev.BurnerSet(state="on"))
    off = day.act(282, "heat off")
    assert off.due <= day.t(282)
    assert "No pour needs hot wax any more" in off.says


def test_what_a_lit_burner_needs_cannot_be_left_out_for_good(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on")).at(1, ev.Reopened(program="0", away=60), by="program")
    day.at(2, ev.Waived(act="burner?"))
    assert day.now(3).act.kind == "burner?"


def test_leaving_out_the_heat_leaves_a_guide_that_still_speaks(day: Day) -> None:
    day.at(1, *day.now(1).act.records)
    day.at(1.5, ev.Waived(act=str(day.now(1.5).act.id)))
    now = day.now(2)
    assert now.word == "WAIT"
    assert now.time.text == ""


def test_leaving_out_one_act_for_two_moulds_leaves_it_out_for_both(day: Day) -> None:
    _two_layers(day).at(260, *(looked(x, "firm") for x in "AB"))
    act = day.act(261, "top-up")
    assert act.moulds == "AB"
    choice = next(c for c in menu(day.state, day.outlook(261), act).choices if c.key == "n")
    day.at(261, *choice.facts)
    assert {a.kind for a in day.acts(262).values() if a.moulds} == {"demould"}


# -- the big number -----------------------------------------------------------------------------------


def test_a_look_and_a_cured_candle_have_no_temperature_beside_them(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    now = day.now(200)
    assert now.act.kind in ("look", "relief"), now.word
    assert (now.degrees.text, now.degrees.label) == ("", "")
    for what in ("demould", "cure", "finish"):
        act = dc_replace(now.act, kind=what, place=("candle", "A"))
        assert degrees(day.state, day.outlook(200), act, day.t(200)).text == ""


def test_an_empty_pot_has_none_and_what_stands_in_jugs_is_the_jugs(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    pot = dc_replace(day.now(200).act, kind="heat on", place=("pot", ""))
    drawn = day.at(201, *(ev.JugMade(layer=layer) for layer in range(len(day.state.plan.layers))))
    number = degrees(drawn.state, drawn.outlook(203), pot, drawn.t(203))
    assert number.label.startswith("cream jug")
    assert number.text.startswith("~"), "nobody read it just now"
    empty = dc_replace(drawn.outlook(203).pot.setup, kg=LEAST_KG)
    outlook = dc_replace(drawn.outlook(203), pot=dc_replace(drawn.outlook(203).pot, setup=empty))
    assert degrees(drawn.state, outlook, pot, drawn.t(203)).text == ""


def test_an_empty_pot_has_no_temperature_in_large(day: Day) -> None:
    """~20° stood there with a target of 88 °C before any wax was weighed."""
    assert day.now(0).word == "LOAD POT"
    assert day.now(0).degrees.text == ""
    assert day.at(0, ev.Waived(act="load pot")).now(0).degrees.text == "~20°"


def test_candles_that_cured_together_are_told_in_one_sentence(day):
    told = _two_layers(day).topped_up()
    told.at(DAY, *(ev.Demoulded(mould=x, release="dropped out") for x in "AB"))
    (test,) = [act for act in told.acts(DAY + 5).values() if act.kind == "cure"]
    assert test.moulds == "AB"
    assert test.says.startswith("A and B have cured 1 day and may be burn-tested; ready to give from")
    assert test.says.count("burn-tested") == 1
