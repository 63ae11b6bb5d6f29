"""What a proof did not show, as findings at the steps to mend.

For: `ferrule check` and editors.
Must never: soften a walk that was found, or call one unsafe that nobody could walk.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ferrule.engine.findings import Finding, Level, Place
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.places import step_key
from ferrule.engine.prover.prove import Broken, Proof
from ferrule.engine.prover.telling import mend_at, tell
from ferrule.engine.safety.acts import Need

Places = Mapping[str, Place]


def proof_findings(job: Job, places: Places, proof: Proof) -> Iterator[Finding]:
    """Yield a finding for every invariant that was broken or not shown, and for every walk that does not end."""
    for broken in proof.broken:
        yield _broken(job, places, broken)
    for stuck in proof.stuck:
        where = f" It stands at {stuck.step}." if stuck.step else ""
        missing = f" Missing: {_needs(stuck.missing)}." if stuck.missing else ""
        place = _place(places, *stuck.step.partition("/")[::2]) if stuck.step else None
        yield Finding("never-ends", Level.ERROR, f"{stuck.tried.capitalize()}: no end.{where}{missing}", place)


def _broken(job: Job, places: Places, broken: Broken) -> Finding:
    place = _place(places, *mend_at(job, broken.path, broken.walk))
    stated = broken.stated
    lines = tell(job, broken.path, broken.walk)
    if broken.walk:
        message = f"{stated.sentence} A walk breaks it: {stated.says}"
        return Finding("unsafe-walk", Level.ERROR, message, place, stated.reason, walk=lines)
    message = f"{stated.sentence} It could not be shown, and no walk was found: {stated.says}"
    return Finding("not-shown", Level.ERROR, message, place, stated.reason, walk=lines)


def _place(places: Places, procedure: str, step: str) -> Place | None:
    return places.get(step_key(procedure, step)) or places.get(step_key(procedure))


def _needs(needs: tuple[Need, ...]) -> str:
    return "; ".join(f"{n.fact.replace(':', ' ', 1)} is {' or '.join(n.values)}" for n in needs[:4])
