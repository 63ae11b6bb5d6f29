"""A file of a set as entries in reading order: its head, its steps, goals, rows or settings, each as keys with texts.

For: comparing two revisions of a file without knowing what each key means.
Must never: leave out a key, or read a default into a file that does not write it.

Rules
1. A list of tables is a list of entries; each is called by the first of its naming keys, not by its position.
2. Steps stand in the order of the file whatever section holds them; the section is a key of the step.
3. Whatever is not a list of tables at the top of the file belongs to the head.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.words import KINDS
from ferrule.engine.procedure.yamltext import Node, Series, Table

HEAD = "head"

_NAMING = ("id", "row", "fact", "call", "function", "term", "hazard", "judge")
"""Keys that name a table in a list, the first that it has."""
_ONE_OF_MANY = "when"
"""A key that tells apart tables of one name, of which only some hold for a job."""
_SENTENCES = (*KINDS, "title", "by", "value", "name", "meaning")
"""Keys whose text says what an entry is, the first that it has."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One part of a file: what it is called and all of its keys with their texts."""

    kind: str
    """`head`, or what its list is called: `step`, `goal`, `supplier`, `row`, `setting`, …"""
    id: str
    says: str
    """Its sentence, for who does not know it by its id."""
    fields: Mapping[str, str]
    """Path of keys to text, in the order of the file."""
    orders: Mapping[str, tuple[str, ...]]
    """Path of each list inside it whose parts have names, to these names in order."""


def entries_of(root: Table) -> tuple[Entry, ...]:
    """All entries of a file, the head first."""
    head: dict[str, str] = {}
    orders: dict[str, tuple[str, ...]] = {}
    found: list[Entry] = []
    for key, node in root.items():
        tables = _tables(node)
        if key == "sections" and tables:
            found += _named("step", _steps_of(tables))
        elif tables:
            found += _named(_one(key), [(table, "") for table in tables])
        elif isinstance(node, Table) and node and all(isinstance(part, Table) for part in node.values()):
            found += [_entry(_one(key), name, part) for name, part in node.items() if isinstance(part, Table)]
        else:
            _flat(key, node, head, orders)
    return (Entry(HEAD, "", head.get("title", ""), head, orders), *found)


def _steps_of(sections: list[Table]) -> list[tuple[Table, str]]:
    """Every step with the title of its section."""
    found = []
    for section in sections:
        title = _text(section["section"]) if "section" in section else ""
        found += [(step, title) for step in _tables(section.get("steps", Series()))]
    return found


def _one(key: str) -> str:
    """What one part of a list is called."""
    return key.removesuffix("s") if key.endswith("s") and not key.endswith("ss") else key


def _named(kind: str, tables: list[tuple[Table, str]]) -> Iterator[Entry]:
    names = _names([table for table, _ in tables])
    for (table, section), name in zip(tables, names, strict=True):
        entry = _entry(kind, name, table)
        yield replace(entry, fields={"section": section, **entry.fields}) if section else entry


def _names(tables: list[Table]) -> list[str]:
    """A name for each table of a list; of the same name they are told apart by their condition, then by number."""
    plain = [_name(table) for table in tables]
    wider = [
        f"{name} when {_text(table[_ONE_OF_MANY])}" if plain.count(name) > 1 and _ONE_OF_MANY in table else name
        for name, table in zip(plain, tables, strict=True)
    ]
    seen: dict[str, int] = {}
    names = []
    for name in wider:
        seen[name] = seen.get(name, 0) + 1
        names.append(name if seen[name] == 1 else f"{name} number {seen[name]}")
    return names


def _name(table: Table) -> str:
    key = next((key for key in _NAMING if key in table), next(iter(table), ""))
    return _text(table[key]) if key else ""


def _entry(kind: str, name: str, table: Table) -> Entry:
    says = next((_text(table[key]) for key in _SENTENCES if key in table), "")
    return Entry(kind, name, says, *_flat_all(table))


def _flat_all(table: Table) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
    fields: dict[str, str] = {}
    orders: dict[str, tuple[str, ...]] = {}
    for key, node in table.items():
        _flat(key, node, fields, orders)
    return fields, orders


def _flat(path: str, node: Node, fields: dict[str, str], orders: dict[str, tuple[str, ...]]) -> None:
    """Add the keys below a node with their texts, and the order of its named parts."""
    if isinstance(node, Table) and node:
        for name, part in node.items():
            _flat(f"{path} / {name}", part, fields, orders)
        return
    tables = _tables(node)
    pairs = bool(tables) and all(len(table) == 1 for table in tables)
    names = [next(iter(table)) for table in tables] if pairs else _names(tables)
    if not tables or len(set(names)) < len(names):
        fields[path] = _text(node)
        return
    orders[path] = tuple(names)
    for name, table in zip(names, tables, strict=True):
        _flat(f"{path} / {name}", table[name] if pairs else table, fields, orders)


def _tables(node: Node) -> list[Table]:
    """The parts of a list that holds tables and nothing else; none of any other node."""
    parts = node if isinstance(node, Series) else ()
    tables = [part for part in parts if isinstance(part, Table) and part]
    return tables if len(tables) == len(parts) else []


def _text(node: Node) -> str:
    if isinstance(node, Series):
        return "; ".join(_text(part) for part in node)
    if isinstance(node, Table):
        return ", ".join(f"{key}: {_text(part)}" for key, part in node.items())
    return str(node)
