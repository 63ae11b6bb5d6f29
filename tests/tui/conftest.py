"""The reference job for the tests of this folder, and a small job of hand-made steps on its card."""

from __future__ import annotations

import pytest

from ferrule.engine.procedure.compiled import Job
from tests.support.reference import folders, home, job
from tests.tui.small_job import small

__all__ = ["folders", "home", "job"]


@pytest.fixture(scope="session")
def tiny(job: Job) -> Job:
    """The card and limits of the reference job with a procedure that has one step of each kind."""
    return small(job)
