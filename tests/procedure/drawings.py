"""Readers of the two drawing languages, by their grammar: what a drawing program would find in a text.

Sources: the DOT language of Graphviz (quoted strings with `\\"` and `\\n`) and the flowchart syntax of Mermaid
(quoted labels with number entities), both open, from memory.
A line that the grammar does not know is an error, never passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field


@dataclass
class Drawing:
    """What was read: nodes with labels, groups with the nodes in them, edges with their labels."""

    nodes: dict[str, str] = field(default_factory=dict)
    groups: dict[str, list[str]] = field(default_factory=dict)
    edges: list[tuple[str, str, str]] = field(default_factory=list)


# --- DOT ---

_TOKEN = re.compile(r'\s*("(?:[^"\\]|\\.)*"|->|[A-Za-z_][A-Za-z_0-9]*|[{}\[\]=;,])', re.DOTALL)


def tokens_of(text: str) -> list[str]:
    """The tokens of a DOT text; ValueError where none begins."""
    found, at = [], 0
    text = text.rstrip()
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None:
            raise ValueError(f"no token at {text[at : at + 30]!r}")
        found.append(match[1])
        at = match.end()
    return found


def read_dot(text: str) -> Drawing:
    """Read `digraph ID { statements }`; ValueError for anything else."""
    tokens = tokens_of(text)
    if tokens[0] != "digraph" or tokens[2] != "{" or not tokens[1].startswith('"'):
        raise ValueError("not a digraph")
    drawing = Drawing()
    rest = _statements(tokens[3:], drawing, "")
    if rest:
        raise ValueError(f"left over: {rest[:5]}")
    return drawing


def _statements(tokens: list[str], drawing: Drawing, group: str) -> list[str]:
    """Read up to the closing brace and return what follows it."""
    while tokens:
        word, *tokens = tokens
        if word == "}":
            return tokens
        if word == "subgraph":
            if tokens[1] != "{":
                raise ValueError("a subgraph without a body")
            drawing.groups[tokens[0]] = []
            tokens = _statements(tokens[2:], drawing, tokens[0])
        elif tokens[0] == "=":
            tokens = _ended(tokens[2:])
        elif tokens[0] == "->":
            options, left = _options(tokens[2:])
            drawing.edges.append((word, tokens[1], options.get("label", "")))
            tokens = _ended(left)
        else:
            options, left = _options(tokens)
            if word != "node":
                drawing.nodes[word] = options["label"]
                drawing.groups.setdefault(group, []).append(word)
            tokens = _ended(left)
    raise ValueError("no closing brace")


def _options(tokens: list[str]) -> tuple[dict[str, str], list[str]]:
    if tokens[0] != "[":
        return {}, tokens
    found, at = {}, 1
    while tokens[at] != "]":
        key, sign, value = tokens[at : at + 3]
        if sign != "=":
            raise ValueError("an option without a value")
        found[key] = _unquoted(value)
        at += 3
        at += tokens[at] == ","
    return found, tokens[at + 1 :]


def _ended(tokens: list[str]) -> list[str]:
    if tokens[0] != ";":
        raise ValueError("a statement without an end")
    return tokens[1:]


def _unquoted(text: str) -> str:
    if not text.startswith('"'):
        return text
    return re.sub(r"\\(.)", lambda found: " " if found[1] == "n" else found[1], text[1:-1])


# --- Mermaid ---

_LABEL = r'"(?P<label>[^"]*)"'
_NODE = re.compile(rf"(?P<name>[a-z]\d+)\[{_LABEL}\]")
_GROUP = re.compile(rf"subgraph (?P<name>[a-z]\d+)\[{_LABEL}\]")
_EDGE = re.compile(rf"(?P<start>[a-z]\d+) (?:-->|-\.->)(?:\|{_LABEL}\|)? (?P<to>[a-z]\d+)")


def read_mermaid(lines: Iterable[str]) -> Drawing:
    """Read a flowchart line by line; ValueError for a line that is no statement."""
    listed = iter(lines)
    if next(listed) not in ("flowchart TD", "flowchart BT"):
        raise ValueError("not a flowchart")
    drawing, group = Drawing(), ""
    for line in _said(listed):
        if line == "end" and group:
            group = ""
        elif (found := _GROUP.fullmatch(line)) and not group:
            group = found["name"]
            drawing.groups[group] = []
        elif found := _NODE.fullmatch(line):
            drawing.nodes[found["name"]] = _plain(found["label"])
            drawing.groups.setdefault(group, []).append(found["name"])
        elif found := _EDGE.fullmatch(line):
            drawing.edges.append(
                (found["start"], found["to"], _plain(found["label"]) if found["label"] is not None else "")
            )
        else:
            raise ValueError(f"no statement: {line!r}")
    if group:
        raise ValueError("a group without an end")
    return drawing


def _said(lines: Iterator[str]) -> Iterator[str]:
    for line in lines:
        if "\n" in line:
            raise ValueError("a statement over two lines")
        if not line.startswith("%%"):
            yield line.strip()


def _plain(label: str) -> str:
    """A label as it is drawn; a sign that HTML would read as its own may only be a line break."""
    text = label.replace("<br/>", " ")
    if label == "":
        raise ValueError("an empty label, which the language does not take")
    if set("<>`") & set(text):
        raise ValueError(f"markup in {label!r}")
    if re.search(r"&|#(?!\d+;)", text):
        raise ValueError(f"an open entity in {label!r}")
    if re.search(r"[%*_~]|(?:^|<br/>)\s*\d*[.)+-](?=\s|$)", label):
        raise ValueError(f"a directive, emphasis or a list in {label!r}")
    return re.sub(r"#(\d+);", lambda found: chr(int(found[1])), text)
