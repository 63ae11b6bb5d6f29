"""Which results an act or a report makes void: always, for some objects only, or while a fact stands.

For: the retest table of the trade (trade brief §11.2, common practice), written beside the acts.
Must never: make a result anything but void; only a new reading gives it a value again.

A row is written `result`, `result of family | family`, or `result where fact is value | value`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ferrule.engine.light import dataclass
from ferrule.engine.safety.facts import RESULTS, Facts, Objects


@dataclass(frozen=True, slots=True)
class Void:
    """A result that goes void, and what it depends on."""

    result: str
    among: tuple[str, ...]
    """Lists of the card one of which must hold the object; empty where any object will do."""
    fact: str
    values: tuple[str, ...]
    """The fact that must have one of these values; empty where nothing is asked."""


def parse_void(text: str) -> Void:
    """Read one row."""
    name, _, where = text.partition(" where ")
    result, _, among = name.partition(" of ")
    fact, _, values = where.partition(" is ")
    return Void(result, _listed(among), fact, _listed(values))


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split("|") if part.strip())


def names_of(voids: Iterable[Void]) -> tuple[str, ...]:
    """Return every result that some row names, once, in the order of the work."""
    named = {void.result for void in voids}
    return tuple(result for result in RESULTS if result in named)


def voided(voids: Iterable[Void], of: Iterable[str], facts: Facts, objects: Objects) -> Iterator[str]:
    """Yield the results that go void when the act is done to these objects while these facts stand."""
    done_to = set(of)
    for void in voids:
        if void.among and not any(done_to & set(objects.get(family, ())) for family in void.among):
            continue
        if void.values and facts.get(void.fact) not in void.values:
            continue
        yield void.result
