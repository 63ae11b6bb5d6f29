"""Faults as changes of a network: each changes what it names, and a misnamed one is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.electrics.model import Circuit, How, Known
from ferrule.engine.network.circuit import build
from ferrule.engine.network.faults import (
    Bridge,
    CrossedInLeg,
    Fault,
    LeadNotNulled,
    LooseJoint,
    NotLanded,
    OpenConductor,
    Reversed,
    Spur,
    Touch,
    apply_all,
)
from ferrule.engine.network.readings import Test, readings_of


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (OpenConductor("L", "S4", "S9"), "0 pieces of L between S4 and S9"),
        (LooseJoint("X", "S4", "S5", 0.1), "0 pieces of X"),
        (CrossedInLeg("L", "N", "S1", "S3"), "0 pieces of L between S1 and S3"),
        (Bridge("S1", "S99", 4.0), "no point S99"),
        (Bridge("S1", "S4", -1.0), "a length below zero"),
        (Spur("S99", "P1", 4.0), "no point S99"),
        (Spur("S1", "S2", 4.0), "a point S2 already"),
        (Reversed("S99", "L", "N"), "no point S99"),
        (NotLanded("S99", "E"), "no point S99"),
        (Touch("S99", "L", "E"), "no point S99"),
    ],
)
def test_a_fault_at_no_such_place_is_refused(reference: Circuit, fault: Fault, words: str) -> None:
    """A fault never silently does nothing."""
    with pytest.raises(ValueError, match=words):
        fault.apply(build(reference))


def test_a_fault_leaves_the_sound_network_as_it_was(reference: Circuit) -> None:
    """Applying a fault gives another network; the first is unchanged and can be used again."""
    sound = build(reference)
    faulty = apply_all(sound, [OpenConductor("E", "S4", "S5"), LeadNotNulled(0.1)])

    assert faulty != sound
    assert sound == build(reference)


def test_a_break_can_be_named_from_either_side(reference: Circuit) -> None:
    """The piece between S4 and S5 is the piece between S5 and S4."""
    sound = build(reference)

    assert OpenConductor("L", "S5", "S4").apply(sound) == OpenConductor("L", "S4", "S5").apply(sound)


def test_breaks_at_the_board_end(reference: Circuit) -> None:
    """A leg broken before the first socket reads open end to end, and the sockets still all read."""
    faults = [OpenConductor("E", "leg1", "S1")]

    assert readings_of(reference, faults, Test.END_TO_END)["r2"] is None
    assert None not in readings_of(reference, faults, Test.STEP_THREE).values()


def test_a_conductor_off_at_one_point(reference: Circuit) -> None:
    """The protective conductor off at S3: step three open there only, the ring itself whole."""
    faults = [NotLanded("S3", "E")]

    opened = [key for key, ohm in readings_of(reference, faults, Test.STEP_THREE).items() if ohm is None]

    assert opened == ["ring-three/S3"]
    assert None not in readings_of(reference, faults, Test.STEP_TWO).values()
    assert readings_of(reference, faults, Test.END_TO_END) == readings_of(reference, (), Test.END_TO_END)


def test_a_radial_is_open_from_the_break_on(radial: Circuit) -> None:
    """No reading beyond a broken line of a radial; a loose joint adds itself from there on."""
    broken = readings_of(radial, [OpenConductor("L", "S2", "S3")], Test.LINKED)
    loose = readings_of(radial, [LooseJoint("E", "S2", "S3", 0.3)], Test.LINKED)
    sound = readings_of(radial, (), Test.LINKED)

    assert [key for key, ohm in broken.items() if ohm is None] == ["cpc/S3", "cpc/S4", "cpc/S5"]
    assert [round((loose[key] or 0) - (sound[key] or 0), 9) for key in sound] == [0.0, 0.0, 0.3, 0.3, 0.3]


def test_a_touch_joins_two_conductors(radial: Circuit) -> None:
    """A nail of 0.5 Ω between line and protective conductor lowers the reading at the far end."""
    nailed = readings_of(radial, [Touch("S5", "L", "E", 0.5)], Test.LINKED)["cpc/S5"]
    sound = readings_of(radial, (), Test.LINKED)["cpc/S5"]

    assert sound is not None
    assert nailed == pytest.approx(sound * 0.5 / (sound + 0.5))


@pytest.mark.parametrize("test", [Test.END_TO_END, Test.CROSS_ENDS, Test.STEP_TWO, Test.STEP_THREE])
def test_ring_tests_are_for_rings(radial: Circuit, test: Test) -> None:
    """A radial has no second leg, so a ring test on it is refused."""
    with pytest.raises(ValueError, match="only a ring"):
        readings_of(radial, (), test)


def test_points_may_stand_in_any_order_on_the_card(reference: Circuit) -> None:
    """The way round the ring follows the distances, not the order of writing."""
    shuffled = replace(reference, points=tuple(reversed(reference.points)))

    found, sound = (readings_of(circuit, (), Test.STEP_THREE) for circuit in (shuffled, reference))

    assert found == pytest.approx(sound)


def test_a_card_without_distances_makes_no_network(reference: Circuit) -> None:
    """Lengths are not guessed: a missing one is named."""
    unknown = Known(None, How.UNKNOWN)
    blind = replace(reference, points=(*reference.points[:-1], replace(reference.points[-1], distance_m=unknown)))

    with pytest.raises(ValueError, match="distance or spur length of S10"):
        build(blind)
    with pytest.raises(ValueError, match="length of the circuit"):
        build(replace(reference, length_m=unknown))
