"""Operators on what the acts need: a need dropped, weakened, dropped in pairs, or dropped wherever it is stated."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from ferrule.engine.safety.acts import Need
from ferrule.engine.safety.facts import FAMILIES
from tests.mutation.mutant import Mutant, mutant, together, used_acts
from tests.mutation.tables import Stated


def operators(stated: Stated) -> Iterator[Mutant]:
    """Every mutant of the needs of the acts of a job."""
    for act in used_acts(stated):
        alone = [_dropped(act.name, need) for need in dict.fromkeys(act.needs)]
        yield from alone
        yield from (together(one, other) for one, other in pairwise(alone))
        for need in dict.fromkeys(act.needs):
            yield from _weakened(act.name, need)
        if act.touches:
            yield _without_proof(act.name, keep=act.touches)
            yield _without_proof(act.name, keep=())
    facts = dict.fromkeys(need.fact for act in used_acts(stated) for need in act.needs)
    everywhere = [_everywhere(fact) for fact in facts]
    yield from everywhere
    yield from (together(one, other) for one, other in pairwise(everywhere))
    for fact in facts:
        yield together(_everywhere(fact), _no_goal(fact))


def _dropped(name: str, need: Need) -> Mutant:
    def change(stated: Stated) -> Stated:
        return stated.with_act(name, needs=tuple(n for n in stated.acts[name].needs if n != need))

    return mutant("need dropped", f"{name}, {_words(need)}", change, [name], [need.fact])


def _weakened(name: str, need: Need) -> Iterator[Mutant]:
    family = FAMILIES[need.fact.partition(":")[0]]
    for value in family.values:
        if value in need.values:
            continue

        def change(stated: Stated, value: str = value) -> Stated:
            wider = Need(need.fact, (*need.values, value))
            return stated.with_act(name, needs=tuple(wider if n == need else n for n in stated.acts[name].needs))

        yield mutant("need weakened", f"{name}, {_words(need)} or {value}", change, [name], [need.fact])


def _without_proof(name: str, keep: tuple[str, ...]) -> Mutant:
    """What makes an act one with a hand in it is left out: its needs, and with `keep` empty the word itself."""
    proof = ("zone:busbar", "zone:circuit", "hold:two")

    def change(stated: Stated) -> Stated:
        needs = tuple(n for n in stated.acts[name].needs if n.fact not in proof)
        return stated.with_act(name, needs=needs, touches=keep)

    operator = "hand without proof" if keep else "hand not declared"
    return mutant(operator, name, change, [name], proof)


def _everywhere(fact: str) -> Mutant:
    """A need dropped from every act and from every rule of the cascade, and every fall that hangs on it alone."""

    def change(stated: Stated) -> Stated:
        acts = {
            name: replace(act, needs=tuple(n for n in act.needs if n.fact != fact)) for name, act in stated.acts.items()
        }
        rules = tuple(replace(rule, unless=tuple(n for n in rule.unless if n.fact != fact)) for rule in stated.rules)
        return replace(stated, acts=acts, rules=rules)

    return mutant("need dropped everywhere", fact, change, (), [fact])


def _no_goal(fact: str) -> Mutant:
    def change(stated: Stated) -> Stated:
        return stated.with_plan(
            goals=tuple(g for g in stated.job.plan.goals if g.fact != fact) or stated.job.plan.goals
        )

    return mutant("goals dropped", fact, change, (), [fact])


def _words(need: Need) -> str:
    return f"{need.fact} is {' or '.join(need.values)}"
