"""The stock of a folder with real records: a day begun reserves, a day finished takes, and no kill makes it wrong."""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import random
import signal
import time
from pathlib import Path

import pytest

from pourday.cli import main
from pourday.errors import Trouble
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.shelf.index import SHELF
from pourday.shelf.materials import materials_of
from pourday.stock.lot import StockLot
from pourday.stock_commands import stock_command
from pourday.store.live import LiveSession
from pourday.store.reading import read_session
from pourday.store.stock import STOCK, Stock

NOON = 1_764_072_000.0
PLAN = Plan(
    title="Rust",
    moulds=(Mould(shape=Cylinder(diameter=0.07, height=0.12)),),
    blend=(BlendPart(wax="paraffin_pillar", lot="sack 7"),),
    layers=(Layer(colour="rust"),),
)
WAX = StockLot(
    kind="wax",
    product="paraffin_pillar",
    lot="sack 7",
    counted=20.0,
    counted_at=NOON - 10.0,
    price=6.0,
    pack=10.0,
)
NEED = weigh_sheet(PLAN).total_wax
KEEPS = PLAN.vessel_keeps


def begin(folder: Path, number: int) -> LiveSession:
    live = LiveSession.create(folder, f"2025-11-25-{'abcdefghij'[number]}", now=NOON + number)
    live.file(ev.PlanFixed(plan=PLAN), now=NOON + number + 0.5)
    return live


def wax_of(folder: Path) -> tuple[float, float]:
    """(there, reserved) of the only lot."""
    stock, remarks = materials_of(folder)
    assert remarks == []
    (lot,) = stock.lots
    return round(lot.there, 6), round(lot.reserved, 6)


def test_a_day_reserves_from_its_beginning_and_takes_at_its_end_and_a_lost_file_costs_the_counting_alone(
    tmp_path,
):
    Stock(tmp_path).put(WAX)
    live = begin(tmp_path, 0)
    assert wax_of(tmp_path) == (20.0, round(NEED, 6))
    live.file(ev.JugMade(layer=0, kg=0.5), now=NOON + 60)
    live.finish("good", now=NOON + 90)
    assert wax_of(tmp_path) == (round(20.0 - 0.5 - KEEPS, 6), 0.0)
    (tmp_path / STOCK).unlink()
    stock, _ = materials_of(tmp_path)
    assert stock.lots == ()
    (lost,) = [each for each in stock.uncounted if each.kind == "wax"]
    assert (lost.product, lost.lot, lost.uses[0].amount) == ("paraffin_pillar", "sack 7", 0.5 + KEEPS)
    assert read_session(tmp_path, live.session).finished
    Stock(tmp_path).put(WAX)
    (tmp_path / SHELF).write_text("lies")
    assert wax_of(tmp_path) == (round(20.0 - 0.5 - KEEPS, 6), 0.0)


def test_the_commands_show_add_count_and_forget(tmp_path, capsys):
    def told(*arguments: str, code: int = 0) -> str:
        with pytest.raises(SystemExit) as ended:
            main([*arguments, "--sessions", str(tmp_path), "--config", str(tmp_path / "none.toml")])
        assert ended.value.code == code
        return capsys.readouterr().out

    assert "Nothing was counted yet" in told("stock")
    begin(tmp_path, 0)
    assert "paraffin, pillar, sack 7: " in told("stock")
    assert "10.00 kg; 6.40 a kg" in told("stock", "add", "wax", "palm", "10", "kg", "paid", "64")
    assert "3.00 kg" in told("stock", "wax palm 3 kg lot A12")
    data = json.loads(told("stock", "--json"))
    assert [(lot["product"], lot["there"]) for lot in data["lots"]] == [("palm", 10.0), ("palm", 3.0)]
    assert data["uncounted"][0]["uses"][0]["over"] is False
    assert "Forgotten" in told("stock", "forget palm lot a12")
    told("stock", "wax paraffin_pillar 0.1 kg lot sack 7 pack 5 kg paid 3")
    assert "1 pack of 5.00 kg" in told("shopping", "2025-11-25-a")
    (row,) = [
        each
        for each in json.loads(told("shopping", "2025-11-25-a", "--json"))["purchases"]
        if each["kind"] == "wax"
    ]
    assert (row["packs"], row["missing"]) == (1, pytest.approx(NEED - 0.1))
    assert "A: " in told("stock", "--cost", "2025-11-25-a")
    assert told("shopping", "nothing", code=1) == ""


def test_a_line_nobody_understands_changes_nothing(tmp_path):
    arguments = argparse.Namespace(line=["5", "apples"], cost=None, json=False)
    with pytest.raises(Trouble, match="How much"):
        stock_command(tmp_path, tmp_path / "none.toml", arguments, NOON)
    assert list(tmp_path.iterdir()) == []


def _pour_days(folder: str, first: int) -> None:
    """Days one after the other, as many as there is time for; begun, drawn, some finished, lots counted between."""
    for number in range(first, 10):
        live = begin(Path(folder), number)
        for draw in range(3):
            live.file(ev.JugMade(layer=0, kg=0.1), now=NOON + 100 + draw)
        Stock(Path(folder)).add(StockLot(kind="scent", product="clove", counted=0.01, counted_at=NOON))
        live.finish("good", now=NOON + 200)


def killed_day(folder: Path, seed: int) -> int:
    """Begin, be killed with -9 anywhere, look, carry on what was open, look again; how many days there were."""
    Stock(folder).put(WAX)
    child = multiprocessing.get_context("fork").Process(target=_pour_days, args=(str(folder), 0))
    child.start()
    assert child.pid is not None
    time.sleep(random.Random(seed).uniform(0.005, 0.15))
    os.kill(child.pid, signal.SIGKILL)
    child.join()
    there, reserved = 20.0, 0.0
    names = sorted({path.stem for path in folder.glob("2025*") if path.suffix in (".json", ".journal")})
    states = {name: read_session(folder, name).state for name in names}
    for state in states.values():
        if state.finished_at is not None:
            there -= 0.3 + KEEPS
        elif state.fixed_plan is not None:
            reserved += NEED
    stock = materials_of(folder)[0]
    (wax,) = [each for each in stock.lots if each.lot.kind == "wax"]
    assert (wax.there, wax.reserved) == (pytest.approx(there), pytest.approx(reserved))
    clove = sum(each.lot.came for each in stock.lots if each.lot.kind == "scent")
    assert 0 <= len(names) - round(clove / 0.01) <= 1
    for name, state in states.items():
        if state.fixed_plan is not None and state.finished_at is None:
            live = LiveSession.open(folder, name, now=NOON + 300)
            live.file(ev.JugMade(layer=0, kg=0.2), now=NOON + 301)
            drawn = sum(isinstance(entry.fact, ev.JugMade) for entry in live.entries) - 1
            live.finish("good", now=NOON + 302)
            there -= 0.1 * drawn + 0.2 + KEEPS
    (wax,) = [each for each in materials_of(folder)[0].lots if each.lot.kind == "wax"]
    assert (wax.there, wax.reserved) == (pytest.approx(there), 0.0)
    return len(names)


def test_a_stock_that_is_reserved_killed_and_resumed_adds_up(tmp_path):
    killed_day(tmp_path, 1)


@pytest.mark.slow
def test_forty_kills_anywhere_in_a_day_leave_a_stock_that_adds_up(tmp_path):
    days = []
    for seed in range(40):
        folder = tmp_path / str(seed)
        folder.mkdir()
        days.append(killed_day(folder, seed))
    assert len(set(days)) > 3, days
