"""The two things that are compared: the packaged set, a file, a folder, or the texts that a log embeds.

Must never: write anything, or take a text from anywhere else than was asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TextIO

from ferrule.engine.findings import nearest
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compare import Name, NoFileError, read_tree
from ferrule.engine.procedure.needed import needed_texts
from ferrule.engine.procedure.schema import FORMS
from ferrule.engine.procedure.yamltext import Series, Table
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import StoreError, read_only
from ferrule.engine.shell.sets import packaged_set, read_text
from ferrule.engine.text import visible
from ferrule.engine.version import RULES
from ferrule.tui.around import InputError, UsageError
from ferrule.tui.walk_command import find_log

PACKAGED = "packaged"
"""Stands for the packaged set where a file, a folder or a log may be named."""

_Text = tuple[str, str, str]
"""Role, id and text."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of two things that are compared: its texts, and what it is."""

    says: str
    texts: tuple[_Text, ...]
    one: bool = False
    """Whether it is a single file."""
    job: bool = False
    """Whether it is the log of a job, which holds only what its card needs."""


def find_side(name: str, folders: Folders, err: TextIO) -> Side:
    """What a name stands for: the packaged set, a log, a folder, or a file."""
    if name == PACKAGED:
        return Side("the packaged set", tuple(_of_folder(packaged_set(), err)))
    log = find_log(name, folders)
    if log is not None:
        return _of_log(log, err)
    path = Path(name)
    if path.is_dir():
        return Side(f"folder {name}", tuple(_of_folder(path, err)))
    if not path.exists():
        near = nearest(name, [PACKAGED])
        hint = f"Did you mean “{near}”?" if near else f"Give one of these, or `{PACKAGED}` for the packaged set."
        raise InputError(f"There is no file, folder or log “{name}”. {hint}")
    text = read_text(path)
    named = _named(text, name)
    if named is None:
        raise InputError(f"{name} begins with none of {_roles()}, so it is no file of a set.")
    return Side(f"file {name}", (named,), one=True)


def _roles() -> str:
    return ", ".join(f"{role}:" for role in FORMS)


def _named(text: str, file: str) -> _Text | None:
    """Role and id of a text as its first key says; None where it is no file of a set."""
    try:
        root = read_tree(text, file)
    except NoFileError:
        return None
    role = next(iter(root))
    return (role, str(root[role]), text) if role in FORMS else None


def _of_folder(folder: Path, err: TextIO) -> Iterator[_Text]:
    seen: dict[Name, Path] = {}
    for path in sorted((*folder.rglob("*.yaml"), *folder.rglob("*.yml"))):
        named = _named(read_text(path), str(path))
        if named is None:
            err.write(f"{visible(f'{path} begins with none of {_roles()}; it was left out.')}\n")
            continue
        other = seen.setdefault(named[:2], path)
        if other != path:
            raise InputError(f"{other} and {path} both hold the {named[0]} “{named[1]}”; keep one of them.")
        yield named


def _of_log(log: Path, err: TextIO) -> Side:
    try:
        entries = read_only(log).entries
    except StoreError as error:
        raise InputError(str(error)) from error
    if not entries:
        raise InputError(f"The log {log.name} holds no whole first entry, so it embeds no texts.")
    opened = entries[0].data
    if opened["rules"] != RULES:
        err.write(f"The log was opened under rules {opened['rules']}; this copy of ferrule has rules {RULES}.\n")
    texts = tuple((t["role"], t["id"], t["text"]) for t in opened["texts"])
    return Side(f"the texts of the log {log.name}, opened {entries[0].wall}", texts, job=True)


def match(old: Side, new: Side) -> tuple[Side, Side]:
    """Both sides cut to what can be compared: a file against its like, a log against what its card would need."""
    if old.one and new.one:
        return _same_sort(old, new), new
    if old.one or new.one:
        only, other = (old, new) if old.one else (new, old)
        like = _like(only.texts[0], other)
        return (only, like) if old.one else (like, only)
    if old.job != new.job:
        log, other = (old, new) if old.job else (new, old)
        needed = _needed(log, other)
        return (log, needed) if old.job else (needed, log)
    return old, new


def _same_sort(old: Side, new: Side) -> Side:
    """The old file under the name of the new one; a file that was given another id is still its revision."""
    (role, _, text), (other, name, _) = old.texts[0], new.texts[0]
    if role != other:
        raise UsageError(f"One file is a {role} and the other a {other}; two of one sort can be compared.")
    return Side(old.says, ((role, name, text),), one=True)


def _like(text: _Text, other: Side) -> Side:
    role, name, _ = text
    found = [own for own in other.texts if own[:2] == (role, name)]
    if not found:
        near = nearest(name, [own[1] for own in other.texts if own[0] == role])
        hint = f" The nearest name is “{near}”." if near else ""
        raise InputError(f"There is no {role} “{name}” in {other.says}.{hint}")
    return Side(f"{role} {name} of {other.says}", tuple(found))


def _needed(log: Side, other: Side) -> Side:
    """The texts of a set that the card of a log would rest on if it were opened now."""
    card = [text for text in log.texts if text[0] == "card"]
    rest = [text for text in other.texts if text[0] != "card"]
    names = needed_texts([*card, *rest])
    return Side(f"what its card needs of {other.says}", (*card, *(text for text in rest if text[:2] in names)))


def trees(old: Side, new: Side) -> tuple[Mapping[Name, Table], Mapping[Name, Table]]:
    """The keys of the texts of both sides that are not word for word the same, in reading order.

    That is: card, plan, procedures as the plan has them, the rest.
    """
    order = [name for side in (new, old) for name in _plan_order(side)]
    same = set(old.texts) & set(new.texts)
    first, second = (
        {
            (role, name): read_tree(text, f"{role}/{name}")
            for role, name, text in sorted(set(side.texts) - same, key=lambda text: _rank(text[:2], order))
        }
        for side in (old, new)
    )
    return first, second


def _plan_order(side: Side) -> Iterator[Name]:
    """The procedures in the order in which the plans name them."""
    for role, name, text in side.texts:
        root = read_tree(text, f"{role}/{name}") if role == "plan" else Table()
        for goals in root.values():
            for goal in goals if isinstance(goals, Series) else ():
                if isinstance(goal, Table) and "by" in goal:
                    yield "procedure", str(goal["by"])


def _rank(name: Name, order: Sequence[Name]) -> tuple[int, int, str]:
    return tuple(FORMS).index(name[0]), order.index(name) if name in order else len(order), name[1]
