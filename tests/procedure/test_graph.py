"""Graphs of procedures hold the ways of the compiled set and no other, in every form in which they are written."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.procedure.compiled import Condition, Procedure
from ferrule.engine.procedure.graph import Edge, Graph, Node, graph_of_procedure, tree_lines
from ferrule.engine.procedure.graph_forms import dot_lines, mermaid_lines
from ferrule.engine.procedure.load import compile_job
from tests.procedure.cases import good_set
from tests.procedure.drawings import Drawing, read_dot, read_mermaid
from tests.procedure.packaged import packaged_parts

JOB = compile_job(good_set())
NAMES = sorted(packaged_parts().procedures)


def packaged(name: str) -> tuple[Procedure, Graph]:
    """A procedure of the packaged set with its graph."""
    procedures = packaged_parts().procedures
    return procedures[name], graph_of_procedure(procedures[name], procedures)


def one_line(text: str) -> str:
    """A label without its line breaks."""
    return " ".join(text.split())


# --- the graph ---


@pytest.mark.parametrize("name", NAMES)
def test_every_answer_is_a_way(name: str) -> None:
    """Each answer of each step is a label on a way to where the compiled step says that it leads."""
    procedure, graph = packaged(name)
    ways = {(edge.start, label): edge.to for edge in graph.edges for label in edge.labels}
    expected = {}
    for at, step in enumerate(procedure.steps, 1):
        for word, target in step.answers.items():
            if word == "pass" and "done" in step.answers:
                continue
            expected[f"s{at}", word] = where(target, at, procedure)

    assert {way: to for way, to in ways.items() if not way[1].startswith("passed over")} == expected


def where(target: str, at: int, procedure: Procedure) -> str:
    """The node that a target of step `at` (from 1) stands for, told without the graph."""
    kind, _, name = target.partition(":")
    ids = [step.id for step in procedure.steps]
    if kind == "step":
        return f"s{ids.index(name) + 1}"
    if kind == "procedure":
        return f"p-{name}"
    if target == "next":
        return f"s{at + 1}" if at < len(ids) else "end"
    return f"s{at}" if target == "again" else target


@pytest.mark.parametrize("name", NAMES)
def test_ends_of_ways_are_nodes(name: str) -> None:
    """No way leads out of the graph, and every node but the first step is led to."""
    procedure, graph = packaged(name)
    ids = [node.id for node in graph.nodes]
    led_to = {edge.to for edge in graph.edges}

    assert len(set(ids)) == len(ids)
    assert {edge.start for edge in graph.edges} | led_to <= set(ids)
    assert [node.id for node in graph.nodes if node.main] == [f"s{n + 1}" for n in range(len(procedure.steps))]
    assert {node.id for node in graph.nodes if not node.main} <= led_to


def conditional() -> Procedure:
    """Four steps, of which the second and the third stand only on a ring."""
    procedure = JOB.procedures["find-lead"]
    only = (Condition("circuit", ("ring",)),)
    second, third = (replace(step, when=only) for step in procedure.steps[1:3])
    return replace(procedure, steps=(procedure.steps[0], second, third, procedure.steps[3]))


def test_a_step_that_may_be_passed_over_has_a_way_around() -> None:
    """Without a card, a conditional step shows where the walk goes on when it is not asked for."""
    graph = graph_of_procedure(conditional(), JOB.procedures)
    around = {(e.start, e.to) for e in graph.edges for label in e.labels if label.startswith("passed over")}

    assert around == {("s2", "s3"), ("s3", "s4")}
    assert any("passed over unless circuit is ring" in edge.labels for edge in graph.edges)


def test_with_a_card_only_its_steps_are_drawn() -> None:
    """Steps that the card does not ask for are gone, and a way to them goes on to the next that it asks for."""
    graph = graph_of_procedure(conditional(), JOB.procedures, {"circuit": "radial"})

    assert [node.id for node in graph.nodes if node.main] == ["s1", "s4"]
    assert ("s1", "s4") in {(edge.start, edge.to) for edge in graph.edges if "pass" in edge.labels}
    assert not any(label.startswith("passed over") for edge in graph.edges for label in edge.labels)
    assert len(graph_of_procedure(conditional(), JOB.procedures, {"circuit": "ring"}).nodes) > len(graph.nodes)


# --- the forms ---


def same(drawing: Drawing, graph: Graph) -> None:
    """The drawing is the graph: nodes with labels, groups, and ways with labels."""
    names = {f"n{number}": node for number, node in enumerate(graph.nodes, 1)}
    labels = {name: one_line(label) for name, label in drawing.nodes.items()}
    assert labels == {name: one_line(node.label) for name, node in names.items()}
    ways = [(names[a].id, names[b].id, one_line(label)) for a, b, label in drawing.edges]
    assert ways == [(edge.start, edge.to, one_line(", ".join(edge.labels))) for edge in graph.edges]
    groups = [[names[name].group for name in inside] for group, inside in drawing.groups.items() if group]
    assert all(len(set(group)) == 1 for group in groups)
    assert [group[0] for group in groups] == list(dict.fromkeys(node.group for node in graph.nodes if node.group))


@pytest.mark.parametrize("name", NAMES)
def test_dot_reads_back_as_the_graph(name: str) -> None:
    """Read by the grammar of DOT, the text holds the nodes, groups and ways of the graph."""
    _, graph = packaged(name)

    same(read_dot("\n".join(dot_lines(graph))), graph)


@pytest.mark.parametrize("name", NAMES)
def test_mermaid_reads_back_as_the_graph(name: str) -> None:
    """Read by the grammar of Mermaid, the text holds the nodes, groups and ways of the graph."""
    _, graph = packaged(name)

    same(read_mermaid(mermaid_lines(graph)), graph)


_NASTY = st.text(st.sampled_from(list('ab 1"\\#&;<>`|[](){}%-=>\n\té°Ω')), max_size=60)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.lists(st.tuples(_NASTY, _NASTY), min_size=1, max_size=4), st.lists(_NASTY, max_size=3), _NASTY)
def test_no_label_breaks_out_of_its_quotes(nodes: list[tuple[str, str]], labels: list[str], title: str) -> None:
    """Whatever signs a file holds, both languages read the very labels back."""
    made = tuple(Node(f"x {n}", label, one_line(group)) for n, (label, group) in enumerate(nodes))
    graph = Graph(title, made, tuple(Edge(made[0].id, made[-1].id, (label,)) for label in labels))

    same(read_dot("\n".join(dot_lines(graph))), graph)
    same(read_mermaid(mermaid_lines(graph)), graph)


@pytest.mark.skipif(shutil.which("dot") is None, reason="Graphviz is not installed")
def test_graphviz_takes_the_dot_text() -> None:
    """The program that draws DOT lays out a packaged procedure with all of its nodes."""
    _, graph = packaged("prove-dead")
    ran = subprocess.run(
        ["dot", "-Tplain"], input="\n".join(dot_lines(graph)), capture_output=True, text=True, check=True
    )

    assert sum(line.startswith("node ") for line in ran.stdout.splitlines()) == len(graph.nodes)


def test_many_labels_on_one_way_are_counted() -> None:
    """A drawing names the first labels of a way and how many more there are; the tree has all of them."""
    labels = tuple(f"fact {n}" for n in range(9))
    graph = Graph("t", (Node("a", "A"), Node("b", "B")), (Edge("a", "b", labels),))

    assert read_dot("\n".join(dot_lines(graph))).edges[0][2].endswith("and 3 more")
    assert ", ".join(labels) in "\n".join(tree_lines(graph))


# --- the tree ---


@pytest.mark.parametrize("name", NAMES)
def test_the_tree_has_every_step_and_every_way(name: str) -> None:
    """Each step stands at the margin in order, with one line below it for each way from it."""
    _, graph = packaged(name)
    lines = list(tree_lines(graph))
    main = [node.label for node in graph.nodes if node.main]

    assert [line for line in lines if line in main] == main
    assert sum(" -> " in line for line in lines if line.startswith("  ")) == len(graph.edges)


def test_what_hangs_in_two_places_is_told_once() -> None:
    """A supplier that two goals wait for is told below the first; the second refers to it; an order is not drawn."""
    nodes = (Node("a", "1. A"), Node("b", "2. B"), Node("s", "S", main=False), Node("t", "T", main=False))
    edges = (Edge("a", "b", order=True), Edge("a", "s", ("x",)), Edge("s", "t", ("y",)), Edge("b", "s", ("z",)))

    assert list(tree_lines(Graph("title", nodes, edges))) == [
        "title",
        "1. A",
        "  x -> S",
        "    y -> T",
        "2. B",
        "  z -> S (see above)",
    ]
