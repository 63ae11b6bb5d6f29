"""The verdict on one reading, in texts that the log keeps and a person reads.

A verdict never says what a conductor is now; it says what a reading showed against which limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass

_LISTS = frozenset({"assumed", "reads"})


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a reading shows against one limits row; every number is plain decimal text."""

    outcome: Outcome
    row: str
    """Id of the limits row."""
    value: str
    """The reading in `unit`, with `> ` or `< ` before it when it is off the scale; empty when there is none."""
    unit: str
    limit: str
    """What passes, in the words of a limits file; empty when it is not known or nothing passes."""
    expected: str
    """The figure or the other reading that was expected, e.g. `0.22` or `0.28 to 0.29`; empty without one."""
    margin: str
    """How far inside the passing numbers, negative when outside; empty when there is no such distance."""
    guard: str
    """The allowance for the instrument that was used; empty when the row asks for none or it is not known."""
    sentence: str
    source: str
    assumed: tuple[str, ...]
    """Fields of the card that somebody assumed and this verdict rests on."""
    reads: tuple[str, ...]
    """Keys of the readings that its figures used."""

    def to_json(self) -> dict[str, str | list[str]]:
        """The verdict as texts and lists of texts."""
        return {
            field.name: list(getattr(self, field.name)) if field.name in _LISTS else str(getattr(self, field.name))
            for field in fields(self)
        }

    @classmethod
    def from_json(cls, stored: Mapping[str, object]) -> Verdict:
        """The verdict that to_json wrote; FerruleError for anything else."""
        names = [field.name for field in fields(cls)]
        if set(stored) != set(names):
            raise FerruleError(f"A stored verdict has just the members {', '.join(names)}.")
        outcome = _text(stored, "outcome")
        if outcome not in set(Outcome):
            raise FerruleError(f'A stored verdict has the unknown outcome "{outcome}".')
        texts = {name: _text(stored, name) for name in names if name not in _LISTS and name != "outcome"}
        return cls(outcome=Outcome(outcome), assumed=_texts(stored, "assumed"), reads=_texts(stored, "reads"), **texts)


def _text(stored: Mapping[str, object], name: str) -> str:
    value = stored[name]
    if not isinstance(value, str):
        raise FerruleError(f"The member {name} of a stored verdict is not text.")
    return value


def _texts(stored: Mapping[str, object], name: str) -> tuple[str, ...]:
    value = stored[name]
    if not isinstance(value, list | tuple):
        raise FerruleError(f"The member {name} of a stored verdict is not a list of texts.")
    texts = tuple(item for item in value if isinstance(item, str))
    if len(texts) != len(value):
        raise FerruleError(f"The member {name} of a stored verdict is not a list of texts.")
    return texts
