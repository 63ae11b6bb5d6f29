"""Whether a job can come to an end: from its opening, from the worst that can be, after a stop, by every supplier.

For: sets that are safe because nothing in them can ever be done.
Must never: stand in for the exploration of every spot, which `coarse.explore_all` does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Goal, Job
from ferrule.engine.prover.coarse import Spot, answers, opening, stopped, worst_facts
from ferrule.engine.safety.acts import Need, spread_needs, unmet
from ferrule.engine.safety.endings import COMPLETE, ENDINGS
from ferrule.engine.walk.decide_ending import why_never
from ferrule.engine.walk.place import gate, holds, next_place, step_at

MOST_ANSWERS = 2_000
"""A walk of more answers than this goes round in a circle."""


@dataclass(frozen=True, slots=True)
class Stuck:
    """A walk that does not come to where it should: what was tried, where it stands, what is missing there."""

    tried: str
    step: str
    missing: tuple[Need, ...]
    answers: int


def stuck_walks(job: Job, facts: Mapping[str, str]) -> tuple[tuple[Stuck, ...], int]:
    """Return every walk of a job that does not end as it should, and how many spots were visited."""
    found: list[Stuck] = []
    visited = 0
    holds_seen: set[str] = set()
    reached: set[tuple[str, str]] = set()
    for tried, first, outcomes in _walks(job, facts):
        spots, end = _follow(job, first)
        visited += len(spots)
        holds_seen |= {spot.step for spot in spots}
        for spot in spots:
            reached.update(spot.facts.items())
        if end.outcome not in outcomes:
            found.append(Stuck(tried, end.step, _missing(job, end), len(spots)))
    for goal in _entries(job):
        stuck, count = _supplier(job, goal, facts, reached)
        visited += count
        found.extend(stuck)
    found.extend(_unreached_holds(job, holds_seen))
    return tuple(found), visited


def _entries(job: Job) -> Iterator[Goal]:
    for goals in (job.plan.suppliers, job.plan.goals, *job.plan.ends.values()):
        yield from (goal for goal in goals if holds(goal.when, job.card_facts))


def _walks(job: Job, facts: Mapping[str, str]) -> Iterator[tuple[str, Spot, tuple[str, ...]]]:
    worst = worst_facts(facts)
    yield "from the opening, every answer as wanted", opening(job, facts), ("complete",)
    yield "from the worst that can be recorded, every answer as wanted", opening(job, worst), ("complete",)
    yield "after a stop at the opening", stopped(job, opening(job, facts)), ("stopped",)
    begun = {**worst, "old device": "out"}
    yield "after a stop with the worst recorded", stopped(job, Spot("", begun)), ("made safe",)
    for name, context in _endings(job, facts):
        yield f"to end as {name}, from the worst that allows it", opening(job, context), (_outcome(name),)


def _endings(job: Job, facts: Mapping[str, str]) -> Iterator[tuple[str, dict[str, str]]]:
    """The worst facts under which each end other than complete may be picked, once it was picked."""
    for row in ENDINGS.values():
        if row.name == COMPLETE or why_never(job, row):
            continue
        context = {**worst_facts(facts), "old device": "out"}
        for need in spread_needs(row.needs, "", job.objects):
            if context.get(need.fact) not in need.values:
                context[need.fact] = need.values[0]
        context.update({effect.fact: effect.value for effect in row.effects})
        yield row.name, {**context, "work": "stopped"} if row.stops else context


def _outcome(name: str) -> str:
    """What the log says of an end, whatever is on meanwhile."""
    return name.partition(",")[0]


def _follow(job: Job, spot: Spot, until: tuple[Need, ...] = ()) -> tuple[list[Spot], Spot]:
    """Follow the first answer of every step that leads to a new spot, to the end or until some needs are met."""
    spots = [spot]
    seen = {spot.key}
    while not spot.outcome and len(spots) < MOST_ANSWERS:
        if until and not unmet(until, spot.facts):
            break
        found = next((a.spot for a in answers(job, spot) if a.spot.key not in seen), None)
        if found is None:
            break
        spot = found
        seen.add(spot.key)
        spots.append(spot)
    return spots, spot


def _supplier(
    job: Job, goal: Goal, facts: Mapping[str, str], reached: set[tuple[str, str]]
) -> tuple[tuple[Stuck, ...], int]:
    """A supplier that does not bring its fact about from the worst state; those already seen to do so are passed."""
    needs = spread_needs((Need(goal.fact, goal.values),), "", job.objects)
    left = tuple(
        n
        for n in needs
        if facts.get(n.fact) != "not required" and not any((n.fact, value) in reached for value in n.values)
    )
    if not left:
        return (), 0
    visited = 0
    for context in (worst_facts(facts), *(context for _, context in _endings(job, facts))):
        context.update({n.fact: "fail" for n in left if n.fact.startswith("result:")})
        procedure = job.procedures[goal.by]
        first = next_place(job, context, f"{procedure.id}/{procedure.steps[0].id}", "")
        spots, end = _follow(job, Spot(first.step, context), left)
        visited += len(spots)
        missing = unmet(left, end.facts)
        if not missing:
            return (), visited
    tried = f"supplier “{procedure.title}” for {goal.fact.replace(':', ' ', 1)} is {' or '.join(goal.values)}"
    return (Stuck(tried, end.step, missing, len(spots)),), visited


def _missing(job: Job, spot: Spot) -> tuple[Need, ...]:
    step = step_at(job, spot.step)
    return gate(job, step, spot.facts) if step is not None else ()


def _unreached_holds(job: Job, seen: set[str]) -> Iterator[Stuck]:
    for goal in _entries(job):
        if goal.fact.startswith("hold:"):
            steps = [f"{goal.by}/{s.id}" for s in job.procedures[goal.by].steps if s.kind == "hold"]
            if not seen & set(steps):
                yield Stuck(f"hold point {goal.fact.partition(':')[2]} is never reached", "", (), 0)
