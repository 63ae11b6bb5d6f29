"""A plan as a graph: its procedures in the order of the goals, and what each waits for from another.

For: people who read or change a plan.
Must never: draw a supplier that the check for circles does not follow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ferrule.engine.procedure.graph import Edge, Graph, Node
from ferrule.engine.procedure.page_words import when_words
from ferrule.engine.procedure.places import goals_of_plan
from ferrule.engine.prover.supply import Entry, Supply

_NOT_BEGUN = "not begun"
"""Goals whose needs say that nothing was done; where they do not hold, the plan ends in another way."""
_MOST_NAMED = 2
"""Objects of one family that are named on one way; more are counted."""


def graph_of_plan(supply: Supply) -> Graph:
    """The plan of a card: goals in order, below each what supplies the facts that it waits for."""
    plan = supply.plan
    main = _main(supply)
    nodes = {
        by: Node(by, f"{number}. {_words(by, supply)}", group) for number, (by, group) in enumerate(main.items(), 1)
    }
    edges: list[Edge] = [Edge(a, b, order=True) for a, b in zip(main, list(main)[1:], strict=False)]
    for by, entries in _by_procedure(supply).items():
        nodes.setdefault(by, Node(by, _words(by, supply), entries[0].goal.chapter, main=False))
        waits: dict[str, dict[str, None]] = {}
        for entry in (entry for entry in entries if entry.part != _NOT_BEGUN):
            for need, other in supply.waits_for(entry):
                waits.setdefault(other.goal.by, {})[need.fact] = None
        edges += [Edge(by, other, tuple(_facts(facts))) for other, facts in waits.items()]
    title = f"{plan.title} ({plan.id}, revision {plan.revision}) for {supply.card.title} ({supply.card.id})"
    used = _used(main, edges)
    return Graph(title, tuple(n for n in nodes.values() if n.id in used), tuple(e for e in edges if e.start in used))


def _main(supply: Supply) -> Mapping[str, str]:
    """The procedures of the goals in order, each with the chapter that it stands in first."""
    parts = list(dict.fromkeys(part for part, _, _ in goals_of_plan(supply.plan)))
    ranked = sorted((e for e in supply.entries if e.part != "suppliers"), key=lambda e: (parts.index(e.part), e.index))
    found: dict[str, str] = {}
    for entry in ranked:
        found.setdefault(entry.goal.by, entry.goal.chapter or entry.part.capitalize())
    return found


def _by_procedure(supply: Supply) -> Mapping[str, list[Entry]]:
    found: dict[str, list[Entry]] = {}
    for entry in sorted(supply.entries, key=lambda e: e.part == "suppliers"):
        found.setdefault(entry.goal.by, []).append(entry)
    return found


def _used(main: Iterable[str], edges: Iterable[Edge]) -> set[str]:
    """The procedures of the goals and all that they come to wait for."""
    used = set(main)
    waiting = list(used)
    ways = [edge for edge in edges if not edge.order]
    while waiting:
        name = waiting.pop()
        for edge in ways:
            if edge.start == name and edge.to not in used:
                used.add(edge.to)
                waiting.append(edge.to)
    return used


def _words(by: str, supply: Supply) -> str:
    procedure = supply.parts.procedures.get(by)
    whens = dict.fromkeys(when_words(e.goal.when) for e in supply.entries if e.goal.by == by)
    only = f", only where {' or '.join(whens)}" if all(whens) else ""
    return f"{procedure.title if procedure else by} ({by}){only}"


def _facts(keys: Iterable[str]) -> Iterable[str]:
    """Facts as labels; many objects of one family are counted."""
    families: dict[str, list[str]] = {}
    for key in keys:
        family, _, name = key.partition(":")
        families.setdefault(family, []).append(f"{family} {name}".strip())
    for family, named in families.items():
        yield from (named if len(named) <= _MOST_NAMED else [f"{family} ({len(named)} of them)"])
