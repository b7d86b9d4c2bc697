"""What the commands do that open the program on a screen, or play a day as text."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.console import OK, flush, say
from pourday.errors import Trouble
from pourday.language import tr
from pourday.loading import loading

if TYPE_CHECKING:
    from pourday.plan.model import Plan
    from pourday.probes.source import SourceSpec
    from pourday.store.library import Summary
    from pourday.store.live import LiveSession
    from pourday.tui.terminal.cast import CastFile

MOST_LATE = 240
"""Minutes that the person of a demo may come late to everything."""


def probe_specs(arguments: argparse.Namespace) -> dict[str, SourceSpec] | None:
    """The sources of `--probe`, by name; None where there are none."""
    from pourday.probes.source import read_source

    texts = getattr(arguments, "probe", None) or []
    return {str(number): read_source(text) for number, text in enumerate(texts, 1)} or None


def demo(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday demo`: a simulated day on the screen, or as text."""
    from pourday.reports.plan_report import read_plan

    plan = read_plan(Path(arguments.plan)) if arguments.plan else None
    if arguments.plain:
        if arguments.record:
            raise Trouble(
                tr("--record keeps what the screen shows; --plain has none."), instead=tr("Leave one out.")
            )
        return _plain_demo(folder, plan, arguments)
    if arguments.truth or arguments.late:
        raise Trouble(
            tr("--truth and --late belong to a day that plays itself without a screen."),
            instead=tr("Add --plain."),
        )
    if arguments.speed is not None and not 1 <= arguments.speed <= 600:
        raise Trouble(
            tr("The demo cannot run at {speed:g}x.", speed=arguments.speed),
            instead=tr("Give --speed from 1 to 600."),
        )
    _need_terminal()
    from pourday.demo.opening import begin_demo

    cast = _cast(arguments.record) if arguments.record else None
    live, station = begin_demo(folder, by_hand=arguments.by_hand, speed=arguments.speed, plan=plan)
    with loading():
        from pourday.tui.app import PourdayApp

    return _full_screen(PourdayApp(folder, live, station, config=config, cast=cast))


def _plain_demo(folder: Path, plan: Plan | None, arguments: argparse.Namespace) -> int:
    """`pourday demo --plain`: a day that plays itself and prints what happens."""
    from pourday.demo.day import Day
    from pourday.demo.truth import write_truth
    from pourday.text import plain

    seed, minutes = arguments.seed, arguments.late
    if seed < 0:
        raise Trouble(
            tr("There is no simulated day {seed}.", seed=seed), instead=tr("Give --seed 0, 1, 2 ...")
        )
    if not 0 <= minutes <= MOST_LATE:
        raise Trouble(
            tr("Nobody can come {minutes:g} minutes late.", minutes=minutes),
            instead=tr("Give --late from 0 to {most_late}.", most_late=MOST_LATE),
        )
    day = Day(folder, say, seed=seed, plan=plan, late=minutes * 60.0)
    day.play()
    where = plain(str(folder), 300)
    say(
        tr(
            "The record is {session} in {where}. It is marked as a demo.",
            session=day.live.session,
            where=where,
        )
    )
    if arguments.truth:
        write_truth(Path(arguments.truth), day.kitchen)
    return OK


def resume(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday resume`: go on with a session, the newest open one unless it is named."""
    probes = probe_specs(arguments)
    _keep_terminal(probes)
    _need_terminal()
    import time

    from pourday.demo.opening import reopen
    from pourday.store.library import open_sessions

    session = arguments.id
    if session is None:
        rows = [row for row in open_sessions(folder) if row.lit or not row.batch]
        session = _newest(
            rows, tr("No session is open."), tr("“pourday” begins one, “pourday list” shows all.")
        )
    live, station = reopen(folder, session, time.time())
    with loading():
        from pourday.tui.app import PourdayApp

    return _full_screen(PourdayApp(folder, live, station, config=config, probe_sources=probes))


def follow(folder: Path, config: Path, session: str | None) -> int:
    """`pourday follow`: looks on at a session, the newest open one unless it is named."""
    _need_terminal()
    with loading():
        from pourday.tui.app import PourdayApp

    live = _looked_on(folder, session)
    return _full_screen(PourdayApp(folder, live, config=config, follows=True))


def serve(folder: Path, config: Path, session: str | None, address: str) -> int:
    """`pourday follow --serve`: the same as a page for a browser, until Ctrl+C."""
    from pourday.serve.address import read_address
    from pourday.store.disk import because
    from pourday.store.lock import InUse
    from pourday.store.second_screen import PageOffer

    offered = read_address(address)
    live = _looked_on(folder, session)
    try:
        from pourday.serve.invitation import Invitation
        from pourday.serve.server import PageServer, view_words
    except ImportError:
        raise Trouble(
            tr("A page for a browser needs a part that is not installed."),
            instead=tr("Install it with: pip install 'pourday[serve]'."),
        ) from None
    try:
        offer = PageOffer.take(folder, live.session)
    except InUse:
        raise Trouble(
            tr("A page of {session} is offered already.", session=live.session),
            instead=tr("Its address stands at the stove."),
        ) from None
    except OSError as error:
        raise Trouble(tr("The stove's screen cannot show the address of the page."), because(error)) from None

    def tell(shown: str) -> None:
        offer.say(shown)
        # Whoever sits at this terminal may know the word; a file that this is written into may not.
        if sys.stdout is not None and sys.stdout.isatty():
            say(tr("The next browser comes in at {shown}", shown=shown))
            flush()

    try:
        whole = view_words(live.session, str(folder.absolute()), str(config.absolute()))
        say(
            tr(
                "{session} can be looked on at {shown}; nothing that is typed there reaches it.",
                session=live.session,
                shown=offered.shown,
            )
        )
        say(tr("A browser comes in with the word that stands at the stove. Ctrl+C ends it."))
        flush()
        PageServer(offered, Invitation(), whole, tell).run()
    except OSError as error:
        raise Trouble(
            tr("Nothing can be offered at {shown}.", shown=offered.shown),
            because(error),
            tr("Name another address or port."),
        ) from None
    finally:
        offer.release()
    return OK


def _looked_on(folder: Path, session: str | None) -> LiveSession:
    """The session to look on at, the newest open one unless it is named. Raises `Trouble`."""
    from pourday.store.library import open_sessions
    from pourday.store.live import LiveSession

    if session is None:
        rows = [row for row in open_sessions(folder) if not row.batch and row.stage != "heap"]
        session = _newest(rows, tr("No session is open to look on at."), tr("“pourday list” shows all."))
    live = LiveSession.look_on(folder, session)
    if live.state.batch:
        raise Trouble(tr("That is a record of candles."), instead=tr("Name the day they come from."))
    if live.state.heap is not None:
        raise Trouble(
            tr("No candle is poured in that session: it is a run with unknown wax."),
            instead=tr("“pourday resume” opens it."),
        )
    return live


def _newest(rows: list[Summary], none: str, instead: str) -> str:
    """The name of the first of these sessions. Raises `Trouble` with what to say where there is none."""
    if not rows:
        raise Trouble(none, instead=instead)
    return rows[0].session


def _cast(path: str) -> CastFile:
    """A new cast of this program. Raises `Trouble` where no file can be begun."""
    import time

    from pourday.tui.terminal.cast import CastFile

    return CastFile(Path(path), time.monotonic, time.time(), os.environ.get("TERM", ""))


def open_program(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
    """`pourday`: the first screen."""
    probes = probe_specs(arguments)
    _keep_terminal(probes)
    _need_terminal()
    with loading():
        from pourday.tui.app import PourdayApp

    return _full_screen(PourdayApp(folder, config=config, probe_sources=probes))


def _keep_terminal(probes: dict[str, SourceSpec] | None) -> None:
    """Where a probe is read from standard input, the terminal stays the keyboard. Raises `Trouble` where there is none."""
    if any(spec.target == "-" for spec in (probes or {}).values()):
        from pourday.probes.standard_input import keep_terminal

        keep_terminal()


def _need_terminal() -> None:
    """Raises `Trouble` where there is nothing to draw on, or nobody to type."""
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout)):
        raise Trouble(
            tr("There is no terminal here to draw on and to type at."),
            instead=tr("Start it in a terminal, or use “pourday demo --plain”, “list” or “show”."),
        )


def _full_screen(app: object) -> int:
    """Run the program at the terminal until it ends; its exit status."""
    from pourday.tui.app import PourdayApp

    assert isinstance(app, PourdayApp)
    app.run()
    return app.return_code or OK
