"""The cards that the network is tried on: the reference ring, a short ring of another size, a radial."""

from __future__ import annotations

from decimal import Decimal

import pytest

from ferrule.engine.electrics.model import Circuit, How, Known, Point


def card(kind: str, length: str, sizes: tuple[str, str], metres: tuple[str, ...]) -> Circuit:
    """A circuit with points S1, S2 … at the given metres."""
    points = tuple(
        Point(f"S{place}", f"point {place}", Known(Decimal(metre), How.MEASURED))
        for place, metre in enumerate(metres, start=1)
    )
    line, cpc = map(Decimal, sizes)
    return Circuit(kind, "bench sockets", line, cpc, Known(Decimal(length), How.MEASURED), points, How.RECORD, False)


REFERENCE = card("ring", "60", ("2.5", "1.5"), ("8", "13", "18", "23", "28", "33", "38", "43", "48", "53"))
SHORT_RING = card("ring", "37", ("4", "1.5"), ("4.5", "9", "13.5", "18.5", "24", "28", "33"))
RADIAL = card("radial", "32", ("2.5", "1.5"), ("6", "11", "17.5", "26", "32"))


@pytest.fixture
def reference() -> Circuit:
    """The reference ring: 60 m of 2.5/1.5 mm² with ten sockets."""
    return REFERENCE


@pytest.fixture
def short_ring() -> Circuit:
    """37 m of 4/1.5 mm² with seven sockets."""
    return SHORT_RING


@pytest.fixture
def radial() -> Circuit:
    """32 m of 2.5/1.5 mm² with five points."""
    return RADIAL
