"""What a computed figure is, what it may be computed from, and how it keeps track of what it rests on.

A figure without a source does not exist.  A value that the card does not give is never guessed: the figure
is then an `Unknown` with the reason in plain words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from decimal import Decimal

from ferrule.engine.electrics.model import Circuit, Device, How, Known, Point, Supply, TorqueTool
from ferrule.engine.electrics.tables import MOHM_PER_M, Sourced
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.errors import QuantityError
from ferrule.engine.quantity.exact import plain, shown
from ferrule.engine.quantity.quantity import parse_quantity
from ferrule.engine.quantity.reading import CellState, Reading
from ferrule.engine.quantity.units import convert

_SHOWN_STEP = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Figure:
    """A number computed for this circuit, or a band of it, with all that it rests on."""

    name: str
    low: Decimal
    high: Decimal
    unit: str
    formula: str
    """The rule in letters, e.g. `0.8 × table Zs`."""
    put_in: str
    """The rule with the numbers of this job, e.g. `0.8 × 1.37 Ω`."""
    source: str
    assumed: tuple[str, ...]
    """Fields of the card that somebody assumed and this figure rests on."""
    reads: tuple[str, ...]
    """Keys of the readings that this figure used."""

    @property
    def value(self) -> Decimal:
        """The one value; a figure that is a band has none and says so."""
        if self.low != self.high:
            raise ValueError(f"{self.name} is a band from {plain(self.low)} to {plain(self.high)}")
        return self.low


@dataclass(frozen=True, slots=True)
class Unknown:
    """A figure that cannot be computed here, and why, in words for a person."""

    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class FigureSpec:
    """What can be said of a figure before any job: for the checks of procedures and limits."""

    unit: str
    needs_point: bool
    title: str
    source: str


@dataclass(frozen=True, slots=True)
class Inputs:
    """All that figures are computed from: the card's facts, the named settings, and readings so far."""

    circuit: Circuit
    supply: Supply
    device: Device
    temperature_c: Known
    torque_tools: Mapping[str, TorqueTool]
    """The tools of the job, the chosen one first."""
    settings: Mapping[str, str]
    readings: Mapping[str, Reading]
    setting_sources: Mapping[str, str] = field(default_factory=dict)
    """Setting to where its value comes from, as the limits file says."""
    load_kinds: tuple[str, ...] = ()
    """What each load puts into its protective conductor; an empty word where nobody has said."""


@dataclass(frozen=True, slots=True)
class Worked:
    """The result of one formula before it gets its name and its trace."""

    low: Decimal
    high: Decimal
    formula: str
    put_in: str
    source: str


class MissingError(Exception):
    """Something a figure needs is not there; never leaves `compute`."""


@dataclass(slots=True)
class Trace:
    """The inputs of one computation and a note of which of them were used."""

    inputs: Inputs
    assumed: list[str] = field(default_factory=list)
    reads: list[str] = field(default_factory=list)
    settings: list[str] = field(default_factory=list)

    def card(self, known: Known, field_name: str, words: str) -> Decimal:
        """The card's value, noted when assumed; refuses when the card does not give it."""
        if known.value is None:
            raise MissingError(f"The card does not give {words}.")
        if known.how is How.ASSUMED:
            self.assumed.append(field_name)
        return known.value

    def reading(self, key: str, unit: str) -> Decimal | None:
        """The number read under this key in the wanted unit; None unless a plain number was read."""
        reading = self.inputs.readings.get(key)
        if reading is None or reading.state is not CellState.VALUE or reading.value is None:
            return None
        self.reads.append(key)
        return convert(reading.value, reading.unit, unit)

    def resolution(self, key: str, unit: str) -> Decimal:
        """The step of the display that a reading was taken with, in the wanted unit; 0 where it is not known."""
        reading = self.inputs.readings.get(key)
        if reading is None or reading.resolution is None:
            return Decimal(0)
        return convert(reading.resolution, reading.unit, unit)

    def setting(self, name: str, usual: Sourced, unit: str = "1") -> Sourced:
        """The number that the limits file sets under this name (`0.95` or `50 V`), else the usual one."""
        text = self.inputs.settings.get(name, "")
        if not text:
            return usual
        self.settings.append(name)
        try:
            quantity = parse_quantity(text if " " in text else f"{text} {unit}").in_unit(unit)
        except QuantityError as wrong:
            raise MissingError(f"The setting {name} is {text}, which is no number of {unit}.") from wrong
        return Sourced(quantity.value, self.setting_source(name))

    def choice(self, name: str, allowed: tuple[str, ...]) -> str:
        """The named choice of the limits file, the first one allowed where it makes none."""
        chosen = self.inputs.settings.get(name, allowed[0])
        if name in self.inputs.settings:
            self.settings.append(name)
        if chosen not in allowed:
            raise MissingError(f"The setting {name} is {chosen}; it may be {' or '.join(allowed)}.")
        return chosen

    def setting_source(self, name: str) -> str:
        """Where a setting comes from: its name and, where the limits file is known, the source beside it."""
        source = self.inputs.setting_sources.get(name, "")
        return f"setting {name}: {source}" if source else f"limits file, {name}"

    def whole_source(self, source: str) -> str:
        """A source with the settings that the figure rests on and that it does not name yet."""
        rests = [self.setting_source(name) for name in dict.fromkeys(self.settings)]
        return "; ".join([source, *(words for words in rests if words not in source)])

    def mohm_per_m(self, size_mm2: Decimal) -> Sourced:
        """The table value of a conductor size, or the reason that there is none."""
        found = MOHM_PER_M.get(size_mm2)
        if found is None:
            raise MissingError(f"The table of conductors has no size of {plain(size_mm2)} mm².")
        return found

    def length_m(self) -> Decimal:
        """The circuit's length as the card gives it."""
        return self.card(self.inputs.circuit.length_m, "circuit.length_m", "the length of the circuit")

    def point(self, point_id: str) -> Point:
        """The point with this id, or the reason that there is none."""
        for point in self.inputs.circuit.points:
            if point.id == point_id:
                if self.inputs.circuit.points_how is How.ASSUMED:
                    self.assumed.append("circuit.points")
                return point
        raise MissingError(f"The card has no point {point_id}." if point_id else "No point was named.")


def said(value: Decimal) -> str:
    """A number for a sentence: as it is up to four decimals, else rounded to four; never for a comparison."""
    written = plain(value)
    return written if len(written.partition(".")[2]) <= 4 else shown(value, _SHOWN_STEP)


def one(value: Decimal, formula: str, put_in: str, source: str) -> Worked:
    """A worked result of a single value."""
    return Worked(value, value, formula, put_in, source)
