"""What striking out an entry would take down, in words, before it is done.

Must never: do it, or leave out a fact that would change.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.tui.event_words import event_words
from ferrule.tui.fact_words import fact_name, value_words

NOTHING = "Nothing else changes."


def fall_lines(found: Sequence[e.Event] | Refusal, facts: Mapping[str, str], job: Job) -> tuple[str, ...]:
    """Return one line for each fact that would change, with its value now, and where the walk would go."""
    if isinstance(found, Refusal):
        return (f"It would not be taken: {found.reason}",)
    lines: list[str] = []
    for event in found:
        if isinstance(event, e.FactsChanged):
            lines += [_change(fact, facts.get(fact, ""), value, job) for fact, value in event.changes]
        elif not isinstance(event, e.StruckOut):
            lines.append(event_words(event, job))
    return tuple(lines) or (NOTHING,)


def _change(fact: str, before: str, after: str, job: Job) -> str:
    was = f", now “{value_words(fact, before)}”" if before and before != after else ""
    return f"{fact_name(fact, job)}{was}: becomes “{value_words(fact, after)}”"
