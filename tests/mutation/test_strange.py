"""A verb that the table does not know is refused; a danger that no file of ours has is found all the same."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.procedure.load import compile_parts
from ferrule.engine.safety.acts import Act, parse_need
from tests.mutation.hunt import hunt
from tests.mutation.mutant import Mutant
from tests.mutation.tables import Stated
from tests.mutation.trial import BREAKS, NOTHING, ask_prover, stated_of
from tests.procedure.cases import good_set
from tests.support.jobs import REFERENCE

STRANGE = "polish the busbar"
"""An act of no file of ours, and of no invariant by its name."""
BEHIND_PROOF = (
    "zone:busbar is proved",
    "zone:circuit is proved",
    "hold:two is signed",
    "work is going",
    "tails is shrouded",
)


def strange(*needs: str) -> Act:
    """An act of a made-up trade: a bare hand on the busbar that asks for an open log and no more than is given."""
    asked = tuple(parse_need(n) for n in ("log is open", *needs))
    classes = frozenset({"pass", "refer", "fail"})
    return Act(STRANGE, "", asked, {}, (), (), False, ("busbar",), False, False, False, "", "invented", False, classes)


def before_unplugging(act: Act) -> Mutant:
    """The made-up act in a step before those that unplug the loads."""

    def change(stated: Stated) -> Stated:
        wider = replace(stated, acts={**stated.acts, STRANGE: act})
        steps = stated.job.procedures["unplug-loads"].steps
        first = replace(steps[0], id="strange", act=STRANGE)
        return wider.with_procedure("unplug-loads", steps=(first, *steps))

    return Mutant("strange", act.name, change, frozenset({STRANGE}), steps=frozenset({"unplug-loads/strange"}))


def test_an_unknown_verb_is_refused() -> None:
    """A step whose act is not in the table is refused by name, whatever else the set holds."""
    old, new = "act: prove the indicator", f"act: {STRANGE}"
    texts = [(role, name, text.replace(old, new)) for role, name, text in good_set()]
    _, found = compile_parts(texts)

    assert [f.code for f in found if STRANGE in f.message] == ["unknown-act"]


@pytest.mark.slow
def test_a_hazard_of_no_file_of_ours_is_found() -> None:
    """An act that no invariant names puts a hand on a busbar that was not proved; the prover says so."""
    said, told = ask_prover(before_unplugging(strange()), REFERENCE)

    assert (said, STRANGE in told) == (BREAKS, True)


@pytest.mark.slow
def test_the_same_act_behind_its_proof_breaks_nothing() -> None:
    """With the proof among its needs the made-up act is let pass, so that the test above can fail."""
    mutant = before_unplugging(strange(*BEHIND_PROOF))

    assert ask_prover(mutant, REFERENCE) == (NOTHING, "")
    assert hunt(mutant, stated_of(REFERENCE)) == ""
