"""Answers for any step of any job, worked out from the step itself: what a sound circuit shows, or one thing wrong.

Nothing of a particular procedure is typed in here: a value is tried against the step's own judgement until it
gives the wanted outcome, and a state is looked up among the states of the step.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import ROUND_HALF_UP, Decimal

from ferrule.engine.electrics.figures import Figure, compute
from ferrule.engine.electrics.model import Function
from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.procedure.lists import card_words, function_of
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cells import Slot, inputs_of, judge_cell, readings_of, slots_of
from ferrule.engine.walk.state import State

Reader = Callable[[Slot], str | None]
"""What an instrument shows at a place, as typed text; None leaves it to the judgement."""


def cells_for(
    job: Job,
    state: State,
    step: Step,
    *,
    wanted: str = "pass",
    spoil: Callable[[Slot], bool] = lambda _: False,
    reader: Reader = lambda _: None,
) -> tuple[c.CellAnswer, ...]:
    """Return an answer to every cell of a step: sound ones, except where `spoil` says, which get `wanted`."""
    readings = readings_of(state)
    found = []
    for slot in slots_of(job, step, state.facts):
        if slot.cell.figure:
            continue
        outcome = wanted if spoil(slot) else "pass"
        answer, reading = _cell(job, readings, slot, outcome, reader)
        if reading is not None and slot.key:
            readings[slot.key] = reading
        found.append(answer)
    return tuple(found)


def _cell(
    job: Job, readings: Mapping[str, Reading], slot: Slot, outcome: str, reader: Reader
) -> tuple[c.CellAnswer, Reading | None]:
    cell = slot.cell
    if cell.states:
        seen = next((s.seen for s in cell.states if s.answer == outcome), "")
        seen = seen or next(
            (s.seen for s in cell.states if (s.answer == "pass") == (outcome == "pass")), cell.states[0].seen
        )
        return c.CellAnswer(slot.point, cell.id, c.SEEN, seen), None
    if cell.matches:
        words = card_words(job.card)[cell.matches]
        return c.CellAnswer(slot.point, cell.id, c.WORDS, words if outcome == "pass" else f"not {words}"), None
    if not cell.function:
        return c.CellAnswer(slot.point, cell.id, c.WORDS, "noted"), None
    found = function_of(job.card, cell.function)
    assert found is not None, f"no instrument for {cell.function}"
    shown = reader(slot)
    if shown is not None:
        return _shown(slot, shown, found[1])
    for form, text, reading in candidates(job, readings, slot, found[1]):
        verdict = judge_cell(job, inputs_of(job, {**readings, slot.key: reading}), slot, reading, found[1])
        got = verdict.outcome.value if verdict else "pass"
        if got == outcome or (outcome == "fail" and got == "over-range"):
            return c.CellAnswer(slot.point, cell.id, form, text), reading
    form, text, reading = next(candidates(job, readings, slot, found[1]))
    return c.CellAnswer(slot.point, cell.id, form, text), reading


def _shown(slot: Slot, shown: str, function: Function) -> tuple[c.CellAnswer, Reading | None]:
    """Return the answer for what an instrument shows: digits, `>` above range, `<` nothing."""
    unit = function.unit
    if shown == ">" and function.full_scale is not None:
        return c.CellAnswer(slot.point, slot.cell.id, c.ABOVE, ""), Reading.over_range(function.full_scale, unit)
    if shown == "<" and function.lowest is not None:
        return c.CellAnswer(slot.point, slot.cell.id, c.BELOW, ""), Reading.under_range(function.lowest, unit)
    return c.CellAnswer(slot.point, slot.cell.id, c.NUMBER, shown), Reading.measured(Decimal(shown), unit)


def candidates(
    job: Job, readings: Mapping[str, Reading], slot: Slot, function: Function
) -> Iterator[tuple[str, str, Reading]]:
    """Yield readings worth trying at a place, likeliest first."""
    inputs = inputs_of(job, readings)
    unit, step = function.unit, function.resolution
    values: list[Decimal] = []
    if slot.cell.expect:
        figure = compute(slot.cell.expect, inputs, slot.point)
        if isinstance(figure, Figure):
            values.append((figure.low + figure.high) / 2)
    if function.lowest is not None:
        yield c.BELOW, "", Reading.under_range(function.lowest, unit)
    if not values and function.full_scale is not None and unit == "Mohm":
        yield c.ABOVE, "", Reading.over_range(function.full_scale, unit)
    row = job.limits.rows.get(slot.cell.judge)
    ends = []
    for band in row.bands if row else ():
        for bound in (band.low, band.high):
            if bound is None:
                continue
            if bound.value is not None:
                ends.append(bound.value)
            else:
                figure = compute(bound.figure, inputs, slot.point)
                if isinstance(figure, Figure):
                    ends.extend((figure.low, figure.high))
    if len(ends) > 1:
        values.append(sum(ends, Decimal(0)) / len(ends))
    values.extend(
        e * k for e in ends for k in (Decimal("0.1"), Decimal("0.5"), Decimal(1), Decimal("1.5"), Decimal(10))
    )
    values.extend((Decimal(0), Decimal(1), Decimal(20), Decimal(230)))
    for value in values:
        rounded = (value / step).quantize(Decimal(1), ROUND_HALF_UP) * step
        if rounded < 0 or (function.full_scale is not None and rounded > function.full_scale):
            continue
        if function.lowest is not None and 0 < rounded < function.lowest:
            continue
        yield c.NUMBER, f"{rounded:f}", Reading.measured(rounded, unit, resolution=step)
    if function.full_scale is not None:
        yield c.ABOVE, "", Reading.over_range(function.full_scale, unit)
