"""Formulas of the earth fault loop: table limits, the rules for measured values, and fault current.

Pure numbers in, pure numbers out; impedances in ohm, currents in ampere unless the name says otherwise.
A limit is never rounded here, except the published table value, which exists only with two decimals.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from ferrule.engine.electrics.tables import C_MIN, MEASURED_FACTOR, TOUCH_LIMIT_V, TWO_THIRDS
from ferrule.engine.quantity.exact import divide

_HUNDREDTH = Decimal("0.01")
_MILLI = Decimal("0.001")


def operating_current_a(rating_a: Decimal, multiple: Decimal) -> Decimal:
    """Current that opens the breaker at once: Ia = multiple × In (BS EN 60898-1 bands)."""
    return rating_a * multiple


def largest_zs_ohm(nominal_v: Decimal, operating_a: Decimal, c_min: Decimal = C_MIN.value) -> Decimal:
    """Largest Zs that still lets Ia flow: Cmin·U0/Ia, unrounded (BS 7671 411.4.4, from memory)."""
    return divide(c_min * nominal_v, operating_a)


def table_zs_ohm(nominal_v: Decimal, operating_a: Decimal, c_min: Decimal = C_MIN.value) -> Decimal:
    """Largest Zs as the table prints it: Cmin·U0/Ia, half up to 0.01 Ω (BS 7671 Tables 41.2 to 41.4)."""
    return largest_zs_ohm(nominal_v, operating_a, c_min).quantize(_HUNDREDTH, rounding=ROUND_HALF_UP)


def measured_limit_ohm(table_ohm: Decimal, factor: Decimal = MEASURED_FACTOR.value) -> Decimal:
    """Limit for a value measured cold: 0.8 × the table value, exact and unrounded (published 0.8 rule)."""
    return factor * table_ohm


def warm_limit_ohm(ze_ohm: Decimal, table_ohm: Decimal, factor: Decimal) -> Decimal:
    """Limit for a value measured cold by the warm sum: Ze + 1.2·(R1+R2) up to the table (from memory), turned round."""
    return ze_ohm + divide(table_ohm - ze_ohm, factor)


def two_thirds_limit_ohm(nominal_v: Decimal, operating_a: Decimal) -> Decimal:
    """Limit for a measured value by the other rule: 2/3 · U0/Ia (IEC 60364-6 annex, from memory)."""
    over, under = TWO_THIRDS
    return divide(over * nominal_v, under * operating_a)


def residual_zs_ohm(residual_ma: Decimal, touch_v: Decimal = TOUCH_LIMIT_V.value) -> Decimal:
    """Largest Zs where a residual-current device clears the fault: 50 V/IΔn, to 1 Ω (Table 41.5)."""
    return divide(touch_v, residual_ma * _MILLI).quantize(Decimal(1), rounding=ROUND_HALF_UP)


def touch_voltage_v(loop_ohm: Decimal, residual_ma: Decimal) -> Decimal:
    """Voltage between exposed metal and true earth while IΔn flows: RA × IΔn (411.5.3, from memory)."""
    return loop_ohm * residual_ma * _MILLI


def largest_residual_ma(electrode_ohm: Decimal, touch_v: Decimal = TOUCH_LIMIT_V.value) -> Decimal:
    """Largest rated residual current for an earth electrode: 50 V ÷ RA (guide quoted in a published thread)."""
    return divide(touch_v, electrode_ohm * _MILLI)


def largest_drivable_ohm(nominal_v: Decimal, low_share: Decimal, current_ma: Decimal) -> Decimal:
    """Largest loop that still lets a tester drive its current: low supply ÷ that current (Ohm's law)."""
    return divide(nominal_v * low_share, current_ma * _MILLI)


def fault_current_ka(nominal_v: Decimal, loop_ohm: Decimal) -> Decimal:
    """Prospective fault current in kA: U0/Z (Ohm's law; 643.7.3.201 from memory)."""
    return divide(nominal_v, loop_ohm) * _MILLI
