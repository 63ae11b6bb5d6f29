"""A folder of small jobs with its diary, made by the pure functions, and what an attacker can make of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from ferrule.engine.journal.chain import read_log
from ferrule.engine.journal.diary import job_line
from ferrule.engine.journal.entry import NO_SUM, Entry, encode
from tests.support.demolog import CLOSE_DATA, did_data, open_data, write_lines

WALL = "2026-03-14T09:30:00.000+00:00"


def job_id(number: int) -> str:
    """The id of one of the jobs, in the order in which they were opened."""
    return f"20260314t09{number:02d}00z-{'abcdefgh'[number] * 10}"


def chained(parts: Sequence[tuple[str, Mapping[str, Any]]]) -> tuple[Entry, ...]:
    """Diary lines of these kinds and data, each with the sum of the one before it."""
    entries: list[Entry] = []
    for seq, (kind, data) in enumerate(parts):
        prev = entries[-1].sum if entries else NO_SUM
        entries.append(encode(kind, seq, prev, WALL, seq, "boot-1:0", data)[1])
    return tuple(entries)


@dataclass(frozen=True)
class World:
    """Logs by job id, and the diary beside them."""

    logs: Mapping[str, tuple[Entry, ...]]
    diary: tuple[Entry, ...]

    def without_logs(self, gone: Collection[str]) -> World:
        """Logs taken away, the diary left as it is."""
        return World({name: log for name, log in self.logs.items() if name not in gone}, self.diary)

    def forged_without(self, gone: Collection[str]) -> World:
        """Logs and their lines taken away, all sums of the diary made right again."""
        kept = [(line.kind, line.data) for line in self.diary if line.data["job_id"] not in gone]
        return World(self.without_logs(gone).logs, chained(kept))


@cache
def world(count: int) -> World:
    """So many jobs, each opened, worked on and closed before the next."""
    logs: dict[str, tuple[Entry, ...]] = {}
    parts: list[tuple[str, Mapping[str, Any]]] = []
    for number in range(count):
        name = job_id(number)
        diary = chained(parts)
        frozen = {"seq": len(diary) - 1, "head": diary[-1].sum} if diary else None
        lines = write_lines([("open", open_data(name, diary=frozen)), ("did", did_data(number)), ("close", CLOSE_DATA)])
        log = read_log(b"".join(lines)).entries
        parts.append(("opened", job_line(name, 1, log[0].sum)))
        parts.append(("closed", job_line(name, 3, log[2].sum)))
        logs[name] = log
    return World(logs, chained(parts))
