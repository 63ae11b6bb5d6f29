"""Numbers are exact decimals from the keyboard to the record: no binary float before the network solver."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ENGINE = Path(__file__).parents[2] / "engine"
EXACT_ROOMS = ("quantity", "electrics", "procedure", "walk", "journal", "safety")
NO_READING = {
    "walk/advice.py": "hands what the network solver says to the screen; never in an event",
}
"""Modules with floats that no reading, figure or limit passes through on its way to a verdict."""
MODULES = sorted(
    path
    for room in EXACT_ROOMS
    for path in (ENGINE / room).glob("*.py")
    if f"{path.parent.name}/{path.name}" not in NO_READING
)
FLOAT_MODULES = {"math", "cmath", "statistics", "numpy"}
"""Modules that bring binary floats in; `fractions` is exact and may be used."""


def floats_in(source: str) -> list[str]:
    """Each place of a module where a binary float comes in: a literal, a call or name of the type, a module of them."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Constant) and isinstance(node.value, float | complex):
            found.append(f"line {node.lineno}: the literal {node.value}")
        elif isinstance(node, ast.Name) and node.id in ("float", "complex"):
            found.append(f"line {node.lineno}: the name {node.id}")
        elif isinstance(node, ast.Import):
            found += [f"line {node.lineno}: {a.name}" for a in node.names if a.name.split(".")[0] in FLOAT_MODULES]
        elif isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in FLOAT_MODULES:
            found.append(f"line {node.lineno}: {node.module}")
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div) and _two_integers(node):
            found.append(f"line {node.lineno}: a quotient of two whole numbers")
    return found


def _two_integers(node: ast.BinOp) -> bool:
    return all(isinstance(side, ast.Constant) and isinstance(side.value, int) for side in (node.left, node.right))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_no_float_before_the_network_solver(path: Path) -> None:
    """No module that a verdict passes through holds a binary float."""
    found = floats_in(path.read_text(encoding="utf-8"))

    assert found == []


@pytest.mark.parametrize(
    "source", ["x = 0.8", "x = float(y)", "import math", "from statistics import mean", "x = 2 / 3"]
)
def test_each_kind_of_float_is_seen(source: str) -> None:
    """The search finds a literal, the type, a module and a quotient; it is not blind."""
    assert floats_in(source)


def test_floats_live_in_the_network_room() -> None:
    """The one room that may use them does, so the search tells rooms apart."""
    assert floats_in((ENGINE / "network" / "nodal.py").read_text(encoding="utf-8"))
