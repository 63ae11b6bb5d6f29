"""The short safety strip over every combination of what it shows."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.safety.facts import FAMILIES
from ferrule.engine.walk.situation import Situation, situation
from ferrule.engine.walk.state import Proof
from ferrule.tui.strip_words import strip_rows
from tests.tui.small_job import at

PRESENT = re.compile(r"\b(is|are|it's) (dead|safe)\b|\bdead\b|\bsafe\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def base(tiny: Job) -> Situation:
    """A situation whose facts the tests replace."""
    return situation(tiny, at(tiny, "do"), 0)


def words(job: Job, base: Situation, **facts: str) -> str:
    """The strip for some facts, as one text."""
    changed = replace(
        base, facts={**base.facts, **{k.replace("__", ":").replace("_", " "): v for k, v in facts.items()}}
    )
    return "\n".join(f"{label} {said}" for label, said in strip_rows(changed, job, 720_000))


def test_no_row_says_what_a_conductor_is_now(tiny: Job, base: Situation) -> None:
    """Whatever is recorded, the strip says what was found, never that something is dead or safe. Shows: INV-46."""
    values = {
        name: FAMILIES[name].values
        for name in ("zone", "source", "lock", "stored", "tails", "cover", "indicator", "dead test", "work")
    }
    checked = 0
    for zone, source, lock, stored, tails, cover, indicator, test, work in itertools.product(*values.values()):
        for proof in (None, Proof(0, "tech", 12, 4)):
            facts = dict(base.facts) | {
                "zone:busbar": zone, "zone:circuit": values["zone"][0], "source:mains": source, "lock:mains": lock,
                "stored:mains": stored, "tails": tails, "cover": cover, "indicator": indicator, "dead test": test,
                "work": work,
            }  # fmt: skip
            shown = "\n".join(said for _, said in strip_rows(replace(base, facts=facts, proof=proof), tiny, 720_000))
            assert not PRESENT.search(shown), shown
            checked += 1

    assert checked > 1000


def test_unproved_counts_as_live(tiny: Job, base: Situation) -> None:
    """A zone that was not proved is said to count as live, beside one that was proved."""
    shown = words(tiny, base, zone__busbar="unproved", zone__circuit="proved")

    assert "busbar: not proved, counts as live. Touch nothing" in shown
    assert "circuit: no voltage on 12 pairs, 4 points, 12 min ago, Ash Glaze" in shown


def test_locks_and_the_live_side_are_named(tiny: Job, base: Situation) -> None:
    """Locks are named with their owner, a lost one aloud, and what stays live by its name."""
    changed = replace(base, custody={"mains": "tech"})
    shown = words(tiny, changed, source__mains="locked", lock__mains="applied", stored__mains="done", tails="exposed")

    assert "off and locked by Ash Glaze: distributor's supply" in shown
    assert "incoming side of KR1 main switch stays live; IN REACH" in shown
    assert "LOCK OR KEY LOST, counts as on" in words(tiny, base, lock__mains="lost")


def test_stop_and_absence_stand_in_the_strip(tiny: Job, base: Situation) -> None:
    """A stop has its own row, and an absence is told with its age."""
    assert words(tiny, base, work="stopped").startswith("STOPPED")
    assert "board left 2 min ago" in words(tiny, replace(base, away_ms=600_000))
