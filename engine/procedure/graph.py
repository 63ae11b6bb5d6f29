"""A procedure or a plan as a graph: what stands in it, and what leads where.

For: pictures and trees of steps and answers, of goals and what they wait for.
Must never: draw a way that the compiled set does not have.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Procedure, Step
from ferrule.engine.procedure.page_words import KIND_WORDS, by_target, standing_words, when_words


@dataclass(frozen=True, slots=True)
class Node:
    """One thing of a graph."""

    id: str
    label: str
    group: str = ""
    """The section or chapter that it stands in."""
    short: str = ""
    """How it is named where another line leads to it; the label where that is empty."""
    main: bool = True
    """Whether it has its own place in the order of the work; the others hang where they are first led to."""


@dataclass(frozen=True, slots=True)
class Edge:
    """One way from a node to another; several labels stand for one way each."""

    start: str
    to: str
    labels: tuple[str, ...] = ()
    order: bool = False
    """Whether it says only what comes next in the plan, which a list shows by itself."""


@dataclass(frozen=True, slots=True)
class Graph:
    """A graph whose nodes and edges stand in reading order; every end of an edge is one of its nodes."""

    title: str
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    upward: bool = False
    """Whether its edges lead back to what comes before, so that a drawing has them point upward."""


_ENDS: Mapping[str, str] = {"end": "The procedure ends", "ask": "A decision is wanted", "stop": "Work is stopped"}
"""Places that an answer leads to and that are no step, by their compiled target."""


def graph_of_procedure(
    procedure: Procedure, procedures: Mapping[str, Procedure], card_facts: Mapping[str, str] | None = None
) -> Graph:
    """The steps of a procedure with where each answer leads; with the facts of a card, only the steps it asks for."""
    kept = [at for at, step in enumerate(procedure.steps) if _applies(step, card_facts)]
    nodes = {f"s{at + 1}": _step_node(at, procedure.steps[at], procedure) for at in kept}
    edges: dict[tuple[str, str], tuple[str, ...]] = {}
    for at in kept:
        step, start = procedure.steps[at], f"s{at + 1}"
        for target, words in by_target(step).items():
            node = _target_node(target, at, kept, procedure, procedures)
            nodes.setdefault(node.id, node)
            edges[start, node.id] = (*edges.get((start, node.id), ()), *words)
        if step.when and card_facts is None:
            node = _after(at + 1, kept, procedure)
            nodes.setdefault(node.id, node)
            edges[start, node.id] = (*edges.get((start, node.id), ()), f"passed over unless {when_words(step.when)}")
    title = f"{procedure.title} ({procedure.id}, revision {procedure.revision}, {standing_words(procedure)})"
    return Graph(title, tuple(nodes.values()), tuple(Edge(a, b, labels) for (a, b), labels in edges.items()))


def _applies(step: Step, card_facts: Mapping[str, str] | None) -> bool:
    return card_facts is None or all(card_facts.get(c.fact) in c.values for c in step.when)


def _step_node(at: int, step: Step, procedure: Procedure) -> Node:
    mark = "CRITICAL. " if step.critical else ""
    label = f"{at + 1}. {KIND_WORDS[step.kind]}. {mark}{step.text}"
    return Node(f"s{at + 1}", label, step.section or procedure.title, f"step {at + 1}")


def _target_node(
    target: str, at: int, kept: list[int], procedure: Procedure, procedures: Mapping[str, Procedure]
) -> Node:
    kind, _, name = target.partition(":")
    if kind == "procedure":
        other = procedures.get(name)
        return Node(f"p-{name}", f"{other.title} ({name})" if other else name, main=False)
    if kind == "step":
        index = next(place for place, step in enumerate(procedure.steps) if step.id == name)
        return _after(index, kept, procedure)
    if target == "next":
        return _after(at + 1, kept, procedure)
    if target == "again":
        return _step_node(at, procedure.steps[at], procedure)
    return Node(target, _ENDS[target], main=False)


def _after(index: int, kept: list[int], procedure: Procedure) -> Node:
    """The first step from this place on that is asked for, or the end."""
    at = next((place for place in kept if place >= index), None)
    return Node("end", _ENDS["end"], main=False) if at is None else _step_node(at, procedure.steps[at], procedure)


# --- as a tree of text ---


def tree_lines(graph: Graph) -> Iterator[str]:
    """The graph as indented text: main nodes in order, below each where it leads; what hangs there is told once."""
    nodes = {node.id: node for node in graph.nodes}
    ways: dict[str, list[Edge]] = {node.id: [] for node in graph.nodes}
    for edge in graph.edges:
        if not edge.order:
            ways[edge.start].append(edge)
    yield graph.title
    group, told = "", set[str]()
    for node in graph.nodes:
        if not node.main:
            continue
        if node.group != group:
            group = node.group
            yield ""
            yield group.upper()
        yield node.label
        yield from _below(node.id, nodes, ways, told, "  ")


def _below(
    start: str, nodes: Mapping[str, Node], ways: Mapping[str, list[Edge]], told: set[str], indent: str
) -> Iterator[str]:
    for edge in ways[start]:
        node = nodes[edge.to]
        labels = f"{', '.join(edge.labels)} -> " if edge.labels else "-> "
        again = "this step again" if edge.to == start else ""
        hangs = not node.main and bool(ways[node.id])
        known = " (see above)" if hangs and node.id in told else ""
        yield f"{indent}{labels}{again or node.short or node.label}{known}"
        if hangs and not known:
            told.add(node.id)
            yield from _below(node.id, nodes, ways, told, indent + "  ")
