"""`ferrule collect FROM TO`: copy closed logs, and say what was new, what was there, and what to look at."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.engine.shell.clock import SystemClock
from ferrule.engine.shell.collect import NEW, WARNED, Collection, collect
from ferrule.engine.shell.storage import storage_at
from ferrule.engine.text import visible
from ferrule.tui.around import Around, InputError


def run_collect(args: argparse.Namespace, around: Around) -> int:
    """Copy; return 0, or 1 when a log is damaged or stands there in two versions."""
    calls = around.calls or SYSTEM_CALLS
    source = Path(args.source).expanduser()
    if not source.is_dir():
        raise InputError(f"There is no folder {source} to collect from.")
    found = collect(source, storage_at(args.target, calls), around.clock or SystemClock(), calls)
    if args.json:
        around.stdout.write(json.dumps(found.to_json(), ensure_ascii=False, indent=2) + "\n")
    else:
        _tell(found, around)
    return 0 if found.clean else 1


def _tell(found: Collection, around: Around) -> None:
    for log in found.logs:
        out = around.stderr if log.state in WARNED else around.stdout
        out.write(f"{log.job_id}: {log.state}. {visible(log.sentence)}\n")
    new = sum(log.state == NEW for log in found.logs)
    around.stdout.write(f"{new} new of {len(found.logs)} logs.\n")
    if found.head:
        around.stdout.write(f"The head of the diary is there as {found.head}.\n")
    for note in (*found.notes, *filter(None, [found.diary_fault])):
        around.stderr.write(f"ferrule: {visible(note)}\n")
