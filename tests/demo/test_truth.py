"""What the kitchen tells of a day at its end, and the door to it."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

from pourday.cli import main
from pourday.demo.truth import truth, write_truth
from pourday.errors import Trouble
from pourday.kitchen.kitchen import Kitchen
from pourday.plan.weigh import weigh_sheet
from tests.demo.plan_set import PLANS

HOUR = 3600.0


def two_layers() -> Kitchen:
    """The 4 x 8: first layer to half, the second an hour later to its line."""
    kitchen = Kitchen(PLANS["4x8"], 1, 0.0)
    kitchen.add_wax(2.0)
    kitchen.burner(True)
    kitchen.advance(HOUR)
    for layer, below in ((0, 0.1046), (1, 0.006)):
        kitchen.draw_jug(layer, 0.9)
        kitchen.pour("A", kitchen.fits("A", below, kitchen.true("jug", layer) - 0.8), layer)
        kitchen.advance(kitchen.now + HOUR)
    return kitchen


def test_it_tells_just_what_was_asked_for_and_finds_all_of_the_wax(tmp_path: Path) -> None:
    kitchen = two_layers()
    write_truth(tmp_path / "out.json", kitchen)
    told = json.loads((tmp_path / "out.json").read_text())
    assert set(told) == {"moulds", "melted_g", "accounted_g"}
    (mould,) = told["moulds"]
    assert set(mould) == {"letter", "spilled_g", "hollow_ml", "mould_ml", "last_line_off_mm", "welds"}
    assert told["melted_g"] == 2000.0
    assert told["accounted_g"] == pytest.approx(2000.0, abs=0.1)
    # 4 x 8 in by school geometry.
    assert mould["mould_ml"] == pytest.approx(3.14159 * 5.08**2 * 20.32, rel=1e-3)
    assert mould["last_line_off_mm"] == pytest.approx(0.0, abs=0.3)
    assert [weld["layers"] for weld in mould["welds"]] == [[1, 2]]
    assert mould["welds"][0]["remelt_mm"] > 0


def test_what_ran_over_is_told() -> None:
    kitchen = two_layers()
    over = kitchen.fits("A", 0.0, kitchen.true("jug", 1) - 0.6) + 0.05
    kitchen.pour("A", over, 1)
    told = truth(kitchen).moulds[0]
    assert told.spilled_g == pytest.approx(50.0, abs=1.0)
    assert told.last_line_off_mm == pytest.approx(6.0, abs=0.05)


def test_a_mould_nobody_poured_into_is_short_by_all_of_it() -> None:
    told = truth(Kitchen(PLANS["3x6"], 1, 0.0)).moulds[0]
    assert told.last_line_off_mm == pytest.approx(-(6 * 25.4 - 6))
    assert (told.spilled_g, told.hollow_ml, told.welds) == (0.0, 0.0, ())


def test_where_it_cannot_be_written_a_sentence_says_why(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="could not be written"):
        write_truth(tmp_path / "nowhere" / "out.json", Kitchen(PLANS["3x6"], 1, 0.0))


@pytest.mark.parametrize("name", PLANS)
def test_every_plan_of_the_set_can_be_weighed_out(name: str) -> None:
    plan = PLANS[name]
    assert weigh_sheet(plan).total > 0
    assert msgspec.json.decode(msgspec.json.encode(plan), type=type(plan)) == plan


def test_a_plan_file_is_played_to_its_end_and_its_truth_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan, out = tmp_path / "votive.json", tmp_path / "truth.json"
    plan.write_bytes(msgspec.json.encode(PLANS["votive"]))
    sessions = str(tmp_path / "sessions")
    with pytest.raises(SystemExit) as done:
        main(
            [
                "--sessions",
                sessions,
                "demo",
                "--plain",
                "--plan",
                str(plan),
                "--truth",
                str(out),
                "--late",
                "5",
            ]
        )
    assert done.value.code == 0
    said = capsys.readouterr().out
    assert "HEAT ON" in said
    assert "DEMOULD A" in said
    assert "FINISH" in said
    (record,) = Path(sessions).glob("*.json")
    assert '"demo":true' in record.read_text().replace(" ", "")
    told = json.loads(out.read_text())
    assert [mould["letter"] for mould in told["moulds"]] == ["A", "B"]
    assert told["accounted_g"] == pytest.approx(told["melted_g"], abs=0.1)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--plan", "nowhere.json"], "There is no file"),
        (["--plain", "--plan", "broken.json"], "is not a plan"),
        (["--plain", "--plan", "empty.json"], "height"),
        (["--plain", "--late", "-3"], "minutes late"),
        (["--truth", "out.json"], "Add --plain"),
    ],
)
def test_what_cannot_be_played_gets_a_plain_sentence(
    arguments: list[str],
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("broken.json").write_text('{"moulds": 3}')
    Path("empty.json").write_text(
        '{"moulds": [{"shape": {"shape": "cylinder", "diameter": 0.07, "height": 0}}]}'
    )
    with pytest.raises(SystemExit) as done:
        main(["--sessions", "sessions", "demo", *arguments])
    assert done.value.code == 1
    assert says in capsys.readouterr().err
    assert not list(Path("sessions").glob("*demo*"))
