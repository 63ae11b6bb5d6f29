"""Resistances between the nodes of a resistive network, by nodal analysis.

The only place of the engine with binary floats.  Its results are advice and test evidence:
they never enter an event and are never compared in a replay.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.light import dataclass

Matrix = list[list[float]]


@dataclass(frozen=True, slots=True)
class Branch:
    """A resistance between two nodes; zero ohm joins them into one."""

    a: str
    b: str
    ohm: float


class Solved:
    """A network made ready for questions; resistances come from the inverse of its conductance matrix.

    Each connected part is earthed at one of its nodes, and R(a, b) = Z[a][a] + Z[b][b] − 2·Z[a][b]
    (textbook nodal analysis).
    """

    def __init__(self, branches: Iterable[Branch]) -> None:
        kept = list(branches)
        self._merged = _merge(kept)
        self._part: dict[str, int] = {}
        self._index: dict[str, int] = {}
        self._inverse: list[Matrix] = []
        named = [Branch(self._name(b.a), self._name(b.b), b.ohm) for b in kept]
        live = [branch for branch in named if branch.a != branch.b]
        for nodes in _parts(live, {self._name(node) for b in kept for node in (b.a, b.b)}):
            self._add(nodes, live)

    def _name(self, node: str) -> str:
        while (up := self._merged.get(node, node)) != node:
            node = up
        return node

    def _add(self, nodes: list[str], branches: list[Branch]) -> None:
        index = {node: place for place, node in enumerate(nodes)}
        size = len(nodes) - 1
        conductance = [[0.0] * size for _ in range(size)]
        for branch in branches:
            if branch.a in index:
                _stamp(conductance, index[branch.a], index[branch.b], 1.0 / branch.ohm)
        for node in nodes:
            self._part[node] = len(self._inverse)
        self._index.update(index)
        self._inverse.append(_invert(conductance))

    def between(self, a: str, b: str) -> float | None:
        """Resistance in ohm between two nodes; None where no path joins them (an open reading)."""
        first, second = self._name(a), self._name(b)
        if first == second:
            return 0.0
        part = self._part.get(first)
        if part is None or part != self._part.get(second):
            return None
        inverse, size = self._inverse[part], len(self._inverse[part])
        i, j = self._index[first], self._index[second]
        own_i = inverse[i][i] if i < size else 0.0
        own_j = inverse[j][j] if j < size else 0.0
        shared = inverse[i][j] if i < size and j < size else 0.0
        return own_i + own_j - 2.0 * shared


def _merge(branches: Iterable[Branch]) -> dict[str, str]:
    """Each node's stand-in once the joins of zero ohm are taken as one node."""
    up: dict[str, str] = {}

    def top(node: str) -> str:
        while (above := up.get(node, node)) != node:
            node = above
        return node

    for branch in branches:
        if branch.ohm < 0:
            raise ValueError(f"a resistance below zero between {branch.a} and {branch.b}")
        if branch.ohm == 0:
            first, second = top(branch.a), top(branch.b)
            if first != second:
                up[first] = second
    return up


def _parts(branches: Iterable[Branch], nodes: Iterable[str]) -> list[list[str]]:
    """The nodes in groups that hang together."""
    near: dict[str, list[str]] = {node: [] for node in sorted(nodes)}
    for branch in branches:
        near[branch.a].append(branch.b)
        near[branch.b].append(branch.a)
    seen: set[str] = set()
    groups = []
    for start in near:
        if start in seen:
            continue
        seen.add(start)
        group = [start]
        for node in group:
            fresh = [other for other in dict.fromkeys(near[node]) if other not in seen]
            seen.update(fresh)
            group.extend(fresh)
        groups.append(group)
    return groups


def _stamp(conductance: Matrix, i: int, j: int, siemens: float) -> None:
    """Add one branch; the last node of a part is its earth and has no row."""
    size = len(conductance)
    for row, column in ((i, j), (j, i)):
        if row < size:
            conductance[row][row] += siemens
            if column < size:
                conductance[row][column] -= siemens


def _invert(matrix: Matrix) -> Matrix:
    """The inverse by Gauss–Jordan elimination.

    A conductance matrix with one node earthed is positive definite, so no pivot is ever zero and none is sought.
    """
    size = len(matrix)
    work = [[*row, *(1.0 if i == j else 0.0 for j in range(size))] for i, row in enumerate(matrix)]
    for column in range(size):
        divisor = work[column][column]
        work[column] = [value / divisor for value in work[column]]
        for row in range(size):
            factor = work[row][column]
            if row != column and factor != 0.0:
                work[row] = [value - factor * lead for value, lead in zip(work[row], work[column], strict=True)]
    return [row[size:] for row in work]
