"""Figures of the device to be fitted: its rating, its residual-current part and its screws."""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics import rcd, torque
from ferrule.engine.electrics.figure import MissingError, Trace, Worked, one, said
from ferrule.engine.electrics.model import Terminal, TorqueTool, Upstream
from ferrule.engine.electrics.tables import LEAKAGE_SHARE, TT_FINAL_MS, Sourced

TT_TIMES = ("device", "table")
"""The values of the setting `tt-time`: the device's own limit, or also the disconnection time of the TT circuit."""
_TORQUE_SOURCE = "the device's leaflet; tool error by own derivation; BS 7671:2018 134.1.1"


def rcd_limit(trace: Trace, _point: str) -> Worked:
    """The longest trip time at the rated residual current."""
    delayed = trace.inputs.device.delayed
    name = "rcd-delayed-ms" if delayed else "rcd-general-ms"
    limit = trace.setting(name, rcd.longest_trip(delayed), "ms")
    if trace.inputs.supply.earthing == "TT" and trace.choice("tt-time", TT_TIMES) == "table":
        table = trace.setting("tt-time-ms", TT_FINAL_MS, "ms")
        words = f"the smaller of {said(limit.value)} ms and {said(table.value)} ms"
        return one(min(limit.value, table.value), words, words, f"{limit.source}; {table.source}")
    return one(limit.value, "longest time at IΔn", f"{said(limit.value)} ms", limit.source)


def rcd_least(trace: Trace, _point: str) -> Worked:
    """The shortest trip time at the rated residual current; above 0 for the delayed type only."""
    delayed = trace.inputs.device.delayed
    least = rcd.shortest_trip(delayed)
    if delayed:
        least = trace.setting("rcd-delayed-least-ms", least, "ms")
    return one(least.value, "shortest time at IΔn", f"{said(least.value)} ms", least.source)


def upstream_limit(trace: Trace, _point: str) -> Worked:
    """The longest trip time of the residual device upstream at its own rated residual current."""
    delayed = _upstream(trace).delayed
    limit = trace.setting("rcd-delayed-ms" if delayed else "rcd-general-ms", rcd.longest_trip(delayed), "ms")
    return one(limit.value, "longest time at IΔn of the device upstream", f"{said(limit.value)} ms", limit.source)


def upstream_least_ms(trace: Trace, _point: str) -> Worked:
    """The shortest trip time of the residual device upstream; above 0 for the delayed type only."""
    delayed = _upstream(trace).delayed
    least = rcd.shortest_trip(delayed)
    if delayed:
        least = trace.setting("rcd-delayed-least-ms", least, "ms")
    return one(least.value, "shortest time at IΔn of the device upstream", f"{said(least.value)} ms", least.source)


def _upstream(trace: Trace) -> Upstream:
    upstream = trace.inputs.supply.upstream
    if upstream is None or upstream.residual_ma is None:
        raise MissingError("The card names no residual-current device upstream.")
    return upstream


def rcd_five(trace: Trace, _point: str) -> Worked:
    """The longest trip time at five times the rated residual current."""
    kind = rcd.DELAYED if trace.inputs.device.delayed else rcd.GENERAL
    times = rcd.trip_times(kind, Decimal(5))
    if times is None:
        raise MissingError("The standard gives no time for this device at five times its current.")
    longest = trace.setting("rcd-five-ms", Sourced(times.longest_ms, times.source), "ms")
    return one(longest.value, "longest time at 5 IΔn", f"{said(longest.value)} ms", longest.source)


def _ramp(trace: Trace, end: str) -> Worked:
    device = trace.inputs.device
    band = rcd.ramp_band(device.residual_type, device.residual_ma)
    share = band.low if end == "low" else band.high
    put_in = f"{said(share)} × {said(device.residual_ma)} mA, {band.waveform}"
    return one(share * device.residual_ma, f"{said(share)} × IΔn", put_in, band.source)


def rcd_ramp_low(trace: Trace, _point: str) -> Worked:
    """The lowest rising current that should trip the device."""
    return _ramp(trace, "low")


def rcd_ramp_high(trace: Trace, _point: str) -> Worked:
    """The highest rising current that should be needed to trip the device."""
    return _ramp(trace, "high")


def leakage_limit(trace: Trace, _point: str) -> Worked:
    """The standing leakage that the device should carry at most."""
    residual, share = trace.inputs.device.residual_ma, trace.setting("leakage-share", LEAKAGE_SHARE)
    put_in = f"{said(share.value)} × {said(residual)} mA"
    return one(rcd.leakage_limit_ma(residual, share.value), f"{said(share.value)} × IΔn", put_in, share.source)


def _terminal(trace: Trace, terminal_id: str) -> Terminal:
    for terminal in trace.inputs.device.terminals:
        if terminal.id == terminal_id:
            return terminal
    raise MissingError(f"The card has no terminal {terminal_id}." if terminal_id else "No terminal was named.")


def _tool(trace: Trace) -> TorqueTool:
    for tool in trace.inputs.torque_tools.values():
        return tool
    raise MissingError("The job has no torque tool.")


def _band(trace: Trace, terminal_id: str) -> tuple[Decimal, Decimal, str, str]:
    """The safe settings for a screw with the chosen tool, and the words for both ends."""
    terminal = _terminal(trace, terminal_id)
    if terminal.low_nm is not None and terminal.high_nm is not None:
        error = _tool(trace).error_pct
        low, high = torque.safe_low(terminal.low_nm, error), torque.safe_high(terminal.high_nm, error)
        if low > high:
            raise MissingError(
                f"The tool's error of {said(error)} % is too large for the band from"
                f" {said(terminal.low_nm)} to {said(terminal.high_nm)} N·m at {terminal.name}."
            )
        share = said(error / 100)
        return (
            low,
            high,
            f"{said(terminal.low_nm)} N·m ÷ (1 − {share})",
            f"{said(terminal.high_nm)} N·m ÷ (1 + {share})",
        )
    if terminal.nominal_nm is None:
        raise MissingError(f"The leaflet's torque for {terminal.name} is not on the card.")
    words = f"{said(terminal.nominal_nm)} N·m, the only value given"
    return terminal.nominal_nm, terminal.nominal_nm, words, words


def torque_low(trace: Trace, point: str) -> Worked:
    """The lowest setting that still tightens the screw enough."""
    low, _, words, _ = _band(trace, point)
    return one(low, "low ÷ (1 − e), or the nominal value", words, _TORQUE_SOURCE)


def torque_high(trace: Trace, point: str) -> Worked:
    """The highest setting that does not strain the screw."""
    _, high, _, words = _band(trace, point)
    return one(high, "high ÷ (1 + e), or the nominal value", words, _TORQUE_SOURCE)


def torque_setting(trace: Trace, point: str) -> Worked:
    """The mark of the tool to set for a screw."""
    tool = _tool(trace)
    low, high, _, _ = _band(trace, point)
    marks = torque.marks_inside(low, high, first_nm=tool.low_nm, last_nm=tool.high_nm, step_nm=tool.graduation_nm)
    if not marks:
        wanted = f"{said(low)} N·m" if low == high else f"{said(low)} to {said(high)} N·m"
        raise MissingError(
            f"Tool {tool.id} has no mark for {wanted}: its marks run from {said(tool.low_nm)} to"
            f" {said(tool.high_nm)} N·m in steps of {said(tool.graduation_nm)}."
        )
    chosen = torque.nearest_middle(marks, low, high)
    put_in = f"{said(chosen)} N·m lies in {said(low)} to {said(high)} N·m"
    return one(chosen, "the mark nearest to the middle of the safe band", put_in, _TORQUE_SOURCE)
