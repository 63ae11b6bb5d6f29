"""The reference ring and its hidden faults, to the digit that an instrument shows (own calculation)."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from ferrule.engine.electrics.asked_names import ask
from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.electrics.model import Circuit
from ferrule.engine.network.circuit import Network, build
from ferrule.engine.network.faults import (
    Bridge,
    CrossedInLeg,
    Fault,
    LeadNotNulled,
    LegLeftOut,
    LooseJoint,
    OpenConductor,
    Reversed,
    Spur,
    StraightLinks,
    Touch,
)
from ferrule.engine.network.nodal import Branch, Solved
from ferrule.engine.network.readings import Test, readings_of

ZE_OHM = 0.35
"""Ze of the demo job, declared and measured (invented)."""

FAULTS: dict[str, tuple[Fault, ...]] = {
    "F0": (),
    "F1": (OpenConductor("L", "S4", "S5"),),
    "F2": (OpenConductor("N", "S4", "S5"),),
    "F3": (OpenConductor("E", "S4", "S5"),),
    "F4": tuple(OpenConductor(conductor, "S4", "S5") for conductor in "LNE"),
    "F5": (Bridge("S3", "S8", 4.0),),
    "F6": (Spur("S5", "P1", 6.0),),
    "F7": (Spur("S5", "P1", 6.0), Spur("P1", "P2", 6.0)),
    "F8": (Spur("S5", "P1", 6.0), OpenConductor("E", "S5", "P1")),
    "F9": (Reversed("S5", "L", "N"),),
    "F10": (Reversed("S5", "L", "E"),),
    "F11": (Reversed("S5", "N", "E"),),
    "F12": (CrossedInLeg("L", "N", "S4", "S5"),),
    "F13": (StraightLinks(),),
    "F14": (LooseJoint("L", "S6", "S7", 0.20),),
    "F15": (LooseJoint("E", "S6", "S7", 0.60),),
    "F16": (Touch("S7", "N", "E"),),
    "F17": (Touch("S7", "L", "E", 1000.0),),
    "F28": (LeadNotNulled(0.18),),
}


@dataclass(frozen=True)
class Row:
    """One hidden fault and what each test reads with it."""

    case: str
    given: tuple[Fault, ...]
    expect: dict[str, str]
    source: str


def _rows() -> list[Row]:
    path = Path(__file__).parents[1] / "cases" / "reference_ring.csv"
    with path.open(newline="", encoding="utf-8") as file:
        return [Row(line["id"], FAULTS[line["id"]], line, line["source"]) for line in csv.DictReader(file)]


ROWS = _rows()


def shown(ohm: float | None) -> str:
    """The reading as an instrument of 0.01 Ω shows it."""
    return "open" if ohm is None else str(Decimal(ohm).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def span(readings: dict[str, float | None]) -> str:
    """Lowest and highest reading; one open point among readings is named."""
    numbers = [ohm for ohm in readings.values() if ohm is not None]
    if not numbers:
        return "open..open"
    opened = [key.split("/")[1] for key, ohm in readings.items() if ohm is None]
    top = f"open@{','.join(opened)}" if opened else shown(max(numbers))
    return f"{shown(min(numbers))}..{top}"


def highest(readings: dict[str, float | None]) -> str:
    """The worst loop reading with its point; no reading is worse than any."""
    key = max(readings, key=lambda name: float("inf") if readings[name] is None else readings[name] or 0.0)
    return f"{shown(readings[key])}@{key.split('/')[1]}"


def test_every_row_has_a_source_and_a_fault() -> None:
    """Each row says where it was worked out, and each fault of the table is tried."""
    assert all(row.source.strip() for row in ROWS)
    assert [row.case for row in ROWS] == list(FAULTS)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.case)
def test_end_to_end(reference: Circuit, row: Row) -> None:
    """r1, rn and r2 with each fault."""
    found = readings_of(reference, row.given, Test.END_TO_END)

    assert {key: shown(ohm) for key, ohm in found.items()} == {key: row.expect[key] for key in found}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.case)
def test_steps_two_and_three(reference: Circuit, row: Row) -> None:
    """The spread of step two and of step three over the points with each fault."""
    assert span(readings_of(reference, row.given, Test.STEP_TWO)) == row.expect["step_two"]
    assert span(readings_of(reference, row.given, Test.STEP_THREE)) == row.expect["step_three"]


@pytest.mark.parametrize("row", [row for row in ROWS if row.expect["zs_max"]], ids=lambda row: row.case)
def test_highest_loop_impedance(reference: Circuit, row: Row) -> None:
    """The largest Zs and its point with each fault."""
    assert highest(readings_of(reference, row.given, Test.LOOP, ze_ohm=ZE_OHM)) == row.expect["zs_max"]


def test_a_reversed_pair_shows_at_its_socket_only(reference: Circuit) -> None:
    """L–N reversed at S5: step two sees nothing, step three is open there and sound elsewhere."""
    sound, found = (readings_of(reference, faults, Test.STEP_THREE) for faults in ((), FAULTS["F9"]))

    assert span(readings_of(reference, FAULTS["F9"], Test.STEP_TWO)) == "0.22..0.22"
    assert {key for key, ohm in found.items() if ohm is None} == {"ring-three/S5"}
    assert all(ohm == pytest.approx(sound[key]) for key, ohm in found.items() if ohm is not None)


def test_break_lies_where_step_three_jumps(reference: Circuit) -> None:
    """Line open S4–S5: 0.62 Ω at S4 beside 0.58 Ω at S5."""
    found = readings_of(reference, FAULTS["F1"], Test.STEP_THREE)

    assert (shown(found["ring-three/S4"]), shown(found["ring-three/S5"])) == ("0.62", "0.58")


def test_crossed_leg_is_read_from_line_to_neutral(reference: Circuit) -> None:
    """With line and neutral crossed in a leg, L1 to N2 reads 0.44 Ω; in a sound ring it is open."""
    cross = readings_of(reference, FAULTS["F12"], Test.CROSS_ENDS)

    assert {shown(ohm) for ohm in cross.values()} == {"0.44"}
    assert set(readings_of(reference, (), Test.CROSS_ENDS).values()) == {None}


def test_nothing_drives_a_loop_test_on_a_crossed_leg(reference: Circuit) -> None:
    """Line and neutral tied together: no loop reading anywhere, for the supply is shorted."""
    found = readings_of(reference, FAULTS["F12"], Test.LOOP, ze_ohm=ZE_OHM)

    assert set(found.values()) == {None}


def test_zs_passes_with_each_broken_leg(reference: Circuit) -> None:
    """F1 to F4 stay under 1.096 Ω everywhere: a good Zs does not show a sound ring."""
    for case in ("F1", "F2", "F3", "F4"):
        found = readings_of(reference, FAULTS[case], Test.LOOP, ze_ohm=ZE_OHM)
        assert all(ohm is not None and ohm < 1.096 for ohm in found.values())


@pytest.mark.parametrize(
    ("left_out", "to_earth", "to_neutral"),
    [
        (None, "0.29", "0.22"),
        (("L", "leg1"), "0.42", "0.35"),
        (("L", "leg2"), "0.39", "0.32"),
        (("E", "leg1"), "0.50", "0.22"),
        (("E", "leg2"), "0.45", "0.22"),
        (("N", "leg1"), "0.29", "0.35"),
        (("N", "leg2"), "0.29", "0.32"),
    ],
)
def test_every_leg_landed(reference: Circuit, left_out: tuple[str, str] | None, to_earth: str, to_neutral: str) -> None:
    """Screw to screw with a link at S5: each leg that was left out shows (own calculation)."""
    faults = (LegLeftOut(*left_out),) if left_out else ()

    assert shown(readings_of(reference, faults, Test.LANDED_EARTH)["landed-earth/S5"]) == to_earth
    assert shown(readings_of(reference, faults, Test.LANDED_NEUTRAL)["landed-neutral/S5"]) == to_neutral


NO_RESISTANCE = {
    "F18": "damp: megohms only",
    "F19": "an item left in: megohms only",
    "F21": "load neutral in the main bar: seen by insulation and by the trip",
    "F22": "supply neutral off: volts and the button",
    "F24": "slow device: milliseconds",
    "F25": "sticking mechanism: no trip",
    "F27": "borrowed neutral: insulation and the trip",
}
"""Faults of the table that no resistance shows, with what does."""
ELSEWHERE = {"F20", "F23", "F26"}
"""Faults that are shown by a test of their own below."""


def test_every_fault_of_the_table_is_reproduced_or_is_no_matter_of_resistance() -> None:
    """All twenty-eight faults are accounted for, each once."""
    tried = set(FAULTS) - {"F0"}

    assert tried | set(NO_RESISTANCE) | ELSEWHERE == {f"F{number}" for number in range(1, 29)}
    assert not tried & set(NO_RESISTANCE)


def test_one_leg_landed_in_the_next_way(reference: Circuit) -> None:
    """F20: one leg of ring A sits in way B and one of B in A: the landed pair is open, A1 to the stray end 0.44 Ω.

    With both ways on, the two rings lie in parallel again at the bars and Zs is about that of the sound ring.
    """
    a, b = (renamed(build(reference), mark) for mark in "AB")
    apart = Solved([*a, *b])
    bars = [
        *(Branch(f"bar:{c}", f"{c}@{mark}-{leg}", 0.0) for c in "LNE" for mark in "AB" for leg in ("leg1", "leg2")),
        Branch("bar:L", "bar:E", ZE_OHM),
    ]
    together = Solved([*a, *b, *bars])

    for conductor, ohm in (("L", "0.44"), ("N", "0.44"), ("E", "0.73")):
        assert apart.between(f"{conductor}@A-leg1", f"{conductor}@B-leg2") is None
        assert shown(apart.between(f"{conductor}@A-leg1", f"{conductor}@A-leg2")) == ohm
    assert shown(together.between("L@A-S5", "E@A-S5")) == "0.64"


def renamed(network: Network, mark: str) -> list[Branch]:
    """The branches of a ring with every place marked as its own."""

    def own(name: str) -> str:
        return name.replace("@", f"@{mark}-").replace("!", f"!{mark}-")

    return [Branch(own(branch.a), own(branch.b), branch.ohm) for branch in network.branches()]


def test_a_c_curve_in_the_place_of_a_b_fails_the_loop() -> None:
    """F23: 0.64 Ω against 0.8 × 0.68 = 0.544 Ω fails; against the B curve it passes."""
    verdicts = [
        ask("zs-measured-limit", {"curve": curve, "rating_a": "32", "measured_ohm": "0.64"})[1] for curve in "CB"
    ]

    assert [answer.result.rounded for answer in verdicts] == ["0.544", "1.096"]
    assert [answer.verdict for answer in verdicts] == [Outcome.FAIL, Outcome.PASS]


def test_the_earthing_conductor_left_off_shows_in_every_loop(reference: Circuit) -> None:
    """F26: with only 5 Ω of stray bonding in the place of the earthing conductor, Zs is above 5 Ω at each socket."""
    found = readings_of(reference, (), Test.LOOP, ze_ohm=5.0)

    assert all(ohm is not None and ohm > 5 for ohm in found.values())
