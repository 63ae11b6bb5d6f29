"""Suppliers for every need, each of which brings its fact about, and no circle among them.

For: plans held against the acts that their procedures use.
Must never: explore states; whether each supplier really reaches its fact from everywhere is for the exploration.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ferrule.engine.findings import Finding, Level, Place
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import goal_key, step_key
from ferrule.engine.prover.supply import Entry, Supply, Wanted, supply_of
from ferrule.engine.safety.acts import ACTS, Need

_NEVER_SUPPLIED = ("log", "work")
"""Facts that end the work when they go; nothing brings them back."""

_NOT_BEGUN = "close the log as not begun"
"""Its needs say that nothing was begun; where they do not hold the plan has another way to end."""


def no_suppliers(parts: Parts) -> Iterator[Finding]:
    """A need that nothing supplies, a supplier that never brings its fact about, a failed result without a way back."""
    supply = supply_of(parts)
    if supply is None:
        return
    yield from _empty_suppliers(supply)
    told: set[Need] = set()
    for procedure in supply.used.values():
        for wanted in supply.from_outside(procedure):
            need = wanted.need
            if need in told or need.fact in _NEVER_SUPPLIED or wanted.step.act == _NOT_BEGUN:
                continue
            if supply.stands(need):
                continue
            if next(supply.suppliers(need), None) is None:
                told.add(need)
                yield _unsupplied(wanted, parts)


def _unsupplied(wanted: Wanted, parts: Parts) -> Finding:
    need, act = wanted.need, ACTS[wanted.step.act]
    fact, values = need.fact.replace(":", " ", 1), " | ".join(need.values)
    place = _step_place(wanted, parts)
    sets = {effect.fact for effects in act.effects.values() for effect in effects}
    if need.fact in sets and need.fact.startswith("result:"):
        message = f'Once the act "{act.name}" has failed, nothing on the plan opens {fact} again.'
        hint = f'a supplier "{fact} is {values}" by a procedure that finds and repairs the fault'
        return Finding("no-way-back", Level.ERROR, message, place, hint)
    message = f'The act "{act.name}" needs {fact} is {values}; nothing on the plan supplies it.'
    return Finding("no-supplier", Level.ERROR, message, place, f'a goal or supplier "{fact} is {values}"')


def _step_place(wanted: Wanted, parts: Parts) -> Place | None:
    key = step_key(wanted.procedure.id, wanted.step.id, "act")
    return parts.places.get(key) or parts.places.get(step_key(wanted.procedure.id, wanted.step.id))


def _empty_suppliers(supply: Supply) -> Iterator[Finding]:
    for entry in supply.entries:
        procedure = supply.parts.procedures.get(entry.goal.by)
        if procedure is None:
            continue
        brought = supply.brings(procedure)
        for key in sorted(entry.keys):
            if not any((key, value) in brought for value in entry.goal.values):
                fact, values = key.replace(":", " ", 1), " | ".join(entry.goal.values)
                message = f'The procedure "{procedure.id}" never brings about {fact} is {values}.'
                place = supply.parts.places.get(goal_key(entry.part, entry.index, "by"))
                yield Finding("no-supplier", Level.ERROR, message, place, "name the procedure whose act does")


def supplier_cycles(parts: Parts) -> Iterator[Finding]:
    """Entries of the plan that wait for each other in a circle.

    Where all of them are about one fact its values follow each other, and the exploration tells whether they come to
    an end: parted, remade and released again.
    """
    supply = supply_of(parts)
    if supply is None:
        return
    waits = {entry: tuple(dict.fromkeys(other for _, other in supply.waits_for(entry))) for entry in supply.entries}
    for circle in _circles(waits):
        if len({entry.keys for entry in circle}) == 1:
            continue
        names = " → ".join(_words(entry) for entry in (*circle, circle[0]))
        place = parts.places.get(goal_key(circle[0].part, circle[0].index))
        hint = "take a need out of the circle: another supplier, or an earlier goal"
        yield Finding("supplier-cycle", Level.ERROR, f"These wait for each other: {names}.", place, hint)


def _words(entry: Entry) -> str:
    return f"{entry.goal.fact.replace(':', ' ', 1)} is {' | '.join(entry.goal.values)} ({entry.goal.by})"


def _circles(waits: Mapping[Entry, tuple[Entry, ...]]) -> Iterator[tuple[Entry, ...]]:
    """One circle for each way back that a walk over the graph meets, each circle once."""
    done: set[Entry] = set()
    told: set[frozenset[Entry]] = set()
    for start in waits:
        stack = [] if start in done else [(start, iter(waits[start]))]
        while stack:
            other = next(stack[-1][1], None)
            path = [entry for entry, _ in stack]
            if other is None:
                done.add(stack.pop()[0])
            elif other in path:
                circle = tuple(path[path.index(other) :])
                if frozenset(circle) not in told:
                    told.add(frozenset(circle))
                    yield circle
            elif other not in done:
                stack.append((other, iter(waits[other])))
