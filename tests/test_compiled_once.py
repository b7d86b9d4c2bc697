"""What is compiled beforehand lies where pytest looks for it, and where that fails the reason is told and nothing else breaks."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests import compiled_once


@pytest.fixture
def few(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Tests of which there is one, and a program that is compiled already."""
    (tmp_path / "tests").mkdir()
    path = tmp_path / "tests" / "test_one.py"
    path.write_text("def test_one():\n    assert 1 == 1\n")
    monkeypatch.setattr(compiled_once, "TESTS", path.parent)
    return path


def test_a_test_is_compiled_into_folders_that_are_not_there_yet(few, monkeypatch, pytestconfig):
    monkeypatch.setattr(sys, "pycache_prefix", str(few.parent / "not" / "yet"))
    assert compiled_once.compile_once(pytestconfig) == ""
    assert compiled_once._compiled(few)


@pytest.mark.skipif(sys.dont_write_bytecode, reason="nothing is compiled to files")
def test_pytest_itself_keeps_this_very_file_where_it_is_looked_for():
    assert compiled_once._compiled(Path(__file__))


@pytest.mark.usefixtures("few")
@pytest.mark.parametrize("name", ["_compile_test", "_place"])
def test_where_pytest_has_changed_the_reason_is_told_and_the_tests_go_on(name, monkeypatch, pytestconfig):
    def changed(*_):
        raise AttributeError("no such name in pytest any more")

    monkeypatch.setattr(compiled_once, name, changed)
    told = compiled_once.compile_once(pytestconfig)
    assert "Traceback" in told
    assert "no such name in pytest any more" in told
