"""The answers that a step can give, held against those that it writes down.

For: answers that lead nowhere, and answers that never come.
Must never: judge a reading; only which outcomes a row can give at all is looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from decimal import Decimal
from enum import StrEnum

from ferrule.engine.electrics.limits import Band, Compares, Guard, Outcome, Row
from ferrule.engine.electrics.model import Function
from ferrule.engine.findings import Finding, Level
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Cell, Procedure, Step
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import step_key
from ferrule.engine.procedure.words import DEFAULT_TARGETS, DONE

_UNSEEN = {Outcome.NOT_MEASURED.value}


@dataclass(frozen=True, slots=True)
class Given:
    """The answers of a step: those that it can give, and those that may at least be written."""

    sure: frozenset[str]
    maybe: frozenset[str]


class _Off(StrEnum):
    """What an off-scale reading comes to."""

    PASSES = "passes"
    """A passing band holds all that it can mean."""
    HELD = "held"
    """Another band holds all that it can mean, or a figure that has no number yet decides."""
    LEFT_OPEN = "left open"
    """No one band holds it: the answer is over-range."""
    NEVER = "never"
    """The function has no such end."""


def missing_answers(parts: Parts) -> Iterator[Finding]:
    """An answer that a step can give and that leads nowhere."""
    for procedure, step, given in _steps(parts):
        for word in sorted(given.sure - set(step.answers)):
            message = f'"{step.id}" can answer "{word}", which leads nowhere.'
            place = parts.places.get(step_key(procedure.id, step.id))
            yield Finding("missing-answer", Level.ERROR, message, place, f'under answers: "- {word}: …"')


def dead_answers(parts: Parts) -> Iterator[Finding]:
    """An answer that is written and can never come."""
    for procedure, step, given in _steps(parts):
        for word, target in step.answers.items():
            place = parts.places.get(step_key(procedure.id, step.id, f"answer/{word}"))
            written = place is not None or target != DEFAULT_TARGETS.get(word)
            if written and word not in given.maybe:
                message = f'"{step.id}" never answers "{word}".'
                yield Finding("dead-answer", Level.ERROR, message, place, "take the line out")


def _steps(parts: Parts) -> Iterator[tuple[Procedure, Step, Given]]:
    for procedure in parts.procedures.values():
        for step in procedure.steps:
            given = given_answers(step, parts)
            if given is not None:
                yield procedure, step, given


def given_answers(step: Step, parts: Parts) -> Given | None:
    """The answers of a step; None where that cannot be told because its limits are not there."""
    if step.kind == "end":
        return Given(frozenset(), frozenset())
    if not step.cells:
        return Given(frozenset({"pass"}), frozenset({"pass", DONE}))
    judged = [*(cell.judge for cell in step.cells), *(check.judge for check in step.checks)]
    if any(judged) and parts.limits is None:
        return None
    sure: set[str] = set()
    maybe: set[str] = set(_UNSEEN)
    for cell in step.cells:
        own_sure, own_maybe = _cell(cell, parts)
        sure |= own_sure
        maybe |= own_sure | own_maybe
    for check in step.checks:
        row = parts.limits.rows.get(check.judge) if parts.limits else None
        if row is not None:
            read = [cell for cell in step.cells if cell.slot in (check.first, check.second)]
            off_scale = any(_off_scale(row, _function(cell, parts))[0] is _Off.LEFT_OPEN for cell in read)
            outcomes = _row_outcomes(row) | ({Outcome.OVER_RANGE.value} if off_scale else set())
            sure |= outcomes
            maybe |= outcomes
    return Given(frozenset(sure), frozenset(maybe))


def _cell(cell: Cell, parts: Parts) -> tuple[set[str], set[str]]:
    """The answers that a cell can give, and those that may be written beside."""
    if cell.states:
        return {state.answer for state in cell.states}, set()
    row = parts.limits.rows.get(cell.judge) if parts.limits and cell.judge else None
    sure: set[str] = {"pass"}
    maybe: set[str] = set()
    if cell.matches:
        sure = {"pass", "fail"}
    elif cell.figure:
        sure = (_row_outcomes(row) if row else sure) | _UNSEEN
    elif cell.function:
        sure, maybe = _reading(row, _function(cell, parts))
    if cell.fails_as:
        sure, maybe = _renamed(sure, cell.fails_as), _renamed(maybe, cell.fails_as)
    return sure, maybe


def _renamed(words: Set[str], fails_as: str) -> set[str]:
    return {fails_as if word in ("fail", Outcome.OVER_RANGE.value) else word for word in words}


def _function(cell: Cell, parts: Parts) -> Function | None:
    found = function_of(parts.card, cell.function) if parts.card else None
    return found[1] if found else None


def _reading(row: Row | None, function: Function | None) -> tuple[set[str], set[str]]:
    taken = {Outcome.UNSTABLE.value, Outcome.NOT_MEASURED.value}
    if row is None:
        return {"pass", *taken}, set()
    sure = _row_outcomes(row) | taken
    off_scale = {Outcome.OVER_RANGE.value}
    above, below = _off_scale(row, function)
    if above is _Off.LEFT_OPEN or below is _Off.LEFT_OPEN:
        return sure | off_scale, off_scale
    return sure, off_scale if above is not _Off.PASSES else set()


def _row_outcomes(row: Row) -> set[str]:
    """The outcomes that the bands of a row can give, with what the instrument's error and unknown figures add."""
    outcomes = {band.outcome.value for band in row.bands}
    if row.guard is not Guard.NONE:
        outcomes |= {f"conditional-{word}" for word in ("pass", "fail") if word in outcomes}
    figures = any(bound is not None and bound.figure for band in row.bands for bound in (band.low, band.high))
    if figures or row.compares is not Compares.VALUE or row.guard is not Guard.NONE:
        outcomes.add(Outcome.CONDITIONAL_FAIL.value)
    return outcomes


def _off_scale(row: Row, function: Function | None) -> tuple[_Off, _Off]:
    """What a reading above and one below the scale comes to."""
    if function is None:
        return _Off.HELD, _Off.NEVER
    if row.compares is not Compares.VALUE:
        return (_Off.LEFT_OPEN if function.full_scale is not None else _Off.NEVER), _Off.NEVER
    above = _above(row, function.full_scale)
    below = _below(row, function.lowest)
    return above, below


def _above(row: Row, full_scale: Decimal | None) -> _Off:
    if full_scale is None:
        return _Off.NEVER
    tops = [band for band in row.bands if band.high is None]
    for band in tops:
        if band.low is None or (band.low.value is not None and _reaches(band.low.value, band.low.closed, full_scale)):
            return _Off.PASSES if band.outcome is Outcome.PASS else _Off.HELD
    return _Off.HELD if any(_is_figure(band) for band in tops) else _Off.LEFT_OPEN


def _below(row: Row, lowest: Decimal | None) -> _Off:
    if lowest is None:
        return _Off.NEVER
    for band in row.bands:
        low = band.low is None or (band.low.value is not None and band.low.value <= 0 and band.low.closed)
        high = band.high is None or (band.high.value is not None and band.high.value >= lowest)
        if low and high:
            return _Off.HELD
    return _Off.HELD if any(_is_figure(band) for band in row.bands) else _Off.LEFT_OPEN


def _is_figure(band: Band) -> bool:
    return any(bound is not None and bool(bound.figure) for bound in (band.low, band.high))


def _reaches(low: Decimal, closed: bool, full_scale: Decimal) -> bool:
    """True when a band from this bound up holds everything from the full scale up."""
    return low < full_scale or (closed and low == full_scale)
