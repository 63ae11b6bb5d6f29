"""Gaps and overlaps of a limits row, found before any reading is judged by it.

Bounds that are figures have no number yet, so the bands are compared by the order of their bounds.
Nothing here judges a reading; the caller turns what is found into findings.
"""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal
from enum import StrEnum
from itertools import pairwise

from ferrule.engine.electrics.limits import Band, Bound, Row
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import divide, plain
from ferrule.engine.quantity.interval import Interval, gaps, overlaps


class Trouble(StrEnum):
    """What can be wrong with the bands of a row."""

    GAP = "gap"
    OVERLAP = "overlap"
    UNORDERED = "unordered"
    """The bands do not say which of two bounds is the larger, so gaps cannot be looked for."""
    EMPTY = "empty"
    """A band that holds no number."""


@dataclass(frozen=True, slots=True)
class BandTrouble:
    """One thing wrong with a row: the bands it concerns by position, and the numbers in words."""

    trouble: Trouble
    bands: tuple[int, ...]
    """Two bands that overlap, one that is empty, or those that a gap lies between."""
    text: str
    """The numbers concerned, e.g. `exactly 0.05 ohm` or `above loop.limit`."""


_ZERO = Decimal(0)
_Node = Decimal | str
"""A bound without its side: a number, or the name of a figure."""


def check_row(row: Row, resolution: Decimal | None = None) -> tuple[BandTrouble, ...]:
    """All gaps of the row's bands from zero up, and all their overlaps.

    With a resolution (in the row's unit), a gap that no reading of such an instrument can fall into is none.
    """
    nodes = _ordered(row.bands)
    if isinstance(nodes, BandTrouble):
        return (nodes,)
    rank = {node: Decimal(place) for place, node in enumerate(nodes)}
    laid = [_interval(band, rank) for band in row.bands]
    found = [
        BandTrouble(Trouble.EMPTY, (place,), row.bands[place].text)
        for place, interval in enumerate(laid)
        if interval.is_empty
    ]
    for gap in gaps(laid, Interval(rank[_ZERO], True, None, False)):
        if not _falls_between(gap, nodes, resolution):
            found.append(BandTrouble(Trouble.GAP, _neighbours(gap, laid), _words(gap, nodes, row.unit)))
    for first, second, shared in overlaps(laid):
        found.append(BandTrouble(Trouble.OVERLAP, (first, second), _words(shared, nodes, row.unit)))
    return tuple(found)


def _node(bound: Bound) -> _Node:
    return bound.figure if bound.value is None else bound.value


def _ordered(bands: tuple[Band, ...]) -> tuple[_Node, ...] | BandTrouble:
    """All bounds and zero from low to high, as far as the bands themselves say so."""
    ends = [bound for band in bands for bound in (band.low, band.high) if bound is not None]
    numbers = sorted({_ZERO, *(bound.value for bound in ends if bound.value is not None)})
    figures = list(dict.fromkeys(bound.figure for bound in ends if bound.value is None))
    nodes: list[_Node] = [*numbers, *figures]
    below: dict[_Node, set[_Node]] = {node: set() for node in nodes}
    for lower, higher in pairwise(numbers):
        below[higher].add(lower)
    for figure in figures:
        below[figure].add(_ZERO)
    for band in bands:
        if band.low is not None and band.high is not None and _node(band.low) != _node(band.high):
            below[_node(band.high)].add(_node(band.low))
    order: list[_Node] = []
    while below:
        free = [node for node, lower in below.items() if lower <= set(order)]
        if len(free) != 1:
            names = ", ".join(_label(node) for node in (free or below))
            return BandTrouble(Trouble.UNORDERED, tuple(range(len(bands))), names)
        order.append(free[0])
        del below[free[0]]
    return tuple(order)


def _interval(band: Band, rank: dict[_Node, Decimal]) -> Interval:
    low, high = band.low, band.high
    return Interval(
        None if low is None else rank[_node(low)],
        low is not None and low.closed,
        None if high is None else rank[_node(high)],
        high is not None and high.closed,
    )


def _falls_between(gap: Interval, nodes: tuple[_Node, ...], resolution: Decimal | None) -> bool:
    """True when no multiple of the resolution lies in a gap whose ends are both numbers."""
    if resolution is None or gap.low is None or gap.high is None:
        return False
    low, high = nodes[int(gap.low)], nodes[int(gap.high)]
    if isinstance(low, str) or isinstance(high, str):
        return False
    steps = divide(low, resolution).to_integral_value(rounding=ROUND_FLOOR)
    real = Interval(low, gap.low_closed, high, gap.high_closed)
    return not any(real.contains((steps + more) * resolution) for more in range(2))


def _neighbours(gap: Interval, laid: list[Interval]) -> tuple[int, ...]:
    """The bands that end where the gap begins, or begin where it ends."""
    return tuple(
        place
        for place, interval in enumerate(laid)
        if (interval.high is not None and interval.high == gap.low)
        or (interval.low is not None and interval.low == gap.high)
    )


def _label(node: _Node) -> str:
    return node if isinstance(node, str) else plain(node)


def _words(interval: Interval, nodes: tuple[_Node, ...], unit: str) -> str:
    def end(place: Decimal) -> str:
        node = nodes[int(place)]
        return node if isinstance(node, str) else f"{plain(node)} {unit}"

    if interval.low is not None and interval.low == interval.high:
        return f"exactly {end(interval.low)}"
    words = []
    if interval.low is not None:
        words.append(f"{'from' if interval.low_closed else 'above'} {end(interval.low)}")
    if interval.high is not None:
        below = "to below" if words else "below"
        words.append(f"{'up to' if interval.high_closed else below} {end(interval.high)}")
    return " ".join(words) or "any"
