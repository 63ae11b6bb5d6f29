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
    earthed: bool = True
    """False at a point without protective conductor, where only class II equipment may sit."""


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
    use: str = "sockets"
    """`sockets`, `lighting` or `fixed equipment`; sockets have the strictest disconnection time."""
    two_way: bool = False
    """Whether lights are switched from two places, so that there are two positions to read."""
    high_protective_current: bool = True
    """Whether the protective-conductor current may exceed 10 mA; true while the card does not rule it out."""


@dataclass(frozen=True, slots=True)
class Upstream:
    """The residual-current device before the one that is fitted; no current means that there is none."""

    residual_ma: Decimal | None
    delayed: bool
    in_board: bool = False
    """True when it feeds a section of this board, so that the job can time it with the ways off."""


@dataclass(frozen=True, slots=True)
class Supply:
    """The supply at the origin of the board; impedance in ohm, fault current in kA."""

    earthing: str
    """`TN-C-S`, `TN-S` or `TT`."""
    phases: int
    nominal_v: Decimal
    ze_ohm: Known
    fault_ka: Known
    phase: str = ""
    """The phase of the way, `L1`, `L2` or `L3`; empty on one phase."""
    neutral_opens: bool = False
    """Whether the main switch opens the neutral too; where it does not, the neutral bar counts as live."""
    upstream: Upstream | None = None
    """The residual-current device before this one; None while nobody has said."""
    origin: str = "distributor"
    """Who feeds the board: the `distributor`, or an `own board` before it."""
    conditional_rating: bool = False
    """Whether the board is declared for this device behind the supply's type-tested fuse."""


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
    late: bool = False
    """True for a lead of the device that the insulation test would hurt: it is landed after that test."""
    part: str = ""
    """`supply`, `load`, `lead` or `earth`: what it belongs to; one without a part counts with every part."""


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
    confirming_release: bool = False
    """Whether the leaflet calls for one confirming release of each screw."""
    toggle_may_be_held: bool = False
    """Whether the leaflet allows that the toggle is held while the button is pressed."""


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
