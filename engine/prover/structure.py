"""The first checks of a whole set: its steps, its answers, its bands, its suppliers.

For: finding at the desk what would otherwise stop somebody at the board.
Must never: load or change anything, or know how a fact is changed other than by the table of acts.

Each check is one function from parts to findings; a check says nothing where a part that it needs is missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from ferrule.engine.findings import Finding, Findings, Level
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.load import compile_parts
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.prover.structure_answers import dead_answers, missing_answers
from ferrule.engine.prover.structure_bands import band_faults
from ferrule.engine.prover.structure_readings import bad_states_first, readings_left_out
from ferrule.engine.prover.structure_steps import backward_answers, missing_ends, unmarked_steps, unreachable_steps
from ferrule.engine.prover.structure_supply import no_suppliers, supplier_cycles

Check = Callable[[Parts], Iterator[Finding]]

CHECKS: tuple[Check, ...] = (
    unreachable_steps,
    missing_ends,
    backward_answers,
    unmarked_steps,
    missing_answers,
    dead_answers,
    bad_states_first,
    readings_left_out,
    band_faults,
    no_suppliers,
    supplier_cycles,
)


def check_set(given: Job | Parts) -> tuple[Finding, ...]:
    """All findings of the checks of structure, sorted by place; a bare job has no places to show."""
    parts = Parts.of(given) if isinstance(given, Job) else given
    found = Findings()
    for check in CHECKS:
        found.extend(check(parts))
    return found.all()


def check_texts(texts: Iterable[tuple[str, str, str]], today: str = "") -> tuple[Finding, ...]:
    """All findings over the texts of a set: those of loading, and where the names hold, those of structure."""
    parts, loaded = compile_parts(texts, today)
    found = Findings()
    found.extend(loaded)
    if not any(finding.level is Level.ERROR for finding in loaded):
        found.extend(check_set(parts))
    return found.all()
