"""The monitors of ends, upstream sides and shutdowns can fail: with a rule taken out of the tables they report it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import pytest

from ferrule.engine.procedure.compiled import Goal, Job
from ferrule.engine.safety import cascade
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.endings import ENDINGS
from ferrule.engine.walk.access import Refusal
from tests.support.ends import end_as
from tests.support.jobs import REFERENCE, job_of
from tests.support.walker import Walker

Patch = pytest.MonkeyPatch


def without(patch: Patch, *facts: str, acts: Iterable[str] = ()) -> None:
    """Take needs on these facts out of the acts, of every act where none is named, and out of every end."""
    for name in list(acts) or list(ACTS):
        act = ACTS[name]
        patch.setitem(ACTS, name, replace(act, needs=tuple(n for n in act.needs if n.fact not in facts)))
    for name, row in list(ENDINGS.items()):
        patch.setitem(ENDINGS, name, replace(row, needs=tuple(n for n in row.needs if n.fact not in facts)))


def without_rules(patch: Patch, *drops: str) -> None:
    """Take out every cascade rule that drops one of these facts."""
    kept = tuple(rule for rule in cascade.RULES if not {d.fact for d in rule.drops} & set(drops))
    assert len(kept) < len(cascade.RULES)
    patch.setattr(cascade, "RULES", kept)


def same(job: Job) -> Job:
    """Leave the job as it is."""
    return job


def end_without(end: str, *procedures: str) -> Callable[[Job], Job]:
    """Return a change of the plan that leaves goals by these procedures out of an end."""
    return _with_goals(end, lambda goals: tuple(g for g in goals if g.by not in procedures))


def end_early(end: str, procedure: str, before: str) -> Callable[[Job], Job]:
    """Return a change of the plan that puts the goal by one procedure before that by another."""

    def moved(goals: tuple[Goal, ...]) -> tuple[Goal, ...]:
        one = next(g for g in goals if g.by == procedure)
        rest = [g for g in goals if g is not one]
        rest.insert(next(i for i, g in enumerate(rest) if g.by == before), one)
        return tuple(rest)

    return _with_goals(end, moved)


def _with_goals(end: str, change: Callable[[tuple[Goal, ...]], tuple[Goal, ...]]) -> Callable[[Job], Job]:
    def changed(job: Job) -> Job:
        ends = {**job.plan.ends, end: change(job.plan.ends[end])}
        assert ends != job.plan.ends
        return replace(job, plan=replace(job.plan, ends=ends))

    return changed


def without_step(procedure: str, step: str) -> Callable[[Job], Job]:
    """Return a change that takes a step out of a procedure."""

    def changed(job: Job) -> Job:
        found = job.procedures[procedure]
        steps = tuple(s for s in found.steps if s.id != step)
        assert len(steps) < len(found.steps)
        return replace(job, procedures={**job.procedures, procedure: replace(found, steps=steps)})

    return changed


@dataclass(frozen=True)
class Mutant:
    """A rule taken out, the plan that no longer keeps it either, and the invariant that must notice."""

    name: str
    change: Callable[[Patch], None]
    noticed: str
    plan: Callable[[Job], Job] = same
    card: str = REFERENCE
    end: str = ""
    at: str = "insulation/read"


LANDING = ("result:landing line to earth", "result:landing line to neutral", "result:landing insulation")


def beside_anything(patch: Patch, *facts: str, acts: Iterable[str] = ()) -> None:
    """Let the other ways be on whatever these facts say, wherever that is stated."""
    without(patch, *facts, acts=acts)
    without_rules(patch, "others")


def put_back_unread(patch: Patch) -> None:
    """Let the old device be closed without a reading after landing."""
    without(patch, *LANDING)
    without_rules(patch, "hold:put back")


MUTANTS = (
    Mutant(
        "other ways on beside a way that is not locked",
        lambda p: without(p, "way lock", "others"),
        "20",
        end_without("made safe", "lock-way"),
        end="made safe, other ways on",
    ),
    Mutant(
        "other ways on beside seated terminals",
        lambda p: beside_anything(p, "terminal:*"),
        "15",
        end="made safe, other ways on",
        at="torque-tug-mark/each",
    ),
    Mutant(
        "other ways on beside loose ends",
        lambda p: beside_anything(
            p, "ends", acts=("lock off the job way", "give back the main switch for the other ways")
        ),
        "20",
        end="to be continued, other ways on",
        at="park-ends/park",
    ),
    Mutant(
        "old device closed unread",
        put_back_unread,
        "16",
        end_without("put back", "landing-earth", "landing-neutral", "landing-insulation"),
        end="put back as found",
    ),
    Mutant(
        "second source before the old way was read",
        lambda p: without(p, "device", "check:back live"),
        "47",
        end_early("put back", "give-back-second-old", "close-old"),
        end="put back as found",
    ),
    Mutant(
        "main switch before the supply upstream",
        lambda p: without(p, "source:[upstream source]"),
        "11",
        card="upstream-isolated",
    ),
    Mutant(
        "closed with the bonding parted",
        lambda p: without(p, "bonding"),
        "17",
        without_step("main-bonding-parted", "join.join"),
        card="added-way",
    ),
    Mutant("a lock leaves while another way is at work", lambda p: without(p, "other way:*"), "9", card="several-ways"),
)


def walked(mutant: Mutant) -> Walker:
    """Walk soundly, picking the end at its step, as far as it goes."""
    walker = Walker.begin(mutant.plan(job_of(mutant.card)))
    picked = not mutant.end
    for _ in range(600):
        if not picked and walker.state.step == mutant.at:
            picked = True
            assert not isinstance(walker.give(end_as(mutant.end)(walker)), Refusal)
            continue
        command = walker.healthy()
        if command is None or isinstance(walker.give(command), Refusal):
            break
    return walker


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda m: m.name)
def test_a_rule_that_is_taken_out_is_noticed(mutant: Mutant, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the rule in place nothing is said; with it taken out the monitor of its invariant speaks."""
    sound = replace(mutant, plan=same, at="insulation/read" if mutant.end else "")
    assert walked(sound).record.broken == []

    mutant.change(monkeypatch)
    broken = walked(mutant).record.broken

    assert any(text.startswith(f"invariant {mutant.noticed}:") for text in broken), broken
