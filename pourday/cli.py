"""The door: arguments, exit statuses, and one plain sentence for everything that can go wrong.

Imports stay inside the functions that need them: asking for help must not load a screen.
"""

from __future__ import annotations

import argparse
import io
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from pourday import __version__
from pourday.errors import Trouble

if TYPE_CHECKING:
    from pourday.plan.model import Plan
    from pourday.session.state import State

OK, TROUBLE, USAGE = 0, 1, 2
MOST_LATE = 240
"""Minutes that the person of a demo may come late to everything."""
Interrupt = Callable[..., object] | int | None
Looking = Callable[[str, int, int], None]
"""Told the file that is looked at, how many were before it, and how many there are."""
_PATIENCE, _MOVES = 1.0, 0.2
"""s after which a command says what it is at, and s between two such lines."""

EXAMPLES = """\
examples:
  pourday                        open the program; what is open or due comes first
  pourday demo                   watch a whole simulated day
  pourday demo --by-hand         plan it and pour it yourself, in a simulated kitchen
  pourday demo --plain           the same day as text, without a screen
  pourday demo --plan p.json     what would become of a plan of yours
  pourday list                   every session, open ones first
  pourday resume 2026-11-25      carry one on (without a name: the newest that is open)
  pourday show 2026-11-25        the record as text (--story, --csv, --json)
  pourday due                    which candles may be burned, weighed or given today
  pourday print 2026-11-25 sheet  the page for the wall (or record, or slip), as HTML
  pourday plan pillars.json      weigh out a plan file
  pourday plan --from 2026-11-25 --as-poured --mould A --out again.json
                                 a plan file from a record, to pour it again
  pourday curve tin.csv          what wax is this? a cooling curve, read
  pourday check                  look over every file; repair into new ones
  pourday pack backup.zip        everything into one file, for a backup or another machine
  pourday unpack backup.zip      merge such a file into what is here
  pourday fire                   the fire card, and what to do about a burn
  pourday settings               which settings count, and what is wrong with their file

Sessions are kept in --sessions DIR, else in $POURDAY_SESSIONS, else in your data folder;
settings in --config FILE, else in $POURDAY_CONFIG, else in your folder of settings.
Exit status: 0 well, 1 something to put right, 2 not understood, 128+n ended by signal n.
"""


def main(argv: Sequence[str] | None = None, interrupt: Interrupt = None) -> NoReturn:
    """Run the program and exit; from here on `interrupt` answers Ctrl+C, where there is one to be put back."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that knows no degree sign gets a question mark, not a traceback.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        if interrupt is not None:
            signal.signal(signal.SIGINT, interrupt)
        try:
            status = _run(_parser().parse_args(argv))
        finally:
            # Left to the end of Python, a refusal would be met where nobody can answer for it.
            _flush()
    except Trouble as trouble:
        _complain(f"pourday: {trouble}")
        status = TROUBLE
    except KeyboardInterrupt:
        status = 130
    except BrokenPipeError:
        # The reader of our output went away; that is its business.
        status = OK
    sys.exit(status)


@contextmanager
def _output() -> Iterator[None]:
    """What is printed inside may be refused: `BrokenPipeError` where its reader went away, else `Trouble`."""
    try:
        yield
    except OSError as error:
        # What is still held back for it goes nowhere, or it would be refused once more at the very end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            raise
        from pourday.store.disk import because

        raise Trouble("What was to be shown could not be written.", because(error)) from None


def _write(data: bytes) -> None:
    """Put bytes out as they are: data for another program, in whatever alphabet the terminal is."""
    if sys.stdout is not None:
        with _output():
            sys.stdout.flush()
            sys.stdout.buffer.write(data)


def _print(text: str) -> None:
    from pourday.text import steerless

    with _output():
        print(steerless(text))


@contextmanager
def _moving_line() -> Iterator[Looking]:
    """A line at the terminal that says which file is looked at, once that takes long; gone in the end."""
    import time

    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda _name, _done, _all: None
        return
    due, shown = time.monotonic() + _PATIENCE, False

    def at(name: str, done: int, of: int) -> None:
        nonlocal due, shown
        if time.monotonic() >= due:
            due, shown = time.monotonic() + _MOVES, True
            with suppress(OSError):
                print(f"\r\x1b[KFile {done + 1} of {of}: {name[:40]}", end="", file=sys.stderr, flush=True)

    try:
        yield at
    finally:
        if shown:
            with suppress(OSError):
                print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _flush() -> None:
    if sys.stdout is not None:
        with _output():
            sys.stdout.flush()


def _complain(text: str) -> None:
    """Say what is wrong where errors are said."""
    from pourday.text import steerless

    text = steerless(text)
    with suppress(OSError):  # Where even this cannot be said, the exit status still says it.
        print(text, file=sys.stderr)


class _Parser(argparse.ArgumentParser):
    """A parser that complains in the program's own words."""

    def error(self, message: str) -> NoReturn:
        from pourday.text import plain

        _complain(f"pourday: {plain(message, 300)}. “pourday --help” shows what there is.")
        sys.exit(USAGE)


def _parser() -> _Parser:
    """What the command line takes; `--sessions` and `--config` may stand before the command or after it."""
    parser = _Parser(
        prog="pourday",
        description="A calm companion for a day of pouring candles, and the days after.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"pourday {__version__}")
    parser.add_argument("--sessions", metavar="DIR", help="where sessions are kept")
    parser.add_argument("--config", metavar="FILE", help="the settings file")
    shared = _Parser(add_help=False)
    shared.add_argument(
        "--sessions", metavar="DIR", default=argparse.SUPPRESS, help="where sessions are kept"
    )
    shared.add_argument("--config", metavar="FILE", default=argparse.SUPPRESS, help="the settings file")
    _add_commands(parser.add_subparsers(dest="command", metavar="COMMAND"), shared)
    return parser


def _add_commands(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """The commands, each with what it takes; `shared` is what all of them take."""
    demo = commands.add_parser("demo", parents=[shared], help="a whole simulated day")
    demo.add_argument("--plain", action="store_true", help="as text, without a screen")
    demo.add_argument("--by-hand", action="store_true", help="plan and pour it yourself")
    demo.add_argument(
        "--speed",
        type=float,
        metavar="X",
        help="kitchen seconds a second, 1 to 600, evenly; without it waits are shortened",
    )
    demo.add_argument("--seed", type=int, default=1, metavar="N", help="which simulated day (with --plain)")
    demo.add_argument("--plan", metavar="FILE", help="a plan of your own instead: what would become of it?")
    demo.add_argument(
        "--late", type=float, default=0.0, metavar="MINUTES", help="come late to everything (with --plain)"
    )
    demo.add_argument(
        "--truth", metavar="OUT.json", help="write what only the kitchen knows at the end (with --plain)"
    )
    commands.add_parser("list", parents=[shared], help="every session, open ones first")
    resume = commands.add_parser("resume", parents=[shared], help="carry a session on")
    resume.add_argument("id", nargs="?", help="its name; without one, the newest that is open")
    show = commands.add_parser(
        "show", parents=[shared], help="a record as text: recipe, pours, what was not as planned"
    )
    show.add_argument("id", help="its name, as “pourday list” shows it")
    form = show.add_mutually_exclusive_group()
    form.add_argument("--story", action="store_true", help="everything that happened, instead of the recipe")
    form.add_argument("--csv", action="store_true", help="a row a pour, reading or weight, for a spreadsheet")
    form.add_argument("--json", action="store_true", help="the record itself, as its file has it")
    due = commands.add_parser("due", parents=[shared], help="what is due with all candles")
    as_what = due.add_mutually_exclusive_group()
    as_what.add_argument("--json", action="store_true", help="as JSON")
    as_what.add_argument("--ics", action="store_true", help="as a calendar file")
    papers = commands.add_parser(
        "print", parents=[shared], help="a page for the wall, the whole record, or slips for the candles"
    )
    papers.add_argument("id", help="its name, as “pourday list” shows it")
    papers.add_argument("paper", choices=["sheet", "record", "slip"], help="what is to be printed")
    papers.add_argument("--text", action="store_true", help="sheet or slip as plain text, to be read here")
    papers.add_argument(
        "--out", metavar="FILE", help="the HTML file to write; usually ID-sheet.html and so on, here"
    )
    check = commands.add_parser(
        "check", parents=[shared], help="what is wrong with files; repair into new ones"
    )
    check.add_argument("id", nargs="?", help="one session; without it, all of them")
    plan = commands.add_parser("plan", parents=[shared], help="weigh out a plan file")
    plan.add_argument("file", nargs="?", help="a plan as JSON; “pourday schema --plan” describes it")
    plan.add_argument("--from", dest="origin", metavar="ID", help="write out the plan of a session instead")
    how = plan.add_mutually_exclusive_group()
    how.add_argument("--as-planned", action="store_true", help="as it was planned (with --from; usual)")
    how.add_argument("--as-poured", action="store_true", help="as a mould really went (with --from)")
    plan.add_argument("--mould", metavar="LETTER", help="which mould, where several were poured")
    plan.add_argument("--out", metavar="FILE", help="a new file for it; without it, it is printed")
    form = plan.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="as JSON, SI units")
    form.add_argument("--rehearse", action="store_true", help="the whole day worked out ahead, as text")
    curve = commands.add_parser(
        "curve", parents=[shared], help="a cooling curve read: where a wax sets, and what it can be"
    )
    curve.add_argument("file", help="a table of seconds and celsius")
    curve.add_argument("--json", action="store_true", help="as JSON, °C")
    curve.add_argument("--around", metavar="TEMP", help="how warm the room or the bath was, like 21C")
    packs = commands.add_parser(
        "pack", parents=[shared], help="all sessions, memories and settings into one file"
    )
    packs.add_argument("file", help="the archive to write; an earlier one gives way")
    unpacks = commands.add_parser(
        "unpack", parents=[shared], help="merge such a file into what is here; nothing is lost"
    )
    unpacks.add_argument("file", help="the archive to read")
    commands.add_parser("fire", parents=[shared], help="the fire card, and what to do about a burn")
    commands.add_parser("settings", parents=[shared], help="which settings count, and where they are kept")
    schema = commands.add_parser("schema", parents=[shared], help="the JSON Schema of the record")
    schema.add_argument("--plan", action="store_true", help="of a plan file instead")


def _run(arguments: argparse.Namespace) -> int:
    """Do what the command says; the exit status. Imports stand with the commands, so that none waits for what it does not need."""
    if arguments.command == "fire":
        return _fire()
    if arguments.command == "plan":
        if arguments.origin is not None:
            return _plan_from(arguments)
        if arguments.file is None:
            raise Trouble(
                "No plan was named.", instead="Give the path of a plan file, or --from with a session."
            )
        return _plan(Path(arguments.file), arguments.json, arguments.rehearse, arguments.config)
    if arguments.command == "curve":
        return _curve(Path(arguments.file), arguments.json, arguments.around)
    if arguments.command == "schema":
        return _schema(arguments.plan)
    from pourday.store.folders import sessions_folder
    from pourday.store.settings import settings_path

    config = settings_path(arguments.config, os.environ)
    if arguments.command == "settings":
        return _settings(config)
    folder = sessions_folder(arguments.sessions, os.environ)
    match arguments.command:
        case "list":
            return _list(folder)
        case "show":
            return _show(folder, arguments)
        case "due":
            return _due(folder, arguments)
        case "print":
            return _paper(folder, arguments)
        case "check":
            return _check(folder, arguments.id)
        case "pack":
            return _pack(folder, config, Path(arguments.file))
        case "unpack":
            return _unpack(folder, config, Path(arguments.file))
        case "demo":
            return _demo(folder, config, arguments)
        case "resume":
            return _resume(folder, config, arguments.id)
        case _:
            return _open(folder, config)


def _fire() -> int:
    """`pourday fire`: the fire card as text; it needs no folder, no settings and no screen."""
    from pourday.guide.rescue.fire import fire_text

    _print("\n".join(fire_text()))
    return OK


def _list(folder: Path) -> int:
    """`pourday list`: a line for each session."""
    from pourday.store.library import list_sessions
    from pourday.times import local

    with _moving_line() as at:
        rows = list_sessions(folder, at=at)
    for row in rows:
        if row.trouble:
            _print(f"{row.session:<20} cannot be opened: {row.trouble}")
            continue
        last = f"{local(row.last):%Y-%m-%d %H:%M}" if row.last else "-"
        demo = "  demo" if row.demo else ""
        _print(f"{row.session:<20} {row.stage:<9} {last}  {row.title}{demo}")
    if not rows:
        _print("No sessions yet. “pourday” plans one, “pourday demo” shows a whole day.")
    return OK


def _show(folder: Path, arguments: argparse.Namespace) -> int:
    """`pourday show`: a record as text, or as data for another program."""
    from pourday.store.reading import read_session

    stored = read_session(folder, arguments.id)
    if arguments.csv:
        from pourday.reports.spreadsheet import csv_bytes

        _write(csv_bytes(stored.state, stored.entries))
    elif arguments.json:
        from pourday.store.record import record_bytes

        _write(record_bytes(stored.session, stored.entries))
    else:
        from pourday.reports.story import batch_record, story

        told = story if arguments.story else batch_record
        candles = _candles(folder, stored.state)
        _print("\n".join([*told(stored.state, stored.entries), *candles, *stored.remarks]))
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

    from pourday.reports.due_report import due_calendar, due_data, due_in, due_text

    now = time.time()
    rows, remarks = due_in(folder, now)
    if arguments.json:
        _print(json.dumps(due_data(rows, now), indent=2))
    elif arguments.ics:
        _write(due_calendar(rows, now).encode())
    else:
        _print("\n".join(due_text(rows, now)))
    for remark in remarks:
        _complain(remark)
    return TROUBLE if remarks else OK


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
                "The record as text is “pourday show”.", instead="Ask for that, or leave --text out."
            )
        if paper == "sheet":
            lines = sheet_text(wall_sheet(state.fixed_plan or state.plan, stored.session))
        else:
            lines = slip_text(candle_slips(state, candles))
        _print("\n".join(lines))
        return OK
    from pourday.reports.papers import pages

    if paper == "sheet":
        page = pages.sheet_page(state)
    elif paper == "slip":
        page = pages.slip_page(state, candles)
    else:
        page = pages.record_page(state, stored.entries)
    path = Path(arguments.out or f"{stored.session}-{paper}.html")
    _save(path, page.encode("utf-8", "replace"))
    _print(f"Open {path} in a browser and print it.")
    return OK


def _check(folder: Path, session: str | None) -> int:
    """`pourday check`: what is wrong with files; the exit status tells whether anything serious is."""
    from pourday.store.check import check

    with _moving_line() as at:
        findings = list(check(folder, session, at=at))
    for finding in findings:
        saved = f" They are in the session {finding.repaired}; this file stays as it is."
        _print(f"{finding.file}: {finding.says}{saved if finding.repaired else ''}")
    if not findings:
        _print("All is well.")
    return TROUBLE if any(finding.serious for finding in findings) else OK


def _pack(folder: Path, config: Path, target: Path) -> int:
    """`pourday pack`: everything into one archive; the exit status tells whether anything was left out."""
    from pourday.store.pack import pack
    from pourday.text import plain

    with _moving_line() as at:
        packed = pack(folder, config, target, at=at)
    for sentence in packed.left_out:
        _complain(sentence)
    _print(
        f"{packed.files} files are in {plain(str(target), 300)}, {packed.size / 1e6:.2f} MB, and were read back."
    )
    return TROUBLE if packed.left_out else OK


def _unpack(folder: Path, config: Path, source: Path) -> int:
    """`pourday unpack`: an archive merged into what is here, and what became of each file."""
    from pourday.store.unpack import unpack
    from pourday.text import plain

    done = unpack(source, folder, config)
    for name in done.added:
        _print(f"{plain(name, 120)}: new here.")
    for name in done.longer:
        _print(f"{plain(name, 120)}: it was carried on there; now it is here as well.")
    for name, other in done.both:
        _print(
            f"{plain(name, 120)}: it is different here, so both are kept; the one from the file is {plain(other, 120)}."
        )
    if done.there:
        _print(f"Already here: {len(done.there)}.")
    for sentence in done.troubles:
        _complain(sentence)
    return TROUBLE if done.troubles else OK


def _plan(path: Path, as_json: bool, rehearse: bool, config: str | None) -> int:
    """`pourday plan`: a plan file weighed out or rehearsed."""
    import json
    import time

    from pourday.reports.plan_report import plan_data, plan_text, read_plan

    plan = read_plan(path)
    if rehearse:
        from pourday.reports.rehearsal_report import rehearsal_text
        from pourday.session.quiet_hours import PersonsClock
        from pourday.store.settings import load, settings_path

        settings = load(settings_path(config, os.environ)).settings
        persons = PersonsClock(settings.quiet_from, settings.quiet_to)
        _print("\n".join(rehearsal_text(plan, time.time(), persons=persons)))
        return OK
    _print(json.dumps(plan_data(plan), indent=2, allow_nan=False) if as_json else "\n".join(plan_text(plan)))
    return OK


def _plan_from(arguments: argparse.Namespace) -> int:
    """`pourday plan --from`: the plan of a session as a plan file."""
    import msgspec

    from pourday.session.repeat import as_it_went, as_planned, only_mould
    from pourday.store.folders import sessions_folder
    from pourday.store.reading import read_session

    if arguments.file is not None or arguments.json or arguments.rehearse:
        raise Trouble(
            "--from writes a plan out; it takes no plan file, --json or --rehearse.",
            instead="Write the plan with --out FILE, then give that file to “pourday plan”.",
        )
    state = read_session(sessions_folder(arguments.sessions, os.environ), arguments.origin).state
    plan = as_it_went(state, only_mould(state, arguments.mould)) if arguments.as_poured else as_planned(state)
    data = msgspec.json.format(msgspec.json.encode(plan), indent=1) + b"\n"
    if arguments.out is None:
        _write(data)
    else:
        _save(Path(arguments.out), data)
    return OK


def _save(path: Path, data: bytes) -> None:
    """A new file with these bytes. Raises `Trouble` where one stands already, or none can be written."""
    from pourday.store.disk import because
    from pourday.text import plain

    name = f"“{plain(str(path), 200)}”"
    try:
        with path.open("xb") as file:
            file.write(data)
    except FileExistsError:
        raise Trouble(f"There is a file {name} already.", instead="Give the name of a new one.") from None
    except OSError as error:
        raise Trouble(
            f"{name} could not be written.",
            because(error),
            "Give the path of a file in a folder that is there.",
        ) from None


def _curve(path: Path, as_json: bool, around: str | None) -> int:
    """`pourday curve`: a log of cooling wax, read."""
    import json

    from pourday.curve.log import read_log
    from pourday.curve.reading import read_curve
    from pourday.reports.curve_report import curve_data, curve_text
    from pourday.units import read_temperature

    around_c = None if around is None else read_temperature(around, "metric").celsius
    log = read_log(path)
    reading = read_curve(log, around_c)
    text = json.dumps(curve_data(reading), indent=2, allow_nan=False)
    _print(text if as_json else "\n".join(curve_text(log, reading)))
    return OK


def _settings(path: Path) -> int:
    """`pourday settings`: each setting as it counts, then what of the file does not."""
    from pourday.store.settings import load
    from pourday.store.settings_fields import FIELDS
    from pourday.text import plain
    from pourday.tui.settings.controller import complaints
    from pourday.tui.terminal.endings import usual_cells
    from pourday.tui.terminal.keys import BY_ID, keymap, spoken

    loaded, usual = load(path), {"cells": usual_cells(os.environ)}
    shown = plain(str(path), 400)
    _print(shown if os.path.exists(path) else f"{shown} (not there yet: all defaults)")
    for field in FIELDS:
        text = loaded.texts.get(field.name)
        _print(
            f"{field.name:<14} {text or usual.get(field.name, field.default) or '-'}{'' if text is not None else '  (default)'}"
        )
    for name, key in keymap(loaded.settings.keys)[0].own.items():
        _print(f"keys.{name:<9} {spoken(key)}  ({BY_ID[name].short})")
    wrong = complaints(loaded)
    for complaint in wrong:
        _complain(complaint)
    return TROUBLE if wrong else OK


def _schema(of_plan: bool) -> int:
    """`pourday schema`: the JSON Schema of the record, or of a plan file."""
    from pourday.reports.plan_report import plan_schema
    from pourday.store.record import json_schema

    _print((plan_schema() if of_plan else json_schema()).decode())
    return OK


def _demo(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday demo`: a simulated day on the screen, or as text."""
    from pourday.reports.plan_report import read_plan

    plan = read_plan(Path(arguments.plan)) if arguments.plan else None
    if arguments.plain:
        return _plain_demo(folder, plan, arguments)
    if arguments.truth or arguments.late:
        raise Trouble(
            "--truth and --late belong to a day that plays itself without a screen.",
            instead="Add --plain.",
        )
    if arguments.speed is not None and not 1 <= arguments.speed <= 600:
        raise Trouble(f"The demo cannot run at {arguments.speed:g}x.", instead="Give --speed from 1 to 600.")
    _need_terminal()
    from pourday.demo.opening import begin_demo

    live, station = begin_demo(folder, by_hand=arguments.by_hand, speed=arguments.speed, plan=plan)
    from pourday.tui.app import PourdayApp

    return _full_screen(PourdayApp(folder, live, station, config=config))


def _plain_demo(folder: Path, plan: Plan | None, arguments: argparse.Namespace) -> int:
    """`pourday demo --plain`: a day that plays itself and prints what happens."""
    from pourday.demo.day import Day
    from pourday.demo.truth import write_truth
    from pourday.text import plain

    seed, minutes = arguments.seed, arguments.late
    if seed < 0:
        raise Trouble(f"There is no simulated day {seed}.", instead="Give --seed 0, 1, 2 ...")
    if not 0 <= minutes <= MOST_LATE:
        raise Trouble(
            f"Nobody can come {minutes:g} minutes late.", instead=f"Give --late from 0 to {MOST_LATE}."
        )
    day = Day(folder, _print, seed=seed, plan=plan, late=minutes * 60.0)
    day.play()
    where = plain(str(folder), 300)
    _print(f"The record is {day.live.session} in {where}. It is marked as a demo.")
    if arguments.truth:
        write_truth(Path(arguments.truth), day.kitchen)
    return OK


def _resume(folder: Path, config: Path, session: str | None) -> int:
    """`pourday resume`: go on with a session, the newest open one unless it is named."""
    _need_terminal()
    import time

    from pourday.demo.opening import reopen
    from pourday.store.library import open_sessions

    if session is None:
        rows = [row for row in open_sessions(folder) if row.lit or not row.batch]
        if not rows:
            raise Trouble("No session is open.", instead="“pourday” begins one, “pourday list” shows all.")
        session = rows[0].session
    live, station = reopen(folder, session, time.time())
    from pourday.tui.app import PourdayApp

    return _full_screen(PourdayApp(folder, live, station, config=config))


def _open(folder: Path, config: Path) -> int:
    _need_terminal()
    from pourday.tui.app import PourdayApp

    return _full_screen(PourdayApp(folder, config=config))


def _need_terminal() -> None:
    """Raises `Trouble` where there is nothing to draw on, or nobody to type."""
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout)):
        raise Trouble(
            "There is no terminal here to draw on and to type at.",
            instead="Start it in a terminal, or use “pourday demo --plain”, “list” or “show”.",
        )


def _full_screen(app: object) -> int:
    """Run the program at the terminal until it ends; its exit status."""
    from pourday.tui.app import PourdayApp

    assert isinstance(app, PourdayApp)
    app.run()
    return app.return_code or OK
