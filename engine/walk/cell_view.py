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
from ferrule.engine.walk.origins import EXPECTED, LIMIT, VALUE, Origin, computed
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
    value: str = ""
    """A computed place as it stands before it is recorded; empty for one that is typed, or that the step hides."""
    origins: tuple[Origin, ...] = ()
    """Where each value comes from that is shown here and that nobody types here (SP-06)."""


def cell_views(job: Job, state: State, step: Step) -> tuple[CellView, ...]:
    """Return the places that a step asks for; what is expected stays out of it while the step hides it."""
    asked = slots_of(job, step, state.facts)
    if not asked:
        return ()
    figures = any(slot.cell.expect or slot.cell.figure or slot.cell.judge for slot in asked) and not step.hidden
    inputs = inputs_of(job, readings_of(state)) if figures else None
    views = []
    for slot in asked:
        cell = slot.cell
        value, figure = (_value_of(inputs, slot), expected_of(inputs, slot)) if inputs is not None else (None, None)
        limit = _limit(job, inputs, slot) if inputs is not None else _NO_LIMIT
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
                limit.words,
                _end_words(function.full_scale, "> ", function) if function else "",
                _end_words(function.lowest, "no indication, < ", function) if function else "",
                is_typed_twice(cell.function, job.limits.settings),
                expected_words(value, None),
                _origins(job, state, slot, value, figure, limit),
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


@dataclass(frozen=True, slots=True)
class _Limit:
    """What passes, in words, with the figures in it."""

    words: str
    figures: tuple[Figure | Unknown, ...] = ()


_NO_LIMIT = _Limit("")


def _value_of(inputs: Inputs, slot: Slot) -> Figure | Unknown | None:
    """Return the figure that fills a computed place, or None for a place that is typed."""
    if not slot.cell.figure:
        return None
    from ferrule.engine.electrics.figures import compute

    return compute(slot.cell.figure, inputs, slot.point)


def _limit(job: Job, inputs: Inputs, slot: Slot) -> _Limit:
    row = job.limits.rows.get(slot.cell.judge)
    passing = next((b for b in row.bands if b.outcome == "pass"), None) if row is not None else None
    if row is None or passing is None:
        return _NO_LIMIT
    bounds = [(word, bound, _figure_of(bound, inputs, slot.point)) for word, bound in _ends(passing) if bound]
    parts = [f"{word} {_bound_words(bound, figure)}" for word, bound, figure in bounds]
    what = "" if row.compares == "value" else f" as a {row.compares}"
    words = f"{' '.join(parts)} {UNITS[row.unit].shown}{what}".strip()
    return _Limit(words, tuple(figure for _, _, figure in bounds if figure is not None))


def _ends(band: Band) -> tuple[tuple[str, Bound | None], ...]:
    low = ("from" if band.low and band.low.closed else "above", band.low)
    high = ("up to" if band.high and band.high.closed else "below", band.high)
    return (low, high)


def _figure_of(bound: Bound, inputs: Inputs, point: str) -> Figure | Unknown | None:
    """Return the figure that a bound is, or None for one that is a number of the limits file."""
    if bound.value is not None:
        return None
    from ferrule.engine.electrics.figures import compute

    return compute(bound.figure, inputs, point)


def _bound_words(bound: Bound, figure: Figure | Unknown | None) -> str:
    if figure is None:
        return str(bound.value)
    from ferrule.engine.electrics.figure import Unknown, said

    return "a figure not known yet" if isinstance(figure, Unknown) else said(figure.high)


def _origins(
    job: Job, state: State, slot: Slot, value: Figure | Unknown | None, expected: Figure | Unknown | None, limit: _Limit
) -> tuple[Origin, ...]:
    """Return where the values of a place come from: a computed one, what is expected, what passes."""
    row = job.limits.rows.get(slot.cell.judge)
    found = [computed(job, state, VALUE, value)] if value is not None else []
    found += [computed(job, state, EXPECTED, expected)] if expected is not None else []
    found += [computed(job, state, LIMIT, figure) for figure in limit.figures]
    if limit.words and not limit.figures and row is not None:
        found.append(Origin(LIMIT, "", row.title, row.source))
    return tuple(found)
