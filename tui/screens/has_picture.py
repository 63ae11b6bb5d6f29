"""Which steps have a picture, told by their act; the pictures themselves are imported when the first one is shown.

Must never: import a picture.
"""

from __future__ import annotations

from collections.abc import Mapping

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.procedure.lists import points_of
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.state import State

CROSSES = ("line to neutral cross", "line to earth cross")
RING_ROUNDS: Mapping[str, str] = {
    "read ring step one": "",
    "read ring step two": CROSSES[0],
    "read ring step three": CROSSES[1],
}
"""Acts that read the ring, each with the cross that it needs."""
SEARCHES = ("look for a fault", "read to find a fault")
PROVING = "prove dead"
LANDING = ("land the conductors", "torque, tug and mark", "remake a device terminal")
OLD_LANDING = ("land the conductors in the old device", "torque, tug and mark an old terminal")
PRESSES: Mapping[str, bool] = {
    "press the test button": False,
    "press the old button": False,
    "hold the toggle and press": True,
}
"""Acts that press the button, each with whether a finger is on the toggle."""
ALONG = ("sockets", "earthed points")
"""The lists of points that lie along the circuit."""
LEAST_POINTS = 3
"""Fewer readings are seen at once without a drawing."""


def is_round_the_ring(job: Job, state: State, step: Step) -> bool:
    """True for a step that reads the ring, crosses its legs, or looks for its fault while they are crossed."""
    if job.card.circuit.kind != "ring":
        return False
    crossed = any(state.facts.get(f"link:{cross}") == "fitted" for cross in CROSSES)
    return step.act in RING_ROUNDS or step.of in CROSSES or (crossed and step.act in SEARCHES)


def has_picture(job: Job, state: State) -> bool:
    """True when the step on screen has a picture."""
    step = step_at(job, state.step)
    if step is None:
        return False
    if step.act in (PROVING, *LANDING, *OLD_LANDING, *PRESSES):
        return True
    if is_round_the_ring(job, state, step):
        return True
    along = step.points in ALONG and any(cell.function and not cell.once for cell in step.cells)
    return along and len(points_of(job, step.points)) >= LEAST_POINTS
