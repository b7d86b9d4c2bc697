"""Draw the README's pictures from casts of the demo: what `pourday demo --record FILE` kept, played again.

`python -m tests.bench.draw_from_cast [FOLDER]`, from the top of a clone. Two casts are recorded into the folder (a new one
under /tmp where none is named; casts that lie there already are taken), one of a day that plays itself, one of a
rehearsal of the same plan; each is played into a terminal emulator, and what stands on the screen at
the moments of `PICTURES` is kept as SVG and PNG. Takes some five minutes.
"""

from __future__ import annotations

import io
import json
import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pyte
from rich.console import Console
from rich.style import Style
from rich.text import Text

from tests.bench.draw_screenshots import LARGE, keep
from tests.tui.conftest import UNKNOWN_TO_PYTE, Kitchen, Terminal

STILL = 0.25
"""Seconds for which nothing more is drawn, so that a picture is whole."""
END, UP, RIGHT = "\x1b[F", "\x1b[A", "\x1b[C"
PATIENCE = 900.0
"""Seconds that a day may take to play."""
AT_TOP_UP = r"› +\d\d:\d\d +TOP UP"
"""The first top-up is the act that a rehearsal stands at."""
PICTURES = {
    "pour": ("day", ("Pour cream at", "left, closes")),
    "candles": ("day", (r"Demould (B when its wall|A and B when their walls)",)),
    "rehearsal": ("rehearsal", ("REHEARSAL", AT_TOP_UP, "paused")),
}
"""Which cast each picture is from, and what stands on the screen at its moment, as patterns, the first time they all do."""
NAMED = {"brown": "yellow", "brightbrown": "bright_yellow"}
"""Colours of which the emulator has another name than the renderer."""


def day(terminal: Terminal) -> None:
    """The demo plays itself to its end."""
    terminal.wait_for("This session is finished", timeout=PATIENCE)


def rehearsal(terminal: Terminal) -> None:
    """The demo's plan, rehearsed act by act up to the first top-up."""
    terminal.wait_for("Weigh sheet")
    terminal.type(END)
    terminal.wait_for("› BEGIN THE DAY")
    terminal.type(UP)
    terminal.wait_for("› REHEARSE")
    terminal.type("\r")
    terminal.wait_for("an estimate; nothing is recorded")
    terminal.wait_for("TOP UP")
    while not re.search(AT_TOP_UP, terminal.text()):
        terminal.type(RIGHT)
        terminal.pump(2 * STILL)
    terminal.pump(4 * STILL)


RECORDED: dict[str, tuple[tuple[str, ...], Callable[[Terminal], None]]] = {
    "day": ((), day),
    "rehearsal": (("--by-hand",), rehearsal),
}
"""Casts by name: the demo's options, and what is typed."""


def record(name: str, cast: Path) -> None:
    """Record one of the casts into a new file."""
    options, typed = RECORDED[name]
    with tempfile.TemporaryDirectory() as temporary:
        folder, home = Path(temporary) / "sessions", Path(temporary) / "home"
        folder.mkdir()
        home.mkdir()
        kitchen = Kitchen(folder, home)
        kitchen.fresh = True
        kitchen.env["COLORTERM"] = "truecolor"
        terminal = kitchen.run("demo", "--record", str(cast), *options, size=LARGE)
        try:
            typed(terminal)
        finally:
            terminal.close()


def played(cast: Path) -> Iterator[pyte.Screen]:
    """The screen of an asciicast (version 2) each time it stands still; the same object, drawn on."""
    head, *lines = [json.loads(row) for row in cast.read_text("utf-8").splitlines()]
    screen = pyte.Screen(head["width"], head["height"])
    stream = pyte.ByteStream(screen)
    for number, (seconds, code, text) in enumerate(lines):
        if code == "r":
            columns, rows = map(int, text.split("x"))
            screen.resize(rows, columns)
        elif code == "o":
            stream.feed(UNKNOWN_TO_PYTE.sub(b"", text.encode()))
        after = lines[number + 1][0] if number + 1 < len(lines) else seconds + 2 * STILL
        if after - seconds > STILL:
            yield screen


def as_svg(screen: pyte.Screen) -> str:
    """What the emulator shows, in its colours."""
    console = Console(
        width=screen.columns, record=True, file=io.StringIO(), color_system="truecolor", force_terminal=True
    )
    for y in range(screen.lines):
        row = Text(no_wrap=True, overflow="crop", end="\n")
        for x in range(screen.columns):
            row.append(screen.buffer[y][x].data, style_of(screen.buffer[y][x]))
        console.print(row, highlight=False)
    return console.export_svg(title="pourday")


def style_of(cell: pyte.screens.Char) -> Style:
    """A cell's colours and weight."""
    ink, ground = (
        None
        if each == "default"
        else f"#{each}"
        if len(each) == 6 and each.isalnum() and each not in NAMED
        else NAMED.get(each, each)
        for each in (cell.fg, cell.bg)
    )
    return Style(color=ink, bgcolor=ground, bold=cell.bold, reverse=cell.reverse, underline=cell.underscore)


def main(folder: Path) -> None:
    """Record what is not there yet, and draw."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in RECORDED:
        if not (cast := folder / f"{name}.cast").exists():
            record(name, cast)
        wanted = {picture: words for picture, (of, words) in PICTURES.items() if of == name}
        drawn: dict[str, str] = {}
        for screen in played(cast):
            text = "\n".join(screen.display)
            for picture, words in wanted.items():
                if picture not in drawn and all(re.search(word, text) for word in words):
                    drawn[picture] = as_svg(screen)
        for picture in wanted:
            keep(picture, drawn[picture], "dark")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else tempfile.mkdtemp(prefix="pourday-casts-")))
