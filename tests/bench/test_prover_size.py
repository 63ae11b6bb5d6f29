"""The time of a proof against the size of the set: near-linear up to a hundred times the packaged one."""

from __future__ import annotations

import dataclasses
import time

import pytest

from ferrule.engine.procedure.compiled import Goal, Job
from ferrule.engine.prover.prove import prove
from tests.support.jobs import job_of

DAY = "2026-11-25"


def times(job: Job, size: int) -> Job:
    """A job with every procedure, supplier and goal written down `size` times under other names."""

    def named(name: str, copy: int) -> str:
        return name if copy == 0 else f"{name}--{copy}"

    def again(goal: Goal, copy: int) -> Goal:
        return dataclasses.replace(goal, by=named(goal.by, copy))

    procedures = {
        named(name, copy): dataclasses.replace(job.procedures[name], id=named(name, copy))
        for copy in range(size)
        for name in job.procedures
    }

    def copies(goals: tuple[Goal, ...]) -> tuple[Goal, ...]:
        more = (again(g, copy) for copy in range(1, size) for g in goals if not g.fact.startswith("hold:"))
        return (*goals, *more)

    plan = dataclasses.replace(job.plan, suppliers=copies(job.plan.suppliers), goals=copies(job.plan.goals))
    return dataclasses.replace(job, procedures=procedures, plan=plan)


def seconds(job: Job) -> float:
    """The time of one proof that holds."""
    start = time.perf_counter()
    assert prove(job, DAY).holds
    return time.perf_counter() - start


@pytest.mark.nightly
def test_a_hundred_times_the_set_takes_about_a_hundred_times_the_time() -> None:
    """Ten times the set takes at most 15 times as long, a hundred times at most 150 times."""
    job = job_of("radial-5")
    base = min(seconds(job) for _ in range(3))
    ten = seconds(times(job, 10))
    hundred = seconds(times(job, 100))
    said = f"1: {base:.2f} s, 10: {ten:.2f} s, 100: {hundred:.2f} s"
    assert ten <= 15 * base, said
    assert hundred <= 150 * base, said
