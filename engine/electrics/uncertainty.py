"""How far an instrument may be off when its card does not say, what reading is believable, and the lead null.

Source: IEC 61557 ceilings of the operating uncertainty; the trip time's ceiling is a share of the limit time.
A believable reading is another question than a passing one: a value out by ten may pass.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from ferrule.engine.electrics.tables import Sourced
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import divide
from ferrule.engine.quantity.interval import Interval

CEILING_PCT: Mapping[str, Sourced] = {
    "insulation": Sourced(Decimal(30), "IEC 61557-2:2019 6.2, insulation (published)"),
    "loop": Sourced(Decimal(30), "IEC 61557-3, loop impedance (from memory)"),
    "low resistance": Sourced(Decimal(30), "IEC 61557-4, continuity (from memory)"),
    "earth electrode": Sourced(Decimal(30), "IEC 61557-5, resistance to earth (from memory)"),
    "residual time": Sourced(Decimal(10), "IEC 61557-6, percent of the limit time (from memory)"),
}
"""Largest operating uncertainty that the standard allows, in percent, by what is measured."""


def operating_off(
    reading: Decimal, error_pct: Decimal | None, error_digits: Decimal, resolution: Decimal, ceiling: Sourced
) -> Decimal:
    """How far a reading may be off: the card's percentage and digits, or the standard's ceiling where it gives none."""
    if error_pct is None:
        return abs(reading) * ceiling.value / 100
    return abs(reading) * error_pct / 100 + error_digits * resolution


def trip_time_off(limit_ms: Decimal) -> Decimal:
    """How far a trip time may be off by the standard's ceiling: 10 % of the limit time (IEC 61557-6, from memory)."""
    return limit_ms * CEILING_PCT["residual time"].value / 100


PLAUSIBLE_FACTOR = Sourced(Decimal(3), "common practice: three times either way is no tolerance but another thing")
TENFOLD = Sourced(Decimal(10), "a decimal point that slipped, or the wrong unit of a range (common practice)")
_NEAR_TENFOLD = Decimal("0.2")


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a reading is hard to believe, in words for a person; no verdict."""

    sentence: str


def plausible(expected: Decimal) -> Interval:
    """The readings that are believable beside an expected value: from a third of it to three times it."""
    factor = PLAUSIBLE_FACTOR.value
    return Interval(divide(expected, factor), True, expected * factor, True)


def doubt_about(reading: Decimal, expected: Decimal) -> Doubt | None:
    """The doubt about a reading that is far from what was expected; None when it is believable.

    A reading within 20 % of ten times, or of a tenth, is named as a slip of the decimal point.
    """
    if expected <= 0 or plausible(expected).contains(reading):
        return None
    for times, words in ((TENFOLD.value, "ten times"), (divide(Decimal(1), TENFOLD.value), "a tenth of")):
        slipped = expected * times
        if abs(reading - slipped) <= _NEAR_TENFOLD * slipped:
            return Doubt(f"This is about {words} what is expected; look at the decimal point and the range.")
    return Doubt("This is far from what is expected; read it again before anything is concluded.")


NEAR_DIGITS = Sourced(
    Decimal(5), "five steps of the display: small values part by more than a factor (common practice)"
)
COPIED_LEAST = 3
"""So few places with one value may agree by chance (common practice)."""


def doubt_beside(reading: Decimal, low: Decimal, high: Decimal, step: Decimal) -> Doubt | None:
    """The doubt about a reading beside an expected band; a few steps of the display are no ground for one."""
    nearest = min(max(reading, low), high)
    if abs(reading - nearest) <= NEAR_DIGITS.value * step:
        return None
    return doubt_about(reading, nearest)


def copied_doubt(
    readings: Sequence[Decimal], expected: Sequence[tuple[Decimal, Decimal]], step: Decimal
) -> Doubt | None:
    """The doubt about one value at every place while the places should differ by more than the display can miss."""
    if len(readings) < COPIED_LEAST or len(set(readings)) > 1:
        return None
    apart = max(low for low, _ in expected) - min(high for _, high in expected)
    if apart <= NEAR_DIGITS.value * step:
        return None
    return Doubt("The same value stands at every place, though they should differ; look whether it was copied.")


NULL_OHM = Sourced(Decimal("0.01"), "one step of a 0.01 Ω display (common practice)")
LEAD_LOW, LEAD_HIGH = Decimal("0.03"), Decimal("0.20")
"""What a pair of leads usually has before it is nulled (common practice)."""


def is_nulled(reading_ohm: Decimal) -> bool:
    """True when leads held together read zero within one step of the display."""
    return abs(reading_ohm) <= NULL_OHM.value


def lead_doubt(lead_ohm: Decimal) -> Doubt | None:
    """The doubt about a lead resistance before it is nulled; None when it is usual."""
    if LEAD_LOW <= lead_ohm <= LEAD_HIGH:
        return None
    if lead_ohm < LEAD_LOW:
        return Doubt("Leads this low are rare: were they nulled already, or is the range too wide?")
    return Doubt("Leads this high point to a worn lead, clip or fuse: change it and null again.")


def below_null(reading_ohm: Decimal, lead_ohm: Decimal) -> bool:
    """True when a reading is smaller than the leads themselves, so that the null alone may have made it."""
    return reading_ohm < lead_ohm
