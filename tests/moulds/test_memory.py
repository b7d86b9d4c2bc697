"""What is remembered of a mould: from its days, from its owner, and what of it goes onto the preparation list."""

from __future__ import annotations

import contextlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.cli import main
from pourday.errors import Trouble
from pourday.moulds.line import read_mould_line
from pourday.moulds.memory import MouldNote, remembered, to_prepare
from pourday.moulds.use import MouldUse, mould_key, uses_of
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.reports.moulds_report import moulds_data, moulds_text
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.shelf.moulds import moulds_of
from pourday.store.live import LiveSession
from pourday.store.moulds import MOULDS, MouldNotes

NOON = 1_764_072_000.0
TALL = Mould(name="Tall", shape=Cylinder(diameter=0.075, height=0.15), limit_c=85.0, holes=1)
PLAN = Plan(
    moulds=(TALL, Mould()), blend=(BlendPart(wax="palm"),), layers=(Layer(colour="rust"),), wick="30 ply"
)
USE = MouldUse(
    letter="A",
    name="Tall",
    shape=TALL.shape,
    below_rim=0.006,
    material="bright metal",
    at=10.0,
    kg=0.5,
    wax={"palm": 1.0},
)


def entries(*facts) -> list[ev.Entry]:
    told = (ev.Opened(session="a", program="test"), ev.PlanFixed(plan=PLAN), *facts)
    return [
        ev.Entry(seq=n, at=ev.moment(NOON + n), logged_at=ev.moment(NOON + n), by="person", fact=fact)
        for n, fact in enumerate(told, 1)
    ]


DAY = (
    ev.Poured(mould="A", layer=0, part="layer", kg=0.4),
    ev.SealSeen(mould="A", weeps=True),
    ev.Weighed(mould="A", what="candle", kg=0.45),
    ev.Demoulded(mould="A", release="stuck"),
    ev.DefectSeen(mould="A", defect="rings"),
)


def test_a_day_says_how_a_mould_was_used_and_nothing_of_one_that_was_not_poured():
    (use,) = uses_of(fold(entries(*DAY)), None)
    assert (use.name, use.kg, use.release, use.wept, use.faults, use.wick) == (
        "Tall",
        0.45,
        "stuck",
        True,
        ("rings",),
        "30 ply",
    )
    assert (use.wax, use.limit_c, use.holes, use.at) == ({"palm": 1.0}, 85.0, 1, NOON + 3)
    assert uses_of(fold(entries()), None) == ()


def test_the_newest_counts_and_what_its_owner_says_before_it():
    older = replace(USE, limit_c=80.0, passed="24 ply", release="dropped out")
    newer = replace(USE, at=20.0, kg=0.52, wax={"beeswax": 1.0}, faults=("rings",))
    newest = replace(USE, at=30.0, kg=0.51)
    note = MouldNote(name="tall", limit_c=90.0, seal="putty", clean_every=2, cleaned_at=15.0)
    (memory,) = remembered([newest, older, newer], [note], {"Tall, bright metal": (1.1, 4)}).values()
    assert (memory.limit_c, memory.passed, memory.newest.kg, memory.wall) == (90.0, "24 ply", 0.51, (1.1, 4))
    assert memory.weights == [({"palm": 1.0}, 0.51), ({"beeswax": 1.0}, 0.52)]
    assert memory.last_fault == newer
    assert (memory.since_cleaned, memory.clean_now) == (2, "2 candles since it was cleaned")
    (bare,) = remembered([older], []).values()
    assert (bare.limit_c, bare.clean_now) == (80.0, "")


def test_moulds_without_a_name_are_told_apart_by_their_shape():
    one, other = Mould(), Mould(shape=Cylinder(diameter=0.05, height=0.1))
    assert mould_key(one) != mould_key(other)
    assert mould_key(TALL) == mould_key(replace(TALL, name=" tall", shape=other.shape)) == mould_key(USE)


def test_the_preparation_list_has_a_line_for_each_thing_that_is_remembered():
    stuck = replace(USE, release="stuck", wept=True)
    moulds = remembered([stuck], [MouldNote(name="TALL", seal="putty and tape", agent="silicone spray")])
    items = [item.text for item in to_prepare(PLAN, moulds)]
    assert items == [
        "Tall: clean it first, its last candle stuck",
        "Tall: its seal wept last time; seal it anew and try it with water",
        "Tall: sealed with putty and tape",
        "Tall: silicone spray, which worked",
    ]
    assert to_prepare(replace(PLAN, moulds=(Mould(),)), moulds) == ()
    cleaned = remembered([stuck], [MouldNote(name="tall", cleaned_at=11.0)])
    assert not any("clean" in item.text for item in to_prepare(PLAN, cleaned))
    long = remembered([stuck], [MouldNote(name="tall", seal="x" * 300)])
    for item in to_prepare(PLAN, long):
        assert len(item.id) <= 80


@pytest.mark.parametrize(
    ("line", "field", "value"),
    [
        ("tall sealed putty and tape", "seal", "putty and tape"),
        ("Tall release silicone spray", "agent", "silicone spray"),
        ("tall stands 185F", "limit_c", pytest.approx(85.0)),
        ("tall holes 1", "holes", 1),
        ("tall cleaned", "cleaned_at", NOON),
        ("tall clean every 5", "clean_every", 5),
        ("tall clean after 5 candles", "clean_every", 5),
        ("tall note dented at the rim", "note", "dented at the rim"),
    ],
)
def test_a_line_says_one_thing_of_a_mould_and_leaves_the_rest(line, field, value):
    old = MouldNote(name="tall", seal="wax", agent="oil", limit_c=70.0, clean_every=9, note="old")
    _, note = read_mould_line(line, "metric", [old], NOON)
    assert note is not None
    assert getattr(note, field) == value
    assert replace(note, **{field: getattr(old, field)}) == old
    assert read_mould_line("tall forget", "metric", [old], NOON) == ("tall", None)


@pytest.mark.parametrize(
    "line",
    ["", "tall", "sealed putty", "tall sealed", "tall stands hot", "tall holes many", "tall clean soon"],
)
def test_what_is_not_understood_is_refused_with_what_to_type(line):
    with pytest.raises(Trouble) as refused:
        read_mould_line(line, "metric", [], NOON)
    assert refused.value.instead


@given(
    st.text(max_size=60)
    | st.lists(
        st.sampled_from(
            ["tall", "sealed", "stands", "85C", "holes", "clean", "every", "5", "cleaned", "½", "999"]
        )
    ).map(" ".join)
)
def test_any_line_is_understood_or_refused(line):
    with contextlib.suppress(Trouble):
        read_mould_line(line, "us", [MouldNote(name="tall")], NOON)


def test_a_lost_file_costs_the_notes_alone_and_the_command_tells_all(tmp_path, capsys):
    live = LiveSession.create(tmp_path, "2025-11-25-a", now=NOON)
    for n, fact in enumerate((ev.PlanFixed(plan=PLAN), *DAY), 1):
        live.file(fact, now=NOON + n)
    live.finish("", now=NOON + 99)

    def told(*line: str) -> str:
        with pytest.raises(SystemExit) as ended:
            main(["moulds", *line, "--sessions", str(tmp_path), "--config", str(tmp_path / "none.toml")])
        assert ended.value.code == 0
        return capsys.readouterr().out

    said = told("tall sealed putty and tape")
    for part in ("cylinder 75 mm", "poured once", "stuck 1×", "holes: 1", "may be poured at 85 °C", "sealed with putty and tape",
                 "candle of palm", "450 g", "rings, its seal wept, the candle stuck", "clean it before the next pour"):  # fmt: skip
        assert part in said
    data = json.loads(told("--json"))["moulds"]
    assert (data[0]["name"], data[0]["poured"], data[0]["clean_now"]) == ("Tall", 1, "its last candle stuck")
    for content in (b"", b"{", b"\xff" * 30, b"[" * 50_000):
        (tmp_path / MOULDS).write_bytes(content)
        moulds, remarks = moulds_of(tmp_path, NOON)
        assert moulds["tall"].newest.release == "stuck"
        assert "broken" in remarks[0]
    (tmp_path / MOULDS).unlink()
    moulds, remarks = moulds_of(tmp_path, NOON)
    assert (moulds["tall"].note, remarks) == (None, [])
    MouldNotes(tmp_path).keep("tall", MouldNote(name="tall", note="\x1b[31mdented"))
    (memory,) = moulds_of(tmp_path, NOON)[0].values()
    assert memory.note is not None
    assert memory.note.note == "dented"
    assert moulds_data([memory])["moulds"][0]["note"] == "dented"
    assert "dented" in "\n".join(moulds_text([memory], "us", {}))
