"""The places of a step as a reader shows them: prompt, unit, instrument, states, what is expected and the limit."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from ferrule.engine.electrics.limits import Band, Bound
from ferrule.engine.electrics.model import Function
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Cell, Job, Step
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.quantity.exact import shown
from ferrule.engine.quantity.units import UNITS
from ferrule.engine.walk.cells import Slot, expected_of, inputs_of, readings_of, slots_of
from ferrule.engine.walk.doubts import is_typed_twice
from ferrule.engine.walk.state import State

if TYPE_CHECKING:
    from ferrule.engine.electrics.figures import Figure, Inputs, Unknown


@dataclass(frozen=True, slots=True)
class CellView:
    """One place to fill in, with everything needed to ask for it."""

    point: str
    point_name: str
    cell: str
    prompt: str
    kind: str
    """`number`, `state`, `match`, `words` or `computed`."""
    unit: str
    function: str
    instrument: str
    resolution: str
    states: tuple[str, ...]
    expected: str
    """The expected value in words; empty while it is hidden or where there is none."""
    limit: str
    above: str
    """What the choice above range stands for, e.g. `> 200 MΩ`; empty where the range has no end."""
    below: str
    """What the choice below range stands for, e.g. `no indication (< 12 V)`; empty where there is none."""
    twice: bool = False
    """Whether it is typed a second time, without sight of the first."""


def cell_views(job: Job, state: State, step: Step) -> tuple[CellView, ...]:
    """Return the places that a step asks for; what is expected stays out of it while the step hides it."""
    asked = slots_of(job, step, state.facts)
    if not asked:
        return ()
    shown_before = any(slot.cell.expect for slot in asked) and not step.hidden
    inputs = inputs_of(job, readings_of(state)) if shown_before else None
    views = []
    for slot in asked:
        cell = slot.cell
        figure = expected_of(inputs, slot) if inputs is not None else None
        owner = function_of(job.card, cell.function) if cell.function else None
        function = owner[1] if owner else None
        views.append(
            CellView(
                slot.point,
                slot.point_name,
                cell.id,
                cell.prompt,
                _kind(cell),
                function.unit if function else "",
                cell.function,
                f"{getattr(owner[0], 'name', owner[0].id)}, serial {owner[0].serial}" if owner else "",
                str(function.resolution) if function else "",
                tuple(s.seen for s in cell.states),
                expected_words(figure, function),
                "" if step.hidden else _limit_words(job, state, slot),
                _end_words(function.full_scale, "> ", function) if function else "",
                _end_words(function.lowest, "no indication, < ", function) if function else "",
                is_typed_twice(cell.function, job.limits.settings),
            )
        )
    return tuple(views)


def _kind(cell: Cell) -> str:
    if cell.figure:
        return "computed"
    if cell.function:
        return "number"
    if cell.states:
        return "state"
    return "match" if cell.matches else "words"


def _end_words(end: Decimal | None, sign: str, function: Function) -> str:
    return "" if end is None else f"{sign}{end} {UNITS[function.unit].shown}"


def expected_words(figure: Figure | Unknown | None, function: Function | None) -> str:
    """Return an expected figure in words, rounded for display to the instrument's resolution."""
    if figure is None:
        return ""
    from ferrule.engine.electrics.figures import Unknown

    if isinstance(figure, Unknown):
        return f"not known: {figure.reason}"
    step = function.resolution if function else Decimal("0.01")
    low, high = shown(figure.low, step), shown(figure.high, step)
    unit = UNITS[figure.unit].shown
    mark = " (rests on an assumed value)" if figure.assumed else ""
    return f"{low} {unit}{mark}" if low == high else f"{low} to {high} {unit}{mark}"


def _limit_words(job: Job, state: State, slot: Slot) -> str:
    row = job.limits.rows.get(slot.cell.judge)
    if row is None:
        return ""
    unit = UNITS[row.unit].shown
    passing = next((b for b in row.bands if b.outcome == "pass"), None)
    if passing is None:
        return ""
    inputs = inputs_of(job, readings_of(state))
    parts = [
        f"{word} {_bound_words(bound, inputs, slot.point)}".strip()
        for word, bound in _ends(passing)
        if bound is not None
    ]
    what = "" if row.compares == "value" else f" as a {row.compares}"
    return f"{' '.join(parts)} {unit}{what}".strip()


def _ends(band: Band) -> tuple[tuple[str, Bound | None], ...]:
    low = ("from" if band.low and band.low.closed else "above", band.low)
    high = ("up to" if band.high and band.high.closed else "below", band.high)
    return (low, high)


def _bound_words(bound: Bound | None, inputs: Inputs, point: str) -> str:
    if bound is None:
        return ""
    if bound.value is not None:
        return str(bound.value)
    from ferrule.engine.electrics.figure import said
    from ferrule.engine.electrics.figures import Unknown, compute

    figure = compute(bound.figure, inputs, point)
    return "a figure not known yet" if isinstance(figure, Unknown) else said(figure.high)
