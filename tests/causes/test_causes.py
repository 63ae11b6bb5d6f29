"""Ranked causes: each resistive fault is read on its own network, and the ranking finds it again."""

from __future__ import annotations

import ast
import time
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

import ferrule.engine.network
from ferrule.engine.electrics.model import Circuit, How, Known, Point
from ferrule.engine.network.causes import Cause, observed, ranked_causes
from ferrule.engine.network.circuit import build
from ferrule.engine.network.faults import (
    Bridge,
    CrossedInLeg,
    Fault,
    LeadNotNulled,
    LegLeftOut,
    LooseJoint,
    NotLanded,
    OnSpur,
    OpenConductor,
    Reversed,
    Scaled,
    Spur,
    StraightLinks,
    Touch,
    apply_all,
)
from ferrule.engine.network.probes import INSULATION, told
from ferrule.engine.network.readings import Test, readings_of
from ferrule.engine.quantity.reading import Reading

ZE = 0.35
"""Ze of the demo job (invented)."""
DEAD: tuple[Test | str, ...] = (Test.END_TO_END, Test.STEP_TWO, Test.STEP_THREE, INSULATION)
LIVE: tuple[Test | str, ...] = (*DEAD, Test.LOOP)
STRETCH = "between S4 and S5"
NOTHING = "Nothing that a resistance shows"


def known(number: str) -> Known:
    """A length from a record."""
    return Known(Decimal(number), How.RECORD)


def circuit(kind: str, length: str, sizes: tuple[str, str], metres: Iterable[str]) -> Circuit:
    """A circuit with points S1, S2 … at these metres."""
    points = tuple(Point(f"S{n}", f"point {n}", known(metre)) for n, metre in enumerate(metres, start=1))
    line, cpc = map(Decimal, sizes)
    return Circuit(kind, "sockets", line, cpc, known(length), points, How.RECORD, False)


RING = circuit("ring", "60", ("2.5", "1.5"), ("8", "13", "18", "23", "28", "33", "38", "43", "48", "53"))
SHORT = circuit("ring", "37", ("4", "1.5"), ("4.5", "9", "13.5", "18.5", "24", "28", "33"))
RADIAL = circuit("radial", "32", ("2.5", "1.5"), ("6", "11", "17.5", "26", "32"))


def shown(given: Circuit, faults: Iterable[Fault], probes: Iterable[Test | str]) -> dict[str, Reading]:
    """What instruments show on a circuit with faults, to the digit, open circuits above range."""
    network = apply_all(build(given), faults)
    found: dict[str, Reading] = {}
    for probe in probes:
        unit, top = ("Mohm", "200") if probe == INSULATION else ("ohm", "99.9")
        for key, value in told(network, probe, ZE).items():
            if value is None:
                found[key] = Reading.over_range(Decimal(top), unit)
            else:
                found[key] = Reading.measured(Decimal(value).quantize(Decimal("0.01"), ROUND_HALF_UP), unit)
    return found


@dataclass(frozen=True)
class Row:
    """A fault of the table, the title that names it, and how many causes share the first place."""

    fault: str
    given: tuple[Fault, ...]
    title: str
    where: str
    tied: int = 1
    """Causes that these readings cannot tell apart; the right one is among them."""
    probes: tuple[Test | str, ...] = DEAD


OPEN, TOUCH = "Open", "Neutral and protective conductor touch"
CPC_OFF = "A spur that is not on the card, its protective conductor not connected"
CROSSED = "Line and neutral change places in a cable"
ROWS = [
    Row("F0", (), NOTHING, ""),
    Row("F1", (OpenConductor("L", "S4", "S5"),), "Open line", STRETCH),
    Row("F2", (OpenConductor("N", "S4", "S5"),), "Open neutral", "do not tell where"),
    Row("F3", (OpenConductor("E", "S4", "S5"),), "Open protective conductor", STRETCH),
    Row(
        "F4",
        tuple(OpenConductor(conductor, "S4", "S5") for conductor in "LNE"),
        "Open line, neutral and protective conductor",
        STRETCH,
        probes=LIVE,
    ),
    Row("F5", (Bridge("S3", "S8", 4.0),), "A cable that bridges two points (figure of eight)", "from S3 to S8"),
    Row("F6", (Spur("S5", "P1", 6.0),), "A spur that is not on the card", "do not tell where"),
    Row("F7", (Spur("S5", "P1", 6.0), Spur("P1", "P2", 6.0)), "A spur on a spur", "do not tell where", tied=2),
    Row("F8", (Spur("S5", "P1", 6.0), OpenConductor("E", "S5", "P1")), CPC_OFF, "do not tell where"),
    Row("F9", (Reversed("S5", "L", "N"),), "Line and neutral reversed at a point", "at S5", tied=2),
    Row("F10", (Reversed("S5", "L", "E"),), "Line and protective conductor reversed at a point", "at S5", tied=2),
    Row("F11", (Reversed("S5", "N", "E"),), "Neutral and protective conductor reversed at a point", "at S5", tied=2),
    Row("F12", (CrossedInLeg("L", "N", "S4", "S5"),), CROSSED, STRETCH),
    Row("F13", (StraightLinks(),), "Links not crossed at the board", ""),
    Row("F14", (LooseJoint("L", "S6", "S7", 0.20),), "Loose joint in the line", "between S6 and S7"),
    Row("F15", (LooseJoint("E", "S6", "S7", 0.60),), "Loose joint in the protective conductor", "between S6 and S7"),
    Row("F16", (Touch("S7", "N", "E"),), TOUCH, "at S7", probes=LIVE),
    Row("F28", (LeadNotNulled(0.18),), "Leads not nulled", "in every low reading"),
]


def first_place(found: tuple[Cause, ...]) -> list[Cause]:
    """The causes that share the best score."""
    return [cause for cause in found if cause.score == found[0].score]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.fault)
def test_each_fault_is_found_from_its_own_readings(row: Row) -> None:
    """The right cause comes first with its place; where others explain the same readings, each tie names what tells."""
    found = ranked_causes(RING, shown(RING, row.given, row.probes), ZE if Test.LOOP in row.probes else None)

    best = first_place(found)
    right = [cause for cause in best if cause.title == row.title]
    assert len(best) == row.tied
    assert len(right) == 1
    assert row.where in right[0].where
    assert right[0].score >= (0.99 if row.tied == 1 else 0.45)
    if row.tied > 1:
        assert all(cause.separates_by for cause in best)


@pytest.mark.parametrize(
    ("fault", "title", "test", "key"),
    [
        (Reversed("S5", "L", "N"), "Line and neutral reversed at a point", "probe-three", "probe-three/N-E/S5"),
        (NotLanded("S5", "E"), "Protective conductor off its terminal at a point", "probe-three", "probe-three/N-E/S5"),
        (Reversed("S5", "L", "E"), "Line and protective conductor reversed at a point", "probe-two", ""),
        (NotLanded("S5", "N"), "Neutral off its terminal at a point", "probe-two", ""),
        (Reversed("S5", "N", "E"), "Neutral and protective conductor reversed at a point", "probe-two", ""),
        (NotLanded("S5", "L"), "Line off its terminal at a point", "probe-two", ""),
    ],
)
def test_the_named_reading_does_tell_the_tied_causes_apart(fault: Fault, title: str, test: str, key: str) -> None:
    """What the ranking names as telling reads on the faulty network just what it says for the right cause."""
    found = ranked_causes(RING, shown(RING, [fault], DEAD))
    right = next(cause for cause in first_place(found) if cause.title == title)
    truth = told(apply_all(build(RING), [fault]), test, ZE)
    said = right.separates_by.partition(": ")[2].partition(" if it is this")[0]
    values = {"open" if value is None else f"{value:.2f} Ω" for name, value in truth.items() if name.endswith("/S5")}

    assert said in values
    if key:
        assert said == ("open" if truth[key] is None else f"{truth[key]:.2f} Ω")


@pytest.mark.parametrize(
    ("fault", "title"),
    [
        (OpenConductor("E", "S3", "S4"), "Open protective conductor"),
        (LooseJoint("N", "S2", "S3", 0.3), "Loose joint in the neutral"),
        (Bridge("S2", "S6", 3.0), "A cable that bridges two points (figure of eight)"),
        (LeadNotNulled(0.12), "Leads not nulled"),
        (Scaled("LNE", 1.4), "The circuit is longer than on the card"),
        (Scaled("E", 1.4959), "Another size of protective conductor than on the card"),
        (OnSpur("S4", "S3", 7.0), "A point hangs on a spur"),
        (StraightLinks(), "Links not crossed at the board"),
    ],
    ids=lambda value: type(value).__name__ if not isinstance(value, str) else "",
)
def test_it_works_for_another_ring(fault: Fault, title: str) -> None:
    """On a short ring of another size, with other places and sizes of fault, the right cause comes first too."""
    found = ranked_causes(SHORT, shown(SHORT, [fault], DEAD))

    assert found[0].title == title


@pytest.mark.parametrize(
    ("fault", "titles", "where"),
    [
        (OpenConductor("L", "S2", "S3"), {"Open line", "Open protective conductor"}, "between S2 and S3"),
        (LooseJoint("E", "S2", "S3", 0.3), {"Loose joint in the line", "Loose joint in the protective conductor"},
         "between S2 and S3"),
        (Scaled("LNE", 1.3), {"The circuit is longer than on the card"}, "by the factor 1."),
    ],
)  # fmt: skip
def test_it_works_for_a_radial(fault: Fault, titles: set[str], where: str) -> None:
    """One linked reading does not tell line from protective conductor; both share the place; the long lead tells."""
    found = ranked_causes(RADIAL, shown(RADIAL, [fault], [Test.LINKED]))
    best = first_place(found)

    assert {cause.title for cause in best} == titles
    assert all(where in cause.where for cause in best)
    assert len(best) == 1 or all("long lead" in cause.separates_by for cause in best)


def test_ring_step_one_alone_leaves_bridge_and_short_ring_tied() -> None:
    """Three low ends fit a bridge and a short ring alike; step two is named as what tells them apart."""
    readings = shown(RING, [Bridge("S3", "S8", 4.0)], [Test.END_TO_END])
    found = ranked_causes(RING, readings)

    assert {cause.title for cause in found[:2]} == {
        "A cable that bridges two points (figure of eight)",
        "The circuit is shorter than on the card",
    }
    assert abs(found[0].score - found[1].score) < 0.05
    assert all(cause.separates_by.startswith("step two at") for cause in found[:2])


def test_a_leg_left_out_is_seen_by_the_loop_alone() -> None:
    """With the dead readings sound and Zs high at every socket, a leg left out at the board comes first."""
    readings = {**shown(RING, [], DEAD), **shown(RING, [LegLeftOut("E", "leg1")], [Test.LOOP])}
    found = ranked_causes(RING, readings, ZE)

    assert found[0].title == "A leg of the protective conductor left out at the board"
    assert found[0].where == "leg 1"


def test_scores_are_shares() -> None:
    """The scores lie between 0 and 1, fall from the first on, and add to no more than 1."""
    found = ranked_causes(RING, shown(RING, [CrossedInLeg("L", "N", "S4", "S5")], [Test.END_TO_END]))
    scores = [cause.score for cause in found]

    assert scores == sorted(scores, reverse=True)
    assert all(0 <= score <= 1 for score in scores)
    assert sum(scores) <= 1.001


def test_nothing_is_said_where_nothing_explains_it_or_nothing_is_known() -> None:
    """No reading, readings that no single fault makes, or a card without a length: no cause is made up."""
    wild = {f"ring-two/S{n}": Reading.measured(Decimal(n % 3 * 7 + n), "ohm") for n in range(1, 11)}
    blind = Circuit("ring", "x", Decimal("2.5"), Decimal("1.5"), Known(None, How.UNKNOWN), (), How.UNKNOWN, False)

    assert ranked_causes(RING, {}) == ()
    assert ranked_causes(RING, wild) == ()
    assert ranked_causes(blind, shown(RING, [], [Test.END_TO_END])) == ()


def test_readings_that_no_network_explains_are_left_out() -> None:
    """Volts, a trip time, damp insulation and a reading that was not taken say nothing of the copper."""
    readings = {
        "supply/L-N": Reading.measured(Decimal(235), "V"),
        "residual/time": Reading.measured(Decimal(22), "ms"),
        "insulation/L-E": Reading.measured(Decimal("0.04"), "Mohm"),
        "insulation/LN-E": Reading.measured(Decimal("0.00"), "Mohm"),
        "insulation/N-E": Reading.measured(Decimal("0.00"), "Mohm"),
        "insulation/L-N": Reading.over_range(Decimal(200), "Mohm"),
        "r1": Reading.not_measured("ohm"),
        "r2": Reading.over_range(Decimal("99.9"), "ohm"),
        "zs/S1": Reading.measured(Decimal("0.50"), "ohm"),
    }

    assert observed(RING, readings) == {"insulation/N-E": 0.0, "insulation/L-N": None, "r2": None, "zs/S1": 0.5}
    assert "zs/S1" not in observed(RING, readings, with_loop=False)


def test_no_reading_of_a_fault_is_written_down() -> None:
    """The modules of the ranking hold no number like a reading: places and sizes come from the network."""
    folder = Path(ferrule.engine.network.__file__ or "").parent
    allowed = {0.0, 0.01, 0.02, 0.03, 0.05, 0.1, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0}
    allowed |= {230.0, 1_000.0, 1_000_000.0}
    for name in ("causes", "cause_families", "cause_extras", "cause_scene", "probes"):
        for node in ast.walk(ast.parse((folder / f"{name}.py").read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, float):
                assert node.value in allowed, f"{name}: {node.value}"


def test_the_ranking_is_quick_enough_for_the_screen() -> None:
    """The slowest fault of the table, with every reading taken, is ranked in well under two seconds of this machine."""
    readings = shown(RING, (Spur("S5", "P1", 6.0), Spur("P1", "P2", 6.0)), LIVE)
    started = time.process_time()
    ranked_causes(RING, readings, ZE)

    assert time.process_time() - started < 2.0


# --- the faults that the ranking needed ---


def test_a_point_on_a_spur_reads_higher_and_leaves_the_ring_whole() -> None:
    """Cut out and hung on its neighbour, a point gains its spur twice in step two; the ends read as before."""
    sound, hung = ({**readings_of(RING, f, Test.STEP_TWO)} for f in ([], [OnSpur("S5", "S4", 6.0)]))
    ends = readings_of(RING, [OnSpur("S5", "S4", 6.0)], Test.END_TO_END)

    assert ends == pytest.approx(readings_of(RING, [], Test.END_TO_END))
    assert (hung["ring-two/S5"] or 0) - (hung["ring-two/S4"] or 0) == pytest.approx(2 * 6.0 * 0.00741)
    assert hung["ring-two/S4"] == pytest.approx(sound["ring-two/S4"])
    with pytest.raises(ValueError, match="no point S99"):
        OnSpur("S99", "S4", 6.0).apply(build(RING))


def test_scaling_makes_conductors_longer_in_ohms() -> None:
    """A factor raises the conductors that it names and no other; nothing and less than nothing are refused."""
    sound, scaled = (readings_of(RING, f, Test.END_TO_END) for f in ([], [Scaled("E", 1.5)]))

    assert scaled["r1"] == pytest.approx(sound["r1"])
    assert scaled["r2"] == pytest.approx(1.5 * (sound["r2"] or 0))
    with pytest.raises(ValueError, match="scaled to nothing"):
        Scaled("E", 0.0).apply(build(RING))
