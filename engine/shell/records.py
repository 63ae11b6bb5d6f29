"""Logs of work with the diary beside them: a job is opened, taken up or moved only together with its line there.

For: the session, for jobs at work; practice logs prove nothing and have no diary.
Must never: hand out a writer of a job of which the diary has no durable line.
"""

from collections.abc import Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from ferrule.engine.journal.chain import LogRead
from ferrule.engine.journal.diary import job_line
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.diaryfile import DiaryBook, enter_found
from ferrule.engine.shell.keeper import Keeper
from ferrule.engine.shell.second import SecondMedium
from ferrule.engine.shell.store import LogWriter


def open_record(
    folder: Path, data: Mapping[str, Any], clock: Clock, calls: FileCalls, second: SecondMedium | None
) -> tuple[LogWriter, tuple[str, ...]]:
    """A new log whose first entry names the diary's head before it, and what the diary has to say.

    The diary stays locked meanwhile, so that no other job's line comes in between.
    """
    book = DiaryBook(folder, clock, calls)
    with book.writing() as diary, ExitStack() as undo:
        notes = enter_found(diary, calls)
        frozen = {"seq": diary.count - 1, "head": diary.head} if diary.count else None
        log = LogWriter.create(folder, {**data, "diary": frozen}, clock, calls)
        undo.callback(log.close_file)
        diary.append("opened", job_line(log.job_id, log.count, log.head))
        undo.pop_all()
    log.keeper = Keeper(book, second)
    return log, notes


def resume_record(
    path: Path, clock: Clock, calls: FileCalls, second: SecondMedium | None
) -> tuple[LogWriter, LogRead, tuple[str, ...]]:
    """The writer of an open log after a break, the log as it was found, and what the diary has to say."""
    log, read = LogWriter.resume(path, clock, calls, reason="taken up again")
    if read.entries[0].data["mode"] != "work":
        return log, read, ()
    book = DiaryBook(path.parent, clock, calls)
    with ExitStack() as undo:
        undo.callback(log.close_file)
        with book.writing() as diary:
            notes = enter_found(diary, calls)
        undo.pop_all()
    log.keeper = Keeper(book, second)
    return log, read, notes


def move_record(log: LogWriter, folder: Path, clock: Clock, calls: FileCalls, second: SecondMedium | None) -> LogWriter:
    """The same log, gone on with in another folder after a write error, entered in the diary there."""
    moved = log.moved_to(folder)
    if moved.entries[0].data["mode"] == "work":
        book = DiaryBook(folder, clock, calls)
        with ExitStack() as undo:
            undo.callback(moved.close_file)
            book.note("found", job_line(moved.job_id, moved.count, moved.head))
            undo.pop_all()
        moved.keeper = Keeper(book, second)
    return moved
