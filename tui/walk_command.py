"""`ferrule walk` and `ferrule replay`: find the job or the log, open it, and hand it to the screen or the plain reader.

Must never: start a walk without the person who acts being named on the card, or a screen without a terminal.
"""

from __future__ import annotations

import argparse
import gc
import os
from pathlib import Path

from ferrule.engine.findings import FerruleError, Level
from ferrule.engine.journal.schema import is_job_id
from ferrule.engine.shell.calls import SYSTEM_CALLS, FileCalls
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import StoreError, list_logs
from ferrule.engine.shell.session import PRACTICE, WORK, Session, open_replay
from ferrule.engine.shell.sets import JobTexts, example_cards, find_job
from ferrule.engine.text import visible
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import person_of
from ferrule.tui.around import Around, InputError, UsageError
from ferrule.tui.signs import set_ascii, wants_ascii

LOG_ENDING = ".jsonl"


def run_walk_command(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Start or take up a job and walk it; return the exit code."""
    if not args.plain:
        need_terminal(around, "walk")
    job = args.job or _choose(args, around, folders)
    return _walk(job, args, around, folders) if job else 0


def _walk(job: str, args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Open a card or a log and hand it to the screen or the plain reader."""
    log = find_log(job, folders)
    try:
        session = _taken_up(log, args, around, folders) if log else _opened(job, args, around, folders)
    except NotProvedError as error:
        around.stderr.write(f"ferrule: {visible(str(error))}\n")
        return NOT_PROVED
    try:
        person = args.person or session.state.operator
        if args.plain:
            from ferrule.tui.plain import run_plain

            set_ascii(wants_ascii(os.environ))
            gc.enable()
            return run_plain(session, person, around.stdin, around.stdout, around.stderr)
        from ferrule.tui.app import run_walk

        return run_walk(session, person)
    except UnicodeDecodeError as error:
        raise InputError(
            f"The input is not UTF-8 text (byte {error.start + 1}); the rest of it was not read."
        ) from error
    finally:
        session.close()


def run_replay_command(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Walk a log again, read-only; return 0 when it replays the same, 1 with differences, 3 when it cannot be."""
    from ferrule.engine.journal.chain import LogDamaged
    from ferrule.engine.walk.wire import WireError
    from ferrule.tui.replay_plain import run_replay_plain

    if not args.plain:
        need_terminal(around, "replay")
    log = find_log(args.log, folders)
    if log is None:
        raise InputError(f"There is no log “{args.log}”. Give its file or the id of its job.")
    try:
        replay = open_replay(log, folders)
    except (LogDamaged, WireError) as error:
        around.stderr.write(f"ferrule: This log cannot be replayed. {error}\n")
        return CANNOT_REPLAY
    except StoreError as error:
        raise InputError(str(error)) from error
    if args.plain:
        set_ascii(wants_ascii(os.environ))
        return run_replay_plain(replay, around.stdout)
    from ferrule.tui.app import run_replay

    return run_replay(replay)


NOT_PROVED = 1
CANNOT_REPLAY = 3


class NotProvedError(FerruleError):
    """A set that was not shown safe was to be opened for work."""


def need_terminal(around: Around, command: str) -> None:
    """Refuse a screen where there is no terminal that can show one."""
    if around.stdin.isatty() and around.stdout.isatty() and os.environ.get("TERM", "") != "dumb":
        return
    raise UsageError(f"There is no terminal for a screen here. Use `ferrule {command} --plain`: line by line, as text.")


def find_log(name: str, folders: Folders) -> Path | None:
    """Return the log that a file name or a job id stands for, or None when it stands for a card."""
    if name.endswith(LOG_ENDING):
        return Path(name)
    for folder in (folders.records, folders.practice):
        path = folder / f"{name}{LOG_ENDING}"
        if path.parent == folder and path.exists():
            return path
    return None


def _opened(job: str, args: argparse.Namespace, around: Around, folders: Folders) -> Session:
    found = find_job(job, folders, set_folder=own_set(args.set))
    technicians = [p.id for p in found.job.card.people if "technician" in p.roles]
    if args.person is None and len(technicians) != 1:
        known = ", ".join(p.id for p in found.job.card.people)
        raise UsageError(f"Say who does the work with --person. Named on the card are: {known}.")
    if not args.practice:
        _need_proof(job, found, around, folders)
    return Session.open_new(
        found,
        folders=folders,
        clock=around.clock or SystemClock(),
        calls=around.calls or SYSTEM_CALLS,
        mode=PRACTICE if args.practice else WORK,
        operator=args.person or technicians[0],
        supersedes=_replaced(args.replaces),
    )


def own_set(given: str) -> Path | None:
    """Return the folder of a set of one's own, or None for the packaged one."""
    if given and not (Path(given) / "steps").is_dir():
        raise UsageError(f"{given} is no folder of a set: it has no steps/ in it.")
    return Path(given) if given else None


def _need_proof(job: str, found: JobTexts, around: Around, folders: Folders) -> None:
    """Refuse to open for work a set that is not shown safe; where no proof is on record one is tried first."""
    from ferrule.engine.shell.proofs import standing

    stands = standing(found.texts, folders, (around.clock or SystemClock()).date())
    if stands.proved:
        return
    worst = next((f for f in stands.findings if f.level is Level.ERROR), None)
    told = f" {worst.message}" if worst is not None else ""
    raise NotProvedError(
        f"This set is not proved, so it is not opened for work.{told} "
        f"`ferrule check` shows all that stands against it. To practise by it: `ferrule walk {job} --practice`."
    )


def _replaced(job_id: str | None) -> str | None:
    """Return the id of the job that the new one replaces; it need not be on this machine."""
    if job_id is not None and not is_job_id(job_id):
        raise UsageError(f"“{job_id}” is not the id of a job, such as 20260314t093000z-abcdefghij.")
    return job_id


def _taken_up(log: Path, args: argparse.Namespace, around: Around, folders: Folders) -> Session:
    """Open a job again and let the walk know: what was proved may be too old by now."""
    calls = around.calls or SYSTEM_CALLS
    if not log.exists():
        raise InputError(f"There is no log {log}.")
    if args.replaces is not None:
        raise UsageError("Only a new job replaces an old one; this one was opened before.")
    session = Session.resume(log, folders=folders, clock=around.clock or SystemClock(), calls=calls)
    try:
        if args.practice and session.mode != PRACTICE:
            raise UsageError("This job was opened for work; it cannot be gone on with as practice.")
        person = args.person or session.state.operator
        if person_of(session.job, person) is None:
            known = ", ".join(p.id for p in session.job.card.people)
            raise UsageError(f"“{person}” is not named on the card. Named are: {known}.")
        if not session.state.outcome:
            session.submit(c.Resume(person, session.stamp(), "taken up again"))
    except BaseException:
        session.close()
        raise
    return session


def _chosen_on_screen(args: argparse.Namespace, calls: FileCalls, folders: Folders) -> str:
    """Return the job that is chosen on the first screen; a log that was walked again leads back to it."""
    from ferrule.tui.app import run_jobs, run_replay
    from ferrule.tui.jobs_offer import offer_of
    from ferrule.tui.screens.jobs import REPLAY

    while True:
        chosen = run_jobs(offer_of(folders, calls, practice=args.practice))
        if chosen is None:
            return ""
        log = find_log(chosen.name, folders) if chosen.what == REPLAY else None
        if log is None:
            return chosen.name
        run_replay(open_replay(log, folders))


def _choose(args: argparse.Namespace, around: Around, folders: Folders) -> str:
    """Return the job that a person chooses from those that are open and the example cards."""
    folder = folders.practice if args.practice else folders.records
    calls = around.calls or SYSTEM_CALLS
    if not args.plain:
        return _chosen_on_screen(args, calls, folders)
    logs = [log for log in list_logs(folder, calls) if log.state == "open"] if folder.exists() else []
    cards = example_cards()
    rows = [(log.job_id, f"go on: {log.title}, last at {log.last_wall}") for log in logs]
    rows += [(card, "start: example card") for card in cards]
    if not around.stdin.isatty():
        raise UsageError(f"Name the job. There are: {', '.join(name for name, _ in rows)}.")
    for number, (name, words) in enumerate(rows, 1):
        around.stdout.write(f"{number}. {name}  {words}\n")
    around.stdout.write("Number of the job: ")
    around.stdout.flush()
    typed = around.stdin.readline().strip()
    if not typed:
        return ""
    if not (typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(rows)):
        raise UsageError(f"“{typed}” is not one of the numbers from 1 to {len(rows)}.")
    return rows[int(typed) - 1][0]
