"""What is still to be poured, planned anew over what stands in a mould and what wax is left.

Heights are held against the shape itself: a straight mould's level is volume over its section.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.plan.bench import bench
from pourday.plan.model import Layer, Plan
from pourday.plan.own_layers import last_layer, layers_of, mould_of
from pourday.plan.replan import (
    InMould,
    Revision,
    WaxInventory,
    change_mould,
    level_after,
    orders,
    replan,
    rest_sheet,
)
from pourday.plan.volumes import fill_height
from pourday.plan.weigh import set_density, weigh_sheet

Pillar = Callable[..., Plan]
COLOURS = (Layer(colour="rust"), Layer(colour="cream"), Layer(colour="sage"))


def in_mould(plan: Plan, letter: str, *layers: int, last_share: float = 1.0) -> tuple[InMould, ...]:
    sheet = weigh_sheet(plan).mould(letter)
    pours = [InMould(layer=i, kg=sheet.pours[i].kg) for i in layers]
    pours[-1] = replace(pours[-1], kg=pours[-1].kg * last_share)
    return tuple(pours)


def levels(plan: Plan, letter: str = "A") -> list[float]:
    return [pour.level for pour in weigh_sheet(plan).mould(letter).pours]


def test_the_level_of_a_pour_is_its_volume_over_the_section(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    sheet = weigh_sheet(plan)
    celsius = sheet.pour("A", 0).pour_c
    stands = level_after(plan, "A", (InMould(layer=0, kg=0.1),))
    assert stands == pytest.approx(0.1 / sheet.wax.density_at(celsius) / (math.pi / 4 * 0.075**2))


def test_a_pour_on_a_set_layer_stands_on_what_that_has_shrunk_to(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    sheet = weigh_sheet(plan)
    celsius, wax = sheet.pour("A", 0).pour_c, sheet.wax
    stands = level_after(plan, "A", (InMould(layer=0, kg=0.1), InMould(layer=1, kg=0.1)))
    room = 0.1 / set_density(wax, celsius) + 0.1 / wax.density_at(celsius)
    assert stands == pytest.approx(room / (math.pi / 4 * 0.075**2))


def test_planned_pours_stand_at_their_planned_lines(pillar: Pillar) -> None:
    plan = pillar(*COLOURS, below=0.006)
    for count in (1, 2, 3):
        done = in_mould(plan, "A", *range(count))
        assert level_after(plan, "A", done) == pytest.approx(levels(plan)[count - 1])


def test_a_half_poured_layer_becomes_the_layer_and_the_rest_shares_the_height(pillar: Pillar) -> None:
    plan = pillar(*COLOURS, below=0.006)
    done = in_mould(plan, "A", 0, last_share=0.5)
    new = replan(plan, "A", "new heights", {"A": done})
    stands = level_after(plan, "A", done)
    assert levels(new) == pytest.approx([stands, stands + (0.144 - stands) / 2, 0.144], abs=2e-4)
    assert weigh_sheet(new).pour("A", 0).kg == pytest.approx(done[0].kg, rel=0.01)


def test_the_rest_keeps_its_planned_proportions(pillar: Pillar) -> None:
    plan = pillar(Layer(), Layer(share=3.0), Layer(share=1.0))
    new = replan(plan, "A", "new heights", {"A": in_mould(plan, "A", 0, last_share=0.5)})
    low, middle, high = levels(new)
    assert (middle - low) / (high - middle) == pytest.approx(3.0, rel=0.01)


def test_too_little_wax_lowers_the_rest_until_it_is_enough(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    done = {"A": in_mould(plan, "A", 0)}
    wanted = rest_sheet(plan, done, WaxInventory(pot=10.0))
    need = wanted.pot - wanted.pot_after
    left = WaxInventory(pot=need * 0.6)
    new = replan(plan, "A", "new heights", done, left)
    after = rest_sheet(new, done, left)
    assert after.short == 0.0
    assert after.pot_after < 0.02 * need
    assert levels(new)[-1] < levels(plan)[-1]
    assert levels(new)[0] == pytest.approx(levels(plan)[0], abs=2e-4)


def test_enough_wax_leaves_the_line_where_it_was(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    new = replan(plan, "A", "new heights", {"A": in_mould(plan, "A", 0)}, WaxInventory(pot=10.0))
    assert levels(new) == pytest.approx(levels(plan), abs=2e-4)


def test_wax_for_less_than_a_band_is_said(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    with pytest.raises(Trouble, match="does not make another band in A"):
        replan(plan, "A", "new heights", {"A": in_mould(plan, "A", 0)}, WaxInventory(pot=0.001))


def test_stopping_makes_the_candle_as_high_as_it_stands_and_tops_up_its_last_colour(pillar: Pillar) -> None:
    plan = pillar(*COLOURS, below=0.006)
    done = in_mould(plan, "A", 0, 1, last_share=0.5)
    new = replan(plan, "A", "stop here", {"A": done})
    assert fill_height(mould_of(new, "A")) == pytest.approx(level_after(plan, "A", done), abs=1e-4)
    assert layers_of(new, "A") == (0, 1)
    sheet = weigh_sheet(new)
    assert (sheet.top_up("A").layer, sheet.jug(2).poured, sheet.jug(2).reserve) == (1, 0.0, 0.0)
    assert sheet.jug(1).reserve == sheet.top_up("A").kg > 0


@pytest.mark.parametrize("pours", [(), (InMould(layer=0, kg=0.0),), (InMould(layer=0, kg=1e-9),)])
def test_nothing_poured_cannot_be_stopped(pillar: Pillar, pours: tuple[InMould, ...]) -> None:
    """A pour of no known weight among it: it makes no candle that could be weighed out."""
    plan = change_mould(pillar(*COLOURS), "A", set_weight=0.5)
    with pytest.raises(Trouble, match="Nothing stands in A"):
        replan(plan, "A", "stop here", {"A": pours})


_WAYS: list[Revision] = ["stop here", "new heights", "leave out", "melt again"]


@settings(deadline=None, max_examples=25)
@given(st.data())
def test_any_plan_made_anew_can_be_weighed_out_or_says_why_it_cannot_be_made(
    any_plan: st.SearchStrategy[Plan], data: st.DataObject
) -> None:
    plan = data.draw(any_plan)
    letters = [standing.letter for standing in bench(plan)]
    letter = data.draw(st.sampled_from(letters))
    layers = st.integers(0, len(plan.layers) - 1)
    pours = data.draw(st.lists(st.builds(InMould, layer=layers, kg=st.floats(0, 3)), max_size=3))
    poured = dict.fromkeys(letters, ()) | {letter: tuple(sorted(pours, key=lambda pour: pour.layer))}
    left = data.draw(st.none() | st.builds(WaxInventory, pot=st.floats(0, 5)))
    for way in _WAYS:
        try:
            new = replan(plan, letter, way, poured, left)
        except Trouble:
            continue
        assert all(math.isfinite(mould.finished) for mould in weigh_sheet(new).moulds)
        assert [standing.letter for standing in bench(new)] == letters
        if left is not None and way in ("new heights", "leave out"):
            assert rest_sheet(new, poured, left).short == pytest.approx(0, abs=1e-9)


def test_a_layer_left_out_leaves_its_height_to_the_others(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    new = replan(plan, "A", "leave out", {"A": in_mould(plan, "A", 0)})
    assert layers_of(new, "A") == (0, 2)
    assert levels(new)[2] == pytest.approx(0.150, abs=2e-4)
    assert weigh_sheet(new).pour("A", 1).kg == 0.0


def test_one_mould_planned_anew_leaves_its_fellows_as_they_were(pillar: Pillar) -> None:
    plan = replace(
        pillar(*COLOURS, count=3), typed={"moulds.0.shape.diameter": "3 in", "moulds.0.count": "3"}
    )
    new = replan(plan, "B", "stop here", {"B": in_mould(plan, "B", 0)})
    assert [s.letter for s in bench(new)] == ["A", "B", "C"]
    before, after = weigh_sheet(plan), weigh_sheet(new)
    for letter in "AC":
        assert after.mould(letter) == before.mould(letter)
    assert after.mould("B").finished < before.mould("B").finished
    assert {k: v for k, v in new.typed.items() if k.startswith("moulds")} == {
        f"moulds.{i}.shape.diameter": "3 in" for i in range(3)
    }


def test_a_weighed_mould_planned_lower_weighs_by_its_room(pillar: Pillar) -> None:
    plan = change_mould(pillar(*COLOURS), "A", set_weight=0.5)
    new = replan(plan, "A", "stop here", {"A": in_mould(plan, "A", 0)})
    share = fill_height(mould_of(new, "A")) / 0.150
    assert mould_of(new, "A").set_weight == pytest.approx(0.5 * share, rel=1e-3)


def test_one_colour_melted_again_needs_no_other_plan(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    assert replan(plan, "A", "melt again", {"A": in_mould(plan, "A", 0)}) == plan


def test_colours_melted_together_become_a_base_layer_of_what_they_weigh(pillar: Pillar) -> None:
    plan = pillar(*COLOURS, count=2)
    done = in_mould(plan, "A", 0, 1)
    new = replan(plan, "A", "melt again", {"A": done})
    assert new.layers[3].colour == "rust and cream, melted together"
    assert (new.layers[3].scent_load, new.layers[3].dye_load) == (0.0, 0.0)
    assert layers_of(new, "A") == (2, 3)
    assert layers_of(new, "B") == (0, 1, 2)
    assert weigh_sheet(new).mould("B").pours[:3] == weigh_sheet(plan).mould("B").pours
    mix = weigh_sheet(new).mould("A")
    in_candle = mix.pours[3].kg + mix.top_up.kg
    assert in_candle == pytest.approx(sum(p.kg for p in done), rel=0.001)


def test_all_colours_melted_together_make_one_candle_as_high_as_they_reach(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    new = replan(plan, "A", "melt again", {"A": in_mould(plan, "A", 0, 1, 2)})
    assert layers_of(new, "A") == (3,)
    assert 0.85 * 0.150 < fill_height(mould_of(new, "A")) < 0.150


def test_the_rest_sheet_takes_coloured_wax_from_its_jug_and_the_rest_from_the_pot(pillar: Pillar) -> None:
    plan = pillar(Layer(colour="rust"), Layer(colour="cream", scent_load=0.05), loss=0.0)
    done = {"A": in_mould(plan, "A", 0)}
    sheet = weigh_sheet(plan)
    wanted = sheet.pour("A", 1).kg + sheet.top_up("A").kg
    rest = rest_sheet(plan, done, WaxInventory(pot=1.0, jugs={1: 0.1}))
    rust, cream = rest.lines
    assert (rust.wanted, rust.draw) == (0.0, 0.0)
    assert cream.wanted == pytest.approx(wanted + plan.vessel_keeps)
    assert cream.draw == pytest.approx(cream.wanted - 0.1)
    assert cream.scent == pytest.approx(0.05 * cream.wax)
    assert rest.pot_after == pytest.approx(1.0 - cream.wax)


def test_what_is_missing_is_said(pillar: Pillar) -> None:
    plan = pillar(*COLOURS)
    enough = rest_sheet(plan, {}, WaxInventory(pot=5.0))
    need = enough.pot - enough.pot_after
    assert rest_sheet(plan, {}, WaxInventory(pot=need - 0.1)).short == pytest.approx(0.1)
    assert enough.short == 0.0


def test_what_is_missing_is_wax_for_scent_within_the_batch_comes_out_of_its_bottle(pillar: Pillar) -> None:
    plan = pillar(Layer(scent_load=0.1), scent_basis="within", loss=0.0)
    line = rest_sheet(plan, {}, WaxInventory(pot=0.0)).lines[0]
    assert line.short == line.wax == pytest.approx(line.draw / 1.1)


def test_pour_order_and_finished_order_are_those_of_the_mould(pillar: Pillar) -> None:
    """A mould that casts upside down shows its first pour at the top (common practice, no source)."""
    plan = pillar(*COLOURS)
    assert orders(plan, "A") == (("rust", "cream", "sage"), ("rust", "cream", "sage"))
    upright = change_mould(plan, "A", upside_down=False)
    assert orders(upright, "A")[1] == ("sage", "cream", "rust")


def test_the_last_layer_of_a_mould_is_one_that_it_gets(pillar: Pillar) -> None:
    plan = change_mould(pillar(*COLOURS), "A", shares=(1.0, 0.0, 2.0))
    assert last_layer(plan, "A") == 2


def test_a_mould_that_gets_no_layer_is_a_field_to_look_at(pillar: Pillar) -> None:
    plan = change_mould(pillar(*COLOURS), "A", shares=(0.0, 0.0, 0.0))
    with pytest.raises(Trouble, match="gets none of the layers"):
        weigh_sheet(plan)


def test_the_plug_is_of_the_first_colour_the_mould_gets(pillar: Pillar) -> None:
    plan = change_mould(pillar(*COLOURS, plug=0.010), "A", shares=(0.0, 1.0, 1.0))
    sheet = weigh_sheet(plan)
    plug = sheet.plug("A")
    assert plug is not None
    assert plug.layer == 1
    assert (sheet.jug(0).total, sheet.jug(1).poured) == (0.0, pytest.approx(plug.kg + sheet.pour("A", 1).kg))


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_weights_of_a_plan_made_anew_end_at_the_weight_of_its_room(pillar: Pillar, share: float) -> None:
    """Pours and top-up of the new plan fill the same room as before, one wax throughout."""
    plan = pillar(*COLOURS, below=0.006)
    new = replan(plan, "A", "new heights", {"A": in_mould(plan, "A", 0, last_share=share)})
    assert weigh_sheet(new).mould("A").finished == pytest.approx(
        weigh_sheet(plan).mould("A").finished, rel=1e-3
    )
