"""The places of a step: what fills them, with which instrument, what is expected there and how it is judged.

Figures and judgement are imported where a reading first needs them, so that a walk starts without them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ferrule.engine.electrics.model import Function
from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Card, Cell, Instrument, Job, Step
from ferrule.engine.procedure.lists import function_of, points_of
from ferrule.engine.procedure.words import FUNCTIONS
from ferrule.engine.quantity.reading import Reading, parse_reading
from ferrule.engine.safety.facts import Facts
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.place import holds, objects_of
from ferrule.engine.walk.state import State

if TYPE_CHECKING:
    from ferrule.engine.electrics.figures import Figure, Inputs, Unknown
    from ferrule.engine.electrics.verdict import Verdict


class AnswerError(FerruleError):
    """An answer that cannot be taken as typed; `point` and `cell` say where, `column` where in the text."""

    def __init__(self, message: str, point: str = "", cell: str = "", column: int = 0) -> None:
        super().__init__(message)
        self.point, self.cell, self.column = point, cell, column


@dataclass(frozen=True, slots=True)
class Slot:
    """One place to fill in: a cell at a point."""

    point: str
    point_name: str
    cell: Cell

    @property
    def key(self) -> str:
        """Where its reading is kept."""
        if not self.cell.slot:
            return ""
        return f"{self.cell.slot}/{self.point}" if self.point else self.cell.slot


def slots_of(job: Job, step: Step, facts: Facts | None = None) -> tuple[Slot, ...]:
    """Return every place that a step asks for, in order; cells asked once come last.

    With facts, objects that the act is not done to again are left out.
    """
    cells = [cell for cell in step.cells if holds(cell.when, job.card_facts)]
    points = [(p.id, p.name) for p in points_of(job, step.points)] if step.points else [("", "")]
    if facts is not None and step.of == "each":
        left = objects_of(job, step, facts)
        points = [point for point in points if point[0] in left]
    every = [Slot(i, name, cell) for i, name in points for cell in cells if not cell.once]
    return (*every, *(Slot("", "", cell) for cell in cells if cell.once))


def inputs_of(job: Job, readings: Mapping[str, Reading]) -> Inputs:
    """Return what figures are computed from, with these readings."""
    from ferrule.engine.electrics.figures import Inputs

    card = job.card
    tools = {tool.id: tool for tool in card.torque_tools}
    return Inputs(
        card.circuit,
        card.supply,
        replace(card.device, terminals=(*card.device.terminals, *card.old_terminals)),
        card.temperature_c,
        tools,
        job.limits.settings,
        dict(readings),
        job.limits.setting_sources,
        tuple(load.kind for load in card.loads),
    )


def readings_of(state: State) -> dict[str, Reading]:
    """Return the readings that stand, without their bookkeeping."""
    return {key: kept.reading for key, kept in state.readings.items()}


def instrument_for(card: Card, name: str, today: str, slot: Slot | None = None) -> tuple[str, Function]:
    """Return serial and function of the instrument that reads `name`; AnswerError when it is out of date (DV-08)."""
    found = function_of(card, name)
    point, cell = (slot.point, slot.cell.id) if slot else ("", "")
    if found is None:
        raise AnswerError(f"The card names no instrument for {name}. Amend the card or stop.", point, cell)
    owner, function = found
    if owner.due < today:
        label = owner.name if isinstance(owner, Instrument) else owner.id
        raise AnswerError(
            f"{label}, serial {owner.serial}, was due for calibration on {owner.due}; today is {today}. "
            "Quarantine it and use another.",
            point,
            cell,
        )
    return owner.serial, function


def reading_of(card: Card, slot: Slot, answer: c.CellAnswer, function: Function) -> Reading:
    cell, unit = slot.cell, FUNCTIONS[slot.cell.function]
    if answer.form == c.NUMBER:
        try:
            return parse_reading(
                answer.entered,
                unit,
                resolution=function.resolution,
                full_scale=function.full_scale,
                lowest=function.lowest,
                comma=card.decimal_comma,
            )
        except FerruleError as error:
            column = getattr(error, "column", 0)
            raise AnswerError(str(error), slot.point, cell.id, column) from error
    if answer.form == c.ABOVE and function.full_scale is not None:
        return Reading.over_range(function.full_scale, unit, resolution=function.resolution, entered=answer.entered)
    if answer.form == c.BELOW and function.lowest is not None:
        return Reading.under_range(function.lowest, unit, resolution=function.resolution, entered=answer.entered)
    if answer.form in (c.NOT_REACHED, c.UNSTABLE):
        return Reading.not_measured(unit)
    raise AnswerError(f"“{cell.prompt}” cannot be answered with “{answer.form}”.", slot.point, cell.id)


def expected_of(inputs: Inputs, slot: Slot) -> Figure | Unknown | None:
    """Return the figure that a cell expects, or None where it expects none."""
    if not slot.cell.expect:
        return None
    from ferrule.engine.electrics.figures import compute

    return compute(slot.cell.expect, inputs, slot.point)


def judge_cell(job: Job, inputs: Inputs, slot: Slot, reading: Reading, function: Function | None) -> Verdict | None:
    """Return the verdict on one reading, or None where the cell is only recorded."""
    row = job.limits.rows.get(slot.cell.judge)
    if row is None:
        return None
    from ferrule.engine.electrics.figures import compute
    from ferrule.engine.electrics.judge import judge

    return judge(
        reading,
        row,
        figure_of=lambda name: compute(name, inputs, slot.point),
        expected=expected_of(inputs, slot),
        function=function,
    )
