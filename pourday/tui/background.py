"""Work beside the event loop: one thread, jobs in the order they were handed in."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

SWITCH = 0.0005
"""Seconds after which a computing thread lets the screen in; Python's usual 5 ms is felt at the keys."""

BREATH = 0.008
"""Seconds a job waits, so that the key that asked for it is painted first."""


class Background:
    """Runs jobs in a thread of its own; `done` is called there after each of them."""

    def __init__(self, done: Callable[[], None]) -> None:
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="heat")
        self._done = done
        sys.setswitchinterval(SWITCH)

    def run(self, job: Callable[[], None]) -> None:
        self._pool.submit(self._whole, job)

    def stop(self) -> None:
        """Forget what has not begun; what is being computed ends by itself."""
        self._pool.shutdown(wait=False, cancel_futures=True)

    def _whole(self, job: Callable[[], None]) -> None:
        time.sleep(BREATH)
        job()
        self._done()
