"""Operators on what falls: rules of the cascade, reports, stops and absences, ends, and amendments of the card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from ferrule.engine.procedure.amend import Amendable
from ferrule.engine.safety.acts import Effect, Need
from ferrule.engine.safety.cascade import Drop, Rule
from ferrule.engine.safety.disturbances import Disturbance
from ferrule.engine.safety.endings import Ending
from tests.mutation.mutant import Mutant, mutant, together
from tests.mutation.tables import Stated

AWAY = ("stop work", "carry on", "hand over", "come back", "resume")


def operators(stated: Stated) -> Iterator[Mutant]:
    """Every mutant of what takes facts down."""
    rules = [_no_rule(rule) for rule in stated.rules]
    yield from rules
    yield from (together(one, other) for one, other in pairwise(rules))
    for rule in stated.rules:
        yield from (_no_drop(rule, drop) for drop in rule.drops)
        yield from (_no_cause(rule, need) for need in rule.unless)
    yield from (_never_falls(drop) for drop in dict.fromkeys(d for rule in stated.rules for d in rule.drops))
    for row in stated.reports.values():
        if row.object and not stated.job.objects.get(row.object):
            continue
        yield from (_no_effect(row, effect) for effect in row.effects)
        yield from (_no_void(row, (result,)) for result in row.voids)
        if row.effects or row.voids:
            yield _says_nothing(row)
        if len(row.voids) > 1:
            yield _no_void(row, row.voids)
    yield from (_stays_proved(effect) for effect in stated.unproved)
    yield from _endings(stated)
    yield from (_no_amendment(name, row) for name, row in stated.amendable.items() if row.voids or row.opens)


def _without(stated: Stated, rule: Rule, **changed: object) -> Stated:
    """The rules with one written otherwise; a rule is known by its reason, which no other has."""
    rules = tuple(replace(r, **changed) if r.because == rule.because else r for r in stated.rules)  # type: ignore[arg-type]
    return replace(stated, rules=rules)


def _no_rule(rule: Rule) -> Mutant:
    def change(stated: Stated) -> Stated:
        return replace(stated, rules=tuple(r for r in stated.rules if r.because != rule.because))

    return mutant("rule dropped", rule.because, change, (), _about(rule))


def _about(rule: Rule) -> list[str]:
    return [drop.fact for drop in rule.drops]


def _no_drop(rule: Rule, drop: Drop) -> Mutant:
    def change(stated: Stated) -> Stated:
        return _without(stated, rule, drops=tuple(d for d in rule.drops if d != drop))

    return mutant("fall dropped", f"{rule.because}, {drop.fact} from {drop.held}", change, (), [drop.fact])


def _no_cause(rule: Rule, need: Need) -> Mutant:
    def change(stated: Stated) -> Stated:
        return _without(stated, rule, unless=tuple(n for n in rule.unless if n != need))

    return mutant("cause dropped", f"{rule.because}, {need.fact}", change, (), [*_about(rule), need.fact])


def _never_falls(drop: Drop) -> Mutant:
    """A fall dropped wherever it is stated: in the cascade, in the reports and in what an absence takes back."""

    def change(stated: Stated) -> Stated:
        lost = (drop.fact, drop.becomes)
        rules = tuple(
            replace(r, drops=tuple(d for d in r.drops if (d.fact, d.held) != (drop.fact, drop.held)))
            for r in stated.rules
        )
        reports = {
            name: replace(
                row,
                effects=tuple(e for e in row.effects if (e.fact, e.value) != lost),
                voids=tuple(v for v in row.voids if f"result:{v}" != drop.fact),
                void_rules=tuple(v for v in row.void_rules if f"result:{v.result}" != drop.fact),
            )
            for name, row in stated.reports.items()
        }
        unproved = tuple(e for e in stated.unproved if (e.fact, e.value) != lost)
        return replace(stated, rules=rules, reports=reports, unproved=unproved)

    return mutant("never falls", f"{drop.fact} from {drop.held}", change, (), [drop.fact])


def _no_effect(row: Disturbance, effect: Effect) -> Mutant:
    def change(stated: Stated) -> Stated:
        return _report(stated, row.name, effects=tuple(e for e in stated.reports[row.name].effects if e != effect))

    return mutant("report changes less", f"{row.name}, {effect.fact}", change, (), [effect.fact], [row.name])


def _no_void(row: Disturbance, results: tuple[str, ...]) -> Mutant:
    def change(stated: Stated) -> Stated:
        now = stated.reports[row.name]
        return _report(
            stated,
            row.name,
            voids=tuple(v for v in now.voids if v not in results),
            void_rules=tuple(v for v in now.void_rules if v.result not in results),
        )

    what = results[0] if len(results) == 1 else "all"
    return mutant("report voids less", f"{row.name}, {what}", change, (), [f"result:{r}" for r in results], [row.name])


def _says_nothing(row: Disturbance) -> Mutant:
    def change(stated: Stated) -> Stated:
        return _report(stated, row.name, effects=(), voids=(), void_rules=())

    facts = [e.fact for e in row.effects] + [f"result:{r}" for r in row.voids]
    return mutant("report changes nothing", row.name, change, (), facts, [row.name])


def _report(stated: Stated, name: str, **changed: object) -> Stated:
    row = replace(stated.reports[name], **changed)  # type: ignore[arg-type]
    return replace(stated, reports={**stated.reports, name: row})


def _stays_proved(effect: Effect) -> Mutant:
    def change(stated: Stated) -> Stated:
        return replace(stated, unproved=tuple(e for e in stated.unproved if e != effect))

    return mutant("stays proved while away", effect.fact, change, (), [effect.fact], AWAY)


def _endings(stated: Stated) -> Iterator[Mutant]:
    for row in stated.endings.values():
        for need in row.needs:
            kept = tuple(n for n in row.needs if n != need)
            yield _ending(row, "end needs less", need.fact, needs=kept)
        for effect in row.effects:
            less = tuple(e for e in row.effects if e != effect)
            yield _ending(row, "end changes less", effect.fact, effects=less)
        if row.stops:
            yield _ending(row, "end stops nothing", "work", stops=False)


def _ending(row: Ending, operator: str, fact: str, **changed: object) -> Mutant:
    def change(stated: Stated) -> Stated:
        written = replace(row, **changed)  # type: ignore[arg-type]
        return replace(stated, endings={**stated.endings, row.name: written})

    return mutant(operator, f"{row.name}, {fact}", change, (), [fact], [row.name])


def _no_amendment(name: str, row: Amendable) -> Mutant:
    def change(stated: Stated) -> Stated:
        return replace(stated, amendable={**stated.amendable, name: replace(row, voids=(), opens=())})

    facts = [*(f"result:{r}" for r in row.voids), *(f"check:{c}" for c in row.opens)]
    return mutant("amendment takes nothing down", name, change, (), facts, [name])
