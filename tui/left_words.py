"""Where and why a job was left, told from its log without taking it up.

Must never: write to the log, or lock it.
"""

from __future__ import annotations

from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.replay import fold
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import read_only
from ferrule.engine.shell.pathrows import PathRow, last_done, path_rows
from ferrule.engine.shell.sets import embedded_job
from ferrule.engine.walk.situation import Situation, situation
from ferrule.engine.walk.state import State
from ferrule.tui import words


def left_lines(path: Path, folders: Folders) -> tuple[str, ...]:
    """Return where a job stands, why it stands there, and what was done last; why it cannot be told otherwise."""
    try:
        entries = read_only(path).entries
        job = embedded_job(entries[0].data["texts"], folders).job
        state = fold(job, entries)
    except (FerruleError, KeyError, IndexError, ValueError) as error:
        return (f"This log cannot be told: {error}",)
    here = situation(job, state, state.last_ms)
    rows = path_rows(job, entries)
    return (_where(here), _why(here, state), *_last(job, rows))


def _where(here: Situation) -> str:
    at = here.step.text if here.step is not None else "no step is open"
    return f"Stage {here.stage} of {here.stages}, {here.stage_title}: {at}"


def _why(here: Situation, state: State) -> str:
    if here.outcome:
        return f"Ended: {here.outcome}."
    if here.stopped:
        return f"Work was stopped{f': {state.stopped}' if state.stopped else ''}."
    if here.away_ms is not None:
        return "The board was left."
    if here.pending is not None:
        return words.pending_words(here)
    if here.missing:
        return f"Shut: {words.missing_words(here.missing[0])}"
    return "Left under way; nothing was stopped."


def _last(job: Job, rows: list[PathRow]) -> tuple[str, ...]:
    last = last_done(rows)
    if last is None:
        return ("Nothing was done yet.",)
    by = words.person_name(job, last.person)
    return (f"Last, {last.wall[:16].replace('T', ' ')}, {by}: {last.text} {words.outcome_words(last.word)}",)
