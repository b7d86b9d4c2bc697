"""Modules are loaded without the hunt for rubbish, which goes on afterwards as it was."""

from __future__ import annotations

import gc
import subprocess
import sys
from typing import get_args

import pytest

from pourday.loading import loading
from pourday.session.stage import Stage
from pourday.session.state import State


def test_the_hunt_goes_on_afterwards_and_passes_over_what_was_loaded() -> None:
    before = gc.get_freeze_count()
    try:
        with loading():
            assert not gc.isenabled()
            many = [[] for _ in range(10_000)]
        assert gc.isenabled()
        assert gc.get_freeze_count() >= before + len(many)
        with pytest.raises(ImportError), loading():
            raise ImportError
        assert gc.isenabled()
        gc.disable()
        with loading():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()
        gc.unfreeze()


def test_a_new_session_is_at_one_of_the_stages() -> None:
    assert State().stage in get_args(Stage)


def test_a_list_out_of_the_index_needs_neither_facts_nor_plans(tmp_path) -> None:
    """They take longer to be loaded than the list to be drawn."""
    code = (
        "import sys; from pathlib import Path; from pourday.store.library import list_known\n"
        "list_known(Path(sys.argv[1]), 32)\n"
        "print([n for n in sys.modules if n in ('pourday.session.events', 'pourday.plan.model', 'pourday.session.fold')])"
    )
    told = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=True
    )
    assert told.stdout.strip() == "[]"
