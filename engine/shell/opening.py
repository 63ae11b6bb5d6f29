"""What the first entry of a log holds: everything that the job is worked with.

For: the session that opens a job.
Must never: leave out a text that a verdict of the job rests on.
"""

from __future__ import annotations

import os
import platform as machine
from typing import Any

from ferrule.engine.shell.clock import Clock
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.sets import JobTexts
from ferrule.engine.version import RULES, VERSION


def open_data(
    found: JobTexts, mode: str, operator: str, job_id: str, clock: Clock, supersedes: str | None
) -> dict[str, Any]:
    """Return the data of a job's first entry; what the diary freezes is put in when it is written."""
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
        "supersedes": supersedes,
    }


def roster_named(folders: Folders) -> dict[str, Any] | None:
    """Return the roster that was taken over on this machine, by version and hash; None where there is none."""
    if not folders.roster.exists():
        return None
    from ferrule.engine.shell.rosterfile import seen_roster  # only where an office keeps a roster

    seen = seen_roster(folders)
    return {"version": seen.version, "sha256": seen.sha256} if seen else None
