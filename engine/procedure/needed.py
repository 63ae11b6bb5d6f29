"""Which texts of a whole set one card's job rests on, so that a log embeds these and no more.

For: opening a job.
Must never: leave out a text that a step can lead to.
"""

from __future__ import annotations

from collections.abc import Iterable

from ferrule.engine.procedure.compiled import Plan, Procedure
from ferrule.engine.procedure.load import load_card, load_plan, load_procedure
from ferrule.engine.procedure.places import goals_of_plan

Name = tuple[str, str]


def needed_texts(files: Iterable[tuple[str, str, str]]) -> frozenset[Name]:
    """Return role and id of every text that the card among the files rests on.

    A card that cannot be read needs everything: the compiler then says what is wrong with it.
    """
    listed = list(files)
    cards = [(name, load_card(text, f"card/{name}")[0]) for role, name, text in listed if role == "card"]
    card = cards[0][1] if cards else None
    plan = _plan(listed, card.plan) if card else None
    if card is None or plan is None:
        return frozenset((role, name) for role, name, _ in listed)
    procedures = {
        name: load_procedure(text, f"procedure/{name}")[0] for role, name, text in listed if role == "procedure"
    }
    reached = _reached(plan, procedures)
    return frozenset(
        {("card", cards[0][0]), ("plan", card.plan), ("limits", card.limits)}
        | {("procedure", name) for name in reached}
    )


def _plan(listed: list[tuple[str, str, str]], wanted: str) -> Plan | None:
    text = next((text for role, name, text in listed if role == "plan" and name == wanted), None)
    return None if text is None else load_plan(text, f"plan/{wanted}")[0]


def _reached(plan: Plan, procedures: dict[str, Procedure | None]) -> set[str]:
    goals = [goal for _, _, goal in goals_of_plan(plan)]
    open_names = [goal.by for goal in goals]
    reached: set[str] = set()
    while open_names:
        name = open_names.pop()
        if name in reached or name not in procedures:
            continue
        reached.add(name)
        procedure = procedures[name]
        if procedure is None:
            return set(procedures)
        for step in procedure.steps:
            if step.kind == "call":
                open_names.append(step.text)
            open_names.extend(t.removeprefix("procedure:") for t in step.answers.values() if t.startswith("procedure:"))
    return reached
