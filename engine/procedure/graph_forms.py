"""A graph as Mermaid or as DOT text, for a program that draws it.

Sources: the flowchart syntax of Mermaid and the DOT language of Graphviz, both open (from memory).
Must never: let a text of a file end a label or begin a statement.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from textwrap import wrap

from ferrule.engine.procedure.graph import Edge, Graph, Node

_LABEL_WIDTH = 36
_MOST_LABELS = 6
"""Labels that are drawn on one edge; the tree has all of them."""


def mermaid_lines(graph: Graph) -> Iterator[str]:
    """The graph as a Mermaid flowchart."""
    names = _names(graph)
    yield f"flowchart {'BT' if graph.upward else 'TD'}"
    yield f"%% {_comment(graph.title)}"
    for number, (group, nodes) in enumerate(_groups(graph).items(), 1):
        inside = [f'{names[node.id]}["{_mermaid(node.label)}"]' for node in nodes]
        if group:
            yield f'  subgraph g{number}["{_mermaid(group)}"]'
            yield from (f"    {line}" for line in inside)
            yield "  end"
        else:
            yield from (f"  {line}" for line in inside)
    for edge in graph.edges:
        arrow = "-.->" if edge.order else "-->"
        label = f'|"{_mermaid(_edge_label(edge))}"|' if edge.labels else ""
        yield f"  {names[edge.start]} {arrow}{label} {names[edge.to]}"


def dot_lines(graph: Graph) -> Iterator[str]:
    """The graph in the DOT language."""
    names = _names(graph)
    yield f"digraph {_dot(graph.title)} {{"
    yield f"  rankdir={'BT' if graph.upward else 'TB'};"
    yield "  newrank=true;"
    yield "  node [shape=box];"
    for number, (group, nodes) in enumerate(_groups(graph).items(), 1):
        inside = [f"{names[node.id]} [label={_dot(node.label)}];" for node in nodes]
        if group:
            yield f"  subgraph cluster_{number} {{"
            yield f"    label={_dot(group)};"
            yield from (f"    {line}" for line in inside)
            yield "  }"
        else:
            yield from (f"  {line}" for line in inside)
    for edge in graph.edges:
        look = [f"label={_dot(_edge_label(edge))}"] if edge.labels else []
        look += ["style=dashed"] if edge.order else []
        looks = f" [{', '.join(look)}]" if look else ""
        yield f"  {names[edge.start]} -> {names[edge.to]}{looks};"
    yield "}"


def _names(graph: Graph) -> Mapping[str, str]:
    """A plain name for each node, since ids hold signs and words that the languages keep for themselves."""
    return {node.id: f"n{number}" for number, node in enumerate(graph.nodes, 1)}


def _groups(graph: Graph) -> Mapping[str, list[Node]]:
    groups: dict[str, list[Node]] = {}
    for node in graph.nodes:
        groups.setdefault(node.group, []).append(node)
    return groups


def _edge_label(edge: Edge) -> str:
    more = len(edge.labels) - _MOST_LABELS
    return ", ".join(edge.labels[:_MOST_LABELS]) + (f" and {more} more" if more > 0 else "")


def _lines(text: str) -> list[str]:
    return wrap(text, _LABEL_WIDTH, break_long_words=False, break_on_hyphens=False) or [""]


def _mermaid(text: str) -> str:
    """A text as a quoted label; the language does not take an empty one."""
    return "<br/>".join(_mermaid_line(line) for line in _lines(text)) or " "


def _mermaid_line(line: str) -> str:
    signs = "".join(_MERMAID.get(char, char) for char in line)
    return _LIST.sub(lambda found: f"{found[1]}#{ord(found[2])};", signs)


_MERMAID: Mapping[str, str] = {char: f"#{ord(char)};" for char in '#&"<>`\\%*_~'}
"""Signs that Mermaid, or the Markdown and HTML behind it, would read as its own in a quoted label, as entities."""

_LIST = re.compile(r"^(\s*\d*)([.)+-])(?=\s|$)")
"""What begins a list in Markdown, which a label may not hold."""


def _comment(text: str) -> str:
    """A text as a comment: on one line, and without the braces that would make it a directive."""
    return " ".join("".join(char for char in text if char not in "{}").split())


def _dot(text: str) -> str:
    whole = "\\n".join(line.replace("\\", "\\\\").replace('"', '\\"') for line in _lines(text))
    return f'"{whole}"'
