"""How soon a fault has to be cleared: by voltage, earthing system, rating and kind of circuit; each with its source.

Nothing here says that a device is fast enough; it says only what is asked of it.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from ferrule.engine.electrics.tables import Sourced
from ferrule.engine.light import dataclass

TABLE = "Table 41.1 of BS 7671:2008 (published), recalled as unchanged in 2018"


class CircuitKind(StrEnum):
    """What a circuit feeds, as far as the times ask for it."""

    SOCKETS = "sockets"
    """A final circuit with one or more socket-outlets."""
    FIXED = "fixed"
    """A final circuit that feeds only fixed equipment."""
    DISTRIBUTION = "distribution"
    """A circuit from one board to another."""
    REDUCED = "reduced-low-voltage"
    """A circuit of a reduced low voltage system."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The circuit that a time is asked for."""

    system: str
    """`TT`, or any TN system."""
    u0_v: Decimal
    rating_a: Decimal
    kind: CircuitKind
    direct: bool = False
    """True for d.c."""
    wide_scope: bool = True
    """True from 2018 on: circuits with sockets belong to the table up to 63 A, not only up to 32 A."""
    overcurrent_and_bonded: bool = False
    """TT only: an overcurrent device clears the fault and all extraneous parts are bonded, so TN times hold."""


_BANDS: tuple[tuple[Decimal, Decimal | None], ...] = (
    (Decimal(50), Decimal(120)),
    (Decimal(120), Decimal(230)),
    (Decimal(230), Decimal(400)),
    (Decimal(400), None),
)
"""Above the first number, up to the second."""
_TIMES: dict[tuple[str, bool], tuple[str, ...]] = {
    ("TN", False): ("0.8", "0.4", "0.2", "0.1"),
    ("TN", True): ("", "5", "0.4", "0.1"),
    ("TT", False): ("0.3", "0.2", "0.07", "0.04"),
    ("TT", True): ("", "0.4", "0.2", "0.1"),
}
"""Seconds by system and d.c., one a band; empty where disconnection is not required against shock."""

SCOPE_A = Sourced(Decimal(32), "411.3.2.2 of BS 7671:2008 (published): final circuits up to 32 A")
SCOPE_SOCKETS_A = Sourced(
    Decimal(63), "411.3.2.2 of BS 7671:2018 (published): up to 63 A with sockets, up to 32 A fixed equipment only"
)
OUTSIDE_TN = Sourced(Decimal(5), "411.3.2.3, distribution circuits and others, TN (published)")
OUTSIDE_TT = Sourced(Decimal(1), "411.3.2.4, distribution circuits and others, TT (published)")
REDUCED = Sourced(Decimal(5), "411.8, reduced low voltage (from memory)")


def in_table_scope(asked: Asked) -> Sourced | None:
    """The rating up to which Table 41.1 holds for this circuit, when it does; None outside its scope."""
    if asked.kind not in (CircuitKind.SOCKETS, CircuitKind.FIXED):
        return None
    limit = SCOPE_SOCKETS_A if asked.kind is CircuitKind.SOCKETS and asked.wide_scope else SCOPE_A
    return limit if asked.rating_a <= limit.value else None


def longest_time_s(asked: Asked) -> Sourced | None:
    """The longest time in seconds to clear a fault; None where none is required against shock."""
    if asked.u0_v <= _BANDS[0][0]:
        return None
    if asked.kind is CircuitKind.REDUCED:
        return REDUCED
    tt = asked.system == "TT" and not asked.overcurrent_and_bonded
    scope = in_table_scope(asked)
    if scope is None:
        return OUTSIDE_TT if tt else OUTSIDE_TN
    text = _TIMES["TT" if tt else "TN", asked.direct][_band(asked.u0_v)]
    return Sourced(Decimal(text), f"{TABLE}; {scope.source}") if text else None


def _band(u0_v: Decimal) -> int:
    return next(place for place, (low, high) in enumerate(_BANDS) if low < u0_v and (high is None or u0_v <= high))
