"""From the text of a file to a tree of texts, lists and keyed tables, each with its place.

For: reading the small part of YAML that people need, in one pass, with line and column of every node.
Must never: turn a word into a number, a date or a truth value; follow an alias; or guess at a broken text.

Rules
1. Every scalar stays the text that was written; what it means is for the form to say.
2. Anchors, aliases, tags, directives, merge keys, keys that are not plain words, a second document and a
   doubled key are refused.
3. Size, depth and number of nodes are bounded before anything is built from them.
4. The C parser and the pure one give the same result; where a text is broken the pure one words the finding.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from ferrule.engine.findings import Findings, Place
from ferrule.engine.procedure.rawtext import MAX_SAME, check_characters, check_directives
from ferrule.engine.text import check_text

MAX_BYTES = 256 * 1024
MAX_DEPTH = 20
MAX_NODES = 5_000
"""Bounds of record_format.md section 7."""

_BLOCK_STYLES = frozenset("|>")


class Text(str):
    """A scalar as it was written, with its place."""

    __slots__ = ("inset", "place")

    place: Place
    inset: int | None
    """Characters between the place and the text's first one; None when the text spans lines or has escapes."""

    @classmethod
    def at(cls, value: str, place: Place, inset: int | None = None) -> Text:
        """The text with its place."""
        made = cls(value)
        made.place = place
        made.inset = inset
        return made

    def spot(self, column: int) -> Place:
        """The place of a 1-based column inside the text, or of the text itself when the text was rewritten."""
        if self.inset is None:
            return self.place
        return Place(self.place.file, self.place.line, self.place.column + self.inset + column - 1, self.place.path)


class Series(list["Node"]):
    """A list with its place."""

    __slots__ = ("place",)

    place: Place


class Table(dict[str, "Node"]):
    """A table of keys with its place and the place of each key."""

    __slots__ = ("keys_at", "place")

    place: Place
    keys_at: dict[str, Place]


Node = Text | Series | Table


class _Full(Exception):  # noqa: N818 - a bound was met, the finding is already kept
    """Leaves the pass early."""


def parse_yaml(text: str, file: str, *, pure: bool = False) -> tuple[Node | None, Findings]:
    """The tree of a text, or None, and all that was found; the tree is there even beside a finding where it can be."""
    found = Findings()
    if len(text.encode("utf-8", "surrogatepass")) > MAX_BYTES:
        found.add("too-large", f"The file is larger than {MAX_BYTES // 1024} KiB.", hint="cut it into several files")
        return None, found
    check_characters(text, file, found)
    check_directives(text, file, found)
    if found.has_errors():
        return None, found
    root, built, fault = _built(text, file, pure)
    if fault is not None and not pure:
        root, built, worded = _built(text, file, True)
        fault = worded if built.has_errors() or worded else fault
    if fault is not None:
        _add_syntax(file, fault, built)
    return (None if fault else root), built


def _built(text: str, file: str, pure: bool) -> tuple[Node | None, Findings, Exception | None]:
    """The tree, what was found in it, and what the parser could not read."""
    builder = _Builder(file)
    try:
        builder.read(iter(YAML(typ="safe", pure=pure).parse(text)))
    except _Full:
        return None, builder.found, None
    except _BROKEN as fault:
        return None, builder.found, fault
    return (None if builder.lacks_text else builder.root), builder.found, None


_BROKEN = (YAMLError, ValueError, IndexError, AttributeError, OverflowError)
"""What the parsers raise for a text that is not YAML; the pure one lets some of Python's own errors through."""


def _add_syntax(file: str, fault: Exception, found: Findings) -> None:
    mark = getattr(fault, "problem_mark", None)
    problem = getattr(fault, "problem", None) or "it cannot be taken apart into keys, lists and texts"
    place = Place(file, mark.line + 1, mark.column + 1) if mark is not None else None
    found.add("yaml-syntax", f"The text stops being YAML here: {problem}.", place, hint=_syntax_hint(problem))


def _syntax_hint(problem: str) -> str:
    if "mapping values" in problem:
        return 'put a text that holds ": " into quotes'
    if "cannot start any token" in problem:
        return "put a text that begins with this sign into quotes"
    return "look at the indentation and at quotes and brackets that are still open"


class _Builder:
    """Builds the tree from parser events, with a stack of its own so that depth never becomes recursion."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.found = Findings()
        self.root: Node | None = None
        self.nodes = 0
        self.documents = 0
        self.lacks_text = False
        """True when something stood in the file that is not in the tree, such as what an alias meant."""
        self.in_brackets = 0
        self.stack: list[Table | Series] = []
        self.keys: list[Text | None] = []
        """For each open table the key that waits for its value; None for a list."""

    def read(self, events: Iterator[Any]) -> None:
        """Take all events; findings are kept on the way."""
        for event in events:
            if isinstance(event, NodeEvent):
                self._node(event)
            elif isinstance(event, MappingEndEvent | SequenceEndEvent):
                self.in_brackets = max(0, self.in_brackets - 1)
                self.stack.pop()
                self.keys.pop()
            elif isinstance(event, DocumentStartEvent):
                self.documents += 1

    def _place(self, event: Any, path: str) -> Place:
        return Place(self.file, event.start_mark.line + 1, event.start_mark.column + 1, path)

    def _forbid(self, what: str, place: Place, hint: str) -> None:
        if len(self.found) < MAX_SAME:
            self.found.add("yaml-forbidden", f"The file uses {what}, which is not allowed here.", place, hint=hint)

    def _node(self, event: Any) -> None:
        holder = self.stack[-1] if self.stack else None
        wants_key = isinstance(holder, Table) and self.keys[-1] is None
        place = self._place(event, self._path(holder, wants_key))
        self._count(place)
        if self.documents > 1:
            self._forbid("a second document", place, "put it into a file of its own")
            raise _Full
        if event.anchor is not None and not isinstance(event, AliasEvent):
            self._forbid("an anchor", place, f"leave &{event.anchor} out and write the text where it is needed")
        if getattr(event, "tag", None) is not None:
            self._forbid("a tag", place, "leave the word with ! out; a number in quotes stays a text anyway")
        node = self._made(event, place)
        if wants_key:
            self._key(node, place)
        else:
            self._keep(holder, node)
        if isinstance(node, Table | Series):
            self.in_brackets += 1 if event.flow_style or self.in_brackets else 0
            self.stack.append(node)
            self.keys.append(None)

    def _count(self, place: Place) -> None:
        self.nodes += 1
        if self.nodes > MAX_NODES:
            self.found.add("too-large", f"The file holds more than {MAX_NODES} texts, lists and tables.", place)
            raise _Full
        if len(self.stack) >= MAX_DEPTH:
            self.found.add("too-large", f"The file is nested more than {MAX_DEPTH} levels deep.", place)
            raise _Full

    def _path(self, holder: Table | Series | None, wants_key: bool) -> str:
        if holder is None or wants_key:
            return holder.place.path if holder is not None else ""
        if isinstance(holder, Series):
            return f"{holder.place.path}[{len(holder)}]"
        key = self.keys[-1] or ""
        return f"{holder.place.path}.{key}" if holder.place.path else key

    def _made(self, event: Any, place: Place) -> Node:
        if isinstance(event, MappingStartEvent):
            table = Table()
            table.place, table.keys_at = place, {}
            return table
        if isinstance(event, SequenceStartEvent):
            series = Series()
            series.place = place
            return series
        if isinstance(event, AliasEvent):
            self.lacks_text = True
            self._forbid("an alias", place, f"write the text in place of *{event.anchor}")
            return Text.at("", place)
        return self._text(event, place)

    def _text(self, event: ScalarEvent, place: Place) -> Text:
        value: str = event.value
        style: str = event.style or ""
        key = self.keys[-1] if self.keys else None
        if self.in_brackets and not style and (":" in value or "?" in value):
            self._forbid('":" or "?" in a text between brackets', place, "put the text into quotes")
        if not value and not style and key is not None:
            return Text.at("", Place(self.file, key.place.line, key.place.column, place.path))
        reason = check_text(value, long=style in _BLOCK_STYLES and bool(style))
        if reason and len(self.found) < MAX_SAME:
            self.found.add("text-policy", reason, place)
        return Text.at(value, place, _inset(event, value, style))

    def _key(self, node: Node, place: Place) -> None:
        holder = self.stack[-1]
        if not isinstance(node, Text):
            self._forbid("a list or a table as a key", place, "a key is one word or a few")
            raise _Full
        if not node:
            self._forbid("a key without words", place, "write the key before the colon")
        if node == "<<":
            self.lacks_text = True
            self._forbid("a merge key", place, "write the keys out")
        if isinstance(holder, Table) and node in holder:
            first = holder.keys_at[node]
            message = f'The key "{node}" stands twice here.'
            self.found.add("duplicate-key", message, place, related=[("it stands here first", first)])
        self.keys[-1] = node

    def _keep(self, holder: Table | Series | None, node: Node) -> None:
        if holder is None:
            self.root = node
        elif isinstance(holder, Series):
            holder.append(node)
        else:
            key = self.keys[-1]
            if key is not None and key not in holder:
                holder[str(key)] = node
                holder.keys_at[str(key)] = key.place
            self.keys[-1] = None


def _inset(event: ScalarEvent, value: str, style: str) -> int | None:
    """How far the text's first character is from the place, when each character stands as it was written."""
    if event.start_mark.line != event.end_mark.line:
        return None
    width = event.end_mark.column - event.start_mark.column
    if not style:
        return 0 if width == len(value) else None
    return 1 if style in "'\"" and width == len(value) + 2 else None
