"""What each command does. Imports stand with the commands, so that none waits for what it does not need."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.console import OK, TROUBLE, complain, flush, moving_line, say, write_bytes
from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan_commands import curve_command, plan_command, schema_command
from pourday.record_commands import (
    check_command,
    pack_command,
    print_command,
    show_command,
    unpack_command,
    why_command,
)
from pourday.screen_commands import demo, follow, open_program, probe_specs, resume, serve

if TYPE_CHECKING:
    from collections.abc import Callable


def run(arguments: argparse.Namespace) -> int:
    """Do what the command says. Returns the exit status; raises `Trouble`."""
    command = arguments.command
    if command in _ALONE:
        return _ALONE[command](arguments)
    from pourday.store.folders import sessions_folder
    from pourday.store.settings import settings_path

    config = settings_path(arguments.config, os.environ)
    if "probe" in arguments and command not in (None, "resume", "probes"):
        raise Trouble(
            tr("“pourday {command}” reads no probe.", command=command),
            instead=tr("Give --probe to “pourday”, “pourday resume” or “pourday probes”."),
        )
    if command in _WITH_SETTINGS:
        return _WITH_SETTINGS[command](config, arguments)
    folder = sessions_folder(arguments.sessions, os.environ)
    if command in _IN_FOLDER:
        return _IN_FOLDER[command](folder, arguments)
    return _WITH_BOTH[command](folder, config, arguments)


def _fire(_: argparse.Namespace) -> int:
    """`pourday fire`: the fire card as text; it needs no folder, no settings and no screen."""
    from pourday.guide.rescue.fire import fire_text

    say("\n".join(fire_text()))
    return OK


def _due(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday due`: what is due with the candles of all sessions."""
    import json
    import time

    from pourday.reports.due_report import due_calendar, due_data, due_text
    from pourday.shelf.candles_due import due_in

    now = time.time()
    with moving_line() as at:
        rows, remarks = due_in(folder, now, at=at)
    if arguments.json:
        say(json.dumps(due_data(rows, now), indent=2))
    elif arguments.ics:
        write_bytes(due_calendar(rows, now).encode())
    else:
        say("\n".join(due_text(rows, now)))
    for remark in remarks:
        complain(remark)
    return TROUBLE if remarks else OK


def _list(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday list`: all sessions, or those that fit the words."""
    import time

    from pourday.shelf_commands import list_command

    list_command(folder, arguments, time.time())
    return OK


def _compare(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday compare`: sessions side by side."""
    from pourday.shelf_commands import compare_command

    compare_command(folder, arguments)
    return OK


def _family(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday family`: what a session was made from, and what was made from it."""
    from pourday.shelf_commands import family_command

    family_command(folder, arguments)
    return OK


def _stock(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday stock`: what is there of each material."""
    import time

    from pourday.stock_commands import stock_command

    stock_command(folder, config, arguments, time.time())
    return OK


def _moulds(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday moulds`: what the days say of each mould."""
    import time

    from pourday.stock_commands import moulds_command

    moulds_command(folder, config, arguments, time.time())
    return OK


def _shopping(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday shopping`: what a plan needs that is not there."""
    from pourday.stock_commands import shopping_command

    shopping_command(folder, config, arguments)
    return OK


def _follow(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday follow`: a session looked at from a second screen, or from a browser."""
    if arguments.serve is not None:
        return serve(folder, config, arguments.id, arguments.serve)
    return follow(folder, config, arguments.id)


def _settings(path: Path, _: argparse.Namespace) -> int:
    """`pourday settings`: each setting as it counts, then what of the file does not."""
    from pourday.store.settings import load
    from pourday.store.settings_fields import FIELDS
    from pourday.text import plain
    from pourday.tui.settings.controller import complaints
    from pourday.tui.terminal.endings import usual_cells
    from pourday.tui.terminal.keys import BY_ID, keymap, spoken

    loaded, usual = load(path), {"cells": usual_cells(os.environ)}
    shown = plain(str(path), 400)
    say(shown if os.path.exists(path) else tr("{shown} (not there yet: all defaults)", shown=shown))
    for field in FIELDS:
        text = loaded.texts.get(field.name)
        say(
            f"{field.name:<14} {text or usual.get(field.name, field.default) or '-'}{('' if text is not None else tr('  (default)'))}"
        )
    for name, key in keymap(loaded.settings.keys)[0].own.items():
        say(f"keys.{name:<9} {spoken(key)}  ({BY_ID[name].short})")
    for name, text in loaded.settings.probes.items():
        say(f"probes.{name:<7} {text}")
    for name, text in loaded.settings.probe_tests.items():
        say(f"probe_tests.{name:<2} {text}")
    wrong = complaints(loaded)
    for complaint in wrong:
        complain(complaint)
    return TROUBLE if wrong else OK


def _probes(config: Path, arguments: argparse.Namespace) -> int:
    """`pourday probes`: what comes in, a line a reading."""
    import json
    import threading
    import time

    from pourday.plan.water import boiling_c
    from pourday.probes.doubt import Surroundings
    from pourday.probes.watch import ProbeWatch
    from pourday.reports.probe_report import probe_data, probe_text
    from pourday.store.settings import load
    from pourday.store.settings_probes import probe_sources_of, probe_tests_of
    from pourday.tui.probe_reader import ProbeReader

    settings = load(config).settings
    only_now = probe_specs(arguments)
    specs = only_now or probe_sources_of(settings)
    if not specs:
        raise Trouble(
            tr("No probe is named."),
            tr("There is none in the settings."),
            tr("Name one, like: pourday probes --probe serial:/dev/ttyUSB0?baud=9600."),
        )
    seconds = arguments.seconds if arguments.seconds is not None else float("inf")
    if not seconds > 0:
        raise Trouble(tr("That is not a length of time."), instead=tr("Give --seconds 10, or leave it out."))
    # A probe that is named for one run is not the one of that name that was tested.
    watch = ProbeWatch(specs, {} if only_now else probe_tests_of(settings), units=settings.units)
    watch.around = Surroundings(settings.room_c, boiling_c(settings.altitude))
    news = threading.Event()
    reader = ProbeReader(specs, time.time, news.set)
    until = time.monotonic() + seconds
    listening = set(specs)
    reader.start()
    try:
        while listening and (left := until - time.monotonic()) > 0:
            news.wait(min(left, 0.5))
            news.clear()
            for came in reader.fetch():
                if came.trouble:
                    watch.lost(came.source, came.trouble)
                    listening -= {came.source} if specs[came.source].make().once else set()
                    continue
                for probe in watch.heard(came.source, came.lines, came.t, came.dropped):
                    say(
                        json.dumps(probe_data(probe, came.t))
                        if arguments.json
                        else probe_text(probe, came.t, settings.units)
                    )
                flush()
            for sentence in watch.news():
                complain(sentence)
    finally:
        reader.close()
    return OK if any(probe.heard_at is not None for probe in watch.probes) else TROUBLE


def _kitchen(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday kitchen`: what the days taught of it, and which of them count."""
    import json
    import time

    from pourday.reports.kitchen_days import day_rows
    from pourday.reports.kitchen_report import kitchen_data, kitchen_text
    from pourday.store.kitchen_days import forget_cache
    from pourday.store.memories import Memories
    from pourday.store.reading import read_session

    memories, now = Memories(folder), time.time()
    for id_, forget in ((arguments.forget, True), (arguments.remember, False)):
        if id_ is not None:
            memories.forget_day(read_session(folder, id_).session, now, forget=forget)
    if arguments.forget_all:
        memories.forget_all_days(now)
    if arguments.use_none or arguments.use:
        memories.use_no_days(now, none=arguments.use_none)
    if arguments.rebuild:
        forget_cache(folder)
    with moving_line() as at:
        rows = day_rows(folder, at=at)
    choices = memories.kitchen_choices()
    if arguments.json:
        say(json.dumps(kitchen_data(rows, choices, now), indent=2))
    else:
        say("\n".join(kitchen_text(rows, choices, now)))
    for remark in memories.remarks:
        complain(remark)
    return OK


_ALONE: dict[str, Callable[[argparse.Namespace], int]] = {
    "fire": _fire,
    "plan": plan_command,
    "curve": curve_command,
    "schema": schema_command,
}
"""Commands by their names: those that need neither settings nor the folder of sessions to begin with,"""
_WITH_SETTINGS: dict[str, Callable[[Path, argparse.Namespace], int]] = {
    "settings": _settings,
    "probes": _probes,
}
"""those that are given the path of the settings,"""
_IN_FOLDER: dict[str, Callable[[Path, argparse.Namespace], int]] = {
    "list": _list,
    "compare": _compare,
    "family": _family,
    "show": show_command,
    "due": _due,
    "why": why_command,
    "kitchen": _kitchen,
    "print": print_command,
    "check": check_command,
}
"""the folder of sessions,"""
_WITH_BOTH: dict[str | None, Callable[[Path, Path, argparse.Namespace], int]] = {
    None: open_program,
    "stock": _stock,
    "moulds": _moulds,
    "shopping": _shopping,
    "pack": pack_command,
    "unpack": unpack_command,
    "demo": demo,
    "resume": resume,
    "follow": _follow,
}
"""or the folder and then the settings. Without a command the program opens."""
