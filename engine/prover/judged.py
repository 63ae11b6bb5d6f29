"""Everything that is to be shown of a set before anybody works by it: its structure, its writing, its safety, its ends.

For: `ferrule check`, and the record of proofs that `ferrule walk` asks for.
Must never: call a set proved while one error stands against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from ferrule.engine.findings import Finding, Findings, Level
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.check_choices import check_choices
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.lists import facts_of_card
from ferrule.engine.procedure.load import compile_parts
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.prover.looks import few_looks
from ferrule.engine.prover.proof_findings import proof_findings
from ferrule.engine.prover.prove import Proof, Remembered, prove
from ferrule.engine.prover.structure import check_set
from ferrule.engine.prover.writing import check_writing
from ferrule.engine.safety.holds import SIGN_OFF


@dataclass(frozen=True, slots=True)
class Judged:
    """What was found against a set, and its proofs by sign-off plan where there was a whole job to prove."""

    findings: tuple[Finding, ...]
    proofs: Mapping[str, Proof]

    @property
    def proved(self) -> bool:
        """True when everything was shown and no error stands."""
        errors = any(finding.level is Level.ERROR for finding in self.findings)
        return bool(self.proofs) and all(proof.holds for proof in self.proofs.values()) and not errors


def judge_set(
    texts: Iterable[tuple[str, str, str]], today: str, shown: Remembered | None = None, *, every_plan: bool = False
) -> Judged:
    """Judge the texts of a set, each as role, id and text; `today` is the date on which it is to be used.

    With `every_plan` the job is proved under each sign-off plan that the limits file allows it; what its own plan shows
    is not said again.
    """
    given = tuple(texts)
    parts, loaded = compile_parts(given, today)
    found = Findings()
    found.extend(loaded)
    if found.has_errors():
        return Judged(found.all(), {})
    found.extend(check_set(parts))
    found.extend(_writing(given, parts, shown))
    proofs: dict[str, Proof] = {}
    job = parts.job()
    if job is not None and not found.has_errors():
        found.extend(few_looks(job, parts.places))
        own = job.card.sign_off
        others = [plan for plan in SIGN_OFF if every_plan and plan != own and _is_allowed(parts, plan)]
        for plan in (own, *others):
            planned = under_plan(job, plan)
            proof = prove(planned, today, shown)
            known = {(b.stated.number, b.stated.says) for b in proofs[own].broken} if plan != own else set()
            new = tuple(b for b in proof.broken if (b.stated.number, b.stated.says) not in known)
            proofs[plan] = proof
            found.extend(proof_findings(planned, parts.places, replace(proof, broken=new)))
    return Judged(found.all(), proofs)


def _is_allowed(parts: Parts, sign_off: str) -> bool:
    """True for a sign-off plan under which the card would be taken as it is: none parts the earthing alone."""
    assert parts.card is not None
    found = Findings()
    check_choices(replace(parts, card=replace(parts.card, sign_off=sign_off)), found)
    return not found.has_errors()


def _writing(texts: Iterable[tuple[str, str, str]], parts: Parts, shown: Remembered | None) -> tuple[Finding, ...]:
    """The findings on how texts are written; no rule looks at a card, so all cards of a set share them."""
    if shown is None:
        return check_writing(parts)
    key = (tuple(text for text in texts if text[0] != "card"), parts.limits.id if parts.limits else "")
    if key not in shown.writing:
        shown.writing[key] = check_writing(parts)
    return shown.writing[key]


def under_plan(job: Job, sign_off: str) -> Job:
    """Return a job as it would be under another sign-off plan."""
    card = replace(job.card, sign_off=sign_off)
    return replace(job, card=card, card_facts=facts_of_card(card, job.limits.settings))
