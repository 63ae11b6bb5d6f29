"""The likely causes of the readings so far, for the search for a fault: asked for by a reader, never by a decision.

For: the screen of a fault-finding step and the word `causes` of the plain mode.
Must never: be kept.  The ranking is worked out in binary floats and stands in no event, no state and no verdict.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ferrule.engine.procedure.amend import amended_job
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.cells import readings_of
from ferrule.engine.walk.state import State

if TYPE_CHECKING:
    from ferrule.engine.network.causes import Cause


def advice(job: Job, state: State) -> tuple[Cause, ...]:
    """Return the ranked causes of the readings that stand; none where nothing was read or nothing explains it."""
    # Only here: the network is no part of the way from key to screen.
    from ferrule.engine.network.causes import ranked_causes

    job = amended_job(job, state.amendments)
    readings = readings_of(state)
    long_lead = job.limits.settings.get("cpc-method") == "long-lead"
    return ranked_causes(job.card.circuit, readings, _external_ohm(job, state), long_lead=long_lead)


def _external_ohm(job: Job, state: State) -> float | None:
    """Return the external impedance as read in this job, else as the card gives it."""
    kept = state.readings.get("ze")
    if kept is not None and kept.reading.value is not None and kept.reading.unit == "ohm":
        return float(kept.reading.value)
    value = job.card.supply.ze_ohm.value
    return None if value is None else float(value)
