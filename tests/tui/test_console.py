"""A terminal whose font has no braille: curves are drawn in blocks there unless somebody chose otherwise."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from pourday.store.settings import load, save
from pourday.tui.app import PourdayApp
from pourday.tui.drawing.help_text import PAGES
from pourday.tui.settings.controller import SettingsController
from pourday.tui.terminal.endings import usual_cells


def shown(path: Path) -> str:
    desk = SettingsController(load(path), lambda _: None, lambda _: True, {"cells": usual_cells(os.environ)})
    return next(row.value for row in desk.rows() if row.path == "cells")


@pytest.mark.parametrize(
    ("term", "usual"),
    [("linux", "blocks"), ("linux-16color", "blocks"), ("xterm-256color", "braille"), ("tmux", "braille"), ("", "braille")],
)  # fmt: skip
def test_what_counts_where_nobody_chose_goes_by_the_terminal_and_the_settings_show_it(
    tmp_path, monkeypatch, term, usual
):
    monkeypatch.setenv("TERM", term)
    path = tmp_path / "settings.toml"
    assert PourdayApp(tmp_path, config=path).settings.cells == usual
    assert shown(path) == usual


@pytest.mark.parametrize("chosen", ["braille", "blocks"])
@pytest.mark.parametrize("term", ["linux", "xterm-256color"])
def test_what_a_person_chose_counts_on_every_terminal(tmp_path, monkeypatch, term, chosen):
    monkeypatch.setenv("TERM", term)
    path = tmp_path / "settings.toml"
    save(path, "cells", chosen)
    assert PourdayApp(tmp_path, config=path).settings.cells == chosen
    assert shown(path) == chosen


def test_help_says_why():
    text = " ".join(f"{heading} {said}" for heading, said in PAGES["settings"].parts)
    assert "Braille" in text
    assert "TERM=linux" in text


@pytest.mark.parametrize(("term", "some"), [("linux", False), ("xterm-256color", True)])
def test_no_braille_is_painted_on_a_console_and_some_is_elsewhere(kitchen, term, some):
    kitchen.env["TERM"] = term
    stove = kitchen.at_the_stove()
    stove.type("20\r")
    # The strip is drawn once its reading is in it.
    text = stove.wait_for("20.0 °C filed", "●")
    assert any("\u2801" <= sign <= "\u28ff" for sign in text) is some, text
