"""Every sequence of commands from every step of the reference walk, every disturbance, and long random walks.

The monitors read the list of events alone; the true world says whether a hand touched something live.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from multiprocessing import get_context
from typing import TypeVar

import pytest

from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from tests.explore.explore import Survey, Walked, explore, fork, moves, random_walk, snapshots
from tests.support.jobs import ALL, REFERENCE, job_of
from tests.support.walker import DAY, Walker, disturbances

PARTS = 8
T = TypeVar("T")


def in_parts(work: Callable[[int], T], parts: int) -> list[T]:
    """Do work in as many processes as the machine has cores."""
    with get_context("fork").Pool(os.cpu_count() or 1) as pool:
        return pool.map(work, range(parts), chunksize=1)


def survey_part(part: int, depth: int = 3) -> Survey:
    """Explore every eighth step of the reference walk; each part is a process of its own."""
    survey = Survey()
    for snapshot in snapshots(job_of())[part::PARTS]:
        explore(snapshot, depth, survey)
    survey.seen.clear()
    return survey


def survey_four(part: int) -> Survey:
    """Explore sequences of length 4."""
    return survey_part(part, 4)


def told(surveys: list[Survey]) -> str:
    """Return the figures of an exploration for the test's output."""
    return f"{sum(s.states for s in surveys)} states, {sum(s.commands for s in surveys)} commands"


def sequences_of_two(every: int) -> Survey:
    """Explore sequences of two from one step in so many."""
    survey = Survey()
    for snapshot in snapshots(job_of())[::every]:
        explore(snapshot, 2, survey)
    return survey


@pytest.mark.slow
def test_sequences_of_two_from_every_eighth_step() -> None:
    """No sequence of two commands from one step in eight breaks an invariant.

    Shows: WB-04
    """
    survey = sequences_of_two(8)

    assert survey.broken == []
    assert survey.commands > 4_000


@pytest.mark.nightly
def test_every_sequence_of_two() -> None:
    """No sequence of two commands from any step breaks an invariant."""
    survey = sequences_of_two(1)

    assert survey.broken == []
    assert survey.commands > 40_000


@pytest.mark.nightly
def test_every_sequence_of_three(capsys: pytest.CaptureFixture[str]) -> None:
    """No sequence of three commands from any step breaks an invariant."""
    surveys = in_parts(survey_part, PARTS)

    with capsys.disabled():
        sys.stdout.write(f"\nsequences of three: {told(surveys)}")
    assert [b for s in surveys for b in s.broken] == []


@pytest.mark.nightly
def test_every_sequence_of_four(capsys: pytest.CaptureFixture[str]) -> None:
    """No sequence of four commands from any step breaks an invariant."""
    surveys = in_parts(survey_four, PARTS)

    with capsys.disabled():
        sys.stdout.write(f"\nsequences of four: {told(surveys)}")
    assert [b for s in surveys for b in s.broken] == []


SHARE = 8
"""One disturbance in so many is tried outside the nightly tests: each kind at every eighth step, in turn."""


def disturbed_part(part: int, share: int = 1) -> tuple[int, list[str]]:
    """Disturb every eighth step once in each way and walk on to an end; return how often, and what went wrong."""
    wrong: list[str] = []
    count = 0
    for step, snapshot in list(enumerate(snapshots(job_of())))[part::PARTS]:
        for number, command in enumerate(disturbances(snapshot)):
            if (number + step) % share:
                continue
            walker = fork(snapshot)
            if isinstance(walker.give(command), Refusal):
                continue
            count += 1
            problem = _to_an_end(walker)
            if problem:
                wrong.append(f"{snapshot.state.step}: {command}: {problem}")
    return count, wrong


def _to_an_end(walker: Walker) -> str:
    """Walk on healthily to a closed log; return what went wrong on the way."""
    if walker.state.away_ms is not None:
        walker.give(c.ComeBack(walker.state.operator, c.Stamp(walker.now_ms + 3_600_000, DAY)))
    for _ in range(300):
        command = walker.healthy()
        if command is None:
            break
        found = walker.give(command)
        if isinstance(found, Refusal):
            return f"refused at {walker.state.step}: {found.reason}"
    broken = [*walker.record.broken, *walker.world.harm]
    if broken:
        return str(broken)
    return "" if walker.state.outcome else f"no end: {walker.state.step} {walker.state.why_here}"


def disturbed_share(part: int) -> tuple[int, list[str]]:
    """Disturb every eighth step in one way out of eight."""
    return disturbed_part(part, SHARE)


@pytest.mark.slow
def test_a_share_of_single_disturbances_comes_to_an_end() -> None:
    """After one thing in eight that can happen at each step, every kind of it among them, the walk comes to an end."""
    found = in_parts(disturbed_share, PARTS)

    assert sum(count for count, _ in found) > 250
    assert [w for _, wrong in found for w in wrong] == []


@pytest.mark.nightly
def test_every_single_disturbance_comes_to_an_end(capsys: pytest.CaptureFixture[str]) -> None:
    """After any one thing that can happen at any step, the walk still comes to a closed log, breaking nothing."""
    found = in_parts(disturbed_part, PARTS)

    with capsys.disabled():
        sys.stdout.write(f"\nsingle disturbances: {sum(count for count, _ in found)}")
    assert [w for _, wrong in found for w in wrong] == []


def walks_part(part: int, seeds: int = 125) -> list[Walked]:
    """Walk so many seeds at random on the reference job."""
    return [random_walk(job_of(), seed) for seed in range(part * seeds, (part + 1) * seeds)]


def few_walks(part: int) -> list[Walked]:
    """Walk five seeds at random."""
    return walks_part(part, 5)


@pytest.mark.slow
def test_forty_random_walks(capsys: pytest.CaptureFixture[str]) -> None:
    """Random walks of at least 300 commands break nothing and replay to equal states.

    Shows: WB-15
    """
    check_walks([walk for part in in_parts(few_walks, PARTS) for walk in part], 40, capsys)


@pytest.mark.nightly
def test_thousand_random_walks(capsys: pytest.CaptureFixture[str]) -> None:
    """The same with a thousand."""
    check_walks([walk for part in in_parts(walks_part, PARTS) for walk in part], 1000, capsys)


def check_walks(walks: list[Walked], count: int, capsys: pytest.CaptureFixture[str]) -> None:
    """So many walks, long enough, without a fault, and the same when walked again."""
    with capsys.disabled():
        sys.stdout.write(f"\nrandom walks: {len(walks)}, {sum(w.commands for w in walks)} commands")
    assert len(walks) == count
    assert all(w.commands >= 300 for w in walks)
    assert [p for w in walks for p in w.problems] == []
    assert all(w.hash_live == w.hash_again for w in walks)


@pytest.mark.parametrize("name", [n for n in ALL if n != REFERENCE])
def test_random_walks_on_other_cards(name: str) -> None:
    """Other cards, one with an apprentice and a supervisor, walk at random and break nothing."""
    walks = [random_walk(job_of(name), seed, least=200) for seed in range(6)]

    assert [p for w in walks for p in w.problems] == []


def test_stop_is_always_open() -> None:
    """From every step and from one move off it, work can be stopped, and made safe without touching (invariant 43).

    Shows: DV-03
    """
    for snapshot in snapshots(job_of())[::2]:
        for command in (None, *moves(snapshot)):
            walker = fork(snapshot)
            if command is not None and isinstance(walker.give(command), Refusal):
                continue
            if walker.state.outcome or walker.state.facts["work"] == "stopped":
                continue
            stopped = walker.give(c.StopWork(walker.state.operator, walker.stamp(), "doubt"))
            assert not isinstance(stopped, Refusal), f"{walker.state.step}: {stopped}"
            assert _to_an_end(walker) == ""
            assert walker.state.outcome in ("made safe", "stopped")
