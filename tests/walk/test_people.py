"""Who may act: roles with an end, locks that always have an owner, and names that are never merged."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import reduce

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.acts import THIS_WAY
from ferrule.engine.safety.holds import HOLD_POINTS
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from ferrule.engine.walk.evolve import evolve
from ferrule.engine.walk.state import State
from ferrule.tui import words
from tests.support.ends import job_with
from tests.support.jobs import REFERENCE, job_of
from tests.support.walker import DAY, Walker

DAY_BEFORE = str(date.fromisoformat(DAY) - timedelta(days=1))
MATE = "  - {id: mate, name: Clay Reed, roles: [technician], until: 2027-06-30}\n  - {id: client"


def authorised_until(job: Job, person: str, day: str) -> Job:
    """A job whose card authorises a person until another day."""
    people = tuple(replace(p, until=day) if p.id == person else p for p in job.card.people)
    return replace(job, card=replace(job.card, people=people))


@pytest.mark.parametrize(
    ("where", "person", "name"),
    [
        ("before-work/job", "tech", "Ash Glaze"),
        ("hold-one/sign", "super", "Bay Kiln"),
        ("hold-one/sign", "client", "Wren Slip"),
    ],
    ids=["who does the step", "who signs", "the client"],
)
def test_an_authorisation_that_ran_out_refuses_the_step_by_name(where: str, person: str, name: str) -> None:
    """Authorised until the day before, a person is refused with name and day, and it is kept; on its last day not.

    Shows: VR-09.
    """
    job = job_of("supervised")
    walker = Walker.begin(job).until(where)
    given: c.Command | None = walker.healthy()
    if where == "hold-one/sign":
        role = "client" if person == "client" else "supervisor"
        given = c.Sign(person, walker.stamp(), "one", role)
    assert given is not None
    refused = decide(authorised_until(job, person, DAY_BEFORE), walker.state, given)

    assert isinstance(refused, Refusal)
    assert (refused.code, refused.kept) == ("not-authorised", True)
    assert refused.reason.startswith(f"{name} is authorised until {DAY_BEFORE}; today is {DAY}.")
    assert not isinstance(decide(authorised_until(job, person, DAY), walker.state, given), Refusal)


def test_a_role_that_somebody_lacks_refuses_the_step_and_the_signature() -> None:
    """No person of the card does a step or signs in a role that the card does not give them. Shows: VR-09."""
    job = job_of("supervised")
    walker = Walker.begin(job)
    answer = walker.answer()
    signing = Walker.begin(job).until("hold-one/sign")
    tried = {
        "answer by the client": decide(job, walker.state, replace(answer, person="client")),
        "answer by a stranger": decide(job, walker.state, replace(answer, person="stranger")),
        "client signs as supervisor": decide(
            job, signing.state, c.Sign("client", signing.stamp(), "one", "supervisor")
        ),
        "technician as supervisor": decide(job, signing.state, c.Sign("tech", signing.stamp(), "one", "supervisor")),
    }

    assert {name: found.code for name, found in tried.items() if isinstance(found, Refusal) and found.kept} == {
        "answer by the client": "wrong-role",
        "answer by a stranger": "unknown-person",
        "client signs as supervisor": "wrong-role",
        "technician as supervisor": "wrong-role",
    }


# --- the locks in a hand-over ---


def applied(state: State) -> set[str]:
    """The sources, and the job's own way, that have a lock on."""
    found = {key.partition(":")[2] for key, value in state.facts.items() if (key[:5], value) == ("lock:", "applied")}
    return found | ({THIS_WAY} if state.facts["way lock"] == "applied" else set())


def owners(state: State) -> dict[str, str]:
    """Each lock that is on with its owner, or nothing where it has none."""
    return {lock: state.custody.get(lock, "") for lock in applied(state)}


def test_a_hand_over_leaves_no_lock_without_an_owner_for_a_moment() -> None:
    """At every step with locks on, both names stand in one entry, and event by event each lock has one owner.

    Shows: VR-17.
    """
    walker = Walker.begin(job_with(REFERENCE, {"  - {id: client": MATE}))
    tried = 0
    while (command := walker.healthy()) is not None:
        before = owners(walker.state)
        assert "" not in before.values()
        if before:
            tried += 1
            given = c.HandOver("tech", walker.stamp(), "mate", "theirs on before mine came off")
            events = decide(walker.job, walker.state, given)
            assert not isinstance(events, Refusal)
            assert [(x.person, x.to) for x in events if isinstance(x, e.HandedOver)] == [("tech", "mate")]
            for upto in range(len(events) + 1):
                held = owners(reduce(evolve, events[:upto], walker.state))
                assert held.keys() == before.keys()
                assert set(held.values()) <= {"tech", "mate"}
            assert set(held.values()) == {"mate"}
        walker.give(command)

    assert tried > 40
    assert walker.state.outcome == "complete"


@pytest.mark.parametrize(
    ("to", "locks", "code"),
    [
        ("mate", "", "reason"),
        ("client", "theirs on", "wrong-role"),
        ("tech", "mine", "wrong-role"),
        ("", "x", "wrong-role"),
    ],
)
def test_a_hand_over_that_is_refused_leaves_the_locks_where_they_are(to: str, locks: str, code: str) -> None:
    """Without a word on the locks, or to nobody who may have them, the locks stay with the first. Shows: VR-17."""
    walker = Walker.begin(job_with(REFERENCE, {"  - {id: client": MATE})).until("open-cover/open")
    before = owners(walker.state)
    found = walker.give(c.HandOver("tech", walker.stamp(), to, locks))

    assert isinstance(found, Refusal)
    assert found.code == code
    assert owners(walker.state) == before
    assert set(before.values()) == {"tech"}


# --- an apprentice and a supervisor ---


def test_what_an_apprentice_did_and_what_the_supervisor_did_stand_under_two_names() -> None:
    """A whole job done by an apprentice: each entry has one person, and each countersigned step both, with their duty.

    Shows: VR-20.
    """
    job = job_of("supervised")
    walker = Walker.begin(job, "apprentice")
    walker.give(c.SayPresence("super", walker.stamp(), True))
    walker.walk()
    did: dict[str, set[str]] = {}
    signed: dict[str, dict[str, str]] = {}
    for command, events in walker.trail:
        for event in events:
            if isinstance(event, e.Answered):
                did.setdefault(command.person, set()).add(event.step)
            if isinstance(event, e.Signed):
                assert event.person == command.person
                signed.setdefault(event.hold, {})[event.role] = event.person
                said = words.event_words(event, job)
                name = next(p.name for p in job.card.people if p.id == event.person)
                assert f"signed as {event.role} by {name}" in said
    two = {hold: by for hold, by in signed.items() if len(HOLD_POINTS[hold].supervised) > 1}

    assert walker.state.outcome == "complete"
    assert len(did["apprentice"]) > 60
    assert did.keys() == {"apprentice", "super"}
    assert not did["apprentice"] & did["super"]
    assert two.keys() == {"one", "two", "three", "five", "seven", "eight", "nine"}
    for hold, by in two.items():
        assert by.keys() == set(HOLD_POINTS[hold].supervised)
        assert len(set(by.values())) == len(by)
        assert by["supervisor"] == "super"
        assert "apprentice" not in by.values()
