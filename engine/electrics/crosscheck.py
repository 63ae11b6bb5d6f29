"""Readings held against each other: what disagrees, by how much, the likely causes in order, the next test.

Rules
1. A cross-check is advice beside the verdicts: it changes no outcome and stands in no event.  It is worked out
   again from the readings whenever somebody looks, so a replay shows the same words at the same place.
2. Exact decimals only; a reading off the scale takes no part, for it has no number to compare.
3. Silence on a sound circuit: a tolerance is what joints, the display and the instrument leave between true readings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from ferrule.engine.electrics import cross_dead as dead
from ferrule.engine.electrics import cross_live as live
from ferrule.engine.electrics.cross_model import CrossCheck
from ferrule.engine.electrics.figure import Inputs
from ferrule.engine.quantity.exact import exact
from ferrule.engine.quantity.reading import Reading

__all__ = ["CrossCheck", "cross_checks"]


def cross_checks(readings: Mapping[str, Reading], inputs: Inputs) -> tuple[CrossCheck, ...]:
    """All disagreements between these readings on this job, in the order of the work."""
    taken = replace(inputs, readings=dict(readings))
    with exact():
        return tuple(found for check in _CHECKS for found in check(taken))


_CHECKS: tuple[Callable[[Inputs], Iterator[CrossCheck]], ...] = (
    dead.below_the_null,
    dead.radial_step,
    dead.equal_ends,
    dead.ratio,
    dead.length,
    dead.step_two_quarter,
    dead.step_two_flat,
    dead.step_three_most,
    live.equal_values,
    live.equal_insulation,
    live.loop_sum,
    live.below_external,
    live.fault_current,
)
