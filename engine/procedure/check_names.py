"""Whether the names that files use for each other lead somewhere, and whether units meet.

For: what can be seen only with all files of a job at hand.
Must never: look at the order of steps or at what acts need; that is for the checks of structure.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.electrics.limits import Compares, Row
from ferrule.engine.findings import Findings, Place, nearest
from ferrule.engine.procedure.compiled import Cell, Goal, Procedure, Step
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import band_key, card_key, goal_key, goals_of_plan, step_key
from ferrule.engine.procedure.read_cell import unit_of_cell
from ferrule.engine.quantity.units import find_unit
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.facts import FAMILIES


def check_names(parts: Parts, found: Findings) -> None:
    """Keep every name that leads nowhere and every two units that do not meet."""
    _check_card(parts, found)
    _check_plan(parts, found)
    for procedure in parts.procedures.values():
        for step in procedure.steps:
            _check_targets(procedure, step, parts, found)
            _check_objects(procedure, step, parts, found)
            _check_rows(procedure, step, parts, found)
            _check_functions(procedure, step, parts, found)


def _unknown(found: Findings, code: str, message: str, place: Place | None, name: str, known: Iterable[str]) -> None:
    near = nearest(name, known)
    found.add(code, message, place, hint=f'"{near}"' if near else "")


def _procedures(parts: Parts) -> frozenset[str]:
    """The names of all procedures of the set, of those too that could not be read."""
    return parts.unread | parts.procedures.keys()


def _check_card(parts: Parts, found: Findings) -> None:
    card = parts.card
    if card is None:
        return
    others = (("plan", card.plan, parts.plan), ("limits", card.limits, parts.limits))
    for key, wanted, there in others:
        if there is not None and there.id != wanted:
            message = f'The card asks for the {key} "{wanted}"; the {key} given is "{there.id}".'
            found.add("wrong-value", message, parts.places.get(card_key(key)), hint=f'"{there.id}"')


def _check_plan(parts: Parts, found: Findings) -> None:
    plan = parts.plan
    if plan is None:
        return
    known = _procedures(parts)
    for part, index, goal in goals_of_plan(plan):
        if goal.by not in known:
            place = parts.places.get(goal_key(part, index, "by"))
            message = f'There is no procedure "{goal.by}" in the set.'
            _unknown(found, "unknown-procedure", message, place, goal.by, known)
        _check_goal_object(goal, parts, parts.places.get(goal_key(part, index)), found)


def _check_goal_object(goal: Goal, parts: Parts, place: Place | None, found: Findings) -> None:
    family, _, name = goal.fact.partition(":")
    listed = FAMILIES[family].card
    objects = parts.objects.get(listed, ())
    if parts.card is not None and listed and name != "*" and not name.startswith("[") and name not in objects:
        message = f'The card lists no {listed} "{name}".'
        _unknown(found, "unknown-object", message, place, name, objects)


def _check_targets(procedure: Procedure, step: Step, parts: Parts, found: Findings) -> None:
    procedures = _procedures(parts)
    if step.kind == "call" and step.text not in procedures:
        place = parts.places.get(step_key(procedure.id, step.id, "call"))
        message = f'There is no procedure "{step.text}" to call.'
        _unknown(found, "unknown-procedure", message, place, step.text, procedures)
    for word, target in step.answers.items():
        kind, _, name = target.partition(":")
        if kind == "procedure" and name not in procedures:
            place = parts.places.get(step_key(procedure.id, step.id, f"target/{word}"))
            message = f'"{name}" is neither a step of this procedure nor a procedure of the set.'
            known = [*(other.id for other in procedure.steps), *procedures]
            _unknown(found, "unknown-step", message, place, name, known)


def _check_objects(procedure: Procedure, step: Step, parts: Parts, found: Findings) -> None:
    act = ACTS.get(step.act)
    if act is None or parts.card is None or not step.of or step.of == "each":
        return
    if act.object in parts.objects and step.of not in parts.objects[act.object]:
        place = parts.places.get(step_key(procedure.id, step.id, "of"))
        message = f'The card lists no {act.object} "{step.of}".'
        _unknown(found, "unknown-object", message, place, step.of, parts.objects[act.object])


def _check_rows(procedure: Procedure, step: Step, parts: Parts, found: Findings) -> None:
    if parts.limits is None:
        return
    for cell in step.cells:
        place = _cell_place(parts, procedure, step, cell, "judge")
        row = _row(cell.judge, parts, place, found)
        if row is not None:
            _check_units(row, unit_of_cell(cell), place, found)
    for number, check in enumerate(step.checks):
        place = parts.places.get(step_key(procedure.id, step.id, f"check/{number}"))
        row = _row(check.judge, parts, place, found)
        if row is None:
            continue
        if row.compares is Compares.VALUE:
            message = f'The row "{row.id}" judges one reading; a check lays a row over two.'
            found.add("wrong-value", message, place, hint="a row that compares a difference or a ratio")
        for cell in step.cells:
            if cell.slot in (check.first, check.second):
                _check_units(row, unit_of_cell(cell), place, found)


def _cell_place(parts: Parts, procedure: Procedure, step: Step, cell: Cell, part: str) -> Place | None:
    inner = parts.places.get(step_key(procedure.id, step.id, f"cell/{cell.id}/{part}"))
    return inner or parts.places.get(step_key(procedure.id, step.id, part))


def _row(name: str, parts: Parts, place: Place | None, found: Findings) -> Row | None:
    if not name or parts.limits is None:
        return None
    row = parts.limits.rows.get(name)
    if row is None and band_key(name) not in parts.places:
        message = f'The limits "{parts.limits.id}" have no row "{name}".'
        _unknown(found, "unknown-limit", message, place, name, parts.limits.rows)
    return row


def _check_units(row: Row, unit: str, place: Place | None, found: Findings) -> None:
    if row.compares is Compares.RATIO or not unit:
        return
    kinds = {symbol: known.kind if (known := find_unit(symbol)) else "" for symbol in (unit, row.unit)}
    if kinds[unit] != kinds[row.unit]:
        message = f'What is read here is in {unit}; the row "{row.id}" is in {row.unit}.'
        found.add("unit-mismatch", message, place, hint=f"a row in {unit}, or another instrument function")


def _check_functions(procedure: Procedure, step: Step, parts: Parts, found: Findings) -> None:
    if parts.card is None:
        return
    for cell in step.cells:
        asked = all(parts.card_facts.get(c.fact) in c.values for c in (*step.when, *cell.when))
        if asked and cell.function and function_of(parts.card, cell.function) is None:
            key = "torque tools" if cell.function == "torque" else "instruments"
            message = f'Nothing on the card reads "{cell.function}", which {procedure.id}/{step.id} needs.'
            hint = "name one that does, with its calibration"
            found.add("card-contradiction", message, parts.places.get(card_key(key)), hint=hint)
