"""A final circuit as a resistive network: conductors between points, leg ends apart at the board.

Nodes are named by conductor and place: `L@leg1`, `L@S3`, `L@leg2`; a point's terminals are `L!S3`, `N!S3`, `E!S3`.
Nothing here judges or reads anything; a fault is a change of this network (see faults).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from ferrule.engine.electrics.model import Circuit, Known, Point
from ferrule.engine.electrics.tables import MOHM_PER_M
from ferrule.engine.light import dataclass
from ferrule.engine.network.nodal import Branch

LINE, NEUTRAL, EARTH = "L", "N", "E"
CONDUCTORS = (LINE, NEUTRAL, EARTH)
LEG_1, LEG_2 = "leg1", "leg2"


@dataclass(frozen=True, slots=True)
class Piece:
    """One conductor of one stretch of cable between two places."""

    conductor: str
    start: str
    end: str
    ohm: float
    lands_on: str = ""
    """The conductor that its far end is landed on; empty for its own."""

    @property
    def branch(self) -> Branch:
        """The piece as a branch of the network."""
        return Branch(node(self.conductor, self.start), node(self.lands_on or self.conductor, self.end), self.ohm)


@dataclass(frozen=True, slots=True)
class Network:
    """A circuit as wired: its pieces, which conductor each terminal holds, and what lies across."""

    kind: str
    points: tuple[str, ...]
    pieces: tuple[Piece, ...]
    ohm_per_m: tuple[tuple[str, float], ...]
    """Resistance per metre of each conductor."""
    terminals: tuple[tuple[str, str, str], ...]
    """Point, terminal, conductor that is landed on it; a terminal that is not listed holds nothing."""
    extra: tuple[Branch, ...] = ()
    """Branches that no cable makes: a touch between conductors, a nail."""
    lead_ohm: float = 0.0
    """What the instrument's leads add to a low-ohm reading when they were not nulled."""
    straight_links: bool = False
    """True when the tester joined the legs of one side with each other instead of crosswise."""
    left_out: tuple[str, ...] = ()
    """Leg ends that were left out when the circuit was landed, e.g. `L@leg2`."""

    def branches(self) -> list[Branch]:
        """All branches with the legs apart at the board, the points' terminals included."""
        landed = [
            Branch(terminal_node(point, terminal), node(conductor, point), 0.0)
            for point, terminal, conductor in self.terminals
        ]
        return [*(piece.branch for piece in self.pieces), *landed, *self.extra]

    def with_pieces(self, pieces: Iterable[Piece]) -> Network:
        """The same network with other pieces."""
        return replace(self, pieces=tuple(pieces))


def node(conductor: str, place: str) -> str:
    """The node of a conductor at a point or a leg end."""
    return f"{conductor}@{place}"


def terminal_node(point: str, terminal: str) -> str:
    """The node of a point's terminal, where the instrument's probe goes."""
    return f"{terminal}!{point}"


def build(circuit: Circuit) -> Network:
    """The network of a sound circuit as the card gives it; ValueError where a length or size is missing."""
    per_m = {conductor: _ohm_per_m(circuit, conductor) for conductor in CONDUCTORS}
    main = [point for point in circuit.points if not point.spur_from]
    stops = sorted(((_metres(point.distance_m, point), point.id) for point in main), key=lambda stop: stop[0])
    way = [(0.0, LEG_1), *stops]
    if circuit.kind == "ring":
        way.append((_number(circuit.length_m, "the length of the circuit"), LEG_2))
    runs = [(start, end, far - near) for (near, start), (far, end) in pairwise(way)]
    spurs = [
        (point.spur_from, point.id, _metres(point.spur_length_m, point)) for point in circuit.points if point.spur_from
    ]
    points = tuple(point.id for point in circuit.points)
    return Network(
        kind=circuit.kind,
        points=points,
        pieces=tuple(piece for run in (*runs, *spurs) for piece in cable(*run, tuple(per_m.items()))),
        ohm_per_m=tuple(per_m.items()),
        terminals=tuple((point, conductor, conductor) for point in points for conductor in CONDUCTORS),
    )


def cable(start: str, end: str, metres: float, ohm_per_m: Iterable[tuple[str, float]]) -> list[Piece]:
    """The conductors of a stretch of cable between two places."""
    if metres < 0:
        raise ValueError(f"the cable from {start} to {end} has a length below zero")
    return [Piece(conductor, start, end, metres * per_m) for conductor, per_m in ohm_per_m]


def _ohm_per_m(circuit: Circuit, conductor: str) -> float:
    size = circuit.cpc_mm2 if conductor == EARTH else circuit.line_mm2
    if size not in MOHM_PER_M:
        raise ValueError(f"the table of conductors has no size of {size} mm²")
    return float(MOHM_PER_M[size].value) / 1000.0


def _metres(known: Known, point: Point) -> float:
    return _number(known, f"the distance or spur length of {point.id}")


def _number(known: Known, words: str) -> float:
    if known.value is None:
        raise ValueError(f"the card does not give {words}")
    return float(known.value)
