"""Rescues in the record: broken-off pours, emptied moulds, jugs melted again, and how it all came out."""

from __future__ import annotations

from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.session.describe import say_fact
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.session.state import State

NOON = 1_792_922_400.0


def told(*facts: Fact) -> State:
    """The state after these facts a minute apart on a day with two pillars."""
    return fold(record(*facts))


def record(*facts: Fact) -> list[Entry]:
    entries = []
    for number, fact in enumerate((ev.PlanFixed(plan=two_pillars()), *facts), 1):
        at = ev.moment(NOON + 60 * number)
        entries.append(Entry(seq=number, at=at, logged_at=at, by="person", fact=fact))
    return entries


def poured(mould: str, layer: int, share: float = 1.0) -> ev.Poured:
    return ev.Poured(mould=mould, layer=layer, part="layer", planned_kg=0.2, share=share)


def test_a_pour_that_was_broken_off_counts_for_the_part_that_went_in() -> None:
    pour = told(poured("A", 0, 0.25)).moulds["A"].pours[0]
    assert (pour.share, pour.kg, pour.kg_best) == (0.25, None, 0.05)


def test_a_weighed_pour_counts_by_its_weight_whatever_was_judged() -> None:
    state = told(poured("A", 0, 0.25), ev.Weighed(mould="A", what="pour", kg=0.07))
    assert state.moulds["A"].pours[0].kg_best == 0.07


def test_what_was_tipped_back_is_out_of_the_mould_and_in_its_jug() -> None:
    state = told(
        ev.JugMade(layer=0, kg=0.4),
        poured("A", 0),
        ev.SealSeen(mould="A", weeps=True),
        ev.Emptied(mould="A", how="tipped back", into=0, kg=0.19),
    )
    mould = state.moulds["A"]
    assert (mould.pours, [p.layer for p in mould.emptied], mould.restarts, mould.weeps) == ((), [0], 1, None)
    assert (state.jugs[0].returned_kg, state.jugs[0].has_set) == (0.19, False)
    assert state.stage == "melt"


def test_only_the_layers_that_came_out_are_out() -> None:
    state = told(poured("A", 0), poured("A", 1), ev.Emptied(mould="A", from_layer=1, how="ran out"))
    assert [p.layer for p in state.moulds["A"].pours] == [0]


def test_a_look_at_wax_that_came_out_says_nothing_of_what_is_left() -> None:
    before = (
        poured("A", 0),
        ev.Looked(mould="A", cue="firm"),
        poured("A", 1),
        ev.Looked(mould="A", cue="wet"),
    )
    out = ev.Emptied(mould="A", from_layer=1, how="tipped back")
    assert told(*before).moulds["A"].look.cue == "wet"
    assert told(*before, out).moulds["A"].look is None
    assert told(*before, out, ev.Looked(mould="A", cue="firm")).moulds["A"].look.cue == "firm"


def test_wax_from_a_mould_that_was_not_weighed_counts_by_what_was_poured_for_forecasts() -> None:
    state = told(poured("A", 0, 0.5), ev.Emptied(mould="A", how="demoulded", into=2))
    assert (state.jugs[2].kg, state.jugs[2].returned_kg, state.jugs[2].has_set) == (0.0, 0.1, True)


def test_every_melting_of_a_jug_is_counted() -> None:
    state = told(
        ev.JugMade(layer=0, kg=0.3),
        ev.JugSeen(layer=0, has_set=True),
        ev.JugReheated(layer=0),
        ev.JugReheated(layer=0),
    )
    assert (state.jugs[0].heat_cycles, state.jugs[0].kg, state.jugs[0].has_set) == (3, 0.3, False)
    assert state.jugs[0].made_at == NOON + 300


def test_a_jug_made_again_keeps_what_was_drawn_before() -> None:
    jug = told(ev.JugMade(layer=0, kg=0.3), ev.JugMade(layer=0)).jugs[0]
    assert (jug.kg, jug.earlier, jug.heat_cycles) == (None, (0.3,), 2)


def test_a_jug_nobody_made_is_not_seen() -> None:
    assert told(ev.JugSeen(layer=1, has_set=True)).jugs == {}


def test_the_outcome_belongs_to_the_last_open_rescue_of_its_mould_and_card() -> None:
    cold = ev.RescueChosen(card="layer cold", option="warm and pour", mould="A", remelt=0.0004)
    other = replace(cold, mould="B")
    ended = ev.RescueEnded(card="layer cold", came="flawed", mould="A", lost=0.002)
    state = told(cold, other, ended)
    assert [r.ended for r in state.rescues] == [ended, None]
    assert state.rescue("A") is None
    assert state.rescue("B") is state.rescues[1]
    assert state.rescues[0].fact.remelt == 0.0004


def test_an_outcome_of_nothing_changes_nothing() -> None:
    assert told(ev.RescueEnded(card="smoking", came="good")).rescues == ()


def test_the_plan_the_day_began_with_stays_beside_the_revised_one() -> None:
    revised = replace(two_pillars(), title="lower")
    state = told(ev.PlanRevised(plan=revised, why="rust ran out in A"))
    assert (state.plan.title, state.fixed_plan) == ("lower", two_pillars())
    assert state.revisions == ((NOON + 120, "rust ran out in A"),)


def test_coming_back_is_remembered() -> None:
    state = told(ev.WentAway(), ev.CameBack())
    assert state.came_back_at == NOON + 180
    assert [(g.start, g.end, g.what) for g in state.gaps] == [(NOON + 120, NOON + 180, "away")]


def test_a_mould_stopped_early_is_done_when_its_own_last_colour_is_topped_up() -> None:
    plan = two_pillars()
    lower = replace(plan.moulds[0], shares=(1.0, 0.0))
    revised = replace(plan, moulds=(lower, plan.moulds[1]))
    tops = [ev.Poured(mould=x, layer=i, part="top-up") for x, i in (("A", 0), ("B", 1))]
    before = (ev.PlanRevised(plan=revised), poured("A", 0), poured("B", 0), poured("B", 1))
    assert told(*before, tops[1]).stage == "pour"
    assert told(*before, *tops).stage == "cure"


def test_every_rescue_fact_is_one_plain_line() -> None:
    plan = two_pillars()
    said = [
        say_fact(fact, plan)
        for fact in (
            poured("A", 0, 0.5),
            ev.Emptied(mould="A", how="tipped back", into=0, kg=0.19),
            ev.JugReheated(layer=0),
            ev.JugSeen(layer=1, has_set=True),
            ev.RescueChosen(card="layer cold", option="warm and pour", mould="A", warm_to_c=45.0, pour_c=93.0,
                            thin=0.005, remelt=0.0004),
            ev.RescueEnded(card="layer cold", came="good", mould="A"),
        )
    ]  # fmt: skip
    assert said == [
        "poured layer rust into A: not weighed, planned 200 g, broken off at about 50%",
        "out of A again, rust and above: tipped back into the jug of rust, 190 g",
        "melted the jug of rust again",
        "looked into the jug of cream: set",
        "chose for A (layer cold): warm and pour; surface to 45 °C, pour at 93 °C, 5 mm first, 0.4 mm to melt again at the edge",
        "layer cold A came out good",
    ]


def test_the_record_carries_them_there_and_back() -> None:
    for entry in record(
        poured("A", 0, 0.5),
        ev.Emptied(mould="A", how="ran out"),
        ev.JugReheated(layer=0),
        ev.JugSeen(layer=0, has_set=False),
        ev.RescueChosen(card="smoking", option="cover, cool, discard"),
        ev.RescueEnded(card="smoking", came="failed"),
    ):
        assert ev.decode(ev.encode(entry)) == entry
