"""No acknowledged entry is lost by a power loss, and nothing torn is dropped unseen."""

from collections.abc import Mapping
from typing import Any

import pytest

from ferrule.engine.journal.chain import LogRead
from ferrule.engine.journal.entry import Entry
from ferrule.engine.shell.store import LogWriter
from tests.shell.powerloss import survey


class NoSync(LogWriter):
    """Says "saved" without waiting for the disk."""

    def _sync(self) -> None:
        pass


class NoFolderSync(LogWriter):
    """Forgets that the name of a new file needs its own sync."""

    def _sync_folder(self) -> None:
        pass


class SyncBeforeLineFeed(LogWriter):
    """Syncs the line, then writes its line feed."""

    def _write(self, line: bytes) -> None:
        super()._write(line[:-1])
        super()._sync()
        super()._write(line[-1:])

    def _sync(self) -> None:
        pass


class AppendOverTornTail(LogWriter):
    """Writes on after a torn tail as if it were not there."""

    def _mend(self, read: LogRead, why: str, *, always: bool) -> None:
        super()._mend(LogRead(read.entries, read.good_size, b"", torn=False), why, always=always)


class CutSilently(LogWriter):
    """Cuts a torn tail and tells nobody."""

    def _mend(self, read: LogRead, why: str, *, always: bool) -> None:
        self._cut()
        super()._mend(LogRead(read.entries, read.good_size, b"", torn=False), why, always=always)


class CutBeforeCopy(LogWriter):
    """Cuts a torn tail first and copies it afterwards."""

    def _mend(self, read: LogRead, why: str, *, always: bool) -> None:
        if read.torn:
            self._cut()
        super()._mend(read, why, always=always)


class NamesTheTailInVain(LogWriter):
    """Cuts and copies a torn tail, but writes an entry that says nothing was cut."""

    def append(self, kind: str, data: Mapping[str, Any]) -> Entry:
        """The entry with the cut left out."""
        return super().append(kind, dict(data) | ({"torn_bytes": 0, "torn_sha256": None} if kind == "resumed" else {}))


MUTANTS = [
    NoSync,
    NoFolderSync,
    SyncBeforeLineFeed,
    AppendOverTornTail,
    CutSilently,
    CutBeforeCopy,
    NamesTheTailInVain,
]


def test_power_loss_at_every_call_loses_no_acknowledged_entry() -> None:
    """Whatever a power loss leaves, at any call of a job or of its next start, the start after it finds every
    acknowledged entry, sets each torn tail aside and names it. Shows: IR-01, IR-02."""
    result = survey(LogWriter, every=12)

    assert result.complaints == []
    assert len(result.states) >= 3_000


@pytest.mark.slow
def test_power_loss_in_every_recovery_loses_no_acknowledged_entry() -> None:
    """The same with a second power loss at every call of every recovery. Shows: IR-01, IR-02."""
    result = survey(LogWriter, every=1)

    assert result.complaints == []
    assert len(result.states) >= 40_000


@pytest.mark.parametrize("mutant", MUTANTS)
def test_each_wrong_writer_is_caught(mutant: type[LogWriter]) -> None:
    """A writer that leaves out one safeguard fails the very survey that the real writer passes. Shows: IR-01, IR-02."""
    result = survey(mutant, every=80)

    assert result.complaints
