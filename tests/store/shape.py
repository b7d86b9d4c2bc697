"""The shape of a record, one line a place, and the versions of it that are frozen.

    python -m tests.store.shape             writes the draft of a version that is not released yet
    python -m tests.store.shape --release   freezes it

A frozen file is never written again: programs out there read that version and no other.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pourday.session.events import SCHEMA
from pourday.store.record import json_schema

FOLDER = Path(__file__).parent / "schemas"
_WORDS = ("title", "description", "$schema")


def frozen(version: int) -> Path:
    return FOLDER / f"version-{version}.txt"


def draft(version: int) -> Path:
    return FOLDER / f"draft-{version}.txt"


def shape(schema: bytes) -> str:
    """What a JSON Schema lets in, as sorted lines: path, limits, whether it has to be there.

    Descriptions and the names of the classes are left out, for they may change without a record
    changing. A part that stands in several places is spelt out in the first and named in the others.
    """
    whole = json.loads(schema)
    return "".join(f"{line}\n" for line in _lines(whole, "", whole.get("$defs", {}), {}))


def _lines(node: dict[str, Any], path: str, parts: dict[str, Any], seen: dict[str, str]) -> Iterator[str]:
    node = dict(node)
    if reference := node.pop("$ref", None):
        first = seen.setdefault(reference, path)
        if first != path:
            yield f"{path}: as {first}"
        else:
            yield from _lines(parts[reference.removeprefix("#/$defs/")], path, parts, seen)
        return
    for word in (*_WORDS, "$defs"):
        node.pop(word, None)
    required = set(node.pop("required", ()))
    properties = node.pop("properties", {})
    items = node.pop("items", None)
    choices = node.pop("anyOf", [])
    kinds = node.pop("discriminator", {}).get("mapping", {})
    if not kinds:
        plain = [choice for choice in choices if "$ref" not in choice]
        node["anyOf"] = sorted(plain, key=lambda choice: json.dumps(choice, sort_keys=True))
        kinds = {str(n): c["$ref"] for n, c in enumerate(choices) if "$ref" in c}
    limits = {key: value for key, value in sorted(node.items()) if value != []}
    yield f"{path or 'record'}: {json.dumps(limits, sort_keys=True)}"
    for name in sorted(properties):
        must = "!" if name in required else ""
        yield from _lines(properties[name], f"{path}.{name}{must}", parts, seen)
    for kind in sorted(kinds):  # each is spelt out here and not inside one that comes earlier
        seen.setdefault(kinds[kind], f"{path}<{kind}>")
    for kind in sorted(kinds):
        yield from _lines({"$ref": kinds[kind]}, f"{path}<{kind}>", parts, seen)
    if isinstance(items, dict):
        yield from _lines(items, f"{path}[]", parts, seen)


def main(arguments: list[str]) -> str:
    """Write what is asked for. Returns a sentence; raises `SystemExit` with one where it may not."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--release", action="store_true", help="freeze the draft")
    release = parser.parse_args(arguments).release
    if frozen(SCHEMA).exists():
        raise SystemExit(
            f"Version {SCHEMA} is frozen: programs that write and read it are in use. "
            f"Raise SCHEMA in session/events.py to {SCHEMA + 1} and write a step in store/migrate.py."
        )
    FOLDER.mkdir(exist_ok=True)
    draft(SCHEMA).write_text(shape(json_schema()), encoding="utf-8")
    if not release:
        return f"{draft(SCHEMA).name} written."
    draft(SCHEMA).rename(frozen(SCHEMA))
    return f"{frozen(SCHEMA).name} frozen; put its hash into FROZEN in test_frozen_schemas.py."


if __name__ == "__main__":
    print(main(sys.argv[1:]))
