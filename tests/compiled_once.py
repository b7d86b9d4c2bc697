"""The program and its tests compiled once for all processes that run tests; in a fresh clone each would compile them all.

pytest rewrites every assertion as it compiles a test: five seconds of processor time for all of them, and as often as there
are processes.
"""

from __future__ import annotations

import compileall
import os
from collections.abc import Sequence
from pathlib import Path

import pytest
from _pytest.assertion import rewrite

TESTS = Path(__file__).parent


def compile_once(config: pytest.Config) -> None:
    """Have compiled what is not, a share of it on each core; where that fails it is said, and each process does so itself."""
    shares = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    tests = [path for path in sorted(TESTS.rglob("test_*.py")) if not _compiled(path)]
    children = []
    for share in range(shares):
        pid = os.fork()
        if pid == 0:
            _child(config, tests[share::shares], program=share == 0)
        children.append(pid)
    failed = [status for pid in children if (status := os.waitpid(pid, 0)[1])]
    if failed:
        print("The tests could not be compiled beforehand: look at tests/compiled_once.py.")


def _child(config: pytest.Config, tests: Sequence[Path], *, program: bool) -> None:
    """Of a fork: compile, then end without any of what an end of pytest does."""
    status = 1
    try:
        if program:
            compileall.compile_dir(TESTS.parent / "pourday", quiet=2)
        for path in tests:
            # As pytest's own loader does it; there is no public way that does not run the test module as well.
            source, code = rewrite._rewrite_test(path, config)
            _place(path).parent.mkdir(exist_ok=True)
            rewrite._write_pyc(config.stash[rewrite.assertstate_key], code, source, _place(path))
        status = 0
    finally:
        os._exit(status)


def _place(path: Path) -> Path:
    """Where pytest looks for the compiled test."""
    return rewrite.get_cache_dir(path) / (path.name.removesuffix(".py") + rewrite.PYC_TAIL)


def _compiled(path: Path) -> bool:
    """Whether it is there since the test was last changed; pytest itself looks closer."""
    place = _place(path)
    return place.exists() and place.stat().st_mtime > path.stat().st_mtime
