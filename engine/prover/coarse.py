"""The walk without readings, persons and clocks: a place, the facts, and the words that an answer may have.

For: looking at every place that a job can come to, and at whether its ends are reached.
Must never: know by itself what an answer changes or where it leads; both are asked of the walk's own functions.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.prover.moves import table_of
from ferrule.engine.prover.structure_answers import given_answers
from ferrule.engine.safety.acts import ACTS, FAIL, PASS, REFER, Need, spread_needs
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.facts import FAMILIES, fact_keys, worst
from ferrule.engine.walk import events as e
from ferrule.engine.walk.answering import class_of
from ferrule.engine.walk.consequences import Ledger, act_done, happened, results_of
from ferrule.engine.walk.decide_step import follow
from ferrule.engine.walk.place import gate, next_place, step_at
from ferrule.engine.walk.ruling import proved_only, settle_place, stop_work
from ferrule.engine.walk.state import Pending, State
from ferrule.engine.walk.targets import target_of

Key = tuple[str, bool, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a walk stands: its step, its facts, whether an answer waits for a decision, and how it ended."""

    step: str
    facts: Mapping[str, str]
    doubt: bool = False
    outcome: str = ""

    @property
    def key(self) -> Key:
        """What tells two spots apart."""
        return (self.step, self.doubt, tuple(self.facts.values()))


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer word, or the state seen, and the spot that it leads to."""

    word: str
    spot: Spot


def opening(job: Job, facts: Mapping[str, str]) -> Spot:
    """Return the spot where a walk with these facts begins."""
    return Spot(next_place(job, facts, "", "").step, facts)


def worst_facts(facts: Mapping[str, str]) -> dict[str, str]:
    """Return facts as bad as they can be while work goes on; what the card rules out stays ruled out."""
    kept = {fact: value for fact, value in facts.items() if value == "not required"}
    asked = {fact: value for fact, value in facts.items() if fact.partition(":")[0] in _ASKED_FOR}
    return {**{fact: worst(fact) for fact in facts}, **kept, **asked, "work": "going", "log": "open"}


_ASKED_FOR = ("trip cause", "others", "alone", "leakage")
"""Facts that hold what somebody asked for or what has happened, and not the state of a thing."""


def answers(job: Job, spot: Spot) -> Iterator[Answered]:
    """Yield every answer that the step at a spot can get, with where it leads."""
    step = step_at(job, spot.step)
    if step is None:
        return
    if spot.doubt:
        yield from _decisions(job, spot, step)
    elif not gate(job, step, spot.facts):
        yield from _answers(job, spot, step)


def _answers(job: Job, spot: Spot, step: Step) -> Iterator[Answered]:
    for word, seen in _words(job, step):
        yield Answered(seen or word, answer(job, spot, step, word, seen))


def _words(job: Job, step: Step) -> Iterator[tuple[str, str]]:
    """The answer words of a step; where it asks for one state only, each state by itself."""
    if step.kind in ("hold", "end"):
        yield "pass", ""
        return
    if len(step.cells) == 1 and step.cells[0].states:
        for state in step.cells[0].states:
            yield state.answer, state.seen
        return
    given = given_answers(step, Parts.of(job))
    for word in sorted(given.sure if given else {"pass"}, key=lambda w: (w != "pass", w)):
        yield word, ""


def answer(job: Job, spot: Spot, step: Step, word: str, seen: str = "") -> Spot:
    """Return the spot that one answer word leads to, the same at every object of the step."""
    act = ACTS.get(step.act)
    answer_class = class_of(word, act.classes if act else frozenset((PASS, REFER, FAIL)))
    ledger = Ledger(job, spot.facts, 0)
    act_done(ledger, step, answer_class, {})
    target = target_of(step, word, seen)
    if target == "ask":
        return Spot(spot.step, ledger.facts, doubt=True)
    follow(ledger, State(spot.facts, spot.step), step, target, "")
    return _spot(ledger, spot.step)


def _decisions(job: Job, spot: Spot, step: Step) -> Iterator[Answered]:
    waiting = State(spot.facts, spot.step, pending=Pending(spot.step, 0, "", True))
    for word in (PASS, FAIL):
        ledger = Ledger(job, spot.facts, 0)
        act_done(ledger, step, word, {})
        target = step.answers.get(word, "ask")
        if target == "ask":
            target = "next" if word == PASS else "stop"
        follow(ledger, State(spot.facts, spot.step), step, target, "")
        yield Answered(f"settled as {word}", _spot(ledger, spot.step))
    ledger = Ledger(job, spot.facts, 0)
    ledger.void(results_of(step), "read again by decision")
    settle_place(ledger, waiting, spot.step, "")
    yield Answered("settled as again", _spot(ledger, spot.step))


def stopped(job: Job, spot: Spot) -> Spot:
    """Return the spot after work was stopped."""
    ledger = Ledger(job, spot.facts, 0)
    stop_work(ledger, "", "stop")
    settle_place(ledger, State(spot.facts, spot.step), "", "")
    return _spot(ledger, spot.step)


def disturbed(job: Job, spot: Spot) -> Iterator[Answered]:
    """Yield everything that can be reported or done from outside at a spot, with where the walk stands then."""
    waiting = Pending(spot.step, 0, "", True) if spot.doubt else None
    state = State(spot.facts, spot.step, pending=waiting)
    for row in DISTURBANCES.values():
        if any(spot.facts.get(need.fact) not in need.values for need in row.only_if):
            continue
        for of in job.objects.get(row.object, ()) if row.object else ("",):
            ledger = Ledger(job, spot.facts, 0)
            happened(ledger, row, of)
            settle_place(ledger, state, spot.step, stay=True, doubt_stands=False)
            yield Answered(f"{row.name} {of}".strip(), _spot(ledger, spot.step))
    ledger = Ledger(job, spot.facts, 0)
    ledger.change(proved_only(ledger), "nobody was watching")
    settle_place(ledger, state, spot.step, stay=True, doubt_stands=False)
    yield Answered("back after long", _spot(ledger, spot.step))
    if spot.facts["work"] == "going":
        yield Answered("stop", stopped(job, spot))


def _spot(ledger: Ledger, here: str) -> Spot:
    outcome = ""
    for event in ledger.events:
        if isinstance(event, e.Moved):
            here = event.step
        elif isinstance(event, e.Ended):
            outcome = event.outcome
    return Spot(here, ledger.facts, False, outcome)


@dataclass(frozen=True, slots=True)
class Explored:
    """Every spot that a job can come to without anything happening from outside, and where it got stuck."""

    spots: int
    answers: int
    steps: frozenset[str]
    outcomes: frozenset[str]
    stuck: tuple[Spot, ...]
    whole: bool
    """False where the exploration ended at its limit; then only the nearest spots were seen."""


def alike(job: Job) -> Mapping[str, Mapping[str, str]]:
    """Return for each fact what stands for each of its values: values that nothing in the job tells apart share one.

    Two values are alike when every set of values that some need, goal, rule, void or done-already asks for holds
    both or neither.  Walks from spots that are alike lead to spots that are alike.
    A search for a fault that makes a result void asks whether it is void already; `explore_all` sees to it that it is
    entered only with a result that failed, so that nothing hangs on the answer.
    """
    asked: dict[str, set[frozenset[str]]] = {}
    for fact in ("work", "ending", "log"):
        asked[fact] = {frozenset((value,)) for value in FAMILIES[fact].values}

    def ask(fact: str, values: Iterable[str]) -> None:
        asked.setdefault(fact, set()).add(frozenset(values))

    for found in table_of(job, {}).steps:
        for need in found.needs:
            ask(need.fact, need.values)
        if found.step.kind == "do" or found.act.once:
            for effects in found.effects.values():
                for effect in effects:
                    if (effect.fact.partition(":")[0], effect.value) != ("result", "void"):
                        ask(effect.fact, (effect.value,))
        for change in found.voids:
            if change.where is not None:
                ask(change.where.fact, change.where.values)
    for rule in table_of(job, {}).falls:
        for need in rule.unless:
            ask(need.fact, need.values)
        for drop in rule.drops:
            ask(drop.fact, drop.only_from)
    for move in table_of(job, {}).others:
        for need in move.needs:
            ask(need.fact, need.values)
        for change in move.changes:
            if change.only_from:
                ask(change.fact, change.only_from)
    for goals in (job.plan.goals, job.plan.suppliers, *job.plan.ends.values()):
        for goal in goals:
            for need in spread_needs((Need(goal.fact, goal.values),), "", job.objects):
                ask(need.fact, need.values)
    for need in spread_needs(ACTS["close the log as not begun"].needs, "", job.objects):
        ask(need.fact, need.values)
    found_classes: dict[str, dict[str, str]] = {}
    for fact in fact_keys(job.objects):
        sets = asked.get(fact, set())
        first: dict[frozenset[frozenset[str]], str] = {}
        values = FAMILIES[fact.partition(":")[0]].values
        found_classes[fact] = {v: first.setdefault(frozenset(s for s in sets if v in s), v) for v in values}
    return found_classes


def explore_all(job: Job, first: Spot, *, most: int, disturbances: int = 0) -> Explored:
    """Visit every spot from `first` on by every answer, with up to so many disturbances anywhere on the way.

    Spots are visited in order of the number of answers; after `most` of them no new ones are taken up.
    ValueError where a search for a fault is entered with a result that did not fail (see `alike`).
    """
    stands_for = alike(job)
    searched = _searched(job)

    def key(spot: Spot) -> Key:
        return (spot.step, spot.doubt, tuple(stands_for[fact][value] for fact, value in spot.facts.items()))

    seen = {key(first): disturbances}
    queue = deque(((first, disturbances),))
    taken = 0
    steps: set[str] = set()
    outcomes: set[str] = set()
    stuck: list[Spot] = []
    while queue:
        spot, left = queue.popleft()
        if seen[key(spot)] > left:
            continue
        for fact in searched.get(spot.step.partition("/")[0], ()):
            if spot.facts[fact] in ("none", "void"):
                raise ValueError(f"{spot.step} is reached while {fact} is {spot.facts[fact]}")
        steps.add(spot.step)
        if spot.outcome:
            outcomes.add(spot.outcome)
            continue
        led = [(found.spot, left) for found in answers(job, spot)]
        if not led:
            stuck.append(spot)
        if left:
            led += [(found.spot, left - 1) for found in disturbed(job, spot)]
        taken += len(led)
        for after, budget in led:
            mark = key(after)
            if seen.get(mark, -1) < budget and (mark in seen or len(seen) < most):
                seen[mark] = budget
                queue.append((after, budget))
    return Explored(len(seen), taken, frozenset(steps), frozenset(outcomes), tuple(stuck), len(seen) < most)


def _searched(job: Job) -> Mapping[str, tuple[str, ...]]:
    """The results that a step of each procedure makes void without reading anything."""
    found: dict[str, tuple[str, ...]] = {}
    for name, procedure in job.procedures.items():
        for step in procedure.steps:
            if step.kind == "do" and step.act in ACTS and f"result:{step.of}" in _void_effects(step):
                found[name] = (*found.get(name, ()), f"result:{step.of}")
    return found


def _void_effects(step: Step) -> set[str]:
    effects = (effect for given in ACTS[step.act].effects.values() for effect in given)
    return {effect.fact.replace("{of}", step.of) for effect in effects if effect.value == "void"}
