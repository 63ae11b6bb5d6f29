"""Faults as changes of a network: each takes a network and gives another, and nothing else.

A fault that names a place which the network does not have is an error, never a silent no-op.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import reduce

from ferrule.engine.light import dataclass
from ferrule.engine.network.circuit import CONDUCTORS, Network, Piece, cable, node
from ferrule.engine.network.nodal import Branch


@dataclass(frozen=True, slots=True)
class OpenConductor:
    """A conductor is broken between two neighbouring places."""

    conductor: str
    start: str
    end: str

    def apply(self, network: Network) -> Network:
        """The network without that piece."""
        return _change(network, self.conductor, self.start, self.end, lambda _: None)


@dataclass(frozen=True, slots=True)
class LooseJoint:
    """A joint between two neighbouring places adds resistance."""

    conductor: str
    start: str
    end: str
    ohm: float

    def apply(self, network: Network) -> Network:
        """The network with that piece made longer in ohms."""
        return _change(
            network, self.conductor, self.start, self.end, lambda piece: replace(piece, ohm=piece.ohm + self.ohm)
        )


@dataclass(frozen=True, slots=True)
class Bridge:
    """A second cable joins two points of the circuit across (a figure of eight)."""

    start: str
    end: str
    metres: float

    def apply(self, network: Network) -> Network:
        """The network with that cable added."""
        _need_points(network, self.start, self.end)
        return network.with_pieces((*network.pieces, *cable(self.start, self.end, self.metres, network.ohm_per_m)))


@dataclass(frozen=True, slots=True)
class Spur:
    """A cable leaves a point to a point that the card does not have."""

    start: str
    point: str
    metres: float

    def apply(self, network: Network) -> Network:
        """The network with that cable and point added."""
        _need_points(network, self.start)
        if self.point in network.points:
            raise ValueError(f"the circuit has a point {self.point} already")
        longer = network.with_pieces((*network.pieces, *cable(self.start, self.point, self.metres, network.ohm_per_m)))
        return replace(
            longer,
            points=(*network.points, self.point),
            terminals=(*network.terminals, *((self.point, conductor, conductor) for conductor in CONDUCTORS)),
        )


@dataclass(frozen=True, slots=True)
class Reversed:
    """Two conductors are exchanged at the terminals of a point."""

    point: str
    first: str
    second: str

    def apply(self, network: Network) -> Network:
        """The network with those terminals exchanged."""
        _need_points(network, self.point)
        swap = {self.first: self.second, self.second: self.first}
        return replace(
            network,
            terminals=tuple(
                (point, terminal, swap.get(conductor, conductor) if point == self.point else conductor)
                for point, terminal, conductor in network.terminals
            ),
        )


@dataclass(frozen=True, slots=True)
class NotLanded:
    """A conductor is off its terminal at a point."""

    point: str
    conductor: str

    def apply(self, network: Network) -> Network:
        """The network without that landing."""
        _need_points(network, self.point)
        kept = (landing for landing in network.terminals if (landing[0], landing[2]) != (self.point, self.conductor))
        return replace(network, terminals=tuple(kept))


@dataclass(frozen=True, slots=True)
class CrossedInLeg:
    """Two conductors change places in one stretch of cable between two neighbouring places."""

    first: str
    second: str
    start: str
    end: str

    def apply(self, network: Network) -> Network:
        """The network with the far ends of those two pieces landed on each other's conductor."""
        crossed = _change(network, self.first, self.start, self.end, lambda piece: replace(piece, lands_on=self.second))
        return _change(crossed, self.second, self.start, self.end, lambda piece: replace(piece, lands_on=self.first))


@dataclass(frozen=True, slots=True)
class OnSpur:
    """A point that the card gives on the ring or main run hangs on a cable of its own instead."""

    point: str
    start: str
    metres: float

    def apply(self, network: Network) -> Network:
        """The network with the point cut out of its run and hung on a neighbour; its run goes on without it."""
        _need_points(network, self.point, self.start)
        kept = [piece for piece in network.pieces if self.point not in (piece.start, piece.end)]
        for conductor in CONDUCTORS:
            cut = [p for p in network.pieces if p.conductor == conductor and self.point in (p.start, p.end)]
            if len(cut) > 2:
                raise ValueError(f"{self.point} has more than two cables")
            ends = [piece.start if piece.end == self.point else piece.end for piece in cut]
            if len(cut) == 2:
                kept.append(Piece(conductor, ends[0], ends[1], sum(piece.ohm for piece in cut)))
        return network.with_pieces((*kept, *cable(self.start, self.point, self.metres, network.ohm_per_m)))


@dataclass(frozen=True, slots=True)
class Scaled:
    """Conductors have another resistance than the card gives: another length, or another size."""

    conductors: str
    factor: float

    def apply(self, network: Network) -> Network:
        """The network with those pieces made longer or shorter in ohms."""
        if self.factor <= 0:
            raise ValueError("a conductor cannot be scaled to nothing")
        return network.with_pieces(
            replace(piece, ohm=piece.ohm * self.factor) if piece.conductor in self.conductors else piece
            for piece in network.pieces
        )


@dataclass(frozen=True, slots=True)
class Touch:
    """Two conductors touch at a point."""

    point: str
    first: str
    second: str
    ohm: float = 0.0

    def apply(self, network: Network) -> Network:
        """The network with that contact added."""
        _need_points(network, self.point)
        contact = Branch(node(self.first, self.point), node(self.second, self.point), self.ohm)
        return replace(network, extra=(*network.extra, contact))


@dataclass(frozen=True, slots=True)
class LeadNotNulled:
    """The instrument's leads are part of every low-ohm reading."""

    ohm: float

    def apply(self, network: Network) -> Network:
        """The network as such an instrument sees it."""
        return replace(network, lead_ohm=network.lead_ohm + self.ohm)


@dataclass(frozen=True, slots=True)
class StraightLinks:
    """The tester linked the legs of one side together instead of crosswise."""

    def apply(self, network: Network) -> Network:
        """The network as linked that way."""
        return replace(network, straight_links=True)


@dataclass(frozen=True, slots=True)
class LegLeftOut:
    """One leg end was not landed when the circuit was put into the device and the bars."""

    conductor: str
    leg: str

    def apply(self, network: Network) -> Network:
        """The network with that leg end hanging free at the board."""
        return replace(network, left_out=(*network.left_out, node(self.conductor, self.leg)))


Fault = (
    OpenConductor
    | LooseJoint
    | Bridge
    | Spur
    | Reversed
    | NotLanded
    | CrossedInLeg
    | OnSpur
    | Scaled
    | Touch
    | LeadNotNulled
    | StraightLinks
    | LegLeftOut
)


def apply_all(network: Network, faults: Iterable[Fault]) -> Network:
    """The network after all faults, one after another."""
    return reduce(lambda changed, fault: fault.apply(changed), faults, network)


def _need_points(network: Network, *points: str) -> None:
    for point in points:
        if point not in network.points:
            raise ValueError(f"the circuit has no point {point}")


def _change(network: Network, conductor: str, start: str, end: str, change: Callable[[Piece], Piece | None]) -> Network:
    """The network with the piece between two places changed, or taken out where the change gives None."""
    hits = [
        piece for piece in network.pieces if piece.conductor == conductor and {piece.start, piece.end} == {start, end}
    ]
    if len(hits) != 1:
        raise ValueError(f"the circuit has {len(hits)} pieces of {conductor} between {start} and {end}, not one")
    changed = [change(piece) if piece is hits[0] else piece for piece in network.pieces]
    return network.with_pieces(piece for piece in changed if piece is not None)
