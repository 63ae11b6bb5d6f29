"""Everything that can be done or can happen to the facts of a job, as moves of one form.

For: exploring the safety state without readings, persons or clocks.
Must never: say what an act needs or changes; that is read here from the tables that the walk reads.

A step is taken to be answerable whenever its gate is open, wherever the walk stands.
That is more than the real walk allows, so nothing it can reach is missed; a path found this way is walked again
by the real decision before anybody believes it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field
from itertools import product

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import AMENDABLE
from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.prover.structure_answers import given_answers
from ferrule.engine.safety.acts import ACTS, FAIL, PASS, REFER, Act, Effect, Need, effects_of, spread_needs
from ferrule.engine.safety.cascade import RULES, facts_of
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.endings import ENDINGS
from ferrule.engine.safety.facts import FAMILIES, RESULTS
from ferrule.engine.safety.voids import Void
from ferrule.engine.walk.answering import class_of
from ferrule.engine.walk.consequences import STANDING, may_be_struck
from ferrule.engine.walk.place import holds, needs_at, objects_of
from ferrule.engine.walk.ruling import UNPROVED

ANSWER, REPORT, STRIKE, AMEND, COMMAND, FALLS = "answer", "report", "strike", "amend", "command", "falls"

END_AS = "end as "
STOP, CARRY_ON, HAND_OVER, LONG_ABSENCE = "stop work", "carry on", "hand over", "come back after long"
"""Commands that change facts beside answers, reports, strikes and amendments."""


@dataclass(frozen=True, slots=True)
class Change:
    """A fact that takes a value; with `only_from`, only where it has one of those values."""

    fact: str
    value: str
    only_from: tuple[str, ...] = ()
    where: Need | None = None
    """A need on the facts as they were before the move; without it the change is left out."""


@dataclass(frozen=True, slots=True)
class Label:
    """What is done or happens, in the words of the tables."""

    kind: str
    name: str
    """The act, the report, the command, the field amended, or why something falls."""
    where: str = ""
    """`procedure/step` of an answer."""
    answers: tuple[tuple[str, str], ...] = ()
    """Object to answer class; one empty object where the act has none."""

    @property
    def of(self) -> str:
        """The one object that it is about, or nothing."""
        return self.answers[0][0] if len(self.answers) == 1 else ""


@dataclass(frozen=True, slots=True)
class Move:
    """One thing that can be done or can happen: what it needs and what it changes, in order."""

    label: Label
    needs: tuple[Need, ...]
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class StepMoves:
    """A step of the set as a source of moves: its needs, and for each object what each answer class changes."""

    where: str
    step: Step
    act: Act
    needs: tuple[Need, ...]
    objects: tuple[str, ...]
    classes: tuple[str, ...]
    effects: Mapping[tuple[str, str], tuple[Effect, ...]]
    voids: tuple[Change, ...]
    """What goes void, whatever the answer, before the effects."""
    changed: frozenset[str]
    """Every fact that some answer to the step can change."""
    asked: frozenset[str]
    """These, and every fact that the step needs."""
    on_facts: dict[object, tuple[Move, ...]] = field(default_factory=dict)
    """The moves on some facts, as they were first asked for."""


@dataclass(frozen=True, slots=True)
class Falls:
    """A rule of the cascade with its patterns spread out."""

    because: str
    unless: tuple[Need, ...]
    drops: tuple[Change, ...]


NeedsAt = tuple[tuple[int, frozenset[str]], ...]
"""Needs by the position of their facts."""
Asked = tuple[int, frozenset[str]] | None
ChangesAt = tuple[tuple[int, str, tuple[str, ...], Asked], ...]
"""Changes by the position of their facts."""
PlacedMove = tuple[Label, NeedsAt, ChangesAt]
Placed = dict[object, PlacedMove]
"""Moves by positions instead of names, by all that tells one from another."""


@dataclass(slots=True)
class Table:
    """All moves of a job, found by the facts that they change."""

    job: Job
    facts: Mapping[str, str]
    """Every fact of the job with its value at the opening."""
    steps: tuple[StepMoves, ...]
    others: tuple[Move, ...]
    falls: tuple[Falls, ...]
    steps_by_fact: dict[str, list[StepMoves]] = field(default_factory=dict)
    steps_by_act: dict[str, list[StepMoves]] = field(default_factory=dict)
    others_by_fact: dict[str, list[Move]] = field(default_factory=dict)
    others_by_name: dict[str, list[Move]] = field(default_factory=dict)
    falls_by_fact: dict[str, list[Falls]] = field(default_factory=dict)
    on_facts: dict[tuple[str, ...], tuple[tuple[Move, ...], Placed]] = field(default_factory=dict)
    """The moves on some facts, by names and by positions, as they were first asked for."""

    def signature(self) -> object:
        """What two jobs share when everything that can be done or can happen in them is the same."""
        steps = tuple(
            (
                (s.where, s.act.name, s.needs, s.objects, s.classes, tuple(s.effects.items()), s.voids),
                (s.step.points, tuple(cell for cell in s.step.cells if holds(cell.when, self.job.card_facts))),
                tuple(sorted(s.step.answers.items())),
            )
            for s in self.steps
        )
        return (tuple(self.facts.items()), steps, self.others, self.falls)


def table_of(job: Job, opening: Mapping[str, str]) -> Table:
    """Return every move of a job; `opening` holds its facts when the log opens."""
    steps = tuple(_steps(job))
    table = Table(job, dict(opening), steps, tuple(_others(job, steps)), tuple(_falls(job)))
    for found in steps:
        table.steps_by_act.setdefault(found.act.name, []).append(found)
        for fact in sorted(found.changed):
            table.steps_by_fact.setdefault(fact, []).append(found)
    for move in table.others:
        table.others_by_name.setdefault(move.label.name, []).append(move)
        for fact in dict.fromkeys(change.fact for change in move.changes):
            table.others_by_fact.setdefault(fact, []).append(move)
    for rule in table.falls:
        for fact in dict.fromkeys(drop.fact for drop in rule.drops):
            table.falls_by_fact.setdefault(fact, []).append(rule)
    return table


def _steps(job: Job) -> Iterator[StepMoves]:
    parts = Parts.of(job)
    for name in used_procedures(job):
        procedure = job.procedures[name]
        for step in procedure.steps:
            act = ACTS.get(step.act)
            if act is None or not holds(step.when, job.card_facts):
                continue
            objects = objects_of(job, step)
            classes = _classes(step, act, parts)
            effects = {(of, c): effects_of(act, c, of, job.objects) for of in objects for c in classes}
            voids = tuple(_voids(act.void_rules, objects, job))
            changed = {change.fact for change in voids} | {e.fact for found in effects.values() for e in found}
            if act.repairs:
                changed |= {f"result:{result}" for result in RESULTS}
            needs = needs_at(job, step)
            yield StepMoves(
                f"{procedure.id}/{step.id}",
                step,
                act,
                needs,
                objects,
                classes,
                {key: found for key, found in effects.items() if found},
                voids,
                frozenset(changed),
                frozenset(changed | {need.fact for need in needs}),
            )


def used_procedures(job: Job) -> tuple[str, ...]:
    """Return the procedures that some goal, supplier or answer of this job leads to, card conditions folded."""
    entries = (*job.plan.goals, *job.plan.suppliers, *(goal for goals in job.plan.ends.values() for goal in goals))
    found = dict.fromkeys(goal.by for goal in entries if holds(goal.when, job.card_facts))
    waiting = list(found)
    while waiting:
        for step in job.procedures[waiting.pop()].steps:
            if not holds(step.when, job.card_facts):
                continue
            for target in step.answers.values():
                name = target.removeprefix("procedure:")
                if name != target and name not in found:
                    found[name] = None
                    waiting.append(name)
    return tuple(found)


def _voids(rules: tuple[Void, ...], done_to: tuple[str, ...], job: Job) -> Iterator[Change]:
    """What a table of voids makes of some objects; a row that asks for a fact keeps that as a need."""
    for rule in rules:
        among = {of for family in rule.among for of in job.objects.get(family, ())}
        if not rule.among or among & set(done_to):
            where = Need(rule.fact, rule.values) if rule.values else None
            yield Change(f"result:{rule.result}", "void", STANDING, where)


def _classes(step: Step, act: Act, parts: Parts) -> tuple[str, ...]:
    """The answer classes that a step can give; a doubtful one may be settled as passed or failed later."""
    if step.kind in ("hold", "end"):
        return (PASS,)
    given = given_answers(step, parts)
    words = given.sure | given.maybe if given is not None else act.classes
    found = {class_of(word, act.classes) for word in words}
    if REFER in found:
        found |= {PASS, FAIL}
    return tuple(sorted(found, key=lambda word: (word != PASS, word)))


def step_moves(found: StepMoves, tracked: frozenset[str]) -> tuple[Move, ...]:
    """Return the moves that a step makes on the tracked facts: each tracked object with each of its classes.

    Objects that no tracked fact is about change only what they share, so one stands for all of them.
    """
    named = {fact.partition(":")[2] for fact in tracked}
    own = [of for of in found.objects if of and of in named]
    chosen = (*own, *[of for of in found.objects if of not in own][:1])
    key = (chosen, tracked & found.asked)
    moves = found.on_facts.get(key)
    if moves is None:
        moves = found.on_facts[key] = tuple(_moves_on(found, chosen, tracked))
    return moves


def _moves_on(found: StepMoves, chosen: tuple[str, ...], tracked: frozenset[str]) -> Iterator[Move]:
    seen: set[object] = set()
    needs = tuple(n for n in found.needs if n.fact in tracked)
    voids = tuple(change for change in found.voids if change.fact in tracked)
    mended = tuple(
        Change(f"result:{name}", "void", (FAIL, REFER))
        for name in RESULTS
        if found.act.repairs and f"result:{name}" in tracked
    )
    for classes in product(found.classes, repeat=len(chosen)):
        answers = tuple(zip(chosen, classes, strict=True))
        effects = tuple(
            Change(effect.fact, effect.value)
            for key in answers
            for effect in found.effects.get(key, ())
            if effect.fact in tracked
        )
        changes = (*voids, *(mended if any(c == PASS for c in classes) else ()), *effects)
        key = (changes, frozenset(classes))
        if key not in seen:
            seen.add(key)
            yield Move(Label(ANSWER, found.act.name, found.where, answers), needs, changes)


def _others(job: Job, steps: tuple[StepMoves, ...]) -> Iterator[Move]:
    yield from _reports(job)
    yield from _strikes(steps)
    yield from _amendments()
    taken_back = tuple(Change(x.fact, x.value, _proved_values(x.fact)) for x in UNPROVED)
    going, stopped = (Need("work", (word,)) for word in ("going", "stopped"))
    yield Move(Label(COMMAND, STOP), (going,), (Change("work", "stopped"), *taken_back))
    kept = Change("ending", "none", ("made safe", "continue later"))
    yield Move(Label(COMMAND, CARRY_ON), (stopped,), (Change("work", "going"), kept, *taken_back))
    for row in ENDINGS.values():
        stops = (Change("work", "stopped"), *taken_back) if row.stops else ()
        effects = tuple(Change(effect.fact, effect.value) for effect in row.effects)
        needs = spread_needs(row.needs, "", job.objects)
        yield Move(Label(COMMAND, f"{END_AS}{row.name}"), needs, (*stops, *effects))
    yield Move(Label(COMMAND, HAND_OVER), (), taken_back)
    yield Move(Label(COMMAND, LONG_ABSENCE), (), taken_back)
    for word in FAMILIES["supervisor"].values:
        yield Move(Label(COMMAND, f"supervisor {word}"), (), (Change("supervisor", word),))


def _proved_values(fact: str) -> tuple[str, ...]:
    return ("clear", "volts") if fact == "dead test" else ("proved",)


def _reports(job: Job) -> Iterator[Move]:
    for row in DISTURBANCES.values():
        for of in job.objects.get(row.object, ()) if row.object else ("",):
            effects = (Change(e.fact.replace("{of}", of), e.value) for e in row.effects)
            voids = _voids(row.void_rules, (of,), job)
            needs = tuple(Need(n.fact.replace("{of}", of), n.values) for n in row.only_if)
            yield Move(Label(REPORT, row.name, answers=((of, ""),)), needs, (*voids, *effects))


def _strikes(steps: tuple[StepMoves, ...]) -> Iterator[Move]:
    """Entries struck out: what each changed, and still stands, falls; a result that rested on it becomes void."""
    struck: dict[str, dict[str, None]] = {}
    for found in steps:
        if found.step.kind == "hold" or not may_be_struck(found.act):
            continue
        for effects in found.effects.values():
            for effect in effects:
                struck.setdefault(effect.fact, {})[effect.value] = None
    for fact, values in struck.items():
        family = FAMILIES[fact.partition(":")[0]]
        if family.name != "result":
            yield Move(Label(STRIKE, fact), (), (Change(fact, family.values[0], tuple(values)),))
    for fact in {f"result:{name}" for name in RESULTS}:
        yield Move(Label(STRIKE, fact), (), (Change(fact, "void", STANDING),))


def _amendments() -> Iterator[Move]:
    for name, entry in AMENDABLE.items():
        voids = tuple(Change(f"result:{result}", "void", STANDING) for result in entry.voids)
        opens = tuple(Change(f"check:{check}", "open") for check in entry.opens)
        yield Move(Label(AMEND, name), (), (*voids, *opens))


def _falls(job: Job) -> Iterator[Falls]:
    for rule in RULES:
        drops = tuple(
            Change(fact, drop.becomes, (drop.held,)) for drop in rule.drops for fact in facts_of(drop, job.objects)
        )
        yield Falls(rule.because, spread_needs(rule.unless, "", job.objects), drops)
