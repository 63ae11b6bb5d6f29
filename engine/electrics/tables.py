"""The constants of the trade, each with its source beside it.

A figure that stands here stands nowhere else in the engine.
Nothing in this module computes; a limit that an edition may change belongs to the limits file instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.light import dataclass


@dataclass(frozen=True, slots=True)
class Sourced:
    """A number that cannot be told apart from where it was read."""

    value: Decimal
    source: str


def _of(source: str, **values: str) -> dict[str, Sourced]:
    return {key: Sourced(Decimal(value), source) for key, value in values.items()}


CONDUCTOR_SOURCE = "IEC 60228, plain copper class 1 and 2, largest d.c. resistance at 20 °C"

_MOHM_PER_M = {
    "0.5": "36.0",
    "0.75": "24.5",
    "1": "18.1",
    "1.5": "12.1",
    "2.5": "7.41",
    "4": "4.61",
    "6": "3.08",
    "10": "1.83",
    "16": "1.15",
    "25": "0.727",
    "35": "0.524",
    "50": "0.387",
}

MOHM_PER_M: Mapping[Decimal, Sourced] = {
    Decimal(size): Sourced(Decimal(value), CONDUCTOR_SOURCE) for size, value in _MOHM_PER_M.items()
}
"""Resistance of one copper conductor in mΩ/m by its size in mm²; `Decimal("4")` finds `Decimal("4.0")`."""

COPPER_PER_DEGREE = Sourced(Decimal("0.00393"), "IEC 60028, copper, per degree from 20 °C")
"""Relative change of resistance for each degree away from 20 °C."""

TABLE_TEMPERATURE_C = Decimal(20)
"""The temperature that the conductor table holds for (IEC 60228)."""

C_MIN = Sourced(Decimal("0.95"), "BS 7671:2018 411.4.4, factor Cmin (from memory)")
"""How far the supply may sag while a fault is cleared."""

BREAKER_MULTIPLE: Mapping[str, Sourced] = _of(
    "BS EN 60898-1 and 61009-1, upper end of the magnetic band: B 5, C 10, D 20 times the rating",
    B="5",
    C="10",
    D="20",
)
"""Times the rated current that opens the breaker at once, by its curve."""

MEASURED_FACTOR = Sourced(
    Decimal("0.8"), "published 0.8 rule for Zs measured cold against the table of the warm conductor"
)
WARM_FACTOR = Sourced(
    Decimal("1.20"), "70 °C conductors against 20 °C, (230 + 70)/(230 + 20); published design-stage factor"
)
TWO_THIRDS = (Decimal(2), Decimal(3))
TWO_THIRDS_SOURCE = "IEC 60364-6, informative annex: Zs measured up to 2/3 of U0/Ia (from memory)"

ZE_LIMIT_OHM: Mapping[str, Sourced] = {
    "TN-C-S": Sourced(Decimal("0.35"), "distributors' declared largest value, TN-C-S (from memory)"),
    "TN-S": Sourced(Decimal("0.80"), "distributors' declared largest value, TN-S (from memory)"),
    "TT": Sourced(Decimal("21"), "distributors' declared largest value of their own part, TT (from memory)"),
}

VOLTS_BELOW = Sourced(Decimal(6), "ESQCR 2002: 6 % below the declared voltage (from memory)")
"""Percent that the supply may lie below the declared voltage."""
VOLTS_ABOVE = Sourced(Decimal(10), "ESQCR 2002: 10 % above the declared voltage (from memory)")
"""Percent that the supply may lie above the declared voltage."""

TOUCH_LIMIT_V = Sourced(Decimal(50), "BS 7671:2018 411.5.3 and Table 41.5: RA × IΔn up to 50 V")

ELECTRODE_STABLE_OHM = Sourced(
    Decimal(200), "On-Site Guide as practitioners quote it: above about 200 Ω an electrode may not stay stable"
)
TT_FINAL_MS = Sourced(
    Decimal(200), "BS 7671:2018 Table 41.1: 0.2 s for a final circuit on TT, 120 V < U0 up to 230 V a.c."
)

RCD_GENERAL_MS = Sourced(Decimal(300), "BS EN 61009-1 break times, and the note to 643.7.1/643.8 in A2:2022")
RCD_DELAYED_MS = Sourced(Decimal(500), "BS EN 61009-1 break times of the delayed type")
RCD_DELAYED_LEAST_MS = Sourced(Decimal(130), "BS EN 61009-1 non-actuating time of the delayed type")

LEAKAGE_SHARE = Sourced(Decimal("0.3"), "BS 7671:2018 531.3.2: standing leakage up to 0.3 IΔn (from memory)")

R2_TOLERANCE_SHARE = Sourced(Decimal("0.10"), "common practice: r2 within 10 % of r1 times the table ratio")
R2_TOLERANCE_OHM = Sourced(Decimal("0.05"), "common practice: r2 within 0.05 Ω when that is more")

THREE_PHASE_RULE = Sourced(Decimal(2), "common practice: twice the highest line-to-neutral value on three phases")
