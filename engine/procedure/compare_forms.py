"""What differs between two revisions, as text to read or as plain values for JSON.

Must never: leave out a difference, or say that what is not marked is without danger.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from ferrule.engine.procedure.compare import CHANGED, MOVED, Change, Difference, FileDifference
from ferrule.engine.procedure.compare_tree import HEAD

WIDTH = 80
_MARK = "!"
"""Stands before what bears on safety."""


def text_lines(found: Sequence[FileDifference], old: str, new: str, width: int = WIDTH) -> Iterator[str]:
    """The differences in reading order, each with old and new text; `old` and `new` say what was compared."""
    yield from wrap(f"Old: {old}", width, subsequent_indent="     ")
    yield from wrap(f"New: {new}", width, subsequent_indent="     ")
    for text in found:
        yield ""
        yield from _file_lines(text, width)
    yield ""
    yield from wrap(total_words(found), width)


def total_words(found: Sequence[FileDifference]) -> str:
    """How much differs, and how much of it bears on safety."""
    if not found:
        return "No difference."
    marks = [one.bears_on_safety for text in found for one in text.differences]
    marks += [text.bears_on_safety for text in found if text.how != CHANGED]
    count = f"{_counted(len(marks), 'difference')} in {_counted(len(found), 'text')}"
    return f"{count}; {sum(marks)} marked {_MARK}, since they may bear on safety."


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _file_lines(text: FileDifference, width: int) -> Iterator[str]:
    title = f", {text.title}" if text.title else ""
    yield from wrap(f"{text.role.upper()} {text.id}{title}{_revisions(text)}", width, subsequent_indent="  ")
    if text.how != CHANGED:
        yield f"{_MARK} the whole text was {text.how}"
    if text.same_revision:
        yield from wrap(f"  The text changed and its revision is still {text.new_revision}.", width)
    for difference in text.differences:
        yield from _difference_lines(difference, width)


def _revisions(text: FileDifference) -> str:
    if not (text.old_revision or text.new_revision):
        return ""
    if text.old_revision == text.new_revision or text.how != CHANGED:
        return f", revision {text.new_revision or text.old_revision}"
    return f", revision {text.old_revision or 'none'} to {text.new_revision or 'none'}"


def _difference_lines(difference: Difference, width: int) -> Iterator[str]:
    mark = _MARK if difference.bears_on_safety else " "
    name = difference.kind if difference.kind == HEAD else f"{difference.kind} {difference.id}"
    says = f": {difference.says}" if difference.says and difference.kind != HEAD else ""
    head = f"{mark} {name}, {' and '.join(difference.how)}{_places(difference)}{says}"
    yield from wrap(head, width, subsequent_indent="    ", break_on_hyphens=False)
    for change in difference.changes:
        yield from _change_lines(change, width)


def _places(difference: Difference) -> str:
    if MOVED in difference.how:
        return f" from place {difference.old_place} to {difference.new_place}"
    return ""


def _change_lines(change: Change, width: int) -> Iterator[str]:
    yield f"  {_MARK if change.bears_on_safety else ' '} {change.key}"
    for name, text in (("old", change.old), ("new", change.new)):
        said = "(not there)" if text is None else text or "(empty)"
        yield from wrap(
            said, width, initial_indent=f"      {name}: ", subsequent_indent="           ", break_on_hyphens=False
        )


def to_json(found: Sequence[FileDifference], old: str, new: str) -> dict[str, object]:
    """The differences as plain values."""
    return {
        "old": old,
        "new": new,
        "differs": bool(found),
        "bears_on_safety": any(text.bears_on_safety for text in found),
        "texts": [
            {
                "role": text.role,
                "id": text.id,
                "title": text.title,
                "how": text.how,
                "old_revision": text.old_revision or None,
                "new_revision": text.new_revision or None,
                "same_revision": text.same_revision,
                "bears_on_safety": text.bears_on_safety,
                "differences": [_difference_json(difference) for difference in text.differences],
            }
            for text in found
        ],
    }


def _difference_json(difference: Difference) -> dict[str, object]:
    return {
        "how": list(difference.how),
        "kind": difference.kind,
        "id": difference.id,
        "says": difference.says,
        "old_place": difference.old_place or None,
        "new_place": difference.new_place or None,
        "bears_on_safety": difference.bears_on_safety,
        "changes": [
            {"key": c.key, "old": c.old, "new": c.new, "bears_on_safety": c.bears_on_safety} for c in difference.changes
        ],
    }
