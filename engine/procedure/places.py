"""Where each part of a compiled job stands in its file, so that later checks can point there.

For: findings about things that are seen only when all files are together.
Must never: be part of a job, or give a place that is not known.
"""

from __future__ import annotations

from collections.abc import Iterator

from ferrule.engine.findings import Place
from ferrule.engine.procedure.compiled import Goal, Plan

Places = dict[str, Place]
"""Places by the keys that the functions here build."""


def step_key(procedure: str, step: str = "", part: str = "") -> str:
    """The key of a procedure, a step of it, or a part of a step such as `act`, `judge` or `answers/fail`."""
    return f"procedure|{procedure}|{step}|{part}"


def goal_key(part: str, index: int, key: str = "fact") -> str:
    """The key of an entry of the plan by the list that it stands in."""
    return f"plan|{part}|{index}|{key}"


def goals_of_plan(plan: Plan) -> Iterator[tuple[str, int, Goal]]:
    """Every entry of a plan with the list and the position that it stands at."""
    lists = {
        "goals": plan.goals,
        "suppliers": plan.suppliers,
        **plan.ends,
    }
    for part, goals in lists.items():
        for index, goal in enumerate(goals):
            yield part, index, goal


def band_key(row: str, index: int = -1) -> str:
    """The key of a row of the limits, or of one of its bands."""
    return f"limits|{row}|{index}"


def term_key(term: str) -> str:
    """The key of a term of the glossary."""
    return f"glossary|{term}"


def card_key(field: str) -> str:
    """The key of a field at the top of the card."""
    return f"card|{field}"
