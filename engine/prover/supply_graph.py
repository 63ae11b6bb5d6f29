"""A plan as a graph: its procedures in the order of the goals, and what each waits for from another.

For: people who read or change a plan.
Must never: draw a supplier that the check for circles does not follow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import pairwise

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
    edges = [Edge(later, before, order=True) for before, later in _order(supply)]
    for by, entries in _by_procedure(supply).items():
        nodes.setdefault(by, Node(by, _words(by, supply), entries[0].goal.chapter, main=False))
        waits: dict[str, dict[str, None]] = {}
        for entry in (entry for entry in entries if entry.part != _NOT_BEGUN):
            for need, other in supply.waits_for(entry):
                waits.setdefault(other.goal.by, {})[need.fact] = None
        edges += [Edge(by, other, tuple(_facts(facts))) for other, facts in waits.items()]
    title = f"{plan.title} ({plan.id}, revision {plan.revision}) for {supply.card.title} ({supply.card.id})"
    used = _used(main, edges)
    kept = tuple(edge for edge in edges if edge.start in used)
    return Graph(title, tuple(node for node in nodes.values() if node.id in used), kept, upward=True)


def thinned(graph: Graph) -> Graph:
    """The graph without the ways that longer ways imply, for a drawing that an eye can follow."""
    ways: dict[str, set[str]] = {node.id: set() for node in graph.nodes}
    for edge in graph.edges:
        ways[edge.start].add(edge.to)
    gone = set()
    for edge in sorted(graph.edges, key=lambda edge: not edge.order):
        ways[edge.start].discard(edge.to)
        if _leads(edge.start, edge.to, ways):
            gone.add(edge)
        else:
            ways[edge.start].add(edge.to)
    title = f"{graph.title}; ways that longer ways imply are left out"
    return replace(graph, title=title, edges=tuple(edge for edge in graph.edges if edge not in gone))


def _leads(start: str, to: str, ways: Mapping[str, set[str]]) -> bool:
    seen, waiting = {start}, [start]
    while waiting:
        for other in ways[waiting.pop()] - seen:
            if other == to:
                return True
            seen.add(other)
            waiting.append(other)
    return False


def _order(supply: Supply) -> Iterable[tuple[str, str]]:
    """Each two procedures that follow each other in one list of goals."""
    parts: dict[str, dict[str, None]] = {}
    for entry in _in_order(supply):
        parts.setdefault(entry.part, {})[entry.goal.by] = None
    return dict.fromkeys(pair for names in parts.values() for pair in pairwise(names))


def _in_order(supply: Supply) -> list[Entry]:
    """The goals of all lists, in the order of the plan."""
    parts = list(dict.fromkeys(part for part, _, _ in goals_of_plan(supply.plan)))
    goals = [entry for entry in supply.entries if entry.part != "suppliers"]
    return sorted(goals, key=lambda entry: (parts.index(entry.part), entry.index))


def _main(supply: Supply) -> Mapping[str, str]:
    """The procedures of the goals in order, each with the chapter that it stands in first."""
    found: dict[str, str] = {}
    for entry in _in_order(supply):
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
