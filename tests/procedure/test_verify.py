"""A verify step looks again and changes nothing."""

from ferrule.engine.procedure.load import load_procedure
from tests.support.jobs import ALL, job_of

TEXT = """procedure: again
revision: 1
title: Again
purpose: Look again.
sections:
  - section: Look
    steps:
      - id: look
        verify: Look at the lock again.
        act: inspect condition
        states:
          - on: pass
          - off: fail
        answers:
          - fail: stop
"""


def test_a_verify_step_has_no_act() -> None:
    """An act beside `verify` is refused by name: verification does not alter the state.

    Shows: VR-02
    """
    refused, found = load_procedure(TEXT, "again.yaml")
    taken, clean = load_procedure(TEXT.replace("        act: inspect condition\n", ""), "again.yaml")

    assert refused is None
    assert [(f.code, f.place.line if f.place else 0) for f in found] == [("unknown-key", 10)]
    assert (taken is not None, clean) == (True, ())


def test_the_packaged_set_lets_a_second_person_look() -> None:
    """Every packaged job has a step at which board and way are read by a second person, or alone by a second look."""
    for name in ALL:
        steps = [s for p in job_of(name).procedures.values() for s in p.steps if s.kind == "verify"]

        assert steps
        assert all(not s.act for s in steps)
