"""A reading that a card needs is missed on that card, whatever the step asks on others."""

from __future__ import annotations

import dataclasses

import pytest

from ferrule.engine.procedure.compiled import Job, Procedure, Step
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.prover.moves import used_procedures
from ferrule.engine.prover.structure_readings import LEAST, MORE, readings_left_out
from ferrule.engine.shell.sets import example_cards
from ferrule.engine.walk.place import holds
from tests.support.jobs import job_of


def without(job: Job, procedure: Procedure, step: Step, slot: str) -> Job:
    """The job with one reading of one step gone, in each form in which this card may ask for it."""
    cells = tuple(c for c in step.cells if c.slot != slot or not holds(c.when, job.card_facts))
    steps = tuple(dataclasses.replace(s, cells=cells) if s is step else s for s in procedure.steps)
    return dataclasses.replace(
        job, procedures={**job.procedures, procedure.id: dataclasses.replace(procedure, steps=steps)}
    )


@pytest.mark.parametrize("card", list(example_cards()))
def test_each_reading_that_a_card_rests_on_is_missed(card: str) -> None:
    """On each packaged card every reading of the table is taken out in turn, and each is told at its act."""
    job = job_of(card)
    tried = 0
    assert list(readings_left_out(Parts.of(job))) == []
    for name in used_procedures(job):
        for step in job.procedures[name].steps:
            wanted = [slots.split(" | ") for slots in LEAST.get(step.act, ())]
            for fact, value, slots in MORE.get(step.act, ()):
                wanted += [[slot] for slot in slots] if job.card_facts.get(fact) == value else []
            if not holds(step.when, job.card_facts):
                continue
            for alternatives in wanted:
                asked = {c.slot for c in step.cells if holds(c.when, job.card_facts)} & set(alternatives)
                assert len(asked) == 1, (step.act, alternatives)
                found = list(readings_left_out(Parts.of(without(job, job.procedures[name], step, asked.pop()))))
                tried += 1
                assert [f.code for f in found] == ["reading-left-out"], (step.act, alternatives)
                assert step.act in found[0].message

    assert tried > 20


def test_every_extra_is_asked_for_on_some_card() -> None:
    """No row of the table for some cards is for a card that there is none of."""
    facts = [job_of(card).card_facts for card in example_cards()]

    assert all(any(known.get(fact) == value for known in facts) for rows in MORE.values() for fact, value, _ in rows)
