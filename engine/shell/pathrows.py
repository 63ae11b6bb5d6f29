"""The path so far: one line for each command of a log that says something of the work.

For: whoever shows what was done.
Must never: decide anything, or leave out a command of the kinds it shows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
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
    followed: bool = False
    """True for what nobody did by itself: it followed from the command of this entry."""


def path_rows(job: Job, entries: Iterable[Entry]) -> list[PathRow]:
    """Return one line for each command of a log that says something of the work."""
    rows: list[PathRow] = []
    number = 0
    for entry in entries:
        if entry.kind != "did":
            continue
        number += 1
        rows.extend(row for event in entry.data["events"] for row in _rows(job, number, entry, event))
    return rows


def last_done(rows: Sequence[PathRow]) -> PathRow | None:
    """Return the last thing that somebody did; None before the first."""
    return next((row for row in reversed(rows) if not row.followed), None)


_TOLD = {
    "answered": "{word}",
    "signed": "{role}",
    "settled": "{decision}",
    "struck-out": "{reason}",
    "remarked": "remark: {text}",
    "passed-over": "does not apply: {reason}",
    "reported": "{what}",
    "stopped": "{reason}",
    "went-on": "{reason}",
    "end-chosen": "{end}",
    "went-away": "{reason}",
    "handed-over": "{to}",
    "card-amended": "{new}",
    "refused": "not taken: {reason}",
}
"""Events that the path so far shows because somebody did them, and what is told of each."""


def _rows(job: Job, number: int, entry: Entry, event: dict[str, Any]) -> Iterator[PathRow]:
    kind, where, person = event["event"], event.get("step", ""), str(entry.data["person"])
    step, section = step_at(job, where), job.procedures.get(event.get("section", ""))
    text = step.text if step else section.title if section else kind.replace("-", " ")
    if kind in _TOLD:
        yield PathRow(number, entry.wall, person, where, text, _TOLD[kind].format_map(event), _sentence(event))
    elif kind in _FOLLOWED:
        word, sentence = _FOLLOWED[kind]
        yield PathRow(number, entry.wall, person, where, text, word, sentence(event, entry.wall), followed=True)


def _sentence(event: dict[str, Any]) -> str:
    cells = event.get("cells", [])
    sentences = [cell["verdict"]["sentence"] for cell in cells if cell["verdict"]]
    sentences += [check["sentence"] for check in event.get("checks", [])]
    return sentences[0] if len(sentences) == 1 else f"{len(cells)} answers" if len(cells) > 1 else ""


def _over(event: dict[str, Any], wall: str) -> str:
    return f"It is over at {time_of_day(wall, event['due_ms'] - event['start_ms'])}."


def _counts(event: dict[str, Any], _: str) -> str:
    return f"{', '.join(f'{len(event[key])} {word}' for key, word in _COUNTED)}."


_COUNTED = (("done", "done"), ("not_applicable", "not applicable"), ("deferred", "deferred"), ("open", "open"))
_FOLLOWED: dict[str, tuple[str, Callable[[dict[str, Any], str], str]]] = {
    "wait-began": ("wait began", _over),
    "section-ended": ("ended", _counts),
    "caution-applied": ("in effect", lambda event, _: str(event["say"])),
    "caution-lifted": ("no longer in effect", lambda event, _: str(event["say"])),
}
"""Events that the path shows because they followed by themselves: their word, and what is said of them.

A caution may tell of readings; a second person who must not see these gets the text of a row and not its sentence.
"""
