"""What a proof does not show is told as a finding: where to mend, how it comes about, in lines that can be followed."""

from __future__ import annotations

import dataclasses
from functools import cache

import pytest

from ferrule.engine.findings import Finding, Level
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.prover.judged import judge_set
from ferrule.engine.prover.looks import LOOKS, few_looks
from ferrule.engine.prover.proof_findings import proof_findings
from ferrule.engine.prover.prove import prove
from ferrule.engine.prover.telling import MOST_LINES
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.shell.sets import packaged_set, set_texts
from tests.support.jobs import job_of

DAY = "2026-11-25"
CARD = "saltmarsh-kr1-way-4"


@cache
def texts() -> tuple[tuple[str, str, str], ...]:
    """The packaged set with the reference card."""
    card = (packaged_set() / "cards" / f"{CARD}.yaml").read_text(encoding="utf-8")
    return (("card", CARD, card), *((t.role, t.id, t.text) for t in set_texts(packaged_set())))


def judged(role: str = "", name: str = "", take_out: str = "") -> tuple[Finding, ...]:
    """The findings over the set with some lines taken out of one of its files."""
    found = []
    for text in texts():
        if text[:2] == (role, name):
            assert take_out in text[2]
            text = (role, name, text[2].replace(take_out, ""))
        found.append(text)
    return judge_set(found, DAY).findings


NEUTRAL_TO_EARTH = """          - read: Neutral to earth
            id: ne
            keep: dead/N-E
            with: indicator
            judge: dead-pair
            fails as: voltage found
"""


LINKS = """          - see: Temporary links
            id: links
            states:
              - all there: pass
              - one short: fail
"""


def test_a_question_that_is_gone_is_told() -> None:
    """An act that is answered with fewer looks than it rests on is a warning at its step; the set stays proved."""
    found = judged("procedure", "count-tools", LINKS)

    assert [(finding.code, finding.level) for finding in found] == [("few-looks", Level.WARNING)]
    assert "rests on 3 looks that can fail" in found[0].message
    assert found[0].place is not None
    assert found[0].place.file == "procedure/count-tools"


@pytest.mark.parametrize("name", sorted(p.stem for p in (packaged_set() / "cards").glob("*.yaml")))
def test_every_packaged_step_asks_what_its_act_rests_on(name: str) -> None:
    """On no packaged card is there a step that asks less, and each act of the table is answered on some card."""
    assert list(few_looks(job_of(name), {})) == []


def test_every_act_of_the_looks_is_used() -> None:
    """The table names no act that no packaged step answers."""
    acts = {step.act for procedure in job_of().procedures.values() for step in procedure.steps}

    assert {name.partition(" through ")[0] for name in LOOKS} <= acts


def test_an_unsafe_walk_is_told_at_the_step_to_mend() -> None:
    """A pair left out is found at the round that leaves it out, with a walk of at most 15 numbered lines."""
    found = judged("procedure", "prove-dead", NEUTRAL_TO_EARTH)
    assert [finding.code for finding in found] == ["unsafe-walk"]
    place, walk = found[0].place, found[0].walk
    assert place is not None
    assert place.file == "procedure/prove-dead"
    assert 0 < len(walk) <= MOST_LINES
    assert [line.split(".")[0].strip() for line in walk] == [str(n) for n in range(1, len(walk) + 1)]
    assert "one pair only" in walk[0]
    assert walk[-1].endswith("this must not be")


def test_what_happens_just_before_an_act_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """With one need taken from an act, the walk goes soundly up to it, one thing happens, and the act is still open."""
    without(monkeypatch, "close the way", "hold:five")
    found = [f for f in told(job_of("radial-5")) if f.code == "unsafe-walk"]
    assert found
    assert all("hold five is signed" in finding.message for finding in found)
    assert all(len(finding.walk) <= MOST_LINES for finding in found)


def test_what_nobody_could_walk_is_not_called_unsafe(monkeypatch: pytest.MonkeyPatch) -> None:
    """An invariant that hangs on the order of the work alone is not shown; nothing is claimed to be walkable."""
    without(monkeypatch, "release hold point eight", "result:button")
    found = told(job_of("radial-5"))
    assert [finding.code for finding in found] == ["not-shown"]
    assert "no walk that breaks it was found" in found[0].message


def test_a_job_without_an_end_is_told() -> None:
    """Without the supplier of a fact that comes and goes the job does not end, and the finding says what is missing."""
    job = job_of("radial-5")
    kept = tuple(goal for goal in job.plan.suppliers if goal.fact != "indicator")
    found = told(dataclasses.replace(job, plan=dataclasses.replace(job.plan, suppliers=kept)))
    assert {finding.code for finding in found} == {"never-ends"}
    assert any("indicator is proved" in finding.message for finding in found)


def without(monkeypatch: pytest.MonkeyPatch, name: str, fact: str) -> None:
    """Take one need away from one act."""
    act = ACTS[name]
    kept = tuple(need for need in act.needs if need.fact != fact)
    assert kept != act.needs
    monkeypatch.setitem(ACTS, name, dataclasses.replace(act, needs=kept))


def told(job: Job) -> list[Finding]:
    """What a proof of a job says."""
    return list(proof_findings(job, {}, prove(job, DAY)))


@pytest.mark.parametrize("cell", ["isolator", "lock", "tag"])
def test_each_look_at_a_lock_is_missed(cell: str) -> None:
    """Without the look at isolator, lock or tag the step that locks off asks too little at a source."""
    job = job_of()
    isolate = job.procedures["isolate"]
    steps = tuple(
        dataclasses.replace(step, cells=tuple(c for c in step.cells if c.id != cell)) if step.id == "lock" else step
        for step in isolate.steps
    )
    changed = dataclasses.replace(
        job, procedures={**job.procedures, "isolate": dataclasses.replace(isolate, steps=steps)}
    )

    assert steps != isolate.steps
    assert [finding.code for finding in few_looks(changed, {})] == ["few-looks"]
