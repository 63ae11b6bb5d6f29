"""One job at work: decide, append, advance.  The only way in which a walk is changed.

An event is on disk before the state moves, and the state moves before anything is drawn.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.entry import Entry, EntryError
from ferrule.engine.journal.headcode import Head, head_letters
from ferrule.engine.journal.replay import Replay, fold
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.opening import open_data, roster_named
from ferrule.engine.shell.pathrows import PathRow, last_done, path_rows
from ferrule.engine.shell.records import move_record, open_record, resume_record
from ferrule.engine.shell.second import SecondMedium
from ferrule.engine.shell.sets import JobTexts, embedded_job
from ferrule.engine.shell.store import LogWriter, new_job_id, read_only
from ferrule.engine.text import check_text
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal, refuse_person
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import Situation, situation
from ferrule.engine.walk.state import State

ABANDONED = "abandoned"
WORK, PRACTICE = "work", "practice"
"""How a person may close a log that the walk itself does not bring to an end."""
REASON_MAX = 1_000
"""Characters of the reason kept in the entry that closes a log (our choice, within the bound of a text)."""


class SessionError(FerruleError):
    """A job that cannot be opened as asked."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a command: its events, or the refusal; `entry` is its number where it was kept."""

    refusal: Refusal | None
    events: tuple[e.Event, ...]
    entry: int
    notes: tuple[str, ...] = ()
    """What is to be told of the record itself: its code at a checkpoint, a diary or a medium that failed."""
    show_code: bool = False
    """True at a checkpoint and at the close of a job at work: the log's code is to be shown, to be taken away."""


class Session:
    """A job that is open for work or practice."""

    def __init__(self, job: Job, state: State, writer: LogWriter, mode: str) -> None:
        self.job = job
        self.state = state
        self.mode = mode
        self._writer = writer
        self.resumed = ""
        """What was last done, when a job was taken up again; empty for a new one."""
        self.notes: tuple[str, ...] = ()
        """All that was told of the record itself: what the diary had to say at opening, then codes and failures."""
        self._clock: Clock | None = None
        self._calls: FileCalls = SYSTEM_CALLS
        self._second: SecondMedium | None = None

    @classmethod
    def open_new(
        cls,
        found: JobTexts,
        *,
        folders: Folders,
        clock: Clock,
        mode: str,
        operator: str,
        calls: FileCalls = SYSTEM_CALLS,
        supersedes: str | None = None,
    ) -> Session:
        """Open a log for a job and return its session; raises StoreError when the disk refuses."""
        job = found.job
        if mode not in (WORK, PRACTICE):
            raise SessionError(f"A job is opened for work or practice, not for “{mode}”.")
        if operator not in {p.id for p in job.card.people}:
            known = ", ".join(p.id for p in job.card.people)
            raise SessionError(f"“{operator}” is not named on the card. Named are: {known}.")
        data = open_data(found, mode, operator, new_job_id(clock, os.urandom(7)), clock, supersedes)
        data["roster"] = roster_named(folders)
        second = SecondMedium(folders.second, calls) if folders.second else None
        notes: tuple[str, ...] = ()
        if mode == WORK:
            writer, notes = open_record(folders.records, data, clock, calls, second)
        else:
            writer = LogWriter.create(folders.practice, data, clock, calls)
        return cls(job, start(job, operator), writer, mode)._around(clock, calls, second, notes)

    @classmethod
    def resume(cls, path: Path, *, folders: Folders, clock: Clock, calls: FileCalls = SYSTEM_CALLS) -> Session:
        """Take up an open log again; raises StoreError or LogDamaged with a sentence when that cannot be."""
        second = SecondMedium(folders.second, calls) if folders.second else None
        writer, read, notes = resume_record(path, clock, calls, second)
        try:
            opened = read.entries[0].data
            job = embedded_job(opened["texts"], folders).job
            state = fold(job, read.entries)
            session = cls(job, state, writer, str(opened["mode"]))._around(clock, calls, second, notes)
            session.resumed = session._told(read.entries, sum(tail.size for tail in writer.cut_tails))
            if state.outcome:
                session.notes += session._close_log(state.outcome, state.stopped) + session._keeper_notes()
        except BaseException:
            writer.close_file()
            raise
        return session

    def _around(self, clock: Clock, calls: FileCalls, second: SecondMedium | None, notes: tuple[str, ...]) -> Session:
        self._clock, self._calls, self._second, self.notes = clock, calls, second, notes
        return self

    @property
    def path(self) -> Path:
        """The log's file."""
        return self._writer.path

    @property
    def drafts(self) -> bool:
        """True while procedures of this job are drafts, not approved for work."""
        return any(p.draft for p in self.job.procedures.values())

    @property
    def head(self) -> str:
        """The sum of the last entry."""
        return self._writer.head

    def now_ms(self) -> int:
        """Milliseconds since the log was opened."""
        return max(self._writer.now_ms(), self.state.last_ms)

    def stamp(self) -> c.Stamp:
        """Return the stamp for a command that is given now."""
        return c.Stamp(self.now_ms(), self._writer.today())

    def situation(self) -> Situation:
        """Return what is to be shown now."""
        return situation(self.job, self.state, self.now_ms(), self._writer.wall())

    def submit(self, command: c.Command) -> Taken:
        """Decide a command, make it durable, move the state.  A StoreError leaves the step open."""
        found = decide(self.job, self.state, command)
        if isinstance(found, Refusal) and not found.kept:
            return Taken(found, (), 0)
        refusal = found if isinstance(found, Refusal) else None
        events = refused_events(refusal, self.state.step) if refusal else found
        assert not isinstance(events, Refusal)
        data = {
            "command": c.command_to_json(command),
            "person": command.person,
            "events": [e.event_to_json(event) for event in events],
        }
        try:
            self._writer.append("did", data)
        except EntryError as error:
            return Taken(Refusal("too-long", f"This is more than one entry may hold. {error}"), (), 0)
        before, self.state = self.state, advance(self.state, command, events)
        notes = self._checkpoints(before.facts)
        if self.state.outcome:
            notes += self._close_log(self.state.outcome, self.state.stopped)
        marked = bool(notes) and self.mode == WORK
        notes += self._keeper_notes()
        self.notes += notes
        return Taken(refusal or _refused_in(events), events, self.state.entries, notes, marked)

    def head_now(self) -> Head:
        """Return the log up to its last entry."""
        return Head(self._writer.job_id, self._writer.count, self._writer.head)

    @property
    def save_failed(self) -> bool:
        """True once the disk has refused an entry here, so that the log may go on elsewhere."""
        return self._writer.failed

    def go_on_in(self, folder: Path) -> str:
        """After a failed save, go on with the log in a folder on another medium; return what is to be told."""
        assert self._clock is not None
        left = self._writer.path
        self._writer = move_record(self._writer, folder, self._clock, self._calls, self._second)
        return (
            f"The log goes on in {self._writer.path}, with all {self._writer.count - 1} entries that were saved. "
            f"{left} stays as it is; do not go on with it."
        )

    def give_up(self, person: str, reason: str) -> tuple[str, ...]:
        """Close the log as abandoned, which makes no place safe; raises SessionError when that cannot be."""
        if self.state.outcome:
            raise SessionError("The log is closed already.")
        refused = refuse_person(self.job, c.Remark(person, self.stamp(), reason))
        why = check_text(reason) if refused is None else refused.reason
        if why or not reason.strip():
            raise SessionError(why or "Give the reason.")
        notes = self._close_log(ABANDONED, f"{person}: {reason}"[:REASON_MAX])
        self.state = replace(self.state, outcome=ABANDONED)
        return (*notes, *self._keeper_notes())

    def preview_correction(self, entry: int) -> tuple[e.Event, ...] | Refusal:
        """Return what striking out an entry would lead to, without doing it."""
        return decide(self.job, self.state, c.Correct(self.state.operator, self.stamp(), entry, "only looked at"))

    def rows(self) -> tuple[PathRow, ...]:
        """Return the path so far, oldest first."""
        return tuple(path_rows(self.job, self._writer.entries))

    def close(self) -> None:
        """Give the log and its lock back; the job can be resumed."""
        self._writer.close_file()

    def _checkpoints(self, before: Mapping[str, str]) -> tuple[str, ...]:
        """Mark each hold point that was signed just now; the step itself is saved, so a failure is only told."""
        said: list[str] = []
        for fact, value in self.state.facts.items():
            if value == "signed" and before.get(fact) != value and fact.startswith("hold:"):
                stage = fact.replace(":", " point ", 1)
                try:
                    self._writer.append("checkpoint", {"stage": stage})
                except StoreError as error:
                    said.append(f"The step is saved, but the mark of {stage} is not. {error}")
                else:
                    said += self._code_words(f"{stage[0].upper()}{stage[1:]}")
        return tuple(said)

    def _code_words(self, what: str) -> tuple[str, ...]:
        if self.mode != WORK:
            return ()
        head = self.head_now()
        return (f"{what}: the log has {head.entries} entries, its code is {head_letters(head.sum)}.",)

    def _keeper_notes(self) -> tuple[str, ...]:
        keeper = self._writer.keeper
        if keeper is None:
            return ()
        notes, keeper.notes = tuple(keeper.notes), []
        return notes

    def _close_log(self, outcome: str, reason: str = "") -> tuple[str, ...]:
        state = self.state
        counts = {"commands": state.entries, "confirmed": state.confirmed, "refused": state.refusals}
        ended = "every goal is met" if outcome == "complete" else outcome
        try:
            self._writer.append("close", {"outcome": outcome, "counts": counts, "reason": reason or ended})
        except StoreError as error:
            raise StoreError(
                f"The last step is saved, but the entry that closes the log is not. {error} "
                "Once the disk is right, take the job up again: the log is then closed."
            ) from error
        return self._code_words("The log is closed")

    def _told(self, entries: Iterable[Entry], torn: int) -> str:
        last = last_done(path_rows(self.job, entries))
        said = (
            f"Last: {last.wall}, {last.person}: {last.text} {last.word}".rstrip() if last else "Nothing was done yet."
        )
        cut = f" {torn} bytes of an unfinished entry were set aside; confirm that step again." if torn else ""
        step = step_at(self.job, self.state.step)
        under_way = f" Under way: {step.text}" if step else ""
        return f"{said}{under_way}{cut}"


def open_replay(path: Path, folders: Folders) -> Replay:
    """Return the replay of a log, read-only; raises LogDamaged when the log is not whole."""
    read = read_only(path)
    return Replay(embedded_job(read.entries[0].data["texts"], folders).job, read.entries)


def _refused_in(events: tuple[e.Event, ...]) -> Refusal | None:
    for event in events:
        if isinstance(event, e.Refused):
            return Refusal(event.code, event.reason, kept=True)
    return None
