"""A mutant: one change of what is stated, and where to look for the harm that it may do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from ferrule.engine.prover.moves import used_procedures
from ferrule.engine.safety.acts import Act
from ferrule.engine.walk.place import holds
from tests.mutation.tables import Stated

Change = Callable[[Stated], Stated]
PATTERN = ":*"


@dataclass(frozen=True)
class Mutant:
    """One change under a name of its own."""

    operator: str
    name: str
    change: Change
    acts: frozenset[str] = frozenset()
    """Acts that it is about."""
    facts: frozenset[str] = frozenset()
    """Facts that it is about, as the tables write them."""
    moves: frozenset[str] = frozenset()
    """Reports, commands and fields of the card that it is about."""
    steps: frozenset[str] = frozenset()
    """Steps that it is about, as `procedure/step`."""

    @property
    def says(self) -> str:
        """The operator and the name, by which it is listed."""
        return f"{self.operator}: {self.name}"


def mutant(
    operator: str,
    name: str,
    change: Change,
    acts: Iterable[str] = (),
    facts: Iterable[str] = (),
    moves: Iterable[str] = (),
    steps: Iterable[str] = (),
) -> Mutant:
    """A mutant with its places."""
    return Mutant(operator, name, change, frozenset(acts), frozenset(facts), frozenset(moves), frozenset(steps))


def together(one: Mutant, other: Mutant) -> Mutant:
    """Both changes at once."""
    return Mutant(
        f"{one.operator} and {other.operator}" if one.operator != other.operator else f"two of {one.operator}",
        f"{one.name}; {other.name}",
        lambda stated: other.change(one.change(stated)),
        one.acts | other.acts,
        one.facts | other.facts,
        one.moves | other.moves,
        one.steps | other.steps,
    )


def used_acts(stated: Stated) -> Iterator[Act]:
    """The acts that the job has a step for, in the order of the table."""
    job = stated.job
    named = {
        step.act
        for name in used_procedures(job)
        for step in job.procedures[name].steps
        if holds(step.when, job.card_facts)
    }
    yield from (act for name, act in stated.acts.items() if name in named)
