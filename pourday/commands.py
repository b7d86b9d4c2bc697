"""What each command does. Imports stand with the commands, so that none waits for what it does not need."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.console import OK, TROUBLE, complain, flush, moving_line, save_new, say, write_bytes
from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.screen_commands import demo, follow, open_program, probe_specs, resume, serve

if TYPE_CHECKING:
    from collections.abc import Callable

    from pourday.curve.reading import CurveReading
    from pourday.session.state import State
    from pourday.wax.materials import Wax


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
    return _WITH_BOTH.get(command, open_program)(folder, config, arguments)


def _fire(_: argparse.Namespace) -> int:
    """`pourday fire`: the fire card as text; it needs no folder, no settings and no screen."""
    from pourday.guide.rescue.fire import fire_text

    say("\n".join(fire_text()))
    return OK


def _show(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday show`: a record as text, or as data for another program."""
    from pourday.store.reading import read_session

    stored = read_session(folder, arguments.id)
    if arguments.csv:
        from pourday.reports.spreadsheet import csv_bytes

        write_bytes(csv_bytes(stored.state, stored.entries))
    elif arguments.json:
        from pourday.store.record import record_bytes

        write_bytes(record_bytes(stored.session, stored.entries))
    else:
        from pourday.reports.story import batch_record, story

        told = story if arguments.story else batch_record
        if stored.state.heap is not None and not arguments.story:
            from pourday.reports.heap_report import heap_report

            say("\n".join([*heap_report(stored.state), *stored.remarks]))
            return OK
        try:
            candles = _candles(folder, stored.state)
        except Trouble as trouble:  # What cannot be read beside it hides nothing of the record itself.
            candles = ["", tr("What became of its candles is not known. {trouble}", trouble=trouble)]
        say("\n".join([*told(stored.state, stored.entries), *candles, *stored.remarks]))
    return OK


def _candles(folder: Path, state: State) -> list[str]:
    """What became of the candles of a session, or of the batch that this record of candles is about."""
    from pourday.reports.burn_report import burn_report
    from pourday.store.candles import read_log
    from pourday.store.reading import read_session

    if state.batch:
        return burn_report(read_session(folder, state.batch).state, state)
    return burn_report(state, read_log(folder, state.session))


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


def _why(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday why`: the causes of a fault weighed by the record, and the one thing to change."""
    import json

    import msgspec

    from pourday.reports.faults_report import fault_list, faults_told, why_data, why_of, why_text

    letter = arguments.letter.upper()
    told = faults_told(folder, arguments.id, letter) if arguments.fault is None else [arguments.fault]
    if not told:
        say("\n".join(fault_list(letter)))
        return OK
    if arguments.json and len(told) > 1:
        raise Trouble(
            tr(
                "{letter} has {count} faults: {told}.",
                letter=letter,
                count=len(told),
                told=", ".join(word(each) for each in told),
            ),
            instead=tr("Name one with --fault."),
        )
    for name in told:
        with moving_line() as at:
            why = why_of(folder, arguments.id, letter, name, at=at)
        text = json.dumps(why_data(why), indent=2, ensure_ascii=False, allow_nan=False)
        say(text if arguments.json else "\n".join(why_text(why, letter)))
        if arguments.out is not None:
            save_new(
                Path(arguments.out),
                msgspec.json.format(msgspec.json.encode(why.change.plan), indent=1) + b"\n",
            )
            return OK
    return OK


def _paper(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday print`: a paper as an HTML file that a browser prints, or as text."""
    from pourday.reports.papers.sheet import sheet_text, wall_sheet
    from pourday.reports.papers.slip import candle_slips, slip_text
    from pourday.store.candles import read_log
    from pourday.store.reading import read_session

    stored = read_session(folder, arguments.id)
    state, paper = stored.state, arguments.paper
    log = read_log(folder, stored.session) if paper == "slip" else None
    candles = {} if log is None else log.candles
    if arguments.text:
        if paper == "record":
            raise Trouble(
                tr("The record as text is “pourday show”."), instead=tr("Ask for that, or leave --text out.")
            )
        if paper == "sheet":
            lines = sheet_text(wall_sheet(state.fixed_plan or state.plan, stored.session))
        else:
            lines = slip_text(candle_slips(state, candles))
        say("\n".join(lines))
        return OK
    from pourday.reports.papers.to_file import paper_page

    page = paper_page(paper, state, stored.entries, candles)
    path = Path(arguments.out or f"{stored.session}-{paper}.html")
    save_new(path, page.encode("utf-8", "replace"))
    say(tr("Open {path} in a browser and print it.", path=path))
    return OK


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


def _check(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday check`: what is wrong with files; the exit status tells whether anything serious is."""
    from pourday.store.check import check

    with moving_line() as at:
        findings = list(check(folder, arguments.id, at=at))
    for finding in findings:
        saved = tr(
            " They are in the session {repaired}; this file stays as it is.", repaired=finding.repaired
        )
        say(f"{finding.file}: {finding.says}{saved if finding.repaired else ''}")
    if not findings:
        say(tr("All is well."))
    return TROUBLE if any(finding.serious for finding in findings) else OK


def _pack(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday pack`: everything into one archive; the exit status tells whether anything was left out."""
    from pourday.store.pack import pack
    from pourday.text import plain

    target = Path(arguments.file)
    with moving_line() as at:
        packed = pack(folder, config, target, at=at)
    for sentence in packed.left_out:
        complain(sentence)
    say(
        tr(
            "{files} files are in {target}, {size:.2f} MB, and were read back.",
            files=packed.files,
            target=plain(str(target), 300),
            size=packed.size / 1000000.0,
        )
    )
    return TROUBLE if packed.left_out else OK


def _unpack(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday unpack`: an archive merged into what is here, and what became of each file."""
    from pourday.store.unpack import unpack
    from pourday.text import plain

    done = unpack(Path(arguments.file), folder, config)
    for name in done.added:
        say(tr("{name}: new here.", name=plain(name, 120)))
    for name in done.longer:
        say(tr("{name}: it was carried on there; now it is here as well.", name=plain(name, 120)))
    for name, other in done.both:
        say(
            tr(
                "{name}: it is different here, so both are kept; the one from the file is {other}.",
                name=plain(name, 120),
                other=plain(other, 120),
            )
        )
    if done.there:
        say(tr("Already here: {count}.", count=len(done.there)))
    for sentence in done.troubles:
        complain(sentence)
    return TROUBLE if done.troubles else OK


def _plan(arguments: argparse.Namespace) -> int:
    """`pourday plan`: a plan file weighed out or rehearsed, or the plan of a session written out."""
    if arguments.origin is not None:
        return _plan_from(arguments)
    if arguments.file is None:
        raise Trouble(
            tr("No plan was named."), instead=tr("Give the path of a plan file, or --from with a session.")
        )
    import json
    import time

    from pourday.reports.plan_report import plan_data, plan_text, read_plan

    plan = read_plan(Path(arguments.file))
    times = arguments.begin, arguments.done
    if any(times) and not arguments.rehearse:
        raise Trouble(
            tr("A time to begin or to be done belongs to a rehearsal."), instead=tr("Add --rehearse.")
        )
    if arguments.rehearse:
        from pourday.reports.kitchen_days import known_kitchen
        from pourday.reports.rehearsal_report import rehearsal_text
        from pourday.session.quiet_hours import PersonsClock
        from pourday.store.folders import sessions_folder
        from pourday.store.settings import load, settings_path
        from pourday.times import read_clock

        settings = load(settings_path(arguments.config, os.environ)).settings
        persons = PersonsClock(settings.quiet_from, settings.quiet_to)
        now = time.time()
        begins_at, done_at = (read_clock(text, now) if text else None for text in times)
        kitchen = known_kitchen(sessions_folder(arguments.sessions, os.environ), now)
        said = rehearsal_text(
            plan, now, persons=persons, begins_at=begins_at, done_at=done_at, kitchen=kitchen
        )
        say("\n".join(said))
        return OK
    as_json = json.dumps(plan_data(plan), indent=2, allow_nan=False) if arguments.json else ""
    say(as_json or "\n".join(plan_text(plan)))
    return OK


def _plan_from(arguments: argparse.Namespace) -> int:
    """`pourday plan --from`: the plan of a session as a plan file."""
    import msgspec

    from pourday.session.repeat import as_it_went, as_planned, only_mould
    from pourday.store.folders import sessions_folder
    from pourday.store.reading import read_session

    if arguments.file is not None or arguments.json or arguments.rehearse:
        raise Trouble(
            tr("--from writes a plan out; it takes no plan file, --json or --rehearse."),
            instead=tr("Write the plan with --out FILE, then give that file to “pourday plan”."),
        )
    state = read_session(sessions_folder(arguments.sessions, os.environ), arguments.origin).state
    plan = as_it_went(state, only_mould(state, arguments.mould)) if arguments.as_poured else as_planned(state)
    data = msgspec.json.format(msgspec.json.encode(plan), indent=1) + b"\n"
    if arguments.out is None:
        write_bytes(data)
    else:
        save_new(Path(arguments.out), data)
    return OK


def _curve(arguments: argparse.Namespace) -> int:
    """`pourday curve`: a log of cooling wax, read."""
    import json

    from pourday.curve.log import read_log
    from pourday.curve.reading import read_curve
    from pourday.reports.curve_report import between, between_text, curve_data, curve_text
    from pourday.units import read_temperature

    around = arguments.around
    around_c = None if around is None else read_temperature(around, "metric").celsius
    log = read_log(Path(arguments.file))
    reading = read_curve(log, around_c)
    data, lines = curve_data(reading), curve_text(log, reading)
    if arguments.between is not None:
        one, other = (_wax_called(name, arguments.sessions) for name in arguments.between)
        share = between(one, other, reading)
        data["share"] = {"of": other.name, "low": share.low, "likely": share.likely, "high": share.high}
        lines.append(between_text(one, other, share))
    if arguments.keep is not None:
        lines.append(_keep_wax(arguments.keep, reading, arguments.sessions))
    say(json.dumps(data, indent=2, allow_nan=False) if arguments.json else "\n".join(lines))
    return OK


def _keep_wax(name: str, reading: CurveReading, sessions: str | None) -> str:
    """Keep what a curve says as a wax of one's own; a sentence that says so. Raises `Trouble`."""
    from pourday.curve.families import families_of
    from pourday.heap.lot import wax_of
    from pourday.plan.water import bath_reach
    from pourday.store.folders import sessions_folder
    from pourday.store.memories import Memories
    from pourday.text import plain

    called = plain(name, 60)
    wax = wax_of(called, reading, families_of(reading), bath_reach(0.0).best_c)
    Memories(sessions_folder(sessions, os.environ)).keep_wax(wax)
    return tr("Kept: plans find it as “{name}”, with a range as wide as it is known.", name=called)


def _wax_called(name: str, sessions: str | None) -> Wax:
    """A wax by its name or id, one of the person's own before a family. Raises `Trouble`."""
    from pourday.store.folders import sessions_folder
    from pourday.store.memories import Memories
    from pourday.text import plain
    from pourday.wax.materials import families

    own = Memories(sessions_folder(sessions, os.environ)).own_waxes()
    shelf = [*own.values(), *families().values()]
    called = name.casefold()
    for wax in shelf:
        if called in (wax.id.casefold(), wax.name.casefold(), wax.short_name.casefold()):
            return wax
    known = ", ".join(wax.id for wax in shelf)
    raise Trouble(
        tr("There is no wax called “{name}”.", name=plain(name, 60)),
        instead=tr("Known ones are: {known}.", known=known),
    )


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


def _schema(arguments: argparse.Namespace) -> int:
    """`pourday schema`: the JSON Schema of the record, or of a plan file."""
    from pourday.reports.plan_report import plan_schema
    from pourday.store.record import json_schema

    say((plan_schema() if arguments.plan else json_schema()).decode())
    return OK


_ALONE: dict[str, Callable[[argparse.Namespace], int]] = {
    "fire": _fire,
    "plan": _plan,
    "curve": _curve,
    "schema": _schema,
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
    "show": _show,
    "due": _due,
    "why": _why,
    "kitchen": _kitchen,
    "print": _paper,
    "check": _check,
}
"""the folder of sessions,"""
_WITH_BOTH: dict[str, Callable[[Path, Path, argparse.Namespace], int]] = {
    "stock": _stock,
    "moulds": _moulds,
    "shopping": _shopping,
    "pack": _pack,
    "unpack": _unpack,
    "demo": demo,
    "resume": resume,
    "follow": _follow,
}
"""or the folder and then the settings. Without any of these names the program opens."""
