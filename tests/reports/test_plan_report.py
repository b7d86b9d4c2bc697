"""A plan file weighed out without a screen."""

from __future__ import annotations

import json
import os
import threading
from pathlib import Path

import msgspec
import pytest

from pourday.errors import Trouble
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, Rectangle
from pourday.reports.plan_report import plan_data, plan_schema, plan_text, read_plan
from pourday.wax.supplier import from_sheet

MINE = from_sheet("White 60", "paraffin_pillar", {"scent_max": 0.03})
PLAN = Plan(
    title="Two and two",
    moulds=(
        Mould(name="tall", count=2),
        Mould(name="flat", shape=Rectangle(width=0.08, depth=0.05, height=0.06), material="plastic"),
    ),
    blend=(BlendPart(wax=MINE.id, price_per_kg=10.0),),
    own=(MINE,),
    layers=(Layer(colour="rust", scent_load=0.04, dye_load=0.0001), Layer(colour="cream")),
)


def test_text_and_data_show_the_same_things() -> None:
    text, data = "\n".join(plan_text(PLAN)), plan_data(PLAN)
    sheet = data["sheet"]
    for mould in sheet["moulds"]:
        assert f"{mould['set_weight'] * 1000:.0f} g" in text
        assert f"{data['cost_of_candle'][mould['letter']]:.2f}" in text
    for wick in data["wicks"]:
        assert wick["words"] in text
    for finding in data["findings"]:
        assert finding["what"] in text
        assert finding["do"] in text
    for source in data["sources"]:
        assert all(says in text for says in (source["of"], *source["says"]))
    assert f"{sheet['cost']:.2f}" in text
    assert "rectangle 80 mm x 50 mm x 60 mm" in text
    assert [shape["shape"] for shape in data["shapes"]] == ["cylinder", "rectangle"]
    assert "cylinder 75 mm x 150 mm" in text


def test_an_own_wax_is_weighed_out_from_the_plan_alone(tmp_path: Path) -> None:
    """The record is complete on any machine: nothing but the file is read."""
    path = tmp_path / "plan.json"
    path.write_bytes(msgspec.json.encode(PLAN))
    plan = read_plan(path)
    assert plan == PLAN
    assert "White 60" in "\n".join(plan_text(plan))
    assert any("holds" in f["what"] for f in plan_data(plan)["findings"]), "4 % in a wax that holds 3 %"
    json.dumps(plan_data(plan), allow_nan=False)


def test_a_name_that_would_steer_the_terminal_is_printed_plainly(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    hostile = msgspec.structs.replace(
        PLAN, title="a\x1b[2Jb\u202ec", own=(from_sheet("x\x1b]0;y\x07", "beeswax", {}, MINE.id),)
    )
    path.write_bytes(msgspec.json.encode(hostile))
    text = "\n".join(plan_text(read_plan(path)))
    assert text.replace("\n", "").isprintable()


@pytest.mark.parametrize(
    "change",
    [
        {"density_solid": 0.0},
        {"density_liquid": -5.0},
        {"solidus_c": 90.0},
        {"liquid_expansion": 3.0},
        {"pour_min_c": 500.0},
        {"cp_solid": -1.0},
    ],
)
def test_an_own_wax_that_cannot_be_is_refused_by_its_field(change: dict[str, float]) -> None:
    broken = msgspec.structs.replace(MINE, **change)
    with pytest.raises(Trouble, match="White 60"):
        plan_text(msgspec.structs.replace(PLAN, own=(broken,)))


def test_a_file_that_is_no_plan_is_said_in_words(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    for data in (b"", b"{", b"[]", b'{"moulds": 3}', b'{"title": "\xff"}', b'{"own": [{}]}'):
        path.write_bytes(data)
        with pytest.raises(Trouble, match="not a plan"):
            read_plan(path)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b'{"moulds": [{"count": 5000}]}', "A plan must have from 0 to 1000 moulds."),
        (b'{"layers": [{"swatch": "red"}]}', "At `layers[0].swatch`: Expected"),
        (b'{"moulds": 3}', "At `moulds`: Expected `array`, got `int`."),
    ],
)
def test_what_is_wrong_in_a_plan_file_is_said_with_its_place_in_whole_sentences(
    tmp_path: Path, data: bytes, says: str
) -> None:
    path = tmp_path / "plan.json"
    path.write_bytes(data)
    with pytest.raises(Trouble) as caught:
        read_plan(path)
    assert caught.value.why.startswith(says)
    assert not caught.value.why.endswith("..")


@pytest.mark.parametrize("name", ["nothing.json", ".", "big.json", "endless"])
def test_what_cannot_be_a_plan_file_is_said_with_what_to_do(tmp_path: Path, name: str) -> None:
    """A device without an end among them: no more is read of it than a plan can have."""
    (tmp_path / "big.json").write_bytes(b" " * 1_000_001)
    (tmp_path / "endless").symlink_to("/dev/zero")
    with pytest.raises(Trouble) as caught:
        read_plan(tmp_path / name)
    assert caught.value.what.endswith(".")
    assert caught.value.instead == "Give the path of a plan file."


def test_a_plan_may_come_through_a_pipe(tmp_path: Path) -> None:
    """As the shell's `<(...)` gives it."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    writer = threading.Thread(target=lambda: pipe.write_bytes(msgspec.json.encode(PLAN)))
    writer.start()
    assert read_plan(pipe) == PLAN
    writer.join()


def test_the_schema_names_the_own_waxes() -> None:
    schema = json.loads(plan_schema())
    assert "own" in schema["$defs"]["Plan"]["properties"]


def test_the_cost_of_all_candles_is_the_cost_of_what_is_melted() -> None:
    data = plan_data(PLAN)
    assert sum(data["cost_of_candle"].values()) == pytest.approx(data["sheet"]["cost"])
    assert (
        plan_data(Plan(moulds=(Mould(shape=Cylinder(diameter=0.05, height=0.1)),)))["sheet"]["cost"] is None
    )
