"""Cross-checks of many points, of insulation, of loop and supply.

For: `cross_checks`; each check yields what disagrees, or nothing.
Must never: take a reading off the scale as a number.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from ferrule.engine.electrics.cross_model import (
    DIGIT_KA,
    DIGIT_OHM,
    FEW,
    LOOP_OHM,
    CrossCheck,
    amount,
    figure_of,
    number,
    numbers,
    spoken,
    tolerance,
)
from ferrule.engine.electrics.figure import Inputs
from ferrule.engine.electrics.mismatch import explain_mismatch


def equal_values(inputs: Inputs) -> Iterator[CrossCheck]:
    """Readings alike to the digit at every point where the circuit makes them differ."""
    for slot, name in (("ring-three", "ring.step-three"), ("zs", "loop.zs")):
        read = numbers(inputs, slot)
        figures = {point: figure_of(name, inputs, point) for point in read}
        known = {point: figure for point, figure in figures.items() if figure is not None}
        if len(read) < FEW or len(set(read.values())) > 1 or len(known) < len(read):
            continue
        # The lower end is what both ways round make; the upper one is the same for all points without distances.
        by = max(f.low for f in known.values()) - min(f.low for f in known.values())
        if by < 2 * DIGIT_OHM.value:
            continue
        value = next(iter(read.values()))
        yield CrossCheck(
            f"equal-{slot}",
            f"{spoken(slot)} reads {amount(value, 'ohm')} at all {len(read)} points, where they should differ",
            amount(by, "ohm"),
            ("one reading written down for every point", "the probes left at one point"),
            "read the nearest and the farthest point again",
            tuple(f"{slot}/{point}" for point in read),
        )


def equal_insulation(inputs: Inputs) -> Iterator[CrossCheck]:
    """Three pairs with one and the same number; off the scale they may well be alike."""
    pairs = ("insulation/L-N", "insulation/L-E", "insulation/N-E")
    read = [number(inputs, key, "Mohm") for key in pairs]
    if read[0] is None or not read[0] or len(set(read)) > 1:
        return
    yield CrossCheck(
        "equal-insulation",
        f"all three pairs read {amount(read[0], 'Mohm')} to the digit",
        "",
        ("one reading written down three times", "the end of the range entered as a number", "damp on all conductors"),
        "read the three pairs again and enter what lies off the scale as above range",
        pairs,
    )


def loop_sum(inputs: Inputs) -> Iterator[CrossCheck]:
    """Zs against Ze + (R1+R2), the worst point in each direction."""
    worst: dict[bool, tuple[Decimal, str, Decimal]] = {}
    for point, value in numbers(inputs, "zs").items():
        figure = figure_of("loop.zs", inputs, point)
        if figure is None:
            continue
        expected = min(max(value, figure.low), figure.high)
        by = value - expected
        if abs(by) > LOOP_OHM.value and abs(by) > worst.get(by > 0, (Decimal(0), "", Decimal(0)))[0]:
            worst[by > 0] = (abs(by), point, expected)
    for above in sorted(worst):
        by, point, expected = worst[above]
        value = number(inputs, f"zs/{point}") or Decimal(0)
        why = explain_mismatch(value, expected, LOOP_OHM.value)
        if why is None:
            continue
        word = "above" if above else "below"
        yield CrossCheck(
            f"zs-{word}-sum",
            f"Zs at {point} reads {amount(value, 'ohm')}, {word} Ze + (R1+R2) of {amount(expected, 'ohm')}",
            amount(by, "ohm"),
            why.causes if above else (*why.causes, "a neutral that touches the protective conductor"),
            why.next_test,
            (f"zs/{point}",),
        )


def below_external(inputs: Inputs) -> Iterator[CrossCheck]:
    """A loop at a socket that is smaller than the loop outside."""
    ze, read = figure_of("supply.ze", inputs), numbers(inputs, "zs")
    low = min(read, key=lambda point: read[point], default="")
    if ze is None or not low or ze.low - read[low] <= tolerance(inputs):
        return
    yield CrossCheck(
        "zs-below-ze",
        f"Zs at {low} reads {amount(read[low], 'ohm')}, less than Ze with {amount(ze.low, 'ohm')}",
        amount(ze.low - read[low], "ohm"),
        (
            "parallel paths through bonding, pipes or steel",
            "a Ze on the card that no longer holds",
            "a mistyped reading",
        ),
        "read Ze or the loop at the board again",
        (f"zs/{low}",),
    )


def fault_current(inputs: Inputs) -> Iterator[CrossCheck]:
    """Ipf against U0 ÷ Z with the loop that is known."""
    ze = figure_of("supply.ze", inputs)
    read = number(inputs, "fault-current/L-E", "kA")
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
        f"the fault current to earth reads {amount(read, 'kA')}; U0 ÷ Z makes"
        f" {amount(expected.quantize(DIGIT_KA.value), 'kA')} from {amount(ze.low, 'ohm')}",
        amount(abs(read - expected).quantize(DIGIT_KA.value), "kA"),
        low if read < least else high,
        "read the loop at the origin on the same two points",
        ("fault-current/L-E",),
    )
