"""The door: exit statuses, and one plain sentence for everything that can go wrong."""

from __future__ import annotations

import io
import signal
import sys
from collections.abc import Callable, Sequence
from typing import NoReturn

from pourday.arguments import command_line
from pourday.commands import run
from pourday.console import OK, TROUBLE, complain, flush
from pourday.errors import Trouble
from pourday.language import tr

Interrupt = Callable[..., object] | int | None


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
            words = sys.argv[1:] if argv is None else argv
            # Who types the bare name does not wait for what all the others take.
            status = run(command_line(commands=bool(words)).parse_args(words))
        finally:
            # Left to the end of Python, a refusal would be met where nobody can answer for it.
            flush()
    except Trouble as trouble:
        complain(tr("pourday: {trouble}", trouble=trouble))
        status = TROUBLE
    except KeyboardInterrupt:
        status = 130
    except BrokenPipeError:
        # The reader of our output went away; that is its business.
        status = OK
    sys.exit(status)
