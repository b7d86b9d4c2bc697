"""The program in a language that nobody speaks (`tests.accented`), in a process of its own: what its screens show, what a day does.

`python -m tests.another_language screens` prints each word on the screens that is plain English, with where it stands;
`day` prints what is put on record of a day that plays itself, in English again; `day english` the same without the language.
"""

from __future__ import annotations

import asyncio
import json
import re
import sys
import tempfile
from pathlib import Path

from tests import accented

if "english" not in sys.argv:
    accented.speak()

PAGES: dict[str, tuple[tuple[str, ...], ...]] = {
    "home": ((), ("f1",), ("n",)),
    "shelf": ((), ("down", "t"), ("f",)),
    "setup": ((), ("tab",), ("tab", "tab"), ("tab", "tab", "tab"), ("slash",), ("end",)),
    "stove": ((), ("l",), ("o",), ("r",), ("slash",), ("w",), ("m",), ("t",), ("n",), ("s",)),
    "follow": ((),),
    "rehearsal": (("slash",),),
    "review": ((), ("p",), ("t",)),
    "burn": ((), ("b",), ("d",), ("f", "space")),
    "faults": ((), ("1", "space"), ("slash",)),
    "heap": ((), ("1", "space"), ("slash",)),
    "stock": ((), ("a",)),
    "kitchen": ((), ("slash",)),
    "settings": ((), ("end",), ("slash",)),
}
"""Keys that lead to each page, by the screens of tests/tui/test_pointer.py."""
THEIRS = {"rust", "cream", "tall", "short", "pillars", "min", "tmp", "toml", "dev"}
"""Words of the plan's own, units, and parts of paths and versions."""
SOURCE = re.compile(r"S-[A-Z0-9]+: .*")
"""What a figure is taken from, by its own title."""
DATES = re.compile(
    "(?:Mon|Tues?|Wednes|Thurs?|Fri|Satur|Sun)(?:day)?|(?:Jan|Febr)(?:uary)?|Mar(?:ch)?|Apr(?:il)?|May|June?|July?|Aug(?:ust)?"
    "|Sep(?:tember)?|Oct(?:ober)?|(?:Nov|Dec)(?:ember)?|Feb|Wed|Thu|Sat|Tue"
)


async def screens() -> dict[str, str]:
    """Each plain word of three letters and more, with the page and the row where it stands first."""
    from pourday.tui.app import PourdayApp
    from pourday.tui.terminal.keys import character_of
    from tests.tui.conftest import Quiet
    from tests.tui.test_pointer import opened

    plain: dict[str, str] = {}
    for which, pages in PAGES.items():
        for keys in pages:
            with tempfile.TemporaryDirectory() as temporary:
                folder = Path(temporary)
                app = PourdayApp(folder, config=folder / "settings.toml")
                app._worker = Quiet()  # type: ignore[assignment]
                async with app.run_test(size=(120, 40)) as pilot:
                    await opened(app, folder, which)
                    await pilot.pause()
                    for key in keys:
                        app.screen._act_on(key, character_of(key))  # type: ignore[attr-defined]
                    await pilot.pause()
                    shown = app.screen.canvas.plain().replace(f"{folder}/settings.toml", "")  # type: ignore[attr-defined]
            for row in SOURCE.sub("", shown).split("\n"):
                for word in re.findall(r"[^\W\d_]{3,}", row):
                    if (
                        word.isascii()
                        and not word.isupper()
                        and word not in THEIRS
                        and not DATES.fullmatch(word)
                    ):
                        plain.setdefault(word, f"{which} {' '.join(keys)}: {row.strip()}")
    return plain


def day() -> list[str]:
    """What a day that plays itself puts on record."""
    import msgspec

    from pourday.demo.day import Day

    with tempfile.TemporaryDirectory() as temporary:
        played = Day(Path(temporary), lambda _: None, seed=1)
        played.play()
        return [
            f"{entry.t:.0f} {entry.by} {accented.plain(msgspec.json.encode(entry.fact).decode())}"
            for entry in played.live.entries
        ]


if __name__ == "__main__":
    print(json.dumps(asyncio.run(screens()) if sys.argv[1] == "screens" else day()))
