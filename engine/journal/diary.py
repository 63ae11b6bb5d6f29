"""The diary of a folder of jobs: one line for each thing that happened to a log, in the log's own line format.

For: reading a diary, and holding logs, diary and heads that left the machine against each other.
Must never: open a file, or hide a difference.

Each line of a job holds the job's id, how many entries its log had, and the sum of the last of them (its head).
An `opened` line stands in the diary before the job goes past its first step, and the log's first entry names the
diary's head before that line: so each log freezes every line before it, and each line freezes its log up to there.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from ferrule.engine.journal.chain import LogRead, check_link, read_chain
from ferrule.engine.journal.entry import Entry, EntryError, decode
from ferrule.engine.journal.schema import DIARY_KINDS, check_diary_data
from ferrule.engine.light import dataclass

DIARY_NAME = "diary.jsonl"
"""The diary's name beside the logs."""
DIARY_MAX = 128 * 1024 * 1024
"""Bytes in one diary (our choice: far more than a working life of jobs)."""
LINES_MAX = 250_000
"""Lines in one diary (our choice, to the same end)."""
COPIED = ("checkpoint", "closed")
"""The lines of which a copy goes to the second medium."""
OF_ENTRY = {"open": "opened", "checkpoint": "checkpoint", "close": "closed", "signature": "signed"}
"""The line that an entry of a log brings about in the diary, by its kind."""

_WHAT = "the diary"


def job_line(job_id: str, entries: int, head: str) -> dict[str, Any]:
    """The data of a line about a job."""
    return {"job_id": job_id, "entries": entries, "head": head}


def check_line(last: Entry | None, entry: Entry) -> None:
    """Raise EntryError unless this line may follow the last one of a diary; writer and reader both ask this."""
    check_link(last, entry)
    check_diary_data(entry.kind, entry.data)


def read_diary(data: bytes, after: Entry | None = None) -> LogRead:
    """The verified diary, or its part after a line that was verified; LogDamaged unless only its last line is torn."""
    return read_chain(data, check_line, size_max=DIARY_MAX, entries_max=LINES_MAX, after=after, what=_WHAT)


def read_copied(data: bytes) -> tuple[tuple[Entry, ...], int]:
    """The whole lines of a file of copied diary lines, and how many other lines it holds.

    Each line stands by itself: a copy may begin late, leave lines out, or be broken off.
    """
    found: list[Entry] = []
    broken = 0
    for line in data.split(b"\n"):
        if not line:
            continue
        try:
            entry = decode(line + b"\n")
            check_diary_data(entry.kind, entry.data)
        except EntryError:
            broken += 1
        else:
            found.append(entry)
    return tuple(found), broken


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What a look at the folder's names shows beside the diary."""

    unnamed: tuple[str, ...]
    """Jobs whose log is there and of which the diary has no line."""
    missing: tuple[Entry, ...]
    """The last line of each job whose log is not there."""
    unended: tuple[Entry, ...]
    """The last line of each job whose log is there and whose close no line tells: it is open, or the line was lost."""


def reconcile(entries: Iterable[Entry], present: Collection[str]) -> Reconciled:
    """Hold the diary against the jobs whose logs are there."""
    last: dict[str, Entry] = {}
    ended: set[str] = set()
    for entry in entries:
        if entry.kind in DIARY_KINDS:
            job_id = str(entry.data["job_id"])
            last[job_id] = entry
            if entry.kind in ("closed", "signed"):
                ended.add(job_id)
    here = set(present)
    return Reconciled(
        tuple(sorted(here - last.keys())),
        tuple(entry for job_id, entry in last.items() if job_id not in here),
        tuple(entry for job_id, entry in last.items() if job_id in here - ended),
    )


@dataclass(frozen=True, slots=True)
class DiaryFault:
    """One thing in which diary, logs and copied heads do not agree."""

    code: str
    """`no-line`, `no-log`, `log-cut`, `log-changed`, `diary-cut` or `diary-changed`."""
    job_id: str
    sentence: str


def compare(
    diary: Sequence[Entry], logs: Mapping[str, Sequence[Entry]], copied: Sequence[Entry] = ()
) -> tuple[DiaryFault, ...]:
    """Everything in which a verified diary, verified logs by job id, and diary lines copied elsewhere disagree.

    What it cannot show: that the latest jobs were taken away together with the diary's end, unless a later log or a
    copied line names what stood there.
    """
    found: list[DiaryFault] = []
    named = set()
    for line in diary:
        if line.kind in DIARY_KINDS:
            job_id = str(line.data["job_id"])
            found += _line_faults(line, logs.get(job_id), first=job_id not in named)
            named.add(job_id)
    for job_id, log in logs.items():
        if job_id not in named:
            found.append(
                DiaryFault("no-line", job_id, f"The diary has no line about job {job_id}, whose log is there.")
            )
        if log and log[0].data["diary"] is not None:
            frozen = log[0].data["diary"]
            found += _frozen_faults(diary, int(frozen["seq"]), str(frozen["head"]), job_id, f"The log of job {job_id}")
    for line in copied:
        job_id = str(line.data.get("job_id", ""))
        found += _frozen_faults(diary, line.seq, line.sum, job_id, f"The copied line {line.seq + 1}")
    return tuple(found)


def _line_faults(line: Entry, log: Sequence[Entry] | None, *, first: bool) -> Iterable[DiaryFault]:
    job_id, count, head = str(line.data["job_id"]), int(line.data["entries"]), str(line.data["head"])
    where = f"Line {line.seq + 1} of the diary ({line.wall}) tells of job {job_id}"
    if log is None:
        if first:
            yield DiaryFault("no-log", job_id, f"{where}, and its log is not there.")
    elif len(log) < count:
        sentence = f"{where} with {count} entries, and its log has {len(log)}: its end was cut off."
        yield DiaryFault("log-cut", job_id, sentence)
    elif log[count - 1].sum != head:
        sentence = f"{where} with another entry {count} than its log has: the log was changed."
        yield DiaryFault("log-changed", job_id, sentence)


def _frozen_faults(diary: Sequence[Entry], seq: int, head: str, job_id: str, who: str) -> Iterable[DiaryFault]:
    if seq >= len(diary):
        sentence = f"{who} names line {seq + 1} of the diary, which has {len(diary)} lines: its end was cut off."
        yield DiaryFault("diary-cut", job_id, sentence)
    elif diary[seq].sum != head:
        sentence = f"{who} names another line {seq + 1} than the diary has: the diary was changed."
        yield DiaryFault("diary-changed", job_id, sentence)
