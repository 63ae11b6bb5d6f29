"""Proves a job: every invariant over every move, the hidden world, and what can be shown only by being reached.

For: `ferrule check`, before anybody walks the set.
Must never: call a set proved that was not looked at whole, or show a walk that the real decision did not take.
"""

from __future__ import annotations

from collections.abc import Iterator

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.concrete import Given, walk_again
from ferrule.engine.prover.driver import Driver
from ferrule.engine.prover.invariants import PROVED, Invariant
from ferrule.engine.prover.moves import Table, table_of
from ferrule.engine.prover.rules import Case
from ferrule.engine.prover.slices import Found, Slice, Taken, explore

ROUNDS = 4
"""How often a slice may grow before its path is called not shown."""


@dataclass(frozen=True, slots=True)
class Broken:
    """An invariant that a walk breaks, or that could not be shown."""

    number: int
    sentence: str
    says: str
    reason: str
    watched: tuple[str, ...]
    path: tuple[Taken, ...]
    walk: tuple[Given, ...]
    """As the real decision took it; empty where no walk of the path was found, and the invariant is only not shown."""


@dataclass(frozen=True, slots=True)
class Proof:
    """What a proof came to."""

    states: int
    cases: int
    broken: tuple[Broken, ...]

    @property
    def holds(self) -> bool:
        """True when everything was shown."""
        return not self.broken


def prove(job: Job, day: str) -> Proof:
    """Prove every invariant of a job; `day` is a date on which its persons and instruments are valid."""
    driver = Driver(job, day)
    table = table_of(job, driver.begin().state.facts)
    states = cases = 0
    broken: list[Broken] = []
    for invariant, case in cases_of(table):
        found = _settle(driver, table, invariant, case)
        states += found[0]
        cases += 1
        if found[1] is not None:
            broken.append(found[1])
    return Proof(states, cases, tuple(broken))


def cases_of(table: Table) -> Iterator[tuple[Invariant, Case]]:
    """Every instance of every invariant for a job."""
    for invariant in PROVED:
        for rule in invariant.rules:
            for case in rule.cases(table):
                yield invariant, case


def _settle(driver: Driver, table: Table, invariant: Invariant, case: Case) -> tuple[int, Broken | None]:
    """Explore a case over more and more facts until it is shown, walked, or given up."""
    facts = case.facts
    states = 0
    for _ in range(ROUNDS):
        found = explore(Slice(table, facts, case.acts), case.breaks)
        states += found.states
        if not found.path:
            return states, None
        more = _coupled(table, facts, found)
        if more:
            facts = (*facts, *more)
            continue
        walked = walk_again(driver, found.path, facts)
        if walked.commands:
            return states, _broken(invariant, case, facts, found, walked.commands)
        more = tuple(fact for fact in walked.shut if fact not in facts)[:2]
        if not more:
            break
        facts = (*facts, *more)
    return states, _broken(invariant, case, facts, found, ())


def _broken(
    invariant: Invariant, case: Case, facts: tuple[str, ...], found: Found, walk: tuple[Given, ...]
) -> Broken:
    return Broken(invariant.number, invariant.sentence, case.says, invariant.reason, facts, found.path, walk)


def _coupled(table: Table, facts: tuple[str, ...], found: Found) -> tuple[str, ...]:
    """Facts that the cascade ties to those that are tracked, through what the path's moves change or need."""
    tracked = set(facts)
    changed: set[str] = set()
    needed: set[str] = set()
    for taken in found.path:
        for step in table.steps_by_act.get(taken.label.name, ()):
            changed.update(step.facts())
            needed.update(need.fact for need in step.needs)
        for move in table.others:
            if move.label.name == taken.label.name:
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


