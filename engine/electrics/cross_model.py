"""What a cross-check says, and the few ways in which one looks at the readings of a job.

For: the cross-checks of ring, radial, loop and supply.
Must never: judge; a cross-check stands beside the verdicts and changes none.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics.figure import Figure, Inputs, said
from ferrule.engine.electrics.figures import compute
from ferrule.engine.electrics.tables import Sourced
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import shown
from ferrule.engine.quantity.reading import CellState
from ferrule.engine.quantity.units import UNITS, convert

RING_OHM = Sourced(Decimal("0.05"), "common practice: readings of a ring that should agree do so within 0.05 Ω")
LOOP_OHM = Sourced(Decimal("0.10"), "common practice: a loop reading of 5 % + 5 digits is off by some 0.08 Ω at 0.6 Ω")
LENGTH_SHARE = Sourced(Decimal("0.10"), "common practice: a length on a record is good to a tenth")
DIGIT_OHM = Sourced(Decimal("0.01"), "IEC 61557-4 instruments show 0.01 Ω (common practice)")
DIGIT_KA = Sourced(Decimal("0.01"), "installation testers show 0.01 kA (common practice)")
_SHOWN = {"ohm": Decimal("0.01"), "kA": Decimal("0.01")}
"""The step to which a sentence rounds."""
FEW = 3
"""So many equal readings are not chance any more (common practice)."""


@dataclass(frozen=True, slots=True)
class CrossCheck:
    """One disagreement between readings, or between readings and the card."""

    name: str
    disagrees: str
    by: str
    """How far apart, with its unit; empty where the wonder is that they do not differ."""
    causes: tuple[str, ...]
    """The likeliest first."""
    next_test: str
    reads: tuple[str, ...]
    """Keys of the readings that it rests on."""

    @property
    def sentence(self) -> str:
        """The whole of it, to be read aloud."""
        likely = "; then ".join(self.causes)
        apart = f": {self.by} apart" if self.by else ""
        return f"{self.disagrees}{apart}. Likely: {likely}. Next: {self.next_test}."


def number(inputs: Inputs, key: str, unit: str = "ohm") -> Decimal | None:
    """The plain number read under a key, in the wanted unit; None without one."""
    reading = inputs.readings.get(key)
    if reading is None or reading.state is not CellState.VALUE or reading.value is None:
        return None
    return convert(reading.value, reading.unit, unit)


def numbers(inputs: Inputs, slot: str, unit: str = "ohm") -> dict[str, Decimal]:
    """The plain numbers read under a slot, by point, in the card's order."""
    found = {point.id: number(inputs, f"{slot}/{point.id}", unit) for point in inputs.circuit.points}
    return {point: value for point, value in found.items() if value is not None}


def figure_of(name: str, inputs: Inputs, point: str = "") -> Figure | None:
    """The figure of this name, or None where it is not known."""
    found = compute(name, inputs, point)
    return found if isinstance(found, Figure) else None


def tolerance(inputs: Inputs) -> Decimal:
    """What the limits file allows between readings of a ring, else the usual."""
    return Decimal(inputs.settings.get("ring-tolerance", RING_OHM.value))


def amount(value: Decimal, unit: str) -> str:
    """A number with its unit, rounded for reading."""
    step = _SHOWN.get(unit)
    return f"{shown(value, step) if step else said(value)} {UNITS[unit].shown}"


def spoken(key: str) -> str:
    """The key of a reading in words."""
    slot, _, point = key.partition("/")
    words = {"ring-two": "step two", "ring-three": "step three", "zs": "Zs"}.get(slot, slot)
    return f"{words} at {point}" if point else words
