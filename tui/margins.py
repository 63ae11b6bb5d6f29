"""How near a verdict lies to its limit: which of several readings is told first, and set on the scale.

Must never: judge again; the margin is the one that the verdict holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

_FAR = Decimal("Infinity")


def margin_of(verdict: Mapping[str, Any]) -> Decimal:
    """Return how far inside its limit a reading lies, negative outside; far where there is no such distance."""
    try:
        return Decimal(str(verdict["margin"]))
    except InvalidOperation:
        return _FAR if not verdict["margin"] else Decimal(0)
