"""Mutants that do harm and that the prover does not find, each with the reason.

A mutant that stands here alone and is found by now fails the test, and so does an operator of which nothing survives.
"""

from __future__ import annotations

from collections.abc import Mapping

LOOKS = (
    "The table of looks counts the questions of an act and does not name them: where a step asks more than the least, "
    "as on a card that adds one, and where an act serves many steps, a lost question is not missed.  "
    "Which looks a step has is for the writer of a procedure to know; only a second reader finds it."
)

BY_OPERATOR: Mapping[str, str] = {
    "question dropped": LOOKS,
    "question asked once": LOOKS,
    "every state passes": LOOKS,
}
"""Operators whose survivors have all the same reason."""

WORDS = (
    "The step says one thing and its act is that of the step after it, which asks for less: a remake that counts as a "
    "look, a load that is taken out and counts as a set-up put right.  What a step's words mean is read by no check; "
    "a second reader has to find it."
)

UPSTREAM = (
    "What a failing answer leaves is held by a rule for main switch and second source; the isolator upstream may be "
    "answered where it is closed already, so that rule does not hold for it, and no other says that a failing answer "
    "gives nothing back."
)

ALONE: Mapping[str, str] = {
    "counts as passed: give back the upstream side, fail": UPSTREAM,
    "step does the next act: find-bonding-fault/remake": WORDS,
    "step does the next act: find-insulation-fault/take-out-load": WORDS,
}
"""Single survivors, by operator and name."""


def reason_for(says: str) -> str:
    """Why a mutant survives, or nothing where it is not listed."""
    return ALONE.get(says) or BY_OPERATOR.get(says.partition(": ")[0], "")
