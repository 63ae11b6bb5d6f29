"""From the form of a cell, or of a step that is one cell, to its compiled form.

For: what is read, seen or typed in a step, and how it is judged.
Must never: know a limit; a cell names a row.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.electrics.figures import NAMES
from ferrule.engine.findings import Findings, nearest
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Cell, State
from ferrule.engine.procedure.models import CellForm, StepForm
from ferrule.engine.procedure.read_fact import conditions
from ferrule.engine.procedure.read_limits import figure_hint
from ferrule.engine.procedure.words import CELL_KINDS, FUNCTIONS, OUTCOMES, POINT_LISTS
from ferrule.engine.quantity.units import find_unit
from ferrule.engine.safety.acts import ACTS, FAIL, PASS, REFER, Act

CELL_KEYS = {
    "read": ("with", "keep", "expect", "judge", "fails as"),
    "see": ("states",),
    "type": ("as", "fails as"),
    "note": (),
    "figure": ("as", "keep", "judge", "expect", "fails as"),
}
"""The keys that go with each kind of cell, beside `id`, `when` and `once`."""

_MUST = {"read": ("with",), "see": ("states",), "type": (), "note": (), "figure": ("judge",)}


@dataclass(frozen=True, slots=True)
class Around:
    """What a cell must know of its step."""

    act: Act | None
    """None when the step names no act that there is; then no answer is held against it."""
    points: str
    """The list that the step goes through."""
    kind: str
    """The kind of the step."""
    answers: frozenset[str]
    """The answers that the step writes down."""

    @property
    def own_words(self) -> bool:
        """True where the states of a step may be its answers: a look for a fault that changes nothing."""
        quiet = self.act is None or not (self.act.effects or self.act.voids)
        return quiet and self.kind in ("observe", "verify")

    def words(self) -> frozenset[str]:
        """The answer words that a state may stand for."""
        acts = ACTS.values() if self.act is None else [self.act]
        own = frozenset(word for act in acts for word in act.classes) - {PASS, REFER, FAIL}
        return frozenset(OUTCOMES) | own


def read_cells(forms: Iterable[CellForm], around: Around, found: Findings) -> tuple[Cell, ...]:
    """The compiled cells of a step; faults are kept."""
    cells: list[Cell] = []
    for number, form in enumerate(forms, start=1):
        kinds = [kind for kind in CELL_KINDS if form.has(kind)]
        if len(kinds) != 1:
            says = "says not what is answered" if not kinds else f"has {' and '.join(kinds)} at once"
            hint = f"just one of: {', '.join(CELL_KINDS)}"
            found.add("wrong-value" if kinds else "missing-key", f"This cell {says}.", form.place(), hint=hint)
            continue
        _check_keys(kinds[0], form, found)
        cell = read_cell(kinds[0], form, form.id or form.keep.replace("/", "-") or f"c{number}", around, found)
        if any(other.id == cell.id and not _never_both(other, cell) for other in cells):
            message = f'Two cells of this step are called "{cell.id}".'
            found.add("duplicate-id", message, form.place("id" if form.has("id") else kinds[0]))
        cells.append(cell)
    return tuple(cells)


def _never_both(one: Cell, other: Cell) -> bool:
    """True when the conditions of two cells shut each other out."""
    return any(a.fact == b.fact and not set(a.values) & set(b.values) for a in one.when for b in other.when)


def _check_keys(kind: str, form: CellForm, found: Findings) -> None:
    allowed = {kind, "id", "when", "once", *CELL_KEYS[kind]}
    for name in form.table:
        if name in form.key_names() and name not in allowed:
            hint = f"with {kind} go: {', '.join(sorted(allowed - {kind}))}"
            found.add("unknown-key", f'"{name}" does not go with "{kind}".', form.key_place(name), hint=hint)
    for name in _MUST[kind]:
        if not form.has(name):
            found.add("missing-key", f'The key "{name}" is missing beside "{kind}".', form.place(kind))


def read_cell(kind: str, form: CellForm | StepForm, cell_id: str, around: Around, found: Findings) -> Cell:
    """One compiled cell; the form is that of the cell, or of the step that is the cell."""
    is_cell = isinstance(form, CellForm)
    once = isinstance(form, CellForm) and form.once
    if once and not (around.kind == "round" and around.points):
        message = "A cell is asked once only in a round that goes through a list."
        found.add("wrong-value", message, form.place("once"), hint='leave "once" out')
    _check_expect(kind, form, "" if once else around.points, found)
    _check_fails_as(form, around, found)
    if kind == "figure" and form.figure and form.figure not in NAMES:
        hint = figure_hint(form.figure)
        found.add("unknown-figure", f'There is no figure "{form.figure}".', form.place("figure"), hint=hint)
    return Cell(
        cell_id,
        _prompt(kind, form),
        slot=form.keep,
        function=form.with_ if kind == "read" else "",
        states=_states(form, around, found) if kind == "see" else (),
        matches=form.type_ if kind == "type" else "",
        words=kind == "note",
        figure=form.figure if kind == "figure" else "",
        expect=form.expect,
        judge=form.judge,
        fails_as=form.fails_as,
        when=conditions(form.when) if is_cell else (),
        once=once,
    )


def _prompt(kind: str, form: CellForm | StepForm) -> str:
    if isinstance(form, StepForm):
        return form.as_ or form.observe or form.verify or form.measure or form.compute
    if kind in ("type", "figure"):
        title = NAMES[form.figure].title if form.figure in NAMES else form.figure
        return form.as_ or (form.type_ if kind == "type" else title)
    return form.read or form.see or form.note


def _states(form: CellForm | StepForm, around: Around, found: Findings) -> tuple[State, ...]:
    states: dict[str, State] = {}
    allowed = around.words()
    for line in form.states:
        answer = str(line.right)
        if line.left in states:
            found.add("duplicate-id", f'The state "{line.left}" stands here twice.', line.left_place)
        if around.own_words and (not answer or line.left in around.answers):
            answer = line.left
        elif answer not in allowed and not around.own_words:
            says = f'"{answer}" is not an answer' if answer else f'The state "{line.left}" stands for no answer'
            near = nearest(answer, allowed)
            hint = f'"{near}"' if near else f"one of: {', '.join(sorted(allowed))}"
            found.add("unknown-answer", f"{says}.", line.right_place, hint=hint)
        states[line.left] = State(line.left, answer)
    return tuple(states.values())


def _check_fails_as(form: CellForm | StepForm, around: Around, found: Findings) -> None:
    own = frozenset() if around.act is None else around.act.classes - {PASS, REFER, FAIL}
    if form.fails_as and around.act is not None and form.fails_as not in own:
        says = f"its own answers are: {', '.join(sorted(own))}" if own else "it has no answers of its own"
        message = f'"{form.fails_as}" is not an answer of the act "{around.act.name}"; {says}.'
        found.add("unknown-answer", message, form.place("fails as"))


def unit_of_cell(cell: Cell) -> str:
    """The unit of what a cell reads or computes; empty where it has none."""
    if cell.function:
        return FUNCTIONS[cell.function]
    return NAMES[cell.figure].unit if cell.figure in NAMES else ""


def _check_expect(kind: str, form: CellForm | StepForm, points: str, found: Findings) -> None:
    named = [(key, name) for key, name in (("expect", form.expect), ("figure", form.figure)) if name]
    for key, name in named:
        spec = NAMES.get(name)
        if spec is None:
            if key == "expect":
                found.add("unknown-figure", f'There is no figure "{name}".', form.place(key), hint=figure_hint(name))
            continue
        if spec.needs_point and points not in POINT_LISTS:
            message = f'The figure "{name}" is worked out for one point; this goes through no list of points.'
            found.add("wrong-value", message, form.place(key), hint=f"through one of: {', '.join(POINT_LISTS)}")
        unit = FUNCTIONS.get(form.with_, "")
        if kind == "read" and key == "expect" and unit and _kind(unit) != _kind(spec.unit):
            message = f'The figure "{name}" is in {spec.unit}; the reading is in {unit}.'
            found.add("unit-mismatch", message, form.place(key))


def _kind(symbol: str) -> str:
    unit = find_unit(symbol)
    return unit.kind if unit else ""
