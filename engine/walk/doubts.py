"""Readings that are hard to believe: each is held until the same value is entered a second time, marked as again.

For: a decimal point that slipped, the wrong range, one value copied to every place; and readings that the limits
file wants typed twice, the second time without sight of the first (HI-09).
Must never: judge.  A value that is confirmed is judged like any other, and one that passes may still be held here.

Figures are imported where a reading first needs them, so that a walk starts without them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.words import SECOND_ENTRIES
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cells import Slot, expected_of
from ferrule.engine.walk.events import DoubtedCell

if TYPE_CHECKING:
    from ferrule.engine.electrics.figures import Figure, Inputs

AGAIN = "Enter the same value again to keep it."
SECOND = "This reading is typed twice: type it again from the instrument, without looking at the first."
DIFFERS = "This is not what was typed before. Read the instrument again, and type that twice."
BLIND = (SECOND, DIFFERS)
"""Sentences that go without the value, so that the second entry is made without sight of the first."""


class DoubtError(FerruleError):
    """An answer holds values that nobody has confirmed; `cells` says which and why."""

    def __init__(self, cells: tuple[DoubtedCell, ...]) -> None:
        """Say the first doubt and how many more there are."""
        more = f" And {len(cells) - 1} more." if len(cells) > 1 else ""
        first = cells[0]
        said = first.sentence if first.sentence in BLIND else f"{first.entered}: {first.sentence} {AGAIN}"
        super().__init__(f"{said}{more}")
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
    typed = tuple(typed)
    found = _unconfirmed(inputs, typed, doubted)
    beside = [(one, figure) for one in typed if (figure := _expected(inputs, one)) is not None]
    found += _hard_to_believe(beside, doubted, tuple((doubt.point, doubt.cell) for doubt in found))
    if found:
        raise DoubtError(tuple(found))


def is_typed_twice(function: str, settings: Mapping[str, str]) -> bool:
    """True for a reading that the limits file wants typed a second time without sight of the first."""
    return function in SECOND_ENTRIES.get(settings.get("second-entry", ""), ())


def _unconfirmed(
    inputs: Inputs, typed: tuple[Typed, ...], doubted: tuple[tuple[str, str, str], ...]
) -> list[DoubtedCell]:
    """Return the readings that are to be typed twice and were not, or not the same."""
    found = []
    for one in typed:
        if one.answer.form != c.NUMBER or not is_typed_twice(one.slot.cell.function, inputs.settings):
            continue
        where = (one.slot.point, one.slot.cell.id, one.answer.entered)
        if not (one.answer.again and where in doubted):
            before = any(d[:2] == where[:2] for d in doubted)
            found.append(DoubtedCell(*where, DIFFERS if before else SECOND))
    return found


def _hard_to_believe(
    beside: list[tuple[Typed, Figure]], doubted: tuple[tuple[str, str, str], ...], held: tuple[tuple[str, str], ...]
) -> list[DoubtedCell]:
    """Return the readings far from what is expected, without those that are held already."""
    if not beside:
        return []
    copied = _copied(beside)
    odd = {one.slot.key for one, figure in beside if _implausible(one.reading, figure)}
    found = []
    for one, figure in beside:
        if odd & set(figure.reads):
            continue  # What it is held against is in doubt itself.
        sentence = _implausible(one.reading, figure) or (copied if _is_off(one.reading, figure) else "")
        where = (one.slot.point, one.slot.cell.id, one.answer.entered)
        if sentence and where[:2] not in held and not (one.answer.again and where in doubted):
            found.append(DoubtedCell(*where, sentence))
    return found


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
