"""The catalogues of the languages: what there is to say, put beside what each language says.

`python -m tests.languages` brings every catalogue up to what the code says now: new messages come in untranslated, gone
ones go, and what is whole is compiled. A new language is a folder under pourday/languages with an empty
`LC_MESSAGES/pourday.po` in it, and no code. Babel's own commands find the same messages through `code` and `table`
(`[tool.babel]` in pyproject.toml).
"""

from __future__ import annotations

import ast
import csv
import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from string import Formatter
from typing import Any

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

import pourday

ROOT = Path(pourday.__file__).parent
LANGUAGES = ROOT / "languages"
WORDS_OF = (
    "session/events.py", "plan/model.py", "plan/pour_order.py", "wax/working_heat.py", "faults/table.py", "burn/due.py",
    "burn/looks.py", "probes/offset.py", "probes/doubt.py", "stock/lot.py", "session/state.py", "session/stage.py", "store/gap.py",
    "forecast/remelt.py", "plan/finding.py", "guide/outlook/looks.py", "plan/replan.py", "guide/acts/act.py",
    "tui/drawing/cells.py", "reports/forecast_check.py", "reports/papers/to_file.py", "guide/outlook/mould_now.py", "plan/wick.py",
)  # fmt: skip
"""Modules whose words of data (the members of their Literal types) are shown by `word`."""
SAID = {
    "settings": ("metric", "us", "on", "off", "auto", "dark", "light", "mono", "none", "osc9", "osc777"),
    "form": ("form", "yes", "no", "open", "done", "waived", "weigh sheet", "findings", "where figures come from"),
    "sheet": (
        "plug", "layer", "top-up", "wax", "scent", "dye", "draw", "holds", "then", "over", "cost", "into jugs", "stays",
        "bath", "figures", "candle", "wick", "cut to", "load", "pours", "heat to", "weigh", "reserve",
    ),
    "keys": ("Space", "Up", "Down", "Left", "Right", "Delete", "Backspace", "Home", "End", "PgUp", "PgDn"),
    "confidence": ("supplier's sheet", "cooling curve", "words", "nobody knows"),
    "colours": ("white", "ivory", "cream", "sand", "yellow", "orange", "rust", "red", "rose", "plum", "violet", "blue", "teal",
        "sage", "green", "brown", "grey", "black", "dark", "deep", "mid", "light", "pale"),
    "shelf": ("done", "open", "demo", "as planned", "good", "none", "faultless", "tested", "burned", "no fault seen",
        "poured off its temperature", "ceiling passed", "window missed", "weight off", "hollow not filled", "alarm unanswered",
        "nobody watched", "clock changed", "doubtful reading", "left out", "wrong colour", "wax lost", "rescue", "leak"),
    "why": ("colour seen", "cured", "the pot is weighed and loaded", "mistyped", "pressed by mistake", "it was not so"),
    "acts": ("add wax", "alarm", "back", "burner?", "cure", "decide plug", "decide short", "decide", "demould", "drop", "end", "finish",
        "heat low", "heat off", "heat on", "how", "jug", "load pot", "look under", "look", "melt again", "melt jug", "pour", "read",
        "relief", "timer soon", "timer", "top-up", "wait", "warm", "water", "pot", "burner"),
    "defects": ("pits or bubbles", "cracks", "layers apart", "colour bled", "seam split", "smeared seam", "layers separate", "cavern",
        "hidden cavern", "wet spots", "chatter lines", "jump lines", "sweating", "sink after top-up", "guttering", "wick drowns"),
    "places": ("weight", "surface", "thermometer", "scale", "pot", "burner", "made by"),
}  # fmt: skip
"""Further words of data that `word` says, by where they come from."""
ARGPARSE = (
    "usage: ", "positional arguments", "options", "show this help message and exit", "show program's version number and exit",
    "the following arguments are required: %s", "unrecognized arguments: %s", "invalid choice: %(value)r (choose from %(choices)s)",
    "expected one argument", "expected at least one argument", "invalid %(type)s value: %(value)r", "not allowed with argument %s",
    "argument %(argument_name)s: %(message)s", "one of the arguments %s is required", "ambiguous option: %(option)s could match %(matches)s",
)  # fmt: skip
"""What the library that reads the command line says by itself, looked up in the same catalogue."""
TABLES = {
    "faults/faults.csv": (("fault",), ("looks", "confused_with", "caution")),
    "faults/causes.csv": ((), ("says", "change")),
    "faults/evidence.csv": ((), ("untold", "note")),
    "wax/waxes.csv": ((), ("family_name",)),
}
"""Columns of the tables that are shown: words of data, and texts."""

Found = tuple[int, str | None, str | tuple[str, ...], list[str]]
"""(line, function, its texts, comments), as Babel takes them from an extraction method."""


def code(fileobj: Any, _keywords: object, _tags: object, _options: object) -> Iterator[Found]:
    """Babel's extraction method for a module: everything that goes through the door of `pourday.language`."""
    text = fileobj.read().decode("utf-8")
    name = str(getattr(fileobj, "name", ""))
    yield from _of_module(ast.parse(text), any(name.endswith(each) for each in WORDS_OF))


def table(fileobj: Any, _keywords: object, _tags: object, _options: object) -> Iterator[Found]:
    """Babel's extraction method for a table of texts."""
    name = "/".join(Path(str(getattr(fileobj, "name", ""))).parts[-2:])
    yield from _of_table(fileobj.read().decode("utf-8"), name)


def _of_module(tree: ast.Module, has_words: bool) -> Iterator[Found]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield from _of_call(node)
        if has_words and isinstance(node, ast.Subscript) and ast.unparse(node.value) == "Literal":
            for member in ast.walk(node.slice):
                if isinstance(member, ast.Constant) and re.search("[a-z]{2}", str(member.value)):
                    yield node.lineno, "pgettext", ("word", str(member.value)), []


def _of_call(node: ast.Call) -> Iterator[Found]:
    """What one call says."""
    called = ast.unparse(node.func)
    texts = [
        each.value for each in node.args if isinstance(each, ast.Constant) and isinstance(each.value, str)
    ]
    match called:
        case "tr" if texts and texts[0]:
            yield node.lineno, "gettext", texts[0], []
        case "ntr" if len(texts) >= 2:
            yield node.lineno, "ngettext", (texts[0], texts[1]), []
        case "dated" if texts:
            yield node.lineno, "pgettext", ("date", texts[0]), []
        case "word" if texts:
            yield node.lineno, "pgettext", ("word", texts[0]), []
        case "_in_context" if len(texts) == 2:
            yield node.lineno, "pgettext", (texts[0], texts[1]), []
        case "typed_words":
            for text in texts:
                yield node.lineno, "pgettext", ("typed", text), []
        case "chosen":
            for text in texts:
                yield node.lineno, "pgettext", ("word", text), []
        case "Card" | "self._option" if node.args and isinstance(node.args[0], ast.Constant):
            # What a rescue card and a way out are called on record.
            yield node.lineno, "pgettext", ("word", texts[0]), []
        case _ if called.startswith("ev."):
            for each in [*node.args, *(k.value for k in node.keywords)]:
                yield from _of_fact(each)


def _of_fact(node: ast.expr) -> Iterator[Found]:
    """The words that stand as they are in what goes on record."""
    if isinstance(node, ast.IfExp | ast.BoolOp):
        for each in ast.iter_child_nodes(node):
            yield from _of_fact(each) if isinstance(each, ast.expr) else ()
    elif isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value.strip():
        yield node.lineno, "pgettext", ("word", node.value), []


def _of_table(text: str, name: str) -> Iterator[Found]:
    words, texts = TABLES.get(name, ((), ()))
    for at, row in enumerate(csv.DictReader(io.StringIO(text)), 2):
        for column in words:
            yield at, "pgettext", ("word", row[column]), []
        for column in texts:
            if row[column]:
                yield at, "gettext", row[column], []


def _of_template(text: str) -> Iterator[Found]:
    for found in re.finditer(r'tr\("((?:[^"\\]|\\.)*)"', text):
        yield text.count("\n", 0, found.start()) + 1, "gettext", found[1], []


def template() -> Catalog:
    """Every message there is, in the order of the files."""
    catalog = Catalog(project="pourday", charset="utf-8", fuzzy=False)

    def add(where: str, messages: Iterator[Found]) -> None:
        for at, function, texts, _ in sorted(messages, key=lambda each: each[0]):
            context = texts[0] if function == "pgettext" else None
            catalog.add(
                texts[1] if function == "pgettext" else texts, context=context, locations=[(where, at)]
            )

    for path in sorted(ROOT.rglob("*.py")):
        rel = path.relative_to(ROOT).as_posix()
        add(f"pourday/{rel}", _of_module(ast.parse(path.read_text(encoding="utf-8")), rel in WORDS_OF))
    for rel in TABLES:
        add(f"pourday/{rel}", _of_table((ROOT / rel).read_text(encoding="utf-8"), rel))
    for path in sorted(ROOT.rglob("*.html")):
        add(f"pourday/{path.relative_to(ROOT).as_posix()}", _of_template(path.read_text(encoding="utf-8")))
    add("argparse", iter([(1, "gettext", each, []) for each in ARGPARSE]))
    for where, words in SAID.items():
        add(f"tests/languages.py:{where}", iter([(1, "pgettext", ("word", each), []) for each in words]))
    return catalog


def places(text: str) -> set[str]:
    """The `{places}` of a message, without how they are written."""
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


def path_of(language: str) -> Path:
    """Where the catalogue of a language is."""
    return LANGUAGES / language / "LC_MESSAGES" / "pourday.po"


def catalogue(language: str) -> Catalog:
    """A language's catalogue as it stands."""
    with path_of(language).open("rb") as file:
        return read_po(file, locale=language, domain="pourday")


def updated(language: str, before: Catalog) -> Catalog:
    """The catalogue with every message there is now, in their order; what was translated stays."""
    fresh = Catalog(
        locale=language,
        project="pourday",
        domain="pourday",
        charset="utf-8",
        fuzzy=False,
        header_comment="# pourday",
    )
    for message in template():
        if not message.id:
            continue
        known = before.get(
            message.id if isinstance(message.id, str) else message.id[0], context=message.context
        )
        before_it = known.string if known is not None and not known.fuzzy else None
        fresh.add(
            message.id,
            before_it,
            context=message.context,
            locations=[(where, None) for where, _ in message.locations],
        )
    return fresh


def save(language: str, catalog: Catalog) -> None:
    """Write a catalogue and what is compiled of it, the same bytes for the same messages."""
    path = path_of(language)
    path.parent.mkdir(parents=True, exist_ok=True)
    out = io.BytesIO()
    write_po(out, catalog, width=0, omit_header=False, include_lineno=False)
    text = re.sub(
        r'"(POT-Creation-Date|PO-Revision-Date|Generated-By|Last-Translator|Language-Team|Report-Msgid-Bugs-To): [^\n]*\n',
        "",
        out.getvalue().decode(),
    )
    path.write_text(text, encoding="utf-8")
    compiled = io.BytesIO()
    write_mo(compiled, catalogue(language))
    path.with_suffix(".mo").write_bytes(compiled.getvalue())


def said(message: Message) -> bool:
    """Whether a message of a catalogue is translated, in every number it has."""
    texts = [message.string] if isinstance(message.string, str) else message.string or [""]
    return all(texts) and not message.fuzzy


def languages() -> list[str]:
    """Every language there is a catalogue of."""
    return sorted(path.parts[-3] for path in LANGUAGES.glob("*/LC_MESSAGES/pourday.po"))


if __name__ == "__main__":
    for each in languages():
        fresh = updated(each, catalogue(each))
        save(each, fresh)
        left = [message for message in fresh if message.id and not said(message)]
        print(f"{each}: {len(fresh)} messages, {len(left)} untranslated")
        for message in left[:20]:
            print("  ", message.id)
    sys.exit(0)
