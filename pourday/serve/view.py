"""`python -m pourday.serve.view SESSION FOLDER CONFIG`: what looks on behind a browser; the page's own server starts it."""

from __future__ import annotations

import sys
from pathlib import Path

from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp


def main(session: str, folder: str, config: str) -> None:
    """Draw the session until the line is given up. Raises `Trouble` where it cannot be read."""
    live = LiveSession.look_on(Path(folder), session)
    PourdayApp(Path(folder), live, config=Path(config), follows=True, served=True).run()


if __name__ == "__main__":
    main(*sys.argv[1:4])
