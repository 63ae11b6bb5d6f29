"""Formulas of the torque tool: the settings that keep a screw inside its band; torque in N·m.

Nothing here sets a tool or guesses between two marks.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from ferrule.engine.quantity.exact import divide

_HUNDRED = Decimal(100)


def safe_low(low_nm: Decimal, error_pct: Decimal) -> Decimal:
    """Lowest setting that still gives the lower torque: low ÷ (1 − e), own derivation."""
    return divide(low_nm * _HUNDRED, _HUNDRED - error_pct)


def safe_high(high_nm: Decimal, error_pct: Decimal) -> Decimal:
    """Highest setting that never passes the upper torque: high ÷ (1 + e), own derivation."""
    return divide(high_nm * _HUNDRED, _HUNDRED + error_pct)


def marks_inside(
    low_nm: Decimal, high_nm: Decimal, *, first_nm: Decimal, last_nm: Decimal, step_nm: Decimal
) -> tuple[Decimal, ...]:
    """All marks of a tool, from its lowest on, that lie inside a band (both ends belong to the band)."""
    low, high = max(low_nm, first_nm), min(high_nm, last_nm)
    from_mark = int(divide(low - first_nm, step_nm).to_integral_value(rounding=ROUND_CEILING))
    to_mark = int(divide(high - first_nm, step_nm).to_integral_value(rounding=ROUND_FLOOR))
    return tuple(first_nm + step_nm * count for count in range(from_mark, to_mark + 1))


def nearest_middle(marks: tuple[Decimal, ...], low_nm: Decimal, high_nm: Decimal) -> Decimal:
    """The mark nearest to the middle of the band; of two equally near the lower, which strains less."""
    middle_twice = low_nm + high_nm
    return min(marks, key=lambda mark: (abs(2 * mark - middle_twice), mark))


def delivered(setting_nm: Decimal, error_pct: Decimal) -> tuple[Decimal, Decimal]:
    """The least and the most torque that a setting may give: set·(1 − e) to set·(1 + e) (own derivation)."""
    spread = divide(setting_nm * error_pct, _HUNDRED)
    return setting_nm - spread, setting_nm + spread


def class_error_pct(largest_nm: Decimal) -> Decimal:
    """Error that ISO 6789 allows a setting tool, in percent: 6 up to 10 N·m, 4 above (Type II class A, published)."""
    return Decimal(6) if largest_nm <= 10 else Decimal(4)
