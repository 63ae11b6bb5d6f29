"""Mutants that do harm and that the prover does not find, each with the reason.

A mutant that stands here alone and is found by now fails the test, and so does an operator of which nothing survives.
"""

from __future__ import annotations

from collections.abc import Mapping

LOOKS = (
    "What is looked at or read off a label, beside what an instrument reads, is for the writer of a procedure to "
    "know: no table of ours states apart from the procedure which looks a step has and which of them can fail.  "
    "Only a second reader finds it."
)

BY_OPERATOR: Mapping[str, str] = {
    "question dropped": LOOKS,
    "question asked once": LOOKS,
    "every state passes": LOOKS,
}
"""Operators whose survivors have all the same reason."""

ALONE: Mapping[str, str] = {}
"""Single survivors, by operator and name."""


def reason_for(says: str) -> str:
    """Why a mutant survives, or nothing where it is not listed."""
    return ALONE.get(says) or BY_OPERATOR.get(says.partition(": ")[0], "")
