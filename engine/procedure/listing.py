"""The list of procedures under the chapters of each plan, as text to read or as plain values for JSON.

Must never: hide that a procedure is a draft, or leave one out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap

from ferrule.engine.procedure.chapters import chapters_of
from ferrule.engine.procedure.compiled import Plan, Procedure

WIDTH = 80


def list_lines(plans: Sequence[Plan], procedures: Mapping[str, Procedure], width: int = WIDTH) -> Iterator[str]:
    """Each plan with its chapters, each procedure with revision, title, standing and purpose."""
    for plan in plans:
        yield from wrap(f"{plan.title} (plan {plan.id}, revision {plan.revision})", width)
        for chapter in chapters_of(plan, procedures):
            yield ""
            yield chapter.title.upper()
            for name in chapter.procedures:
                yield from _procedure_lines(procedures[name], width)
        yield ""
    drafts = sum(procedure.draft for procedure in procedures.values())
    yield f"{len(procedures)} procedures, {drafts} of them drafts: not approved for work."


def _procedure_lines(procedure: Procedure, width: int) -> Iterator[str]:
    standing = "DRAFT" if procedure.draft else "approved"
    head = f"{procedure.id}: {procedure.title}, revision {procedure.revision}, {standing}"
    yield from wrap(head, width, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)
    yield from wrap(procedure.purpose, width, initial_indent="      ", subsequent_indent="      ")


def list_json(plans: Sequence[Plan], procedures: Mapping[str, Procedure]) -> dict[str, object]:
    """The same as plain values."""
    return {
        "plans": [
            {
                "id": plan.id,
                "revision": plan.revision,
                "title": plan.title,
                "chapters": [
                    {"title": chapter.title, "procedures": [_procedure_json(procedures[n]) for n in chapter.procedures]}
                    for chapter in chapters_of(plan, procedures)
                ],
            }
            for plan in plans
        ]
    }


def _procedure_json(procedure: Procedure) -> dict[str, object]:
    return {
        "id": procedure.id,
        "revision": procedure.revision,
        "title": procedure.title,
        "purpose": procedure.purpose,
        "draft": procedure.draft,
        "steps": len(procedure.steps),
    }
