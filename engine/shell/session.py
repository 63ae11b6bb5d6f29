"""One job at work: decide, append, advance.  The only way in which a walk is changed.

An event is on disk before the state moves, and the state moves before anything is drawn.
"""

from __future__ import annotations

import os
import platform as machine
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.entry import Entry
from ferrule.engine.journal.replay import Replay, fold
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.sets import JobTexts, embedded_job
from ferrule.engine.shell.store import LogWriter, new_job_id, read_only
from ferrule.engine.version import RULES, VERSION
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import Situation, situation
from ferrule.engine.walk.state import State

WORK, PRACTICE = "work", "practice"


class SessionError(FerruleError):
    """A job that cannot be opened as asked."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a command: its events, or the refusal; `entry` is its number where it was kept."""

    refusal: Refusal | None
    events: tuple[e.Event, ...]
    entry: int


@dataclass(frozen=True, slots=True)
class PathRow:
    """One line of the path so far."""

    entry: int
    wall: str
    person: str
    step: str
    text: str
    word: str
    sentence: str


class Session:
    """A job that is open for work or practice."""

    def __init__(self, job: Job, state: State, writer: LogWriter, mode: str) -> None:
        self.job = job
        self.state = state
        self.mode = mode
        self._writer = writer
        self.resumed = ""
        """What was last done, when a job was taken up again; empty for a new one."""

    @classmethod
    def open_new(
        cls,
        found: JobTexts,
        *,
        folders: Folders,
        clock: Clock,
        mode: str,
        operator: str,
        supersedes: str | None = None,
        calls: FileCalls = SYSTEM_CALLS,
    ) -> Session:
        """Open a log for a job and return its session; raises StoreError when the disk refuses."""
        job = found.job
        if mode not in (WORK, PRACTICE):
            raise SessionError(f"A job is opened for work or practice, not for “{mode}”.")
        if operator not in {p.id for p in job.card.people}:
            known = ", ".join(p.id for p in job.card.people)
            raise SessionError(f"“{operator}” is not named on the card. Named are: {known}.")
        folder = folders.records if mode == WORK else folders.practice
        data = _open_data(found, mode, operator, new_job_id(clock, os.urandom(7)), clock)
        data |= {"roster": _roster_named(folders), "supersedes": supersedes}
        writer = LogWriter.create(folder, data, clock, calls)
        return cls(job, start(job, operator), writer, mode)

    @classmethod
    def resume(cls, path: Path, *, folders: Folders, clock: Clock, calls: FileCalls = SYSTEM_CALLS) -> Session:
        """Take up an open log again; raises StoreError or LogDamaged with a sentence when that cannot be."""
        writer, read = LogWriter.resume(path, clock, calls, reason="taken up again")
        try:
            opened = read.entries[0].data
            job = embedded_job(opened["texts"], folders).job
            state = fold(job, read.entries)
        except BaseException:
            writer.close_file()
            raise
        session = cls(job, state, writer, str(opened["mode"]))
        session.resumed = session._told(read.entries, len(read.tail))
        if state.outcome:
            session._close_log()
        return session

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
        return situation(self.job, self.state, self.now_ms(), self._writer.today())

    def submit(self, command: c.Command) -> Taken:
        """Decide a command, make it durable, move the state.  A StoreError leaves the step open."""
        found = decide(self.job, self.state, command)
        if isinstance(found, Refusal) and not found.kept:
            return Taken(found, (), 0)
        refusal = found if isinstance(found, Refusal) else None
        events = refused_events(refusal, self.state.step) if refusal else found
        assert not isinstance(events, Refusal)
        self._writer.append(
            "did",
            {
                "command": c.command_to_json(command),
                "person": command.person,
                "events": [e.event_to_json(event) for event in events],
            },
        )
        self.state = advance(self.state, command, events)
        if self.state.outcome:
            self._close_log()
        return Taken(refusal or _refused_in(events), events, self.state.entries)

    def preview_correction(self, entry: int) -> tuple[str, ...]:
        """Return the facts that striking out an entry would take down, without doing it."""
        command = c.Correct(self.state.operator, self.stamp(), entry, "only looked at")
        found = decide(self.job, self.state, command)
        if isinstance(found, Refusal):
            return (found.reason,)
        changes = [change for event in found if isinstance(event, e.FactsChanged) for change in event.changes]
        return tuple(f"{fact.replace(':', ' ')} becomes {value}" for fact, value in changes)

    def rows(self) -> tuple[PathRow, ...]:
        """Return the path so far, oldest first."""
        return tuple(path_rows(self.job, self._writer.entries))

    def close(self) -> None:
        """Give the log and its lock back; the job can be resumed."""
        self._writer.close_file()

    def _close_log(self) -> None:
        state = self.state
        counts = {"commands": state.entries, "confirmed": state.confirmed, "refused": state.refusals}
        reason = state.stopped or ("every goal is met" if state.outcome == "complete" else "made safe before the end")
        self._writer.append("close", {"outcome": state.outcome, "counts": counts, "reason": reason})

    def _told(self, entries: Iterable[Entry], torn: int) -> str:
        rows = path_rows(self.job, entries)
        last = rows[-1] if rows else None
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


def path_rows(job: Job, entries: Iterable[Entry]) -> list[PathRow]:
    """Return one line for each command of a log that says something of the work."""
    rows: list[PathRow] = []
    number = 0
    for entry in entries:
        if entry.kind != "did":
            continue
        number += 1
        rows.extend(_row(job, number, entry, event) for event in entry.data["events"] if event["event"] in _TOLD)
    return rows


_TOLD = {
    "answered": "word",
    "signed": "role",
    "settled": "decision",
    "struck-out": "reason",
    "remarked": "text",
    "passed-over": "reason",
    "reported": "what",
    "stopped": "reason",
    "went-on": "reason",
    "went-away": "reason",
    "handed-over": "to",
    "card-amended": "new",
    "refused": "reason",
}
"""Events that the path so far shows, and the member that says what."""


def _row(job: Job, number: int, entry: Entry, event: dict[str, Any]) -> PathRow:
    step = step_at(job, event.get("step", ""))
    text = step.text if step else event["event"].replace("-", " ")
    cells = event.get("cells", [])
    sentences = [cell["verdict"]["sentence"] for cell in cells if cell["verdict"]]
    sentences += [check["sentence"] for check in event.get("checks", [])]
    return PathRow(
        number,
        entry.wall,
        str(entry.data["person"]),
        event.get("step", ""),
        text,
        str(event[_TOLD[event["event"]]]),
        sentences[0] if len(sentences) == 1 else f"{len(cells)} answers" if len(cells) > 1 else "",
    )


def _refused_in(events: tuple[e.Event, ...]) -> Refusal | None:
    for event in events:
        if isinstance(event, e.Refused):
            return Refusal(event.code, event.reason, kept=True)
    return None


def _roster_named(folders: Folders) -> dict[str, Any] | None:
    """The roster that was taken over on this machine, by version and hash; None where there is none."""
    if not folders.roster.exists():
        return None
    from ferrule.engine.shell.rosterfile import seen_roster  # only where an office keeps a roster

    seen = seen_roster(folders)
    return {"version": seen.version, "sha256": seen.sha256} if seen else None


def _open_data(found: JobTexts, mode: str, operator: str, job_id: str, clock: Clock) -> dict[str, Any]:
    card = found.job.card
    return {
        "format": 1,
        "job_id": job_id,
        "mode": mode,
        "title": card.title,
        "site": card.site,
        "texts": [{"role": t.role, "id": t.id, "sha256": t.sha256, "text": t.text} for t in found.texts],
        "rules": RULES,
        "engine": VERSION,
        "platform": machine.system(),
        "zone": clock.wall()[-6:],
        "decimal_sign": "," if card.decimal_comma else ".",
        "operator": operator,
        "sign_off": card.sign_off,
        "roster": None,
        "diary": None,
        "nonce": os.urandom(16).hex(),
        "supersedes": None,
    }
