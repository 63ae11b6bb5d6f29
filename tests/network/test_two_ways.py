"""The same readings two ways: hand formulas in exact decimals against nodal analysis in floats."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.engine.electrics import ring
from ferrule.engine.electrics.figures import Figure, Inputs, compute
from ferrule.engine.electrics.model import Circuit, Device, How, Known, Point, Supply
from ferrule.engine.network.faults import LooseJoint
from ferrule.engine.network.readings import Test, readings_of
from ferrule.engine.quantity.reading import Reading

NEAR = 1e-9
UNKNOWN = Known(None, How.UNKNOWN)
SIZES = ((1.0, "1"), (1.5, "1"), (2.5, "1.5"), (4.0, "1.5"), (6.0, "2.5"))


def inputs(circuit: Circuit, readings: dict[str, str] | None = None) -> Inputs:
    """The job that a circuit stands in; only Ze matters here."""
    device = Device("B", Decimal(32), Decimal(30), "A", False, "double", Decimal(10), True, False, "out", "L", ())
    supply = Supply("TN-C-S", 1, Decimal(230), Known(Decimal("0.35"), How.MEASURED), UNKNOWN)
    taken = {key: Reading.measured(Decimal(ohm), "ohm") for key, ohm in (readings or {}).items()}
    return Inputs(circuit, supply, device, UNKNOWN, {}, {}, taken)


def figure(name: str, job: Inputs, point: str = "") -> Figure:
    """The figure, which must be there."""
    found = compute(name, job, point)
    assert isinstance(found, Figure)
    return found


def same(found: dict[str, float | None], expected: Iterable[tuple[str, Decimal]]) -> None:
    """Every reading is there and equal to the hand formula."""
    wanted = dict(expected)
    assert set(found) == set(wanted)
    for key, ohm in found.items():
        assert ohm == pytest.approx(float(wanted[key]), abs=NEAR)


def with_spurs(circuit: Circuit) -> Circuit:
    """The circuit with a spur on its second point and one on that."""
    six = Known(Decimal("6.5"), How.RECORD)
    spurs = (Point("P1", "spur", UNKNOWN, "S2", six), Point("P2", "spur on it", UNKNOWN, "P1", six))
    return replace(circuit, points=(*circuit.points, *spurs))


@pytest.mark.parametrize("name", ["reference", "short_ring"])
@pytest.mark.parametrize("spurs", [False, True])
def test_a_ring_two_ways(request: pytest.FixtureRequest, name: str, spurs: bool) -> None:
    """r1, rn, r2, steps two and three, R2 by the long lead, and Zs of two rings, with and without spurs."""
    circuit: Circuit = request.getfixturevalue(name)
    circuit = with_spurs(circuit) if spurs else circuit
    job = inputs(circuit)
    points = [point.id for point in circuit.points]

    same(
        readings_of(circuit, (), Test.END_TO_END),
        [(key, figure(f"ring.{key}", job).value) for key in ("r1", "rn", "r2")],
    )
    for test, of in (
        (Test.STEP_TWO, "ring.step-two"),
        (Test.STEP_THREE, "ring.step-three"),
        (Test.LONG_LEAD, "cpc.r2-at"),
    ):
        same(
            readings_of(circuit, (), test),
            [(f"{test.value}/{point}", figure(of, job, point).value) for point in points],
        )
    same(
        readings_of(circuit, (), Test.LOOP, ze_ohm=0.35),
        [(f"zs/{point}", figure("loop.zs", job, point).low) for point in points],
    )


@pytest.mark.parametrize("spurs", [False, True])
def test_a_radial_two_ways(radial: Circuit, spurs: bool) -> None:
    """R1+R2 with the link, R2 by the long lead, and Zs of a radial of five points."""
    circuit = with_spurs(radial) if spurs else radial
    job = inputs(circuit)
    points = [point.id for point in circuit.points]

    for test, of in ((Test.LINKED, "radial.r1r2"), (Test.LONG_LEAD, "cpc.r2-at")):
        same(
            readings_of(circuit, (), test),
            [(f"{test.value}/{point}", figure(of, job, point).value) for point in points],
        )
    same(
        readings_of(circuit, (), Test.LOOP, ze_ohm=0.35),
        [(f"zs/{point}", figure("loop.zs", job, point).value) for point in points],
    )


def test_step_three_falls_more_with_a_thin_cpc(short_ring: Circuit, reference: Circuit) -> None:
    """4/1.5 falls visibly from mid-ring to the sockets near the board, 2.5/1.5 hardly (IET Wiring Matters 89)."""

    def fall(circuit: Circuit) -> float:
        ohms = [ohm for ohm in readings_of(circuit, (), Test.STEP_THREE).values() if ohm is not None]
        return 1 - min(ohms) / max(ohms)

    assert fall(reference) < 0.05 < fall(short_ring)


def test_figures_from_readings_follow_a_faulty_ring(reference: Circuit) -> None:
    """With a loose joint of 0.20 Ω mid-leg, step two from the r1 that was read is what each socket reads."""
    faults = [LooseJoint("L", "S6", "S7", 0.20)]
    ends = readings_of(reference, faults, Test.END_TO_END)
    job = inputs(reference, {key: f"{ohm:.4f}" for key, ohm in ends.items()})

    found = readings_of(reference, faults, Test.STEP_TWO)

    for point in ("S1", "S5", "S10"):
        assert found[f"ring-two/{point}"] == pytest.approx(float(figure("ring.step-two", job, point).value), abs=0.01)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(
    st.integers(20, 1200),
    st.sampled_from(SIZES),
    st.sets(st.integers(1, 999), min_size=1, max_size=6),
)
def test_any_sound_ring_two_ways(decimetres: int, sizes: tuple[float, str], shares: set[int]) -> None:
    """Any length, size and set of sockets: step three by the two-path formula and by nodal analysis agree."""
    length = Decimal(decimetres) / 10
    metres = [length * share / 1000 for share in sorted(shares)]
    points = tuple(Point(f"S{at}", "s", Known(metre, How.RECORD)) for at, metre in enumerate(metres))
    circuit = Circuit(
        "ring", "any", Decimal(str(sizes[0])), Decimal(sizes[1]), Known(length, How.RECORD), points, How.RECORD, False
    )
    job = inputs(circuit)
    r1, r2 = figure("ring.r1", job).value, figure("ring.r2", job).value

    same(
        readings_of(circuit, (), Test.STEP_THREE),
        [
            (f"ring-three/{point.id}", ring.crossed_at(r1, r2, metre / length))
            for point, metre in zip(points, metres, strict=True)
        ],
    )
