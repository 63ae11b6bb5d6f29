"""What the families of causes look at: the sound network, what it would read, and what was read.

For: fitting the place and size of a fault to the readings.
Must never: hold a reading of a fault.
"""

from __future__ import annotations

from dataclasses import dataclass

from ferrule.engine.network.circuit import CONDUCTORS, EARTH, LINE, NEUTRAL, Network
from ferrule.engine.network.faults import Fault, apply_all

NAMES = {LINE: "line", NEUTRAL: "neutral", EARTH: "protective conductor"}
ENDS = {LINE: "r1", NEUTRAL: "rn", EARTH: "r2"}
NEAR_OHM = 0.03
"""Readings this near to the sound ones are taken as sound when places are chosen: three digits (common practice)."""
USUAL, UNUSUAL = 1.0, 0.5
"""How readily a kind of fault is believed before any reading; common practice, no published figure was found."""

Told = dict[str, float | None]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One fault at one place with one size."""

    title: str
    where: str
    faults: tuple[Fault, ...]
    prior: float
    sound: Network
    look: str = ""
    """What to look at where no reading tells it from another cause."""

    @property
    def network(self) -> Network:
        """The circuit with the fault."""
        return apply_all(self.sound, self.faults)


@dataclass(frozen=True, slots=True)
class Scene:
    """What the families look at: the sound network, what it would read, and what was read."""

    sound: Network
    expected: Told
    seen: Told

    @property
    def stretches(self) -> tuple[tuple[str, str], ...]:
        """The two ends of each stretch of cable, once."""
        return tuple(dict.fromkeys((piece.start, piece.end) for piece in self.sound.pieces))

    @property
    def extra(self) -> tuple[str, ...]:
        """Points that were read and that the card does not have."""
        points = (key.partition("/")[2] for key in self.seen if "/" in key and not key.startswith("insulation"))
        return tuple(dict.fromkeys(point for point in points if point not in self.sound.points))

    def over(self, key: str) -> float:
        """How far a reading lies above the sound one; 0 where either is missing or open."""
        read_, sound = self.seen.get(key), self.expected.get(key)
        return 0.0 if read_ is None or sound is None else read_ - sound

    def is_open(self, key: str) -> bool:
        """True when it was read and is open."""
        return key in self.seen and self.seen[key] is None

    def ends(self) -> tuple[str, ...]:
        """Which of the three conductors were read from end to end."""
        return tuple(c for c in CONDUCTORS if ENDS[c] in self.seen)

    def odd_points(self) -> tuple[str, ...]:
        """Points of the card with a reading that is not the sound one."""
        return tuple(
            point
            for point in self.sound.points
            if any(
                key.endswith(f"/{point}") and (self.is_open(key) or abs(self.over(key)) > NEAR_OHM) for key in self.seen
            )
        )

    def mean_over(self, slot: str) -> float:
        """The mean distance of the readings of a slot from the sound ones."""
        found = [self.over(key) for key, value in self.seen.items() if key.startswith(slot) and value is not None]
        return sum(found) / len(found) if found else 0.0
