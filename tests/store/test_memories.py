"""Own waxes, kept plans and what moulds weighed: kept, found again, and never lost to a fault."""

from __future__ import annotations

import json
import multiprocessing
import os
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, Square, WaterFilled, WaterPoint
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.store.live import LiveSession
from pourday.store.memories import _SAME_WAX, MEMORIES, MOST_VERSIONS, KeptPlan, Memories
from pourday.wax.materials import families, family

TALL = Mould(name="tall", shape=Cylinder(diameter=0.0762, height=0.15), count=2)
PLAN = Plan(title="Two stripes", moulds=(TALL,), layers=(Layer(colour="rust"), Layer(colour="cream")))


def own(wax_id: str = "my-soy", **changes):
    """A wax like one of the table, under a name of its own."""
    return replace(family("soy_container"), id=wax_id, name="Soy of mine", **changes)


@pytest.fixture
def memories(tmp_path) -> Memories:
    return Memories(tmp_path)


@pytest.fixture
def poured(tmp_path, noon):
    """A session of two moulds A and B, both poured to the last layer; `weigh` files what a candle weighed."""

    class Poured:
        def __init__(self, session: str = "2026-11-25-a", *, demo: bool = False, day: int = 0, plan=PLAN):
            self.now = noon + day * 86_400
            self.live = LiveSession.create(tmp_path, session, now=self.now, demo=demo)
            self.live.file(ev.PlanFixed(plan=plan), now=self.now)
            for letter in "AB":
                for layer in (0, 1):
                    self.file(ev.Poured(mould=letter, layer=layer, part="layer"))
                self.file(ev.Demoulded(mould=letter, release="dropped out"))

        def file(self, fact):
            self.now += 60
            return self.live.file(fact, now=self.now)

        def weigh(self, letter: str, kg: float):
            return self.file(ev.Weighed(mould=letter, what="candle", kg=kg))

    return Poured


def test_what_is_kept_is_found_again_by_another_program(memories, tmp_path, noon):
    wax = own()
    memories.keep_wax(wax)
    memories.keep_plan("stripes", PLAN, noon)
    again = Memories(tmp_path)
    assert again.own_waxes() == {"my-soy": wax}
    assert again.plans() == [KeptPlan(name="stripes", kept_at=noon, plan=PLAN)]
    assert again.remarks == []


def test_keeping_again_replaces_and_forgetting_takes_away_only_that_one(memories, noon):
    memories.keep_wax(own())
    memories.keep_wax(own("other"))
    memories.keep_wax(own(shrinkage_percent=9.0))
    assert memories.own_waxes()["my-soy"].shrinkage_percent == 9.0
    for name, later in (("a", 0), ("b", 10), ("a", 20)):
        memories.keep_plan(name, replace(PLAN, title=f"{later}"), noon + later)
    assert [(kept.name, kept.plan.title) for kept in memories.plans()] == [("a", "20"), ("b", "10")]
    memories.forget_plan("a")
    memories.forget_plan("never kept")
    memories.forget_wax("my-soy")
    assert [kept.name for kept in memories.plans()] == ["b"]
    assert list(memories.own_waxes()) == ["other"]


def test_a_recipe_has_versions_and_an_old_one_stays_as_it_was(memories, tmp_path, noon):
    for n, room in enumerate((18.0, 18.0, 21.0, 24.0)):
        memories.keep_plan("stripes", replace(PLAN, room_c=room), noon + n)
    assert [(kept.version, kept.plan.room_c) for kept in memories.versions("stripes")] == [
        (3, 24.0),
        (2, 21.0),
        (1, 18.0),
    ]
    (newest,) = memories.plans()
    assert (newest.version, newest.kept_at) == (3, noon + 3)
    # Every figure stands in the file, so that no later default of the program comes into an old recipe.
    for document in json.loads((tmp_path / MEMORIES).read_bytes())["plans"].values():
        assert set(document["plan"]) == set(Plan.__struct_fields__)
        assert set(document["plan"]["moulds"][0]) == set(Mould.__struct_fields__)
        assert set(document["plan"]["layers"][0]) == set(Layer.__struct_fields__)
    for n in range(MOST_VERSIONS + 5):
        memories.keep_plan("stripes", replace(PLAN, room_c=30.0 + n), noon + 10 + n)
    assert len(memories.versions("stripes")) == MOST_VERSIONS
    memories.forget_plan("stripes")
    assert memories.versions("stripes") == []


@pytest.mark.parametrize("wax_id", ["", "  ", "paraffin_pillar", "\x1b[31m"])
def test_an_own_wax_needs_a_name_that_the_table_does_not_have(memories, wax_id):
    with pytest.raises(Trouble, match="Choose another name"):
        memories.keep_wax(own(wax_id))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 1e300])
def test_a_figure_that_is_no_number_is_refused_and_nothing_is_written(memories, tmp_path, value):
    with pytest.raises(Trouble, match="not kept"):
        memories.keep_wax(own(latent_main=value))
    assert not (tmp_path / MEMORIES).exists()


def test_hostile_texts_are_kept_plain(memories, noon):
    memories.keep_plan("\x1b]0;gone\x07stripes\u202e", replace(PLAN, title="\x1b[2Jx"), noon)
    memories.keep_wax(own("so\u200by"))
    memories.keep_wax(own("so\u200by"))
    (kept,) = memories.plans()
    assert (kept.name, kept.plan.title) == ("stripes", "x")
    assert list(memories.own_waxes()) == ["soy"]


# -- what moulds weighed ------------------------------------------------------------------------------


def test_a_mould_is_known_by_name_shape_and_fill_and_the_newest_weight_counts(memories, poured):
    first, second = poured(), poured("2026-11-26-a", day=1)
    first.weigh("A", 0.60)
    first.weigh("B", 0.61)
    second.weigh("A", 0.58)
    # Told in the wrong order: what counts is when the candles were made.
    memories.remember_weights(second.live.state)
    memories.remember_weights(first.live.state)
    assert memories.weight_of(TALL, PLAN) == 0.58
    same = replace(TALL, name="Tall", count=1, material="plastic", upside_down=False)
    assert memories.weight_of(same, PLAN) == 0.58
    inch = replace(TALL, shape=Cylinder(diameter=3 * 0.0254, height=0.15000000001))
    assert memories.weight_of(inch, PLAN) == 0.58
    for other in ({"name": ""}, {"below_rim": 0.007}, {"shape": Square(side=0.0762, height=0.15)}):
        assert memories.weight_of(replace(TALL, **other), PLAN) is None


def test_a_mould_without_a_name_is_known_by_its_shape(memories, poured):
    water = WaterFilled(points=(WaterPoint(height=0.05, water=0.2), WaterPoint(height=0.1, water=0.45)))
    plan = replace(PLAN, moulds=(Mould(shape=water), Mould()))
    day = poured(plan=plan)
    day.weigh("A", 0.40)
    memories.remember_weights(day.live.state)
    assert memories.weight_of(Mould(shape=water), plan) == 0.40
    assert memories.weight_of(Mould(), plan) is None


PARAFFIN, STEARIN = BlendPart(wax="paraffin_pillar", share=9.0), BlendPart(wax="stearic_commercial")


@pytest.mark.parametrize(
    ("other", "same"),
    [
        ((BlendPart(wax="beeswax"),), False),
        ((replace(PARAFFIN, share=8.0), replace(STEARIN, share=2.0)), False),
        ((PARAFFIN,), False),
        # 90 : 10 is 9 : 1, whatever the lots, and a kitchen scale cannot tell 9.1 : 0.9 from it.
        ((replace(PARAFFIN, share=90.0), replace(STEARIN, share=10.0)), True),
        ((replace(PARAFFIN, share=4.5, lot="1"), STEARIN, replace(PARAFFIN, share=4.5, lot="2")), True),
        ((replace(PARAFFIN, share=9.1), replace(STEARIN, share=0.9)), True),
    ],
)
def test_a_mould_weighs_what_it_did_with_the_same_wax_and_nothing_is_known_of_another(
    memories, poured, other, same
):
    """Beeswax is 6 % denser than paraffin (957 and 905 kg/m3 in the table): 580 g would be 613 g."""
    day = poured(plan=replace(PLAN, blend=(PARAFFIN, STEARIN)))
    day.weigh("A", 0.58)
    memories.remember_weights(day.live.state)
    assert memories.weight_of(TALL, replace(PLAN, blend=other)) == (0.58 if same else None)


def test_the_newest_candle_of_each_wax_is_known_beside_the_other(memories, poured):
    bees = replace(PLAN, blend=(BlendPart(wax="beeswax"),))
    for number, (plan, kg) in enumerate(((PLAN, 0.58), (bees, 0.61), (PLAN, 0.57))):
        day = poured(f"2026-11-2{number}-a", day=number, plan=plan)
        day.weigh("A", kg)
        memories.remember_weights(day.live.state)
    assert (memories.weight_of(TALL, PLAN), memories.weight_of(TALL, bees)) == (0.57, 0.61)


def test_a_layer_of_another_wax_counts_by_its_share_of_the_height(memories, poured):
    cream = replace(PLAN.layers[1], share=3.0, blend=(BlendPart(wax="beeswax"),))
    mixed = replace(PLAN, layers=(PLAN.layers[0], cream))
    day = poured(plan=mixed)
    day.weigh("A", 0.6)
    memories.remember_weights(day.live.state)
    quarter = (BlendPart(wax="beeswax", share=3.0), BlendPart(wax="paraffin_pillar"))
    assert memories.weight_of(TALL, replace(PLAN, blend=quarter)) == 0.6
    assert memories.weight_of(TALL, PLAN) is None


def test_two_waxes_that_count_as_one_hardly_change_a_weight():
    """By the densities of the wax table: what `_SAME_WAX` allows moves the weight of a candle by 0.2 % at most."""
    densities = [wax.density_solid for wax in families().values()]
    assert _SAME_WAX * (max(densities) / min(densities) - 1) < 0.002


def test_a_weight_of_an_older_program_counts_for_any_wax_until_one_of_this_wax_is_known(
    memories, poured, tmp_path
):
    first = poured()
    first.weigh("A", 0.60)
    memories.remember_weights(first.live.state)
    tables = json.loads((tmp_path / MEMORIES).read_bytes())
    for weight in tables["weights"].values():
        del weight["wax"]
    (tmp_path / MEMORIES).write_text(json.dumps(tables))
    bees = replace(PLAN, blend=(BlendPart(wax="beeswax"),))
    older = Memories(tmp_path)
    assert (older.weight_of(TALL, PLAN), older.weight_of(TALL, bees), older.remarks) == (0.60, 0.60, [])
    second = poured("2026-11-24-a", day=-1, plan=bees)
    second.weigh("A", 0.64)
    older.remember_weights(second.live.state)
    assert (older.weight_of(TALL, PLAN), older.weight_of(TALL, bees)) == (0.60, 0.64)
    # The session itself still knows its wax, and says so the next time it is opened.
    older.remember_weights(first.live.state)
    assert older.weight_of(TALL, replace(PLAN, blend=(BlendPart(wax="palm"),))) is None


def test_remembering_twice_changes_nothing_and_a_weight_taken_back_is_forgotten(memories, poured, tmp_path):
    day = poured()
    day.weigh("A", 0.60)
    memories.remember_weights(day.live.state)
    before = (tmp_path / MEMORIES).stat().st_ino
    memories.remember_weights(day.live.state)
    assert (tmp_path / MEMORIES).stat().st_ino == before
    wrong = day.weigh("A", 0.16)
    right = ev.Weighed(mould="A", what="candle", kg=0.61)
    day.live.file(ev.Corrected(entry=wrong.seq, fact=right), now=day.now)
    memories.remember_weights(day.live.state)
    assert memories.weight_of(TALL, PLAN) == 0.61
    for entry in day.live.entries:
        if isinstance(entry.fact, ev.Weighed):
            day.file(ev.Undone(entry=entry.seq))
    memories.remember_weights(day.live.state)
    assert memories.weight_of(TALL, PLAN) is None


def test_a_demo_and_a_candle_without_its_last_layer_teach_nothing(memories, poured, tmp_path):
    demo = poured("demo", demo=True)
    demo.weigh("A", 0.60)
    short = poured("short")
    short.weigh("A", 0.60)
    unfinished = fold([e for e in short.live.entries if getattr(e.fact, "layer", 0) == 0])
    for state in (demo.live.state, unfinished):
        memories.remember_weights(state)
    assert memories.weight_of(TALL, PLAN) is None
    assert not (tmp_path / MEMORIES).exists()


# -- faults -------------------------------------------------------------------------------------------

BROKEN = [b"", b"{", b"[]", b'{"plans": []}', b'{"plans": {"x": {}}}', b'{"plans": {"1": 5}}', b"\xff" * 40,
          b"[" * 100_000, b'{"a": {"1": ' * 50_000]  # fmt: skip


@pytest.mark.parametrize("content", BROKEN, ids=range(len(BROKEN)))
def test_a_broken_file_counts_as_empty_and_is_set_aside_before_it_is_replaced(tmp_path, noon, content):
    (tmp_path / MEMORIES).write_bytes(content)
    memories = Memories(tmp_path)
    assert (memories.own_waxes(), memories.plans(), memories.weight_of(TALL, PLAN)) == ({}, [], None)
    assert len(memories.remarks) == 1
    assert "broken" in memories.remarks[0]
    assert (tmp_path / MEMORIES).read_bytes() == content
    memories.keep_plan("stripes", PLAN, noon)
    assert [kept.name for kept in memories.plans()] == ["stripes"]
    aside = tmp_path / f"{MEMORIES}.broken"
    assert aside.read_bytes() == content
    assert aside.name in memories.remarks[-1]


def test_what_cannot_be_decoded_is_skipped_with_words_and_stays_in_the_file(memories, tmp_path, noon):
    memories.keep_plan("good", PLAN, noon)
    memories.keep_plan("bad", PLAN, noon)
    tables = json.loads((tmp_path / MEMORIES).read_bytes())
    tables["plans"]["2"]["plan"]["moulds"] = "none"
    tables["another"] = {"1": {"of": "somebody else"}}
    (tmp_path / MEMORIES).write_text(json.dumps(tables))
    again = Memories(tmp_path)
    assert [kept.name for kept in again.plans()] == ["good"]
    assert len(again.remarks) == 1
    assert "bad" in again.remarks[0]
    assert "moulds" in again.remarks[0]
    again.keep_wax(own())
    after = json.loads((tmp_path / MEMORIES).read_bytes())
    assert after["plans"]["2"] == tables["plans"]["2"]
    assert after["another"] == tables["another"]


def test_a_newer_file_is_read_but_never_written(memories, tmp_path, noon):
    memories.keep_plan("good", PLAN, noon)
    newer = (tmp_path / MEMORIES).read_bytes().replace(b'"schema": 1', b'"schema": 2')
    (tmp_path / MEMORIES).write_bytes(newer)
    assert [kept.name for kept in memories.plans()] == ["good"]
    with pytest.raises(Trouble, match="newer"):
        memories.forget_plan("good")
    assert (tmp_path / MEMORIES).read_bytes() == newer


def test_a_link_or_a_folder_in_its_place_is_neither_followed_nor_replaced(tmp_path, noon):
    outside = tmp_path / "outside.json"
    outside.write_text("{}")
    folder = tmp_path / "sessions"
    folder.mkdir()
    (folder / MEMORIES).symlink_to(outside)
    memories = Memories(folder)
    assert memories.plans() == []
    assert "link" in memories.remarks[0]
    with pytest.raises(Trouble, match="link"):
        memories.keep_plan("stripes", PLAN, noon)
    assert outside.read_text() == "{}"
    (folder / MEMORIES).unlink()
    (folder / MEMORIES).mkdir()
    with pytest.raises(Trouble):
        memories.keep_plan("stripes", PLAN, noon)


def test_a_kill_or_a_refusal_at_any_call_leaves_the_old_memories_or_the_new_ones(
    tmp_path, noon, faulty, killed, full
):
    def kept(folder: Path) -> tuple[list[str], list[str]]:
        again = Memories(folder)
        return [each.name for each in again.plans()], again.remarks

    for error in (None, full):
        for at in range(60):
            folder = tmp_path / f"{error}-{at}"
            folder.mkdir()
            Memories(folder).keep_plan("stripes", PLAN, noon)
            disk = faulty(at, error)
            told = False
            try:
                Memories(folder, disk).keep_plan("more", PLAN, noon + 1)
            except killed:
                pass
            except Trouble:
                told = True
            names, remarks = kept(folder)
            assert names in (["stripes"], ["more", "stripes"]), (error, at)
            assert remarks == []
            # What was not told to be refused is there.
            assert told or disk.dead or names == ["more", "stripes"], (error, at)
            if len(disk.calls) <= at:
                break
        else:
            raise AssertionError("the fault was never reached past the end")
        assert at > 8


def test_a_full_disk_is_no_trouble_for_weights_that_the_records_have(tmp_path, poured, faulty, full):
    day = poured()
    day.weigh("A", 0.6)
    for at in range(60):
        memories = Memories(tmp_path, faulty(at, full))
        memories.remember_weights(day.live.state)
        if len(memories._disk.calls) <= at:
            break
        (tmp_path / MEMORIES).unlink(missing_ok=True)
    else:
        raise AssertionError("the fault was never reached past the end")
    assert Memories(tmp_path).weight_of(TALL, PLAN) == 0.6


def _keep_many(folder: str, who: str, count: int) -> None:
    memories = Memories(Path(folder))
    for number in range(count):
        memories.keep_plan(f"{who}{number}", PLAN, float(number))


def test_two_programs_at_once_lose_nothing_of_each_other(tmp_path):
    context = multiprocessing.get_context("fork" if os.name == "posix" else "spawn")
    both = [context.Process(target=_keep_many, args=(str(tmp_path), who, 25)) for who in "ab"]
    for each in both:
        each.start()
    for each in both:
        each.join(60)
    assert [each.exitcode for each in both] == [0, 0]
    names = {kept.name for kept in Memories(tmp_path).plans()}
    assert names == {f"{who}{number}" for who in "ab" for number in range(25)}
    assert sorted(os.listdir(tmp_path)) == [MEMORIES]


def test_a_change_of_another_program_is_seen_at_the_next_look(memories, tmp_path, noon):
    assert memories.plans() == []
    Memories(tmp_path).keep_plan("stripes", PLAN, noon)
    assert [kept.name for kept in memories.plans()] == ["stripes"]
