"""How the job is to end: which ends are open now, and what follows when one is picked.

Must never: open a gate; an end only says which goals the walk goes to.
"""

from __future__ import annotations

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.acts import Need, spread_needs, unmet
from ferrule.engine.safety.endings import ENDINGS, WITH_OLD_DEVICE, Ending
from ferrule.engine.safety.facts import Facts
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal, is_apprentice, person_of
from ferrule.engine.walk.consequences import Ledger
from ferrule.engine.walk.ruling import Decision, reason_given, settle_place, stop_work
from ferrule.engine.walk.state import State


def end_as(job: Job, state: State, command: c.EndAs) -> Decision:
    row = ENDINGS.get(command.end)
    if row is None:
        return Refusal("unknown-end", f"A job ends as one of: {', '.join(ENDINGS)}.")
    person = person_of(job, command.person)
    if person is None or is_apprentice(person) or not {"technician", "supervisor"} & set(person.roles):
        return Refusal("wrong-role", "A technician or the supervisor says how the job ends.", kept=True)
    if not reason_given(command.reason):
        return Refusal("reason", "Say why the job ends like this.")
    shut = why_shut(job, state.facts, row)
    if shut:
        return Refusal("gate", f"“{row.name}” is shut: {shut}", kept=True)
    ledger = Ledger(job, state.facts, command.at.ms)
    ledger.add(e.EndChosen(row.name, command.reason, command.person))
    if row.stops and ledger.facts["work"] == "going":
        stop_work(ledger, command.person, command.reason)
    ledger.change(row.effects, f"the job is to end as {row.name}")
    return settle_place(ledger, state, "", f"The job is to end as {row.name}.")


def missing_for(job: Job, facts: Facts, row: Ending) -> tuple[Need, ...]:
    """Return what is missing before an end can be picked."""
    return unmet(spread_needs(row.needs, "", job.objects), facts)


def why_never(job: Job, row: Ending) -> str:
    """Return why an end does not exist for this job; empty when it does."""
    if row.name in WITH_OLD_DEVICE and not (job.plan.ends.get("put back") and job.objects.get("old terminal")):
        return "the card lists no terminals of an old device."
    return ""


def why_shut(job: Job, facts: Facts, row: Ending) -> str:
    """Return why an end cannot be picked now; empty when it can."""
    never = why_never(job, row)
    if never:
        return never
    missing = missing_for(job, facts, row)
    if missing and missing[0].fact == "work":
        return "work is stopped; let it go on first."
    listed = "; ".join(f"{n.fact.replace(':', ' ')} must be {' or '.join(n.values)}" for n in missing[:4])
    more = f"; and {len(missing) - 4} more" if len(missing) > 4 else ""
    return f"{listed}{more}." if missing else ""


def open_ends(job: Job, facts: Facts) -> tuple[str, ...]:
    """Return the ends that can be picked now."""
    return tuple(row.name for row in ENDINGS.values() if not why_shut(job, facts, row))
