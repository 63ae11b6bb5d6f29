"""Largest Zs for fuses, from published tables: by standard, rating and disconnection time; each with its source.

The curve of a fuse has no formula, so a rating or a time that the table does not have gives no limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from ferrule.engine.electrics.tables import C_MIN, Sourced
from ferrule.engine.light import dataclass

LOOKUP = "Maximum Zs lookup page, BS 7671:2018 Tables 41.2 to 41.4 with Cmin 0.95 (published)"
EARLIER = "Guide to the Wiring Regulations, Appendix 3, tables of BS 7671:2008 before Cmin (published)"
SCALED = f"{EARLIER}, times Cmin 0.95; the product is arithmetic and was not seen in print"


@dataclass(frozen=True, slots=True)
class FuseTable:
    """The printed limits of one standard and one time: Zs in ohm by rating in ampere."""

    standard: str
    time_s: Decimal
    zs_ohm: Mapping[Decimal, Decimal]
    source: str
    factor: Decimal = Decimal(1)
    """What the printed value is multiplied by; only a table from before Cmin has one."""


def _table(standard: str, time_s: str, zs: str, source: str = LOOKUP, factor: Decimal = Decimal(1)) -> FuseTable:
    """Pairs of rating and Zs as one text, as a printed column has them."""
    pairs = (pair.split(":") for pair in zs.split())
    return FuseTable(standard, Decimal(time_s), {Decimal(a): Decimal(ohm) for a, ohm in pairs}, source, factor)


FUSES: tuple[FuseTable, ...] = (
    _table("BS 88-2", "0.4", "2:33.10 4:15.60 6:7.80 10:4.65 16:2.43 20:1.68 25:1.29 32:0.99 40:0.75 50:0.57 63:0.44"),
    _table(
        "BS 88-2",
        "5",
        "2:44.00 4:21.00 6:12.00 10:6.80 16:4.00 20:2.80 25:2.20 32:1.70 40:1.30 50:0.99 63:0.78 "
        "80:0.55 100:0.42 125:0.32 160:0.27 200:0.18",
    ),
    _table("BS 88-3", "0.4", "5:9.93 16:2.30 20:1.93 32:0.91 45:0.57 63:0.36"),
    _table("BS 88-3", "5", "5:14.60 16:3.90 20:3.20 32:1.60 45:1.00 63:0.68 80:0.51 100:0.38"),
    _table("BS 1361", "0.4", "5:10.45 15:3.28 20:1.70 30:1.15", SCALED, C_MIN.value),
    _table("BS 3036", "0.4", "5:9.10 15:2.43 20:1.68 30:1.04 45:0.56 60:0.40"),
    _table("BS 3036", "5", "5:16.80 15:5.08 20:3.64 30:2.51 45:1.51 60:1.07 100:0.51"),
    _table("BS 1362", "0.4", "3:15.60 13:2.30"),
    _table("BS 1362", "5", "3:22.00 13:3.64"),
)
"""Every table of fuse limits; 0.4 s and 5 s are the times that are printed."""

EARLIER_ZS: tuple[FuseTable, ...] = (
    _table("BS 88-2", "0.4", "6:8.21 10:4.89 16:2.56 20:1.77 25:1.35 32:1.04", EARLIER),
    _table("BS 1361", "0.4", "5:10.45 15:3.28 20:1.70 30:1.15", EARLIER),
    _table("BS 3036", "0.4", "5:9.58 15:2.55 20:1.77 30:1.09", EARLIER),
    _table("BS 1362", "0.4", "3:16.4 13:2.42", EARLIER),
)
"""What the edition of 2008 printed, before Cmin."""


def find_fuse(
    standard: str, rating_a: Decimal, time_s: Decimal, tables: tuple[FuseTable, ...] = FUSES
) -> Sourced | None:
    """The largest Zs in ohm of a fuse, unrounded, with its source; None when no table prints it."""
    for table in tables:
        if table.standard == standard and table.time_s == time_s and rating_a in table.zs_ohm:
            return Sourced(table.zs_ohm[rating_a] * table.factor, f"{table.source}; {standard}")
    return None


def standards() -> tuple[str, ...]:
    """The standards of fuses that have a table."""
    return tuple(dict.fromkeys(table.standard for table in FUSES))


def printed_ratings(standard: str, time_s: Decimal, tables: tuple[FuseTable, ...] = FUSES) -> tuple[Decimal, ...]:
    """The ratings that are printed for a standard and a time; empty when the time is not printed."""
    return tuple(a for table in tables if (table.standard, table.time_s) == (standard, time_s) for a in table.zs_ohm)
