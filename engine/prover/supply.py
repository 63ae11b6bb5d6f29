"""A plan, its procedures and its card looked at together: who brings about what a step needs.

For: the checks of suppliers.
Must never: explore states; whether each supplier really reaches its fact from everywhere is for the exploration.

Rules
1. Only procedures that the plan can come to are looked at, and of those only steps that this card asks for.
2. A need is met from inside where an earlier step of the same procedure brings it about.
3. A need that holds at opening and that nothing can take away wants no supplier.
4. A supplier does not wait for what always comes and goes with its own fact: an exposed side and an open cover.
5. A supplier fits a need when each of its values meets the need; suppliers are asked first, then goals.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from ferrule.engine.procedure.compiled import Card, Condition, Goal, Plan, Procedure, Step
from ferrule.engine.procedure.lists import left_by, list_of
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.procedure.places import goals_of_plan
from ferrule.engine.safety.acts import ACTS, Act, Effect, Need, effects_of, needs_of, spread_needs
from ferrule.engine.safety.cascade import RULES, facts_of
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.safety.facts import MET, RESULTS, RING_RESULTS, start_facts


@dataclass(frozen=True, slots=True)
class Wanted:
    """A need of one step with the step."""

    procedure: Procedure
    step: Step
    need: Need


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry of the plan that applies to this card, with the fact keys that it brings about."""

    part: str
    index: int
    goal: Goal
    keys: frozenset[str]


@dataclass(frozen=True, slots=True)
class Turn:
    """One thing that changes facts: an answer of an act, something from outside, or what follows by itself."""

    makes: Mapping[str, str]
    needs: tuple[Need, ...] = ()

    def takes(self, need: Need) -> bool:
        """True when it leaves the need unmet."""
        return self.makes.get(need.fact, need.values[0]) not in need.values

    def gives(self, need: Need) -> bool:
        """True when it leaves the need met by what it makes."""
        return self.makes.get(need.fact) in need.values

    def wants(self, need: Need) -> bool:
        """True when it happens only while the need is met."""
        return any(own.fact == need.fact and set(own.values) <= set(need.values) for own in self.needs)


@dataclass(frozen=True)
class Supply:
    """A plan, its procedures and its card, looked at together."""

    card: Card
    plan: Plan
    parts: Parts

    def holds(self, conditions: tuple[Condition, ...]) -> bool:
        """True when every card condition holds."""
        return all(self.parts.card_facts.get(c.fact) in c.values for c in conditions)

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """All entries of the plan that apply, in the order in which the walk asks them."""
        objects = self.parts.objects
        found = [
            Entry(part, index, goal, frozenset(n.fact for n in spread_needs((_need(goal),), "", objects)))
            for part, index, goal in goals_of_plan(self.plan)
            if self.holds(goal.when)
        ]
        order = ("suppliers", "goals", *self.plan.ends)
        return tuple(sorted(found, key=lambda entry: order.index(entry.part)))

    @cached_property
    def used(self) -> Mapping[str, Procedure]:
        """The procedures that the plan can come to: those of its goals, and what may be missing for them on the way."""
        used = self._with_targets(entry.goal.by for entry in self.entries if entry.part != "suppliers")
        while True:
            made = _made(self._turns(used.values()))
            wanted = {w.need for procedure in used.values() for w in self.from_outside(procedure)}
            missing = [need for need in wanted if not self._stands(need, made)]
            more = self._with_targets([*used, *(e.goal.by for need in missing for e in self.suppliers(need))])
            if more.keys() == used.keys():
                return used
            used = more

    def _with_targets(self, names: Iterable[str]) -> dict[str, Procedure]:
        """Procedures by name with all that their answers lead to."""
        waiting = list(names)
        seen: dict[str, Procedure] = {}
        while waiting:
            procedure = self.parts.procedures.get(waiting.pop())
            if procedure is None or procedure.id in seen:
                continue
            seen[procedure.id] = procedure
            targets = [target for step in procedure.steps for target in step.answers.values()]
            waiting.extend(t.removeprefix("procedure:") for t in targets if t.startswith("procedure:"))
        return seen

    def acts(self, procedure: Procedure) -> Iterator[tuple[Step, Act, tuple[str, ...]]]:
        """The steps of a procedure that this card asks for, with their acts and objects."""
        for step in procedure.steps:
            act = ACTS.get(step.act)
            if act is None or not self.holds(step.when):
                continue
            each = step.of == "each"
            yield step, act, tuple(e.id for e in list_of(self.card, step.points)) if each else (step.of,)

    def brings(self, procedure: Procedure) -> frozenset[tuple[str, str]]:
        """Every fact and value that some answer of a procedure, or of one that it leads to, brings about."""
        found: set[tuple[str, str]] = set()
        led_to = self._with_targets([procedure.id]).values()
        for _, act, objects in (each for one in led_to for each in self.acts(one)):
            for word in act.effects:
                for of in objects:
                    found |= {(e.fact, e.value) for e in effects_of(act, word, of, self.parts.objects)}
            found |= {(f"result:{name}", "void") for name in (RESULTS if act.repairs else act.voids)}
        return frozenset(found)

    @cached_property
    def never_asked(self) -> tuple[str, ...]:
        """Results that this card does not ask for: set once at opening, and nothing changes them."""
        return () if self.card.circuit.kind == "ring" else tuple(f"result:{name}" for name in RING_RESULTS)

    @cached_property
    def at_opening(self) -> Mapping[str, str]:
        """The facts at the opening of this job."""
        not_required = [key.partition(":")[2] for key in self.never_asked]
        nothing_stored = [source.id for source in self.card.sources if source.wait_min == "0"]
        return start_facts(self.parts.objects, not_required, nothing_stored, left_by(self.card))

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        """Everything that can change facts after opening."""
        return self._turns(self.used.values())

    def _turns(self, procedures: Iterable[Procedure]) -> tuple[Turn, ...]:
        """What the acts of these procedures change, what may happen from outside, and what follows by itself."""
        found: list[Turn] = []
        for procedure in procedures:
            for _, act, objects in self.acts(procedure):
                found.extend(self._turns_of(act, objects))
        for disturbance in DISTURBANCES.values():
            for name in self.parts.objects.get(disturbance.object, ("",)):
                made = {effect.fact.replace("{of}", name): effect.value for effect in disturbance.effects}
                found.append(Turn(made | {f"result:{name}": "void" for name in disturbance.voids}))
        found.extend(self._falls(found))
        return tuple(found)

    def _falls(self, turns: Iterable[Turn]) -> Iterator[Turn]:
        """What falls by itself; a fact falls only from a value that it starts with or that something gives it."""
        given = {*self.at_opening.items(), *(made for turn in turns for made in turn.makes.items())}
        objects = self.parts.objects
        left = [
            (fact, drop.held, drop.becomes) for rule in RULES for drop in rule.drops for fact in facts_of(drop, objects)
        ]
        while falling := [row for row in left if row[:2] in given]:
            yield from (Turn({fact: becomes}) for fact, _, becomes in falling)
            given |= {(fact, becomes) for fact, _, becomes in falling}
            left = [row for row in left if row not in falling]

    def _turns_of(self, act: Act, objects: tuple[str, ...]) -> Iterator[Turn]:
        voids = {f"result:{name}": "void" for name in act.voids}
        for of in objects:
            needs = needs_of(act, of, self.parts.objects)
            for word in act.classes:
                made = {e.fact: e.value for e in effects_of(act, word, of, self.parts.objects)}
                yield Turn(voids | made, needs)

    def stands(self, need: Need) -> bool:
        """True when the need holds at opening and nothing can take it away."""
        return self._stands(need, self._made)

    @cached_property
    def _made(self) -> Mapping[str, frozenset[str]]:
        return _made(self.turns)

    @cached_property
    def _turns_on(self) -> Mapping[str, tuple[Turn, ...]]:
        """The turns by the facts that they make."""
        found: dict[str, list[Turn]] = {}
        for turn in self.turns:
            for fact in turn.makes:
                found.setdefault(fact, []).append(turn)
        return {fact: tuple(turns) for fact, turns in found.items()}

    def _stands(self, need: Need, made: Mapping[str, frozenset[str]]) -> bool:
        if need.fact in self.never_asked:
            return set(need.values) >= set(MET)
        return self.at_opening.get(need.fact) in need.values and made.get(need.fact, frozenset()) <= set(need.values)

    def goes_with(self, own: Need, other: Need) -> bool:
        """True when the other need holds wherever the own one does not, so that nobody waits for it."""
        if self.at_opening.get(own.fact) not in own.values and self.at_opening.get(other.fact) not in other.values:
            return False
        if any(turn.takes(own) and not turn.gives(other) for turn in self._turns_on.get(own.fact, ())):
            return False
        on_other = self._turns_on.get(other.fact, ())
        return not any(turn.takes(other) and not (turn.gives(own) or turn.wants(own)) for turn in on_other)

    def from_outside(self, procedure: Procedure) -> Iterator[Wanted]:
        """The needs of a procedure that none of its own earlier steps brings about."""
        have: dict[str, str] = {}
        for step, act, objects in self.acts(procedure):
            for of in objects:
                for need in needs_of(act, of, self.parts.objects):
                    if have.get(need.fact) not in need.values:
                        yield Wanted(procedure, step, need)
            done: list[Effect] = [e for of in objects for e in effects_of(act, "pass", of, self.parts.objects)]
            have.update({effect.fact: effect.value for effect in done})

    def suppliers(self, need: Need) -> Iterator[Entry]:
        """The entries that bring the need about, in the order in which the walk asks them."""
        for entry in self.entries:
            if need.fact in entry.keys and set(entry.goal.values) <= set(need.values):
                yield entry

    def waits_for(self, entry: Entry) -> Iterator[tuple[Need, Entry]]:
        """Each need that the entry's procedure has from outside, with its first supplier."""
        procedure = self.parts.procedures.get(entry.goal.by)
        if procedure is None:
            return
        own = [Need(key, entry.goal.values) for key in entry.keys]
        for wanted in self.from_outside(procedure):
            if self.stands(wanted.need) or all(self.goes_with(need, wanted.need) for need in own):
                continue
            other = next((o for o in self.suppliers(wanted.need) if o.goal.by != entry.goal.by), None)
            if other is not None:
                yield wanted.need, other


def _made(turns: Iterable[Turn]) -> Mapping[str, frozenset[str]]:
    """Every value that the turns give to a fact."""
    found: dict[str, set[str]] = {}
    for turn in turns:
        for fact, value in turn.makes.items():
            found.setdefault(fact, set()).add(value)
    return {fact: frozenset(values) for fact, values in found.items()}


def _need(goal: Goal) -> Need:
    return Need(goal.fact, goal.values)


def supply_of(parts: Parts) -> Supply | None:
    """The supply of a set, or None where the card or the plan is missing."""
    return None if parts.card is None or parts.plan is None else Supply(parts.card, parts.plan, parts)
