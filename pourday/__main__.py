"""`pourday` and `python -m pourday`: the step before the door.

Until the program is loaded there is nothing to put in order, so Ctrl+C simply ends it, as the system does: a
traceback out of half-loaded modules would tell nobody anything.
"""

from __future__ import annotations

import signal
from typing import NoReturn


def main() -> NoReturn:
    """Load the program and run it."""
    handler = signal.getsignal(signal.SIGINT)
    # Where it is ignored, as in the background of a shell, it stays ignored.
    if handler is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    from pourday.loading import loading

    with loading():
        from pourday.cli import main as run

    run(interrupt=handler)


if __name__ == "__main__":
    main()
