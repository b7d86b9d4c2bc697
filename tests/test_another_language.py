"""In another language nothing that a person reads stays English, and nothing is decided otherwise."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest

pytestmark = pytest.mark.slow


def said(*arguments: str) -> Any:
    """What `tests.another_language` prints, in a process that has imported nothing before."""
    run = [sys.executable, "-m", "tests.another_language", *arguments]
    return json.loads(subprocess.run(run, capture_output=True, text=True, check=True).stdout)


def test_no_word_on_any_screen_stays_english() -> None:
    assert said("screens") == {}


def test_a_whole_day_goes_the_same_way() -> None:
    assert said("day") == said("day", "english")
