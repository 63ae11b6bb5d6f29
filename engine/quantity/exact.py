"""Exact decimals: the one context of the engine, and numbers as plain text.

For: every sum that ends in a verdict, and every number that is stored or shown.
Must never: use a binary float, or depend on the context that the caller's thread happens to have.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from decimal import (
    ROUND_HALF_EVEN,
    ROUND_HALF_UP,
    Context,
    Decimal,
    DivisionByZero,
    InvalidOperation,
    Overflow,
    localcontext,
)

PRECISION = 28
"""Digits kept where a quotient does not end: the default of Python's decimal module."""

EXACT = Context(
    prec=PRECISION,
    rounding=ROUND_HALF_EVEN,
    Emin=-999_999,
    Emax=999_999,
    capitals=1,
    clamp=0,
    flags=[],
    traps=[InvalidOperation, DivisionByZero, Overflow],
)
"""The context of every sum; an operation without meaning raises instead of giving a NaN."""


def exact() -> AbstractContextManager[Context]:
    """A block in which decimals follow the engine's context, whatever the caller's context was."""
    return localcontext(EXACT)


def divide(dividend: Decimal, divisor: Decimal) -> Decimal:
    """The quotient, exact where it ends within 28 digits, else rounded half-even to 28 digits."""
    with exact():
        return dividend / divisor


def plain(value: Decimal) -> str:
    """The number without exponent, with its trailing zeros as given; minus zero is written as zero."""
    if not value.is_finite():
        raise ValueError(f"{value} has no plain form: only finite numbers are kept.")
    return format(value.copy_abs() if value.is_zero() else value, "f")


def shown(value: Decimal, resolution: Decimal) -> str:
    """The number rounded half up to a multiple of the resolution, for display only, never for a verdict."""
    if not (resolution.is_finite() and resolution > 0):
        raise ValueError("A resolution is a number above zero.")
    with localcontext(EXACT) as context:
        context.prec = 2 * PRECISION
        steps = (value / resolution).to_integral_value(ROUND_HALF_UP)
        return plain((steps * resolution).quantize(Decimal(1).scaleb(-decimals(resolution))))


def decimals(value: Decimal) -> int:
    """How many decimals the number needs when its trailing zeros are left out."""
    if not value.is_finite():
        raise ValueError(f"{value} has no decimals: only finite numbers are kept.")
    _, _, fraction = plain(value).partition(".")
    return len(fraction.rstrip("0"))
