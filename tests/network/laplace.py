"""A second solution of rings and radials, by numpy alone: nothing of ferrule's network is used here.

A circuit is drawn as plain branches between named nodes, worked out from metres and mΩ/m, and solved by the
pseudo-inverse of its Laplacian: R(a, b) = L⁺aa + L⁺bb − 2·L⁺ab (resistance distance).
"""

from __future__ import annotations

import random
import shutil
import subprocess
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from ferrule.engine.network.faults import (
    Bridge,
    Fault,
    LooseJoint,
    NotLanded,
    OpenConductor,
    Reversed,
    Spur,
    Touch,
)

MOHM = {"1": 18.1, "1.5": 12.1, "2.5": 7.41, "4": 4.61, "6": 3.08}
"""Largest resistance of copper at 20 °C in mΩ/m, IEC 60228."""
SIZES = (("1", "1"), ("1.5", "1"), ("2.5", "1.5"), ("4", "1.5"), ("6", "2.5"), ("2.5", "2.5"))
Wire = tuple[str, str, float]


@dataclass
class Drawing:
    """A ring as drawn: sizes, length, sockets at metres, spurs, and the faults in it."""

    line: str
    cpc: str
    length_dm: int
    sockets_dm: tuple[int, ...]
    spurs: tuple[tuple[int, int], ...]
    """Socket that it leaves from, and its length in decimetres."""
    faults: tuple[Fault, ...] = ()
    extra_points: tuple[str, ...] = ()
    ze: float = 0.35
    wires: list[Wire] = field(default_factory=list)

    @property
    def points(self) -> tuple[str, ...]:
        """All points by name."""
        ring = tuple(f"S{place}" for place in range(1, len(self.sockets_dm) + 1))
        return (*ring, *(f"P{place}" for place in range(1, len(self.spurs) + 1)), *self.extra_points)

    def per_m(self, conductor: str) -> float:
        """Ohm per metre of a conductor."""
        return MOHM[self.cpc if conductor == "E" else self.line] / 1000


def draw(chance: random.Random, *, faults: bool) -> Drawing:
    """A ring of any size, with spurs, and with one or two faults where wanted."""
    line, cpc = chance.choice(SIZES)
    length = chance.randint(80, 1100)
    sockets = tuple(sorted(chance.sample(range(5, length - 5), chance.randint(2, 7))))
    spurs = tuple((chance.randrange(len(sockets)) + 1, chance.randint(10, 120)) for _ in range(chance.randint(0, 2)))
    drawing = Drawing(line, cpc, length, sockets, spurs, ze=chance.choice((0.08, 0.2, 0.35, 0.8)))
    if faults:
        chosen = [_fault(chance, drawing) for _ in range(chance.randint(1, 2))]
        if len(chosen) == 2 and (_clash(chosen[0], chosen[1])):
            chosen.pop()
        drawing.faults = tuple(chosen)
        drawing.extra_points = tuple(fault.point for fault in chosen if isinstance(fault, Spur))
    return drawing


def _clash(first: Fault, second: Fault) -> bool:
    """Two faults of one kind may fall on one another; only unlike ones are put together."""
    return type(first) is type(second) or isinstance(first, OpenConductor) or isinstance(second, OpenConductor)


def _fault(chance: random.Random, drawing: Drawing) -> Fault:
    places = ["leg1", *(f"S{n}" for n in range(1, len(drawing.sockets_dm) + 1)), "leg2"]
    at = chance.randrange(len(places) - 1)
    start, end, conductor = places[at], places[at + 1], chance.choice("LNE")
    socket = chance.choice(places[1:-1])
    first, second = chance.sample("LNE", 2)
    return chance.choice(
        [
            OpenConductor(conductor, start, end),
            LooseJoint(conductor, start, end, chance.randint(1, 150) / 100),
            Bridge("S1", places[-2], chance.randint(1, 20) / 2) if len(places) > 3 else Touch(socket, "N", "E"),
            Spur(socket, "X1", chance.randint(1, 30) / 2),
            Touch(socket, "N", "E"),
            NotLanded(socket, conductor),
            Reversed(socket, first, second),
        ]
    )


@dataclass
class Plan:
    """The wires of a drawing, with the faults worked into them one by one."""

    drawing: Drawing
    wires: list[tuple[str, str, str, float]] = field(default_factory=list)
    """Conductor, from, to, ohm."""
    ties: list[Wire] = field(default_factory=list)
    landing: dict[tuple[str, str], str | None] = field(default_factory=dict)

    def lay(self, start: str, end: str, metres: float) -> None:
        """Three conductors of a stretch of cable."""
        self.wires += [(c, start, end, metres * self.drawing.per_m(c)) for c in "LNE"]

    def stretch(self, conductor: str, start: str, end: str) -> int:
        """The place of a wire in the list."""
        return next(
            n for n, wire in enumerate(self.wires) if wire[0] == conductor and {wire[1], wire[2]} == {start, end}
        )


def plan_of(drawing: Drawing) -> Plan:
    """The wires of a drawing."""
    plan = Plan(drawing)
    metres = [0.0, *(dm / 10 for dm in drawing.sockets_dm), drawing.length_dm / 10]
    names = ["leg1", *(f"S{n}" for n in range(1, len(drawing.sockets_dm) + 1)), "leg2"]
    for place in range(len(names) - 1):
        plan.lay(names[place], names[place + 1], metres[place + 1] - metres[place])
    for number, (socket, dm) in enumerate(drawing.spurs, start=1):
        plan.lay(f"S{socket}", f"P{number}", dm / 10)
    plan.landing = {(point, c): c for point in drawing.points for c in "LNE"}
    for fault in drawing.faults:
        _work_in(plan, fault)
    return plan


def _work_in(plan: Plan, fault: Fault) -> None:
    if isinstance(fault, OpenConductor):
        del plan.wires[plan.stretch(fault.conductor, fault.start, fault.end)]
    elif isinstance(fault, LooseJoint):
        at = plan.stretch(fault.conductor, fault.start, fault.end)
        conductor, start, end, ohm = plan.wires[at]
        plan.wires[at] = (conductor, start, end, ohm + fault.ohm)
    elif isinstance(fault, Bridge):
        plan.lay(fault.start, fault.end, fault.metres)
    elif isinstance(fault, Spur):
        plan.lay(fault.start, fault.point, fault.metres)
    elif isinstance(fault, Touch):
        plan.ties.append((f"{fault.first}.{fault.point}", f"{fault.second}.{fault.point}", fault.ohm))
    elif isinstance(fault, NotLanded):
        for terminal in "LNE":
            if plan.landing[fault.point, terminal] == fault.conductor:
                plan.landing[fault.point, terminal] = None
    elif isinstance(fault, Reversed):
        swap = {fault.first: fault.second, fault.second: fault.first}
        for terminal in "LNE":
            held = plan.landing[fault.point, terminal]
            plan.landing[fault.point, terminal] = None if held is None else swap.get(held, held)
    else:
        raise TypeError(fault)


def wires_of(plan: Plan, ties: Iterable[Wire] = ()) -> list[Wire]:
    """All wires between nodes `conductor.place`, with further ties."""
    return [*((f"{c}.{start}", f"{c}.{end}", ohm) for c, start, end, ohm in plan.wires), *plan.ties, *ties]


def cross_links(other: str) -> list[Wire]:
    """The two links of a crossed ring."""
    return [("L.leg1", f"{other}.leg2", 0.0), ("L.leg2", f"{other}.leg1", 0.0)]


def joined_legs() -> list[Wire]:
    """Both legs of every conductor on its bar."""
    return [(f"{c}.{leg}", f"{c}.bar", 0.0) for c in "LNE" for leg in ("leg1", "leg2")]


class Laplace:
    """Resistance between any two nodes of a set of wires."""

    def __init__(self, wires: Iterable[Wire]) -> None:
        wires = list(wires)
        self.same: dict[str, str] = {}
        for first, second, ohm in wires:
            if ohm == 0:
                self.same[self.name(first)] = self.name(second)
        kept = [(self.name(a), self.name(b), ohm) for a, b, ohm in wires if ohm > 0]
        names = sorted({self.name(node) for wire in wires for node in wire[:2]})
        self.index = {name: place for place, name in enumerate(names)}
        matrix = np.zeros((len(names), len(names)))
        for first, second, ohm in kept:
            i, j = self.index[first], self.index[second]
            if i != j:
                matrix[i, i] += 1 / ohm
                matrix[j, j] += 1 / ohm
                matrix[i, j] -= 1 / ohm
                matrix[j, i] -= 1 / ohm
        self.wires = kept
        self.group = self._groups(kept)
        self.inverse = np.linalg.pinv(matrix, hermitian=True)

    def name(self, node: str) -> str:
        """The node that stands for this one once ties of zero ohm are taken as one."""
        while (other := self.same.get(node, node)) != node:
            node = other
        return node

    def _groups(self, wires: list[Wire]) -> dict[str, int]:
        group = dict(self.index)
        for _ in self.index:
            before = dict(group)
            for first, second, _ohm in wires:
                group[first] = group[second] = min(group[first], group[second])
            if group == before:
                break
        return group

    def part(self, node: str) -> list[Wire]:
        """The wires that hang together with a node, ties of zero ohm taken as one."""
        here = self.group[self.name(node)]
        return [(a, b, ohm) for a, b, ohm in self.wires if self.group[a] == here and a != b]

    def between(self, first: str, second: str) -> float | None:
        """The resistance between two nodes; None where nothing joins them."""
        a, b = self.name(first), self.name(second)
        if a == b:
            return 0.0
        if a not in self.index or b not in self.index or self.group[a] != self.group[b]:
            return None
        i, j = self.index[a], self.index[b]
        return float(self.inverse[i, i] + self.inverse[j, j] - 2 * self.inverse[i, j])


def at_points(plan: Plan, solved: Laplace, pair: str) -> dict[str, float | None]:
    """What two terminals read at every point."""
    found: dict[str, float | None] = {}
    for point in plan.drawing.points:
        held = [plan.landing[point, terminal] for terminal in pair]
        if None in held:
            found[point] = None
        else:
            found[point] = solved.between(*(f"{conductor}.{point}" for conductor in held))
    return found


def by_spice(solved: Laplace, first: str, second: str, folder: Path) -> float:
    """The same resistance by ngspice: one ampere in, volts read; only for nodes that are joined."""
    program = shutil.which("ngspice")
    assert program is not None
    number = {node: place for place, node in enumerate(solved.index, start=1)}
    number[solved.name(second)] = 0
    start = number[solved.name(first)]
    lines = ["* resistance between two nodes", f"I1 0 {start} 1"]
    lines += [f"R{n} {number[a]} {number[b]} {ohm}" for n, (a, b, ohm) in enumerate(solved.part(first))]
    lines += [".op", f".print op v({start})", ".end"]
    (folder / "net.cir").write_text("\n".join(lines) + "\n")
    done = subprocess.run([program, "-b", str(folder / "net.cir")], capture_output=True, text=True, check=False)
    rows = [line.split() for line in done.stdout.splitlines()]
    return next(float(row[1]) for row in rows if len(row) == 2 and row[0] == "0")
