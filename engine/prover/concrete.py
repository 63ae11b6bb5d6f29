"""Walks again, by the real decision, what an exploration found over a few facts.

For: showing only walks that can really be walked.
Must never: print or believe a walk that `decide` refused.

Between two moves of the found path the walk goes forward with sound answers, as long as these leave the watched facts
as they are.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

from ferrule.engine.light import dataclass
from ferrule.engine.procedure.amend import AMENDABLE
from ferrule.engine.prover.driver import At, Driver
from ferrule.engine.prover.moves import (
    AMEND,
    ANSWER,
    CARRY_ON,
    COMMAND,
    FALLS,
    HAND_OVER,
    LONG_ABSENCE,
    REPORT,
    STOP,
    STRIKE,
    Label,
)
from ferrule.engine.prover.slices import Breaks, Taken
from ferrule.engine.prover.world import TRUTH, touches_live
from ferrule.engine.safety.acts import ACTS, FAIL, PASS, REFER
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal, indicator_lapsed
from ferrule.engine.walk.cells import Slot
from ferrule.engine.walk.place import gate, objects_of

Ends = Breaks
"""Whether the last move of a walk breaks what was to be shown."""

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


def walk_again(driver: Driver, path: Sequence[Taken], watched: Sequence[str], ends: Ends) -> Walked:
    """Return the shortest walk that takes the moves of a path, or what shut it.

    First every move is looked for with the watched facts just as the path has them; where no walk does that, a sound
    job is walked up to the last move, and something happens just before it; and where that does not do it either, only
    what departs from a sound job is taken from the path, and the walk goes forward in its own order in between.
    """
    shut: dict[str, None] = {}
    strict = _search(driver, path, watched, ends, shut)
    if strict is not None:
        return Walked(strict)
    late = _happens_late(driver, path, ends)
    if late is not None:
        return Walked(late)
    departs = [taken for taken in path[:-1] if _departs(taken.label)]
    loose = _search(driver, [*departs, path[-1]], (), ends, shut)
    return Walked(loose) if loose is not None else Walked((), tuple(shut))


def _departs(label: Label) -> bool:
    if label.kind == ANSWER:
        return any(answer != PASS for _, answer in label.answers)
    return label.kind != TRUTH


def _happens_late(driver: Driver, path: Sequence[Taken], ends: Ends) -> tuple[Given, ...] | None:
    """Walk a sound job up to the act of the last move, let one thing happen, and see whether the act is still open."""
    wanted = path[-1]
    if wanted.label.kind != ANSWER:
        return None
    for walk in driver.sound_walks():
        for index, taken in enumerate(walk):
            step = driver.step(taken.before)
            if step is None or step.act != wanted.label.name or isinstance(taken.command, c.StampRound):
                continue
            sound = tuple(Given(t.command, t.before, t.after) for t in walk[:index])
            for happened in ((), *_one_thing(driver, taken.before)):
                at = happened[-1].after if happened else taken.before
                done = _answered(driver, at, wanted, ends)
                if done is not None:
                    return (*sound, *happened, *done)
    return None


def _one_thing(driver: Driver, at: At) -> Iterator[tuple[Given, ...]]:
    """Whatever may happen now, taken by the real decision."""
    for commands in _happenings(driver, at):
        now = at
        taken: list[Given] = []
        for give in commands:
            command = give(now)
            after = driver.give(now, command) if command is not None else None
            if command is None or after is None or isinstance(after, Refusal):
                break
            taken.append(Given(command, now, after, _label_of(command)))
            now = after
        else:
            yield tuple(taken)


def _happenings(driver: Driver, at: At) -> Iterator[tuple[Callable[[At], c.Command | None], ...]]:
    for command in _whatever(driver, at):
        yield (partial(_just, command),)
    yield (driver.hand_over,)
    yield (driver.away, driver.back_late)
    for field in AMENDABLE:
        yield (partial(driver.amend, field=field),)


def _just(command: c.Command, _at: At) -> c.Command:
    return command


def _label_of(command: c.Command) -> Label:
    """How a command is told."""
    if isinstance(command, c.Report):
        return Label(REPORT, command.what, answers=((command.of, ""),))
    if isinstance(command, c.Correct):
        return Label(FALLS, "")
    if isinstance(command, c.Amend):
        return Label(AMEND, command.field)
    names = {c.StopWork: STOP, c.HandOver: HAND_OVER, c.StepAway: "step away", c.ComeBack: LONG_ABSENCE}
    return Label(COMMAND, names.get(type(command), type(command).__name__))


def _answered(driver: Driver, at: At, wanted: Taken, ends: Ends) -> tuple[Given, ...] | None:
    """Answer the step as the last move does, if it is still open and that breaks what was to be shown."""
    begun = _begun(driver, _Node(at, 0))
    stamped = (begun.given,) if begun.given is not None else ()
    for command in _answers(driver, begun.at, wanted.label, {}, ends):
        for after in _take(driver, begun, command, {}, wanted.label):
            if after.done and _ends(driver, ends, after, wanted):
                given = after.given
                assert given is not None
                settled = (after.back.given,) if after.back is not begun and after.back and after.back.given else ()
                return (*stamped, *settled, given)
    return None


def _search(
    driver: Driver, path: Sequence[Taken], watched: Sequence[str], ends: Ends, shut: dict[str, None]
) -> tuple[Given, ...] | None:
    first = driver.begin()
    queue = deque((_Node(first, 0),))
    seen = {_key(driver, first, 0)}
    while queue and len(seen) < MOST_PLACES:
        node = queue.popleft()
        if node.done == len(path):
            return _trail(node)
        if path[node.done].label.kind == TRUTH:
            queue.appendleft(_Node(node.at, node.done + 1, node.back, node.given))
            continue
        for after in _options(driver, node, path, watched, ends, shut):
            key = _key(driver, after.at, after.done)
            if key not in seen:
                seen.add(key)
                queue.append(after)
    return None


def _options(
    driver: Driver,
    node: _Node,
    path: Sequence[Taken],
    watched: Sequence[str],
    ends: Ends,
    shut: dict[str, None],
) -> Iterator[_Node]:
    wanted = path[node.done]
    last = node.done == len(path) - 1
    expected = {fact: wanted.after[fact] for fact in watched}
    ready = _begun(driver, node)
    here = ready if wanted.label.kind == ANSWER else node
    for command in _commands(driver, here.at, wanted.label, shut, ends if last else None):
        for after in _take(driver, here, command, expected, wanted.label):
            if not last or after.done == node.done or _ends(driver, ends, after, wanted):
                yield after
    ahead = driver.forward(ready.at)
    if ahead is not None:
        now = {fact: node.at.state.facts.get(fact, "") for fact in watched}
        yield from _take(driver, ready, ahead, now, None)
        if watched and not last and wanted.label.kind == ANSWER:
            yield from _take(driver, ready, ahead, expected, wanted.label)


def _ends(driver: Driver, ends: Ends, after: _Node, wanted: Taken) -> bool:
    """True when the last command really breaks what was to be shown."""
    given = after.given
    assert given is not None
    step = driver.step(given.before)
    label = wanted.label
    if label.kind == ANSWER and step is not None:
        label = Label(ANSWER, step.act, given.before.state.step, label.answers)
    return ends(label, {**wanted.before, **given.before.state.facts}, {**wanted.after, **after.at.state.facts})


def _begun(driver: Driver, node: _Node) -> _Node:
    """The walk with the start of its round stamped, where the step is a round with a hand in it."""
    stamp = driver.start_of_round(node.at)
    after = driver.give(node.at, stamp) if stamp is not None else node.at
    if stamp is None or isinstance(after, Refusal):
        return node
    return _Node(after, node.done, node, Given(stamp, node.at, after))


def _take(
    driver: Driver, node: _Node, command: c.Command, expected: Mapping[str, str], label: Label | None
) -> Iterator[_Node]:
    after = driver.give(node.at, command)
    if isinstance(after, Refusal):
        return
    if label is not None and label.kind == ANSWER and after.state.pending is not None:
        doubtful = _Node(after, node.done, node, Given(command, node.at, after))
        settle = driver.settle(after, "pass" if all(answer == PASS for _, answer in label.answers) else "fail")
        settled = driver.give(after, settle)
        if not isinstance(settled, Refusal) and _same(settled, expected):
            yield _Node(settled, node.done + 1, doubtful, Given(settle, after, settled, label))
    half_signed = isinstance(command, c.Sign) and label is not None and after.state.step == node.at.state.step
    if half_signed and not _same(after, expected):
        yield _Node(after, node.done, node, Given(command, node.at, after))
        return
    if _same(after, expected):
        done = node.done + (label is not None)
        yield _Node(after, done, node, Given(command, node.at, after, label))


def _same(at: At, expected: Mapping[str, str]) -> bool:
    return all(at.state.facts.get(fact) == value for fact, value in expected.items())


def _commands(driver: Driver, at: At, label: Label, shut: dict[str, None], ends: Ends | None) -> Iterator[c.Command]:
    """The commands that a move may stand for here; the last move may be any act that ends the walk alike."""
    if label.kind == ANSWER:
        yield from _answers(driver, at, label, shut, ends)
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


def _answers(driver: Driver, at: At, label: Label, shut: dict[str, None], ends: Ends | None) -> Iterator[c.Command]:
    step = driver.step(at)
    if step is None or at.state.pending is not None:
        return
    touching = step.act in ACTS and bool(ACTS[step.act].touches)
    if step.act != label.name and not (ends is touches_live and touching):
        return
    missing = gate(driver.job, step, at.state.facts)
    if missing:
        shut.update(dict.fromkeys(need.fact for need in missing))
        return
    if step.kind == "hold":
        yield from _some(driver.sign(at))
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


def _key(driver: Driver, at: At, done: int) -> object:
    state = at.state
    signed = tuple(sorted((hold, len(roles)) for hold, roles in state.signed.items()))
    return (
        state.step,
        tuple(state.facts.values()),
        done,
        state.pending is not None,
        state.round_start_ms is not None,
        state.away_ms is not None,
        indicator_lapsed(driver.job, state, driver.step(at), at.now_ms),
        signed,
    )


def _trail(node: _Node) -> tuple[Given, ...]:
    found: list[Given] = []
    here: _Node | None = node
    while here is not None and here.given is not None:
        found.append(here.given)
        here = here.back
    return tuple(reversed(found))
