"""What the commands do that read a file of the person: a plan, or the log of a cooling curve."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.console import OK, save_new, say, write_bytes
from pourday.errors import Trouble
from pourday.language import tr

if TYPE_CHECKING:
    from pourday.curve.reading import CurveReading
    from pourday.plan.model import Plan
    from pourday.wax.materials import Wax


def plan_command(arguments: argparse.Namespace) -> int:
    """`pourday plan`: a plan file weighed out or rehearsed, or the plan of a session written out."""
    if arguments.origin is not None:
        return _plan_from(arguments)
    if arguments.file is None:
        raise Trouble(
            tr("No plan was named."), instead=tr("Give the path of a plan file, or --from with a session.")
        )
    import json

    from pourday.reports.plan_report import plan_data, plan_text, read_plan

    plan = read_plan(Path(arguments.file))
    if (arguments.begin or arguments.done) and not arguments.rehearse:
        raise Trouble(
            tr("A time to begin or to be done belongs to a rehearsal."), instead=tr("Add --rehearse.")
        )
    if arguments.rehearse:
        _rehearse(plan, arguments)
        return OK
    as_json = json.dumps(plan_data(plan), indent=2, allow_nan=False) if arguments.json else ""
    say(as_json or "\n".join(plan_text(plan)))
    return OK


def _rehearse(plan: Plan, arguments: argparse.Namespace) -> None:
    """`pourday plan --rehearse`: the day of a plan worked out ahead, from now or for the time that was named."""
    import time

    from pourday.reports.kitchen_days import known_kitchen
    from pourday.reports.rehearsal_report import rehearsal_text
    from pourday.session.quiet_hours import PersonsClock
    from pourday.store.folders import sessions_folder
    from pourday.store.settings import load, settings_path
    from pourday.times import read_clock

    settings = load(settings_path(arguments.config, os.environ)).settings
    persons = PersonsClock(settings.quiet_from, settings.quiet_to)
    now = time.time()
    times = arguments.begin, arguments.done
    begins_at, done_at = (read_clock(text, now) if text else None for text in times)
    kitchen = known_kitchen(sessions_folder(arguments.sessions, os.environ), now)
    said = rehearsal_text(plan, now, persons=persons, begins_at=begins_at, done_at=done_at, kitchen=kitchen)
    say("\n".join(said))


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


def curve_command(arguments: argparse.Namespace) -> int:
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


def schema_command(arguments: argparse.Namespace) -> int:
    """`pourday schema`: the JSON Schema of the record, or of a plan file."""
    from pourday.reports.plan_report import plan_schema
    from pourday.store.record import json_schema

    say((plan_schema() if arguments.plan else json_schema()).decode())
    return OK
