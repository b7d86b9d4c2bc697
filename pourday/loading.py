"""How the program is loaded: without the hunt for rubbish that Python makes every few hundred objects."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def loading() -> Iterator[None]:
    """Import inside it: modules make a hundred thousand objects that stay, and looking through them all again and again
    takes a tenth of the time to the first screen (tests/bench/test_first_paint.py). They are not looked through later.
    """
    hunts = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if hunts:
            gc.enable()
