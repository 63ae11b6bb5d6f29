"""From the form of a procedure to its compiled form; calls stay as steps of kind `call` until all files are there.

For: procedures.
Must never: look into another file; that is done when a job is compiled.
"""

from __future__ import annotations

from collections.abc import Iterator

from ferrule.engine.findings import Findings
from ferrule.engine.procedure.compiled import Procedure, Step
from ferrule.engine.procedure.models import CellForm, ProcedureForm, StepForm
from ferrule.engine.procedure.places import Places, step_key
from ferrule.engine.procedure.read_step import read_step, step_id
from ferrule.engine.procedure.words import CELL_KINDS
from ferrule.engine.procedure.yamltext import Text


def read_procedure(form: ProcedureForm, file: str, found: Findings, places: Places) -> Procedure:
    """The compiled procedure; faults are kept."""
    given = list(_steps(form))
    if form.sections and form.steps:
        message = "Steps stand either in sections or straight in the file, not both."
        found.add("wrong-value", message, form.key_place("steps"))
    if not (form.has("sections") or form.has("steps")):
        found.add("missing-key", 'The key "steps" is missing here.', form.place())
    elif not given and not found.has_errors():
        found.add("wrong-value", "A procedure without a step does nothing.", form.place())
    step_ids = [step_id(step_form) for _, step_form in given]
    steps: dict[str, Step] = {}
    places[step_key(form.procedure)] = form.place("procedure")
    for part in ("title", "purpose", "scope"):
        places[step_key(form.procedure, "", part)] = form.place(part)
    for number, line in enumerate(form.table.get("prerequisites") or ()):
        if isinstance(line, Text):
            places[step_key(form.procedure, "", f"prerequisite/{number}")] = line.place
    for section, step_form in given:
        step = read_step(step_form, section, step_ids, found)
        if step is None:
            continue
        if step.id in steps and step.id:
            found.add("duplicate-id", f'Two steps are called "{step.id}".', step_form.place("id"))
            continue
        steps[step.id] = step
        _note_places(form.procedure, step, step_form, places)
    return Procedure(
        form.procedure,
        form.revision,
        form.title,
        form.purpose,
        form.scope,
        tuple(form.prerequisites),
        form.draft,
        tuple(steps.values()),
        file,
    )


def _steps(form: ProcedureForm) -> Iterator[tuple[str, StepForm]]:
    yield from (("", step) for step in form.steps)
    yield from ((section.section, step) for section in form.sections for step in section.steps)


def _note_places(procedure: str, step: Step, form: StepForm, places: Places) -> None:
    places[step_key(procedure, step.id)] = form.place("id") if form.has("id") else form.place(step.kind)
    for part in ("act", "of", "judge", "minutes", "call", "point"):
        if form.has(part):
            places[step_key(procedure, step.id, part)] = form.place(part)
    for line in form.answers:
        places[step_key(procedure, step.id, f"answer/{line.left}")] = line.left_place
        places[step_key(procedure, step.id, f"target/{line.left}")] = line.right_place
    for cell, cell_form in zip(step.cells, form.cells, strict=False):
        places[step_key(procedure, step.id, f"cell/{cell.id}")] = cell_form.place()
        for part in ("judge", "with", "states", "figure"):
            if cell_form.has(part):
                places[step_key(procedure, step.id, f"cell/{cell.id}/{part}")] = cell_form.place(part)
    for number, check in enumerate(form.checks):
        places[step_key(procedure, step.id, f"check/{number}")] = check.place("judge")
    _note_texts(procedure, step, form, places)


def _note_texts(procedure: str, step: Step, form: StepForm, places: Places) -> None:
    """Note where each text of a step stands that a person reads."""
    places[step_key(procedure, step.id, "text")] = form.place(step.kind)
    for part in ("why", "source"):
        if form.has(part):
            places[step_key(procedure, step.id, part)] = form.place(part)
    for number, warning in enumerate(form.warnings):
        for part in ("severity", "hazard", "consequence", "avoid"):
            places[step_key(procedure, step.id, f"warning/{number}/{part}")] = warning.place(part)
    cells: list[CellForm | StepForm] = [*form.cells] or [form]
    for cell, cell_form in zip(step.cells, cells, strict=False):
        kind = next((kind for kind in CELL_KINDS if cell_form.has(kind)), step.kind)
        places[step_key(procedure, step.id, f"cell/{cell.id}/prompt")] = cell_form.place(kind)
        for number, line in enumerate(cell_form.states):
            places[step_key(procedure, step.id, f"cell/{cell.id}/state/{number}")] = line.left_place
