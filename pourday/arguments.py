"""What the command line takes: the commands, their options, and examples of both."""

from __future__ import annotations

import argparse
import gettext
import shutil
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING, NoReturn

from pourday import __version__
from pourday.console import complain
from pourday.language import DOMAIN, FOLDER, asked_for, tr

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

USAGE = 2
"""The exit status of what was not understood."""

EXAMPLES = tr(
    'examples:\n  pourday                        open the program; what is open or due comes first\n  pourday demo                   watch a whole simulated day\n  pourday demo --by-hand         plan it and pour it yourself, in a simulated kitchen\n  pourday demo --plain           the same day as text, without a screen\n  pourday demo --plan p.json     what would become of a plan of yours\n  pourday list                   every session, open ones first\n  pourday list palm not tested older than spring\n                                 those that have these words\n  pourday compare 2026-11-25 2026-11-18\n                                 where two days differ, or three\n  pourday stock                  what is there of wax, scent, dye and wick\n  pourday stock add wax palm 10 kg lot A12 paid 64\n                                 what came; without “add”, what you counted\n  pourday shopping pillars.json  what to buy for it, in whole packs\n  pourday resume 2026-11-25      carry one on (without a name: the newest that is open)\n  pourday follow                 look on at the stove from another terminal; writes nothing\n  pourday show 2026-11-25        the record as text (--story, --csv, --json)\n  pourday due                    which candles may be burned, weighed or given today\n  pourday why 2026-11-25 B --fault "join split"\n                                 what it came from by the record, and what to change\n  pourday print 2026-11-25 sheet  the page for the wall (or record, or slip), as HTML\n  pourday plan pillars.json      weigh out a plan file\n  pourday plan --from 2026-11-25 --as-poured --mould A --out again.json\n                                 a plan file from a record, to pour it again\n  pourday curve tin.csv          what wax is this? a cooling curve, read\n  pourday check                  look over every file; repair into new ones\n  pourday pack backup.zip        everything into one file, for a backup or another machine\n  pourday unpack backup.zip      merge such a file into what is here\n  pourday kitchen                what your days taught of your kitchen, and how good forecasts were\n  pourday fire                   the fire card, and what to do about a burn\n  pourday settings               which settings count, and what is wrong with their file\n  pourday probes --probe file:/sys/bus/w1/devices/28-0000/w1_slave\n                                 what a probe on a wire sends, without a session\n  read-probe | pourday resume --probe -\n                                 readings from another program; the terminal stays the keyboard\n\nSessions are kept in --sessions DIR, else in $POURDAY_SESSIONS, else in your data folder;\nsettings in --config FILE, else in $POURDAY_CONFIG, else in your folder of settings.\nCompletion: pourday --completion bash (or zsh, fish) prints it; your shell\'s manual says where it goes.\nExit status: 0 well, 1 something to put right, 2 not understood, 128+n ended by signal n.\n'
)


SHELLS = ("bash", "zsh", "fish")
"""Shells that commands and options can be completed in."""


class _Completion(argparse.Action):
    """Prints what a shell needs to complete commands and options, and ends."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        _namespace: argparse.Namespace,
        values: object,
        _option: str | None = None,
    ) -> None:
        import shtab

        for each in _actions(parser):
            if each.metavar in ("FILE", "OUT.json") or each.dest == "file":
                each.complete = shtab.FILE  # type: ignore[attr-defined]
            elif each.metavar == "DIR":
                each.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
        print(shtab.complete(parser, shell=str(values)))
        parser.exit()


def _actions(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """Every argument of a parser and of its commands."""
    for action in parser._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for command in action.choices.values():
                yield from _actions(command)


class _Parser(argparse.ArgumentParser):
    """A parser that complains in the program's own words, and turns the pages of a long help."""

    def print_help(self, file: SupportsWrite[str] | None = None) -> None:
        """The help: in the pager of the terminal (`$PAGER`, else what there is) where it is longer than that is high."""
        text = self.format_help()
        high = shutil.get_terminal_size().lines
        if file is None and sys.stdin.isatty() and sys.stdout.isatty() and text.count("\n") >= high:
            import pydoc

            pydoc.pager(text)
        else:
            super().print_help(file)

    def error(self, message: str) -> NoReturn:
        from pourday.text import plain

        complain(tr("pourday: {message}. “pourday --help” shows what there is.", message=plain(message, 300)))
        sys.exit(USAGE)


if asked_for():
    # So that argparse finds its own words in the same catalogue.
    gettext.bindtextdomain(DOMAIN, str(FOLDER))
    gettext.textdomain(DOMAIN)


def command_line(*, commands: bool = True) -> _Parser:
    """What the command line takes; `--sessions` and `--config` may stand before the command or after it.

    Without `commands` it takes options alone, and is made in a tenth of the time.
    """
    parser = _Parser(
        prog="pourday",
        description=tr("A calm companion for a day of pouring candles, and the days after."),
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "--completion",
        choices=SHELLS,
        action=_Completion,
        help=tr("print what completes commands and options in this shell"),
    )
    parser.add_argument("--version", action="version", version=f"pourday {__version__}")
    parser.add_argument("--sessions", metavar="DIR", help=tr("where sessions are kept"))
    parser.add_argument("--config", metavar="FILE", help=tr("the settings file"))
    _add_probe(parser)
    if not commands:
        parser.set_defaults(command=None)
        return parser
    shared = _Parser(add_help=False)
    shared.add_argument(
        "--sessions", metavar="DIR", default=argparse.SUPPRESS, help=tr("where sessions are kept")
    )
    shared.add_argument("--config", metavar="FILE", default=argparse.SUPPRESS, help=tr("the settings file"))
    _add_commands(parser.add_subparsers(dest="command", metavar="COMMAND"), shared)
    return parser


def _add_probe(parser: argparse.ArgumentParser) -> None:
    """What names a source of readings for one run."""
    parser.add_argument(
        "--probe",
        metavar="SOURCE",
        action="append",
        default=argparse.SUPPRESS,
        help=tr(
            "read a probe: serial:PORT?baud=9600, command:PROGRAM, file:PATH, mqtt://host/topic, or - ; instead of those in the settings"
        ),
    )


def _add_commands(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """The commands, each with what it takes; `shared` is what all of them take."""
    for add in (
        _add_demo,
        _add_shelf,
        _add_materials,
        _add_live,
        _add_records,
        _add_plan,
        _add_curve,
        _add_rest,
    ):
        add(commands, shared)


def _add_demo(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """The demo."""
    demo = commands.add_parser("demo", parents=[shared], help=tr("a whole simulated day"))
    demo.add_argument("--plain", action="store_true", help=tr("as text, without a screen"))
    demo.add_argument("--by-hand", action="store_true", help=tr("plan and pour it yourself"))
    demo.add_argument(
        "--speed",
        type=float,
        metavar="X",
        help=tr("kitchen seconds a second, 1 to 600, evenly; without it waits are shortened"),
    )
    demo.add_argument(
        "--seed", type=int, default=1, metavar="N", help=tr("which simulated day (with --plain)")
    )
    demo.add_argument(
        "--plan", metavar="FILE", help=tr("a plan of your own instead: what would become of it?")
    )
    demo.add_argument(
        "--late",
        type=float,
        default=0.0,
        metavar="MINUTES",
        help=tr("come late to everything (with --plain)"),
    )
    demo.add_argument(
        "--truth", metavar="OUT.json", help=tr("write what only the kitchen knows at the end (with --plain)")
    )
    demo.add_argument(
        "--record", metavar="FILE", help=tr("keep what is shown as an asciinema cast, a new file")
    )


def _add_shelf(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """Days found again, and laid beside each other."""
    shelf = commands.add_parser(
        "list", parents=[shared], help=tr("every session, open ones first; with words, those that have them")
    )
    shelf.add_argument(
        "words",
        nargs="*",
        metavar="WORDS",
        help=tr("like: violet palm, not tested, older than spring, windows missed"),
    )
    as_data = shelf.add_mutually_exclusive_group()
    as_data.add_argument("--json", action="store_true", help=tr("as JSON"))
    as_data.add_argument("--csv", action="store_true", help=tr("a row a session, for a spreadsheet"))
    beside = commands.add_parser(
        "compare", parents=[shared], help=tr("two or three days side by side: where they differ")
    )
    beside.add_argument("ids", nargs="+", metavar="ID", help=tr("their names, as “pourday list” shows them"))
    beside.add_argument("--all", action="store_true", help=tr("what is alike as well"))
    beside.add_argument("--json", action="store_true", help=tr("as JSON"))
    family = commands.add_parser(
        "family", parents=[shared], help=tr("days that were made after each other: changes and outcomes")
    )
    family.add_argument("id", help=tr("one of them, as “pourday list” shows it"))
    family.add_argument("--json", action="store_true", help=tr("as JSON"))


def _add_materials(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """What is there: materials and moulds, and what to buy."""
    stock = commands.add_parser(
        "stock",
        parents=[shared],
        help=tr("wax, scent, dye and wick: what is there; with a line, what came or was counted"),
    )
    stock.add_argument(
        "line",
        nargs="*",
        metavar="LINE",
        help=tr("like: add wax palm 10 kg lot A12 paid 64, or what you counted: scent orange 85 g"),
    )
    stock.add_argument(
        "--cost", metavar="ID", help=tr("what each candle of this session costs, with what was lost")
    )
    stock.add_argument("--json", action="store_true", help=tr("as JSON, SI units"))
    moulds = commands.add_parser(
        "moulds",
        parents=[shared],
        help=tr("what is remembered of each mould; with a line, what you say of one"),
    )
    moulds.add_argument(
        "line", nargs="*", metavar="LINE", help=tr("like: tall sealed putty and tape; tall cleaned")
    )
    moulds.add_argument("--json", action="store_true", help=tr("as JSON, SI units"))
    shop = commands.add_parser("shopping", parents=[shared], help=tr("what to buy for plans, in whole packs"))
    shop.add_argument(
        "plans", nargs="+", metavar="PLAN", help=tr("a plan file, the name of a kept plan, or a session")
    )
    shop.add_argument("--json", action="store_true", help=tr("as JSON, SI units"))


def _add_live(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """A session carried on or looked at, and the probes without one."""
    resume = commands.add_parser("resume", parents=[shared], help=tr("carry a session on"))
    resume.add_argument("id", nargs="?", help=tr("its name; without one, the newest that is open"))
    _add_probe(resume)
    probes = commands.add_parser(
        "probes", parents=[shared], help=tr("what probes on a wire send, without a session")
    )
    _add_probe(probes)
    probes.add_argument("--seconds", type=float, metavar="N", help=tr("for so long; usual: until Ctrl+C"))
    probes.add_argument("--json", action="store_true", help=tr("a JSON object a line"))
    follow = commands.add_parser(
        "follow", parents=[shared], help=tr("look on at a session from another terminal")
    )
    follow.add_argument("id", nargs="?", help=tr("its name; without one, the newest that is open"))
    follow.add_argument(
        "--serve", nargs="?", const="", metavar="ADDRESS", help=tr("show it as a page for a browser: on this machine alone, or at an address of it (192.168.1.5, 192.168.1.5:9000), behind a word that the stove's screen shows")
    )  # fmt: skip


def _add_records(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """What records tell: one, all that is due, why a candle came out so, what was learned."""
    show = commands.add_parser(
        "show", parents=[shared], help=tr("a record as text: recipe, pours, what was not as planned")
    )
    show.add_argument("id", help=tr("its name, as “pourday list” shows it"))
    form = show.add_mutually_exclusive_group()
    form.add_argument(
        "--story", action="store_true", help=tr("everything that happened, instead of the recipe")
    )
    form.add_argument(
        "--csv", action="store_true", help=tr("a row a pour, reading or weight, for a spreadsheet")
    )
    form.add_argument("--json", action="store_true", help=tr("the record itself, as its file has it"))
    due = commands.add_parser("due", parents=[shared], help=tr("what is due with all candles"))
    as_what = due.add_mutually_exclusive_group()
    as_what.add_argument("--json", action="store_true", help=tr("as JSON"))
    as_what.add_argument("--ics", action="store_true", help=tr("as a calendar file"))
    why = commands.add_parser(
        "why", parents=[shared], help=tr("why a candle came out as it did, and the one thing to change")
    )
    why.add_argument("id", help=tr("its session, as “pourday list” shows it"))
    why.add_argument("letter", help=tr("letter of its mould"))
    why.add_argument(
        "--fault",
        metavar="NAME",
        help=tr("what is seen, like “join split”; without it what was said of it, or the list"),
    )
    why.add_argument("--json", action="store_true", help=tr("as JSON"))
    why.add_argument("--out", metavar="FILE", help=tr("a new plan file with the one change in it"))
    kitchen = commands.add_parser(
        "kitchen",
        parents=[shared],
        help=tr("what the days taught of this kitchen, and how good forecasts were"),
    )
    kitchen.add_argument("--json", action="store_true", help=tr("as JSON"))
    choice = kitchen.add_mutually_exclusive_group()
    choice.add_argument("--forget", metavar="ID", help=tr("let this day teach nothing"))
    choice.add_argument("--remember", metavar="ID", help=tr("let a forgotten day teach again"))
    choice.add_argument("--forget-all", action="store_true", help=tr("begin anew: no day until now teaches"))
    choice.add_argument("--use-none", action="store_true", help=tr("use nothing of it, until --use"))
    choice.add_argument("--use", action="store_true", help=tr("use it again"))
    choice.add_argument("--rebuild", action="store_true", help=tr("work all of it out anew from the records"))
    papers = commands.add_parser(
        "print", parents=[shared], help=tr("a page for the wall, the whole record, or slips for the candles")
    )
    papers.add_argument("id", help=tr("its name, as “pourday list” shows it"))
    papers.add_argument("paper", choices=["sheet", "record", "slip"], help=tr("what is to be printed"))
    papers.add_argument(
        "--text", action="store_true", help=tr("sheet or slip as plain text, to be read here")
    )
    papers.add_argument(
        "--out", metavar="FILE", help=tr("the HTML file to write; usually ID-sheet.html and so on, here")
    )
    check = commands.add_parser(
        "check", parents=[shared], help=tr("what is wrong with files; repair into new ones")
    )
    check.add_argument("id", nargs="?", help=tr("one session; without it, all of them"))


def _add_plan(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """A plan file, or the plan of a session."""
    plan = commands.add_parser("plan", parents=[shared], help=tr("weigh out a plan file"))
    plan.add_argument("file", nargs="?", help=tr("a plan as JSON; “pourday schema --plan” describes it"))
    plan.add_argument(
        "--from", dest="origin", metavar="ID", help=tr("write out the plan of a session instead")
    )
    how = plan.add_mutually_exclusive_group()
    how.add_argument("--as-planned", action="store_true", help=tr("as it was planned (with --from; usual)"))
    how.add_argument("--as-poured", action="store_true", help=tr("as a mould really went (with --from)"))
    plan.add_argument("--mould", metavar="LETTER", help=tr("which mould, where several were poured"))
    plan.add_argument("--out", metavar="FILE", help=tr("a new file for it; without it, it is printed"))
    form = plan.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help=tr("as JSON, SI units"))
    form.add_argument("--rehearse", action="store_true", help=tr("the whole day worked out ahead, as text"))
    when = plan.add_mutually_exclusive_group()
    when.add_argument("--begin", metavar="TIME", help=tr("when the rehearsed day begins, like 9:30"))
    when.add_argument("--done", metavar="TIME", help=tr("when it is to be done: begins it in time for that"))


def _add_curve(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """A cooling curve."""
    curve = commands.add_parser(
        "curve", parents=[shared], help=tr("a cooling curve read: where a wax sets, and what it can be")
    )
    curve.add_argument("file", help=tr("a table of seconds and celsius"))
    curve.add_argument("--json", action="store_true", help=tr("as JSON, °C"))
    curve.add_argument("--around", metavar="TEMP", help=tr("how warm the room or the bath was, like 21C"))
    curve.add_argument(
        "--between", nargs=2, metavar="WAX", help=tr("two waxes that it is a blend of: how much of each")
    )
    curve.add_argument(
        "--keep", metavar="NAME", help=tr("keep it as a wax of your own by this name, for plans")
    )


def _add_rest(commands: argparse._SubParsersAction[_Parser], shared: _Parser) -> None:
    """Moving house, and what stands for itself."""
    packs = commands.add_parser(
        "pack", parents=[shared], help=tr("all sessions, memories and settings into one file")
    )
    packs.add_argument("file", help=tr("the archive to write; an earlier one gives way"))
    unpacks = commands.add_parser(
        "unpack", parents=[shared], help=tr("merge such a file into what is here; nothing is lost")
    )
    unpacks.add_argument("file", help=tr("the archive to read"))
    commands.add_parser("fire", parents=[shared], help=tr("the fire card, and what to do about a burn"))
    commands.add_parser(
        "settings", parents=[shared], help=tr("which settings count, and where they are kept")
    )
    schema = commands.add_parser("schema", parents=[shared], help=tr("the JSON Schema of the record"))
    schema.add_argument("--plan", action="store_true", help=tr("of a plan file instead"))
