"""The limits of one edition, as the judgement reads them: bands on a number line, each with its source.

Intervals live here and nowhere else; a step of a procedure only names a row.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from decimal import Decimal
from enum import StrEnum

from ferrule.engine.light import dataclass


class Outcome(StrEnum):
    """What a reading shows; the first four come from bands, the last three from the reading itself."""

    PASS = "pass"
    CONDITIONAL_PASS = "conditional-pass"
    CONDITIONAL_FAIL = "conditional-fail"
    FAIL = "fail"
    OVER_RANGE = "over-range"
    UNSTABLE = "unstable"
    NOT_MEASURED = "not-measured"


class Compares(StrEnum):
    """Which number the bands of a row are laid over."""

    VALUE = "value"
    """The reading itself."""
    DIFFERENCE = "difference"
    """The distance between the reading and what is expected, or between two readings."""
    RATIO = "ratio"
    """The second reading divided by the first."""


class Guard(StrEnum):
    """How the instrument's error narrows or widens a limit; fixed in the limits file before measuring."""

    NONE = "none"
    UNCERTAINTY = "uncertainty"
    REPEATABILITY = "repeatability"


@dataclass(frozen=True, slots=True)
class Bound:
    """One end of a band: a number in the row's unit, or the name of a figure computed for this circuit."""

    value: Decimal | None
    figure: str
    closed: bool


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of the number line with its outcome; a missing end is open without limit."""

    outcome: Outcome
    low: Bound | None
    high: Bound | None
    text: str
    """The band as it stands in the limits file."""


@dataclass(frozen=True, slots=True)
class Row:
    """One limit: what is compared, its bands, the decision rule, and where it comes from."""

    id: str
    title: str
    unit: str
    compares: Compares
    bands: tuple[Band, ...]
    guard: Guard
    settle_alone: bool
    """Whether a person working alone may settle a conditional outcome (trade practice, per row)."""
    source: str
    basis: str
    """`published`, `from memory` or `common practice`."""


@dataclass(frozen=True, slots=True)
class LimitsSet:
    """All rows of one edition with its settings; chosen by the card, frozen for the job."""

    id: str
    title: str
    edition: str
    withdrawn_on: str
    """ISO date from which the edition no longer applies; empty when none is known."""
    settings: Mapping[str, str]
    """Named choices where sources disagree, e.g. `loop-rule`: `measured-0.8`."""
    rows: Mapping[str, Row]
    setting_sources: Mapping[str, str] = field(default_factory=dict)
    """Setting to the source that stands beside it in the limits file."""
