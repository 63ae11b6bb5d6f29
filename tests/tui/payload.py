"""Hostile texts, a job in which every text is one, and the walk of that job as a program for a pseudo-terminal."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

ESCAPES = "\x1b[31337m\x1b]52;c;ZXZpbA==\x07\x9b31337m\x1bPq\x1b\\\r\x08\x7f\x00"
TURNED = "\u202eevil\u2066\u061c"
HIDDEN = "a\u200bb\u200dc\ufeffd\u00ade\u3164"
MARKUP = "[bold red]loud[/] [@click=app.quit]leave[/] [link=x]y[/link]"
LONG = "x" * 3_000
HOSTILE = f"{ESCAPES}{TURNED}{HIDDEN}{MARKUP}"
TEXTS: Mapping[str, str] = {"hostile": HOSTILE, "long": LONG, "empty": ""}

RAW = (
    b"\x1b[31337m", b"\x1b]52;c;", b"\xc2\x9b", b"\x9b31337m", b"\x1bPq", b"\x7f", b"\x00", b"\x08",
    *(sign.encode() for sign in "\u202e\u2066\u061c\u200b\u200d\ufeff\u00ad\u3164"),
)  # fmt: skip
"""What of the hostile text must not be in what the terminal is sent."""

_TEXTS = (
    "title", "site", "name", "serial", "text", "section", "why", "source", "hazard", "consequence", "avoid", "seen",
    "prompt", "purpose", "scope", "isolator", "prerequisites", "leaflet", "board", "way",
)  # fmt: skip
"""Fields of card, procedures, steps, warnings, states and limits that reach the screen."""


def poisoned(value: Any, text: str) -> Any:
    """Return a value in which every text that reaches the screen begins with a text, or is it where that is empty."""
    if is_dataclass(value) and not isinstance(value, type):
        changed = {f.name: _field(f.name, getattr(value, f.name), text) for f in fields(value) if f.init}
        return replace(value, **changed)
    if isinstance(value, tuple):
        return tuple(poisoned(part, text) for part in value)
    if isinstance(value, Mapping):
        return {key: poisoned(part, text) for key, part in value.items()}
    return value


def _field(name: str, value: Any, text: str) -> Any:
    if name not in _TEXTS:
        return poisoned(value, text)
    if isinstance(value, str):
        return f"{text}{value}" if text else ""
    return tuple(f"{text}{part}" for part in value) if isinstance(value, tuple) else poisoned(value, text)


def main(step: str, kind: str) -> None:
    """Walk the small job of hostile texts from a step on, in the terminal that is there."""
    from tests.support.jobs import job_of
    from tests.tui.fakes import FakeSession, app_of
    from tests.tui.small_job import at, small

    clean = small(job_of())
    job = poisoned(clean, TEXTS[kind])
    app_of(FakeSession(job, at(clean, step, entered_ms=0))).run(mouse=False)


if __name__ == "__main__":
    main(*sys.argv[1:])
