"""Everything that says what is dangerous, as one value: changed as a whole, put into the engine, and taken out again.

A mutant is a function from such a value to another; nothing here knows which rules matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from ferrule.engine.procedure import amend
from ferrule.engine.procedure.amend import Amendable
from ferrule.engine.procedure.compiled import Job, Plan, Procedure
from ferrule.engine.prover import moves, supply
from ferrule.engine.safety import acts, cascade, disturbances, endings, holds
from ferrule.engine.safety.acts import Act, Effect
from ferrule.engine.safety.cascade import Rule
from ferrule.engine.safety.disturbances import Disturbance
from ferrule.engine.safety.endings import Ending
from ferrule.engine.safety.holds import HoldPoint
from ferrule.engine.walk import ruling


@dataclass(frozen=True)
class Stated:
    """The tables of the engine and one job: card, plan and procedures."""

    acts: Mapping[str, Act]
    rules: tuple[Rule, ...]
    reports: Mapping[str, Disturbance]
    endings: Mapping[str, Ending]
    holds: Mapping[str, HoldPoint]
    amendable: Mapping[str, Amendable]
    unproved: tuple[Effect, ...]
    job: Job

    def with_act(self, name: str, **changed: Any) -> Stated:
        """The same with one act written otherwise."""
        return replace(self, acts={**self.acts, name: replace(self.acts[name], **changed)})

    def with_plan(self, **changed: Any) -> Stated:
        """The same with the plan written otherwise."""
        plan: Plan = replace(self.job.plan, **changed)
        return replace(self, job=replace(self.job, plan=plan))

    def with_procedure(self, name: str, **changed: Any) -> Stated:
        """The same with one procedure written otherwise."""
        written: Procedure = replace(self.job.procedures[name], **changed)
        return replace(self, job=replace(self.job, procedures={**self.job.procedures, name: written}))


def as_stated(job: Job) -> Stated:
    """The tables as the engine has them now, beside a job."""
    return Stated(
        dict(acts.ACTS),
        cascade.RULES,
        dict(disturbances.DISTURBANCES),
        dict(endings.ENDINGS),
        dict(holds.HOLD_POINTS),
        dict(amend.AMENDABLE),
        ruling.UNPROVED,
        job,
    )


@contextmanager
def installed(stated: Stated) -> Iterator[None]:
    """Let the engine have these tables for a while; whatever happens, it has its own again afterwards."""
    before = as_stated(stated.job)
    _put(stated)
    try:
        yield
    finally:
        _put(before)


def _put(stated: Stated) -> None:
    """Fill the tables in place, since every module holds the same ones; the two tuples are held by several names."""
    for table, rows in (
        (acts.ACTS, stated.acts),
        (disturbances.DISTURBANCES, stated.reports),
        (endings.ENDINGS, stated.endings),
        (holds.HOLD_POINTS, stated.holds),
        (amend.AMENDABLE, stated.amendable),
    ):
        changed: dict[str, Any] = table  # type: ignore[assignment]
        changed.clear()
        changed.update(rows)
    for module in (cascade, moves, supply):
        vars(module)["RULES"] = stated.rules
    for module in (ruling, moves):
        vars(module)["UNPROVED"] = stated.unproved
