"""A slice never calls safe what a full exploration reaches, and finds the shortest walk where it tracks everything."""

from __future__ import annotations

from collections import deque

from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.prover.moves import COMMAND, Change, Falls, Label, Move, Table
from ferrule.engine.prover.slices import Slice, explore
from ferrule.engine.safety.acts import Need
from tests.support.jobs import job_of

FACTS = ("a", "b", "c", "d")
VALUES = ("0", "1", "2")

need = st.builds(Need, st.sampled_from(FACTS), st.sampled_from((("0",), ("1",), ("2",), ("1", "2"))))
needs = st.lists(need, max_size=2).map(tuple)
unless = st.lists(need, min_size=1, max_size=2).map(tuple)
changes = st.lists(
    st.builds(
        Change, st.sampled_from(FACTS), st.sampled_from(VALUES), st.sampled_from(((), ("0",), ("1", "2"))), st.none()
    ),
    min_size=1,
    max_size=2,
).map(tuple)
drops = st.lists(
    st.builds(Change, st.sampled_from(FACTS), st.just("0"), st.sampled_from((("1",), ("2",))), st.none()),
    min_size=1,
    max_size=2,
).map(tuple)
moves = st.lists(st.tuples(needs, changes), min_size=1, max_size=7)
falls = st.lists(st.tuples(unless, drops), max_size=3)

JOB = job_of("radial-5")


def table(
    found: list[tuple[tuple[Need, ...], tuple[Change, ...]]], rules: list[tuple[tuple[Need, ...], tuple[Change, ...]]]
) -> Table:
    """A table of moves over four facts that all begin at 0."""
    listed = tuple(Move(Label(COMMAND, f"move {n}"), own, made) for n, (own, made) in enumerate(found))
    rows = tuple(Falls(f"rule {n}", own, dropped) for n, (own, dropped) in enumerate(rules))
    made = Table(JOB, dict.fromkeys(FACTS, "0"), (), listed, rows)
    for move in listed:
        for fact in dict.fromkeys(change.fact for change in move.changes):
            made.others_by_fact.setdefault(fact, []).append(move)
    for rule in rows:
        for fact in dict.fromkeys(drop.fact for drop in rule.drops):
            made.falls_by_fact.setdefault(fact, []).append(rule)
    return made


def brute(made: Table) -> dict[tuple[str, ...], int]:
    """Every state that can really be reached, with the least number of moves, by plain search over all facts."""

    def settle(now: dict[str, str]) -> dict[str, str]:
        changed = True
        while changed:
            changed = False
            for rule in made.falls:
                if all(now[n.fact] in n.values for n in rule.unless):
                    continue
                for drop in rule.drops:
                    if now[drop.fact] in drop.only_from and now[drop.fact] != drop.value:
                        now[drop.fact] = drop.value
                        changed = True
        return now

    start = tuple(made.facts.values())
    seen = {start: 0}
    queue = deque((start,))
    while queue:
        state = queue.popleft()
        for move in made.others:
            now = dict(zip(FACTS, state, strict=True))
            if not all(now[n.fact] in n.values for n in move.needs):
                continue
            before = dict(now)
            for change in move.changes:
                if not change.only_from or now[change.fact] in change.only_from:
                    now[change.fact] = change.value
            after = tuple((settle(now) if now != before else now).values())
            if after not in seen:
                seen[after] = seen[state] + 1
                queue.append(after)
    return seen


def bad_when(fact: str, value: str):
    """Break on a move after which a fact has a value."""
    return lambda _label, before, after: before[fact] != value and after[fact] == value


@settings(max_examples=400, deadline=None)
@given(moves, falls, st.sampled_from(FACTS), st.sampled_from(("1", "2")), st.sets(st.sampled_from(FACTS), max_size=2))
def test_a_slice_never_misses(found, rules, fact, value, beside) -> None:
    """What a slice calls unreachable, no exploration of all facts reaches, whatever else is tracked."""
    made = table(found, rules)
    shown = not explore(Slice(made, (fact, *beside)), bad_when(fact, value)).path
    really = any(state[FACTS.index(fact)] == value for state in brute(made))
    assert not (shown and really)


@settings(max_examples=400, deadline=None)
@given(moves, falls, st.sampled_from(FACTS), st.sampled_from(("1", "2")))
def test_over_all_facts_it_is_exact_and_shortest(found, rules, fact, value) -> None:
    """With every fact tracked, a slice finds a walk exactly where there is one, and none shorter exists."""
    made = table(found, rules)
    path = explore(Slice(made, FACTS), bad_when(fact, value)).path
    reached = [count for state, count in brute(made).items() if state[FACTS.index(fact)] == value]
    assert bool(path) == bool(reached)
    if path:
        assert len(path) == min(reached)
