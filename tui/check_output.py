"""What `ferrule check` writes: sentences for people, JSON for programs.

Must never: leave a finding out of one form that stands in another.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from ferrule.engine.findings import Finding, Level, as_json, render

JSON_FORM = 1
"""Goes up when the shape of the JSON answer changes; DEVELOPERS.md describes it."""

HEADS = {Level.ERROR: "Errors", Level.WARNING: "Warnings", Level.NOTE: "Notes"}


def counted(number: int, word: str) -> str:
    """Return a number with its noun, as `1 finding` or `2 findings`."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def of_level(found: Sequence[Finding], level: Level) -> tuple[Finding, ...]:
    """Return the findings of one level in their order."""
    return tuple(finding for finding in found if finding.level is level)


def as_text(found: Sequence[Finding], texts: Mapping[str, str]) -> str:
    """Return the findings in groups by level, the gravest first, each with its place and the line that it means."""
    blocks = []
    for level, head in HEADS.items():
        own = of_level(found, level)
        if own:
            blocks.append(f"{head} ({len(own)})\n{render(own, texts)}\n")
    return "\n".join(blocks)


def summary(files: int, found: Sequence[Finding]) -> str:
    """Return one sentence with what was checked and found."""
    each = ", ".join(counted(len(of_level(found, level)), level.value) for level in Level)
    return f"{counted(files, 'file')} checked, {counted(len(found), 'finding')}: {each}."


def as_json_text(found: Sequence[Finding], texts: Mapping[str, str], unread: Sequence[str]) -> str:
    """Return the JSON answer."""
    value = {
        "check": JSON_FORM,
        "files": list(texts),
        "unread": list(unread),
        "counts": {level.value: len(of_level(found, level)) for level in Level},
        "findings": as_json(found),
    }
    return json.dumps(value, ensure_ascii=True, indent=1) + "\n"
