"""The rows of the form one by one: each says where its value stands, and putting it there changes nothing else."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.plan.form_layers import MOST_LAYERS, layer_rows
from pourday.plan.form_moulds import mould_rows
from pourday.plan.form_own import new_own_row, own_rows
from pourday.plan.form_shares import share_row
from pourday.plan.form_wax import blend_rows
from pourday.plan.model import BlendPart, Layer, Plan
from pourday.plan.rows import Known, folded, get_at, put_at, visible, word_row, yes_row
from pourday.wax.supplier import from_sheet

KNOWN = Known()
THREE = Plan(layers=(Layer(colour="red"), Layer(colour="white"), Layer(colour="blue")))


@given(st.integers(0, 2), st.text(max_size=12))
def test_what_is_put_at_a_path_is_got_there_and_nothing_else_moves(index, text):
    path = f"layers.{index}.colour"
    after = put_at(THREE, path, text)
    assert get_at(after, path) == text
    assert put_at(after, path, get_at(THREE, path)) == THREE


def test_what_is_folded_away_is_seen_once_every_fold_around_it_is_open():
    inner = folded("b", "b", "", [word_row("c", "c", "")])
    rows = list(folded("a", "a", "", inner))
    assert [row.path for row in visible(rows, frozenset())] == ["a"]
    assert [row.path for row in visible(rows, frozenset({"b"}))] == ["a"]
    assert [row.path for row in visible(rows, frozenset({"a", "b"}))] == ["a", "b", "c"]


def test_a_yes_is_taken_in_words_and_anything_else_refused():
    row = yes_row("layers.0.scent_by_eye", "by eye", False)
    assert row.put(THREE, "yes").layers[0].scent_by_eye is True
    with pytest.raises(Trouble):
        row.put(THREE, "perhaps")


@pytest.mark.parametrize("rows", [layer_rows, mould_rows])
def test_every_row_of_a_group_stands_at_a_path_of_its_own(rows):
    paths = [row.path for row in rows(THREE, KNOWN)]
    assert len(set(paths)) == len(paths)


def test_layers_are_added_up_to_the_most_and_taken_away_down_to_one():
    plan = THREE
    for _ in range(MOST_LAYERS - 3):
        plan = next(r for r in layer_rows(plan, KNOWN) if r.path == "layers.add").put(plan, "")
    with pytest.raises(Trouble, match=f"up to {MOST_LAYERS} layers"):
        next(r for r in layer_rows(plan, KNOWN) if r.path == "layers.add").put(plan, "")
    for _ in range(MOST_LAYERS - 1):
        plan = next(r for r in layer_rows(plan, KNOWN) if r.path == "layers.remove").put(plan, "")
    assert [layer.colour for layer in plan.layers] == ["red"]
    assert all(row.path != "layers.remove" for row in layer_rows(plan, KNOWN))


def test_moulds_are_added_and_taken_away():
    add = next(row for row in mould_rows(THREE, KNOWN) if row.path == "moulds.add")
    more = add.put(THREE, "")
    assert len(more.moulds) == len(THREE.moulds) + 1
    remove = [row for row in mould_rows(more, KNOWN) if row.path.endswith("remove")][-1]
    assert len(remove.put(more, "").moulds) == len(THREE.moulds)


def test_a_share_says_what_it_counts_as_where_shares_do_not_add_up_to_one():
    """2 and 6 among eight are a quarter and three quarters."""
    plan = put_at(
        THREE, "blend", (BlendPart(wax="paraffin_pillar", share=2.0), BlendPart(wax="beeswax", share=6.0))
    )
    row = share_row(plan, "blend", 0, "share")
    assert (row.value, row.hint) == ("25 %", "")
    typed = msgspec.structs.replace(plan, typed={"blend.0.share": "200 %"})
    assert share_row(typed, "blend", 0, "share").hint == "counts as 25 %: all together are 800 %"


def test_a_typed_share_leaves_the_rest_to_those_that_nobody_typed():
    """30 % of a blend of two leaves 70 %, and 40 % typed of the first of three layers leaves 30 % each."""
    plan = put_at(THREE, "blend", (BlendPart(wax="paraffin_pillar"), BlendPart(wax="palm", share=0.1)))
    after = share_row(plan, "blend", 1, "share").put(plan, "30 %")
    assert [part.share for part in after.blend] == pytest.approx([0.7, 0.3])
    layers = share_row(THREE, "layers", 0, "share").put(THREE, "40 %").layers
    assert [layer.share for layer in layers] == pytest.approx([0.4, 0.3, 0.3])
    both = msgspec.structs.replace(after, typed={"blend.0.share": "90 %", "blend.1.share": "30 %"})
    again = share_row(both, "blend", 0, "share").put(both, "90 %")
    assert [part.share for part in again.blend] == pytest.approx([0.9, 0.3]), (
        "both were typed: neither is changed"
    )
    assert any(r.path == "blend.1.wax" for r in blend_rows(plan, "blend", KNOWN))


def test_a_new_wax_of_ones_own_goes_into_the_plan_and_its_blend():
    row = new_own_row("blend.0.own", "blend.0", "beeswax", KNOWN)
    after = row.put(THREE, "Grandmother's")
    (own,) = after.own
    assert after.blend[0].wax == own.id
    assert row.put(THREE, "") == THREE
    paths = [r.path for r in own_rows(after, from_sheet("Grandmother's", "beeswax", {}), "own", kept=False)]
    assert paths
    assert len(set(paths)) == len(paths)
