"""The packaged set as texts and compiled, for tests that hold over every procedure of it."""

from __future__ import annotations

from functools import cache

from ferrule.engine.procedure.load import compile_parts
from ferrule.engine.procedure.parts import Parts
from ferrule.engine.shell.sets import packaged_set, set_texts

CARD = "saltmarsh-kr1-way-4"
LIMITS = "uk-bs7671-a2-2022"


@cache
def packaged_texts() -> tuple[tuple[str, str, str], ...]:
    """Every text of the packaged set beside its cards: role, id and text."""
    return tuple((text.role, text.id, text.text) for text in set_texts(packaged_set()))


@cache
def packaged_parts() -> Parts:
    """The packaged set compiled beside the reference card."""
    card = (packaged_set() / "cards" / f"{CARD}.yaml").read_text(encoding="utf-8")
    texts = [text for text in packaged_texts() if text[0] != "limits" or text[1] == LIMITS]
    parts, found = compile_parts([("card", CARD, card), *texts])
    assert not [finding for finding in found if finding.level == "error"]
    return parts
