"""Gates hold whoever asks and from whatever state: `decide` is called with states that no screen can make."""

from dataclasses import replace

import pytest

from ferrule.engine.prover.answers import cells_for
from ferrule.engine.safety.acts import ACTS, Need, needs_of, spread_needs
from ferrule.engine.safety.facts import FAMILIES
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.place import objects_of, step_at
from ferrule.engine.walk.state import State
from tests.monitors.monitors import TOUCHING
from tests.support.jobs import job_of
from tests.support.walker import DAY

JOB = job_of("supervised")
STEPS = [
    f"{p.id}/{s.id}"
    for p in JOB.procedures.values()
    for s in p.steps
    if s.act in ACTS and s.kind != "end" and (ACTS[s.act].needs or s.act in TOUCHING)
]
PEOPLE = [person.id for person in JOB.card.people]
LONG_AGO_MS = 3_600_000
"""Steps were entered this long before, so that a wait is over."""
ENERGISING = {"give back the main switch", "close the way", "give back a second source"}


def wanted_facts(where: str) -> tuple[dict[str, str], tuple[Need, ...]]:
    """Return facts that meet every need of a step, and the needs."""
    step = step_at(JOB, where)
    assert step is not None
    act = ACTS[step.act]
    objects = objects_of(JOB, step)
    needs = tuple(n for of in objects for n in needs_of(act, of, JOB.objects))
    if not objects:
        needs = spread_needs((n for n in act.needs if "{of}" not in n.fact), "", JOB.objects)
    facts = dict(start(JOB, PEOPLE[0]).facts)
    for need in needs:
        facts[need.fact] = need.values[0]
    facts["supervisor"] = "present"
    return facts, needs


def state_at(where: str, facts: dict[str, str]) -> State:
    """Return a state at a step with these facts, as no walk made it."""
    return replace(
        start(JOB, PEOPLE[0]), step=where, facts=facts, round_start_ms=0, indicator_ms=0, entered_ms=-LONG_AGO_MS
    )


def commands_at(where: str, state: State) -> list[c.Command]:
    """Return every way to get at a step, by every person of the card."""
    step = step_at(JOB, where)
    assert step is not None
    at = c.Stamp(1000, DAY)
    found: list[c.Command] = []
    for person in PEOPLE:
        found.append(c.Answer(person, at, where, cells_for(JOB, state, step)))
        found.append(c.StampRound(person, at, where, "end"))
        found.append(c.NotApplicable(person, at, where, "not wanted here"))
        hold = step.act.removeprefix("release hold point ")
        if step.kind == "hold":
            roles = ("technician", "supervisor", "designer", "client")
            found.extend(c.Sign(person, at, hold, role) for role in roles)
    return found


@pytest.mark.parametrize("where", STEPS)
def test_one_missing_need_shuts_the_gate(where: str) -> None:
    """With any one need of any act unmet, every person and every command is refused and nothing changes.

    Shows: WB-04, WB-14, VR-16
    """
    facts, needs = wanted_facts(where)
    for need in needs:
        family = FAMILIES[need.fact.partition(":")[0]]
        for value in family.values:
            if value in need.values:
                continue
            state = state_at(where, {**facts, need.fact: value})
            for command in commands_at(where, state):
                found = decide(JOB, state, command)
                assert isinstance(found, Refusal), f"{need.fact} is {value}, yet {command} was taken"


@pytest.mark.parametrize("where", [w for w in STEPS if step_at(JOB, w).act in TOUCHING | ENERGISING])  # type: ignore[union-attr]
def test_absent_fact_shuts_the_gate(where: str) -> None:
    """A fact that is not there counts as its worst value: knowing less never opens a gate (invariant 45)."""
    facts, needs = wanted_facts(where)
    for need in needs:
        state = state_at(where, {k: v for k, v in facts.items() if k != need.fact})
        for command in commands_at(where, state):
            assert isinstance(decide(JOB, state, command), Refusal)


@pytest.mark.parametrize("where", [w for w in STEPS if step_at(JOB, w).act in TOUCHING])  # type: ignore[union-attr]
def test_touching_rests_on_proof_and_hold_point_two(where: str) -> None:
    """Each touching act names the proof of both zones and hold point two among its needs (invariant 1)."""
    step = step_at(JOB, where)
    assert step is not None
    needs = {(n.fact, n.values) for n in ACTS[step.act].needs}

    assert {
        ("zone:busbar", ("proved",)),
        ("zone:circuit", ("proved",)),
        ("hold:two", ("signed",)),
    } <= needs


def test_every_touching_act_is_known_to_the_monitors() -> None:
    """The monitors' own list of touching acts and the table agree, so that neither can lose one unseen."""
    assert {a.name for a in ACTS.values() if a.touches} == TOUCHING


def test_another_step_is_refused() -> None:
    """An answer for any step but the one on screen is refused and changes nothing.

    Shows: WB-14
    """
    state = start(JOB, PEOPLE[0])
    for where in STEPS:
        if where != state.step:
            step = step_at(JOB, where)
            assert step is not None
            found = decide(JOB, state, c.Answer(PEOPLE[0], c.Stamp(0, DAY), where, cells_for(JOB, state, step)))
            assert isinstance(found, Refusal)
            assert found.code == "another-step"


@pytest.mark.parametrize("where", STEPS)
def test_met_needs_open_the_gate(where: str) -> None:
    """With every need met some command is taken, so that the refusals above are the gate's and nothing else's."""
    facts, _ = wanted_facts(where)
    state = state_at(where, facts)
    found = [decide(JOB, state, command) for command in commands_at(where, state)]

    assert any(not isinstance(decision, Refusal) for decision in found)
