"""`ferrule procedures`: the packaged procedures as a list, and one of them as a page to read.

Must never: hide that a procedure is a draft.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TextIO

from ferrule.engine.findings import BadFile, nearest
from ferrule.engine.procedure.compiled import Cell, Condition, Procedure, Step
from ferrule.engine.procedure.load import load_procedure
from ferrule.engine.shell.sets import packaged_set, set_texts
from ferrule.engine.text import visible
from ferrule.tui.words import warning_words

SHOWN, NOT_THERE = 0, 1


def run_procedures(name: str | None, out: TextIO, err: TextIO) -> int:
    """Write the list, or the page of one procedure; return the exit code."""
    found = {procedure.id: procedure for procedure in packaged_procedures()}
    if name is None:
        widest = max((len(key) for key in found), default=0)
        for procedure in found.values():
            draft = ", draft" if procedure.draft else ""
            line = f"{procedure.id:<{widest}}  {procedure.title} (revision {procedure.revision}{draft})"
            out.write(f"{visible(line)}\n")
        return SHOWN
    chosen = found.get(name)
    if chosen is None:
        near = nearest(name, found)
        hint = f" Did you mean “{near}”?" if near else " `ferrule procedures` lists them."
        err.write(f"{visible(f'There is no procedure “{name}”.{hint}')}\n")
        return NOT_THERE
    for line in page_lines(chosen):
        out.write(f"{visible(line)}\n")
    return SHOWN


def packaged_procedures() -> Iterator[Procedure]:
    """Yield every procedure of the packaged set; BadFile when one of them cannot be used."""
    for text in set_texts(packaged_set()):
        if text.role != "procedure":
            continue
        procedure, findings = load_procedure(text.text, f"procedure/{text.id}")
        if procedure is None:
            raise BadFile(findings)
        yield procedure


def page_lines(procedure: Procedure) -> Iterator[str]:
    """Yield a procedure as it can be read aloud."""
    yield procedure.title
    yield f"{procedure.id}, revision {procedure.revision}{', DRAFT: not approved for work' if procedure.draft else ''}"
    yield f"Purpose: {procedure.purpose}"
    yield f"Scope: {procedure.scope}"
    for prerequisite in procedure.prerequisites:
        yield f"Before: {prerequisite}"
    section = ""
    for number, step in enumerate(procedure.steps, 1):
        if step.section != section:
            section = step.section
            yield ""
            yield section
        yield ""
        yield from _step_lines(number, step)


def _step_lines(number: int, step: Step) -> Iterator[str]:
    yield from (f"   {warning_words(warning)}" for warning in step.warnings)
    only = f" (only where {_when(step.when)})" if step.when else ""
    yield f"{number}. {step.text}{only}"
    if step.act:
        yield f"   Act: {step.act}{f', of {step.of}' if step.of else ''}{', cannot be undone' if step.critical else ''}"
    if step.points:
        yield f"   At each of: {step.points}"
    yield from (f"   {_cell(cell)}" for cell in step.cells)
    for check in step.checks:
        pair = " and ".join(slot for slot in (check.first, check.second) if slot)
        yield f"   Compared: {pair}, judged by {check.judge}"
    yield from (f"   When {answer}: {_target(target)}" for answer, target in step.answers.items())
    if step.why:
        yield f"   Why: {step.why}"
    if step.source:
        yield f"   Source: {step.source}"


def _when(conditions: tuple[Condition, ...]) -> str:
    return " and ".join(f"{c.fact} is {' or '.join(c.values)}" for c in conditions)


def _cell(cell: Cell) -> str:
    parts = [cell.prompt.rstrip(".")]
    if cell.states:
        parts.append("; ".join(f"{state.seen} = {state.answer}" for state in cell.states))
    if cell.function:
        parts.append(f"read with: {cell.function}")
    if cell.matches:
        parts.append(f"typed as read, must equal the card's {cell.matches}")
    if cell.figure:
        parts.append(f"computed: {cell.figure}")
    if cell.expect:
        parts.append(f"expected: {cell.expect}")
    if cell.judge:
        parts.append(f"judged by {cell.judge}")
    if cell.when:
        parts.append(f"only where {_when(cell.when)}")
    return ". ".join(parts) + "."


_TARGETS = {
    "next": "go on",
    "end": "this procedure ends",
    "ask": "a decision is wanted",
    "stop": "work is stopped",
    "again": "do this step again",
}


def _target(target: str) -> str:
    kind, _, name = target.partition(":")
    return _TARGETS.get(target, f"go to the {kind} {name}")
