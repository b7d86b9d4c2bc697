"""The shape of the project as its imports show it: which part may know which, and what is loaded when."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path

import pytest

import pourday

ROOT = Path(pourday.__file__).parent
LEVELS = [
    {"cli"},
    {"arguments", "commands"},
    {"screen_commands", "shelf_commands", "stock_commands", "plan_commands", "record_commands"},
    {"console"},
    {"serve"},
    {"tui"},
    {"demo", "shelf"},
    {"kitchen", "reports"},
    {"faults"},
    {"guide", "burn", "heap"},
    {"store"},
    {"probes", "stock", "moulds"},
    {"session"},
    {"learning"},
    {"forecast"},
    {"plan"},
    {"curve"},
    {"wax"},
]
"""From the door down: each part imports only from parts below it."""
ROOMS = {
    "guide": [{"advice"}, {"ahead", "rescue"}, {"acts"}, {"outlook"}],
    "tui": [
        {"app"},
        {
            "home",
            "review",
            "settings",
            "setup",
            "stock",
            "moulds",
            "stove",
            "rehearse",
            "burn",
            "faults",
            "heap",
            "kitchen",
        },
        {"live_screen", "line_list"},
        {"live_controller"},
        {"base", "printing", "filing"},
        {"program"},
        {"drawing", "worker", "probe_reader", "form_typing"},
        {"terminal"},
    ],
}
"""The rooms of the two big parts, from the door down: a room imports only from rooms on floors below its own."""
RANK = {part: level for level, parts in enumerate(LEVELS) for part in parts}
COMMON = {"units", "errors", "text", "times", "named_files", "language", "columns", "loading"}
"""Importable by all; of the project they import nothing but the errors and the language."""
DOOR = {"tui", "serve", "cli", "commands", "console", "screen_commands", "plan_commands"}
"""What may read a clock: the screens, and the commands of the shell."""
SCREEN = {"tui", "serve", "cli", "commands", "screen_commands", "__main__"}


def modules() -> list[Path]:
    return sorted(ROOT.rglob("*.py"))


def name_of(path: Path) -> str:
    parts = ("pourday", *path.relative_to(ROOT).with_suffix("").parts)
    return ".".join(part for part in parts if part != "__init__")


@dataclass(frozen=True)
class Source:
    """What these tests ask of a file, which is parsed once for all of them."""

    imports: tuple[ast.Import | ast.ImportFrom, ...]
    """Every import, inside functions too;"""
    loaded: tuple[ast.Import | ast.ImportFrom, ...]
    """those that run as the module itself is loaded."""
    classes: tuple[str, ...]
    calls: tuple[tuple[str, int], ...]
    """Calls of attributes that are named like a clock, as they are written, and their lines."""


@cache
def source_of(path: Path) -> Source:
    """Read from a file of the program or of its tests."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    imports: list[ast.Import | ast.ImportFrom] = []
    classes: list[str] = []
    calls: list[tuple[str, int]] = []
    for node in ast.walk(tree):
        match node:
            case ast.Import() | ast.ImportFrom():
                imports.append(node)
            case ast.ClassDef(name=name):
                classes.append(name)
            case ast.Call(func=ast.Attribute(attr="now" | "utcnow" | "today")):
                calls.append((ast.unparse(node.func), node.lineno))
    loaded = tuple(node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom))
    return Source(tuple(imports), loaded, tuple(classes), tuple(calls))


def import_nodes(path: Path) -> tuple[ast.Import | ast.ImportFrom, ...]:
    """Every import of a file, inside functions too."""
    return source_of(path).imports


def imports(path: Path) -> set[str]:
    """Full names of every module that is imported anywhere in a file, inside functions too."""
    found: set[str] = set()
    for node in import_nodes(path):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        else:
            assert node.level == 0, f"{path}: imports are written in full"
            assert node.module is not None
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names if node.module == "pourday"}
    return found


def parts_of(path: Path) -> set[str]:
    """The parts of the project a file imports from."""
    return {name.split(".")[1] for name in imports(path) if name.startswith("pourday.")} - {"__version__"}


def rooms_of(path: Path, part: str) -> set[str]:
    """The rooms of a part that a file imports from."""
    return {
        names[2]
        for name in imports(path) | submodules(path)
        if (names := name.split("."))[:2] == ["pourday", part] and len(names) > 2
    }


def submodules(path: Path) -> set[str]:
    """Modules that are imported as names of their package: `from pourday.tui import app`."""
    return {
        f"{node.module}.{alias.name}"
        for node in import_nodes(path)
        if isinstance(node, ast.ImportFrom) and node.module in {f"pourday.{part}" for part in ROOMS}
        for alias in node.names
    }


def top_level(path: Path) -> set[str]:
    """Outside packages imported when the module itself is loaded."""
    found: set[str] = set()
    for node in source_of(path).loaded:
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif node.module:
            found.add(node.module.split(".")[0])
    return found


def test_the_map_names_every_part_there_is():
    there = {p.name for p in ROOT.iterdir() if p.is_dir() and list(p.glob("*.py"))}
    there |= {p.stem for p in ROOT.glob("*.py")} - {"__init__", "__main__"}
    assert there == set(RANK) | COMMON


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_a_module_imports_only_from_below(path):
    part = name_of(path).split(".")[1:2]
    mine = part[0] if part else "pourday"
    for other in parts_of(path) - {mine}:
        if mine in COMMON:
            assert other in {"errors", "language"}
            assert mine != "language"
        elif other not in COMMON and mine in RANK:
            assert RANK[other] > RANK[mine], f"{name_of(path)} imports pourday.{other}"


@pytest.mark.parametrize("part", sorted(ROOMS))
def test_the_map_names_every_room_there_is(part):
    there = {p.name for p in (ROOT / part).iterdir() if p.is_dir() and list(p.glob("*.py"))}
    there |= {p.stem for p in (ROOT / part).glob("*.py")} - {"__init__"}
    assert there == {room for floor in ROOMS[part] for room in floor}


@pytest.mark.parametrize(
    "path", [p for part in ROOMS for p in sorted((ROOT / part).rglob("*.py"))], ids=name_of
)
def test_a_room_imports_only_from_floors_below(path):
    part, *room = name_of(path).split(".")[1:3]
    if not room:
        return
    floor = {name: level for level, names in enumerate(ROOMS[part]) for name in names}
    for other in rooms_of(path, part) - set(room):
        assert floor[other] > floor[room[0]], f"{name_of(path)} imports pourday.{part}.{other}"


def test_the_kitchen_knows_nothing_of_forecast_guide_session_or_store():
    for path in (ROOT / "kitchen").rglob("*.py"):
        assert not parts_of(path) & {"forecast", "guide", "burn", "faults", "session", "store"}, path.name


def test_the_guide_and_what_is_below_know_nothing_of_kitchen_and_demo():
    for part in ("faults", "guide", "burn", "store", "session", "forecast", "plan", "wax"):
        for path in (ROOT / part).rglob("*.py"):
            assert not parts_of(path) & {"kitchen", "demo", "tui"}, path.name


def test_below_the_screen_nothing_reads_a_clock_or_sleeps():
    for path in modules():
        if name_of(path).split(".")[1:2] not in ([x] for x in DOOR):
            assert not imports(path) & {"time", "sched", "asyncio", "threading"}, name_of(path)


def test_below_the_screen_no_call_asks_for_now():
    for path in modules():
        if name_of(path).split(".")[1:2] in ([x] for x in DOOR):
            continue
        for asked, line in source_of(path).calls:
            assert asked not in (
                "datetime.now", "datetime.utcnow", "datetime.today", "date.today", "datetime.datetime.now"
            ), f"{name_of(path)}:{line}"  # fmt: skip


def test_scipy_is_nowhere_in_the_program_and_pint_only_inside_the_functions_of_units():
    for path in modules():
        outside = {name.split(".")[0] for name in imports(path)}
        assert "scipy" not in outside, name_of(path)
        if name_of(path) != "pourday.units":
            assert "pint" not in outside, name_of(path)
        assert "pint" not in top_level(path), name_of(path)
        if name_of(path) != "pourday.store.edit_tables":
            assert "tinydb" not in outside, name_of(path)


def test_private_parts_of_other_packages_are_those_of_textual_which_is_pinned_for_them():
    private = {
        name
        for path in modules()
        for name in imports(path)
        if "._" in name and not name.startswith("pourday.")
    }
    assert private == {"textual._ansi_sequences", "textual._xterm_parser"}
    with (ROOT.parent / "pyproject.toml").open("rb") as file:
        needs = tomllib.load(file)["project"]["dependencies"]
    assert f"textual=={version('textual')}" in needs


def imported_by_tests() -> set[str]:
    """Every module that some test imports by itself, those of the normal suite."""
    files = [path for path in Path(__file__).parent.rglob("*.py") if "bench" not in path.parts]
    names: set[str] = set()
    for path in files:
        for node in import_nodes(path):
            if isinstance(node, ast.ImportFrom) and node.module:
                names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
            elif isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
    return names


def test_every_module_that_needs_no_screen_is_imported_by_a_test():
    """What only runs beneath something else is tested by luck. What knows Textual is tested at a terminal."""
    pure = {
        name_of(path)
        for path in modules()
        if "textual" not in {name.split(".")[0] for name in imports(path)}
        and path.name not in ("__init__.py", "__main__.py")
    }
    screens = {name for name in pure if name.endswith(".screen")}
    assert sorted(pure - screens - imported_by_tests()) == []


def loaded_after(code: str, *names: str) -> str:
    """Which of `names` a fresh interpreter has loaded after this code."""
    ask = f"\nimport sys\nprint('LOADED', *sorted(set({names!r}) & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code + ask], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split("LOADED")[-1].strip()


def test_the_core_loads_in_a_fresh_interpreter_without_textual_or_rich():
    core = [name_of(p) for p in modules() if name_of(p).split(".")[1:2] not in ([x] for x in SCREEN)]
    code = "\n".join(f"import {name}" for name in core)
    assert loaded_after(code, "textual", "rich", "scipy", "pint") == ""


@pytest.mark.parametrize("arguments", [["--version"], ["--help"], ["list"], ["show", "nothing"]])
def test_a_command_that_needs_no_screen_loads_none(arguments, tmp_path):
    code = (
        f"import sys\nsys.argv = ['pourday', '--sessions', {str(tmp_path)!r}, *{arguments!r}]\n"
        "from pourday.cli import main\ntry:\n    main()\nexcept SystemExit:\n    pass"
    )
    assert loaded_after(code, "textual", "rich", "scipy", "pint") == ""


PAINT = """
import asyncio, pathlib, sys
from pourday.tui.app import PourdayApp
from pourday.tui.drawing.canvas import Canvas
from pourday.tui.drawing.lines import text_of
from pourday.demo.opening import begin_demo
folder, which = pathlib.Path({folder!r}), {which!r}
opened = () if which == "home" else begin_demo(folder, 1.8e9, by_hand=which == "setup")
painted, render = [], Canvas.render_line
def first(self, y):
    if not painted and any(text_of(row).strip() for row in self._lines):
        painted.append((self.plain(), [m for m in {heavy!r} if m in sys.modules]))
    return render(self, y)
Canvas.render_line = first
async def paint():
    app = PourdayApp(folder, *opened)
    async with app.run_test(size=(80, 24)) as pilot:
        while not painted:
            await pilot.pause(0.01)
asyncio.run(paint())
shown, loaded = painted[0]
assert {shows!r} in shown, shown
assert not loaded, loaded
"""


@pytest.mark.parametrize(
    ("which", "shows"), [("home", "Enter open"), ("setup", "Weigh sheet"), ("stove", "burner OFF")]
)
def test_the_first_paint_loads_neither_scipy_nor_pint_nor_tinydb(which, shows, tmp_path):
    heavy = ["scipy", "pint", "tinydb"] + (["numpy"] if which == "home" else [])
    code = PAINT.format(folder=str(tmp_path), which=which, shows=shows, heavy=heavy)
    if which == "home":
        code = code.replace("from pourday.demo.opening import begin_demo\n", "")
    assert loaded_after(code, "textual") == "textual"


def test_one_class_name_means_one_class():
    names = [name for path in modules() for name in source_of(path).classes]
    assert sorted(name for name in set(names) if names.count(name) > 1) == []
