"""The forms in which an invariant may be written, each a small statement over one move and the facts around it.

For: the table of invariants.
Must never: name an act or a fact of its own; an invariant brings its words along.

Facts are written as in a plan: `family object is value | value`, with `*` for every object and `{of}` for the
object of the act.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Protocol

from ferrule.engine.light import dataclass
from ferrule.engine.prover.moves import ANSWER, Label, Table
from ferrule.engine.prover.slices import Breaks
from ferrule.engine.safety.acts import ACTS, FAIL, REFER, Act, Need, spread_needs
from ferrule.engine.safety.facts import FAMILIES
from ferrule.engine.safety.holds import HOLD_POINTS

Facts = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Case:
    """One instance of a rule: the facts that it watches, the acts that it looks at, and what breaks it."""

    facts: tuple[str, ...]
    acts: tuple[str, ...]
    breaks: Breaks
    says: str
    """What must hold, with the objects put in."""


class Rule(Protocol):
    """A form: it spreads itself over the objects of a job, and it can be asked about one move."""

    def cases(self, table: Table) -> Iterator[Case]:
        """Yield an instance for each object that it is about; none where the job has no such thing."""
        ...


def read(line: str) -> Need:
    """Read `family object is value | value`; KeyError for a family that is not in the table of facts."""
    fact, _, values = line.partition(" is ")
    family = next(name for name in (fact, *_before_spaces(fact)) if name in FAMILIES)
    name = fact[len(family) :].strip()
    return Need(f"{family}:{name}" if name else family, tuple(v.strip() for v in values.split("|")))


def _before_spaces(text: str) -> Iterator[str]:
    while " " in text:
        text = text.rpartition(" ")[0]
        yield text


def _spread(table: Table, line: str, of: str = "") -> tuple[Need, ...]:
    found = spread_needs((read(line),), of, table.job.objects)
    return tuple(need for need in found if need.fact in table.facts)


def _words(need: Need) -> str:
    return f"{need.fact.replace(':', ' ', 1)} is {' or '.join(need.values)}"


@dataclass(frozen=True, slots=True)
class Touching:
    """All acts in which a bare hand is on a conductor of a zone."""

    zone: str

    def names(self) -> tuple[str, ...]:
        """The names of those acts, as the table of acts has them now."""
        return tuple(act.name for act in ACTS.values() if self.zone in act.touches)


Chosen = tuple[str, ...] | Touching


def _names(chosen: Chosen) -> tuple[str, ...]:
    return chosen.names() if isinstance(chosen, Touching) else chosen


@dataclass(frozen=True, slots=True)
class Before:
    """Before an act is done, whatever its answer, these hold."""

    acts: Chosen
    hold: tuple[str, ...]

    def cases(self, table: Table) -> Iterator[Case]:
        """One for each act of the job and each fact."""
        for name in _names(self.acts):
            for found in table.steps_by_act.get(name, ())[:1]:
                for line in self.hold:
                    for of in found.objects[:1] if "{of}" in line else ("",):
                        for need in _spread(table, line, of):
                            yield Case((need.fact,), (name,), _before(name, need), f"Before “{name}”: {_words(need)}.")


def _before(name: str, need: Need) -> Breaks:
    def breaks(label: Label, before: Facts, _: Facts) -> bool:
        return label.kind == ANSWER and label.name == name and before[need.fact] not in need.values

    return breaks


@dataclass(frozen=True, slots=True)
class Implies:
    """Whenever the first holds, the others hold too."""

    when: str
    then: tuple[str, ...]

    def cases(self, table: Table) -> Iterator[Case]:
        """One for each object of each."""
        for given in _spread(table, self.when):
            for line in self.then:
                for need in _spread(table, line, given.fact.partition(":")[2]):
                    yield Case(
                        (given.fact, need.fact), (), _implies(given, need), f"While {_words(given)}: {_words(need)}."
                    )


def _implies(given: Need, need: Need) -> Breaks:
    def breaks(_: Label, _before: Facts, after: Facts) -> bool:
        return after[given.fact] in given.values and after[need.fact] not in need.values

    return breaks


@dataclass(frozen=True, slots=True)
class GainedOnlyBy:
    """A fact takes a value only by these acts answered as passed; nothing else brings it about."""

    gains: str
    by: tuple[str, ...]
    out_of: str = ""
    """The value that it had before; any other where empty."""

    def cases(self, table: Table) -> Iterator[Case]:
        """One for each object of the fact."""
        for need in _spread(table, self.gains):
            by = " or ".join(f"“{name}”" for name in self.by)
            yield Case(
                (need.fact,), (), _gained(need, self.by, self.out_of), f"{_words(need).capitalize()} only by {by}."
            )


def _gained(need: Need, by: tuple[str, ...], out_of: str) -> Breaks:
    def breaks(label: Label, before: Facts, after: Facts) -> bool:
        if before[need.fact] in need.values or after[need.fact] not in need.values:
            return False
        if out_of and before[need.fact] != out_of:
            return False
        return not (label.kind == ANSWER and label.name in by and any(c not in (FAIL, REFER) for _, c in label.answers))

    return breaks


@dataclass(frozen=True, slots=True)
class After:
    """After something was done or happened, these hold, whatever was so before."""

    moves: tuple[str, ...]
    hold: tuple[str, ...]
    answers: tuple[str, ...] = ()
    """Answer classes that it is about; all where empty."""
    among: str = ""
    """A list of the card; only what is done to one of its objects counts."""

    def cases(self, table: Table) -> Iterator[Case]:
        """One for each fact."""
        objects = frozenset(table.job.objects.get(self.among, ()))
        if self.among and not objects:
            return
        beside = tuple(f"terminal:{name}" for name in sorted(objects)[:1])
        for line in self.hold:
            if "{of}" in line:
                yield from self._of_each(table, line)
                continue
            for need in _spread(table, line):
                said = " or ".join(f"“{name}”" for name in self.moves)
                yield Case(
                    (need.fact, *beside),
                    self.moves,
                    _after(self.moves, self.answers, objects, need),
                    f"After {said}{f' on a {self.among}' if self.among else ''}: {_words(need)}.",
                )

    def _of_each(self, table: Table, line: str) -> Iterator[Case]:
        """One for each object that it is done to, or that it happens to."""
        steps = (step for name in self.moves for step in table.steps_by_act.get(name, ()))
        happens = (move.label.of for name in self.moves for move in table.others_by_name.get(name, ()))
        for of in dict.fromkeys((*(of for step in steps for of in step.objects), *happens)):
            for need in _spread(table, line, of):
                said = f"After {' or '.join(f'“{name}”' for name in self.moves)} on {of}: {_words(need)}."
                yield Case((need.fact,), self.moves, _after_each(self.moves, self.answers, of, need), said)


def _after_each(moves: tuple[str, ...], answers: tuple[str, ...], of: str, need: Need) -> Breaks:
    def breaks(label: Label, _: Facts, after: Facts) -> bool:
        if label.name not in moves or after[need.fact] in need.values:
            return False
        return any(done_to == of and (not answers or c in answers) for done_to, c in label.answers)

    return breaks


def _after(moves: tuple[str, ...], answers: tuple[str, ...], objects: frozenset[str], need: Need) -> Breaks:
    def breaks(label: Label, _: Facts, after: Facts) -> bool:
        if label.name not in moves or after[need.fact] in need.values:
            return False
        if objects and not any(of in objects for of, _ in label.answers):
            return False
        return not answers or any(c in answers for _, c in label.answers)

    return breaks


@dataclass(frozen=True, slots=True)
class NeverTurns:
    """A fact never goes from the one value straight to the other."""

    fact: str
    source: str
    target: str

    def cases(self, table: Table) -> Iterator[Case]:
        """One for each object of the fact."""
        for need in _spread(table, f"{self.fact} is {self.source}"):
            yield Case(
                (need.fact,),
                (),
                _turns(need.fact, self.source, self.target),
                f"{need.fact.replace(':', ' ', 1).capitalize()} never turns from {self.source} to {self.target}.",
            )


def _turns(fact: str, source: str, target: str) -> Breaks:
    def breaks(_: Label, before: Facts, after: Facts) -> bool:
        return before[fact] == source and after[fact] == target

    return breaks


@dataclass(frozen=True, slots=True)
class OnlyWhile:
    """While a fact has a value, only these acts are open."""

    when: str
    acts: Callable[[Act], bool]
    said: str

    def cases(self, table: Table) -> Iterator[Case]:
        """One for each object of the fact; every act of the job is looked at."""
        for given in _spread(table, self.when):
            other = tuple(name for name in table.steps_by_act if not self.acts(ACTS[name]))
            yield Case((given.fact,), other, _other(given, other), f"While {_words(given)}, only {self.said}.")


def _other(given: Need, acts: Iterable[str]) -> Breaks:
    shut = frozenset(acts)

    def breaks(label: Label, before: Facts, _: Facts) -> bool:
        return label.kind == ANSWER and label.name in shut and before[given.fact] in given.values

    return breaks


@dataclass(frozen=True, slots=True)
class SignedBy:
    """A hold point is released only with the names of these roles under it."""

    hold: str
    alone: tuple[str, ...]
    supervised: tuple[str, ...]
    """Who signs where a supervisor takes part on site."""

    def cases(self, table: Table) -> Iterator[Case]:
        """One for each role whose name the sign-off plan of the job does not ask for."""
        plan = table.job.card.sign_off
        wanted = self.supervised if plan == "supervised" else self.alone
        signs = HOLD_POINTS[self.hold].signers(plan)
        name = f"release hold point {self.hold}"
        for role in wanted:
            if role not in signs and name in table.steps_by_act:
                yield Case((f"hold:{self.hold}",), (name,), _done(name), f"“{name}” is signed by the {role}.")


def _done(name: str) -> Breaks:
    def breaks(label: Label, _before: Facts, _after: Facts) -> bool:
        return label.kind == ANSWER and label.name == name

    return breaks
