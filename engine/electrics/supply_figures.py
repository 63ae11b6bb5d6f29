"""Figures of the supply and of the earth fault loop: Ze, Zs, their limits, volts and fault current."""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics import disconnection, loop
from ferrule.engine.electrics.circuit_figures import loop_part
from ferrule.engine.electrics.figure import MissingError, Trace, Worked, one, said
from ferrule.engine.electrics.tables import (
    BREAKER_MULTIPLE,
    C_MIN,
    ELECTRODE_STABLE_OHM,
    MEASURED_FACTOR,
    THREE_PHASE_RULE,
    TOUCH_LIMIT_V,
    TWO_THIRDS_SOURCE,
    VOLTS_ABOVE,
    VOLTS_BELOW,
    WARM_FACTOR,
    ZE_LIMIT_OHM,
    Sourced,
)

LOOP_RULES = ("measured-0.8", "two-thirds", "warm")
"""The values of the setting `loop-rule`."""
TT_LOOPS = ("table", "stable-electrode")
"""The values of the setting `tt-loop`."""

_KINDS = {
    disconnection.CircuitKind.SOCKETS: "circuit with sockets",
    disconnection.CircuitKind.FIXED: "circuit of fixed equipment only",
}
_OHMS_LAW = "Ohm's law, U0/Z; 643.7.3.201 (from memory)"


def _operating(trace: Trace) -> tuple[Decimal, str]:
    """Ia of the device and the words that say how it was found."""
    device = trace.inputs.device
    multiple = BREAKER_MULTIPLE.get(device.curve)
    if multiple is None:
        raise MissingError(f"There is no operating current for a breaker of curve {device.curve or 'not given'}.")
    current = loop.operating_current_a(device.rating_a, multiple.value)
    return current, f"({said(multiple.value)} × {said(device.rating_a)} A)"


def loop_table(trace: Trace, _point: str) -> Worked:
    """The table value of Zs for the device, with its two decimals."""
    nominal = trace.inputs.supply.nominal_v
    current, words = _operating(trace)
    c_min = trace.setting("cmin", C_MIN)
    put_in = f"{said(c_min.value)} × {said(nominal)} V ÷ {words}"
    source = f"BS 7671:2018 Table 41.3 by its formula; {c_min.source}"
    return one(loop.table_zs_ohm(nominal, current, c_min.value), "Cmin × U0 ÷ Ia, to 0.01 Ω", put_in, source)


def loop_limit(trace: Trace, _point: str) -> Worked:
    """The limit for a Zs that was measured cold; on TT the residual-current rule holds."""
    supply, device = trace.inputs.supply, trace.inputs.device
    if supply.earthing == "TT":
        touch = trace.setting("touch-volts", TOUCH_LIMIT_V, "V")
        value = loop.residual_zs_ohm(device.residual_ma, touch.value)
        if trace.choice("tt-loop", TT_LOOPS) == "stable-electrode":
            stable = trace.setting("tt-stable-ohm", ELECTRODE_STABLE_OHM, "ohm")
            return _least_of(value, stable, f"{said(touch.value)} V ÷ {said(device.residual_ma)} mA")
        put_in = f"{said(touch.value)} V ÷ {said(device.residual_ma)} mA"
        return one(value, f"{said(touch.value)} V ÷ IΔn, to 1 Ω", put_in, touch.source)
    rule = trace.choice("loop-rule", LOOP_RULES)
    if rule == "two-thirds":
        current, words = _operating(trace)
        put_in = f"2/3 × {said(supply.nominal_v)} V ÷ {words}"
        value = loop.two_thirds_limit_ohm(supply.nominal_v, current)
        return one(value, "2/3 × U0 ÷ Ia", put_in, TWO_THIRDS_SOURCE)
    table = loop_table(trace, "")
    if rule == "warm":
        return _warm_limit(trace, table)
    factor = trace.setting("measured-factor", MEASURED_FACTOR)
    put_in = f"{said(factor.value)} × {said(table.low)} Ω"
    source = f"{factor.source}; {table.source}"
    value = loop.measured_limit_ohm(table.low, factor.value)
    return one(value, f"{said(factor.value)} × table Zs", put_in, source)


def _least_of(value: Decimal, stable: Sourced, put_in: str) -> Worked:
    """The smaller of the table's limit and what an electrode stays stable at."""
    words = f"the smaller of {put_in} and {said(stable.value)} Ω"
    return one(min(value, stable.value), words, words, f"{TOUCH_LIMIT_V.source}; {stable.source}")


def _warm_limit(trace: Trace, table: Worked) -> Worked:
    """The cold Zs whose circuit part, made warm, just meets the table: Ze + (table − Ze) ÷ 1.2."""
    ze, factor = _ze(trace), trace.setting("warm-factor", WARM_FACTOR)
    put_in = f"{said(ze.value)} Ω + ({said(table.low)} Ω − {said(ze.value)} Ω) ÷ {said(factor.value)}"
    value = loop.warm_limit_ohm(ze.value, table.low, factor.value)
    return one(value, "Ze + (table Zs − Ze) ÷ warm factor", put_in, f"{factor.source}; {table.source}")


def _ze(trace: Trace) -> Sourced:
    """Ze: as read, else as the card gives it."""
    read = trace.reading("ze", "ohm")
    if read is not None:
        return Sourced(read, "read in this job")
    supply = trace.inputs.supply
    value = trace.card(supply.ze_ohm, "supply.ze_ohm", "Ze, the loop impedance outside the installation")
    return Sourced(value, f"job card, {supply.ze_ohm.how.value}")


def supply_ze(trace: Trace, _point: str) -> Worked:
    """Ze as it is known in this job."""
    ze = _ze(trace)
    return one(ze.value, "Ze", f"{said(ze.value)} Ω, {ze.source}", ze.source)


def loop_zs(trace: Trace, point: str) -> Worked:
    """Zs to expect at a point: Ze and what the circuit adds there."""
    ze, part = _ze(trace), loop_part(trace, point)
    put_in = f"{said(ze.value)} Ω + {part.put_in}"
    source = f"Zs = Ze + (R1 + R2), BS 7671:2018 part 2 definition (from memory); {part.source}"
    return Worked(ze.value + part.low, ze.value + part.high, "Ze + (R1 + R2)", put_in, source)


def supply_ze_limit(trace: Trace, _point: str) -> Worked:
    """The largest Ze that distributors declare for the earthing system."""
    earthing = trace.inputs.supply.earthing
    usual = ZE_LIMIT_OHM.get(earthing)
    if usual is None:
        raise MissingError(f"No largest Ze is known for the earthing system {earthing or 'not given'}.")
    limit = trace.setting(f"ze-{earthing.lower()}", usual, "ohm")
    return one(limit.value, f"largest declared Ze, {earthing}", f"{said(limit.value)} Ω", limit.source)


def _volts(trace: Trace, share: Sourced) -> Worked:
    nominal = trace.inputs.supply.nominal_v
    put_in = f"{said(share.value)} × {said(nominal)} V"
    return one(share.value * nominal, f"{said(share.value)} × nominal", put_in, share.source)


def supply_volts_low(trace: Trace, _point: str) -> Worked:
    """The lowest supply voltage that is allowed."""
    below = trace.setting("supply-below", VOLTS_BELOW, "%")
    return _volts(trace, Sourced(1 - below.value / 100, below.source))


def supply_volts_high(trace: Trace, _point: str) -> Worked:
    """The highest supply voltage that is allowed."""
    above = trace.setting("supply-above", VOLTS_ABOVE, "%")
    return _volts(trace, Sourced(1 + above.value / 100, above.source))


def loop_time(trace: Trace, _point: str) -> Worked:
    """The longest time in which a fault on this circuit has to be cleared."""
    inputs = trace.inputs
    feeds_sockets = inputs.circuit.use == "sockets"
    kind = disconnection.CircuitKind.SOCKETS if feeds_sockets else disconnection.CircuitKind.FIXED
    asked = disconnection.Asked(inputs.supply.earthing, inputs.supply.nominal_v, inputs.device.rating_a, kind)
    found = disconnection.longest_time_s(asked)
    if found is None:
        raise MissingError(f"At {said(asked.u0_v)} V no disconnection time is asked for.")
    words = f"{inputs.supply.earthing}, {said(asked.u0_v)} V, {said(asked.rating_a)} A, {_KINDS[kind]}"
    return one(found.value, "time by system, voltage, rating and kind of circuit", words, found.source)


def loop_touch(trace: Trace, _point: str) -> Worked:
    """The touch voltage while the rated residual current flows through the loop outside: Ze × IΔn."""
    ze, residual = _ze(trace), trace.inputs.device.residual_ma
    put_in = f"{said(ze.value)} Ω × {said(residual)} mA ÷ 1000"
    source = f"RA × IΔn, BS 7671:2018 411.5.3 (from memory); {ze.source}"
    return one(loop.touch_voltage_v(ze.value, residual), "Ze × IΔn", put_in, source)


def fault_current(trace: Trace, _point: str) -> Worked:
    """The fault current at the origin to expect from Ze."""
    if trace.inputs.supply.earthing == "TT":
        raise MissingError("On TT the fault current to neutral does not flow through Ze, and that to earth is small.")
    nominal, ze = trace.inputs.supply.nominal_v, _ze(trace)
    if ze.value == 0:
        raise MissingError("Ze is 0 Ω, so no fault current can be worked out from it.")
    value = loop.fault_current_ka(nominal, ze.value)
    return one(value, "U0 ÷ Z ÷ 1000", f"{said(nominal)} V ÷ {said(ze.value)} Ω ÷ 1000", _OHMS_LAW)


def fault_highest(trace: Trace, _point: str) -> Worked:
    """The fault current to hold the device against: the larger one read, doubled on three phases."""
    supply = trace.inputs.supply
    read = [trace.reading(f"fault-current/{pair}", "kA") for pair in ("L-N", "L-E")]
    to_neutral, to_earth = read
    known = [value for value in read if value is not None]
    if not known:
        known = [trace.card(supply.fault_ka, "supply.fault_ka", "the fault current at the origin")]
        return one(known[0], "fault current of the card", f"{said(known[0])} kA", "job card")
    if supply.phases == 1:
        put_in = " or ".join(f"{said(value)} kA" for value in known)
        return one(max(known), "the larger of L–N and L–E", put_in, "434.5.1 (from memory)")
    if to_neutral is None:
        raise MissingError("On three phases the fault current needs a line-to-neutral reading.")
    doubled = THREE_PHASE_RULE.value * to_neutral
    highest = doubled if to_earth is None else max(doubled, to_earth)
    return one(highest, "2 × L–N, or L–E if larger", f"2 × {said(to_neutral)} kA", THREE_PHASE_RULE.source)
