"""Columns of text on a terminal, by the cells that letters take and not by their number."""

from __future__ import annotations


def cells_of(text: str) -> int:
    """How many cells of a terminal a text takes: a wide letter takes two, one that is put over another none."""
    from rich.cells import cell_len  # Only what draws tables needs it.

    return cell_len(text)


def padded(text: str, cells: int) -> str:
    """The text with spaces behind it up to so many cells; whole where it is wider.

    >>> padded("tall", 6) + "|", padded("高い", 6) + "|"
    ('tall  |', '高い  |')
    """
    return text + " " * (cells - cells_of(text))
