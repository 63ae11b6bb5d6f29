"""The gauge of an answer: of all its readings the one that decided, and among equals the one nearest to its limit.

Must never: judge again; every number is one that the verdict holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from ferrule.engine.electrics.limits import Compares, Row
from ferrule.engine.findings import FerruleError
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.quantity.exact import divide
from ferrule.engine.quantity.interval import Interval, parse_interval
from ferrule.engine.quantity.units import UNITS
from ferrule.engine.walk import events as e
from ferrule.engine.walk.place import step_at
from ferrule.tui.margins import margin_of
from ferrule.tui.pictures.gauge import Gauge

Verdict = Mapping[str, Any]
LOGARITHMIC = ("insulation", "loop")
"""Functions whose readings run over powers of ten."""


def gauge_of(events: Iterable[e.Event], job: Job) -> Gauge | None:
    """Return the gauge of the last answer among some events, or None where no number was judged."""
    answered = next((event for event in events if isinstance(event, e.Answered)), None)
    if answered is None:
        return None
    found = [(margin, gauge) for margin, gauge in _gauges(answered, job) if gauge is not None]
    if not found:
        return None
    return min(found, key=lambda pair: pair[0])[1]


def _gauges(answered: e.Answered, job: Job) -> Iterator[tuple[Decimal, Gauge | None]]:
    """Yield margin and gauge of every reading that gave the answer its word."""
    step = step_at(job, answered.step)
    cells = {cell.id: cell for cell in step.cells} if step else {}
    judged = [r for r in answered.cells if r.verdict]
    for record in judged:
        cell = cells.get(record.cell)
        if cell is None or record.verdict is None or record.outcome != answered.word:
            continue
        place = f"{record.point} {cell.prompt}".strip()
        margin = margin_of(record.verdict)
        which = "furthest outside" if margin < 0 else "nearest to its limit"
        told = f"{place}, of {len(judged)} the {which}" if len(judged) > 1 else place
        short = (record.point or cell.prompt) if len(judged) > 1 else ""
        yield margin, _gauge(record.verdict, job, told, short, log=cell.function.startswith(LOGARITHMIC))
    for check in answered.checks:
        row = job.limits.rows.get(str(check["row"]))
        if check["outcome"] == answered.word and row is not None and row.compares is not Compares.RATIO:
            yield margin_of(check), _gauge(check, job, row.title, row.title, log=False)


def _number(text: str) -> Decimal | None:
    try:
        return Decimal(text)
    except InvalidOperation:
        return None


def _gauge(verdict: Verdict, job: Job, title: str, place: str, *, log: bool) -> Gauge | None:
    row = job.limits.rows.get(str(verdict["row"]))
    text = str(verdict["value"])
    bound = text[:1] if text[:2] in ("> ", "< ") else ""
    value = _number(text.removeprefix(f"{bound} ") if bound else text)
    if row is None or value is None:
        return None
    expected, passing = _expected(str(verdict["expected"])), _passing(str(verdict["limit"]))
    guard = _number(str(verdict["guard"])) or Decimal(0)
    stretches, guard = _on_scale(row, passing, expected, guard)
    if expected is None and not any(end for stretch in stretches for end in stretch):
        return None  # Without an end that is not zero there is nothing to see on a scale.
    unit = str(verdict["unit"])
    return Gauge(title, value, bound, UNITS[unit].shown, stretches, guard, expected, log or unit == "Mohm", place)


def _expected(text: str) -> tuple[Decimal, Decimal] | None:
    low, _, high = text.partition(" to ")
    first, last = _number(low), _number(high or low)
    return None if first is None or last is None else (first, last)


def _passing(text: str) -> tuple[Interval, ...]:
    try:
        return tuple(parse_interval(part)[0] for part in text.split(" or ")) if text else ()
    except FerruleError:
        return ()


Stretch = tuple[Decimal | None, Decimal | None]


def _on_scale(
    row: Row, passing: tuple[Interval, ...], expected: tuple[Decimal, Decimal] | None, guard: Decimal
) -> tuple[tuple[Stretch, ...], Decimal]:
    """Return what passes as readings: a difference or a ratio is laid round what it is held against."""
    if row.compares is Compares.VALUE:
        return tuple((i.low, i.high) for i in passing), guard
    if expected is None:
        return (), Decimal(0)
    low, high = expected
    if row.compares is Compares.DIFFERENCE:
        return tuple(_beside(low, high, i) for i in passing if i.high is not None), guard
    stretches = tuple((_times(low, i.low), _times(high, i.high)) for i in passing)
    return stretches, guard * divide(low + high, Decimal(2))


def _beside(low: Decimal, high: Decimal, within: Interval) -> Stretch:
    assert within.high is not None
    return max(low - within.high, Decimal(0)), high + within.high


def _times(end: Decimal, factor: Decimal | None) -> Decimal | None:
    return None if factor is None else end * factor
