"""The graph of a plan: its goals in order, and below each what supplies the facts that it waits for."""

from __future__ import annotations

from itertools import pairwise

from ferrule.engine.procedure.graph import Edge, Graph, Node, tree_lines
from ferrule.engine.procedure.graph_forms import dot_lines, mermaid_lines
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import goals_of_plan
from ferrule.engine.prover.supply import Supply, supply_of
from ferrule.engine.prover.supply_graph import graph_of_plan, thinned
from tests.procedure.cases import good_set
from tests.procedure.drawings import read_dot, read_mermaid
from tests.procedure.packaged import packaged_parts


def supply() -> Supply:
    """The supply of the packaged set for the reference card."""
    found = supply_of(packaged_parts())
    assert found is not None
    return found


GRAPH = graph_of_plan(supply())


def ways(graph: Graph) -> dict[str, set[str]]:
    """Who waits for whom."""
    found: dict[str, set[str]] = {node.id: set() for node in graph.nodes}
    for edge in graph.edges:
        if not edge.order:
            found[edge.start].add(edge.to)
    return found


def test_the_goals_stand_in_the_order_of_the_plan() -> None:
    """The main nodes are the procedures of the goals that this card asks for, each once, in order, numbered."""
    plan, facts = supply().plan, packaged_parts().card_facts
    asked = [g.by for g in plan.goals if all(facts[c.fact] in c.values for c in g.when)]
    main = [node for node in GRAPH.nodes if node.main]

    listed = [(g.by, g.when) for part, _, g in goals_of_plan(plan) if part != "suppliers"]
    ends = [by for by, when in listed if all(facts[c.fact] in c.values for c in when)]
    assert [node.id for node in main][: len(set(asked))] == list(dict.fromkeys(asked))
    assert [node.id for node in main] == list(dict.fromkeys(ends))
    assert [node.label.partition(".")[0] for node in main] == [str(n + 1) for n in range(len(main))]
    assert [(e.to, e.start) for e in GRAPH.edges if e.order][: len(set(asked)) - 1] == list(
        pairwise(dict.fromkeys(asked))
    )


def test_what_another_card_asks_for_is_not_drawn() -> None:
    """A ring has no radial reading in its plan."""
    ids = {node.id for node in GRAPH.nodes}

    assert "protective-conductor-ring" in ids
    assert "protective-conductor-radial" not in ids


def test_a_condition_is_shown_only_where_it_always_stands() -> None:
    """A procedure that some entry names without a condition is not called one for some cards only."""
    labels = {node.id: node.label for node in GRAPH.nodes}
    entries = supply().entries
    free = {entry.goal.by for entry in entries if not entry.goal.when} & labels.keys()

    assert [label for name, label in labels.items() if name in free and "only where" in label] == []
    assert labels["ring-step-two"].endswith("only where circuit is ring")


def test_each_way_is_a_supplier_of_the_plan() -> None:
    """Whoever is waited for is named in the plan, and brings about a fact of the family on the way."""
    entries = supply().entries
    for edge in GRAPH.edges:
        if edge.order:
            continue
        families = {key.partition(":")[0] for entry in entries if entry.goal.by == edge.to for key in entry.keys}
        assert all(any(label.startswith(family) for family in families) for label in edge.labels), edge


def test_the_ways_are_those_that_the_check_for_circles_follows() -> None:
    """Whatever an entry of the plan waits for is a way, and there is no other, as far as a goal comes to it."""
    found = ways(GRAPH)
    waited: dict[str, set[str]] = {}
    for entry in supply().entries:
        if entry.part != "not begun":
            others = {other.goal.by for _, other in supply().waits_for(entry)}
            waited.setdefault(entry.goal.by, set()).update(others)

    assert found == {name: waited.get(name, set()) for name in found}


def reached(graph: Graph) -> dict[str, set[str]]:
    """All that each node comes to, over ways and order."""
    found: dict[str, set[str]] = {node.id: set() for node in graph.nodes}
    for edge in graph.edges:
        found[edge.start].add(edge.to)
    while True:
        more = {name: others.union(*(found[other] for other in others)) for name, others in found.items()}
        if more == found:
            return found
        found = more


def test_a_drawing_leaves_out_only_what_it_still_implies() -> None:
    """Thinned for a drawing, every node still comes to the same nodes as before."""
    thin = thinned(GRAPH)

    assert thin.nodes == GRAPH.nodes
    assert set(thin.edges) < set(GRAPH.edges)
    assert reached(thin) == reached(GRAPH)
    assert "left out" in thin.title


def test_a_circle_is_not_thinned_away() -> None:
    """Where a faulty plan goes round in a circle, each node still comes to the others."""
    nodes = tuple(Node(name, name) for name in "abc")
    edges = tuple(Edge(a, b) for a in "abc" for b in "abc" if a != b)
    graph = Graph("circle", nodes, edges)

    assert reached(thinned(graph)) == reached(graph)
    assert len(thinned(graph).edges) < len(edges)


def test_dead_tests_wait_for_the_proof() -> None:
    """Known ways: the proof waits for the locks, a dead test for the proof, hold point two for hold point three."""
    found = ways(GRAPH)

    assert "isolate" in found["prove-dead"]
    assert {"prove-dead", "hold-two", "ring-step-one"} <= found["ring-step-two"]
    assert "hold-three" in found["hold-two"]


def test_every_form_of_the_plan_holds_every_node() -> None:
    """DOT, Mermaid and the tree name all procedures of the graph."""
    count = len(GRAPH.nodes)
    tree = "\n".join(tree_lines(GRAPH))

    assert len(read_dot("\n".join(dot_lines(GRAPH))).nodes) == count
    assert len(read_mermaid(mermaid_lines(GRAPH)).nodes) == count
    assert [node.id for node in GRAPH.nodes if f"({node.id})" not in tree] == []


def test_a_plan_without_chapters_is_drawn_by_its_lists() -> None:
    """The small set names no chapter; its goals and suppliers are the groups."""
    found = supply_of(Parts.of(compile_job(good_set())))
    assert found is not None

    assert {node.group for node in graph_of_plan(found).nodes if node.main} == {"Goals"}
