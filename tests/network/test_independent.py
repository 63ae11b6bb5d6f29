"""Five hundred generated rings with spurs and faults against a second solution by numpy, to the digit that is shown."""

from __future__ import annotations

import random
import shutil
from collections import Counter
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from ferrule.engine.electrics.figures import Figure, Inputs, compute
from ferrule.engine.electrics.model import Circuit, Device, How, Known, Point, Supply
from ferrule.engine.network.readings import Test, readings_of
from tests.support.outside import need

need("numpy")

from tests.network import laplace  # noqa: E402 - it needs the package that is asked for above
from tests.network.laplace import (  # noqa: E402
    Drawing,
    Laplace,
    Plan,
    at_points,
    cross_links,
    joined_legs,
    plan_of,
    wires_of,
)

SEED = 20261125
EVERY = 500
"""Rings with faults, and as many without."""
QUICK = 60
UNKNOWN = Known(None, How.UNKNOWN)


def circuit_of(drawing: Drawing) -> Circuit:
    """The drawing as a card would give it."""

    def metres(decimetres: int) -> Known:
        return Known(Decimal(decimetres) / 10, How.RECORD)

    sockets = [Point(f"S{n}", "socket", metres(dm)) for n, dm in enumerate(drawing.sockets_dm, start=1)]
    spurs = [Point(f"P{n}", "spur", UNKNOWN, f"S{at}", metres(dm)) for n, (at, dm) in enumerate(drawing.spurs, start=1)]
    sizes = (Decimal(drawing.line), Decimal(drawing.cpc))
    return Circuit("ring", "any", *sizes, metres(drawing.length_dm), (*sockets, *spurs), How.RECORD, False)


def job_of(drawing: Drawing) -> Inputs:
    """The job that the drawing stands in."""
    device = Device("B", Decimal(32), Decimal(30), "A", False, "double", Decimal(10), True, False, "out", "L", ())
    supply = Supply("TN-C-S", 1, Decimal(230), Known(Decimal(str(drawing.ze)), How.RECORD), UNKNOWN)
    return Inputs(circuit_of(drawing), supply, device, UNKNOWN, {}, {}, {})


def hundredth(ohm: float | Decimal | None) -> str:
    """A reading as an instrument of 0.01 Ω shows it."""
    return "open" if ohm is None else str(Decimal(ohm).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def same_shown(found: float | Decimal | None, second: float | None) -> bool:
    """True when both show the same digits; on the two sides of a half digit they have to be equal to 1e-9."""
    if found is None or second is None:
        return found is None and second is None
    return hundredth(found) == hundredth(second) or abs(float(found) - second) < 1e-9


def second_way(plan: Plan) -> dict[str, float | None]:
    """Every reading of the ring by numpy."""
    ends = Laplace(wires_of(plan))
    readings = {key: ends.between(f"{c}.leg1", f"{c}.leg2") for key, c in (("r1", "L"), ("rn", "N"), ("r2", "E"))}
    for test, other in ((Test.STEP_TWO, "N"), (Test.STEP_THREE, "E")):
        solved = Laplace(wires_of(plan, cross_links(other)))
        readings |= {f"{test.value}/{p}": ohm for p, ohm in at_points(plan, solved, f"L{other}").items()}
    lead = Laplace(wires_of(plan, joined_legs()))
    for point in plan.drawing.points:
        held = plan.landing[point, "E"]
        readings[f"cpc-lead/{point}"] = None if held is None else lead.between("E.bar", f"{held}.{point}")
    return readings | loop(plan)


def loop(plan: Plan) -> dict[str, float | None]:
    """Loop impedance at each point: Ze in line, neutral tied to earth at the origin.

    There is a reading only where one terminal lies on the line side and the other on the return side.
    """
    passive = [*joined_legs(), ("N.bar", "E.bar", 0.0)]
    sides, driven = (
        Laplace(wires_of(plan, passive)),
        Laplace(wires_of(plan, [*passive, ("L.bar", "E.bar", plan.drawing.ze)])),
    )
    found: dict[str, float | None] = {}
    for point in plan.drawing.points:
        ends = [plan.landing[point, terminal] for terminal in "LE"]
        on = [
            (sides.between(f"{c}.{point}", "L.bar") is not None, sides.between(f"{c}.{point}", "E.bar") is not None)
            for c in ends
            if c is not None
        ]
        good = sorted(on) == [(False, True), (True, False)]
        found[f"zs/{point}"] = driven.between(*(f"{c}.{point}" for c in ends)) if good else None
    return found


def our_way(drawing: Drawing) -> dict[str, float | None]:
    """Every reading of the ring by ferrule's own network."""
    circuit = circuit_of(drawing)
    found: dict[str, float | None] = {}
    for test in (Test.END_TO_END, Test.STEP_TWO, Test.STEP_THREE, Test.LONG_LEAD, Test.LOOP):
        found |= readings_of(circuit, drawing.faults, test, ze_ohm=drawing.ze)
    return found


def figures_of(drawing: Drawing) -> dict[str, Decimal]:
    """Every reading to expect on the sound ring, by the hand formulas in exact decimals."""
    job = job_of(drawing)
    names = {"ring-two": "ring.step-two", "ring-three": "ring.step-three", "cpc-lead": "cpc.r2-at", "zs": "loop.zs"}
    found = {key: low_of(compute(f"ring.{key}", job)) for key in ("r1", "rn", "r2")}
    for key, name in names.items():
        found |= {f"{key}/{point}": low_of(compute(name, job, point)) for point in drawing.points}
    return found


def low_of(figure: object) -> Decimal:
    """The figure, or the lower end of Zs, which is the one with both legs landed."""
    assert isinstance(figure, Figure)
    return figure.low


def compare(found: Mapping[str, float | Decimal | None], second: Mapping[str, float | None], what: object) -> None:
    """Every reading of one way is the other's, to the digit that is shown."""
    assert found.keys() == second.keys()
    wrong = {key: (found[key], second[key]) for key in found if not same_shown(found[key], second[key])}
    assert not wrong, f"{what}: {wrong}"


def rings(count: int, *, faults: bool) -> list[Drawing]:
    """So many rings, the same ones at each run."""
    chance = random.Random(f"{SEED} {faults}")
    return [laplace.draw(chance, faults=faults) for _ in range(count)]


@pytest.mark.parametrize("count", [QUICK, pytest.param(EVERY, marks=pytest.mark.slow)])
def test_sound_rings_by_hand_formula_and_by_numpy(count: int) -> None:
    """r1, rn, r2, steps two and three, R2 and Zs of each sound ring with spurs agree to the shown digit."""
    for drawing in rings(count, faults=False):
        compare(figures_of(drawing), second_way(plan_of(drawing)), drawing)


@pytest.mark.parametrize("count", [QUICK, pytest.param(EVERY, marks=pytest.mark.slow)])
def test_faulty_rings_by_our_network_and_by_numpy(count: int) -> None:
    """The same readings of each ring with faults agree to the shown digit, open ones included."""
    for drawing in rings(count, faults=True):
        compare(our_way(drawing), second_way(plan_of(drawing)), drawing)


def test_the_generated_rings_hold_every_kind_of_fault_and_spurs() -> None:
    """The five hundred rings are not five hundred times one thing."""
    drawn = rings(EVERY, faults=True)
    kinds = Counter(type(fault).__name__ for drawing in drawn for fault in drawing.faults)

    assert set(kinds) == {"OpenConductor", "LooseJoint", "Bridge", "Spur", "Touch", "NotLanded", "Reversed"}
    assert min(kinds.values()) >= 40
    assert sum(bool(drawing.spurs) for drawing in drawn) >= 250
    assert len({(drawing.line, drawing.cpc) for drawing in drawn}) == len(laplace.SIZES)


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_sound_rings_by_ngspice(tmp_path: Path) -> None:
    """Step three of a few sound rings agrees with a circuit simulator to the shown digit."""
    for drawing in rings(5, faults=False):
        solved = Laplace(wires_of(plan_of(drawing), cross_links("E")))
        found = figures_of(drawing)["ring-three/S1"]

        assert same_shown(found, laplace.by_spice(solved, "L.S1", "E.S1", tmp_path))
