"""Where a value comes from that nobody typed at this step: computed from what, carried from which step (SP-06).

For: the places of a step, which say it beside each such value.
Must never: compute a value; it tells of figures that were worked out for the step already.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.state import State

if TYPE_CHECKING:
    from ferrule.engine.electrics.figure import Figure, Unknown

VALUE, EXPECTED, LIMIT = "value", "expected", "limit"
"""What a step shows that nobody typed there."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A reading that a figure used: its key, the entry that gave it, and the text of the step that asked for it."""

    key: str
    entry: int
    step: str


@dataclass(frozen=True, slots=True)
class Origin:
    """Where one shown value comes from."""

    of: str
    """`value`, `expected` or `limit`."""
    rule: str
    """How it is computed, in letters; empty for a number that stands in the limits file as it is."""
    put_in: str
    """The same with the numbers of this job, or why it cannot be computed yet."""
    source: str
    carried: tuple[Carried, ...] = ()


def computed(job: Job, state: State, of: str, figure: Figure | Unknown) -> Origin:
    """Return where a figure comes from; one that is not known yet says why."""
    from ferrule.engine.electrics.figure import Unknown

    if isinstance(figure, Unknown):
        return Origin(of, figure.name, figure.reason, "")
    carried = tuple(_carried(job, state, key) for key in dict.fromkeys(figure.reads))
    return Origin(of, figure.formula, figure.put_in, figure.source, carried)


def _carried(job: Job, state: State, key: str) -> Carried:
    entry = state.readings[key].entry
    step = step_at(job, state.done[entry].step)
    return Carried(key, entry, step.text if step is not None else state.done[entry].step)
