"""Zs as read against Ze + (R1+R2): what a difference in each direction usually comes from.

Causes are advice in the order in which they are worth looking for; nothing here is a verdict.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.light import dataclass

LARGE_UPLIFT_OHM = Decimal("0.50")
UPLIFT_SOURCE = "trade press: small-current loop tests read about 0.1 to 0.5 Ω high through such a device (published)"
PARALLEL_SOURCE = "published practice: Zs well below Ze + (R1+R2) points to bonding or pipes in parallel"


@dataclass(frozen=True, slots=True)
class Mismatch:
    """How a loop reading stands to what was expected, and why that may be."""

    by_ohm: Decimal
    """Read minus expected: below zero when the reading is lower."""
    causes: tuple[str, ...]
    next_test: str
    source: str


def explain_mismatch(read_ohm: Decimal, expected_ohm: Decimal, within_ohm: Decimal) -> Mismatch | None:
    """The likely causes of a difference; None when the two agree within a tolerance."""
    by = read_ohm - expected_ohm
    if abs(by) <= within_ohm:
        return None
    if by < 0:
        return Mismatch(
            by,
            ("parallel paths through bonding, pipes or steel", "a length or size on the card that is too large"),
            "compare R1+R2 read dead with its own expected value",
            PARALLEL_SOURCE,
        )
    if by <= LARGE_UPLIFT_OHM:
        return Mismatch(
            by,
            ("uplift of a small-current test through the device", "a loose joint", "leads not nulled"),
            "read again with the other method or lead and record both",
            UPLIFT_SOURCE,
        )
    return Mismatch(
        by,
        ("a loose joint or a damaged conductor", "a spur or a length that is not on the card"),
        "isolate and read R1+R2 at this point again",
        "common practice",
    )
