"""Every job comes to its ends: from the opening, from the worst, after a stop; and nowhere is it stuck."""

from __future__ import annotations

import dataclasses

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.coarse import explore_all, opening, stopped
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
@pytest.mark.parametrize("card", example_cards())
def test_no_near_spot_is_stuck(card: str) -> None:
    """The nearest two thousand places that a job can come to by its answers each have an answer that leads on."""
    assert stuck_spots(card, most=2_000) == []


@pytest.mark.nightly
@pytest.mark.parametrize("card", example_cards())
def test_no_spot_is_stuck(card: str) -> None:
    """The same for the nearest million."""
    assert stuck_spots(card, most=1_000_000) == []


@pytest.mark.nightly
def test_no_spot_is_stuck_after_one_disturbance() -> None:
    """The same with one disturbance anywhere on the way, for the nearest million of a job with few steps."""
    assert stuck_spots("radial-5", most=1_000_000, disturbances=1) == []


def stuck_spots(card: str, most: int, disturbances: int = 0) -> list[str]:
    """Where a job has no answer that leads on, among its nearest spots."""
    job = job_of(card)
    found = explore_all(job, opening(job, facts_of(job)), most=most, disturbances=disturbances)
    return [spot.step for spot in found.stuck]


def test_an_end_is_reached_where_everything_is_explored() -> None:
    """On a job cut down to its stop, every spot is seen, and the only outcome is that it was stopped."""
    job = job_of("radial-5")
    found = explore_all(job, stopped(job, opening(job, facts_of(job))), most=1_000)
    assert found.whole
    assert found.outcomes == {"stopped"}
    assert found.stuck == ()
