"""Readings that are hard to believe: each is held until the same value is entered a second time, marked as again.

For: a decimal point that slipped, the wrong range, one value copied to every place.
Must never: judge.  A value that is confirmed is judged like any other, and one that passes may still be held here.

Figures are imported where a reading first needs them, so that a walk starts without them.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cells import Slot, expected_of
from ferrule.engine.walk.events import DoubtedCell

if TYPE_CHECKING:
    from ferrule.engine.electrics.figures import Figure, Inputs

AGAIN = "Enter the same value again to keep it."


class DoubtError(FerruleError):
    """An answer holds values that nobody has confirmed; `cells` says which and why."""

    def __init__(self, cells: tuple[DoubtedCell, ...]) -> None:
        """Say the first doubt and how many more there are."""
        more = f" And {len(cells) - 1} more." if len(cells) > 1 else ""
        super().__init__(f"{cells[0].entered}: {cells[0].sentence} {AGAIN}{more}")
        self.cells = cells


@dataclass(frozen=True, slots=True)
class Typed:
    """A number as it was typed at a place, with what it was read as."""

    slot: Slot
    answer: c.CellAnswer
    reading: Reading


def refuse_doubtful(inputs: Inputs, typed: Iterable[Typed], doubted: tuple[tuple[str, str, str], ...]) -> None:
    """Raise DoubtError for the values that are hard to believe and were not entered twice.

    A value counts as entered twice when it was doubted before with the same text at the same place.
    """
    beside = [(one, figure) for one in typed if (figure := _expected(inputs, one)) is not None]
    if not beside:
        return
    copied = _copied(beside)
    odd = {one.slot.key for one, figure in beside if _implausible(one.reading, figure)}
    found = []
    for one, figure in beside:
        if odd & set(figure.reads):
            continue  # What it is held against is in doubt itself.
        sentence = _implausible(one.reading, figure) or (copied if _is_off(one.reading, figure) else "")
        where = (one.slot.point, one.slot.cell.id, one.answer.entered)
        if sentence and not (one.answer.again and where in doubted):
            found.append(DoubtedCell(*where, sentence))
    if found:
        raise DoubtError(tuple(found))


def _expected(inputs: Inputs, typed: Typed) -> Figure | None:
    """What is expected at a place for a number that was typed there; None where nothing is known of it."""
    from ferrule.engine.electrics.figures import Unknown

    if typed.answer.form != c.NUMBER or typed.reading.value is None:
        return None
    figure = expected_of(inputs, typed.slot)
    return None if figure is None or isinstance(figure, Unknown) else figure


def _implausible(reading: Reading, figure: Figure) -> str:
    from ferrule.engine.electrics.uncertainty import doubt_beside

    doubt = doubt_beside(_number(reading, figure), figure.low, figure.high, _step(reading, figure))
    return doubt.sentence if doubt else ""


def _copied(beside: list[tuple[Typed, Figure]]) -> str:
    """The sentence for one value at every place although the places should differ; empty where they need not."""
    from ferrule.engine.electrics.uncertainty import copied_doubt

    values = [_number(one.reading, figure) for one, figure in beside]
    expected = [(figure.low, figure.high) for _, figure in beside]
    step = max((_step(one.reading, figure) for one, figure in beside), default=Decimal(0))
    doubt = copied_doubt(values, expected, step) if len({figure.unit for _, figure in beside}) == 1 else None
    return doubt.sentence if doubt else ""


def _is_off(reading: Reading, figure: Figure) -> bool:
    """True when a value is not what its own place leads to expect, as far as the display can tell."""
    number, step = _number(reading, figure), _step(reading, figure)
    return not figure.low - step <= number <= figure.high + step


def _number(reading: Reading, figure: Figure) -> Decimal:
    from ferrule.engine.quantity.units import convert

    assert reading.value is not None
    return convert(reading.value, reading.unit, figure.unit)


def _step(reading: Reading, figure: Figure) -> Decimal:
    from ferrule.engine.quantity.units import convert

    return Decimal(0) if reading.resolution is None else convert(reading.resolution, reading.unit, figure.unit)
