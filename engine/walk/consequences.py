"""From an answer to the facts: effects, voids and what falls by itself, as events with their reasons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.safety.acts import ACTS, FAIL, PASS, REFER, Act, Effect, effects_of
from ferrule.engine.safety.cascade import cascade
from ferrule.engine.safety.disturbances import Disturbance
from ferrule.engine.safety.facts import RESULTS, Facts, family_of, worst
from ferrule.engine.safety.voids import voided
from ferrule.engine.walk import events as e
from ferrule.engine.walk.place import objects_of

STANDING = ("pass", "fail", "refer")


class Ledger:
    """Facts while one command is decided, and the events that changed them so far."""

    def __init__(self, job: Job, facts: Facts, at_ms: int) -> None:
        self.job = job
        self.at_ms = at_ms
        self.facts: dict[str, str] = dict(facts)
        self.events: list[e.Event] = []

    def add(self, event: e.Event) -> None:
        """Append an event that changes no fact."""
        self.events.append(event)

    def change(self, effects: Iterable[Effect], because: str) -> None:
        """Give facts new values, and let follow what follows."""
        self._record(effects, because)
        self._settle()

    def void(self, results: Iterable[str], because: str) -> None:
        """Make results void where they stand."""
        self.change(
            [Effect(f"result:{r}", "void") for r in results if self.facts.get(f"result:{r}") in STANDING], because
        )

    def _record(self, effects: Iterable[Effect], because: str) -> None:
        changes = {x.fact: x.value for x in effects if x.fact in self.facts and self.facts[x.fact] != x.value}
        if changes:
            self.facts.update(changes)
            self.events.append(e.FactsChanged(because, tuple(changes.items())))

    def _settle(self) -> None:
        by_reason: dict[str, list[Effect]] = {}
        for because, effect in cascade(self.facts, self.job.objects):
            by_reason.setdefault(because, []).append(effect)
        for because, effects in by_reason.items():
            self._record(effects, because)


def act_done(ledger: Ledger, step: Step, answer_class: str, by_object: dict[str, str]) -> None:
    """Record what the act of a step changes, by the answer class of each of its objects."""
    act = ACTS.get(step.act)
    if act is None:
        return
    done_to = objects_of(ledger.job, step, ledger.facts)
    lost = voided(act.void_rules, done_to, ledger.facts, ledger.job.objects)
    ledger.void(tuple(lost), f"{act.name}: what rested on it is repeated")
    if act.repairs and answer_class == PASS:
        open_again = [r for r in RESULTS if ledger.facts.get(f"result:{r}") in (FAIL, REFER)]
        ledger.void(open_again, f"{act.name}: what failed is read again")
    effects: list[Effect] = []
    for of in done_to:
        effects.extend(effects_of(act, by_object.get(of, answer_class), of, ledger.job.objects))
    ledger.change(effects, act.name)


def happened(ledger: Ledger, row: Disturbance, of: str) -> None:
    """Record what a report of something from outside changes."""
    ledger.void(tuple(voided(row.void_rules, (of,), ledger.facts, ledger.job.objects)), row.name)
    ledger.change([Effect(x.fact.replace("{of}", of), x.value) for x in row.effects], row.name)


def results_of(step: Step) -> Iterator[str]:
    """Yield the results that a step's act can set."""
    act = ACTS.get(step.act)
    for effect in act.effects.get("pass", ()) if act else ():
        family, _, name = effect.fact.partition(":")
        if family == "result" and "{" not in name:
            yield name


def may_be_struck(act: Act) -> bool:
    """True for an act whose entry can be struck out; what cannot be undone is reported instead."""
    return not act.critical or act.name == "prove dead"


def claimed(job: Job, step: Step, word: str, facts: Facts) -> tuple[tuple[str, str], ...]:
    """Return what an answer that passed says of facts, those that stood so already too: it has to fall with them.

    Without this a zero of the leads that was taken twice would stand on the first after the second was struck out.
    """
    act = ACTS.get(step.act)
    if act is None or word != PASS:
        return ()
    done_to = objects_of(job, step, facts)
    return tuple((x.fact, x.value) for of in done_to for x in effects_of(act, PASS, of, job.objects))


def fall_back(changes: Iterable[tuple[str, str]], facts: Facts) -> Iterator[Effect]:
    """Yield what a struck-out entry had changed and still stands, each at its worst value, results void."""
    for fact, value in changes:
        if facts.get(fact) != value:
            continue
        family = family_of(fact)
        if family is None:
            continue
        if family.name == "result":
            if value in STANDING:
                yield Effect(fact, "void")
        elif value != family.values[0]:
            yield Effect(fact, worst(fact))
