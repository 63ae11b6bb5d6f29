"""The walk finds in a compiled card what its rounds, marks and readings ask for."""

import pytest

from ferrule.engine.procedure.compiled import Listed
from ferrule.engine.procedure.lists import card_words, function_of, list_of, points_of
from ferrule.engine.procedure.load import compile_job
from ferrule.engine.procedure.words import FUNCTIONS, LISTS, MATCHES
from ferrule.engine.quantity.units import find_unit
from tests.procedure.cases import good_set
from tests.support.jobs import job_of

JOB = compile_job(good_set())


def test_every_list_of_the_forms_can_be_gone_through() -> None:
    """Each list that a round may name gives entries in the card's order; another name is an error."""
    found = {name: [entry.id for entry in points_of(JOB, name)] for name in LISTS}

    assert (
        found.items()
        >= {
            "sockets": ["S1", "S2", "P1"],
            "proving points": ["main-out"],
            "sources": ["mains", "inverter"],
            "main sources": ["mains"],
            "second sources": ["inverter"],
            "terminals": ["load-line", "neutral-bar"],
            "instruments": ["tester", "indicator"],
            "torque tools": ["driver"],
            "items": [],
            "loads": ["lamps"],
            "people": ["tech", "client"],
            "as-found point": ["S1"],
            "far point": ["S2"],
            "landing point": ["S2"],
            "earthed points": ["S1", "S2", "P1"],
            "points without earth": [],
            "early terminals": ["load-line", "neutral-bar"],
            "late terminals": [],
            "section device": [],
            "three-phase board": [],
        }.items()
    )
    assert points_of(JOB, "loads") == (Listed("lamps", "bench lamps"),)
    with pytest.raises(KeyError):
        points_of(JOB, "windows")


def test_every_mark_can_be_compared() -> None:
    """Each word that a step may match has what the equipment should read, as a mark shows it."""
    words = card_words(JOB.card)

    assert set(words) == set(MATCHES)
    assert words["way"] == "4"
    assert words["device.rating"] == "32"
    assert words["device.poles"] == "double"


def test_a_function_is_found_with_what_reads_it() -> None:
    """A reading's function comes from the first instrument that has it, a torque from the torque tool."""
    assert all(find_unit(unit) for unit in FUNCTIONS.values())
    found = function_of(JOB.card, "indicator")
    assert found is not None
    assert (found[0].id, found[1].unit, str(found[1].lowest)) == ("indicator", "V", "12")
    torque = function_of(JOB.card, "torque")
    assert torque is not None
    assert (torque[0].id, str(torque[1].resolution), str(torque[1].full_scale)) == ("driver", "0.1", "3.0")
    assert function_of(JOB.card, "clamp") is None


def test_variants_fill_the_lists_of_their_kind() -> None:
    """Late leads, points without earth, the section's device and a board of three phases each fill their own list."""
    leads, lights = job_of("old-fly-leads").card, job_of("lighting-radial").card
    section, phases = job_of("shower-split-load").card, job_of("three-phase-way").card

    assert [entry.id for entry in list_of(leads, "late terminals")] == ["neutral-bar", "fe-bar"]
    assert not {"neutral-bar", "fe-bar"} & {entry.id for entry in list_of(leads, "early terminals")}
    assert [entry.id for entry in list_of(lights, "points without earth")] == ["L6"]
    assert "L6" not in [entry.id for entry in list_of(lights, "earthed points")]
    assert [entry.id for entry in list_of(section, "section device")] == ["section"]
    assert [entry.id for entry in list_of(phases, "three-phase board")] == ["L1-L2-L3"]
    assert list_of(leads, "section device") == list_of(leads, "three-phase board") == ()
    assert card_words(phases)["phase"] == "L2"
