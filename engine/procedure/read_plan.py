"""From the form of a plan to its compiled form, every goal's fact held against the table of facts.

For: plans.
Must never: change the order of goals.
"""

from __future__ import annotations

from collections.abc import Sequence

from ferrule.engine.findings import Findings
from ferrule.engine.procedure.compiled import Goal, Plan
from ferrule.engine.procedure.models import GoalForm, PlanForm
from ferrule.engine.procedure.places import Places, goal_key
from ferrule.engine.procedure.read_fact import conditions, fact_key


def read_plan(form: PlanForm, found: Findings, places: Places) -> Plan:
    """The compiled plan; faults are kept."""
    if not form.goals and form.has("goals"):
        found.add("wrong-value", "A plan without a goal leads nowhere.", form.key_place("goals"))
    return Plan(
        form.plan,
        form.revision,
        form.title,
        _goals("goals", form.goals, found, places),
        _goals("suppliers", form.suppliers, found, places),
        _goals("made safe", form.made_safe, found, places),
        _goals("not begun", form.not_begun, found, places),
    )


def _goals(part: str, forms: Sequence[GoalForm], found: Findings, places: Places) -> tuple[Goal, ...]:
    goals: list[Goal] = []
    chapter = ""
    for form in forms:
        chapter = form.chapter or chapter
        fact = fact_key(form.fact, found)
        if fact is None:
            continue
        places[goal_key(part, len(goals))] = form.place("fact")
        places[goal_key(part, len(goals), "by")] = form.place("by")
        goals.append(Goal(fact, form.fact.values, form.by, conditions(form.when), form.title, chapter))
    return tuple(goals)
