"""What an entry of a log leaves elsewhere once it is durable: a line in the diary, a copy on the second medium.

For: the writer of a log, whoever uses it; opening is `records`' to do, because there the diary comes first.
Must never: make the entry fail that was saved already; what could not be left is told in `notes`.
"""

from pathlib import Path

from ferrule.engine.journal.diary import COPIED, DIARY_NAME, OF_ENTRY, job_line
from ferrule.engine.journal.entry import Entry, line_of
from ferrule.engine.shell.calls import FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.diaryfile import DiaryBook
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.second import SecondMedium


class Keeper:
    """Diary and second medium of one job."""

    def __init__(self, book: DiaryBook, second: SecondMedium | None = None) -> None:
        self._book = book
        self._second = second
        self.notes: list[str] = []
        """What could not be left elsewhere, in sentences, until somebody has told them."""

    def after(self, job_id: str, entry: Entry) -> None:
        """Leave the trace of one durable entry."""
        kind = OF_ENTRY.get(entry.kind)
        if kind is None:
            return
        try:
            line, identity = self._book.note(kind, job_line(job_id, entry.seq + 1, entry.sum))
        except StoreError as error:
            self.notes.append(f"The entry is in the log, but not in the diary. {error}")
            return
        if kind in COPIED and self._second is not None:
            try:
                self._second.add(identity, line_of(line))
            except StoreError as error:
                self.notes.append(f"The entry is in the log and in the diary. {error}")


def keeper_beside(log: Path, clock: Clock, calls: FileCalls) -> Keeper | None:
    """The keeper of a log that has a diary beside it; None where there is none, as on a stick."""
    if DIARY_NAME not in calls.names(log.parent):
        return None
    return Keeper(DiaryBook(log.parent, clock, calls))
