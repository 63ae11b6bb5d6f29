"""Proves a job: every invariant over every move, the hazard over the hidden world, and that its ends are reached.

For: `ferrule check`, before anybody walks the set.
Must never: call a set proved that was not looked at whole, or show a walk that the real decision did not take.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.concrete import Given, walk_again
from ferrule.engine.prover.driver import Driver
from ferrule.engine.prover.invariants import HAZARD, PROVED
from ferrule.engine.prover.liveness import Stuck, stuck_walks
from ferrule.engine.prover.moves import Table, table_of
from ferrule.engine.prover.rules import Case
from ferrule.engine.prover.slices import Breaks, Found, Shown, Slice, Taken, explore
from ferrule.engine.prover.world import hazard_slice, touches_live
from ferrule.engine.walk.place import holds

GROWS = 4
"""How often a slice may grow before its path is called not shown."""


@dataclass(frozen=True, slots=True)
class Stated:
    """What is to hold, with the trade's reason."""

    number: int
    sentence: str
    reason: str
    says: str
    """The sentence with the objects of this job put in."""


@dataclass(frozen=True, slots=True)
class Broken:
    """An invariant that a walk breaks, or that could not be shown."""

    stated: Stated
    watched: tuple[str, ...]
    path: tuple[Taken, ...]
    walk: tuple[Given, ...]
    """As the real decision took it; empty where no walk of the path was found, and the invariant is only not shown."""


@dataclass(frozen=True, slots=True)
class Proof:
    """What a proof came to."""

    states: int
    """States visited: over slices, over the hidden world, and in walks to the end."""
    cases: int
    """Instances of invariants that were looked at."""
    known: int
    """Of these, instances that were shown before in the same words, for another job of the set."""
    broken: tuple[Broken, ...]
    stuck: tuple[Stuck, ...]

    @property
    def holds(self) -> bool:
        """True when everything was shown."""
        return not (self.broken or self.stuck)


class Remembered(Shown):
    """What was shown for earlier jobs of a set: slices, and whole jobs whose moves and goals are the same."""

    def __init__(self) -> None:
        """Begin with nothing shown."""
        super().__init__()
        self.proofs: dict[object, Proof] = {}


@dataclass(slots=True)
class Count:
    """What was looked at so far."""

    states: int = 0
    cases: int = 0
    known: int = 0


def prove(job: Job, day: str, shown: Remembered | None = None) -> Proof:
    """Prove a job; `day` is a date on which its persons and instruments are valid.

    `shown` remembers what was shown of slices that are the same in another job, so that a set of variants is not
    explored over and over.
    """
    shown = shown if shown is not None else Remembered()
    driver = Driver(job, day)
    facts = driver.begin().state.facts
    table = table_of(job, facts)
    key = (table.signature(), _goals_of(job))
    before = shown.proofs.get(key)
    if before is not None:
        return replace(before, states=0, known=before.cases)
    count = Count()
    broken = tuple(breaks(driver, table, shown, count))
    stuck, visited = stuck_walks(job, facts)
    proof = Proof(count.states + visited, count.cases, count.known, broken, stuck)
    if proof.holds:
        shown.proofs[key] = proof
    return proof


def breaks(driver: Driver, table: Table, shown: Shown, count: Count) -> Iterator[Broken]:
    """Yield everything that is broken or could not be shown, as it is found."""
    yield from _invariants(driver, table, shown, count)
    yield from _hazards(driver, table, shown, count)


def _goals_of(job: Job) -> tuple[object, ...]:
    """The entries of the plan that apply to a job."""
    lists = (job.plan.goals, job.plan.suppliers, *job.plan.ends.values())
    return tuple(tuple(goal for goal in goals if holds(goal.when, job.card_facts)) for goals in lists)


def prove_hazard(job: Job, day: str) -> tuple[Broken, ...]:
    """Look for the physical hazard alone."""
    driver = Driver(job, day)
    table = table_of(job, driver.begin().state.facts)
    return tuple(_hazards(driver, table, Shown(), Count()))


def _invariants(driver: Driver, table: Table, shown: Shown, count: Count) -> Iterator[Broken]:
    for invariant in PROVED:
        for rule in invariant.rules:
            for case in rule.cases(table):
                stated = Stated(invariant.number, invariant.sentence, invariant.reason, case.says)
                yield from _settle(driver, table, stated, case, shown, count)


def _hazards(driver: Driver, table: Table, shown: Shown, count: Count) -> Iterator[Broken]:
    """The physical hazard, for one source at a time beside a feed that nobody listed."""
    for source in table.job.objects["source"]:
        piece = hazard_slice(table, source)
        stated = Stated(HAZARD.number, HAZARD.sentence, HAZARD.reason, f"{HAZARD.sentence} ({source})")
        found = _look(piece, touches_live, stated.says, shown, count)
        if found.path:
            facts = tuple(name for name in piece.facts if name in table.facts)
            walked = walk_again(driver, found.path, facts, touches_live)
            yield Broken(stated, facts, found.path, walked.commands)


def _look(piece: Slice, breaks: Breaks, says: str, shown: Shown, count: Count) -> Found:
    count.cases += 1
    key = (says.partition(" (")[0], piece.key())
    if shown.holds(key):
        count.known += 1
        return Found(0)
    found = explore(piece, breaks)
    count.states += found.states
    if not found.path:
        shown.keep(key)
    return found


def _settle(driver: Driver, table: Table, stated: Stated, case: Case, shown: Shown, count: Count) -> Iterator[Broken]:
    """Explore a case over more and more facts until it is shown, walked, or given up."""
    facts = case.facts
    found = Found(0)
    for _ in range(GROWS):
        found = _look(Slice(table, facts, case.acts), case.breaks, case.says, shown, count)
        if not found.path:
            return
        more = _coupled(table, facts, found)
        if not more:
            walked = walk_again(driver, found.path, facts, case.breaks)
            if walked.commands:
                yield Broken(stated, facts, found.path, walked.commands)
                return
            more = tuple(fact for fact in walked.shut if fact not in facts)[:2]
        if not more:
            break
        facts = (*facts, *more)
    yield Broken(stated, facts, found.path, ())


def _coupled(table: Table, facts: tuple[str, ...], found: Found) -> tuple[str, ...]:
    """Facts that the cascade ties to those that are tracked, through what the path's moves change or need."""
    tracked = set(facts)
    changed: set[str] = set()
    needed: set[str] = set()
    for taken in found.path:
        for step in table.steps_by_act.get(taken.label.name, ()):
            changed.update(step.facts())
            needed.update(need.fact for need in step.needs)
        for move in table.others_by_name.get(taken.label.name, ()):
            changed.update(change.fact for change in move.changes)
    more: dict[str, None] = {}
    for rule in table.falls:
        dropped = {drop.fact for drop in rule.drops}
        causes = {need.fact for need in rule.unless}
        if dropped & tracked:
            more.update(dict.fromkeys(sorted((causes & changed) - tracked)))
        if causes & tracked:
            more.update(dict.fromkeys(sorted((dropped & needed) - tracked)))
    return tuple(more)[:3]
