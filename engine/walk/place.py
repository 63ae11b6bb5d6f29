"""Where the walk stands next: the first unmet goal, or the supplier of what is missing for it.

There is no stack.  A procedure that ends, a gate that shuts, a correction or a lost lock all come here, and the
way back through what has to be done again falls out of the goals that are no longer met.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Condition, Goal, Job, Procedure, Step
from ferrule.engine.procedure.lists import points_of
from ferrule.engine.safety.acts import ACTS, PASS, Act, Need, effects_of, needs_of, spread_needs, unmet
from ferrule.engine.safety.facts import Facts

MOST_SUPPLIERS = 40
"""A chain of suppliers longer than this is a loop; the packaged set needs fewer than fifteen."""


@dataclass(frozen=True, slots=True)
class Place:
    """A step to stand at, and why; `missing` holds what is missing when nothing supplies it."""

    step: str
    why: str
    missing: tuple[Need, ...] = ()


def step_at(job: Job, where: str) -> Step | None:
    """Return the step that `procedure/step` names, or None."""
    found = locate(job, where)
    return None if found is None else found[0].steps[found[1]]


def locate(job: Job, where: str) -> tuple[Procedure, int] | None:
    """Return the procedure and the index of a step, or None."""
    name, _, step_id = where.partition("/")
    procedure = job.procedures.get(name)
    if procedure is None:
        return None
    for index, step in enumerate(procedure.steps):
        if step.id == step_id:
            return procedure, index
    return None


def holds(conditions: tuple[Condition, ...], card_facts: Mapping[str, str]) -> bool:
    """True when every card condition holds."""
    return all(card_facts.get(c.fact) in c.values for c in conditions)


def objects_of(job: Job, step: Step, facts: Facts | None = None) -> tuple[str, ...]:
    """Return the objects that a step's act is done to; one empty name where it has none.

    With facts, an act that is never repeated on an object passes over those where it is done.
    """
    if step.of != "each":
        return (step.of,)
    every = tuple(p.id for p in points_of(job, step.points))
    act = ACTS.get(step.act)
    if facts is None or act is None or not act.once:
        return every
    done = {of for of in every if all(facts.get(x.fact) == x.value for x in effects_of(act, PASS, of, job.objects))}
    return tuple(of for of in every if of not in done)


def gate(job: Job, step: Step, facts: Facts) -> tuple[Need, ...]:
    """Return what is missing for a step's act, over all its objects."""
    return unmet(needs_at(job, step), facts)


def needs_at(job: Job, step: Step) -> tuple[Need, ...]:
    """Return all needs of a step's act over its objects; a list that is empty still has the act's needs."""
    act = ACTS.get(step.act)
    if act is None:
        return ()
    of_all = objects_of(job, step)
    if not of_all:
        shared = tuple(n for n in act.needs if "{of}" not in n.fact)
        return spread_needs(shared, "", job.objects)
    found: dict[Need, None] = {}
    for of in of_all:
        found.update(dict.fromkeys(needs_of(act, of, job.objects)))
    return tuple(found)


def is_so_already(job: Job, step: Step, facts: Facts) -> bool:
    """True for an act that only does something, when everything it does already holds."""
    act = ACTS.get(step.act)
    if step.kind != "do" or act is None:
        return False
    wanted = [e for of in objects_of(job, step) for e in effects_of(act, "pass", of, job.objects)]
    return bool(wanted) and not act.voids and all(facts.get(e.fact) == e.value for e in wanted)


def goals_of(job: Job, facts: Facts) -> tuple[Goal, ...]:
    """Return the goals that apply now: those of the job, or of the end that it is going to."""
    return tuple(g for g in every_goal(job, facts) if holds(g.when, job.card_facts))


def every_goal(job: Job, facts: Facts) -> tuple[Goal, ...]:
    """Return the same with the goals that the card rules out."""
    ends, ending = job.plan.ends, facts.get("ending")
    if facts.get("work") != "stopped":
        return ends["put back"] if ending == "put back" else job.plan.goals
    if ending == "continue later":
        return ends["continue later"]
    begun = unmet(needs_of(ACTS["close the log as not begun"], "", job.objects), facts)
    return ends["made safe"] if begun else ends["not begun"]


def goal_is_met(job: Job, goal: Goal, facts: Facts) -> bool:
    """True when every fact of the goal has one of its values."""
    return not unmet(_keys_of(goal.fact, goal.values, tuple(job.objects.items())), facts)


@lru_cache(maxsize=4096)
def _keys_of(fact: str, values: tuple[str, ...], objects: tuple[tuple[str, tuple[str, ...]], ...]) -> tuple[Need, ...]:
    """Return the fact keys that a goal stands for, as needs."""
    return spread_needs((Need(fact, values),), "", dict(objects))


def next_place(job: Job, facts: Facts, wanted: str, why: str) -> Place:
    """Return where to stand: at `wanted` if its gate is open, else with its supplier, else at the first unmet goal.

    An empty `wanted` means that the procedure has ended.
    """
    if facts.get("log") == "closed":
        return Place("", "The log is closed.")
    if wanted:
        found = locate(job, wanted)
        if found is not None:
            entered = _enter(job, found[0], facts, found[1])
            if entered is not None:
                return _through_gates(job, facts, entered, why)
    for goal in goals_of(job, facts):
        if goal_is_met(job, goal, facts):
            continue
        entered = _enter(job, job.procedures[goal.by], facts, 0)
        if entered is None:
            return Place("", f"Nothing is left to do in “{job.procedures[goal.by].title}”, yet it is not met.")
        return _through_gates(job, facts, entered, f"Next goal: {goal.title or job.procedures[goal.by].title}.")
    return Place("", "Every goal is met.")


def _enter(job: Job, procedure: Procedure, facts: Facts, index: int) -> str | None:
    """Return the first step from `index` on that applies and is not so already, or None."""
    for step in procedure.steps[index:]:
        if holds(step.when, job.card_facts) and not is_so_already(job, step, facts):
            return f"{procedure.id}/{step.id}"
    return None


def leads_on(job: Job, facts: Facts, wanted: str) -> bool:
    """True when a step that applies is left at `wanted` or behind it in the same procedure."""
    found = locate(job, wanted) if wanted else None
    return found is not None and _enter(job, found[0], facts, found[1]) is not None


def _through_gates(job: Job, facts: Facts, where: str, why: str) -> Place:
    """Follow suppliers from a step whose gate is shut until one is open."""
    seen = {where.partition("/")[0]}
    target = step_at(job, where)
    for _ in range(MOST_SUPPLIERS):
        step = step_at(job, where)
        if step is None:
            break
        missing = gate(job, step, facts)
        if not missing:
            return Place(where, why)
        for need in missing:
            supplied = _supplied(job, facts, need, seen)
            if supplied is not None:
                break
        else:
            return Place(where, "Nothing on the plan supplies what is missing here.", missing)
        where, procedure = supplied
        seen.add(procedure)
        purpose = target.text if target is not None else ""
        why = f"Needed before “{purpose}”: {need.fact.replace(':', ' ')} is {' or '.join(need.values)}."
    return Place(where, "The suppliers on the plan lead in a circle.", gate(job, _must(job, where), facts))


def _must(job: Job, where: str) -> Step:
    step = step_at(job, where)
    if step is None:
        raise KeyError(where)
    return step


def _supplied(job: Job, facts: Facts, need: Need, seen: set[str]) -> tuple[str, str] | None:
    """Return where a need is supplied: the first supplier that is open now, else the first that can become so."""
    later: tuple[str, str] | None = None
    for goal in suppliers_of(job, need, facts):
        if goal.by in seen or not holds(goal.when, job.card_facts):
            continue
        entered = _enter(job, job.procedures[goal.by], facts, 0)
        if entered is None:
            continue
        missing = gate(job, _must(job, entered), facts)
        if not missing:
            return entered, goal.by
        if later is None and not any(n.fact == "work" for n in missing):
            later = entered, goal.by
    return later


def suppliers_of(job: Job, need: Need, facts: Facts) -> Iterator[Goal]:
    """Yield the plan's entries that bring a fact to one of the wanted values.

    The goals of the end that the job is going to come first, then suppliers, then the goals of the job.
    """
    ends = (goal for goals in job.plan.ends.values() for goal in goals)
    now = every_goal(job, facts)
    first = () if now is job.plan.goals else now
    for goal in (*first, *job.plan.suppliers, *job.plan.goals, *ends):
        if set(goal.values) <= set(need.values):
            keys = _keys_of(goal.fact, goal.values, tuple(job.objects.items()))
            if any(need.fact == key.fact for key in keys):
                yield goal


def act_of(step: Step) -> Act | None:
    """Return the act of a step, or None where it only ends or asks."""
    return ACTS.get(step.act)
