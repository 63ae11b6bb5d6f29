"""The mutants that the trade brief names in its §14, and some of the same kind: each is found by what checks a set."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from ferrule.engine.electrics import judge as judging
from ferrule.engine.electrics.judge import judge
from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.procedure.compiled import Cell, Step
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.prover.invariants import BUILT_IN
from ferrule.engine.quantity.reading import CellState, Reading
from ferrule.engine.safety.acts import INDICATOR, Need
from tests.mutation.mutant import Change, Mutant
from tests.mutation.tables import Stated
from tests.mutation.trial import BREAKS, NOTHING, PARTED, STRUCTURE, ask_prover
from tests.procedure.cases import good_set
from tests.support.jobs import REFERENCE


def cells(keep: Callable[[Cell], bool]) -> Change:
    """The round of pairs with only some of its cells."""

    def changed(step: Step) -> Step:
        kept = tuple(cell for cell in step.cells if keep(cell))
        assert len(kept) < len(step.cells)
        return replace(step, cells=kept)

    def change(stated: Stated) -> Stated:
        steps = tuple(changed(s) if s.id == "pairs" else s for s in stated.job.procedures["prove-dead"].steps)
        return stated.with_procedure("prove-dead", steps=steps)

    return change


def without(*facts: str) -> Change:
    """Needs on facts dropped from every act, and from every rule of the cascade."""

    def change(stated: Stated) -> Stated:
        acts = {
            name: replace(act, needs=tuple(n for n in act.needs if n.fact not in facts))
            for name, act in stated.acts.items()
        }
        rules = tuple(replace(r, unless=tuple(n for n in r.unless if n.fact not in facts)) for r in stated.rules)
        return replace(stated, acts=acts, rules=rules)

    return change


def signed_by_apprentice(stated: Stated) -> Stated:
    """Hold point five with the apprentice in the technician's place."""
    five = replace(stated.holds["five"], supervised=("apprentice", "supervisor"))
    return replace(stated, holds={**stated.holds, "five": five})


def failed_read_again(stated: Stated) -> Stated:
    """A failed insulation test may be read again at once."""
    act = stated.acts["read insulation"]
    own = "result:insulation"
    needs = tuple(Need(own, (*n.values, "fail")) if n.fact == own else n for n in act.needs)
    return stated.with_act(act.name, needs=needs)


def absence_keeps_proof(stated: Stated) -> Stated:
    """What an absence takes back is nothing."""
    return replace(stated, unproved=())


def locked_without_lock(stated: Stated) -> Stated:
    """A source counts as locked with nobody's lock on it, and nobody asks for one."""
    act = stated.acts["isolate and lock"]
    less = tuple(e for e in act.effects["pass"] if not e.fact.startswith("lock:"))
    return without("lock:*")(stated.with_act(act.name, effects={**act.effects, "pass": less}))


NAMED = (
    ("drop the after-proof", cells(lambda c: not any(s.answer == INDICATOR for s in c.states)), REFERENCE),
    ("drop N-E", cells(lambda c: c.slot != "dead/N-E"), REFERENCE),
    ("skip HP6", without("hold:six", "earthing"), PARTED),
    ("leave one link", without("link:*"), REFERENCE),
    ("let A sign HP5", signed_by_apprentice, "supervised"),
    ("re-close after trip", without("trip cause"), REFERENCE),
    ("edit FAIL to PASS", failed_read_again, REFERENCE),
    ("lock without owner", locked_without_lock, REFERENCE),
    ("resume after N+1 min", absence_keeps_proof, REFERENCE),
)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "change", "card"), NAMED, ids=[name for name, _, _ in NAMED])
def test_a_mutant_that_the_trade_names_is_caught(name: str, change: Change, card: str) -> None:
    """Each mutant of the trade's own list is found by an invariant, or by its structure before a proof is begun."""
    assert ask_prover(Mutant("trade", name, change), card)[0] in (BREAKS, STRUCTURE)


@pytest.mark.slow
@pytest.mark.parametrize("card", [REFERENCE, "supervised", PARTED])
def test_nothing_is_said_without_a_mutant(card: str) -> None:
    """The same jobs as they are packaged are shown whole: what is caught above is caught for its change."""
    assert ask_prover(Mutant("none", "none", lambda stated: stated), card) == (NOTHING, "")


def test_a_bound_taken_as_a_number_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """“Take >200 as 200”: the walk holds invariant 28 by its judgement, and a judgement without it passes a bound."""
    row = compile_job(good_set()).limits.rows["lead-null"]
    above = Reading.over_range(Decimal("0.04"), "ohm")

    def outcome() -> Outcome:
        return judge(above, row, figure_of=lambda *_: pytest.fail("no figure is asked for"), expected=None).outcome

    assert 28 in BUILT_IN
    assert outcome() is not Outcome.PASS
    monkeypatch.setattr(judging, "_OFF_SCALE", (CellState.UNDER_RANGE,))
    assert outcome() is Outcome.PASS
