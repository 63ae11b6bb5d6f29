"""The names of the figures that can be asked for, each with its keys and how it is found."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from ferrule.engine.electrics import asked_circuit as circuit
from ferrule.engine.electrics import asked_device as device
from ferrule.engine.electrics import asked_loop as loop
from ferrule.engine.electrics.asked import Answer, AskError, Given, Named, meant
from ferrule.engine.quantity.exact import exact

_KEYS: tuple[Named, ...] = (
    Named(
        "r1-r2",
        "R1+R2 of a length of cable",
        ("line_mm2", "cpc_mm2", "length_m", "[temperature_c]", "[material]"),
        circuit.r1_r2,
    ),
    Named(
        "ring-step-two",
        "line to neutral at a socket, legs cross-linked",
        ("r1_ohm", "rn_ohm", "[at_fraction]"),
        circuit.step_two,
    ),
    Named(
        "ring-step-three",
        "line to protective conductor at a socket, legs cross-linked",
        ("r1_ohm", "r2_ohm", "[at_fraction]"),
        circuit.step_three,
    ),
    Named("ring-ratio", "r2 ÷ r1 to expect", ("line_mm2", "cpc_mm2", "[r1_ohm]", "[r2_ohm]"), circuit.ratio),
    Named("ring-length", "length of ring that r1 stands for", ("r1_ohm", "line_mm2"), circuit.length),
    Named(
        "zs-limit",
        "largest Zs of a breaker or fuse",
        ("curve|fuse", "rating_a", "[time_s]", "[u0_v]", "[edition]"),
        loop.zs_limit,
    ),
    Named(
        "zs-expected",
        "Zs to expect",
        ("ze_ohm", "r1r2_ohm|line_mm2", "[cpc_mm2]", "[length_m]", "[temperature_c]"),
        loop.zs_expected,
    ),
    Named(
        "zs-measured-limit",
        "limit for a Zs read on cold conductors",
        ("curve|fuse|table_ohm", "[rating_a]", "[rule]", "[measured_ohm]"),
        loop.measured_limit,
    ),
    Named("fault-current", "prospective fault current", ("z_ohm", "[u0_v]", "[phases]", "[rule]"), loop.fault_current),
    Named(
        "adiabatic",
        "smallest protective conductor for a fault",
        ("current_a", "time_s", "k", "[proposed_mm2]"),
        device.conductor,
    ),
    Named("insulation-parallel", "insulations read together", ("megohm", "[limit_megohm]"), circuit.parallel),
    Named(
        "resistance-at-temperature",
        "a resistance at another temperature",
        ("ohm", "from_c", "to_c", "[alpha]"),
        circuit.at_temperature,
    ),
    Named(
        "rcd-limit",
        "trip time of a residual-current device",
        ("type", "multiple", "[edition]", "[trip_ms]", "[disconnection_ms]"),
        device.trip_limit,
    ),
    Named(
        "tt-limit",
        "largest electrode resistance on TT",
        ("residual_ma", "[touch_v]", "[ra_ohm]"),
        loop.tt_limit,
    ),
    Named(
        "torque-setting",
        "safe settings of a torque tool",
        ("low_nm|nominal_nm", "[high_nm]", "error_pct", "[graduation_nm]", "[range_nm]"),
        device.torque_setting,
    ),
    Named(
        "guard-band",
        "a reading against a limit with the instrument's error",
        ("measured", "at_least|at_most", "[limit]", "uncertainty_pct", "[digits]", "[resolution]"),
        device.guard_band,
    ),
)
ASKED: Mapping[str, Named] = MappingProxyType({named.name: named for named in _KEYS})
"""Every figure that can be asked for, by its name."""


def find_named(name: str) -> Named:
    """The figure of this name; AskError with the nearest spelling for no such name."""
    found = ASKED.get(name)
    if found is None:
        raise AskError(f"There is no figure “{name}”. {meant(name, ASKED)}")
    return found


def ask(name: str, texts: Mapping[str, str]) -> tuple[Given, Answer]:
    """The figure of this name for these keys; AskError where it cannot be found."""
    named = find_named(name)
    given = Given(named, texts)
    try:
        with exact():
            return given, named.find(given)
    except ArithmeticError as error:
        raise AskError("These numbers are too large or too small for an exact figure.") from error
