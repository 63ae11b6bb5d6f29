"""What a typed line can come to, and what it is read against."""

from __future__ import annotations

from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.cell_view import CellView
from ferrule.engine.walk.situation import Situation, StepView

LINE_MAX = 4000
"""Characters of a line; no answer needs more (record_format.md §1 bounds a text to 4 KiB)."""


@dataclass(frozen=True, slots=True)
class Fill:
    """Places of the step that the line fills."""

    answers: tuple[c.CellAnswer, ...]


@dataclass(frozen=True, slots=True)
class Give:
    """A whole command for the walk."""

    command: c.Command


@dataclass(frozen=True, slots=True)
class Local:
    """Something that only the reader does: `list`, `path`, `by`, `leave`, …"""

    word: str
    argument: str = ""


Parsed = Fill | Give | Local | None


class LineError(FerruleError):
    """A line that is not taken, with the reason as a sentence."""


@dataclass(frozen=True, slots=True)
class Around:
    """What a line is read against."""

    situation: Situation
    person: str
    at: c.Stamp
    script: bool
    """True where each answer must name its step."""
    open_places: tuple[CellView, ...]
    """The places that are still to be filled, in order."""

    def step(self) -> StepView:
        """Return the step on screen; LineError where there is none."""
        step = self.situation.step
        if step is None:
            reason = self.situation.why_here or "The walk stands at no step."
            raise LineError(f"There is no step to answer. {reason}")
        return step
