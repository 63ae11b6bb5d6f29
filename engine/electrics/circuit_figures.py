"""Figures of the circuit's conductors: ring ends, ring steps two and three, radial and long-lead values.

A reading of this job comes before a value of the card; the trace says which was used.
"""

from __future__ import annotations

from decimal import Decimal

from ferrule.engine.electrics import ring
from ferrule.engine.electrics.figure import MissingError, Trace, Worked, one, said
from ferrule.engine.electrics.model import Point
from ferrule.engine.electrics.tables import (
    CONDUCTOR_SOURCE,
    COPPER_PER_DEGREE,
    R2_TOLERANCE_OHM,
    R2_TOLERANCE_SHARE,
)

CPC_METHODS = ("link", "long-lead")
"""The values of the setting `cpc-method`: what a radial's `cpc/<point>` reading is, R1+R2 or R2 alone."""
STEP_THREES = ("by-place", "same-everywhere")
"""The values of the setting `step-three`: by the place round the ring, or the older handbook rule."""
STEP_TWO_SOURCE = "step two rule (r1 + rn)/4, widely repeated handbook rule; IEC 60228 for spurs"
STEP_THREE_SOURCE = "IET Wiring Matters 89 (2022) on step three; two-path formula, own derivation; IEC 60228 for spurs"


def _kind(trace: Trace, kind: str) -> None:
    if trace.inputs.circuit.kind != kind:
        raise MissingError(f"The circuit is a {trace.inputs.circuit.kind}, not a {kind}.")


def _warmth(trace: Trace) -> Decimal:
    """Factor from 20 °C to the room, 1 unless the setting asks for it and the card gives the temperature.

    Off unless asked for: the room's temperature is not the cable's, and ten degrees move a reading by 4 %
    only, which the tolerances of the rows hold.
    """
    if trace.inputs.settings.get("temperature-correction", "off") != "on":
        return Decimal(1)
    if trace.inputs.temperature_c.value is None:
        return Decimal(1)
    trace.settings.append("temperature-correction")
    degrees = trace.card(trace.inputs.temperature_c, "temperature_c", "the temperature")
    return ring.temperature_factor(degrees, trace.setting("temperature-coefficient", COPPER_PER_DEGREE).value)


def _per_m(trace: Trace, conductor: str) -> Decimal:
    """mΩ/m of `line` or `cpc` at the temperature in force."""
    circuit = trace.inputs.circuit
    size = circuit.cpc_mm2 if conductor == "cpc" else circuit.line_mm2
    return trace.mohm_per_m(size).value * _warmth(trace)


def _source(trace: Trace) -> str:
    return CONDUCTOR_SOURCE if _warmth(trace) == 1 else f"{CONDUCTOR_SOURCE}; {COPPER_PER_DEGREE.source}"


def _from_length(trace: Trace, conductor: str) -> Worked:
    _kind(trace, "ring")
    length, per_m = trace.length_m(), _per_m(trace, conductor)
    value = ring.conductor_ohm(length, per_m)
    return one(value, "length × mΩ/m ÷ 1000", f"{said(length)} m × {said(per_m)} mΩ/m ÷ 1000", _source(trace))


def ring_r1(trace: Trace, _point: str) -> Worked:
    """r1 from the card: the line conductor once round."""
    return _from_length(trace, "line")


def ring_r2(trace: Trace, _point: str) -> Worked:
    """r2 from the card: the protective conductor once round."""
    return _from_length(trace, "cpc")


def _ends(trace: Trace, key: str, conductor: str) -> Decimal:
    """An end-to-end resistance: as read, else from the card."""
    read = trace.reading(key, "ohm")
    return _from_length(trace, conductor).low if read is None else read


def ring_r2_from_r1(trace: Trace, _point: str) -> Worked:
    """r2 to expect beside the r1 that was read."""
    _kind(trace, "ring")
    circuit = trace.inputs.circuit
    line, cpc = trace.mohm_per_m(circuit.line_mm2).value, trace.mohm_per_m(circuit.cpc_mm2).value
    r1 = _ends(trace, "r1", "line")
    put_in = f"{said(r1)} Ω × {said(cpc)} ÷ {said(line)}"
    return one(ring.r2_from_r1(r1, line, cpc), "r1 × mΩ/m of the cpc ÷ mΩ/m of the line", put_in, CONDUCTOR_SOURCE)


def ring_r2_tolerance(trace: Trace, _point: str) -> Worked:
    """How far r2 may lie from what r1 leads to expect."""
    expected = ring_r2_from_r1(trace, "").low
    value = max(R2_TOLERANCE_SHARE.value * expected, R2_TOLERANCE_OHM.value)
    put_in = f"the larger of 0.10 × {said(expected)} Ω and 0.05 Ω"
    return one(value, "the larger of 10 % of the expected r2 and 0.05 Ω", put_in, R2_TOLERANCE_SHARE.source)


def ring_length(trace: Trace, _point: str) -> Worked:
    """The length of cable that the r1 read stands for."""
    _kind(trace, "ring")
    r1 = trace.reading("r1", "ohm")
    if r1 is None:
        raise MissingError("No r1 has been read as a plain number.")
    per_m = _per_m(trace, "line")
    value = ring.length_from_ohm(r1, per_m)
    return one(value, "r1 ÷ mΩ/m × 1000", f"{said(r1)} Ω ÷ {said(per_m)} mΩ/m × 1000", _source(trace))


def _round_m(trace: Trace) -> Decimal:
    """The length once round: the card's, else what r1 stands for."""
    if trace.inputs.circuit.length_m.value is None:
        return ring_length(trace, "").low
    return trace.length_m()


def _root(trace: Trace, point_id: str) -> tuple[Point, Decimal]:
    """The point of the ring or main run that this point hangs on, and the metres of spur between them."""
    spur_m, seen = Decimal(0), {point_id}
    point = trace.point(point_id)
    while point.spur_from:
        spur_m += _spur_m(trace, point)
        if point.spur_from in seen:
            raise MissingError(f"The spurs of the card go in a circle at {point.spur_from}.")
        seen.add(point.spur_from)
        point = trace.point(point.spur_from)
    return point, spur_m


def _distance_m(trace: Trace, point: Point) -> Decimal | None:
    """The distance from the board along leg 1, None when the card does not give it."""
    if point.distance_m.value is None:
        return None
    return trace.card(point.distance_m, f"circuit.points/{point.id}.distance_m", f"the distance to {point.id}")


def _share(trace: Trace, point: Point) -> Decimal | None:
    """How far round the ring a point lies, from 0 to 1; None when the card does not give its distance."""
    distance = _distance_m(trace, point)
    if distance is None:
        return None
    length = _round_m(trace)
    if distance > length:
        raise MissingError(f"Point {point.id} lies at {said(distance)} m, past the {said(length)} m of the ring.")
    return ring.share_of(distance, length)


def _spur_m(trace: Trace, point: Point) -> Decimal:
    return trace.card(
        point.spur_length_m,
        f"circuit.points/{point.id}.spur_length_m",
        f"the length of the spur to {point.id}",
    )


def _with_spur(worked: Worked, extra: Decimal, spur_m: Decimal) -> Worked:
    """The same result at the end of a spur: what the spur's own conductors add."""
    if spur_m == 0:
        return worked
    put_in = f"{worked.put_in} + {said(extra)} Ω for {said(spur_m)} m of spur"
    return Worked(worked.low + extra, worked.high + extra, f"{worked.formula} + spur", put_in, worked.source)


def _pair_ohm(trace: Trace, length_m: Decimal, other: str) -> Decimal:
    """Resistance of a length of line and of a second conductor in line with it."""
    return ring.conductor_ohm(length_m, _per_m(trace, "line") + _per_m(trace, other))


def ring_step_two(trace: Trace, point: str) -> Worked:
    """Line to neutral at a socket with line and neutral legs cross-linked."""
    _kind(trace, "ring")
    _, spur_m = _root(trace, point)
    r1, rn = _ends(trace, "r1", "line"), _ends(trace, "rn", "line")
    put_in = f"({said(r1)} Ω + {said(rn)} Ω) ÷ 4"
    worked = one(ring.crossed_mid(r1, rn), "(r1 + rn) ÷ 4", put_in, STEP_TWO_SOURCE)
    return _with_spur(worked, _pair_ohm(trace, spur_m, "line"), spur_m)


def ring_step_three(trace: Trace, point: str) -> Worked:
    """Line to protective conductor at a socket with those legs cross-linked; a band without the distance."""
    _kind(trace, "ring")
    root, spur_m = _root(trace, point)
    share = _share(trace, root)
    r1, r2 = _ends(trace, "r1", "line"), _ends(trace, "r2", "cpc")
    if trace.choice("step-three", STEP_THREES) == "same-everywhere":
        put_in = f"({said(r1)} Ω + {said(r2)} Ω) ÷ 4"
        worked = one(ring.crossed_mid(r1, r2), "(r1 + r2) ÷ 4 at every socket", put_in, STEP_THREE_SOURCE)
    elif share is None:
        worked = _step_three_band(r1, r2)
    else:
        value = ring.crossed_at(r1, r2, share)
        put_in = f"r1 {said(r1)} Ω, r2 {said(r2)} Ω, {said(share)} of the way round"
        formula = "(x·r1 + (1 − x)·r2) · ((1 − x)·r1 + x·r2) ÷ (r1 + r2)"
        worked = one(value, formula, put_in, STEP_THREE_SOURCE)
    return _with_spur(worked, _pair_ohm(trace, spur_m, "cpc"), spur_m)


def _step_three_band(r1: Decimal, r2: Decimal) -> Worked:
    low, high = ring.crossed_board(r1, r2), ring.crossed_mid(r1, r2)
    put_in = f"r1 {said(r1)} Ω, r2 {said(r2)} Ω, distance not known"
    return Worked(low, high, "from r1·r2 ÷ (r1 + r2) to (r1 + r2) ÷ 4", put_in, STEP_THREE_SOURCE)


def ring_step_three_max(trace: Trace, _point: str) -> Worked:
    """The largest step three reading to expect on the circuit: its R1+R2."""
    _kind(trace, "ring")
    points = trace.inputs.circuit.points
    if not points:
        return _step_three_band(_ends(trace, "r1", "line"), _ends(trace, "r2", "cpc"))
    each = [(point.id, ring_step_three(trace, point.id)) for point in points]
    low = max(worked.low for _, worked in each)
    where, top = max(each, key=lambda pair: pair[1].high)
    put_in = f"at {where}: {top.put_in}"
    return Worked(low, top.high, "the largest step three of all points", put_in, STEP_THREE_SOURCE)


def radial_r1r2(trace: Trace, point: str) -> Worked:
    """Line to protective conductor at a point of a radial, linked at the board."""
    _kind(trace, "radial")
    return _radial(trace, point, _per_m(trace, "line") + _per_m(trace, "cpc"))


def radial_r1rn(trace: Trace, point: str) -> Worked:
    """Line to neutral at a point of a radial, linked at the board."""
    _kind(trace, "radial")
    return _radial(trace, point, 2 * _per_m(trace, "line"))


def ring_ratio(trace: Trace, _point: str) -> Worked:
    """r2 ÷ r1 to expect by the resistance table."""
    circuit = trace.inputs.circuit
    line, cpc = trace.mohm_per_m(circuit.line_mm2).value, trace.mohm_per_m(circuit.cpc_mm2).value
    put_in = f"{said(cpc)} ÷ {said(line)}"
    return one(ring.r2_from_r1(Decimal(1), line, cpc), "mΩ/m of the cpc ÷ mΩ/m of the line", put_in, CONDUCTOR_SOURCE)


def cpc_r2_at(trace: Trace, point: str) -> Worked:
    """Protective conductor from board to point by the long lead: radial, or ring with its legs joined."""
    if trace.inputs.circuit.kind == "radial":
        return _radial(trace, point, _per_m(trace, "cpc"))
    root, spur_m = _root(trace, point)
    share = _share(trace, root)
    r2 = _ends(trace, "r2", "cpc")
    if share is None:
        high = ring.joined_at(r2, Decimal("0.5"))
        put_in = f"r2 {said(r2)} Ω, distance not known"
        worked = Worked(Decimal(0), high, "from 0 to r2 ÷ 4", put_in, STEP_THREE_SOURCE)
    else:
        put_in = f"{said(share)} × (1 − {said(share)}) × {said(r2)} Ω"
        worked = one(ring.joined_at(r2, share), "x·(1 − x)·r2", put_in, STEP_THREE_SOURCE)
    return _with_spur(worked, ring.conductor_ohm(spur_m, _per_m(trace, "cpc")), spur_m)


def _radial(trace: Trace, point: str, per_m: Decimal) -> Worked:
    root, spur_m = _root(trace, point)
    distance = _distance_m(trace, root)
    formula = "length × mΩ/m ÷ 1000"
    if distance is None:
        far = trace.length_m() + spur_m
        put_in = f"up to {said(far)} m × {said(per_m)} mΩ/m ÷ 1000, distance not known"
        near = ring.conductor_ohm(spur_m, per_m)
        return Worked(near, ring.conductor_ohm(far, per_m), formula, put_in, _source(trace))
    length = distance + spur_m
    put_in = f"{said(length)} m × {said(per_m)} mΩ/m ÷ 1000"
    return one(ring.conductor_ohm(length, per_m), formula, put_in, _source(trace))


def loop_part(trace: Trace, point: str) -> Worked:
    """What the circuit adds to the loop at a point, with both ways round a ring in use.

    On a ring the two legs lie in parallel once they are landed: x·(1 − x)·(r1 + r2), which near the board is
    less than step three.  Step three as read (or computed) stands as the upper end.
    """
    if trace.inputs.circuit.kind == "radial":
        return _radial_part(trace, point)
    step_three = ring_step_three(trace, point)
    read = trace.reading(f"ring-three/{point}", "ohm")
    high = step_three.high if read is None else read
    root, spur_m = _root(trace, point)
    share = _share(trace, root)
    if share is None:
        low = Decimal(0)
    else:
        r1, r2 = _ends(trace, "r1", "line"), _ends(trace, "r2", "cpc")
        low = ring.joined_at(r1 + r2, share)
    low = min(low + _pair_ohm(trace, spur_m, "cpc"), high)
    put_in = f"{said(low)} Ω both ways round to {said(high)} Ω by step three"
    return Worked(low, high, "from x·(1 − x)·(r1 + r2) to step three", put_in, STEP_THREE_SOURCE)


def _radial_part(trace: Trace, point: str) -> Worked:
    computed = radial_r1r2(trace, point)
    read = trace.reading(f"cpc/{point}", "ohm")
    if read is None:
        return computed
    if trace.choice("cpc-method", CPC_METHODS) == "link":
        return one(read, "R1+R2 as read", f"{said(read)} Ω", "BS 7671:2018 643.2.1 (from memory)")
    line = _radial(trace, point, _per_m(trace, "line"))
    put_in = f"{said(line.high)} Ω computed R1 + {said(read)} Ω R2 as read"
    return Worked(line.low + read, line.high + read, "R1 computed + R2 as read", put_in, line.source)
