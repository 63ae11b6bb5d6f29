"""Advice in the walk: the causes of the readings that stand, in no event and no state."""

from __future__ import annotations

from ferrule.engine.network.faults import OpenConductor
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.advice import advice
from ferrule.engine.walk.events import event_to_json
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.state import state_hash
from tests.support.jobs import job_of
from tests.support.script import Choices, circuit_instrument, healthy_script
from tests.support.walker import DAY, Walker

JOB = job_of()


def at_fault() -> Walker:
    """A walk with the neutral open between S4 and S5, at the search for its fault."""
    broken = circuit_instrument(JOB, (OpenConductor("N", "S4", "S5"),))
    until = Choices(instrument=broken, until=lambda walker: walker.state.step.startswith("find-ring-one-fault"))
    return healthy_script(JOB, until).walker


def test_the_search_for_a_fault_gets_its_causes() -> None:
    """At the search after ring step one the open neutral is named, as far as three readings tell."""
    walker = at_fault()
    found = advice(JOB, walker.state)

    assert walker.state.step.startswith("find-ring-one-fault")
    assert found[0].title == "Open neutral"
    assert "do not tell where" in found[0].where


def test_advice_changes_nothing_and_stands_in_no_event() -> None:
    """Asking leaves the state as it was, and no title of a cause is in the log."""
    walker = at_fault()
    before = state_hash(walker.state)
    found = advice(JOB, walker.state)
    log = " ".join(str(event_to_json(event)) for _, events in walker.trail for event in events)

    assert state_hash(walker.state) == before
    assert all(cause.title not in log for cause in found)


def test_nothing_is_advised_before_a_reading() -> None:
    """At the opening there is nothing to explain."""
    assert advice(JOB, start(JOB, "tech")) == ()


def test_advice_follows_the_amended_card() -> None:
    """With the circuit amended to another length the same readings are explained by that length."""
    walker = Walker.begin(JOB)
    longer = circuit_instrument(JOB)
    script = healthy_script(JOB, Choices(instrument=longer, until=lambda walker: "r1" in walker.state.readings))
    walker = script.walker
    assert advice(JOB, walker.state)[0].title == "Nothing that a resistance shows"

    walker.give(c.Amend("tech", c.Stamp(walker.now_ms, DAY), "circuit.length", "measured", "100 m, measured", "tech"))

    assert advice(JOB, walker.state)[0].title != "Nothing that a resistance shows"
