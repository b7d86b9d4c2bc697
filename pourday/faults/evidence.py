"""One thing that a record tells about a candle: its value and the sentence that says so, or that it was not told.

A thing that does not concern the fault (the seams of a candle of one colour) is left out; one that was not recorded has
an empty value and speaks for no cause and against none.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing about a candle."""

    key: str
    value: str = ""
    """One of the words of `weights.csv`, or another that speaks neither way; empty: not recorded."""
    says: str = ""
    """What the record says, as part of a sentence."""


def told(key: str, value: str, says: str) -> Evidence:
    """Something the record tells: its value, and the sentence that says so."""
    return Evidence(key, value, says)


def untold(*keys: str) -> list[Evidence]:
    """Things that are not on record."""
    return [Evidence(key) for key in keys]
