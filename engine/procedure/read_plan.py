"""From the form of a plan to its compiled form, every goal's fact held against the table of facts.

For: plans.
Must never: change the order of goals.
"""

from __future__ import annotations

from collections.abc import Sequence

from ferrule.engine.findings import Findings
from ferrule.engine.procedure.compiled import Condition, Goal, Plan, Watch
from ferrule.engine.procedure.models import GoalForm, PlanForm, WatchForm
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
        {part: _goals(part, forms, found, places) for part, forms in _ends(form).items()},
        tuple(_watch(watch, found) for watch in form.throughout),
        form.purpose,
        form.covers,
        form.leaves_out,
    )


def _watch(form: WatchForm, found: Findings) -> Watch:
    keys = ((fact_key(said, found), said.values) for said in form.facts)
    facts = tuple(Condition(key, values) for key, values in keys if key is not None)
    return Watch(form.say, facts, conditions(form.when), form.why, form.source)


def _ends(form: PlanForm) -> dict[str, Sequence[GoalForm]]:
    """The lists of goals of the other ends; an end that the plan does not name is left out."""
    ends: dict[str, Sequence[GoalForm]] = {
        "made safe": form.made_safe,
        "put back": form.put_back,
        "continue later": form.continue_later,
        "not begun": form.not_begun,
    }
    return {part: forms for part, forms in ends.items() if forms}


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
