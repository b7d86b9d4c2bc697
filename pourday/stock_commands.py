"""What the commands do that are about materials: the stock, what to buy, what candles cost."""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Collection, Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pourday.console import complain, moving_line, say
from pourday.errors import Trouble
from pourday.language import tr

if TYPE_CHECKING:
    from pourday.plan.model import Plan
    from pourday.stock.balance import StockNow


def stock_command(folder: Path, config: Path, arguments: argparse.Namespace, now: float) -> None:
    """`pourday stock [LINE…]`: do what the line says, then show what is there. Raises `Trouble`."""
    from pourday.reports.stock_report import stock_data, stock_text, told_text
    from pourday.store.memories import Memories
    from pourday.store.settings import load

    units, names = load(config).settings.units, Memories(folder).wax_names()
    key = None
    if arguments.line:
        from pourday.stock.line import read_stock_line
        from pourday.store.stock import Stock

        shelf = Stock(folder)
        key = shelf.tell(read_stock_line(" ".join(arguments.line), units), names, now)
        _complain(shelf.remarks)
    stock = _materials(folder)
    if arguments.cost is not None:
        _cost(folder, arguments.cost, stock, names, as_json=arguments.json)
    elif arguments.json:
        _as_json(stock_data(stock))
    elif key is not None:
        say("\n".join(told_text(key, stock, units, names)))
    else:
        say("\n".join(stock_text(stock, units, names)))


def shopping_command(folder: Path, config: Path, arguments: argparse.Namespace) -> None:
    """`pourday shopping PLAN…`: what to buy for these plans. Raises `Trouble`."""
    from pourday.reports.stock_report import shopping_data, shopping_text
    from pourday.stock.shopping import shopping
    from pourday.store.memories import Memories
    from pourday.store.settings import load

    plans = [_plan(folder, name) for name in arguments.plans]
    # A day that has begun has reserved already what its plan needs.
    rows = shopping(plans, _materials(folder, without=arguments.plans))
    if arguments.json:
        _as_json(shopping_data(rows))
    else:
        names = Memories(folder).wax_names() | {wax.id: wax.short_name for plan in plans for wax in plan.own}
        say("\n".join(shopping_text(rows, load(config).settings.units, names)))


def moulds_command(folder: Path, config: Path, arguments: argparse.Namespace, now: float) -> None:
    """`pourday moulds [LINE…]`: do what the line says, then show what is remembered of each mould. Raises `Trouble`."""
    from pourday.moulds.line import read_mould_line
    from pourday.reports.moulds_report import moulds_data, moulds_text
    from pourday.shelf.moulds import moulds_of
    from pourday.store.memories import Memories
    from pourday.store.moulds import MouldNotes
    from pourday.store.settings import load

    units = load(config).settings.units
    if arguments.line:
        notes = MouldNotes(folder)
        notes.keep(*read_mould_line(" ".join(arguments.line), units, notes.notes(), now))
        _complain(notes.remarks)
    with moving_line() as at:
        moulds, remarks = moulds_of(
            folder, now, at=lambda progress: at(tr("the records"), progress.looked_at, progress.of)
        )
    if arguments.json:
        _as_json(moulds_data(moulds.values()))
    else:
        say("\n".join(moulds_text(moulds.values(), units, Memories(folder).wax_names())))
    _complain(remarks)


def _materials(folder: Path, without: Collection[str] = ()) -> StockNow:
    """The stock as it is now; what of it cannot be read is complained of."""
    from pourday.shelf.materials import materials_of

    with moving_line() as at:
        stock, remarks = materials_of(
            folder,
            at=lambda progress: at(tr("the records"), progress.looked_at, progress.of),
            without=without,
        )
    _complain(remarks)
    return stock


def _complain(remarks: Iterable[str]) -> None:
    """Say what of a small file could not be read, and what became of it."""
    for remark in remarks:
        complain(remark)


def _plan(folder: Path, name: str) -> Plan:
    """The plan of a file, a kept one of this name, or that of a session. Raises `Trouble`."""
    from pourday.reports.plan_report import read_plan
    from pourday.store.memories import Memories
    from pourday.store.reading import read_session
    from pourday.text import plain

    if os.path.exists(name):
        return read_plan(Path(name))
    kept_plan = next(
        (each.plan for each in Memories(folder).plans() if each.name.casefold() == name.casefold()), None
    )
    if kept_plan is not None:
        return kept_plan
    try:
        state = read_session(folder, name).state
    except Trouble:
        raise Trouble(
            tr("“{name}” is no plan file, no kept plan and no session.", name=plain(name, 120)),
            instead=tr("Give the path of a plan file, or a name that “pourday list” shows."),
        ) from None
    return state.fixed_plan or state.plan


def _cost(folder: Path, session: str, stock: StockNow, names: dict[str, str], *, as_json: bool) -> None:
    """What each candle of a session costs. Raises `Trouble` for one that has not begun."""
    from pourday.reports.stock_report import cost_data, cost_text
    from pourday.stock.cost import candles_of_day, day_cost
    from pourday.stock.taken import taken
    from pourday.store.reading import read_session

    stored = read_session(folder, session)
    state, plan = stored.state, stored.state.plan
    if state.fixed_plan is None:
        raise Trouble(
            tr("This day has not begun."), instead=tr("“pourday shopping” says what its plan needs.")
        )
    # A demo takes nothing off the shelf, but its candles can be reckoned all the same.
    rows = taken(replace(state, demo=False), stored.entries, over=state.finished_at is not None)
    cost = day_cost(rows, candles_of_day(state), plan, stock)
    if as_json:
        _as_json(cost_data(cost))
    else:
        say("\n".join(cost_text(cost, plan.units, names | {wax.id: wax.short_name for wax in plan.own})))


def _as_json(data: dict[str, Any]) -> None:
    say(json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False))
