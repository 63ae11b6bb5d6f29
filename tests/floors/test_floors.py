"""The floors hold: imports go down only, and the pure rooms touch nothing outside."""

import ast
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FLOORS = {
    "findings": 0,
    "canon": 0,
    "text": 0,
    "version": 0,
    "light": 0,
    "quantity": 0,
    "safety": 1,
    "network": 1,
    "electrics": 1,
    "procedure": 2,
    "bench": 2,
    "prover": 5,
    "walk": 4,
    "journal": 5,
    "audit": 6,
    "report": 6,
    "learn": 6,
    "shell": 7,
    "tui": 8,
}
INSIDE_A_FLOOR = {
    ("quantity", "findings"),
    ("quantity", "text"),
    ("canon", "findings"),
    ("findings", "light"),
    ("quantity", "light"),
    ("findings", "text"),
    ("network", "electrics"),
}
"""Imports between rooms of one floor; they must stay acyclic."""
IMPURE_MODULES = {
    "os",
    "io",
    "pathlib",
    "time",
    "random",
    "secrets",
    "socket",
    "subprocess",
    "logging",
    "textual",
    "rich",
}
IMPURE_NAMES = {"open", "print", "input"}
HEAVY = {"pydantic", "ruamel"}
START_PATH = {"compiled", "codec", "lists", "words", "amend"}
"""Modules of the procedure room that the walk imports; the others load text and may be slow to import."""


def modules() -> Iterator[tuple[str, Path]]:
    """Yield room and path of every module of the engine and the interface."""
    for folder in ("engine", "tui"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            parts = path.relative_to(ROOT).parts
            room = parts[0] if parts[0] == "tui" else parts[1].removesuffix(".py")
            if room != "__init__":
                yield room, path


def imports(path: Path) -> Iterator[str]:
    """Yield the dotted names that a module imports, wherever it does so."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def rooms_imported(path: Path) -> set[str]:
    """Return the rooms of ferrule that a module imports from."""
    found = set()
    for name in imports(path):
        parts = name.split(".")
        if parts[:2] == ["ferrule", "engine"] and len(parts) > 2:
            found.add(parts[2])
        elif parts[:2] == ["ferrule", "tui"]:
            found.add("tui")
    return found


def test_every_room_has_a_floor() -> None:
    """A new room must be given its floor before it is built."""
    unknown = {room for room, _ in modules()} - FLOORS.keys()

    assert not unknown


def test_imports_go_down() -> None:
    """A module imports from its own room or a lower floor, never up."""
    wrong = [
        f"{path.relative_to(ROOT)} imports {other}"
        for room, path in modules()
        for other in rooms_imported(path)
        if other != room
        and FLOORS[other] >= FLOORS[room]
        and not (FLOORS[other] == FLOORS[room] and (room, other) in INSIDE_A_FLOOR)
    ]

    assert not wrong


def test_imports_inside_a_floor_are_acyclic() -> None:
    """The listed imports inside a floor form no circle."""
    left = set(INSIDE_A_FLOOR)
    while left:
        bottom = {a for a, _ in left} | {b for _, b in left}
        free = {room for room in bottom if not any(a == room for a, _ in left)}
        assert free, f"a circle in {sorted(left)}"
        left = {(a, b) for a, b in left if b not in free}


@pytest.mark.parametrize(
    "path", [p for r, p in modules() if FLOORS.get(r, 9) <= 6], ids=lambda p: f"{p.parent.name}/{p.name}"
)
def test_pure_rooms_touch_nothing_outside(path: Path) -> None:
    """Floors 0 to 6 read no clock, file, chance or terminal."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    called = {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    asked = {
        node.func.attr for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }

    assert not {name.split(".")[0] for name in imports(path)} & IMPURE_MODULES
    assert not called & IMPURE_NAMES
    assert "now" not in asked


def test_heavy_libraries_stay_where_text_comes_in() -> None:
    """pydantic and the YAML library are imported only by the modules that load text."""
    wrong = [
        str(path.relative_to(ROOT))
        for room, path in modules()
        if {name.split(".")[0] for name in imports(path)} & HEAVY and (room != "procedure" or path.stem in START_PATH)
    ]

    assert not wrong


def test_core_imports_nothing_heavy() -> None:
    """Importing the walk and the session brings in neither pydantic, YAML, Textual nor cryptography."""
    code = (
        "import sys, ferrule.engine.shell.session, ferrule.engine.walk.situation;"
        "heavy = ('pydantic', 'ruamel.yaml', 'textual', 'rich', 'cryptography', 'asyncio');"
        "print(*[m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.split() == []


def test_package_list_is_complete() -> None:
    """Every folder with code is listed in pyproject.toml, so that no room is left out of the wheel."""
    listed = set(tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["packages"])
    folders = {
        "ferrule." + ".".join(path.parent.relative_to(ROOT).parts)
        for top in ("engine", "tui", "procedures")
        for path in (ROOT / top).rglob("__init__.py")
    }

    assert listed == folders
