"""Conductor resistances by material, class and size, and how they change with temperature; each with its source.

Largest d.c. resistances at 20 °C in mΩ/m.  A size that the table does not have is not interpolated.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.electrics.tables import COPPER_PER_DEGREE, MOHM_PER_M, Sourced
from ferrule.engine.light import dataclass

_FLEXIBLE = "IEC 60228, plain copper class 5, largest d.c. resistance at 20 °C; for flexes, not for fixed wiring"
_ALUMINIUM = "IEC 60228, aluminium class 1 and 2, largest d.c. resistance at 20 °C"

ALUMINIUM_PER_DEGREE = Sourced(Decimal("0.00403"), "aluminium, per degree from 20 °C; published engineering table")
PRACTICE_PER_DEGREE = Sourced(
    Decimal("0.004"), "wiring practice: 0.4 % per degree, the same as (230 + t)/(230 + 20); behind the factor 1.20"
)
"""The rounder coefficient that tables for fixed wiring use; ferrule shows it beside its own, never instead."""


@dataclass(frozen=True, slots=True)
class Conductor:
    """One kind of conductor: its resistances by size and its temperature coefficient."""

    name: str
    mohm_per_m: Mapping[Decimal, Sourced]
    per_degree: Sourced


def _table(source: str, **sizes: str) -> dict[Decimal, Sourced]:
    """Sizes as `mm1_5="13.3"`, because a keyword cannot hold a point."""
    return {Decimal(key[2:].replace("_", ".")): Sourced(Decimal(value), source) for key, value in sizes.items()}


CONDUCTORS: Mapping[str, Conductor] = {
    kind.name: kind
    for kind in (
        Conductor("copper", MOHM_PER_M, COPPER_PER_DEGREE),
        Conductor(
            "copper-flexible",
            _table(
                _FLEXIBLE,
                mm1="19.5",
                mm1_5="13.3",
                mm2_5="7.98",
                mm4="4.95",
                mm6="3.30",
                mm10="1.91",
                mm16="1.21",
                mm25="0.780",
                mm35="0.554",
            ),
            COPPER_PER_DEGREE,
        ),
        Conductor(
            "aluminium",
            _table(_ALUMINIUM, mm10="3.08", mm16="1.91", mm25="1.20", mm35="0.868", mm50="0.641"),
            ALUMINIUM_PER_DEGREE,
        ),
    )
}
"""Every kind of conductor by its name; copper is solid or stranded (class 1 and 2)."""
