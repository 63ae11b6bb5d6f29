"""Operators on what an answer changes: an effect dropped, a failure counted as passed, effects swapped or added."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ferrule.engine.safety.acts import FAIL, PASS, Act, Effect
from tests.mutation.mutant import Mutant, mutant, used_acts
from tests.mutation.tables import Stated


def operators(stated: Stated) -> Iterator[Mutant]:
    """Every mutant of the effects, voids and repairs of the acts of a job."""
    used = tuple(used_acts(stated))
    for act in used:
        for word, effects in act.effects.items():
            yield from (_dropped(act, word, effect) for effect in effects)
            if word != PASS:
                yield _written(act, "no effect", word, ())
        if act.effects.get(PASS):
            yield from (
                _written(act, "counts as passed", word, act.effects[PASS])
                for word in sorted(act.classes)
                if word != PASS and act.effects.get(word) != act.effects[PASS]
            )
        if act.effects.get(PASS) and act.effects.get(FAIL):
            yield _swapped(act)
        yield from (_no_void(act, result) for result in act.voids)
        if len(act.voids) > 1:
            yield _no_void(act, *act.voids)
        if act.repairs:
            yield mutant(
                "repair that opens nothing", act.name, lambda s, n=act.name: s.with_act(n, repairs=False), [act.name]
            )
    for act, other in pairwise(used):
        if other.effects.get(PASS):
            yield _gained(act, other)


def _facts(effects: tuple[Effect, ...]) -> list[str]:
    return [effect.fact for effect in effects]


def _dropped(act: Act, word: str, effect: Effect) -> Mutant:
    def change(stated: Stated) -> Stated:
        now = stated.acts[act.name].effects
        return stated.with_act(act.name, effects={**now, word: tuple(e for e in now[word] if e != effect)})

    name = f"{act.name}, {word}, {effect.fact} is {effect.value}"
    return mutant("effect dropped", name, change, [act.name], [effect.fact])


def _written(act: Act, operator: str, word: str, effects: tuple[Effect, ...]) -> Mutant:
    def change(stated: Stated) -> Stated:
        return stated.with_act(act.name, effects={**stated.acts[act.name].effects, word: effects})

    return mutant(operator, f"{act.name}, {word}", change, [act.name], _facts(act.effects.get(PASS, ())))


def _swapped(act: Act) -> Mutant:
    def change(stated: Stated) -> Stated:
        now = stated.acts[act.name].effects
        return stated.with_act(act.name, effects={**now, PASS: now[FAIL], FAIL: now[PASS]})

    return mutant("answers swapped", act.name, change, [act.name], _facts(act.effects[PASS]))


def _gained(act: Act, other: Act) -> Mutant:
    """An act that does the next one of the table besides."""

    def change(stated: Stated) -> Stated:
        now = stated.acts[act.name].effects
        more = tuple(e for e in other.effects[PASS] if "{of}" not in e.fact)
        return stated.with_act(act.name, effects={**now, PASS: (*now.get(PASS, ()), *more)})

    return mutant("does the next act too", act.name, change, [act.name], _facts(other.effects[PASS]))


def _no_void(act: Act, *results: str) -> Mutant:
    def change(stated: Stated) -> Stated:
        now = stated.acts[act.name]
        return stated.with_act(
            act.name,
            voids=tuple(v for v in now.voids if v not in results),
            void_rules=tuple(v for v in now.void_rules if v.result not in results),
        )

    what = results[0] if len(results) == 1 else "all"
    return mutant("void dropped", f"{act.name}, {what}", change, [act.name], [f"result:{r}" for r in results])
