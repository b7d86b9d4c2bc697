"""The worked numbers in docstrings are what the functions give; that these are right is checked beside their sources."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

import pourday

ROOT = Path(pourday.__file__).parent
MODULES = [
    ".".join(("pourday", *path.relative_to(ROOT).with_suffix("").parts))
    for path in sorted(ROOT.rglob("*.py"))
    if ">>> " in path.read_text(encoding="utf-8")
]


@pytest.mark.parametrize("name", MODULES)
def test_worked_numbers(name: str) -> None:
    results = doctest.testmod(importlib.import_module(name))
    assert results.attempted > 0
    assert results.failed == 0


def test_forecasts_and_waxes_have_them() -> None:
    assert {"pourday.forecast.mould", "pourday.forecast.coefficients", "pourday.wax.blend"} <= set(MODULES)
