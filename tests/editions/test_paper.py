"""The device on paper: what the card knows is worked out, what it does not know is asked, and doubt is noted."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import events as e
from ferrule.engine.walk.cells import slots_of
from ferrule.engine.walk.place import step_at
from tests.editions.editions import job_otherwise
from tests.support.walker import Walker

TABLE = "device-on-paper/table"
Changes = Sequence[tuple[str, str]]


def paper_of(changes: Changes) -> Job:
    """The reference job with some words of its card written otherwise."""
    return job_otherwise("trip-free-check", "if-leaflet-allows", changes=changes)


def asked(job: Job) -> set[str]:
    """The rows of the table."""
    step = step_at(job, TABLE)
    assert step is not None
    return {slot.cell.id for slot in slots_of(job, step)}


def answered(job: Job) -> tuple[Walker, dict[str, str]]:
    """The walk after the table was answered soundly, and what each row came to."""
    walker = Walker.begin(job).until(TABLE)
    found = walker.give(walker.answer())
    assert isinstance(found, tuple)
    (event,) = [each for each in found if isinstance(each, e.Answered)]
    return walker, {cell.cell: cell.outcome for cell in event.cells}


def test_all_rows_of_the_table_are_asked_or_worked_out() -> None:
    """The twelve rows of the trade's table stand in the step, whatever the card knows (trade brief P0.12)."""
    twelve = {"board", "rating", "breaking", "loop", "current", "direction", "poles", "leads", "arc", "surge", "leak"}

    assert twelve | {"unsuited"} <= asked(paper_of([]))
    assert twelve | {"type"} <= asked(paper_of([(", kind: general}", "}")]))


@pytest.mark.parametrize(
    ("changes", "outcome"),
    [
        ([], "pass"),
        ([("residual type: A", "residual type: AC")], "fail"),
        ([("S2 and S3, kind: general", "S2 and S3, kind: smooth-dc")], "fail"),
        ([("residual type: A", "residual type: B"), ("S8, kind: general", "S8, kind: smooth-dc")], "pass"),
    ],
)
def test_loads_that_are_known_decide_the_residual_type(changes: Changes, outcome: str) -> None:
    """A load that blinds the type fails the table before the device is bought (531.3.3)."""
    walker, rows = answered(paper_of(changes))

    assert rows["unsuited"] == outcome
    assert (walker.state.facts["check:device on paper"] == "done") is (outcome == "pass")


@pytest.mark.parametrize(
    ("residual", "delayed", "outcome"),
    [("100 mA", "true", "pass"), ("30 mA", "false", "conditional-pass"), ("30 mA", "true", "conditional-pass")],
)
def test_an_upstream_device_that_may_trip_too_is_a_note_and_no_fault(residual: str, delayed: str, outcome: str) -> None:
    """Without delay and three times the current either may go first; it is settled with a reason (B24)."""
    upstream = ("upstream residual: none", f"upstream residual: {residual}\n  upstream delayed: {delayed}")
    walker, rows = answered(paper_of([upstream]))

    assert rows["selectivity"] == outcome
    if outcome != "pass":
        assert walker.state.pending is not None
        assert walker.state.pending.alone
        walker.give(walker.settle("pass"))
    assert walker.state.facts["check:device on paper"] == "done"


def test_an_upstream_device_that_nobody_named_is_asked_for() -> None:
    """A card that says nothing is no card that says none."""
    assert "upstream" in asked(paper_of([("  upstream residual: none\n", "")]))
    assert not {"upstream", "selectivity"} & asked(paper_of([]))


@pytest.mark.parametrize(("declared", "outcome"), [("false", "fail"), ("true", "pass")])
def test_a_declared_board_breaks_what_the_device_cannot(declared: str, outcome: str) -> None:
    """12 kA is above the 10 kA of the device and below the 16 kA that the board is declared for."""
    changes = [
        ("fault current: 0.66 kA, measured", "fault current: 12 kA, stated"),
        ("conditional rating: false", f"conditional rating: {declared}"),
    ]
    _, rows = answered(paper_of(changes))

    assert rows["breaking"] == outcome
