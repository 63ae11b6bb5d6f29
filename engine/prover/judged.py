"""Everything that is to be shown of a set before anybody works by it: its structure, its safety, its ends.

For: `ferrule check`, and the record of proofs that `ferrule walk` asks for.
Must never: call a set proved while one error stands against it.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.findings import Finding, Findings, Level
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.load import compile_parts
from ferrule.engine.prover.proof_findings import proof_findings
from ferrule.engine.prover.prove import Proof, prove
from ferrule.engine.prover.slices import Shown
from ferrule.engine.prover.structure import check_set


@dataclass(frozen=True, slots=True)
class Judged:
    """What was found against a set, and its proof where there was a whole job to prove."""

    findings: tuple[Finding, ...]
    proof: Proof | None

    @property
    def proved(self) -> bool:
        """True when everything was shown and no error stands."""
        return (
            self.proof is not None
            and self.proof.holds
            and not any(finding.level is Level.ERROR for finding in self.findings)
        )


def judge_set(texts: Iterable[tuple[str, str, str]], today: str, shown: Shown | None = None) -> Judged:
    """Judge the texts of a set, each as role, id and text; `today` is the date on which it is to be used."""
    parts, loaded = compile_parts(texts, today)
    found = Findings()
    found.extend(loaded)
    job = parts.job()
    if job is None or any(finding.level is Level.ERROR for finding in loaded):
        return Judged(found.all(), None)
    found.extend(check_set(parts))
    proof = prove(job, today, shown)
    found.extend(proof_findings(parts, proof))
    return Judged(found.all(), proof)
