"""Operators on the plan and on who signs: goals and suppliers dropped, swapped, widened or led elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from ferrule.engine.procedure.compiled import Goal
from ferrule.engine.safety.facts import FAMILIES
from ferrule.engine.safety.holds import HoldPoint
from ferrule.engine.walk.place import holds
from tests.mutation.mutant import Mutant, mutant
from tests.mutation.tables import Stated


def operators(stated: Stated) -> Iterator[Mutant]:
    """Every mutant of goals, suppliers, ends and hold points."""
    yield from _of_list("goal", stated.job.plan.goals, stated)
    yield from _of_list("supplier", stated.job.plan.suppliers, stated)
    for name, goals in stated.job.plan.ends.items():
        yield from _of_list(f"end {name}", goals, stated)
    for row in stated.holds.values():
        yield from _of_hold(row, stated)


def _of_list(kind: str, goals: tuple[Goal, ...], stated: Stated) -> Iterator[Mutant]:
    used = [i for i, goal in enumerate(goals) if holds(goal.when, stated.job.card_facts)]
    for i in used:
        goal = goals[i]
        yield _written(kind, "dropped", goal, (*goals[:i], *goals[i + 1 :]), [goal.fact])
        worst = FAMILIES[goal.fact.partition(":")[0]].values[0]
        if worst not in goal.values:
            wider = replace(goal, values=(*goal.values, worst))
            yield _written(kind, "met by the worst", goal, (*goals[:i], wider, *goals[i + 1 :]), [goal.fact])
    for i, j in pairwise(used):
        swapped = list(goals)
        swapped[i], swapped[j] = goals[j], goals[i]
        yield _written(kind, "swapped with the next", goals[i], tuple(swapped), [goals[i].fact, goals[j].fact])
        led = replace(goals[i], by=goals[j].by)
        if goals[i].by != goals[j].by:
            elsewhere = (*goals[:i], led, *goals[i + 1 :])
            yield _written(kind, "by the next one's procedure", goals[i], elsewhere, [goals[i].fact])


def _written(kind: str, how: str, goal: Goal, goals: tuple[Goal, ...], facts: list[str]) -> Mutant:
    def change(stated: Stated) -> Stated:
        if kind == "goal":
            return stated.with_plan(goals=goals)
        if kind == "supplier":
            return stated.with_plan(suppliers=goals)
        return stated.with_plan(ends={**stated.job.plan.ends, kind.removeprefix("end "): goals})

    return mutant(f"{kind} {how}", f"{goal.fact} by {goal.by}", change, (), facts)


def _of_hold(row: HoldPoint, stated: Stated) -> Iterator[Mutant]:
    plan = {"alone": "alone", "supervised": "supervised"}.get(stated.job.card.sign_off, "")
    if not plan:
        return
    signers: tuple[str, ...] = getattr(row, plan)
    for role in signers:
        if len(signers) > 1:
            less = tuple(r for r in signers if r != role)
            yield _signed(row, f"without the {role}", {plan: less})
        other = "apprentice" if role != "apprentice" else "technician"
        instead = tuple(other if r == role else r for r in signers)
        yield _signed(row, f"{other} for the {role}", {plan: instead})


def _signed(row: HoldPoint, how: str, changed: dict[str, tuple[str, ...]]) -> Mutant:
    def change(stated: Stated) -> Stated:
        return replace(stated, holds={**stated.holds, row.name: replace(row, **changed)})  # type: ignore[arg-type]

    return mutant("signed by others", f"{row.name}, {how}", change, [f"release hold point {row.name}"])
