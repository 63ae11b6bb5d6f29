"""Whatever is unsafe with one rule taken out or written otherwise is found before anybody walks by it.

The hunt is brute force by the real decision and knows nothing of the prover; that is asked as `ferrule check` asks.
"""

from __future__ import annotations

import os
import random
import sys
from collections import defaultdict
from collections.abc import Sequence

import pytest

from ferrule.engine.version import TABLES
from tests.mutation import survivors
from tests.mutation.tables import as_stated, installed
from tests.mutation.trial import CARDS, Tried, every_mutant, stated_of, try_all
from tests.support.jobs import job_of

SAMPLED, SAMPLED_MOST = 200, 240
SEED = os.environ.get("FERRULE_SEED", TABLES)
"""The sample changes with the tables; a seed that is given chooses another."""


def sample(seed: str, count: int) -> list[int]:
    """Numbers of mutants, operators by the root of their size so that the small ones are not lost."""
    by_operator: dict[str, list[int]] = defaultdict(list)
    for number, (_, made) in enumerate(every_mutant()):
        by_operator[made.operator].append(number)
    names = sorted(by_operator)
    weights = [len(by_operator[name]) ** 0.5 for name in names]
    chance = random.Random(seed)
    found: dict[int, None] = {}
    while len(found) < count:
        found[chance.choice(by_operator[chance.choices(names, weights)[0]])] = None
    return list(found)


def score(tried: Sequence[Tried]) -> str:
    """The figures of a trial in one line."""
    harmful = [t for t in tried if t.harm]
    lived = sum(t.survives for t in harmful)
    alarms = sum(not t.harm and t.prover not in ("", "nothing") for t in tried)
    seconds = sum(t.seconds for t in tried)
    return (
        f"{len(tried)} mutants, {len(harmful)} unsafe, {len(harmful) - lived} found by the prover, {lived} survive, "
        f"{alarms} found without harm, {seconds:.0f} s of trials"
    )


def unlisted(tried: Sequence[Tried]) -> list[str]:
    """Survivors that nobody has explained, with the harm that they do."""
    return [f"{t.says} ({t.card}): {t.harm}" for t in tried if t.survives and not survivors.reason_for(t.says)]


def stale(tried: Sequence[Tried]) -> list[str]:
    """Single survivors of the list that are found by now."""
    return [t.says for t in tried if t.says in survivors.ALONE and t.harm and not t.survives]


@pytest.mark.slow
def test_a_sample_of_mutants(capsys: pytest.CaptureFixture[str]) -> None:
    """Of 200 mutants drawn by a printed seed, each that does harm on some walk is found, or listed with its reason."""
    tried = list(try_all(sample(SEED, SAMPLED), SAMPLED_MOST))

    with capsys.disabled():
        sys.stdout.write(f"\nmutants, seed {SEED}: {score(tried)}")
    assert sum(bool(t.harm) for t in tried) >= 10
    assert unlisted(tried) == []
    assert stale(tried) == []


@pytest.mark.nightly
def test_every_mutant(capsys: pytest.CaptureFixture[str]) -> None:
    """Of all mutants, at least a hundred do harm, and each of these is found, or listed with its reason."""
    every = every_mutant()
    tried = list(try_all(range(len(every)), always=True))

    with capsys.disabled():
        sys.stdout.write(f"\nevery mutant: {score(tried)}")
    assert sum(bool(t.harm) for t in tried) >= 100
    assert unlisted(tried) == []
    assert stale(tried) == []
    lived = {t.says.partition(": ")[0] for t in tried if t.survives}
    assert set(survivors.BY_OPERATOR) <= lived, "an operator is listed of which nothing survives"


def test_every_single_survivor_exists() -> None:
    """A mutant on the list of survivors is one that the operators make."""
    names = {made.says for _, made in every_mutant()}
    assert set(survivors.ALONE) <= names
    assert set(survivors.BY_OPERATOR) <= {name.partition(": ")[0] for name in names}


def test_every_mutant_changes_something() -> None:
    """No mutant leaves everything as it is, and none is made twice; a sample of each operator is looked at."""
    seen: set[str] = set()
    for card, made in every_mutant():
        if made.operator in seen:
            continue
        seen.add(made.operator)
        stated = stated_of(card)
        assert made.change(stated) != stated, made.says
    assert len(seen) > 60


def test_tables_are_as_before_after_a_mutant() -> None:
    """Whatever happens under a mutant, the engine has its own tables again afterwards."""
    before = as_stated(job_of())
    stated = stated_of(CARDS[0])
    changed = next(made for _, made in every_mutant() if made.operator == "hand without proof").change(stated)

    def falls_over() -> None:
        with installed(changed):
            assert as_stated(job_of()) != before
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        falls_over()
    assert as_stated(job_of()) == before
