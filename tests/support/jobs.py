"""Packaged and test jobs, compiled once for a test run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.procedure.needed import needed_texts
from ferrule.engine.shell.sets import packaged_set, set_texts

CARDS = Path(__file__).resolve().parents[1] / "cases" / "cards"
REFERENCE = "saltmarsh-kr1-way-4"
OTHERS = ("ring-37m", "radial-5", "supervised")
ALL = (REFERENCE, *OTHERS)


def card_path(name: str) -> Path:
    """Return the file of a packaged example card or of a test card."""
    packaged = packaged_set() / "cards" / f"{name}.yaml"
    return packaged if packaged.exists() else CARDS / f"{name}.yaml"


@cache
def job_of(name: str = REFERENCE) -> Job:
    """Return the compiled job of a card."""
    files = [("card", name, card_path(name).read_text(encoding="utf-8"))]
    files += [(t.role, t.id, t.text) for t in set_texts(packaged_set())]
    wanted = needed_texts(files)
    return compile_job([f for f in files if (f[0], f[1]) in wanted])
