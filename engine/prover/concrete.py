"""Walks again, by the real decision, what an exploration found over a few facts.

For: showing only walks that can really be walked.
Must never: print or believe a walk that `decide` refused.

Between two moves of the found path the walk goes forward with sound answers, as long as these leave the watched facts
as they are.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence

from ferrule.engine.light import dataclass
from ferrule.engine.prover.driver import At, Driver
from ferrule.engine.prover.moves import AMEND, ANSWER, CARRY_ON, COMMAND, FALLS, HAND_OVER, LONG_ABSENCE, REPORT, STOP, STRIKE, Label
from ferrule.engine.prover.slices import Taken
from ferrule.engine.safety.acts import FAIL, PASS, REFER
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.cells import Slot
from ferrule.engine.walk.place import gate, objects_of

MOST_PLACES = 20_000
"""A search that meets more places than this gives up; the set counts as not shown, never as shown."""

_WORDS: Mapping[str, tuple[str, ...]] = {
    PASS: ("pass",),
    REFER: ("conditional-pass", "not-measured", "conditional-fail"),
    FAIL: ("fail", "over-range"),
}


@dataclass(frozen=True, slots=True)
class Given:
    """One command that was taken, with the walk before and after it, and the move of the path that it stands for."""

    command: c.Command
    before: At
    after: At
    stands_for: Label | None = None


@dataclass(frozen=True, slots=True)
class Walked:
    """A walk that the real decision took, or the needs that shut every way to it."""

    commands: tuple[Given, ...] = ()
    shut: tuple[str, ...] = ()
    """Facts whose needs were not met where the path wanted to go on."""


@dataclass(frozen=True, slots=True)
class _Node:
    at: At
    done: int
    back: _Node | None = None
    given: Given | None = None


def walk_again(driver: Driver, path: Sequence[Taken], watched: Sequence[str]) -> Walked:
    """Return the shortest walk that takes the moves of a path, or what shut it."""
    first = driver.begin()
    queue = deque((_Node(first, 0),))
    seen = {_key(first, 0)}
    shut: dict[str, None] = {}
    while queue and len(seen) < MOST_PLACES:
        node = queue.popleft()
        if node.done == len(path):
            return Walked(_trail(node))
        wanted = path[node.done]
        for after in _options(driver, node, wanted, watched, shut):
            key = _key(after.at, after.done)
            if key not in seen:
                seen.add(key)
                queue.append(after)
    return Walked((), tuple(shut))


def _options(
    driver: Driver, node: _Node, wanted: Taken, watched: Sequence[str], shut: dict[str, None]
) -> Iterator[_Node]:
    expected = {fact: wanted.after[fact] for fact in watched}
    for command in _commands(driver, node.at, wanted.label, shut):
        yield from _take(driver, node, command, expected, wanted.label)
    now = {fact: node.at.state.facts.get(fact, "") for fact in watched}
    step = driver.prepared(node.at)
    ahead = driver.forward(step)
    if ahead is not None:
        yield from _take(driver, _Node(step, node.done, node.back, node.given), ahead, now, None)


def _take(
    driver: Driver, node: _Node, command: c.Command, expected: Mapping[str, str], label: Label | None
) -> Iterator[_Node]:
    after = driver.give(node.at, command)
    if isinstance(after, Refusal):
        return
    if label is not None and label.kind == ANSWER and after.state.pending is not None:
        decision = "pass" if all(answer == PASS for _, answer in label.answers) else "fail"
        settled = driver.give(after, driver.settle(after, decision))
        if not isinstance(settled, Refusal) and _same(settled, expected):
            yield _Node(settled, node.done + 1, node, Given(command, node.at, settled, label))
    half_signed = isinstance(command, c.Sign) and label is not None and after.state.step == node.at.state.step
    if half_signed and not _same(after, expected):
        yield _Node(after, node.done, node, Given(command, node.at, after))
        return
    if _same(after, expected):
        done = node.done + (label is not None)
        yield _Node(after, done, node, Given(command, node.at, after, label))


def _same(at: At, expected: Mapping[str, str]) -> bool:
    return all(at.state.facts.get(fact) == value for fact, value in expected.items())


def _commands(driver: Driver, at: At, label: Label, shut: dict[str, None]) -> Iterator[c.Command]:
    """The commands that a move may stand for here."""
    if label.kind == ANSWER:
        yield from _answers(driver, at, label, shut)
    elif label.kind == REPORT:
        yield driver.report(at, label.name, label.of)
    elif label.kind == STRIKE:
        yield from _some(driver.strike(at, label.name))
    elif label.kind == AMEND:
        yield from _some(driver.amend(at, label.name))
    elif label.kind == COMMAND:
        yield from _around(driver, at, label.name)
    elif label.kind == FALLS:
        yield from _whatever(driver, at)


def _answers(driver: Driver, at: At, label: Label, shut: dict[str, None]) -> Iterator[c.Command]:
    step = driver.step(at)
    if step is None or step.act != label.name or at.state.pending is not None:
        return
    missing = gate(driver.job, step, at.state.facts)
    if missing:
        shut.update(dict.fromkeys(need.fact for need in missing))
        return
    if step.kind == "hold":
        yield from _some(driver.sign(at))
        return
    ready = driver.prepared(at)
    if ready is not at:
        return
    classes = dict(label.answers)
    one = len(objects_of(driver.job, step)) == 1 and step.of != "each"
    words = dict.fromkeys(w for answer in classes.values() for w in _WORDS.get(answer, (answer,)))
    for word in words:

        def spoil(slot: Slot) -> bool:
            wanted = next(iter(classes.values())) if one else classes.get(slot.point, PASS)
            return wanted != PASS

        yield driver.answer(at, word, spoil)


def _around(driver: Driver, at: At, name: str) -> Iterator[c.Command]:
    if name == STOP:
        yield driver.stop(at)
    elif name == CARRY_ON:
        yield driver.carry_on(at)
    elif name == HAND_OVER:
        yield from _some(driver.hand_over(at))
    elif name == LONG_ABSENCE:
        yield driver.away(at) if at.state.away_ms is None else driver.back_late(at)
    elif name.startswith("supervisor "):
        yield driver.presence(at, name.endswith("present"))


def _whatever(driver: Driver, at: At) -> Iterator[c.Command]:
    """Everything that can happen, for a fall that comes with it."""
    for row in DISTURBANCES.values():
        for of in driver.job.objects.get(row.object, ()) if row.object else ("",):
            yield driver.report(at, row.name, of)
    for entry in sorted(at.state.done, reverse=True)[:40]:
        yield c.Correct(at.state.operator, driver.stamp(at), entry, "typed wrongly")
    yield driver.stop(at)


def _some(command: c.Command | None) -> Iterator[c.Command]:
    if command is not None:
        yield command


def _key(at: At, done: int) -> object:
    state = at.state
    signed = tuple(sorted((hold, len(roles)) for hold, roles in state.signed.items()))
    return (
        state.step,
        tuple(state.facts.values()),
        done,
        state.pending is not None,
        state.round_start_ms is not None,
        state.away_ms is not None,
        signed,
    )


def _trail(node: _Node) -> tuple[Given, ...]:
    found: list[Given] = []
    here: _Node | None = node
    while here is not None and here.given is not None:
        found.append(here.given)
        here = here.back
    return tuple(reversed(found))
