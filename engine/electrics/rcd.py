"""Figures of the residual-current part: trip times and standing leakage.

Times in milliseconds, currents in milliampere.  Nothing here decides whether a device is good.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics.tables import (
    LEAKAGE_SHARE,
    RCD_DELAYED_LEAST_MS,
    RCD_DELAYED_MS,
    RCD_GENERAL_MS,
    Sourced,
)


def longest_trip(delayed: bool) -> Sourced:
    """Longest break time in ms at the rated residual current (BS EN 61009-1; A2:2022 note to 643.7.1)."""
    return RCD_DELAYED_MS if delayed else RCD_GENERAL_MS


def shortest_trip(delayed: bool) -> Sourced:
    """Shortest time in ms that the device must hold at the rated residual current (BS EN 61009-1)."""
    return RCD_DELAYED_LEAST_MS if delayed else Sourced(Decimal(0), "BS EN 61009-1: no least time, general type")


def leakage_limit_ma(residual_ma: Decimal, share: Decimal = LEAKAGE_SHARE.value) -> Decimal:
    """Standing leakage that a device should carry at most: 0.3 × IΔn (531.3.2, from memory)."""
    return share * residual_ma
