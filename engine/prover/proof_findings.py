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

CODES_OF_PROOF = ("unsafe-walk", "not-shown", "never-ends", "few-looks")
"""The finding codes of what is judged of a whole job."""


def proof_findings(job: Job, places: Places, proof: Proof) -> Iterator[Finding]:
    """Yield a finding for every invariant that was broken or not shown, and for every walk that does not end.

    Where one invariant is broken at one step for several objects, the first is told and the others are counted.
    """
    alike: dict[tuple[int, tuple[str, str], bool], list[Broken]] = {}
    for broken in proof.broken:
        key = (broken.stated.number, mend_at(job, broken.path, broken.walk), bool(broken.walk))
        alike.setdefault(key, []).append(broken)
    for (_, where, _), found in alike.items():
        yield _broken(job, _place(places, *where), found)
    for stuck in proof.stuck:
        where_said = f" It stands at {stuck.step}." if stuck.step else ""
        missing = f" Missing: {_needs(stuck.missing)}." if stuck.missing else ""
        place = _place(places, *stuck.step.partition("/")[::2]) if stuck.step else None
        yield Finding("never-ends", Level.ERROR, f"{stuck.tried.capitalize()}: no end.{where_said}{missing}", place)


def _broken(job: Job, place: Place | None, found: list[Broken]) -> Finding:
    first = found[0]
    stated = first.stated
    lines = tell(job, first.path, first.walk)
    own = "" if stated.says.startswith(stated.sentence) else f" Here: {stated.says}"
    more = f" The same holds for {len(found) - 1} more." if len(found) > 1 else ""
    if first.walk:
        message = f"{stated.sentence} A walk breaks this.{own}{more} {stated.reason}"
        return Finding("unsafe-walk", Level.ERROR, message, place, walk=lines)
    message = f"{stated.sentence} This could not be shown, and no walk that breaks it was found.{own}{more}"
    return Finding("not-shown", Level.ERROR, message, place, walk=lines)


def _place(places: Places, procedure: str, step: str) -> Place | None:
    return places.get(step_key(procedure, step)) or places.get(step_key(procedure))


def _needs(needs: tuple[Need, ...]) -> str:
    return "; ".join(f"{n.fact.replace(':', ' ', 1)} is {' or '.join(n.values)}" for n in needs[:4])
