"""Which procedures a plan uses in which of its chapters, in the order of the plan.

For: lists of procedures, and headings over pages and graphs.
Must never: keep a list of its own; chapters are those of the plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Plan, Procedure
from ferrule.engine.procedure.places import goals_of_plan

LED_TO = "Led to by an answer"
NOT_USED = "Not used by this plan"


@dataclass(frozen=True, slots=True)
class Chapter:
    """A part of the plan with the procedures that stand in it first."""

    title: str
    procedures: tuple[str, ...]


def chapters_of(plan: Plan, procedures: Mapping[str, Procedure]) -> tuple[Chapter, ...]:
    """Every procedure once: by the plan's chapters, then what only an answer leads to, then what is left."""
    found: dict[str, dict[str, None]] = {}
    placed: set[str] = set()
    for part, _, goal in goals_of_plan(plan):
        if goal.by in procedures and goal.by not in placed:
            placed.add(goal.by)
            found.setdefault(goal.chapter or part.capitalize(), {})[goal.by] = None
    reached = _led_to(placed, procedures)
    rest = [name for name in procedures if name not in placed]
    for title, names in ((LED_TO, reached), (NOT_USED, set(rest) - reached)):
        listed = [name for name in rest if name in names]
        if listed:
            found[title] = dict.fromkeys(listed)
    return tuple(Chapter(title, tuple(names)) for title, names in found.items())


def _led_to(placed: Iterable[str], procedures: Mapping[str, Procedure]) -> set[str]:
    """The procedures that answers lead to from those that are placed, however far."""
    seen: set[str] = set()
    waiting = list(placed)
    while waiting:
        for step in procedures[waiting.pop()].steps:
            for target in step.answers.values():
                kind, _, name = target.partition(":")
                if kind == "procedure" and name in procedures and name not in seen:
                    seen.add(name)
                    waiting.append(name)
    return seen
