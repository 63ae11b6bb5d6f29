"""The path so far: one line for each command of a log that says something of the work.

For: whoever shows what was done.
Must never: decide anything, or leave out a command of the kinds it shows.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ferrule.engine.journal.entry import Entry
from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.waits import time_of_day


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
    "end-chosen": "end",
    "went-away": "reason",
    "handed-over": "to",
    "card-amended": "new",
    "refused": "reason",
    "wait-began": "due_ms",
}
"""Events that the path so far shows, and the member that says what."""


def _row(job: Job, number: int, entry: Entry, event: dict[str, Any]) -> PathRow:
    step = step_at(job, event.get("step", ""))
    text = step.text if step else event["event"].replace("-", " ")
    if event["event"] == "wait-began":
        over = time_of_day(entry.wall, event["due_ms"] - event["start_ms"])
        return PathRow(
            number, entry.wall, str(entry.data["person"]), event["step"], text, "wait began", f"It is over at {over}."
        )
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
