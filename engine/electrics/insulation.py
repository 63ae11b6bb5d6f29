"""Formulas of the insulation test; resistances in megohm.

Nothing here knows a limit.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from ferrule.engine.quantity.exact import divide


def together_megohm(parts: Sequence[Decimal]) -> Decimal:
    """Several insulations read together: 1/R = Σ 1/Ri (Ohm's law); a part of zero gives zero."""
    if not parts:
        raise ValueError("at least one insulation resistance is needed")
    if any(part == 0 for part in parts):
        return Decimal(0)
    total = sum((divide(Decimal(1), part) for part in parts), Decimal(0))
    return divide(Decimal(1), total)
