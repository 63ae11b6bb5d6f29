"""The monitors can fail: with a rule taken out of the engine's tables, they or the true world report it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import pytest

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.safety import cascade
from ferrule.engine.safety.acts import ACTS, Need
from ferrule.engine.safety.disturbances import DISTURBANCES
from ferrule.engine.walk.access import Refusal
from tests.editions.editions import job_otherwise
from tests.explore.explore import fork as fork_walk
from tests.explore.explore import moves, random_walk, snapshots
from tests.monitors.monitors import TOUCHING
from tests.support.jobs import REFERENCE, job_of
from tests.support.walker import Walker

Patch = pytest.MonkeyPatch


def without(patch: Patch, acts: set[str], *facts: str) -> None:
    """Take needs on these facts out of acts."""
    for name in acts:
        act = ACTS[name]
        patch.setitem(ACTS, name, replace(act, needs=tuple(n for n in act.needs if n.fact not in facts)))


def without_rule(patch: Patch, because: str) -> None:
    """Take a cascade rule out."""
    rules = tuple(r for r in cascade.RULES if r.because != because)
    assert len(rules) < len(cascade.RULES)
    patch.setattr(cascade, "RULES", rules)


def proof_survives_loss(patch: Patch) -> None:
    """Take the rule out wherever it is stated: a lost lock leaves the proof standing."""
    without_rule(patch, "a source is no longer locked off")
    without_rule(patch, "the list of sources is open again")
    for name, row in DISTURBANCES.items():
        kept = tuple(x for x in row.effects if not x.fact.startswith(("zone", "dead test")))
        patch.setitem(DISTURBANCES, name, replace(row, effects=kept))
    without(patch, TOUCHING, "hold:two")


def reread_failed(patch: Patch, name: str) -> None:
    """Let a failed test be read again without a repair."""
    act = ACTS[name]
    needs = tuple(Need(n.fact, (*n.values, "fail")) if n.fact.startswith("result:") else n for n in act.needs)
    patch.setitem(ACTS, name, replace(act, needs=needs))


def same(job: Job) -> Job:
    """Leave the job as it is."""
    return job


def no_goal(fact: str) -> Callable[[Job], Job]:
    """Return a change of the plan that leaves a goal out, so that nothing leads there any more."""

    def change(job: Job) -> Job:
        goals = tuple(g for g in job.plan.goals if g.fact != fact)
        assert len(goals) < len(job.plan.goals)
        return replace(job, plan=replace(job.plan, goals=goals))

    return change


def early(fact: str, before: str) -> Callable[[Job], Job]:
    """Return a change of the plan that puts a goal before another."""

    def change(job: Job) -> Job:
        goals = [g for g in job.plan.goals if g.fact != fact]
        moved = next(g for g in job.plan.goals if g.fact == fact)
        goals.insert(next(i for i, g in enumerate(goals) if g.fact == before), moved)
        return replace(job, plan=replace(job.plan, goals=tuple(goals)))

    return change


def no_act(name: str) -> Callable[[Job], Job]:
    """Return a change of the procedures that leaves every step of an act out."""

    def change(job: Job) -> Job:
        kept = {
            i: replace(p, steps=tuple(s for s in p.steps if s.act != name) or p.steps)
            for i, p in job.procedures.items()
        }
        return replace(job, procedures=kept)

    return change


def failures_lead(where: str) -> Callable[[Job], Job]:
    """Return a change of the procedures that lets every failed answer lead elsewhere."""

    def change(job: Job) -> Job:
        def led(step: Step) -> Step:
            return replace(
                step, answers={w: where if w in ("fail", "over-range") else t for w, t in step.answers.items()}
            )

        kept = {i: replace(p, steps=tuple(led(s) for s in p.steps)) for i, p in job.procedures.items()}
        return replace(job, procedures=kept)

    return change


def reread_every_failed(patch: Patch) -> None:
    """Let every failed test be read again without a repair."""
    for name in list(ACTS):
        reread_failed(patch, name)


def loose_terminals(patch: Patch) -> None:
    """Take the rule out wherever it is stated: unfinished terminals stop nothing."""
    without(patch, set(ACTS), "terminal:*", "terminal:[early terminal]")
    without_rule(patch, "a terminal was opened")


def leads_in_early(patch: Patch) -> None:
    """Take the rule out wherever it is stated: the leads of the device land whatever was read."""
    without(patch, {"read insulation after landing"}, "terminal:[late terminal]")
    without(patch, {"land a fly-lead"}, "result:landing insulation")


@dataclass(frozen=True)
class Mutant:
    """A rule taken out, the plan that no longer keeps it either, and the invariant that must notice."""

    name: str
    change: Callable[[Patch], None]
    noticed: str
    plan: Callable[[Job], Job] = same
    card: str = REFERENCE


def parted(_: Job) -> Job:
    """Return the job whose earthing conductor is parted for a reading, between two people."""
    unknown = ("external impedance: 0.35 ohm, record", "external impedance: unknown")
    return job_otherwise("external-impedance-reading", "parted", "supervised", [unknown])


CLOSING = {"give back the main switch", "close the way"}
MUTANTS = (
    Mutant("close with the earthing conductor off", lambda p: without(p, set(ACTS), "earthing"), "17", parted),
    Mutant(
        "release the earthing conductor unread",
        lambda p: without(p, set(ACTS), "check:earthing conductor"),
        "17",
        parted,
    ),
    Mutant("touch without proof", lambda p: without(p, TOUCHING, "zone:busbar", "zone:circuit", "hold:two"), "1"),
    Mutant("touch without hold point two", lambda p: without(p, TOUCHING, "hold:two"), "1"),
    Mutant("prove with an unproved indicator", lambda p: without(p, {"prove dead"}, "indicator"), "2"),
    Mutant("proof survives a lost lock", proof_survives_loss, "1"),
    Mutant("hold point two survives a lost proof", lambda p: without_rule(p, "the proof no longer stands"), "1"),
    Mutant("work behind no barrier", lambda p: without(p, set(ACTS), "tails"), "14", no_act("fit the barrier")),
    Mutant("close with a link in", lambda p: without(p, set(ACTS), "link:*"), "15", no_act("remove a link")),
    Mutant(
        "close without insulation",
        lambda p: without(p, set(ACTS), "result:insulation"),
        "21",
        no_goal("result:insulation"),
    ),
    Mutant(
        "close without ring step three",
        lambda p: without(p, set(ACTS), "result:ring step three"),
        "21",
        no_goal("result:ring step three"),
    ),
    Mutant(
        "close without hold point five",
        lambda p: without(p, set(ACTS), "hold:five"),
        "15",
        no_goal("hold:five"),
    ),
    Mutant(
        "insulation before the ring",
        lambda p: without(p, {"read insulation"}, *(f"result:ring step {n}" for n in ("one", "two", "three"))),
        "21",
        early("result:insulation", "result:ring step one"),
    ),
    Mutant("failed test read again", reread_every_failed, "26", failures_lead("again")),
    Mutant("close with terminals unfinished", loose_terminals, "15", no_goal("terminal:[early terminal]")),
    Mutant(
        "part a neutral that nobody traced",
        lambda p: without(p, {"take out the conductors"}, "neutral"),
        "35",
        card="three-phase-way",
    ),
    Mutant(
        "land the leads before the insulation",
        leads_in_early,
        "24",
        early("terminal:[late terminal]", "result:landing line to earth"),
        card="old-fly-leads",
    ),
)


def problems_of(job: Job, most: int) -> list[str]:
    """Return what the monitors say of a straight walk and of random walks."""
    found: list[str] = []
    walker = Walker.begin(job)
    for _ in range(400):
        command = walker.healthy()
        if command is None or isinstance(walker.give(command), Refusal):
            break
    found += [*walker.record.broken, *walker.world.harm]
    if found:
        return found
    for seed in range(most):
        found += random_walk(job, seed).problems
        if found:
            return found
    return found


def moves_off(job: Job) -> list[str]:
    """Return what the monitors say of every move off the straight walk, followed by the way back."""
    found: list[str] = []
    for snapshot in snapshots(job):
        for command in moves(snapshot):
            walker = fork_walk(snapshot)
            if isinstance(walker.give(command), Refusal):
                continue
            for _ in range(12):
                healthy = walker.healthy()
                if healthy is None or isinstance(walker.give(healthy), Refusal):
                    break
            found += [*walker.record.broken, *walker.world.harm]
        if found:
            return found
    return found


@pytest.mark.slow
@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda m: m.name)
def test_a_rule_taken_out_is_noticed(mutant: Mutant, monkeypatch: Patch) -> None:
    """Without the rule the monitors report a broken invariant; with it they report none."""
    mutant.change(monkeypatch)
    job = mutant.plan(job_of(mutant.card))
    found = problems_of(job, 12) or moves_off(job)

    assert any(f"invariant {mutant.noticed}:" in problem for problem in found), found


def test_nothing_taken_out_is_quiet() -> None:
    """With all rules in place the same walks report nothing."""
    assert problems_of(job_of(), 12) == []


def test_bad_earthing_counted_as_good_is_noticed(monkeypatch: Patch) -> None:
    """With a bad earthing taken for a good one, the monitors report invariant 17 as the main switch goes on."""
    act = ACTS["look at the earthing"]
    monkeypatch.setitem(ACTS, act.name, replace(act, effects=dict.fromkeys(act.classes, act.effects["pass"])))
    walker = Walker.begin(failures_lead("next")(job_of()))
    for _ in range(200):
        step = walker.step()
        bad = step is not None and step.act == act.name
        command = walker.answer("fail", lambda _: True) if bad else walker.healthy()
        if command is None or isinstance(walker.give(command), Refusal):
            break

    assert any("invariant 17:" in problem for problem in walker.record.broken)
