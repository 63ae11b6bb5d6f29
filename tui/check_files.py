"""`ferrule check`: what is wrong in cards, plans, procedures and limits, each fault with its place.

Must never: change a file, or say that a set is in order when a file could not be read.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TextIO

from ferrule.engine.findings import Finding, Place, as_json, render
from ferrule.engine.procedure.compiled import Texts
from ferrule.engine.prover.structure import check_texts
from ferrule.engine.shell.sets import MissingTextError, packaged_set, read_text, set_texts
from ferrule.engine.text import visible

NOTHING_FOUND, FOUND, CANNOT_JUDGE = 0, 1, 3

ROLES = ("card", "plan", "procedure", "limits")
"""The first key of a file says what it is."""


def run_check(files: Sequence[str], *, today: str, as_json_text: bool, out: TextIO, err: TextIO) -> int:
    """Check the given files together, or the packaged set with each of its example cards; return the exit code."""
    groups, unread = _given(files) if files else (_packaged(), [])
    for sentence in unread:
        err.write(f"{visible(sentence)}\n")
    found: dict[Finding, None] = {}
    for texts in groups:
        found.update(dict.fromkeys(_check(texts, today)))
    texts_by_file = {text.id: text.text for group in groups for _, text in group}
    if as_json_text:
        out.write(json.dumps(as_json(found), ensure_ascii=True, indent=1) + "\n")
    elif found:
        out.write(render(found, texts_by_file) + "\n")
    err.write(f"{_counted(len(texts_by_file), 'file')} checked, {_counted(len(found), 'finding')}.\n")
    if unread:
        return CANNOT_JUDGE
    return FOUND if found else NOTHING_FOUND


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


_Group = Sequence[tuple[str, Texts]]
"""Texts that are checked together, each with the name by which places call it; its id is what is shown."""


def _check(texts: _Group, today: str) -> Iterable[Finding]:
    """Yield the findings over one group, with places that name the files as they were given."""
    shown = {f"{text.role}/{name}": text.id for name, text in texts}
    for finding in check_texts([(text.role, name, text.text) for name, text in texts], today):
        related = tuple((note, _placed(place, shown)) for note, place in finding.related)
        place = _placed(finding.place, shown) if finding.place else None
        yield replace(finding, place=place, related=related)


def _placed(place: Place, shown: dict[str, str]) -> Place:
    return replace(place, file=shown.get(place.file, place.file))


def _packaged() -> list[_Group]:
    base = packaged_set()
    rest = [(text.id, replace(text, id=f"{text.role}/{text.id}")) for text in set_texts(base)]
    cards = sorted((base / "cards").glob("*.yaml"))
    return [[(path.stem, Texts("card", f"card/{path.stem}", "", read_text(path))), *rest] for path in cards]


def _given(files: Sequence[str]) -> tuple[list[_Group], list[str]]:
    """Return the given files, each card with all that is not a card, and a sentence for each that cannot be read."""
    cards: list[tuple[str, Texts]] = []
    rest: list[tuple[str, Texts]] = []
    unread: list[str] = []
    for number, name in enumerate(files):
        try:
            text = read_text(Path(name))
        except MissingTextError as error:
            unread.append(str(error))
            continue
        role = role_of(text)
        if role is None:
            unread.append(f"{name} begins with none of {', '.join(f'{r}:' for r in ROLES)}, so it is no file of a set.")
            continue
        (cards if role == "card" else rest).append((f"{number}", Texts(role, name, "", text)))
    return [[card, *rest] for card in cards] or [rest], unread


def role_of(text: str) -> str | None:
    """Return what a file is by its first key, or None."""
    for line in text.splitlines():
        if line.strip() and not line.startswith(("#", "---")):
            key = line.partition(":")[0].strip()
            return key if key in ROLES else None
    return None
