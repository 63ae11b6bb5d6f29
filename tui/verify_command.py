"""`ferrule verify`: what logs come to, with everything that was not checked.

Must never: write anything, or let a decision that replays otherwise look like a log that was changed.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.journal.replay import Replay
from ferrule.engine.journal.trust import Trust
from ferrule.engine.journal.verdict import UNJUDGED, WORST_FIRST, Verdict, judge_log
from ferrule.engine.light import dataclass
from ferrule.engine.shell.ed25519 import find_check
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.logfile import StoreError, read_bytes
from ferrule.engine.shell.rosterfile import find_trust, root_print
from ferrule.engine.shell.sets import embedded_job
from ferrule.engine.shell.signing import utc_now
from ferrule.tui.around import Around
from ferrule.tui.signing_words import calls_of, clock_of, log_path, reading, roster_path, say, tell
from ferrule.tui.verify_diary import Beside, DiaryFiles, judge_beside, read_beside
from ferrule.tui.verify_words import as_json, text_lines

UNREADABLE = 66


@dataclass(frozen=True, slots=True)
class Verified:
    """A file, its verdict, and what replaying it showed."""

    path: Path
    verdict: Verdict
    code: int
    replay: str
    """`replays the same`, `differs at …`, `cannot replay: …`; empty when it was not asked for or cannot be begun."""
    superseded_by: str
    diary: Beside | None
    roster: str
    """Which roster the signatures were judged by; empty for none."""


def run_verify(args: argparse.Namespace, around: Around, folders: Folders) -> int:
    """Judge each file and say what it comes to; return the worst of the results."""
    calls, check = calls_of(around), find_check()
    with reading():
        diary = read_beside(args.diary, args.heads, calls)
        trust, _ = find_trust(roster_path(args.roster), root_print(args.root, calls), folders, calls, check)
    found: list[Verified] = []
    unread = 0
    for name in args.files:
        path = log_path(name, folders)
        try:
            verdict = judge_log(read_bytes(path, calls), trust, check, utc_now(clock_of(around)))
        except StoreError as error:
            say(around, f"ferrule: {error}")
            unread += 1
            continue
        found.append(_verified(path, verdict, trust, args.replay, folders))
    found = [_beside(one, diary) for one in _superseded(found)]
    if args.json:
        around.stdout.write(json.dumps([as_json(one) for one in found], ensure_ascii=True, indent=1) + "\n")
    else:
        for one in found:
            for line in text_lines(one):
                tell(around, line)
    codes = {one.code for one in found}
    return UNREADABLE if unread else next(code for code in WORST_FIRST if code in codes)


def _verified(path: Path, verdict: Verdict, trust: Trust, replay: bool, folders: Folders) -> Verified:
    told = _replayed(verdict, folders) if replay and verdict.read and verdict.read.entries else ""
    code = verdict.code
    if told and told != SAME and WORST_FIRST.index(code) > WORST_FIRST.index(UNJUDGED):
        code = UNJUDGED
    return Verified(path, verdict, code, told, "", None, trust.name)


def _beside(one: Verified, diary: DiaryFiles | None) -> Verified:
    """Hold one file against the diary and the heads that were given."""
    if diary is None or one.verdict.read is None or not one.verdict.read.entries:
        return one
    found = judge_beside(diary, one.verdict.read.entries)
    return replace(one, diary=found, code=min(one.code, found.code, key=WORST_FIRST.index))


SAME = "replays the same"


def _replayed(verdict: Verdict, folders: Folders) -> str:
    assert verdict.read is not None
    entries = verdict.read.entries
    try:
        replay = Replay(embedded_job(entries[0].data["texts"], folders).job, entries)
        numbers = [str(m.entry.seq + 1) for m in replay.differences() if m.entry]
    except FerruleError as error:
        return f"cannot replay: {error}"
    return f"differs at entry {', '.join(numbers)}" if numbers else SAME


def _superseded(found: list[Verified]) -> list[Verified]:
    """Name, for each log, another of the given ones that says it replaces it."""
    by = {}
    for one in found:
        if one.verdict.read and one.verdict.read.entries:
            opened = one.verdict.read.entries[0].data
            by[opened["supersedes"]] = str(opened["job_id"])
    return [replace(one, superseded_by=by.get(_job_id(one), "")) for one in found]


def _job_id(one: Verified) -> str:
    read = one.verdict.read
    return str(read.entries[0].data["job_id"]) if read and read.entries else " "
