"""A disputed choice opens no gap: under each value that changes what is done, every invariant is shown to hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from ferrule.engine.findings import Level
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.prover.judged import judge_set
from ferrule.engine.prover.prove import prove
from ferrule.engine.prover.structure_supply import supplier_cycles
from ferrule.engine.safety.holds import SIGN_OFF
from tests.editions.editions import job_otherwise, texts_otherwise
from tests.support.jobs import REFERENCE

DAY = "2026-11-25"
UNKNOWN_ZE = ("external impedance: 0.35 ohm, record", "external impedance: unknown")
CALLED_FOR = ("confirming release: false", "confirming release: true")
METER = ("kind: two-pole indicator", "kind: multimeter")


CHOICES = pytest.mark.parametrize(
    ("setting", "value", "card", "changes"),
    [
        ("button-order", "before-timing", REFERENCE, ()),
        ("trip-free-check", "never", REFERENCE, ()),
        ("external-impedance-reading", "parted", "supervised", (UNKNOWN_ZE,)),
        ("re-tightening", "one-confirming-release", REFERENCE, (CALLED_FOR,)),
        ("dead-instrument", "multimeter-with-proving", REFERENCE, (METER,)),
    ],
)


@CHOICES
def test_every_invariant_holds_under_the_other_choice(
    setting: str, value: str, card: str, changes: Sequence[tuple[str, str]]
) -> None:
    """Nothing is broken and nothing is stuck, from the opening on, whatever is answered or happens."""
    proof = prove(job_otherwise(setting, value, card, changes), DAY)

    assert proof.broken == ()
    assert proof.stuck == ()
    assert proof.cases > 500


@CHOICES
def test_the_other_choice_can_be_checked_and_opened(
    setting: str, value: str, card: str, changes: Sequence[tuple[str, str]]
) -> None:
    """Nothing is found against such a set, and it is proved under each sign-off plan that its card may have."""
    judged = judge_set(texts_otherwise(setting, value, card, changes), DAY, every_plan=True)

    assert [finding.message for finding in judged.findings if finding.level is Level.ERROR] == []
    assert judged.proved
    assert set(judged.proofs) == set(SIGN_OFF) - ({"alone"} if value == "parted" else set())


def test_a_circle_about_one_fact_is_left_to_the_exploration_which_finds_where_it_does_not_end() -> None:
    """Parted, remade, released is no circle to the check of suppliers; without the remake the job comes to no end."""
    job = job_otherwise("external-impedance-reading", "parted", "supervised", (UNKNOWN_ZE,))
    kept = tuple(goal for goal in job.plan.suppliers if (goal.fact, goal.values) != ("earthing", ("remade",)))
    cut = replace(job, plan=replace(job.plan, suppliers=kept))

    assert len(kept) == len(job.plan.suppliers) - 1
    assert list(supplier_cycles(Parts.of(job))) == []
    assert prove(job, DAY).stuck == ()
    assert any(need.fact.startswith("earthing") for stuck in prove(cut, DAY).stuck for need in stuck.missing)
