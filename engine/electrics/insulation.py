"""Formulas of the insulation test; resistances in megohm.

The table holds what the standard asks for; what a job is judged by stands in its limits file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from ferrule.engine.electrics.tables import Sourced
from ferrule.engine.quantity.exact import divide

_TABLE_64 = "BS 7671:2018 Table 64 (published)"
LEAST_MEGOHM: Mapping[str, Sourced] = {
    "selv": Sourced(Decimal("0.5"), f"{_TABLE_64}: SELV and PELV, 250 V d.c."),
    "low-voltage": Sourced(Decimal("1.0"), f"{_TABLE_64}: up to 500 V, 500 V d.c."),
    "connected": Sourced(
        Decimal("1.0"), "BS 7671:2018 643.3.3 (published): live conductors joined, to Earth, 250 V d.c."
    ),
    "above-500-v": Sourced(Decimal("1.0"), f"{_TABLE_64}: above 500 V, 1000 V d.c."),
}
"""The least insulation by kind of circuit."""
LOOK_AGAIN_MEGOHM = Sourced(
    Decimal(2), "textbook guidance (published): a reading below 2 MΩ passes the table and may hide a fault"
)


RECOVERED_SOURCE = "circuits in parallel, Ohm's law, own derivation"


def together_megohm(parts: Sequence[Decimal]) -> Decimal:
    """Several insulations read together: 1/R = Σ 1/Ri (Ohm's law); a part of zero gives zero."""
    if not parts:
        raise ValueError("at least one insulation resistance is needed")
    if any(part == 0 for part in parts):
        return Decimal(0)
    whole = [Fraction(part) for part in parts]
    total = sum((Fraction(part.denominator, part.numerator) for part in whole), Fraction(0))
    # Rounded once, at the end: several rounded steps could give more than the lowest part.
    return divide(Decimal(total.denominator), Decimal(total.numerator))


def whole_board_megohm(circuits: Sequence[Decimal], rest: Decimal | None = None) -> Decimal:
    """What the whole board should read: its circuits together, with the bars and the rest where they are known."""
    return together_megohm([*circuits, *(() if rest is None else (rest,))])


def recovered_megohm(with_it: Decimal, without_it: Decimal) -> Decimal | None:
    """One circuit's insulation from the board read with it and without it: 1/(1/Rw − 1/Ro).

    None when the two readings do not differ: the circuit is then too high to be told apart.
    A board that reads more with the circuit than without it is no reading of one board: ValueError.
    """
    if with_it > without_it:
        raise ValueError("a board reads no more with a circuit than without it")
    if with_it == without_it:
        return None
    return divide(with_it * without_it, without_it - with_it)


def recovered_band(with_it: Decimal, without_it: Decimal, step: Decimal) -> tuple[Decimal, Decimal | None]:
    """The band that the recovered value may lie in when each reading may be off by half a step of the display.

    The upper end is None where the two readings may be equal.
    """
    half = step / 2
    low = recovered_megohm(with_it - half, without_it + half)
    if low is None or with_it + half >= without_it - half:
        return (low if low is not None else with_it, None)
    return low, recovered_megohm(with_it + half, without_it - half)
