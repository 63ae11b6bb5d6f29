"""What a set of files came to: the compiled parts that could be made, each part's place, and all findings.

For: checks that want to say as much as possible even where a file is missing or faulty.
Must never: be walked; a walk wants a whole job.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from ferrule.engine.electrics.limits import LimitsSet
from ferrule.engine.findings import Place
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Card, Job, Plan, Procedure
from ferrule.engine.procedure.glossary import Glossary


@dataclass(frozen=True, slots=True)
class Parts:
    """The compiled parts of a job; what is not there is None or missing from the mapping."""

    card: Card | None = None
    plan: Plan | None = None
    procedures: Mapping[str, Procedure] = field(default_factory=dict)
    limits: LimitsSet | None = None
    objects: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    card_facts: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    unread: frozenset[str] = frozenset()
    """Procedures whose text was given and could not be read; their names are known all the same."""
    glossary: Glossary | None = None

    @classmethod
    def of(cls, job: Job) -> Parts:
        """The parts of a whole job, without places."""
        return cls(job.card, job.plan, job.procedures, job.limits, job.objects, job.card_facts)

    def job(self) -> Job | None:
        """The job that the parts make, or None when one is missing."""
        if self.card is None or self.plan is None or self.limits is None:
            return None
        return Job(self.card, self.plan, self.procedures, self.limits, self.objects, self.card_facts)
