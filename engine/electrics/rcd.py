"""Figures of the residual-current part: trip times, ramp bands, standing leakage, type and selectivity.

Times in milliseconds, currents in milliampere.  Nothing here decides whether a device is good.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.electrics.tables import (
    LEAKAGE_SHARE,
    RCD_DELAYED_LEAST_MS,
    RCD_DELAYED_MS,
    RCD_GENERAL_MS,
    Sourced,
)
from ferrule.engine.light import dataclass

GENERAL, DELAYED = "general", "delayed"
"""How soon a residual-current device acts."""

PRODUCT = "break times of IEC/BS EN 61008-1 and 61009-1 (published)"
OLDER = "BS 4293 and BS 7288, withdrawn product standards (published)"
HALF = Sourced(Decimal(2000), "must not trip at half its rated current; testers hold it for up to 2 s (published)")
"""How long a device has to hold at half its rated residual current."""

_LONGEST: Mapping[tuple[str, Decimal], str] = {
    (GENERAL, Decimal(1)): "300",
    (GENERAL, Decimal(2)): "150",
    (GENERAL, Decimal(5)): "40",
    (DELAYED, Decimal(1)): "500",
    (DELAYED, Decimal(2)): "200",
    (DELAYED, Decimal(5)): "150",
}
_SHORTEST: Mapping[Decimal, str] = {Decimal(1): "130", Decimal(2): "60", Decimal(5): "50"}
_SHORTEST_ABOVE = Decimal(40)
_OLDER: Mapping[Decimal, str] = {Decimal(1): "200", Decimal(5): "40"}
MULTIPLES = (Decimal(1), Decimal(2), Decimal(5))
"""The multiples of the rated residual current that the standards give times for; above five the last one holds."""


@dataclass(frozen=True, slots=True)
class TripTimes:
    """The shortest and longest time at one multiple of the rated residual current."""

    least_ms: Decimal
    longest_ms: Decimal
    source: str


def longest_trip(delayed: bool) -> Sourced:
    """Longest break time in ms at the rated residual current (BS EN 61009-1; A2:2022 note to 643.7.1)."""
    return RCD_DELAYED_MS if delayed else RCD_GENERAL_MS


def shortest_trip(delayed: bool) -> Sourced:
    """Shortest time in ms that the device must hold at the rated residual current (BS EN 61009-1)."""
    return RCD_DELAYED_LEAST_MS if delayed else Sourced(Decimal(0), "BS EN 61009-1: no least time, general type")


def trip_times(kind: str, multiple: Decimal, *, older_standard: bool = False) -> TripTimes | None:
    """The times at 1, 2, 5 or more than 5 times IΔn; None where the standard gives none."""
    above = multiple > MULTIPLES[-1]
    column = MULTIPLES[-1] if above else multiple
    if older_standard:
        longest = _OLDER.get(column) if kind == GENERAL and not above else None
        return None if longest is None else TripTimes(Decimal(0), Decimal(longest), OLDER)
    longest = _LONGEST.get((kind, column))
    if longest is None:
        return None
    if kind == GENERAL:
        return TripTimes(Decimal(0), Decimal(longest), PRODUCT)
    return TripTimes(_SHORTEST_ABOVE if above else Decimal(_SHORTEST[column]), Decimal(longest), PRODUCT)


def older_delay_times(multiple: Decimal, delay_ms: Decimal) -> TripTimes | None:
    """Times of a device with a marked delay: 200 ms (or 40 ms at five times) and 50 % to 100 % of it (BS 4293)."""
    base = _OLDER.get(multiple)
    if base is None:
        return None
    return TripTimes(Decimal(base) + delay_ms / 2, Decimal(base) + delay_ms, OLDER)


STAND_IN_MA = Sourced(Decimal(250), "a fixed 250 mA may stand in for 5 IΔn up to 30 mA (published)")


def five_times_ma(residual_ma: Decimal, *, fixed: bool = False) -> Decimal:
    """The current of the five times test: 5·IΔn, or the fixed 250 mA that may stand in for it up to 30 mA."""
    return STAND_IN_MA.value if fixed and residual_ma <= 30 else 5 * residual_ma


@dataclass(frozen=True, slots=True)
class Ramp:
    """Between which shares of IΔn a rising current should trip the device."""

    low: Decimal
    high: Decimal
    waveform: str
    source: str


def ramp_band(residual_type: str, residual_ma: Decimal) -> Ramp:
    """The band for a rising current by type; type A and wider on half waves (BS EN 61009-1, tester's data)."""
    source = "tester's specification quoting IEC/BS EN 61008-1 and 61009-1 (published)"
    if residual_type == "AC":
        return Ramp(Decimal("0.5"), Decimal(1), "a.c.", source)
    high = Decimal("1.4") if residual_ma > 10 else Decimal(2)
    return Ramp(Decimal("0.35"), high, "half wave", source)


def half_wave_factor(residual_type: str, residual_ma: Decimal) -> Decimal:
    """What a tester multiplies the half-wave current by: 1.4, or 2.0 up to 10 mA (tester's manual, published)."""
    if residual_type == "AC":
        return Decimal(1)
    return Decimal("1.4") if residual_ma > 10 else Decimal(2)


LOADS: Mapping[str, tuple[str, ...]] = {
    "no-dc": ("AC", "A", "F", "B"),
    "general": ("A", "F", "B"),
    "single-phase-drive": ("F", "B"),
    "smooth-dc": ("B",),
}
"""Types that suit a load: known to have no d.c., general, a single-phase drive with inverter, smooth d.c."""
LOADS_SOURCE = "BS 7671:2018 531.3.3 (published for type AC; type by load from memory)"


def suits_load(residual_type: str, load: str) -> bool:
    """True when a residual-current type may serve a load; KeyError for a load without a rule."""
    return residual_type in LOADS[load]


SELECTIVE_LEAST_RATIO = Sourced(Decimal(3), "IEC 61008-1 and 60364-5-53: upstream at least three times (from memory)")


@dataclass(frozen=True, slots=True)
class ResidualPart:
    """A residual-current device as selectivity sees it."""

    residual_ma: Decimal
    delayed: bool


def is_selective(upstream: ResidualPart, downstream: ResidualPart) -> bool:
    """True when only the downstream device should trip: upstream delayed, downstream not, and three times the current.

    Source: IEC 60364-5-53 535.3 and BS 7671:2018 536.4.1.4 (from memory).
    """
    enough = upstream.residual_ma >= SELECTIVE_LEAST_RATIO.value * downstream.residual_ma
    return upstream.delayed and not downstream.delayed and enough


def delayed_type_exists(residual_ma: Decimal, rating_a: Decimal) -> bool:
    """True where a delayed device is made: above 30 mA and from 25 A on, so never as additional protection."""
    return residual_ma > 30 and rating_a >= 25


def leakage_limit_ma(residual_ma: Decimal, share: Decimal = LEAKAGE_SHARE.value) -> Decimal:
    """Standing leakage that a device should carry at most: 0.3 × IΔn (531.3.2, from memory)."""
    return share * residual_ma
