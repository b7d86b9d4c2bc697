"""What comes next in a mould, over moulds that were left out, emptied, rescued, planned anew and poured by halves."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.demo.scenario import START, two_pillars
from pourday.plan.model import Layer, Mould, Plan
from pourday.plan.own_layers import layers_of
from pourday.plan.pour_order import ToPour
from pourday.session import events as ev
from pourday.session.act_id import read_act_id
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.session.mould import MouldState, PourAt
from pourday.session.sequence import left_out, remaining_pours, takes_no_more
from pourday.session.state import State

COLOURS = tuple(Layer(colour=c) for c in ("red", "green", "blue"))
PLAN = Plan(moulds=(Mould(count=2),), layers=COLOURS)


def day(*facts: Fact, plan: Plan = PLAN) -> State:
    entries = [ev.PlanFixed(plan=plan), *facts]
    return fold(
        [
            Entry(seq=i + 1, at=ev.moment(START + 60 * i), logged_at=ev.moment(START + 60 * i), by="person", fact=f)
            for i, f in enumerate(entries)
        ]
    )  # fmt: skip


def poured(layer: int, part: ev.Part = "layer", share: float = 1.0) -> ev.Poured:
    return ev.Poured(mould="A", layer=layer, part=part, planned_kg=0.1, share=share)


def waived(act: str) -> ev.Waived:
    return ev.Waived(act=act)


# -- single cases ---------------------------------------------------------------------------------


def test_an_empty_mould_gets_everything_in_the_plans_order() -> None:
    assert day().remaining("A") == ((0, "plug"), (0, "layer"), (1, "layer"), (2, "layer"), (2, "top-up"))
    assert day(plan=replace(PLAN, plug=0.0)).next_pour("A") == (0, "layer")


def test_a_layer_left_out_is_passed_over() -> None:
    state = day(poured(0, "plug"), poured(0), waived("pour 1 A"))
    assert state.remaining("A") == ((2, "layer"), (2, "top-up"))
    assert state.remaining("B")[2] == (1, "layer")


def test_with_the_last_layers_left_out_what_is_on_top_is_topped_up() -> None:
    state = day(poured(0, "plug"), poured(0), waived("pour 1 A"), waived("decide 2 A"))
    assert state.remaining("A") == ((0, "top-up"),)


def test_a_plug_left_out_goes_on_with_the_layer_and_the_layer_left_out_gives_the_mould_up() -> None:
    assert day(waived("plug 0 A")).next_pour("A") == (0, "layer")
    for facts in ((waived("plug 0 A"), waived("layer 0 A")), (poured(0, "plug"), waived("pour 0 A"))):
        assert day(*facts).remaining("A") == ()
        assert day(*facts).given_up("A")
    assert not day(poured(0), waived("layer 0 A")).given_up("A")


def test_a_mould_emptied_begins_anew_and_one_tipped_back_goes_on_from_what_stayed() -> None:
    full = (poured(0, "plug"), poured(0), poured(1))
    assert day(*full, ev.Emptied(mould="A", how="ran out")).next_pour("A") == (0, "plug")
    assert day(*full, ev.Emptied(mould="A", how="tipped back", from_layer=1)).next_pour("A") == (1, "layer")


def test_half_a_pour_is_a_pour_and_a_mould_out_of_the_plan_gets_nothing() -> None:
    assert day(poured(0, "plug"), poured(0, share=0.5)).next_pour("A") == (1, "layer")
    without = replace(PLAN, moulds=(Mould(),))
    assert day(ev.PlanRevised(plan=without)).remaining("B") == ()


def test_a_mould_with_shares_of_its_own_skips_what_it_does_not_get() -> None:
    own = replace(PLAN, moulds=(Mould(shares=(1.0, 0.0, 1.0)),))
    assert day(poured(0, "plug"), poured(0), plan=own).remaining("A") == ((2, "layer"), (2, "top-up"))


def test_a_top_up_is_followed_by_another_until_the_rest_is_left_out() -> None:
    topped = (poured(0, "plug"), poured(0), poured(1), poured(2), poured(2, "top-up"))
    assert day(*topped).remaining("A") == ((2, "top-up"),)
    assert day(*topped).filled("A")
    assert day(*topped, poured(2, "top-up")).remaining("A") == ((2, "top-up"),)
    for act in ("top-up A", "top-up A 2"):
        assert day(*topped, waived(act)).remaining("A") == ()


def test_a_wrong_colour_changes_places_with_the_one_that_was_due() -> None:
    wrong = ev.Poured(mould="A", layer=2, part="layer", planned_kg=0.1, instead_of=1)
    state = day(poured(0, "plug"), poured(0), wrong)
    assert state.remaining("A") == ((1, "layer"), (1, "top-up"))
    assert [state.place_of("A", layer) for layer in (0, 1, 2)] == [0, 2, 1]
    again = ev.Poured(mould="A", layer=0, part="layer", planned_kg=0.1, instead_of=1)
    assert day(poured(0, "plug"), poured(0), again).remaining("A") == ((2, "layer"), (2, "top-up"))


def test_a_weight_names_its_pour_and_a_spill_takes_from_the_last_one() -> None:
    state = day(poured(0, "plug"), poured(0), ev.Weighed(mould="A", what="pour", kg=0.25))
    assert [p.kg for p in state.moulds["A"].pours] == [None, 0.25]
    earlier = ev.Weighed(mould="A", what="pour", kg=0.04, pour=state.moulds["A"].pours[0].seq)
    state = day(poured(0, "plug"), poured(0), ev.Weighed(mould="A", what="pour", kg=0.25), earlier)
    assert [p.kg for p in state.moulds["A"].pours] == [0.04, 0.25]
    state = day(poured(0, "plug"), poured(0), ev.Spilled(mould="A", layer=0, kg=0.03))
    assert [round(p.kg_best, 3) for p in state.moulds["A"].pours] == [0.1, 0.07]
    assert [p.kg_left for p in state.moulds["A"].pours] == [0.1, 0.1]


def test_the_acts_of_other_moulds_and_other_kinds_leave_nothing_out() -> None:
    found = left_out(
        {
            read_act_id(act)
            for act in ("pour 1 B", "drop 1", "look A 1", "end 17", "pour x A", "jug 1 A", "cure A")
        },
        "A",
    )
    assert (found.plug, found.layers, found.top_up) == (False, frozenset(), False)


# -- over many days -------------------------------------------------------------------------------

_LAYERS = st.integers(0, 2)
_ACTS = st.one_of(
    st.builds(lambda w, i: f"{w} {i} A", st.sampled_from(["plug", "layer", "pour", "decide"]), _LAYERS),
    st.sampled_from(["top-up A", "look A 1", "pour 1 B", "demould A"]),
)
_SHARES = st.sampled_from([(), (1.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 1.0)])
_REVISED = st.builds(
    lambda shares, plug: replace(PLAN, plug=plug, moulds=(Mould(shares=shares), Mould())),
    _SHARES,
    st.sampled_from([0.0, 0.01]),
)
_FACTS = st.one_of(
    st.builds(poured, _LAYERS, st.sampled_from(["plug", "layer", "top-up"]), st.sampled_from([0.4, 1.0])),
    st.builds(waived, _ACTS),
    st.builds(
        ev.Emptied,
        mould=st.just("A"),
        from_layer=_LAYERS,
        how=st.sampled_from(["tipped back", "demoulded", "ran out"]),
    ),
    st.builds(lambda plan: ev.PlanRevised(plan=plan), _REVISED),
    st.builds(ev.Demoulded, mould=st.just("A"), release=st.sampled_from(["dropped out", "stuck"])),
)
_DAYS = st.lists(_FACTS, max_size=12)


@given(_DAYS)
def test_what_remains_is_in_order_each_once_and_nothing_that_was_left_out(facts: list[Fact]) -> None:
    state = day(*facts)
    rest, out = state.remaining("A"), left_out(state.waived, "A")
    rank = {"plug": 0, "layer": 1, "top-up": 2}
    assert list(rest) == sorted(set(rest), key=lambda p: (rank[p.part], p.layer))
    gets = layers_of(state.plan, "A")
    assert all(p.layer in gets and p.layer not in out.layers for p in rest if p.part == "layer")
    assert not out.plug or all(p.part != "plug" for p in rest)
    assert not out.top_up or all(p.part != "top-up" for p in rest)


@given(_DAYS)
def test_doing_what_comes_next_leaves_the_rest_of_it(facts: list[Fact]) -> None:
    """The list is one plan: whoever pours its first finds the others, in the same order, still to do."""
    state = day(*facts)
    rest = state.remaining("A")
    done: list[Fact] = []
    for index, pour in enumerate(rest):
        assert day(*facts, *done).remaining("A") == rest[index:]
        done.append(poured(pour.layer, pour.part))
    further = (rest[-1],) if rest and rest[-1].part == "top-up" else ()
    assert day(*facts, *done).remaining("A") == further


@given(_DAYS, _LAYERS)
def test_leaving_a_later_layer_out_takes_that_pour_away_and_no_other(facts: list[Fact], layer: int) -> None:
    state = day(*facts)
    rest = state.remaining("A")
    if not any(
        p.part == "layer" for p in (*rest, *map(_as_to_pour, state.moulds["A"].pours)) if p.layer != layer
    ):
        return
    if rest and rest[0].part != "top-up" and not any(p.part == "layer" for p in state.moulds["A"].pours):
        return  # Its first layer left out gives the mould up; that has a test of its own.
    after = day(*facts, waived(f"pour {layer} A")).remaining("A")
    assert [p for p in after if p.part != "top-up"] == [
        p for p in rest if p.part != "top-up" and p != (layer, "layer")
    ]
    assert [p.part for p in after if p.part == "top-up"] == [p.part for p in rest if p.part == "top-up"]


def _as_to_pour(pour: object) -> ToPour:
    return ToPour(pour.layer, pour.part)  # type: ignore[attr-defined]


@given(_DAYS)
def test_a_mould_that_is_out_or_given_up_gets_nothing(facts: list[Fact]) -> None:
    state = day(*facts)
    if state.moulds["A"].demoulded_at is not None or state.given_up("A"):
        assert state.remaining("A") == ()
    other = state.moulds["B"]
    assert not other.pours
    assert state.next_pour("B") is None or state.next_pour("B").part in ("plug", "layer")


def test_a_mould_that_hardly_took_two_top_ups_is_asked_for_no_third() -> None:
    """What went in beats what was forecast; one that found no room may have met a hole that had closed."""

    def topped(*grams: float) -> MouldState:
        base = [PourAt(1, 0.0, 0, "layer", 0.3, 0.3, None)]
        tops = [PourAt(i + 2, 60.0 * i, 0, "top-up", g / 1000, 0.024, None) for i, g in enumerate(grams)]
        return MouldState("A", pours=(*base, *tops))

    assert not takes_no_more(topped(0.2))
    assert not takes_no_more(topped(0.2, 20.0))
    assert not takes_no_more(topped(20.0, 0.2))
    assert takes_no_more(topped(20.0, 0.2, 0.1))
    plan = two_pillars()
    assert remaining_pours(plan, frozenset(), topped(20.0)) != ()
    assert remaining_pours(plan, frozenset(), topped(20.0, 0.2, 0.1)) == ()
