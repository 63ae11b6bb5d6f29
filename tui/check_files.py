"""`ferrule check`: what is wrong in cards, plans, procedures, limits and glossaries, each fault with its place.

Must never: change a file, or say that a set is in order when a file could not be read.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TextIO

from ferrule.engine.findings import Finding, Findings, Level, Place
from ferrule.engine.procedure.compiled import Texts
from ferrule.engine.prover.judged import Judged, judge_set
from ferrule.engine.prover.prove import Remembered
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.proofs import keep_proofs
from ferrule.engine.shell.sets import ROLES as FOLDERS
from ferrule.engine.shell.sets import MissingTextError, read_text
from ferrule.engine.text import visible
from ferrule.tui.check_output import as_json_text, as_text, counted, summary
from ferrule.tui.check_sarif import as_sarif_text

NOTHING_FOUND, FOUND, UNREADABLE = 0, 1, 66

ROLES = ("card", "plan", "procedure", "limits", "glossary")
"""The first key of a file says what it is."""


def run_check(
    files: Sequence[str],
    *,
    today: str,
    form: str,
    strict: bool,
    folders: Folders,
    base: Path,
    out: TextIO,
    err: TextIO,
) -> int:
    """Check the given files together, or the set in `base` with each of its cards; return the exit code.

    Each whole job is proved under every sign-off plan, and its proof kept for the walk.
    Only errors make the code 1, with `strict` warnings and notes too; a file that cannot be read makes it 66.
    """
    groups, unread = _given(files, base) if files else _of_set(base)
    for sentence in unread:
        err.write(f"{visible(sentence)}\n")
    kept = Findings()
    judged = _judged([[(text.role, name, text.text) for name, text in texts] for texts in groups], today)
    for texts, own in zip(groups, judged, strict=True):
        kept.extend(_shown(texts, own.findings))
        if own.proved:
            keep_proofs([(t.role, _walked_as(name, t), t.text) for name, t in texts], own, folders, today)
    found = kept.all()
    texts_by_file = {text.id: text.text for group in groups for _, text in group}
    code = UNREADABLE if unread else FOUND if _counts(found, strict) else NOTHING_FOUND
    if form == "json":
        out.write(as_json_text(found, texts_by_file, unread))
    elif form == "sarif":
        out.write(as_sarif_text(found, texts_by_file, unread, exit_code=code, folder=Path.cwd()))
    else:
        out.write(as_text(found, texts_by_file))
    err.write(f"{summary(len(texts_by_file), found)}\n{proved_words(judged)}")
    return code


_Files = list[tuple[str, str, str]]
_SHOWN = Remembered()
"""What this process has shown; each worker has its own."""


def _judged(groups: list[_Files], today: str) -> list[Judged]:
    """Judge every group, on as many cores as there are; a single card is not worth the start of another process.

    The first is judged before the others are shared out: where a process begins as a copy of its parent, each knows
    from the start what was shown then.
    """
    first = [_judge(today, files) for files in groups[:1]]
    workers = min(os.cpu_count() or 1, len(groups) - 1)
    if workers < 2:
        return first + [_judge(today, files) for files in groups[1:]]
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(workers) as pool:
        return first + list(pool.map(partial(_judge, today), groups[1:]))


def _judge(today: str, files: _Files) -> Judged:
    return judge_set(files, today, _SHOWN, every_plan=True)


def _counts(found: Iterable[Finding], strict: bool) -> bool:
    return any(strict or finding.level is Level.ERROR for finding in found)


_Group = Sequence[tuple[str, Texts]]
"""Texts that are checked together, each with the name by which places call it; its id is what is shown."""


def _walked_as(name: str, text: Texts) -> str:
    """Return the name that a text has in a log: a card by its file, everything else by its own."""
    return Path(text.id).stem if text.role == "card" else name


def _shown(texts: _Group, found: Iterable[Finding]) -> Iterable[Finding]:
    """Yield findings with places that name the files as they were given."""
    shown = {f"{text.role}/{name}": text.id for name, text in texts}
    for finding in found:
        related = tuple((note, _placed(place, shown)) for note, place in finding.related)
        place = _placed(finding.place, shown) if finding.place else None
        yield replace(finding, place=place, related=related)


def proved_words(judged: Sequence[Judged]) -> str:
    """Return one sentence on what was proved, or nothing where there was no whole job."""
    proofs = [proof for one in judged for proof in one.proofs.values()]
    if not proofs:
        return ""
    jobs = sum(1 for one in judged if one.proofs)
    proved = sum(1 for one in judged if one.proved)
    states = sum(proof.states for proof in proofs)
    cases = sum(proof.cases for proof in proofs)
    plans = sorted({len(one.proofs) for one in judged if one.proofs})
    return (
        f"{proved} of {counted(jobs, 'job')} proved, each under {' or '.join(map(str, plans))} sign-off plans: "
        f"{cases:,} instances of invariants, {states:,} states visited.\n"
    )


def _placed(place: Place, shown: dict[str, str]) -> Place:
    return replace(place, file=shown.get(place.file, place.file))


def _of_set(base: Path) -> tuple[list[_Group], list[str]]:
    """Return each card of a set with all else that the set holds."""
    rest = texts_of_set(base)
    cards = sorted((base / "cards").glob("*.yaml"))
    if not cards:
        return [], [f"{base} holds no card under cards/, so there is nothing to check there."]
    return [[(path.stem, _text(base, path, "card")), *rest] for path in cards], []


def texts_of_set(base: Path) -> list[tuple[str, Texts]]:
    """Return every text of a set but its cards, each with its name; its id is what is shown of its file."""
    paths = [(path, role) for folder, role in FOLDERS.items() for path in sorted((base / folder).glob("*.yaml"))]
    return [(path.stem, _text(base, path, role)) for path, role in [(base / "glossary.yaml", "glossary"), *paths]]


def _text(base: Path, path: Path, role: str) -> Texts:
    return Texts(role, f"{base.name}/{path.relative_to(base).as_posix()}", "", read_text(path))


def _given(files: Sequence[str], base: Path) -> tuple[list[_Group], list[str]]:
    """Return the given files, each card with all that is not a card, and a sentence for each that cannot be read.

    Cards alone are checked with the set, as they are walked; texts without a glossary with that of the set.
    """
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
    if (cards or rest) and not any(text.role == "glossary" for _, text in rest):
        packaged = texts_of_set(base)
        rest.extend(packaged[:1] if rest else packaged)
    return [[card, *rest] for card in cards] or [rest], unread


def role_of(text: str) -> str | None:
    """Return what a file is by its first key, or None."""
    for line in text.splitlines():
        if line.strip() and not line.startswith(("#", "---")):
            key = line.partition(":")[0].strip()
            return key if key in ROLES else None
    return None
