"""Every invariant of the trade is proved, built in, or listed with the reason; its examples are told apart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.procedure.amend import AMENDABLE
from ferrule.engine.prover.driver import Driver
from ferrule.engine.prover.invariants import BUILT_IN, HAZARD, NOT_EXPRESSED, PROVED, Example, Invariant
from ferrule.engine.prover.moves import AMEND, ANSWER, COMMAND, REPORT, Label, Table, table_of
from ferrule.engine.prover.rules import Case
from ferrule.engine.safety.acts import ACTS
from ferrule.engine.safety.disturbances import DISTURBANCES
from tests.support.jobs import job_of

DAY = "2026-11-25"


@pytest.fixture(scope="module")
def table() -> Table:
    """The moves of the reference job, with one item that is taken off."""
    job = job_of("saltmarsh-kr1-way-4")
    job = replace(job, objects={**job.objects, "item": ("dimmer",)})
    return table_of(job, Driver(job, DAY).begin().state.facts)


def test_all_48_are_accounted_for() -> None:
    """Each number of the trade's list stands once: proved, built in or not expressed, and no other does."""
    proved = [invariant.number for invariant in PROVED]
    assert sorted([*proved, HAZARD.number, *BUILT_IN, *NOT_EXPRESSED]) == list(range(1, 49))


@pytest.mark.parametrize("invariant", PROVED, ids=lambda i: str(i.number))
def test_examples_are_told_apart(table: Table, invariant: Invariant) -> None:
    """The bad example breaks some instance of the invariant's rules, the good example breaks none."""
    cases = [case for rule in invariant.rules for case in rule.cases(table)]
    assert _broken(cases, invariant.bad), "the bad example passes"
    assert not _broken(cases, invariant.good), "the good example is refused"


def _broken(cases: list[Case], example: Example) -> list[str]:
    kind = (
        ANSWER
        if example.move in ACTS
        else REPORT
        if example.move in DISTURBANCES
        else AMEND
        if example.move in AMENDABLE
        else COMMAND
    )
    label = Label(kind, example.move, "a/b", (("", example.answer),))
    before = example.before
    after = {**before, **example.after}
    return [case.says for case in cases if set(case.facts) <= set(before) and case.breaks(label, before, after)]


def test_every_invariant_has_an_instance_on_the_reference_job(table: Table) -> None:
    """No rule is empty: each speaks of something that the reference job has."""
    for invariant in PROVED:
        assert any(True for rule in invariant.rules for _ in rule.cases(table)), invariant.number


def test_every_name_in_the_rules_exists() -> None:
    """An act that a rule names is in the table of acts; a misspelt one would make the rule say nothing."""
    for invariant in PROVED:
        for rule in invariant.rules:
            for name in _names(rule):
                known = name in ACTS or name in DISTURBANCES or name in AMENDABLE
                assert known or name in ("hand over", "come back after long", "stop work", "carry on"), name


def _names(rule: object) -> list[str]:
    found: list[str] = []
    for part in ("acts", "by", "moves"):
        value = getattr(rule, part, ())
        if isinstance(value, tuple):
            found.extend(value)
    return found
