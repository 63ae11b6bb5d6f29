"""What the electrical figures are computed from: the circuit, its supply and its device.

Plain frozen values, filled from the job card by the loader.  Nothing here reads a file or decides anything.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from ferrule.engine.light import dataclass


class How(StrEnum):
    """How a value on the card is known; anything computed from the last two says so."""

    MEASURED = "measured"
    RECORD = "record"
    STATED = "stated"
    ASSUMED = "assumed"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Known:
    """A number of the card with the way it is known; `value` is None only when `how` is unknown."""

    value: Decimal | None
    how: How

    @property
    def is_sure(self) -> bool:
        """True when somebody measured, recorded or stated the value."""
        return self.value is not None and self.how not in (How.ASSUMED, How.UNKNOWN)


@dataclass(frozen=True, slots=True)
class Point:
    """A socket or other point of the circuit; `distance_m` is counted from the board along leg 1."""

    id: str
    name: str
    distance_m: Known
    spur_from: str = ""
    """The point that a spur leaves from; empty when the point is on the ring or the main run."""
    spur_length_m: Known = Known(None, How.UNKNOWN)


@dataclass(frozen=True, slots=True)
class Circuit:
    """The final circuit under work; sizes in mm², lengths in metres."""

    kind: str
    """`ring` or `radial`."""
    name: str
    line_mm2: Decimal
    cpc_mm2: Decimal
    length_m: Known
    points: tuple[Point, ...]
    points_how: How
    new_wiring: bool


@dataclass(frozen=True, slots=True)
class Supply:
    """The supply at the origin of the board; impedance in ohm, fault current in kA."""

    earthing: str
    """`TN-C-S`, `TN-S` or `TT`."""
    phases: int
    nominal_v: Decimal
    ze_ohm: Known
    fault_ka: Known


@dataclass(frozen=True, slots=True)
class Terminal:
    """A screw that the job tightens; torque in N·m, either a band or a nominal value."""

    id: str
    name: str
    conductors: str
    """What goes into it, in words."""
    count: int
    low_nm: Decimal | None
    high_nm: Decimal | None
    nominal_nm: Decimal | None


@dataclass(frozen=True, slots=True)
class Device:
    """The device to be fitted, as its leaflet and its marks say."""

    curve: str
    rating_a: Decimal
    residual_ma: Decimal
    residual_type: str
    delayed: bool
    poles: str
    """`double` when both poles switch, `single` when the neutral stays solid."""
    breaking_ka: Decimal
    bidirectional: bool
    functional_earth_lead: bool
    insulation_rule: str
    """What the leaflet says of the insulation test: `out`, `off`, or `permits`."""
    leaflet: str
    terminals: tuple[Terminal, ...]


@dataclass(frozen=True, slots=True)
class Function:
    """One function of an instrument on one range: what it shows, how far, how well."""

    name: str
    unit: str
    resolution: Decimal
    full_scale: Decimal | None
    lowest: Decimal | None
    """The lowest step that the display or indicator shows, where there is one."""
    error_pct: Decimal
    error_digits: Decimal
    source: str
    """Where the error comes from."""


@dataclass(frozen=True, slots=True)
class TorqueTool:
    """A torque tool; torque in N·m, error in percent of the setting."""

    id: str
    serial: str
    due: str
    low_nm: Decimal
    high_nm: Decimal
    graduation_nm: Decimal
    error_pct: Decimal
