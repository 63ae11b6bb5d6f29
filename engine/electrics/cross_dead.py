"""Cross-checks of the dead readings: lead null, ring, radial.

For: `cross_checks`; each check yields what disagrees, or nothing.
Must never: take a reading off the scale as a number.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from ferrule.engine.electrics.cross_model import (
    DIGIT_OHM,
    FEW,
    LENGTH_SHARE,
    CrossCheck,
    amount,
    figure_of,
    number,
    numbers,
    spoken,
    tolerance,
)
from ferrule.engine.electrics.figure import Inputs, said
from ferrule.engine.quantity.exact import shown

_BRIDGE = "a cable that bridges two points"
_SPUR = "a spur that is not on the card"


def below_the_null(inputs: Inputs) -> Iterator[CrossCheck]:
    """A low reading at or under what the leads themselves read; copper has more than its leads."""
    null = number(inputs, "null")
    if null is None:
        return
    keys = [key for key in ("r1", "rn", "r2") if number(inputs, key) is not None]
    keys += [f"{slot}/{point}" for slot in ("ring-two", "ring-three") for point in numbers(inputs, slot)]
    low = [key for key in keys if _is_lower(inputs, key, null)]
    if not low:
        return
    value = number(inputs, low[0]) or Decimal(0)
    more = f" and {len(low) - 1} more" if len(low) > 1 else ""
    yield CrossCheck(
        "below-null",
        f"{spoken(low[0])} reads {amount(value, 'ohm')}{more}, no more than the leads with {amount(null, 'ohm')}",
        amount(null - value, "ohm"),
        ("a link left in", "leads changed or nulled anew in between", "probes on one and the same conductor"),
        "null the leads again and read once more",
        ("null", *low),
    )


def _is_lower(inputs: Inputs, key: str, null: Decimal) -> bool:
    value = number(inputs, key)
    return value is not None and (value < null or value == 0)


def radial_step(inputs: Inputs) -> Iterator[CrossCheck]:
    """R1+R2 of a radial against its length, at the point that lies farthest off."""
    if inputs.circuit.kind != "radial" or inputs.settings.get("cpc-method", "link") != "link":
        return
    read = numbers(inputs, "cpc")
    off: dict[str, Decimal] = {}
    for point, value in read.items():
        figure = figure_of("radial.r1r2", inputs, point)
        if figure is not None:
            off[point] = value - min(max(value, figure.low), figure.high)
    worst = max(off, key=lambda point: abs(off[point]), default="")
    if not worst or abs(off[worst]) <= max(tolerance(inputs), LENGTH_SHARE.value * read[worst]):
        return
    more = ("a loose joint", "a longer cable than on the card", "leads not nulled")
    less = ("another path for the protective conductor", "a shorter cable than on the card", "a link left elsewhere")
    yield CrossCheck(
        "radial-length",
        f"R1+R2 at {worst} reads {amount(read[worst], 'ohm')};"
        f" its length makes {amount(read[worst] - off[worst], 'ohm')}",
        amount(abs(off[worst]), "ohm"),
        more if off[worst] > 0 else less,
        "read the point before it: where the difference begins, the cause lies",
        (f"cpc/{worst}",),
    )


def equal_ends(inputs: Inputs) -> Iterator[CrossCheck]:
    """r1, rn and r2 alike to the digit though the sizes differ."""
    ends = [number(inputs, key) for key in ("r1", "rn", "r2")]
    expected = figure_of("ring.r2-from-r1", inputs)
    if None in ends or len(set(ends)) > 1 or expected is None or ends[0] is None:
        return
    by = abs(expected.high - ends[0])
    if by <= 2 * DIGIT_OHM.value:
        return
    yield CrossCheck(
        "equal-ends",
        f"r1, rn and r2 all read {amount(ends[0], 'ohm')}, though r2 should be {amount(expected.high, 'ohm')}",
        amount(by, "ohm"),
        ("one reading written down three times", "one conductor read three times", "a card with the wrong size"),
        "read r1, rn and r2 again, each with its own pair of ends",
        ("r1", "rn", "r2"),
    )


def ratio(inputs: Inputs) -> Iterator[CrossCheck]:
    """r2 against r1 by the table of conductors."""
    r1, r2 = number(inputs, "r1"), number(inputs, "r2")
    expected, room = figure_of("ring.r2-from-r1", inputs), figure_of("ring.r2-tolerance", inputs)
    if not r1 or r2 is None or expected is None or room is None:
        return
    by = r2 - expected.high
    if abs(by) <= room.high:
        return
    high = ("a loose joint in the protective conductor", "a protective conductor smaller than on the card")
    joint, leads = "a loose joint in the line, which makes r1 too large", "leads not nulled"
    first = (joint, leads) if _line_alone(inputs) else (leads, joint)
    low = (*first, "another path for the protective conductor through metalwork")
    yield CrossCheck(
        "r2-to-r1",
        f"r2 {amount(r2, 'ohm')} ÷ r1 {amount(r1, 'ohm')} is {_two(r2 / r1)};"
        f" the table makes {_two(expected.high / r1)}",
        amount(abs(by), "ohm"),
        high if by > 0 else low,
        "read r2 again while each accessory is moved" if by > 0 else "null the leads and read r1 and r2 again",
        ("r1", "r2"),
    )


def _two(ratio: Decimal) -> str:
    """A ratio as two decimals, for reading."""
    return shown(ratio, Decimal("0.01"))


def _line_alone(inputs: Inputs) -> bool:
    """True when r1 lies above rn by more than the tolerance: leads would have raised both."""
    r1, rn = number(inputs, "r1"), number(inputs, "rn")
    return r1 is not None and rn is not None and r1 - rn > tolerance(inputs)


def length(inputs: Inputs) -> Iterator[CrossCheck]:
    """The length that r1 stands for against the card."""
    found, card = figure_of("ring.length", inputs), inputs.circuit.length_m
    expected = figure_of("ring.r1", inputs)
    r1 = number(inputs, "r1")
    if found is None or card.value is None or expected is None or r1 is None:
        return
    room = max(LENGTH_SHARE.value * expected.high, tolerance(inputs))
    if abs(r1 - expected.high) <= room:
        return
    low = (
        _BRIDGE,
        "a card that gives too long a ring",
        "a larger conductor than on the card",
    )
    joint, leads = "a loose joint in the line", "leads not nulled"
    first = (joint, leads) if _line_alone(inputs) else (leads, joint)
    high = (*first, "a card that gives too short a ring")
    yield CrossCheck(
        "length",
        f"r1 {amount(r1, 'ohm')} stands for {said(found.high.quantize(Decimal(1)))} m;"
        f" the card ({card.how.value}) gives {amount(card.value, 'm')}",
        amount(abs(found.high - card.value).quantize(Decimal(1)), "m"),
        high if r1 > expected.high else low,
        "read step two: a bridge shows as steps on the way round" if r1 < expected.high else "compare rn and r2",
        ("r1",),
    )


def step_two_quarter(inputs: Inputs) -> Iterator[CrossCheck]:
    """Step two against a quarter of r1 and rn: leads left in add to each of them differently."""
    on_spur = {point.id for point in inputs.circuit.points if point.spur_from}
    read = {point: value for point, value in numbers(inputs, "ring-two").items() if point not in on_spur}
    if len(read) < FEW or number(inputs, "r1") is None or number(inputs, "rn") is None:
        return
    expected = figure_of("ring.step-two", inputs, next(iter(read)))
    if expected is None:
        return
    low, high = min(read.values()), max(read.values())
    by = low - expected.high if low > expected.high else high - expected.low
    if abs(by) <= tolerance(inputs) or high - low > tolerance(inputs):
        return
    causes = (
        ("leads not nulled", "links of poor contact at the board", "a ring that is broken")
        if by > 0
        else ("a link left in", "another ring joined to this one", "r1 or rn read through a poor contact")
    )
    yield CrossCheck(
        "step-two-quarter",
        f"step two reads {amount(low, 'ohm')} everywhere; a quarter of r1 and rn is {amount(expected.high, 'ohm')}",
        amount(abs(by), "ohm"),
        causes,
        "null the leads and read one socket again",
        ("r1", "rn", *(f"ring-two/{point}" for point in read)),
    )


def _is_short(inputs: Inputs) -> bool:
    """True when r1 stands for much less cable than the card gives."""
    r1, expected = number(inputs, "r1"), figure_of("ring.r1", replace(inputs, readings={}))
    return r1 is not None and expected is not None and expected.low - r1 > tolerance(inputs)


def step_two_flat(inputs: Inputs) -> Iterator[CrossCheck]:
    """Step two is the same all round a sound ring; a spur of the card may lie above."""
    on_spur = {point.id for point in inputs.circuit.points if point.spur_from}
    read = {point: value for point, value in numbers(inputs, "ring-two").items() if point not in on_spur}
    if len(read) < FEW:
        return
    top, bottom = max(read, key=lambda p: read[p]), min(read, key=lambda p: read[p])
    by = read[top] - read[bottom]
    if by <= tolerance(inputs):
        return
    higher = [point for point, value in read.items() if value - read[bottom] > by / 2]
    single = len(higher) == 1
    links = "the legs not crossed: the reading grows from the board to the middle"
    inside = (_BRIDGE, links) if _is_short(inputs) else (links, _BRIDGE)
    yield CrossCheck(
        "step-two-flat",
        f"step two runs from {amount(read[bottom], 'ohm')} at {bottom} to {amount(read[top], 'ohm')} at {top},"
        " and should be the same all round",
        amount(by, "ohm"),
        (_SPUR, "a loose terminal at that point") if single else inside,
        f"open {top} and look how many cables it holds" if single else "cross the legs again and read three points",
        tuple(f"ring-two/{point}" for point in read),
    )


def step_three_most(inputs: Inputs) -> Iterator[CrossCheck]:
    """The largest step three, which is R1+R2, against what r1 and r2 as read make of it."""
    read = numbers(inputs, "ring-three")
    if not read or number(inputs, "r1") is None or number(inputs, "r2") is None:
        return
    figures = {point: figure_of("ring.step-three", inputs, point) for point in read}
    known = {point: figure for point, figure in figures.items() if figure is not None}
    if not known:
        return
    top = max(known, key=lambda point: read[point])
    low, high = max(f.low for f in known.values()), max(f.high for f in known.values())
    by = read[top] - min(max(read[top], low), high)
    if abs(by) <= tolerance(inputs):
        return
    more: tuple[str, ...] = (_SPUR, "a loose joint", "leads not nulled")
    if min(read[point] - figure.high for point, figure in known.items()) > tolerance(inputs) / 2:
        more = ("leads not nulled", "a loose joint", _SPUR)
    if by > 0 and _is_short(inputs):
        more = (_BRIDGE, *more)
    less = ("the legs not crossed", "another path for the protective conductor", _BRIDGE)
    yield CrossCheck(
        "r1-r2-maximum",
        f"the largest step three, {amount(read[top], 'ohm')} at {top}, is the circuit's R1+R2;"
        f" r1 and r2 as read make {amount(high, 'ohm')}",
        amount(abs(by), "ohm"),
        more if by > 0 else less,
        f"read {top} again, then its neighbours" if by > 0 else "look at the links, then read the farthest point again",
        ("r1", "r2", *(f"ring-three/{point}" for point in read)),
    )
