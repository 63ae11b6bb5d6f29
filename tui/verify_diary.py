"""What the diary, and heads that left the machine, say of a log that is verified.

Must never: take the diary for part of the log, or leave out what it cannot show.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ferrule.engine.journal.chain import LogDamaged, LogRead
from ferrule.engine.journal.diary import DIARY_MAX, compare, read_copied, read_diary
from ferrule.engine.journal.entry import Entry
from ferrule.engine.journal.verdict import CHANGED, SIGNED, UNJUDGED
from ferrule.engine.light import dataclass
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.logfile import StoreError, told

_CANNOT_TELL = ("no-line",)
"""What may only mean that another diary was given."""


@dataclass(frozen=True, slots=True)
class DiaryFiles:
    """The diary and the copied heads that were given."""

    read: LogRead | None
    fault: str
    """Why the diary cannot be relied on; empty when it is whole."""
    copied: tuple[Entry, ...]
    broken: int


@dataclass(frozen=True, slots=True)
class Beside:
    """What holding one log against them showed."""

    code: int
    sentences: tuple[str, ...]
    heads: int
    """How many copied heads of this job were held against it."""


def read_beside(diary: str, heads: str, calls: FileCalls) -> DiaryFiles | None:
    """The files that were given; None when none was."""
    if not (diary or heads):
        return None
    copied, broken = read_copied(_read(Path(heads), calls)) if heads else ((), 0)
    if not diary:
        return DiaryFiles(None, "", copied, broken)
    try:
        return DiaryFiles(read_diary(_read(Path(diary), calls)), "", copied, broken)
    except LogDamaged as error:
        return DiaryFiles(None, str(error), copied, broken)


def judge_beside(files: DiaryFiles, log: Sequence[Entry]) -> Beside:
    """What diary and heads say of one log, told apart by what each of them can show."""
    job_id = str(log[0].data["job_id"])
    found: list[tuple[int, str]] = [(CHANGED, files.fault)] if files.fault else []
    heads = [line for line in files.copied if line.data.get("job_id") == job_id]
    if files.read is not None:
        for fault in compare(files.read.entries, {job_id: log}, heads):
            if fault.job_id == job_id:
                found.append((UNJUDGED if fault.code in _CANNOT_TELL else CHANGED, fault.sentence))
    for fault in compare(heads, {job_id: log}):
        if fault.code in ("log-cut", "log-changed"):
            found.append((CHANGED, f"By a head that left the machine: {fault.sentence}"))
    if files.broken:
        found.append((SIGNED, f"{files.broken} lines of the file of heads are no heads."))
    code = CHANGED if any(c == CHANGED for c, _ in found) else UNJUDGED if any(c for c, _ in found) else SIGNED
    return Beside(code, tuple(sentence for _, sentence in found), len(heads))


def _read(path: Path, calls: FileCalls) -> bytes:
    with told(f"The file {path} cannot be read", "Check the name and the medium it is on."):
        handle = calls.open_read(path)
        try:
            size = calls.size(handle)
            if not calls.is_regular(handle) or size > DIARY_MAX:
                raise StoreError(f"{path} is no ordinary file, or longer than any diary.")
            parts, at = [], 0
            while part := calls.read(handle, size - at, at):
                parts.append(part)
                at += len(part)
            return b"".join(parts)
        finally:
            calls.close(handle)
