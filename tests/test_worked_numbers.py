"""The worked numbers in docstrings are what the functions give; that these are right is checked beside their sources."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import pourday.forecast
import pourday.wax

MODULES = [
    module.name
    for room in (pourday.forecast, pourday.wax)
    for module in pkgutil.iter_modules(room.__path__, f"{room.__name__}.")
]


@pytest.mark.parametrize("name", MODULES)
def test_worked_numbers(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_some() -> None:
    finder = doctest.DocTestFinder()
    modules = [importlib.import_module(name) for name in MODULES]
    assert sum(len(case.examples) for module in modules for case in finder.find(module)) > 20
