"""Tries mutants: whether a walk under it does harm, and whether the prover says so.

Must never: tell the prover what was hunted down, or the hunt what the prover found.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from time import perf_counter

from ferrule.engine.findings import Finding, Level
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover import concrete
from ferrule.engine.prover.driver import Driver
from ferrule.engine.prover.liveness import stuck_walks
from ferrule.engine.prover.looks import few_looks
from ferrule.engine.prover.moves import table_of
from ferrule.engine.prover.prove import Count, Remembered, breaks, prove
from ferrule.engine.prover.structure import check_set
from tests.editions.editions import job_otherwise
from tests.mutation import of_effects, of_falls, of_needs, of_plan, of_steps
from tests.mutation.hunt import MOST, Broken, hunt, known_ways
from tests.mutation.mutant import Mutant
from tests.mutation.tables import Stated, as_stated, installed
from tests.support.jobs import REFERENCE, job_of
from tests.support.walker import DAY

OPERATORS = (of_needs.operators, of_effects.operators, of_falls.operators, of_plan.operators, of_steps.operators)
PARTED = "parted"
CARDS = (
    REFERENCE,
    "old-fly-leads",
    "upstream-isolated",
    "lighting-radial",
    "three-phase-way",
    "added-way",
    "several-ways",
    "shower-split-load",
    "supervised",
    PARTED,
)
"""Jobs that mutants are tried on; each is tried on the first that has what it is about."""
PLACES = 400
"""How long the prover looks for a real walk here: one that is not found is told as not shown, and that counts too."""

NOTHING, BREAKS, STUCK, STRUCTURE, FELL = "nothing", "breaks an invariant", "no end", "structure", "fell over"
FEW = "asks less than before, a warning"


@dataclass(frozen=True)
class Tried:
    """What came of one mutant."""

    says: str
    card: str
    harm: str
    """What the hunt found; empty where it found nothing."""
    prover: str
    """What the prover said, in one of the words above; empty where it was not asked."""
    told: str
    seconds: float

    @property
    def survives(self) -> bool:
        """True for a mutant that does harm and of which the prover says nothing."""
        return bool(self.harm) and self.prover == NOTHING


@cache
def job(card: str) -> Job:
    """A job by the name of its card; one more has its earthing conductor parted, between two people."""
    if card != PARTED:
        return job_of(card)
    unknown = ("external impedance: 0.35 ohm, record", "external impedance: unknown")
    return job_otherwise("external-impedance-reading", "parted", "supervised", (unknown,))


@cache
def stated_of(card: str) -> Stated:
    """The tables with the job of a card."""
    return as_stated(job(card))


@cache
def every_mutant() -> tuple[tuple[str, Mutant], ...]:
    """Every mutant of all operators, each once, with the card that it is tried on."""
    found: dict[str, tuple[str, Mutant]] = {}
    for card in CARDS:
        for operators in OPERATORS:
            for made in operators(stated_of(card)):
                found.setdefault(made.says, (card, made))
    return tuple(found.values())


@cache
def _shown() -> Remembered:
    """What is shown of the reference job without any mutant: a slice that a mutant leaves as it is, is not explored."""
    shown = Remembered()
    assert prove(job(REFERENCE), DAY, shown).holds
    return shown


@cache
def _known(card: str) -> frozenset[Finding]:
    """What the checks of structure say of a job without any mutant."""
    with installed(stated_of(card)):
        return frozenset(check_set(job(card)))


def ask_prover(mutant: Mutant, card: str) -> tuple[str, str]:
    """What the prover says first of a mutant, in one of the words above, and the sentence."""
    changed = mutant.change(stated_of(card))
    shown, known = _shown(), _known(card)
    most, concrete.MOST_PLACES = concrete.MOST_PLACES, PLACES
    try:
        with installed(changed):
            return _first(changed.job, shown, known)
    except Broken as fault:
        return FELL, f"{type(fault).__name__}: {fault}"
    finally:
        concrete.MOST_PLACES = most


def _first(changed: Job, shown: Remembered, known: frozenset[Finding]) -> tuple[str, str]:
    for finding in check_set(changed):
        if finding.level is Level.ERROR and finding not in known:
            return STRUCTURE, f"{finding.code}: {finding.message}"
    driver = Driver(changed, DAY)
    facts = driver.begin().state.facts
    table = table_of(changed, facts)
    for broken in breaks(driver, table, shown, Count()):
        return BREAKS, f"{broken.stated.number}: {broken.stated.says}"
    stuck, _ = stuck_walks(changed, facts)
    if stuck:
        return STUCK, stuck[0].tried
    few = next(few_looks(changed, {}), None)
    return (FEW, few.message) if few is not None else (NOTHING, "")


@dataclass(frozen=True)
class Order:
    """How a mutant is to be tried."""

    index: int
    most: int
    """Commands that are spent on the hunt."""
    always: bool
    """Whether the prover is asked although the hunt found nothing."""


def try_one(order: Order) -> Tried:
    """Hunt one mutant down, and ask the prover where it does harm, or always."""
    card, made = every_mutant()[order.index]
    began = perf_counter()
    harm = hunt(made, stated_of(card), order.most)
    prover, told = ask_prover(made, card) if harm or order.always else ("", "")
    return Tried(made.says, card, harm, prover, told, perf_counter() - began)


def try_all(indices: Iterable[int], most: int = MOST, *, always: bool = False) -> Iterator[Tried]:
    """Try mutants on as many cores as there are; those of one card go together."""
    every = every_mutant()
    ordered = sorted(indices, key=lambda i: (CARDS.index(every[i][0]), i))
    _shown()
    known_ways(stated_of(REFERENCE))
    with get_context("fork").Pool(os.cpu_count() or 1) as pool:
        yield from pool.imap_unordered(try_one, [Order(i, most, always) for i in ordered], chunksize=4)
