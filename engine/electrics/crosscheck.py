"""Readings held against each other: what disagrees, by how much, the likely causes in order, the next test.

Rules
1. A cross-check is advice beside the verdicts: it changes no outcome and stands in no event.  It is worked out
   again from the readings whenever somebody looks, so a replay shows the same words at the same place.
2. Exact decimals only; a reading off the scale takes no part, for it has no number to compare.
3. Silence on a sound circuit: a tolerance is what joints, the display and the instrument leave between true readings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from ferrule.engine.electrics.figure import Figure, Inputs, said
from ferrule.engine.electrics.figures import compute
from ferrule.engine.electrics.mismatch import explain_mismatch
from ferrule.engine.electrics.tables import Sourced
from ferrule.engine.light import dataclass
from ferrule.engine.quantity.exact import exact
from ferrule.engine.quantity.reading import CellState, Reading
from ferrule.engine.quantity.units import UNITS, convert

RING_OHM = Sourced(Decimal("0.05"), "common practice: readings of a ring that should agree do so within 0.05 Ω")
LOOP_OHM = Sourced(Decimal("0.10"), "common practice: a loop reading of 5 % + 5 digits is off by some 0.08 Ω at 0.6 Ω")
LENGTH_SHARE = Sourced(Decimal("0.10"), "common practice: a length on a record is good to a tenth")
DIGIT_OHM = Sourced(Decimal("0.01"), "IEC 61557-4 instruments show 0.01 Ω (common practice)")
DIGIT_KA = Sourced(Decimal("0.01"), "installation testers show 0.01 kA (common practice)")
FEW = 3
"""So many equal readings are not chance any more (common practice)."""


@dataclass(frozen=True, slots=True)
class CrossCheck:
    """One disagreement between readings, or between readings and the card."""

    name: str
    disagrees: str
    by: str
    """How far apart, with its unit."""
    causes: tuple[str, ...]
    """The likeliest first."""
    next_test: str
    reads: tuple[str, ...]
    """Keys of the readings that it rests on."""

    @property
    def sentence(self) -> str:
        """The whole of it, to be read aloud."""
        likely = "; then ".join(self.causes)
        return f"{self.disagrees}: {self.by} apart. Likely: {likely}. Next: {self.next_test}."


def cross_checks(readings: Mapping[str, Reading], inputs: Inputs) -> tuple[CrossCheck, ...]:
    """All disagreements between these readings on this job, in the order of the work."""
    taken = replace(inputs, readings=dict(readings))
    with exact():
        return tuple(found for check in _CHECKS for found in check(taken))


def _number(inputs: Inputs, key: str, unit: str = "ohm") -> Decimal | None:
    reading = inputs.readings.get(key)
    if reading is None or reading.state is not CellState.VALUE or reading.value is None:
        return None
    return convert(reading.value, reading.unit, unit)


def _numbers(inputs: Inputs, slot: str, unit: str = "ohm") -> dict[str, Decimal]:
    """The plain numbers read under a slot, by point, in the card's order."""
    found = {point.id: _number(inputs, f"{slot}/{point.id}", unit) for point in inputs.circuit.points}
    return {point: value for point, value in found.items() if value is not None}


def _figure(name: str, inputs: Inputs, point: str = "") -> Figure | None:
    found = compute(name, inputs, point)
    return found if isinstance(found, Figure) else None


def _tolerance(inputs: Inputs) -> Decimal:
    """What the limits file allows between readings of a ring, else the usual."""
    return Decimal(inputs.settings.get("ring-tolerance", RING_OHM.value))


def _with(value: Decimal, unit: str) -> str:
    return f"{said(value)} {UNITS[unit].shown}"


def _below_the_null(inputs: Inputs) -> Iterator[CrossCheck]:
    """A low reading at or under what the leads themselves read; copper has more than its leads."""
    null = _number(inputs, "null")
    if null is None:
        return
    keys = [key for key in ("r1", "rn", "r2") if _number(inputs, key) is not None]
    keys += [f"{slot}/{point}" for slot in ("ring-two", "ring-three") for point in _numbers(inputs, slot)]
    low = [key for key in keys if _is_lower(inputs, key, null)]
    if not low:
        return
    value = _number(inputs, low[0]) or Decimal(0)
    more = f" and {len(low) - 1} more" if len(low) > 1 else ""
    yield CrossCheck(
        "below-null",
        f"{_spoken(low[0])} reads {_with(value, 'ohm')}{more}, no more than the leads with {_with(null, 'ohm')}",
        _with(null - value, "ohm"),
        ("a link left in", "leads changed or nulled anew in between", "probes on one and the same conductor"),
        "null the leads again and read once more",
        ("null", *low),
    )


def _is_lower(inputs: Inputs, key: str, null: Decimal) -> bool:
    value = _number(inputs, key)
    return value is not None and (value < null or value == 0)


def _spoken(key: str) -> str:
    slot, _, point = key.partition("/")
    words = {"ring-two": "step two", "ring-three": "step three", "zs": "Zs"}.get(slot, slot)
    return f"{words} at {point}" if point else words


def _ratio(inputs: Inputs) -> Iterator[CrossCheck]:
    """r2 against r1 by the table of conductors."""
    r1, r2 = _number(inputs, "r1"), _number(inputs, "r2")
    expected, tolerance = _figure("ring.r2-from-r1", inputs), _figure("ring.r2-tolerance", inputs)
    if not r1 or r2 is None or expected is None or tolerance is None:
        return
    by = r2 - expected.high
    if abs(by) <= tolerance.high:
        return
    high = ("a loose joint in the protective conductor", "a protective conductor smaller than on the card")
    low = (
        "leads not nulled",
        "a loose joint in the line, which makes r1 too large",
        "another path for the protective conductor through metalwork",
    )
    yield CrossCheck(
        "r2-to-r1",
        f"r2 {_with(r2, 'ohm')} ÷ r1 {_with(r1, 'ohm')} is {said(r2 / r1)}; the table makes {said(expected.high / r1)}",
        _with(abs(by), "ohm"),
        high if by > 0 else low,
        "read r2 again while each accessory is moved" if by > 0 else "null the leads and read r1 and r2 again",
        ("r1", "r2"),
    )


def _length(inputs: Inputs) -> Iterator[CrossCheck]:
    """The length that r1 stands for against the card."""
    found, card = _figure("ring.length", inputs), inputs.circuit.length_m
    expected = _figure("ring.r1", inputs)
    r1 = _number(inputs, "r1")
    if found is None or card.value is None or expected is None or r1 is None:
        return
    room = max(LENGTH_SHARE.value * expected.high, _tolerance(inputs))
    if abs(r1 - expected.high) <= room:
        return
    low = (
        "a cable that bridges two points",
        "a card that gives too long a ring",
        "a larger conductor than on the card",
    )
    high = ("a loose joint in the line", "leads not nulled", "a card that gives too short a ring")
    yield CrossCheck(
        "length",
        f"r1 {_with(r1, 'ohm')} stands for {said(found.high.quantize(Decimal(1)))} m; the card ({card.how.value}) gives"
        f" {_with(card.value, 'm')}",
        _with(abs(found.high - card.value).quantize(Decimal(1)), "m"),
        high if r1 > expected.high else low,
        "read step two: a bridge shows as steps on the way round" if r1 < expected.high else "compare rn and r2",
        ("r1",),
    )


def _equal_ends(inputs: Inputs) -> Iterator[CrossCheck]:
    """r1, rn and r2 alike to the digit though the sizes differ."""
    ends = [_number(inputs, key) for key in ("r1", "rn", "r2")]
    expected = _figure("ring.r2-from-r1", inputs)
    if None in ends or len(set(ends)) > 1 or expected is None or ends[0] is None:
        return
    by = abs(expected.high - ends[0])
    if by <= 2 * DIGIT_OHM.value:
        return
    yield CrossCheck(
        "equal-ends",
        f"r1, rn and r2 all read {_with(ends[0], 'ohm')}, though r2 should be {_with(expected.high, 'ohm')}",
        _with(by, "ohm"),
        ("one reading written down three times", "one conductor read three times", "a card with the wrong size"),
        "read r1, rn and r2 again, each with its own pair of ends",
        ("r1", "rn", "r2"),
    )


def _equal_values(inputs: Inputs) -> Iterator[CrossCheck]:
    """Readings alike to the digit at every point where the circuit makes them differ."""
    for slot, name in (("ring-three", "ring.step-three"), ("zs", "loop.zs")):
        read = _numbers(inputs, slot)
        figures = {point: _figure(name, inputs, point) for point in read}
        known = {point: figure for point, figure in figures.items() if figure is not None}
        if len(read) < FEW or len(set(read.values())) > 1 or len(known) < len(read):
            continue
        # Between its ends a figure may be anything, so only what lies between whole figures must differ.
        by = max(f.low for f in known.values()) - min(f.high for f in known.values())
        if by < 2 * DIGIT_OHM.value:
            continue
        value = next(iter(read.values()))
        yield CrossCheck(
            f"equal-{slot}",
            f"{_spoken(slot)} reads {_with(value, 'ohm')} at all {len(read)} points, where they should differ",
            _with(by, "ohm"),
            ("one reading written down for every point", "the probes left at one point"),
            "read the nearest and the farthest point again",
            tuple(f"{slot}/{point}" for point in read),
        )


def _equal_insulation(inputs: Inputs) -> Iterator[CrossCheck]:
    """Three pairs with one and the same number; off the scale they may well be alike."""
    pairs = ("insulation/L-N", "insulation/L-E", "insulation/N-E")
    read = [_number(inputs, key, "Mohm") for key in pairs]
    if read[0] is None or not read[0] or len(set(read)) > 1:
        return
    yield CrossCheck(
        "equal-insulation",
        f"all three pairs read {_with(read[0], 'Mohm')} to the digit",
        _with(Decimal(0), "Mohm"),
        ("one reading written down three times", "the end of the range entered as a number", "damp on all conductors"),
        "read the three pairs again and enter what lies off the scale as above range",
        pairs,
    )


def _step_two_flat(inputs: Inputs) -> Iterator[CrossCheck]:
    """Step two is the same all round a sound ring; a spur of the card may lie above."""
    on_spur = {point.id for point in inputs.circuit.points if point.spur_from}
    read = {point: value for point, value in _numbers(inputs, "ring-two").items() if point not in on_spur}
    if len(read) < FEW:
        return
    top, bottom = max(read, key=lambda p: read[p]), min(read, key=lambda p: read[p])
    by = read[top] - read[bottom]
    if by <= _tolerance(inputs):
        return
    higher = [point for point, value in read.items() if value - read[bottom] > by / 2]
    single = len(higher) == 1
    inside = ("the legs not crossed: the reading grows from the board to the middle", "a cable that bridges two points")
    yield CrossCheck(
        "step-two-flat",
        f"step two runs from {_with(read[bottom], 'ohm')} at {bottom} to {_with(read[top], 'ohm')} at {top},"
        " and should be the same all round",
        _with(by, "ohm"),
        ("a spur that is not on the card", "a loose terminal at that point") if single else inside,
        f"open {top} and look how many cables it holds" if single else "cross the legs again and read three points",
        tuple(f"ring-two/{point}" for point in read),
    )


def _step_two_quarter(inputs: Inputs) -> Iterator[CrossCheck]:
    """Step two against a quarter of r1 and rn: leads left in add to each of them differently."""
    on_spur = {point.id for point in inputs.circuit.points if point.spur_from}
    read = {point: value for point, value in _numbers(inputs, "ring-two").items() if point not in on_spur}
    if len(read) < FEW or _number(inputs, "r1") is None or _number(inputs, "rn") is None:
        return
    expected = _figure("ring.step-two", inputs, next(iter(read)))
    if expected is None:
        return
    low, high = min(read.values()), max(read.values())
    by = low - expected.high if low > expected.high else high - expected.low
    if abs(by) <= _tolerance(inputs) or high - low > _tolerance(inputs):
        return
    causes = (
        ("leads not nulled", "links of poor contact at the board", "a ring that is broken")
        if by > 0
        else ("a link left in", "another ring joined to this one", "r1 or rn read through a poor contact")
    )
    yield CrossCheck(
        "step-two-quarter",
        f"step two reads {_with(low, 'ohm')} everywhere; a quarter of r1 and rn is {_with(expected.high, 'ohm')}",
        _with(abs(by), "ohm"),
        causes,
        "null the leads and read one socket again",
        ("r1", "rn", *(f"ring-two/{point}" for point in read)),
    )


def _step_three_most(inputs: Inputs) -> Iterator[CrossCheck]:
    """The largest step three, which is R1+R2, against what r1 and r2 as read make of it."""
    read = _numbers(inputs, "ring-three")
    if not read or _number(inputs, "r1") is None or _number(inputs, "r2") is None:
        return
    figures = {point: _figure("ring.step-three", inputs, point) for point in read}
    known = {point: figure for point, figure in figures.items() if figure is not None}
    if not known:
        return
    top = max(known, key=lambda point: read[point])
    low, high = max(f.low for f in known.values()), max(f.high for f in known.values())
    by = read[top] - min(max(read[top], low), high)
    if abs(by) <= _tolerance(inputs):
        return
    more = ("a spur that is not on the card", "a loose joint", "leads not nulled")
    less = ("the legs not crossed", "another path for the protective conductor", "a cable that bridges two points")
    yield CrossCheck(
        "r1-r2-maximum",
        f"the largest step three, {_with(read[top], 'ohm')} at {top}, is the circuit's R1+R2;"
        f" r1 and r2 as read make {_with(high, 'ohm')}",
        _with(abs(by), "ohm"),
        more if by > 0 else less,
        f"read {top} again, then its neighbours" if by > 0 else "look at the links, then read the farthest point again",
        ("r1", "r2", *(f"ring-three/{point}" for point in read)),
    )


def _loop_sum(inputs: Inputs) -> Iterator[CrossCheck]:
    """Zs against Ze + (R1+R2), the worst point in each direction."""
    worst: dict[bool, tuple[Decimal, str, Decimal]] = {}
    for point, value in _numbers(inputs, "zs").items():
        figure = _figure("loop.zs", inputs, point)
        if figure is None:
            continue
        expected = min(max(value, figure.low), figure.high)
        by = value - expected
        if abs(by) > LOOP_OHM.value and abs(by) > worst.get(by > 0, (Decimal(0), "", Decimal(0)))[0]:
            worst[by > 0] = (abs(by), point, expected)
    for above in sorted(worst):
        by, point, expected = worst[above]
        value = _number(inputs, f"zs/{point}") or Decimal(0)
        why = explain_mismatch(value, expected, LOOP_OHM.value)
        if why is None:
            continue
        word = "above" if above else "below"
        yield CrossCheck(
            f"zs-{word}-sum",
            f"Zs at {point} reads {_with(value, 'ohm')}, {word} Ze + (R1+R2) of {_with(expected, 'ohm')}",
            _with(by, "ohm"),
            why.causes,
            why.next_test,
            (f"zs/{point}",),
        )


def _below_external(inputs: Inputs) -> Iterator[CrossCheck]:
    """A loop at a socket that is smaller than the loop outside."""
    ze, read = _figure("supply.ze", inputs), _numbers(inputs, "zs")
    low = min(read, key=lambda point: read[point], default="")
    if ze is None or not low or ze.low - read[low] <= _tolerance(inputs):
        return
    yield CrossCheck(
        "zs-below-ze",
        f"Zs at {low} reads {_with(read[low], 'ohm')}, less than Ze with {_with(ze.low, 'ohm')}",
        _with(ze.low - read[low], "ohm"),
        (
            "parallel paths through bonding, pipes or steel",
            "a Ze on the card that no longer holds",
            "a mistyped reading",
        ),
        "read Ze or the loop at the board again",
        (f"zs/{low}",),
    )


def _fault_current(inputs: Inputs) -> Iterator[CrossCheck]:
    """Ipf against U0 ÷ Z with the loop that is known."""
    ze = _figure("supply.ze", inputs)
    read = _number(inputs, "fault-current/L-E", "kA")
    if ze is None or read is None or inputs.supply.earthing == "TT":
        return
    nominal = inputs.supply.nominal_v / 1000
    slack = LOOP_OHM.value / 2
    # The loop is known to some digits only; what it may be gives the currents that agree with it.
    least = nominal / (ze.low + slack) - DIGIT_KA.value
    most = nominal / (ze.low - slack) + DIGIT_KA.value if ze.low > slack else None
    if read >= least and (most is None or read <= most):
        return
    expected = nominal / ze.low if ze.low else least
    high = ("parallel paths, which raise the current", "a Ze on the card that no longer holds", "a mistyped reading")
    low = ("a poor joint in the supply or at the probes", "a Ze on the card that no longer holds", "a mistyped reading")
    yield CrossCheck(
        "fault-current",
        f"the fault current to earth reads {_with(read, 'kA')}; U0 ÷ Z makes"
        f" {_with(expected.quantize(DIGIT_KA.value), 'kA')} from {_with(ze.low, 'ohm')}",
        _with(abs(read - expected).quantize(DIGIT_KA.value), "kA"),
        low if read < least else high,
        "read the loop at the origin on the same two points",
        ("fault-current/L-E",),
    )


def _radial_step(inputs: Inputs) -> Iterator[CrossCheck]:
    """R1+R2 of a radial against its length, at the point that lies farthest off."""
    if inputs.circuit.kind != "radial" or inputs.settings.get("cpc-method", "link") != "link":
        return
    read = _numbers(inputs, "cpc")
    off: dict[str, Decimal] = {}
    for point, value in read.items():
        figure = _figure("radial.r1r2", inputs, point)
        if figure is not None:
            off[point] = value - min(max(value, figure.low), figure.high)
    worst = max(off, key=lambda point: abs(off[point]), default="")
    if not worst or abs(off[worst]) <= max(_tolerance(inputs), LENGTH_SHARE.value * read[worst]):
        return
    more = ("a loose joint", "a longer cable than on the card", "leads not nulled")
    less = ("another path for the protective conductor", "a shorter cable than on the card", "a link left elsewhere")
    yield CrossCheck(
        "radial-length",
        f"R1+R2 at {worst} reads {_with(read[worst], 'ohm')}; its length makes {_with(read[worst] - off[worst], 'ohm')}",
        _with(abs(off[worst]), "ohm"),
        more if off[worst] > 0 else less,
        "read the point before it: where the difference begins, the cause lies",
        (f"cpc/{worst}",),
    )


_CHECKS: tuple[Callable[[Inputs], Iterator[CrossCheck]], ...] = (
    _below_the_null,
    _radial_step,
    _equal_ends,
    _ratio,
    _length,
    _step_two_quarter,
    _step_two_flat,
    _step_three_most,
    _equal_values,
    _equal_insulation,
    _loop_sum,
    _below_external,
    _fault_current,
)
