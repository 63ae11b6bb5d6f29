"""The registry of figures: every name that a procedure or a limits row may use, and how it is computed.

Rules of this room
1. A figure is computed from the card, the settings and the readings of this job, and from nothing else.
2. It lists the readings that it used and the card's assumed fields that it rests on.
3. What cannot be computed is `Unknown` with a reason; no figure is ever filled with a usual value.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from ferrule.engine.electrics import circuit_figures as circuit
from ferrule.engine.electrics import device_figures as device
from ferrule.engine.electrics import disconnection, insulation, rcd, tables
from ferrule.engine.electrics import suit_figures as suit
from ferrule.engine.electrics import supply_figures as supply
from ferrule.engine.electrics.figure import (
    Figure,
    FigureSpec,
    Inputs,
    MissingError,
    Trace,
    Unknown,
    Worked,
)
from ferrule.engine.quantity.exact import exact

__all__ = ["NAMES", "Figure", "FigureSpec", "Inputs", "Unknown", "compute"]

_Worker = Callable[[Trace, str], Worked]

_ZS = "Zs = Ze + (R1 + R2), BS 7671:2018 part 2 definition (from memory)"
_TORQUE = "the device's leaflet; BS 7671:2018 134.1.1"
_TABLE: Mapping[str, tuple[_Worker, str, bool, str, str]] = {
    "ring.r1": (circuit.ring_r1, "ohm", False, "r1 to expect", tables.CONDUCTOR_SOURCE),
    "ring.rn": (circuit.ring_r1, "ohm", False, "rn to expect", tables.CONDUCTOR_SOURCE),
    "ring.r2": (circuit.ring_r2, "ohm", False, "r2 to expect", tables.CONDUCTOR_SOURCE),
    "ring.r2-from-r1": (
        circuit.ring_r2_from_r1,
        "ohm",
        False,
        "r2 to expect beside r1",
        tables.CONDUCTOR_SOURCE,
    ),
    "ring.r2-tolerance": (
        circuit.ring_r2_tolerance,
        "ohm",
        False,
        "how far r2 may lie from it",
        tables.R2_TOLERANCE_SHARE.source,
    ),
    "ring.step-two": (circuit.ring_step_two, "ohm", True, "step two to expect", circuit.STEP_TWO_SOURCE),
    "ring.step-three": (
        circuit.ring_step_three,
        "ohm",
        True,
        "step three to expect",
        circuit.STEP_THREE_SOURCE,
    ),
    "ring.step-three-max": (
        circuit.ring_step_three_max,
        "ohm",
        False,
        "largest step three to expect",
        circuit.STEP_THREE_SOURCE,
    ),
    "ring.length": (circuit.ring_length, "m", False, "length that r1 stands for", tables.CONDUCTOR_SOURCE),
    "cpc.r2-at": (circuit.cpc_r2_at, "ohm", True, "R2 to expect by the long lead", tables.CONDUCTOR_SOURCE),
    "radial.r1r2": (circuit.radial_r1r2, "ohm", True, "R1+R2 to expect", tables.CONDUCTOR_SOURCE),
    "radial.r1rn": (circuit.radial_r1rn, "ohm", True, "R1+Rn to expect", tables.CONDUCTOR_SOURCE),
    "ring.ratio": (circuit.ring_ratio, "1", False, "r2 ÷ r1 to expect", tables.CONDUCTOR_SOURCE),
    "loop.time": (supply.loop_time, "s", False, "longest disconnection time", disconnection.TABLE),
    "loop.touch": (supply.loop_touch, "V", False, "touch voltage at IΔn", tables.TOUCH_LIMIT_V.source),
    "loop.table": (
        supply.loop_table,
        "ohm",
        False,
        "table value of Zs",
        "BS 7671:2018 Table 41.3 by its formula",
    ),
    "loop.limit": (
        supply.loop_limit,
        "ohm",
        False,
        "limit for Zs as measured",
        tables.MEASURED_FACTOR.source,
    ),
    "loop.zs": (supply.loop_zs, "ohm", True, "Zs to expect", _ZS),
    "supply.ze": (supply.supply_ze, "ohm", False, "Ze as known", "job card or reading"),
    "supply.ze-limit": (supply.supply_ze_limit, "ohm", False, "largest declared Ze", "from memory"),
    "supply.volts-low": (supply.supply_volts_low, "V", False, "lowest voltage", tables.VOLTS_BELOW.source),
    "supply.volts-high": (supply.supply_volts_high, "V", False, "highest voltage", tables.VOLTS_ABOVE.source),
    "fault.current": (supply.fault_current, "kA", False, "fault current to expect", "Ohm's law"),
    "fault.highest": (supply.fault_highest, "kA", False, "largest fault current", "434.5.1 (from memory)"),
    "fault.rating": (suit.fault_rating, "kA", False, "what may be broken here", "the device's leaflet"),
    "upstream.ratio": (suit.upstream_ratio, "1", False, "upstream IΔn ÷ IΔn", rcd.SELECTIVE_LEAST_RATIO.source),
    "upstream.least": (suit.upstream_least, "1", False, "least ratio", rcd.SELECTIVE_LEAST_RATIO.source),
    "loads.unsuited": (suit.loads_unsuited, "1", False, "loads the type does not suit", rcd.LOADS_SOURCE),
    "insulation.recovered": (
        suit.insulation_recovered,
        "Mohm",
        False,
        "insulation of the circuit by itself",
        insulation.RECOVERED_SOURCE,
    ),
    "upstream.time-limit": (
        device.upstream_limit,
        "ms",
        False,
        "longest trip time of the device upstream",
        tables.RCD_GENERAL_MS.source,
    ),
    "upstream.time-least": (
        device.upstream_least_ms,
        "ms",
        False,
        "shortest trip time of the device upstream",
        tables.RCD_DELAYED_LEAST_MS.source,
    ),
    "rcd.limit": (device.rcd_limit, "ms", False, "longest trip time", tables.RCD_GENERAL_MS.source),
    "rcd.least": (device.rcd_least, "ms", False, "shortest trip time", tables.RCD_DELAYED_LEAST_MS.source),
    "rcd.five": (device.rcd_five, "ms", False, "longest trip time at five times", rcd.PRODUCT),
    "rcd.ramp-low": (device.rcd_ramp_low, "mA", False, "lowest rising current that trips", rcd.PRODUCT),
    "rcd.ramp-high": (device.rcd_ramp_high, "mA", False, "highest rising current to trip", rcd.PRODUCT),
    "torque.low": (device.torque_low, "Nm", True, "lowest setting", _TORQUE),
    "torque.high": (device.torque_high, "Nm", True, "highest setting", _TORQUE),
    "torque.setting": (device.torque_setting, "Nm", True, "mark to set", _TORQUE),
    "leakage.limit": (
        device.leakage_limit,
        "mA",
        False,
        "standing leakage limit",
        tables.LEAKAGE_SHARE.source,
    ),
}

NAMES: Mapping[str, FigureSpec] = MappingProxyType(
    {name: FigureSpec(unit, point, title, source) for name, (_, unit, point, title, source) in _TABLE.items()}
)
"""Every figure by its name, for the checks of the loader."""


def compute(name: str, inputs: Inputs, point: str = "") -> Figure | Unknown:
    """The figure of this name for this job, at this point where it needs one; ValueError for no such name."""
    if name not in _TABLE:
        raise ValueError(f"{name} is not a figure; the figures are {', '.join(_TABLE)}")
    worker = _TABLE[name][0]
    trace = Trace(inputs)
    try:
        with exact():
            worked = worker(trace, point)
    except MissingError as missing:
        return Unknown(name, str(missing))
    return Figure(
        name,
        worked.low,
        worked.high,
        NAMES[name].unit,
        worked.formula,
        worked.put_in,
        trace.whole_source(worked.source),
        tuple(dict.fromkeys(trace.assumed)),
        tuple(dict.fromkeys(trace.reads)),
    )
