"""Two revisions of a file, or of a whole set, held against each other part by part, in reading order.

For: who has to approve a change, and who asks by which texts an old job was walked.
Must never: pass over a difference, or judge whether a change is right; it only says what may bear on safety.

Rules
1. What bears on safety is everything but the keys that explain; a key that is not known here bears on it.
2. A part that was added, removed or moved bears on safety whatever it holds.
3. A part has moved when it no longer stands in the longest run of parts that kept their order.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from ferrule.engine.findings import BadFile, FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compare_tree import HEAD, Entry, entries_of
from ferrule.engine.procedure.yamltext import Table, parse_yaml

_T = TypeVar("_T")
Name = tuple[str, str]
"""Role and id of a text."""

EXPLAINS = frozenset({"title", "purpose", "scope", "section", "chapter", "why", "source", "revision"})
"""Keys that explain or count; a change of any other key is marked as bearing on safety."""

ADDED, REMOVED, MOVED, CHANGED = "added", "removed", "moved", "changed"


class NoFileError(FerruleError):
    """A text that is no file of a set, so nothing in it can be compared."""


@dataclass(frozen=True, slots=True)
class Change:
    """One key with its old and its new text; None where it was not there."""

    key: str
    old: str | None
    new: str | None

    @property
    def bears_on_safety(self) -> bool:
        """Whether the key does more than explain."""
        return not EXPLAINS & set(self.key.split(" / "))


@dataclass(frozen=True, slots=True)
class Difference:
    """One part that is not as it was."""

    how: tuple[str, ...]
    """`added`, `removed`, or one or both of `moved` and `changed`."""
    kind: str
    id: str
    says: str
    """The part's sentence, the new one where there are two."""
    old_place: int
    new_place: int
    """Places among the parts of its kind, from 1; 0 where it is not there."""
    changes: tuple[Change, ...]

    @property
    def bears_on_safety(self) -> bool:
        """Whether it was added, removed or moved, or a key changed that does more than explain."""
        return self.how != (CHANGED,) or any(change.bears_on_safety for change in self.changes)


@dataclass(frozen=True, slots=True)
class FileDifference:
    """One text that is not as it was."""

    role: str
    id: str
    how: str
    """`added`, `removed` or `changed`."""
    title: str
    old_revision: str
    new_revision: str
    differences: tuple[Difference, ...]

    @property
    def bears_on_safety(self) -> bool:
        """Whether anything in it bears on safety; a whole text that came or went does."""
        return self.how != CHANGED or any(difference.bears_on_safety for difference in self.differences)

    @property
    def same_revision(self) -> bool:
        """Whether the text changed while its revision stayed; only of a text that counts revisions."""
        return self.how == CHANGED and bool(self.new_revision) and self.old_revision == self.new_revision


def read_tree(text: str, file: str) -> Table:
    """The keys of a file; BadFile or NoFileError where it has none."""
    node, found = parse_yaml(text, file)
    if found.has_errors():
        raise BadFile(found.all())
    if not isinstance(node, Table) or not node:
        raise NoFileError(f"{file} holds no keys, so there is nothing to compare.")
    return node


def compare_sets(old: Mapping[Name, Table], new: Mapping[Name, Table]) -> tuple[FileDifference, ...]:
    """Every text that differs, in the order of the new set, with those that are gone where they stood."""
    found = []
    for name in merged(tuple(old), tuple(new)):
        if name not in new:
            found.append(_whole(name, REMOVED, old[name]))
        elif name not in old:
            found.append(_whole(name, ADDED, new[name]))
        else:
            differences = compare_files(old[name], new[name])
            if differences:
                found.append(_changed(name, old[name], new[name], differences))
    return tuple(found)


def _whole(name: Name, how: str, root: Table) -> FileDifference:
    revision = _said(root, "revision")
    old, new = (revision, "") if how == REMOVED else ("", revision)
    return FileDifference(*name, how, _said(root, "title"), old, new, ())


def _changed(name: Name, old: Table, new: Table, differences: tuple[Difference, ...]) -> FileDifference:
    revisions = _said(old, "revision"), _said(new, "revision")
    return FileDifference(*name, CHANGED, _said(new, "title"), *revisions, differences)


def _said(root: Table, key: str) -> str:
    return str(root.get(key, ""))


def compare_files(old: Table, new: Table) -> tuple[Difference, ...]:
    """Every part that differs between two revisions of one file, in reading order."""
    before = {(entry.kind, entry.id): entry for entry in entries_of(old)}
    after = {(entry.kind, entry.id): entry for entry in entries_of(new)}
    moved = _moved(before, after)
    found = []
    for name in merged(tuple(before), tuple(after)):
        was, now = before.get(name), after.get(name)
        changes = () if was is None or now is None else tuple(_changes(was, now))
        how = _how(was, now, name in moved, bool(changes))
        if how:
            says = (now or was or _NOTHING).says
            found.append(Difference(how, *name, says, _place(name, before), _place(name, after), changes))
    return tuple(found)


_NOTHING = Entry(HEAD, "", "", {}, {})


def _how(was: Entry | None, now: Entry | None, moved: bool, changed: bool) -> tuple[str, ...]:
    if was is None:
        return (ADDED,)
    if now is None:
        return (REMOVED,)
    return tuple(word for word, holds in ((MOVED, moved), (CHANGED, changed)) if holds)


def _place(name: Name, entries: Mapping[Name, Entry]) -> int:
    """The place of a part among those of its kind, from 1; 0 where it is not there."""
    kind = [other for other in entries if other[0] == name[0]]
    return kind.index(name) + 1 if name in entries and name[0] != HEAD else 0


def _changes(was: Entry, now: Entry) -> Iterator[Change]:
    for key in merged(tuple(was.fields), tuple(now.fields)):
        if was.fields.get(key) != now.fields.get(key):
            yield Change(key, was.fields.get(key), now.fields.get(key))
    for key in (key for key in was.orders if key in now.orders):
        old, new = was.orders[key], now.orders[key]
        if [name for name in old if name in new] != [name for name in new if name in old]:
            yield Change(f"{key} / order", ", ".join(old), ", ".join(new))


def _moved(before: Mapping[Name, Entry], after: Mapping[Name, Entry]) -> frozenset[Name]:
    """The parts that stand in both and did not keep their order among their kind."""
    found: set[Name] = set()
    for kind in dict.fromkeys(name[0] for name in after):
        old = [name for name in before if name[0] == kind and name in after]
        new = [name for name in after if name[0] == kind and name in before]
        found |= set(new) - set(_kept([old.index(name) for name in new], new))
    return frozenset(found)


def _kept(places: Sequence[int], names: Sequence[Name]) -> Iterator[Name]:
    """The names of the longest run whose places rise."""
    ends: list[int] = []
    last: list[int] = []
    before: list[int] = []
    for at, place in enumerate(places):
        length = bisect_left(ends, place)
        before.append(last[length - 1] if length else -1)
        ends[length:] = [place, *ends[length + 1 :]]
        last[length:] = [at, *last[length + 1 :]]
    at = last[-1] if last else -1
    while at >= 0:
        yield names[at]
        at = before[at]


def merged(old: Sequence[_T], new: Sequence[_T]) -> list[_T]:
    """What stands in either, in the order of the new, each that is gone behind what it stood behind."""
    listed = list(new)
    present = set(new)
    for at, name in enumerate(old):
        if name in present:
            continue
        behind = next((other for other in reversed(old[:at]) if other in present), None)
        listed.insert(0 if behind is None else listed.index(behind) + 1, name)
        present.add(name)
    return listed
