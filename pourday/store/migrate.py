"""Older records, made readable: one pure function for each step of the schema.

When `SCHEMA` is raised from n to n + 1, write the function that turns the plain data of one entry
of version n into that of version n + 1, put it under n in `STEPS`, and freeze a file of version n
under tests/store/samples before anything else.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pourday.session.events import SCHEMA

Step = Callable[[dict[str, Any]], dict[str, Any]]


def _vessels_kept_nothing(entry: dict[str, Any]) -> dict[str, Any]:
    """Version 2 knows what each vessel keeps. Before it, all that was lost was a share of the wax."""
    fact = entry.get("fact")
    if not isinstance(fact, dict):
        return entry
    if isinstance(fact.get("plan"), dict):
        fact = {**fact, "plan": {"loss": 0.05, "vessel_keeps": 0.0, **fact["plan"]}}
    return {**entry, "fact": _vessels_kept_nothing(fact)}


def _nothing_to_change(entry: dict[str, Any]) -> dict[str, Any]:
    """Version 3 has facts and fields that version 2 knows nothing of, each of which may be missing."""
    return entry


STEPS: Mapping[int, Step] = {1: _vessels_kept_nothing, 2: _nothing_to_change}


def migrated(entry: Any, schema: int, *, steps: Mapping[int, Step] = STEPS, to: int = SCHEMA) -> Any:
    """The plain data of an entry of version `schema`, as version `to` writes it.

    What is not an object is handed on as it is: the decoder that comes next says what is wrong.
    """
    if isinstance(entry, dict):
        for version in range(schema, to):
            entry = steps[version](entry)
    return entry
