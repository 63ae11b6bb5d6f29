"""The protective conductor under a fault: the adiabatic sum S = √(I²·t) ÷ k, and k by table.

Source of the rule: BS 7671:2018 543.1.3 and 434.5.2, IEC 60364-5-54 543.1.2 (clause numbers from memory).
Below 0.1 s the current that flows is set by the device: its maker's let-through energy is used then, not I²·t.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import divide, exact

_SIZES = "1 1.5 2.5 4 6 10 16 25 35 50 70 95 120 150 185 240 300 400"
STANDARD_MM2: tuple[Decimal, ...] = tuple(Decimal(size) for size in _SIZES.split())
"""Sizes that cables are made in (IEC 60228, from memory above 50 mm²)."""

LET_THROUGH_BELOW_S = Decimal("0.1")
"""A shorter time wants the maker's let-through energy (BS 7671:2018 434.5.2, from memory)."""

POCKET_GUIDE = "NICEIC/ELECSA Pocket Guide 14, page 25, data from Tables 43.1 and 54.2 to 54.5 (published)"
RECALLED = "Table 54.3, not in the extract that was read (from memory)"


@dataclass(frozen=True, slots=True)
class Factor:
    """One k: where the conductor is used, what it and its covering are made of."""

    use: str
    """`live`, `separate`, `in-cable`, `sheath` or `conduit`: Tables 43.1, 54.2, 54.3, 54.4, 54.5."""
    material: str
    covering: str
    k: Decimal
    k_thick: Decimal | None
    """The k above 300 mm², where the table has one of its own."""
    source: str


def _factors(use: str, source: str, rows: str) -> tuple[Factor, ...]:
    """Rows as `material covering k` or `material covering k/k-above-300`."""
    made = []
    for row in rows.split(","):
        material, covering, k = row.split()
        thin, _, thick = k.partition("/")
        made.append(Factor(use, material, covering, Decimal(thin), Decimal(thick) if thick else None, source))
    return tuple(made)


FACTORS: tuple[Factor, ...] = (
    *_factors(
        "live",
        POCKET_GUIDE,
        "copper thermoplastic-70 115/103, copper thermoplastic-90 100/86, copper thermosetting-60 141, "
        "copper thermosetting-90 143, mineral-copper thermoplastic-sheath 115, mineral-copper bare 135",
    ),
    *_factors(
        "separate",
        POCKET_GUIDE,
        "copper thermoplastic-70 143/133, copper thermoplastic-90 143/133, copper thermosetting-90 176, "
        "aluminium thermoplastic-70 95/88, aluminium thermoplastic-90 95/88, aluminium thermosetting-90 116, "
        "steel thermoplastic-70 52, steel thermoplastic-90 52, steel thermosetting-90 64",
    ),
    *_factors(
        "in-cable",
        POCKET_GUIDE,
        "copper thermoplastic-70 115/103, copper thermoplastic-90 100/86, copper thermosetting-90 143",
    ),
    *_factors(
        "in-cable",
        RECALLED,
        "aluminium thermoplastic-70 76/68, aluminium thermoplastic-90 66/57, aluminium thermosetting-90 94",
    ),
    *_factors(
        "sheath",
        POCKET_GUIDE,
        "aluminium thermoplastic-70 93, aluminium thermoplastic-90 85, aluminium thermosetting-90 85, "
        "steel thermoplastic-70 51, steel thermoplastic-90 46, steel thermosetting-90 46, "
        "lead thermoplastic-70 26, lead thermoplastic-90 23, lead thermosetting-90 23",
    ),
    *_factors(
        "conduit",
        POCKET_GUIDE,
        "steel thermoplastic-70 47, steel thermoplastic-90 44, steel thermosetting-90 58",
    ),
)


def find_factor(use: str, material: str, covering: str) -> Factor | None:
    """The k of a conductor by its use, material and covering; None when no table has it."""
    wanted = (use, material, covering)
    return next((row for row in FACTORS if (row.use, row.material, row.covering) == wanted), None)


def named_factors() -> Mapping[str, Factor]:
    """Every k by one name, e.g. `in-cable/copper/thermoplastic-70` for the core of a flat twin cable."""
    return {f"{row.use}/{row.material}/{row.covering}": row for row in FACTORS}


def smallest_mm2(current_a: Decimal, time_s: Decimal, k: Decimal) -> Decimal:
    """The smallest area that keeps its temperature: √(I²·t) ÷ k, to 28 digits."""
    with exact():
        return divide((current_a * current_a * time_s).sqrt(), k)


def next_standard(area_mm2: Decimal) -> Decimal | None:
    """The smallest standard size that is not below an area; None above the largest."""
    return next((size for size in STANDARD_MM2 if size >= area_mm2), None)


def energy_a2s(current_a: Decimal, time_s: Decimal) -> Decimal:
    """I²·t of a steady current, in A²s: what a maker's let-through energy is held against."""
    return current_a * current_a * time_s


def withstands_a2s(area_mm2: Decimal, k: Decimal) -> Decimal:
    """k²·S² in A²s: the let-through energy that a conductor bears (434.5.2, from memory)."""
    return k * k * area_mm2 * area_mm2
