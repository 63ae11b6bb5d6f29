"""Exploring a few facts of a job at a time, by every move that the tables allow, in order of the number of moves.

For: finding whether a state or a move that must not be can be reached, and by the fewest moves.
Must never: miss a walk.  A need on a fact that is not tracked counts as met, and a fall that hangs on one may
happen or not, so what is reached here is at least what can really be reached.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import product

from ferrule.engine.light import dataclass
from ferrule.engine.prover.moves import (
    FALLS,
    Asked,
    Change,
    ChangesAt,
    Falls,
    Label,
    Move,
    NeedsAt,
    Placed,
    PlacedMove,
    StepMoves,
    Table,
    step_moves,
)
from ferrule.engine.safety.acts import Need

PROOFS = ("prove the indicator", "prove dead")
"""Acts whose steps are told apart: what each of them can see is another matter."""

Values = tuple[str, ...]
"""The tracked facts' values, in the order of the slice."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One move that was taken, with the tracked facts before and after it."""

    label: Label
    before: Mapping[str, str]
    after: Mapping[str, str]


Breaks = Callable[[Label, Mapping[str, str], Mapping[str, str]], bool]
"""Whether a move from the one state to the other breaks what is to be shown."""


@dataclass(frozen=True, slots=True)
class Found:
    """What an exploration came to: how many states it saw, and the shortest walk to what must not be, if any."""

    states: int
    path: tuple[Taken, ...] = ()


class Slice:
    """The moves of a job on a few facts."""

    def __init__(self, table: Table, facts: Iterable[str], acts: Iterable[str] = ()) -> None:
        """Track `facts`; `acts` are looked at too, even where they change none of them."""
        self.facts = tuple(dict.fromkeys(facts))
        self.index = {fact: i for i, fact in enumerate(self.facts)}
        self.starts: tuple[Values, ...] = (tuple(table.facts[fact] for fact in self.facts),)
        tracked = frozenset(self.facts)
        rules = {id(rule): rule for fact in self.facts for rule in table.falls_by_fact.get(fact, ())}
        self._sure: list[tuple[tuple[Need, ...], tuple[Change, ...]]] = []
        maybe: list[Move] = []
        for rule in rules.values():
            self._sort(rule, tracked, maybe)
        shared = table.on_facts.get(self.facts)
        if shared is None:
            moves = (*_steps(table, tracked), *_others(table, tracked))
            shared = table.on_facts[self.facts] = (moves, self._compile(moves, {}))
        more = (*_looked_at(table, tracked, acts), *maybe)
        self.moves: tuple[Move, ...] = (*shared[0], *more)
        self._compiled = self._compile(more, dict(shared[1])) if more else shared[1]

    def with_hidden(self, hidden: Mapping[str, tuple[str, ...]], moves: Iterable[Move]) -> None:
        """Put values beside the facts that nobody at the board can see, and replace the moves by those of the world.

        `hidden` gives for each of them the values that it may have at the opening.
        """
        for name in hidden:
            self.index[name] = len(self.index)
        self.facts = (*self.facts, *hidden)
        self.starts = tuple((*start, *chosen) for start in self.starts for chosen in product(*hidden.values()))
        self.moves = tuple(moves)
        self._compiled = self._compile(self.moves, {})

    def _sort(self, rule: Falls, tracked: frozenset[str], maybe: list[Move]) -> None:
        drops = tuple(drop for drop in rule.drops if drop.fact in tracked)
        known = tuple(need for need in rule.unless if need.fact in tracked)
        if known:
            self._sure.append((known, drops))
        if len(known) < len(rule.unless):
            maybe.append(Move(Label(FALLS, rule.because), (), drops))

    def named(self, values: Values) -> dict[str, str]:
        """Return values by their names."""
        return dict(zip(self.facts, values, strict=True))

    def compiled(self) -> Iterable[PlacedMove]:
        """Return the moves by positions instead of names; the same under one name and answer comes once."""
        return self._compiled.values()

    def _compile(self, moves: Iterable[Move], found: Placed) -> Placed:
        """Put moves to those compiled before."""
        for move in moves:
            needs = tuple((self.index[n.fact], frozenset(n.values)) for n in move.needs)
            classes = frozenset(answer for _, answer in move.label.answers)
            for changes in self._variants(move.changes):
                key = (move.label.kind, move.label.name, classes, needs, changes)
                found.setdefault(key, (move.label, needs, changes))
        return found

    def _variants(self, changes: tuple[Change, ...]) -> Iterator[ChangesAt]:
        """The changes by positions; one that hangs on a fact that is not tracked happens or not."""
        open_ones = [c for c in changes if c.where is not None and c.where.fact not in self.index]
        for kept in product((True, False), repeat=len(open_ones)):
            left_out = {id(c) for c, keep in zip(open_ones, kept, strict=True) if not keep}
            yield tuple(self._placed(c) for c in changes if id(c) not in left_out)

    def _placed(self, change: Change) -> tuple[int, str, tuple[str, ...], Asked]:
        where = change.where
        known = where is not None and where.fact in self.index
        asked = (self.index[where.fact], frozenset(where.values)) if where is not None and known else None
        return (self.index[change.fact], change.value, change.only_from, asked)

    def key(self) -> object:
        """What two slices share when they are the same in all that an exploration sees."""
        return (self.facts, self.starts, frozenset(self._compiled), tuple(self.falls()))

    def falls(self) -> list[_Falls]:
        """Return what falls by itself wherever a tracked need of it is not met."""
        return [
            (
                tuple((self.index[n.fact], frozenset(n.values)) for n in known),
                tuple(self._placed(c) for c in drops),
            )
            for known, drops in self._sure
        ]


_Falls = tuple[NeedsAt, ChangesAt]


class Shown:
    """What was shown before, so that equal slices of several jobs are explored once."""

    def __init__(self) -> None:
        """Begin with nothing shown."""
        self._shown: set[object] = set()

    def holds(self, key: object) -> bool:
        """True when this was shown."""
        return key in self._shown

    def keep(self, key: object) -> None:
        """Remember that this was shown."""
        self._shown.add(key)


def _open(needs: NeedsAt, values: Sequence[str]) -> bool:
    for at, allowed in needs:  # noqa: SIM110 - the loop is twice as quick as any() of a generator
        if values[at] not in allowed:
            return False
    return True


def _apply(changes: ChangesAt, falls: list[_Falls], values: Values) -> Values:
    """Return the values after some changes and what falls by itself."""
    if not changes:
        return values
    now = list(values)
    if not _change(changes, now, values):
        return values
    changed = True
    while changed:
        changed = False
        for known, drops in falls:
            if not _open(known, now):
                changed |= _change(drops, now, now)
    return tuple(now)


def _change(changes: ChangesAt, now: list[str], before: Sequence[str]) -> bool:
    changed = False
    for at, value, only_from, asked in changes:
        if asked is not None and before[asked[0]] not in asked[1]:
            continue
        if now[at] != value and (not only_from or now[at] in only_from):
            now[at] = value
            changed = True
    return changed


class _View(dict[str, str]):
    """The values of a slice by name, filled when first asked."""

    __slots__ = ("_index", "_values")

    def __init__(self, index: Mapping[str, int], values: Values) -> None:
        super().__init__()
        self._index, self._values = index, values

    def __missing__(self, name: str) -> str:
        return self._values[self._index[name]]


def _steps(table: Table, tracked: frozenset[str]) -> Iterator[Move]:
    """The moves of every step that changes a tracked fact."""
    found: dict[str, StepMoves] = {}
    for fact in sorted(tracked):
        found.update((step.where, step) for step in table.steps_by_fact.get(fact, ()))
    yield from _once(found.values(), tracked)


def _others(table: Table, tracked: frozenset[str]) -> Iterator[Move]:
    """Everything beside the steps that changes a tracked fact."""
    found = {id(move): move for fact in sorted(tracked) for move in table.others_by_fact.get(fact, ())}
    yield from (_on(move, tracked) for move in found.values())


def _looked_at(table: Table, tracked: frozenset[str], named: Iterable[str]) -> Iterator[Move]:
    """What is looked at by name although it changes no tracked fact."""
    for name in named:
        steps = [s for s in table.steps_by_act.get(name, ()) if tracked.isdisjoint(s.changed)]
        yield from _once(steps, tracked)
        for move in table.others_by_name.get(name, ()):
            if tracked.isdisjoint(change.fact for change in move.changes):
                yield _on(move, tracked)


def _once(steps: Iterable[StepMoves], tracked: frozenset[str]) -> Iterator[Move]:
    """The moves of some steps, those that are alike once; a proof is alike only to itself."""
    alike: set[object] = set()
    for step in steps:
        at = step.where if step.act.name in PROOFS else ""
        for move in step_moves(step, tracked):
            key = (move.label.name, at, move.label.answers, move.needs, move.changes)
            if key not in alike:
                alike.add(key)
                yield move


def _on(move: Move, tracked: frozenset[str]) -> Move:
    """A move as far as it is about the tracked facts."""
    needs = tuple(n for n in move.needs if n.fact in tracked)
    return Move(move.label, needs, tuple(c for c in move.changes if c.fact in tracked))


def explore(piece: Slice, breaks: Breaks, most: int = 1_000_000) -> Found:
    """Return the shortest walk to a move that breaks, or how many states were seen without one.

    ValueError when more than `most` states are met; nothing is said of a job that was not looked at whole.
    """
    seen: dict[Values, tuple[Values, Label] | None] = dict.fromkeys(piece.starts)
    queue = deque(piece.starts)
    falls, index = piece.falls(), piece.index
    numbers: dict[ChangesAt, int] = {}
    moves = [(label, needs, numbers.setdefault(to, len(numbers)), to) for label, needs, to in piece.compiled()]
    while queue:
        values = queue.popleft()
        before = _View(index, values)
        done: list[tuple[Values, _View] | None] = [None] * len(numbers)
        for label, needs, number, changes in moves:
            if not _open(needs, values):
                continue
            made = done[number]
            if made is None:
                new = _apply(changes, falls, values)
                made = done[number] = (new, before if new is values else _View(index, new))
            new, after = made
            if breaks(label, before, after):
                last = Taken(label, piece.named(values), piece.named(new))
                return Found(len(seen), (*_path(piece, seen, values), last))
            if new not in seen:
                seen[new] = (values, label)
                queue.append(new)
        if len(seen) > most:
            raise ValueError(f"more than {most} states over {', '.join(piece.facts)}")
    return Found(len(seen))


def _path(piece: Slice, seen: Mapping[Values, tuple[Values, Label] | None], values: Values) -> tuple[Taken, ...]:
    back: list[Taken] = []
    while (came := seen[values]) is not None:
        before, label = came
        back.append(Taken(label, piece.named(before), piece.named(values)))
        values = before
    return tuple(reversed(back))
