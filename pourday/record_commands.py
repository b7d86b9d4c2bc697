"""What the commands do with one record, or with the files of the folder as they stand."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.console import OK, TROUBLE, complain, moving_line, save_new, say, write_bytes
from pourday.errors import Trouble
from pourday.language import tr, word

if TYPE_CHECKING:
    from pourday.session.state import State


def show_command(folder: Path, arguments: argparse.Namespace) -> int:
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


def why_command(folder: Path, arguments: argparse.Namespace) -> int:
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


def print_command(folder: Path, arguments: argparse.Namespace) -> int:
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


def check_command(folder: Path, arguments: argparse.Namespace) -> int:
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


def pack_command(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
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


def unpack_command(folder: Path, config: Path, arguments: argparse.Namespace) -> int:
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
