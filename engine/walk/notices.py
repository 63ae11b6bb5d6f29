"""What a reader should know beside the step: what applies throughout, a withdrawn edition, readings that disagree.

For: every decision, which says what came into effect and what no longer is, and the situation, which shows it.
Must never: shut a gate or change an outcome.
What follows from facts and readings is a caution: its coming and going are events, so the record shows when it stood
beside the work.  The edition follows from the card and the day alone and stands in no event.
"""

from __future__ import annotations

from collections.abc import Iterator

from ferrule.engine.electrics.limits import LimitsSet
from ferrule.engine.procedure.compiled import Condition, Job
from ferrule.engine.safety.acts import Need, spread_needs
from ferrule.engine.safety.facts import Facts
from ferrule.engine.walk import events as e
from ferrule.engine.walk.cells import inputs_of, readings_of
from ferrule.engine.walk.place import holds
from ferrule.engine.walk.state import State


def notices(job: Job, state: State, today: str) -> tuple[str, ...]:
    """Return the sentences that hold now: the cautions in effect, and the edition; an empty day says nothing of it."""
    withdrawn = edition_notice(job.limits, today)
    return (*state.cautions, *((withdrawn,) if withdrawn else ()))


def changed_cautions(job: Job, before: State, after: State) -> Iterator[e.CautionLifted | e.CautionApplied]:
    """Yield what no longer is in effect after a command, then what came into effect (SP-02)."""
    now = _in_effect(job, before, after)
    yield from (e.CautionLifted(said) for said in before.cautions if said not in now)
    yield from (e.CautionApplied(said) for said in now if said not in before.cautions)


def _in_effect(job: Job, before: State, after: State) -> tuple[str, ...]:
    """Return the cautions of a state; readings are held against each other only where they or the card changed."""
    same = after.readings == before.readings and after.amendments == before.amendments
    throughout = {watch.say for watch in job.plan.throughout}
    apart = tuple(said for said in before.cautions if said not in throughout) if same else disagreements(job, after)
    return (*watched(job, after.facts), *apart)


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
