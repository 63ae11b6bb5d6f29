"""From `family object is value` to the key of a fact, held against the table of facts.

For: plans, which say in words what the job wants.
Must never: invent a fact, or say how one is changed.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.findings import Findings, nearest
from ferrule.engine.procedure.compiled import Condition
from ferrule.engine.procedure.fields import Said
from ferrule.engine.procedure.words import TERMINAL_PARTS, WIDER_FAMILY
from ferrule.engine.safety.facts import FAMILIES, Family

CARD_FAMILIES = (
    "source",
    "main source",
    "second source",
    "terminal",
    "early terminal",
    *(f"{part} terminal" for part in TERMINAL_PARTS),
    "late terminal",
    "item",
    "unearthed point",
    "section device",
    "three-phase board",
    "board source",
    "upstream source",
    "old terminal",
    "other way",
)
"""Families of objects that the card lists."""


def fact_key(said: Said, found: Findings) -> str | None:
    """The fact's key with its pattern kept, as `result:ring step two` or `source:*`; None after a finding."""
    family = _family(said.fact)
    if family is None:
        near = nearest(said.fact.split(" ")[0], FAMILIES)
        hint = f'"{near}"' if near else f"one of: {', '.join(FAMILIES)}"
        found.add("unknown-fact", f'There is no fact "{said.fact}".', said.text.place, hint=hint)
        return None
    _check_values(said, family, found)
    rest = said.fact[len(family.name) :].strip()
    if not (family.objects or family.card):
        if rest:
            message = f'The fact "{family.name}" has no objects.'
            found.add("unknown-fact", message, said.text.spot(len(family.name) + 2), hint=f'"{family.name} is …"')
            return None
        return family.name
    if _is_object(rest, family):
        return f"{family.name}:{rest}"
    objects = family.objects or (f"* or [{family.card}]", f"an id from the card's list of {family.card}s")
    near = nearest(rest, family.objects)
    hint = f'"{near}"' if near else f"one of: {', '.join(objects)}"
    message = f'The fact "{family.name}" has no object "{rest}".'
    found.add("unknown-fact", message, said.text.spot(len(family.name) + 2 if rest else 1), hint=hint)
    return None


def _family(fact: str) -> Family | None:
    fits = [name for name in FAMILIES if fact == name or fact.startswith(f"{name} ")]
    return FAMILIES[max(fits, key=len)] if fits else None


def _is_object(rest: str, family: Family) -> bool:
    if rest == "*" or rest in family.objects:
        return True
    if rest.startswith("[") and rest.endswith("]"):
        listed = rest[1:-1]
        return listed in CARD_FAMILIES and family.card in (listed, WIDER_FAMILY.get(listed))
    return bool(family.card) and bool(rest) and " " not in rest and not rest.startswith("[")


def _check_values(said: Said, family: Family, found: Findings) -> None:
    for value in said.values:
        if value not in family.values:
            near = nearest(value, family.values)
            message = f'"{value}" is no value of "{family.name}"; its values are: {", ".join(family.values)}.'
            found.add("wrong-value", message, said.value_place(value), hint=f'"{near}"' if near else "")


def conditions(said: Iterable[Said]) -> tuple[Condition, ...]:
    """Card conditions in their compiled form."""
    return tuple(Condition(line.fact, line.values) for line in said)
