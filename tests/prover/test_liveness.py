"""Every job comes to its ends: from the opening, from the worst, after a stop; and nowhere is it stuck."""

from __future__ import annotations

import dataclasses

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.coarse import explore_all, opening
from ferrule.engine.prover.driver import Driver
from ferrule.engine.prover.judged import under_plan
from ferrule.engine.prover.liveness import stuck_walks
from ferrule.engine.safety.holds import SIGN_OFF
from ferrule.engine.shell.sets import example_cards
from tests.support.jobs import job_of

DAY = "2026-11-25"


def facts_of(job: Job) -> dict[str, str]:
    """The facts of a job at its opening."""
    return dict(Driver(job, DAY).begin().state.facts)


@pytest.mark.parametrize("card", example_cards())
@pytest.mark.parametrize("plan", SIGN_OFF)
def test_every_end_is_reached(card: str, plan: str) -> None:
    """Each variant under each sign-off plan comes to every end it has, and every supplier brings its fact about."""
    job = under_plan(job_of(card), plan)
    stuck, visited = stuck_walks(job, facts_of(job))
    assert [(s.tried, s.step, s.missing) for s in stuck] == []
    assert visited > 100


def test_a_supplier_that_is_taken_out_is_missed() -> None:
    """Without the supplier of a fact that comes and goes, the walk from the worst is stuck, and says where."""
    job = job_of("saltmarsh-kr1-way-4")
    plan = dataclasses.replace(
        job.plan, suppliers=tuple(goal for goal in job.plan.suppliers if goal.fact != "indicator")
    )
    broken = dataclasses.replace(job, plan=plan)
    stuck, _ = stuck_walks(broken, facts_of(broken))
    assert stuck
    assert any(any(need.fact == "indicator" for need in s.missing) for s in stuck)


@pytest.mark.slow
@pytest.mark.parametrize("card", ["saltmarsh-kr1-way-4", "lighting-radial"])
def test_no_spot_is_stuck(card: str) -> None:
    """Every place that a job can come to by its answers, nothing else happening, has an answer that leads on."""
    _explore(card)


@pytest.mark.nightly
@pytest.mark.parametrize("card", example_cards())
def test_no_spot_is_stuck_in_any_variant(card: str) -> None:
    """The same for every variant."""
    _explore(card)


@pytest.mark.nightly
def test_no_spot_is_stuck_after_one_disturbance() -> None:
    """The same with one disturbance anywhere on the way, on the job with the fewest steps."""
    _explore("radial-5", disturbances=1)


def _explore(card: str, disturbances: int = 0) -> None:
    job = job_of(card)
    found = explore_all(job, opening(job, facts_of(job)), disturbances=disturbances)
    assert [spot.step for spot in found.stuck] == []
    assert found.outcomes >= {"complete", "made safe", "stopped"}
