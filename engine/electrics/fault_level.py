"""Prospective fault current against what the device and the board can take; each rating with its source.

Currents in kA.  Nothing here measures or estimates a supply.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.electrics.tables import THREE_PHASE_RULE, Sourced
from ferrule.engine.quantity.exact import divide, exact

CONDITIONAL_KA = Sourced(
    Decimal(16),
    "consumer unit to BS EN 61439-3, on a BS 1361 type II supply fuse up to 100 A (published, limit recalled)",
)
"""Conditional rating of an assembly, with the supply's fuse as the condition."""
ASSUMED_SINGLE_KA = Sourced(Decimal("19.6"), "network operators' assumed maximum, single phase (published, quoted)")
ASSUMED_THREE_KA = Sourced(
    Decimal("25.9"), "network operators' assumed maximum, two or three phases (published, quoted)"
)
ROOT_THREE_SOURCE = "√3 between one line and the next, where only the line's own impedance counts (from memory)"

_LISTING = "Guide to the Wiring Regulations, 17th edition, listing of fault ratings (published)"
_ANNEX = "recalled figure for BS 88-3 fuses (from memory)"


def _rated(source: str, **ka: str) -> dict[str, Sourced]:
    return {key.replace("_", "-"): Sourced(Decimal(value), source) for key, value in ka.items()}


DEVICE_KA: Mapping[str, Sourced] = {
    **{f"BS 1361 {name}": value for name, value in _rated(_LISTING, type_I="16.5", type_II="33.0").items()},
    **{f"BS 3036 {name}": value for name, value in _rated(_LISTING, S1A="1", S2A="2", S4A="4").items()},
    **{f"BS 88-3 {name}": value for name, value in _rated(_ANNEX, type_1="16", type_2="31.5").items()},
    "BS 88-2.1 at 400 V": Sourced(Decimal(50), _LISTING),
    "BS 88-6 at 230 V": Sourced(Decimal("16.5"), _LISTING),
    "BS 88-6 at 400 V": Sourced(Decimal(80), _LISTING),
    **{
        f"BS 3871 M{text}": Sourced(Decimal(text), f"{_LISTING}, withdrawn standard")
        for text in ("1", "1.5", "3", "4.5", "6", "9")
    },
}
"""What older and newer protective devices can break, by standard and designation."""


def service_ka(rated_ka: Decimal) -> Sourced:
    """Ics of a breaker with this Icn: what it breaks and stays usable, by BS EN 60898-1.

    Equal up to 6 kA (published); 0.75 above, not below 6; 0.5 above 10 kA, not below 7.5 (from memory).
    """
    if rated_ka <= 6:
        return Sourced(rated_ka, f"{_LISTING}: Ics equals Icn up to 6 kA")
    share, floor = (Decimal("0.75"), Decimal(6)) if rated_ka <= 10 else (Decimal("0.5"), Decimal("7.5"))
    return Sourced(max(share * rated_ka, floor), "BS EN 60898-1, Ics by Icn (from memory)")


def three_phase_twice(line_neutral: Decimal) -> Decimal:
    """Largest current on three phases by the site rule: twice the line-to-neutral value (common practice)."""
    return THREE_PHASE_RULE.value * line_neutral


def three_phase_root(line_neutral: Decimal) -> Decimal:
    """Largest current on three phases by √3, a rule that some take instead; below the site rule (from memory)."""
    with exact():
        return line_neutral * Decimal(3).sqrt()


def rating_ka(device_ka: Decimal, *, conditional: bool) -> Sourced:
    """What may be broken here: the device's rating, or the board's conditional one where it applies and is more."""
    if conditional and CONDITIONAL_KA.value > device_ka:
        return CONDITIONAL_KA
    return Sourced(device_ka, "BS 7671:2018 434.5.1 (from memory)")


def loop_from_load_ohm(open_v: Decimal, loaded_v: Decimal, load_a: Decimal) -> Decimal:
    """Loop impedance from a load switched on: (V open − V loaded) ÷ I (Ohm's law)."""
    return divide(open_v - loaded_v, load_a)
