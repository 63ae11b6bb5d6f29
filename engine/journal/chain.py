"""A whole log, read and verified from its first byte.

Rules of this module
1. Bytes in, a verified log out, or one exception that names the entry and what is wrong with it.
2. Only the last line can be torn, because each line was durable before the next was written.
   Torn means: no line feed, or nothing but zero bytes after its first line feed.
   A line whose sum holds was written whole; whatever else is wrong with it is damage, not a torn write.
   So is a broken line in which a second one begins: a lost line feed must not cost two entries.
3. Nothing is skipped and nothing is mended here.
"""

from collections.abc import Callable, Sequence

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.entry import ENTRY_START, NO_SUM, Entry, EntryError, decode
from ferrule.engine.journal.schema import check_data
from ferrule.engine.light import dataclass

LOG_MAX = 32 * 1024 * 1024
"""Bytes in one log (record_format.md §1)."""
ENTRIES_MAX = 20_000
"""Entries in one log (record_format.md §1)."""
AFTER_CLOSE = ("signature", "resumed")
"""The kinds that may follow `close`."""

_NOT_WHOLE = ("size", "frame", "sum")
"""The faults that a write cut off by a power loss can leave in the last line."""


class LogDamaged(FerruleError):  # noqa: N818 - it names the state of the log
    """The log is not what was written: which entry shows it first, and how."""

    def __init__(self, entry: int, code: str, why: str, what: str = "this log") -> None:
        """`entry` counts from 1 and is the line number; 0 means the file as a whole; `what` names the file."""
        place = f"Entry {entry} of {what}" if entry else f"{what[0].upper()}{what[1:]}"
        super().__init__(
            f"{place} is damaged or was changed. {why} "
            "Reading it altered nothing: leave the file as it is and compare it with a copy."
        )
        self.entry = entry
        self.code = code


@dataclass(frozen=True, slots=True)
class LogRead:
    """What a log holds: its whole entries, and the bytes left over after the last of them."""

    entries: tuple[Entry, ...]
    good_size: int
    """Bytes up to the end of the last whole entry."""
    tail: bytes
    torn: bool

    @property
    def closed(self) -> bool:
        """True once the job was closed."""
        return is_closed(self.entries)


def is_closed(entries: Sequence[Entry]) -> bool:
    """True if these entries, a log from its start, hold a `close`."""
    for entry in reversed(entries):
        if entry.kind == "close":
            return True
        if entry.kind not in AFTER_CLOSE:
            return False
    return False


def check_next(last: Entry | None, closed: bool, entry: Entry) -> None:
    """Raise EntryError unless the entry may follow the last one; writer and reader both ask this."""
    check_link(last, entry)
    if (entry.kind == "open") != (last is None):
        raise EntryError("schema", f'It is of kind "{entry.kind}"; the first entry, and no other, is of kind "open".')
    if closed and entry.kind not in AFTER_CLOSE:
        raise EntryError(
            "schema", f'It is of kind "{entry.kind}", after the job was closed; only signatures may follow.'
        )
    check_data(entry.kind, entry.data)


def check_link(last: Entry | None, entry: Entry) -> None:
    """Raise EntryError unless number, sum before and elapsed time go on from the last entry."""
    seq, prev = (0, NO_SUM) if last is None else (last.seq + 1, last.sum)
    if entry.seq != seq:
        raise EntryError("seq", f"Its number is {entry.seq}, where {seq} was expected.")
    if entry.prev != prev:
        raise EntryError("prev", "The sum that it names as the one before it is not that of the entry before it.")
    if last is not None and entry.mono_ms < last.mono_ms:
        raise EntryError(
            "elapsed", f"Its elapsed time is {entry.mono_ms} ms, less than the {last.mono_ms} ms before it."
        )


def check_seal(first: Entry | None, entry: Entry) -> None:
    """Raise EntryError for a signature in a practice log: practice can never pass for work."""
    if entry.kind == "signature" and first is not None and first.data["mode"] == "practice":
        raise EntryError("practice", "It is a signature, and a practice log can never be signed.")


def read_log(data: bytes) -> LogRead:
    """The verified log; raises LogDamaged unless it is whole or only its last line is torn."""
    closed = False
    first: Entry | None = None

    def follow(last: Entry | None, entry: Entry) -> None:
        nonlocal closed, first
        check_next(last, closed, entry)
        check_seal(first, entry)
        first = first or entry
        closed = closed or entry.kind == "close"

    return read_chain(data, follow, size_max=LOG_MAX, entries_max=ENTRIES_MAX)


def read_chain(
    data: bytes,
    follow: Callable[[Entry | None, Entry], None],
    *,
    size_max: int,
    entries_max: int,
    after: Entry | None = None,
    what: str = "this log",
) -> LogRead:
    """The lines of a chained file that `follow` lets follow each other, read as rule 2 of this module says.

    `after` is the entry before these bytes, where they are the end of a file that was verified up to there.
    """
    before = 0 if after is None else after.seq + 1
    if len(data) > size_max:
        raise LogDamaged(0, "size", f"It has {len(data)} bytes; at most {size_max} bytes are allowed.", what)
    entries: list[Entry] = []
    start = 0
    while (end := data.find(b"\n", start) + 1) > 0:
        number = before + len(entries) + 1
        try:
            entry = decode(data[start:end])
            follow(entries[-1] if entries else after, entry)
        except EntryError as error:
            if error.code in _NOT_WHOLE and _is_one_line(data[start:end]) and not data[end:].strip(b"\0"):
                break
            raise LogDamaged(number, error.code, str(error), what) from error
        if number > entries_max:
            raise LogDamaged(0, "size", f"It has more than {entries_max} entries.", what)
        entries.append(entry)
        start = end
    tail = data[start:]
    if not _is_one_line(tail):
        raise LogDamaged(before + len(entries) + 1, "frame", "Another entry begins inside it.", what)
    return LogRead(tuple(entries), start, tail, torn=bool(tail))


def _is_one_line(tail: bytes) -> bool:
    """True unless a second entry begins in it; inside an entry's texts these bytes would stand escaped."""
    return tail.find(ENTRY_START, 1) < 0
