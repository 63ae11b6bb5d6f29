"""Instruments: one out of calibration, of the wrong kind or not on the card takes no reading."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from ferrule.engine.findings import BadFile
from ferrule.engine.procedure.choice_words import INSTRUMENT_KINDS, TWO_POLE
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide
from tests.support.ends import job_with
from tests.support.jobs import REFERENCE, job_of
from tests.support.walker import DAY, Walker

DAY_BEFORE = str(date.fromisoformat(DAY) - timedelta(days=1))
KIND = "    kind: two-pole indicator\n"
LOOK = "check-instruments/each"
TESTER = "      - {function: low resistance, resolution: 0.01 ohm, full scale: 99.9 ohm, "


def at_reading(where: str) -> Walker:
    """A sound walk that waits for the readings of a step, its round begun."""
    walker = Walker.begin(job_of()).until(where)
    while True:
        given = walker.healthy()
        assert given is not None
        if isinstance(given, c.Answer) and given.step == where:
            return walker
        assert not isinstance(walker.give(given), Refusal)


@pytest.mark.parametrize(
    ("serial", "where", "named"),
    [
        ("T-1001\n    ", "ring-step-one/read", "combined installation tester, serial T-1001"),
        ("V-2002\n    ", "prove-dead/pairs", "two-pole voltage indicator, serial V-2002"),
        ("D-4004, ", "torque-tug-mark/each", "driver, serial D-4004"),
    ],
    ids=["tester", "indicator", "torque tool"],
)
def test_one_day_past_its_calibration_an_instrument_reads_nothing(serial: str, where: str, named: str) -> None:
    """Due the day before, it is refused by name and serial at the step that needs it; due on the day, it is taken.

    Shows: DV-08.
    """
    walker = at_reading(where)
    found = {
        day: decide(
            job_with(REFERENCE, {f"serial: {serial}due: 2027-03-01": f"serial: {serial}due: {day}"}),
            walker.state,
            walker.answer(),
        )
        for day in (DAY_BEFORE, DAY)
    }
    refused = found[DAY_BEFORE]

    assert isinstance(refused, Refusal)
    assert refused.reason.startswith(f"{named}, was due for calibration on {DAY_BEFORE}; today is {DAY}.")
    assert not isinstance(found[DAY], Refusal)


def test_what_no_instrument_of_the_card_reads_opens_no_job() -> None:
    """A card without an instrument for a reading is refused, and each step that needs it is named. Shows: DV-08."""
    with pytest.raises(BadFile) as refused:
        job_with(REFERENCE, {f'{TESTER}error: "3 % + 3 digits", source: invented leaflet of the tester}}\n': ""})
    told = [finding.message for finding in refused.value.findings]

    assert 'Nothing on the card reads "low resistance", which ring-step-one/read needs.' in told
    assert {finding.code for finding in refused.value.findings} == {"card-contradiction"}


@pytest.mark.parametrize("kind", ["non-contact", "proximity tester", "solenoid", "test lamp", "multimeter", TWO_POLE])
def test_nothing_but_a_two_pole_indicator_can_be_chosen_for_proving_dead(kind: str) -> None:
    """Of all kinds a card may try to name for it, one is taken under the usual setting. Shows: DV-08, VR-13."""
    change = {KIND: f"    kind: {kind}\n"}
    if kind == TWO_POLE:
        assert job_with(REFERENCE, change).card.instruments[1].kind == kind
        return
    with pytest.raises(BadFile) as refused:
        job_with(REFERENCE, change)

    assert [finding.code for finding in refused.value.findings] == [
        "card-contradiction" if kind in INSTRUMENT_KINDS else "wrong-value"
    ]


def test_a_non_contact_detector_that_is_found_at_the_look_goes_no_further() -> None:
    """A card that leaves the kind out is caught by the look at the instrument, and it is not proved for use either.

    Shows: VR-13.
    """
    walker = Walker.begin(job_with(REFERENCE, {KIND: ""})).until(LOOK)
    given = walker.answer("fail", lambda slot: slot.cell.id == "two-pole")
    found = walker.give(given)
    proving = Walker.begin(walker.job).until("prove-indicator/prove")
    facts = {**proving.state.facts, "check:instruments": walker.state.facts["check:instruments"]}
    refused = decide(walker.job, replace(proving.state, facts=facts), proving.answer())

    assert [a.entered for a in given.cells if a.cell == "two-pole"] == ["multimeter or non-contact detector"]
    assert not isinstance(found, Refusal)
    assert (walker.state.step, walker.state.facts["check:instruments"]) == (LOOK, "failed")
    assert isinstance(refused, Refusal)
    assert (refused.code, "instruments must be done" in refused.reason) == ("gate", True)
