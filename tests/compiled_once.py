"""The program and its tests compiled once for all processes that run tests; in a fresh clone each would compile them all.

pytest rewrites every assertion as it compiles a test: five seconds of processor time for all of them, and as often as there
are processes.
"""

from __future__ import annotations

import compileall
import os
import tempfile
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import IO

import pytest

TESTS = Path(__file__).parent


def compile_once(config: pytest.Config) -> str:
    """Have compiled what is not, a share of it on each core; why that failed, where it did, and each process does so itself."""
    try:
        with tempfile.TemporaryFile("w+") as complaints:
            failed = _compile(config, complaints)
            complaints.seek(0)
            return complaints.read() or ("A process that compiles was ended." if failed else "")
    except (ImportError, AttributeError, OSError):
        return traceback.format_exc()


def _compile(config: pytest.Config, complaints: IO[str]) -> bool:
    """Whether one of the processes failed; what each of them has to say stands in `complaints`."""
    shares = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    tests = [path for path in sorted(TESTS.rglob("test_*.py")) if not _compiled(path)]
    children = []
    for share in range(shares):
        pid = os.fork()
        if pid == 0:
            _child(config, tests[share::shares], complaints, program=share == 0)
        children.append(pid)
    statuses = [os.waitpid(pid, 0)[1] for pid in children]
    return any(statuses)


def _child(config: pytest.Config, tests: Sequence[Path], complaints: IO[str], *, program: bool) -> None:
    """Of a fork: compile, then end without any of what an end of pytest does."""
    status = 1
    try:
        if program:
            compileall.compile_dir(TESTS.parent / "pourday", quiet=2)
        for path in tests:
            _compile_test(path, config)
        status = 0
    except BaseException:
        traceback.print_exc(file=complaints)
        complaints.flush()
    finally:
        os._exit(status)


def _compile_test(path: Path, config: pytest.Config) -> None:
    """As pytest's own loader does it; there is no public way that does not run the test module as well."""
    from _pytest.assertion import rewrite

    source, code = rewrite._rewrite_test(path, config)
    _place(path).parent.mkdir(parents=True, exist_ok=True)
    rewrite._write_pyc(config.stash[rewrite.assertstate_key], code, source, _place(path))


def _place(path: Path) -> Path:
    """Where pytest looks for the compiled test."""
    from _pytest.assertion import rewrite

    return rewrite.get_cache_dir(path) / (path.name.removesuffix(".py") + rewrite.PYC_TAIL)


def _compiled(path: Path) -> bool:
    """Whether it is there since the test was last changed; pytest itself looks closer."""
    place = _place(path)
    return place.exists() and place.stat().st_mtime > path.stat().st_mtime
