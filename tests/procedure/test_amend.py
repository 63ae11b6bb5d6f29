"""A card may be amended in a closed list of fields, and each says what no longer stands."""

from dataclasses import replace
from decimal import Decimal

import pytest

from ferrule.engine.electrics.model import How, Known
from ferrule.engine.procedure.amend import AMENDABLE, AmendError, amend_card, amendable, amended_job, card_value
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.safety.facts import CHECKS, RESULTS
from tests.procedure.cases import good_set

JOB = compile_job(good_set())
CARD = JOB.card
SAMPLES = {
    "circuit.length": "58 m, measured",
    "circuit.line": "4 mm2",
    "circuit.protective": "2.5 mm2",
    "circuit.point.S2.at": "30 m, measured",
    "circuit.add point": "S3 | door | 20 m, measured",
    "supply.external impedance": "0.21 ohm, measured",
    "supply.earthing": "TN-S",
    "device.rating": "20 A",
    "device.curve": "C",
    "room temperature": "18 C, measured",
}


def test_every_field_of_the_table_can_be_amended() -> None:
    """Each field takes a value of its sort, changes the card, and reads back as it was written."""
    assert {field.replace(".S2.", ".{id}.") for field in SAMPLES} == set(AMENDABLE)
    for field, value in SAMPLES.items():
        after = amend_card(CARD, field, value)

        assert after != CARD
        if field != "circuit.add point":
            assert card_value(after, field) == value


def test_what_an_amendment_voids_is_in_the_tables() -> None:
    """Every result and check that an amendment takes down is one that the job knows."""
    for field, entry in AMENDABLE.items():
        assert set(entry.voids) <= set(RESULTS)
        assert set(entry.opens) <= set(CHECKS)
        assert entry.voids, field


def test_work_stops_where_the_device_may_no_longer_suit() -> None:
    """Another rating, curve or earthing system stops work and has the device judged again."""
    stops = {field for field, entry in AMENDABLE.items() if entry.stops}

    assert stops == {"supply.earthing", "device.rating", "device.curve"}
    assert all("device on paper" in AMENDABLE[field].opens for field in stops)


def test_only_the_named_field_changes() -> None:
    """An amendment leaves every other value of the card as it was."""
    after = amend_card(CARD, "circuit.length", "58 m, measured")

    assert after.circuit.length_m == Known(Decimal(58), How.MEASURED)
    assert replace(after, circuit=replace(after.circuit, length_m=CARD.circuit.length_m)) == CARD


def test_a_new_point_is_put_where_it_lies() -> None:
    """A point is added in the order along leg 1, and a spur behind the others with its point and length."""
    after = amend_card(CARD, "circuit.add point", "S3 | door | 20 m, measured")
    assert [point.id for point in after.circuit.points] == ["S1", "S3", "S2", "P1"]
    after = amend_card(CARD, "circuit.add point", "P2 | sill | 4 m, record | from S1")
    assert (after.circuit.points[-1].id, after.circuit.points[-1].spur_from) == ("P2", "S1")
    assert after.circuit.points[-1].spur_length_m == Known(Decimal(4), How.RECORD)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("board", "KR2"),
        ("circuit.point.S9.at", "3 m, measured"),
        ("circuit.point..at", "3 m, measured"),
        ("circuit.length", "58 m"),
        ("circuit.length", "58, measured"),
        ("circuit.length", "58 V, measured"),
        ("circuit.length", "0 m, measured"),
        ("circuit.length", "20 m, measured"),
        ("circuit.point.S1.at", "61 m, measured"),
        ("circuit.line", "0 mm2"),
        ("circuit.add point", "S1 | door | 20 m, measured"),
        ("circuit.add point", "S3 | door"),
        ("circuit.add point", "P2 | sill | 4 m, record | from S9"),
        ("supply.earthing", "TN-X"),
        ("device.curve", "E"),
        ("device.rating", "32"),
    ],
)
def test_a_field_or_value_that_does_not_fit_is_refused(field: str, value: str) -> None:
    """What is not in the table, or would contradict the rest of the card, is refused and nothing changes."""
    with pytest.raises(AmendError):
        amend_card(CARD, field, value)


def test_amendments_are_applied_in_order_and_folded_again() -> None:
    """A job with amendments has its card, its card conditions and its objects anew; without any it is itself."""
    assert amended_job(JOB, ()) is JOB
    after = amended_job(JOB, (("supply.earthing", "TN-S"), ("supply.external impedance", "unknown")))

    assert after.card_facts["earthing"] == "TN-S"
    assert after.card_facts["external impedance"] == "unknown"
    assert after.procedures == JOB.procedures
    assert not amendable("circuit.length").stops
