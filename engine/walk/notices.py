"""What a reader should know beside the step: what applies throughout, a withdrawn edition, readings that disagree.

For: the situation, live and in a replay alike.
Must never: shut a gate or change an outcome; nothing of this stands in an event, because it follows from the
readings, the card and the day, and would only be one more thing to keep in step with them.
"""

from __future__ import annotations

from ferrule.engine.electrics.limits import LimitsSet
from ferrule.engine.procedure.compiled import Condition, Job
from ferrule.engine.safety.acts import Need, spread_needs
from ferrule.engine.safety.facts import Facts
from ferrule.engine.walk.cells import inputs_of, readings_of
from ferrule.engine.walk.place import holds
from ferrule.engine.walk.state import State


def notices(job: Job, state: State, today: str, known: tuple[str, ...] | None = None) -> tuple[str, ...]:
    """Return the sentences that hold now: what applies throughout, the edition, readings that disagree.

    An empty day says nothing about the edition; `known` spares finding again what disagrees.
    """
    withdrawn = edition_notice(job.limits, today)
    apart = disagreements(job, state) if known is None else known
    return (*watched(job, state.facts), *((withdrawn,) if withdrawn else ()), *apart)


def watched(job: Job, facts: Facts) -> tuple[str, ...]:
    """Return what applies throughout the work and has become effective, wherever the walk stands (WB-10)."""
    if facts.get("log") == "closed":
        return ()
    return tuple(
        watch.say
        for watch in job.plan.throughout
        if holds(watch.when, job.card_facts) and all(_effective(line, facts, job) for line in watch.facts)
    )


def _effective(line: Condition, facts: Facts, job: Job) -> bool:
    needs = spread_needs((Need(line.fact, line.values),), "", job.objects)
    return any(facts.get(need.fact) in need.values for need in needs)


def edition_notice(limits: LimitsSet, today: str) -> str:
    """Return the warning that a job's day lies on or past the withdrawal of its edition; empty where it does not."""
    if not today or not limits.withdrawn_on or today < limits.withdrawn_on:
        return ""
    return (
        f"The limits of this job are those of {limits.edition}, which was withdrawn on {limits.withdrawn_on};"
        f" today is {today}. Settle with whoever ordered the work which edition holds."
    )


def disagreements(job: Job, state: State) -> tuple[str, ...]:
    """Return what is to be said of readings that disagree; it depends on readings and card alone."""
    readings = readings_of(state)
    if not readings:
        return ()
    # Only here, so that a walk opens without it.
    from ferrule.engine.electrics.crosscheck import cross_checks

    return tuple(check.sentence for check in cross_checks(readings, inputs_of(job, readings)))
