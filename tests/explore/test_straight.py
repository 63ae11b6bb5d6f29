"""A sound job is walked straight from card to closed log, and what that takes is counted."""

import pytest

from ferrule.engine.electrics.figures import Figure, compute
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.cells import inputs_of, readings_of
from ferrule.engine.walk.place import step_at
from tests.support.jobs import ALL, OTHERS, REFERENCE, job_of
from tests.support.walker import Walker


def keys_of(command: c.Command) -> int:
    """Count the keys that a command takes on screen: a digit for a state, the digits and Enter for a reading."""
    if isinstance(command, c.Answer):
        typed = sum(1 if cell.form == c.SEEN else len(cell.entered) + 1 for cell in command.cells)
        return typed + 1
    return 2


@pytest.mark.parametrize("name", ALL)
def test_sound_job_reaches_its_end(name: str) -> None:
    """Each card walks through the same procedures to the outcome complete, and no invariant is broken on the way."""
    walker = Walker.begin(job_of(name)).walk()

    assert walker.state.outcome == "complete"
    assert walker.record.broken == []
    assert walker.world.harm == []


def test_reference_job_is_worth_its_steps() -> None:
    """The reference job makes at least 200 confirmed facts in at most 90 stops, 900 keys and five walks round."""
    walker = Walker.begin(job_of()).walk()
    answered = [event for _, events in walker.trail for event in events if isinstance(event, e.Answered)]
    stops = [command for command, _ in walker.trail if isinstance(command, c.Answer | c.Sign)]
    sockets = len(walker.job.card.circuit.points)
    rounds = [a for a in answered if len({cell.point for cell in a.cells if cell.point}) >= sockets]
    of_sockets = [a for a in rounds if step_at(walker.job, a.step).points == "sockets"]  # type: ignore[union-attr]

    assert walker.state.confirmed >= 200
    assert len(stops) <= 90
    assert sum(keys_of(command) for command, _ in walker.trail) <= 900
    assert len(of_sockets) <= 5


@pytest.mark.parametrize(
    ("act", "least"),
    [
        ("prove dead", 12),
        ("read ring step two", 10),
        ("read ring step three", 10),
        ("read loop impedance", 40),
        ("torque, tug and mark", 20),
        ("press the test button", 2),
        ("hold the toggle and press", 1),
    ],
)
def test_each_place_is_a_fact_of_its_own(act: str, least: int) -> None:
    """Each pair, socket, terminal and press is recorded by itself and not summed up.

    Shows: VR-12
    """
    walker = Walker.begin(job_of()).walk()
    cells = [
        cell
        for _, events in walker.trail
        for event in events
        if isinstance(event, e.Answered) and step_at(walker.job, event.step).act == act  # type: ignore[union-attr]
        for cell in event.cells
    ]

    assert len({(cell.point, cell.cell) for cell in cells}) >= least or len(cells) >= least


@pytest.mark.parametrize("name", OTHERS[:2])
def test_other_circuits_expect_other_values(name: str) -> None:
    """A 37 m ring and a radial run through unchanged procedures and expect other values than the reference job."""
    figures = {}
    for card in (REFERENCE, name):
        walker = Walker.begin(job_of(card)).walk()
        inputs = inputs_of(walker.job, readings_of(walker.state))
        found = [compute(figure, inputs, walker.job.card.far_point) for figure in ("loop.zs", "loop.limit")]
        figures[card] = [f.high for f in found if isinstance(f, Figure)]

    assert len(figures[name]) == 2
    assert figures[name][0] != figures[REFERENCE][0]


def test_procedures_are_shared() -> None:
    """All cards run through the same procedure files, byte for byte."""
    ids = [set(job_of(name).procedures) for name in ALL]
    reference = job_of().procedures

    for name, found in zip(ALL, ids, strict=True):
        assert all(job_of(name).procedures[i] == reference[i] for i in found & set(reference))
