"""What applies throughout the work is told as soon as it becomes effective, wherever the walk stands."""

from __future__ import annotations

import pytest

from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.notices import watched
from tests.explore.explore import fork, snapshots
from tests.support.jobs import job_of
from tests.support.walker import Walker


@pytest.fixture(scope="module")
def places() -> list[Walker]:
    """The reference walk as it stands at each of its steps."""
    return snapshots(job_of("saltmarsh-kr1-way-4"))


def watch(walker: Walker) -> tuple[str, ...]:
    """What is told throughout at this place."""
    return watched(walker.job, walker.state.facts)


def test_an_event_is_told_from_wherever_it_happens(places: list[Walker]) -> None:
    """A trip reported at any of the steps where the device is on is told at once, and the step stays as it was.

    Shows: WB-10, WB-11
    """
    told = 0
    for place in places:
        if place.state.facts["device"] != "on":
            continue
        walker = fork(place)
        before = watch(walker)
        at = walker.stamp()
        given = walker.give(c.Report(walker.state.operator, at, "device tripped", "", "seen"))
        assert not isinstance(given, Refusal)
        new = set(watch(walker)) - set(before)
        assert any("trip is unexplained" in said for said in new)
        told += 1
    assert told >= 5


def test_each_is_told_while_it_holds_and_not_before(places: list[Walker]) -> None:
    """Nothing is told at the opening; while the tails are within reach that is told, at every such step."""
    assert watch(places[0]) == ()
    seen = {said for place in places for said in watch(place)}
    assert len(seen) >= 3
    exposed = [place for place in places if place.state.facts["tails"] == "exposed"]
    assert exposed
    assert all(any("tails are within reach" in said for said in watch(place)) for place in exposed)


def test_a_card_condition_is_folded() -> None:
    """What is said of live tails is not said of a board that is isolated upstream."""
    job = job_of("upstream-isolated")
    assert not any("tails are within reach" in said for said in watched(job, {"tails": "exposed", "log": "open"}))
