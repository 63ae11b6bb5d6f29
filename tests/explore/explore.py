"""Exhaustive and random exploration of `decide`, judged by the monitors and the true world."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.evolve import advance, start
from ferrule.engine.walk.state import State, state_hash
from tests.support.walker import Walker, answers, disturbances, technician


def snapshots(job: Job) -> list[Walker]:
    """Return the walk as it stands at each step of the straight walk."""
    walker = Walker.begin(job)
    found = [fork(walker)]
    for _ in range(400):
        command = walker.healthy()
        if command is None:
            break
        before = walker.state.step
        if isinstance(walker.give(command), Refusal):
            break
        if walker.state.step != before and not walker.state.outcome:
            found.append(fork(walker))
    return found


def fork(walker: Walker) -> Walker:
    """Return a copy of a walk that can go its own way; its trail starts anew."""
    return replace(
        walker,
        world=replace(walker.world, on=dict(walker.world.on), harm=[]),
        record=walker.record.fork(),
        trail=[],
    )


def moves(walker: Walker) -> Iterator[c.Command]:
    """Yield everything that can be done or can happen now."""
    yield from answers(walker)
    yield from disturbances(walker)


@dataclass
class Survey:
    """What an exploration has seen."""

    seen: dict[int, int] = field(default_factory=dict)
    states: int = 0
    commands: int = 0
    refused: int = 0
    broken: list[str] = field(default_factory=list)


def key_of(walker: Walker) -> object:
    """Return what tells two walks apart for what may come: everything but counters and times."""
    s, r, w = walker.state, walker.record, walker.world
    lately = s.indicator_ms is not None and walker.now_ms - s.indicator_ms > 300_000
    return (
        tuple(s.facts.values()),
        s.step,
        s.pending is not None,
        tuple(sorted(s.signed)),
        s.round_start_ms is not None,
        s.away_ms is not None,
        s.operator,
        lately,
        max(s.done, default=0) and s.done[max(s.done)].step,
        s.amendments,
        r.proved,
        r.hold_two,
        r.listed,
        tuple(sorted(r.locked)),
        r.indicator,
        tuple(sorted(r.results.items())),
        tuple(sorted(r.holds)),
        tuple(sorted(k for k, v in r.repaired.items() if v)),
        tuple(w.on.values()),
        w.indicator_works,
    )


def explore(walker: Walker, depth: int, survey: Survey) -> None:
    """Try every sequence of commands of a length, taking up equal states once."""
    key = hash(key_of(walker))
    if survey.seen.get(key, -1) >= depth:
        return
    if key not in survey.seen:
        survey.states += 1
    survey.seen[key] = depth
    if depth == 0:
        return
    for command in moves(walker):
        survey.commands += 1
        found = decide(walker.job, walker.state, command)
        if isinstance(found, Refusal) and not found.kept:
            survey.refused += 1
            continue
        after = fork(walker)
        after.take(command, found)
        problems = [*after.record.broken, *after.world.harm]
        if problems:
            survey.broken.append(f"{walker.state.step}: {command}: {problems}")
            continue
        explore(after, depth - 1, survey)


@dataclass
class Walked:
    """How a random walk went."""

    commands: int
    refused: int
    outcome: str
    problems: list[str]
    hash_live: str
    hash_again: str


def random_walk(job: Job, seed: int, least: int = 300) -> Walked:
    """Walk at random, mostly forward, with everything that can happen on the way; then fold it again from its events.

    A walk that ends early is followed by another with the same chance, until enough commands were given.
    """
    chance = random.Random(seed)
    commands = refused = 0
    problems: list[str] = []
    outcome = hash_live = hash_again = ""
    calm = chance.choice((0.88, 0.96, 0.99))
    while commands < least:
        walker = Walker.begin(job)
        while commands < least and not walker.state.outcome:
            given = _random_command(walker, chance, calm)
            if given is None:
                break
            walker.give(given)
            commands += 1
            if chance.random() < 0.004:
                walker.world.indicator_works = False
        problems += [*walker.record.broken, *walker.world.harm]
        refused += walker.refusals
        outcome = walker.state.outcome or walker.state.step
        hash_live, hash_again = state_hash(walker.state), state_hash(fold_again(walker))
        if hash_live != hash_again:
            problems.append("deciding the commands again gives another state")
    return Walked(commands, refused, outcome, problems, hash_live, hash_again)


def fold_again(walker: Walker) -> State:
    """Return the state that the same commands, decided again from the opening, lead to."""
    state = start(walker.job, technician(walker.job))
    for command, recorded in walker.trail:
        found = decide(walker.job, state, command)
        events = refused_events(found, state.step) if isinstance(found, Refusal) else found
        if events != recorded:
            raise AssertionError(f"{state.step}: {command} is decided otherwise the second time")
        state = advance(state, command, events)
    return state


def _random_command(walker: Walker, chance: random.Random, calm: float) -> c.Command | None:
    if walker.state.away_ms is not None and chance.random() < 0.8:
        return c.ComeBack(
            walker.state.operator, c.Stamp(walker.now_ms + chance.choice((60_000, 3_600_000)), "2026-11-25")
        )
    if chance.random() < calm:
        healthy = walker.healthy()
        if healthy is not None:
            return healthy
    options = list(moves(walker))
    return chance.choice(options) if options else None
