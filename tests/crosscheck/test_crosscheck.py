"""Readings held against each other: what is said of given readings, and silence on a sound circuit."""

from __future__ import annotations

import ast
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

import ferrule.engine.electrics
from ferrule.engine.electrics.crosscheck import CrossCheck, cross_checks
from ferrule.engine.electrics.model import How, Known
from ferrule.engine.network.readings import Test, readings_of
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.walk.cells import inputs_of
from tests.support.jobs import job_of

ZE = 0.35
JOB = job_of()
UNITS = {"insulation": "Mohm", "fault-current": "kA"}
SOCKETS = tuple(point.id for point in JOB.card.circuit.points)


def healthy(job: Job) -> dict[str, Reading]:
    """What instruments show on the job's sound circuit, null, insulation and fault current included."""
    ring = (Test.END_TO_END, Test.STEP_TWO, Test.STEP_THREE) if job.card.circuit.kind == "ring" else (Test.LINKED,)
    ze = float(job.card.supply.ze_ohm.value or ZE)
    shown: dict[str, Reading] = {"null": low("0.00")}
    for test in (*ring, Test.LOOP):
        for key, ohm in readings_of(job.card.circuit, (), test, ze_ohm=ze).items():
            shown[key] = low(str(ohm))
    for pair in ("L-N", "L-E", "N-E"):
        shown[f"insulation/{pair}"] = Reading.over_range(Decimal(200), "Mohm")
    shown["fault-current/L-E"] = Reading.measured(step(Decimal(230) / Decimal(str(ze)) / 1000), "kA")
    return shown


def step(value: Decimal) -> Decimal:
    """A number as a display of 0.01 shows it."""
    return value.quantize(Decimal("0.01"), ROUND_HALF_UP)


def low(ohm: str) -> Reading:
    """A low resistance as a display of 0.01 Ω shows it."""
    return Reading.measured(step(Decimal(ohm)), "ohm", resolution=Decimal("0.01"))


def checks(job: Job, readings: dict[str, Reading]) -> dict[str, CrossCheck]:
    """The cross-checks of these readings by name."""
    return {each.name: each for each in cross_checks(readings, inputs_of(job, {}))}


@dataclass(frozen=True)
class Row:
    """Readings instead of the sound ones, and what is said of them."""

    name: str
    given: dict[str, str]
    parts: tuple[str, ...]
    first: str
    """The beginning of the likeliest cause."""
    source: str
    gone: tuple[str, ...] = field(default=())
    """Readings that were not taken."""


def every(slot: str, value: str) -> dict[str, str]:
    """One value at every socket."""
    return {f"{slot}/{point}": value for point in SOCKETS}


ROWS = [
    Row("r1-r2-maximum", {"ring-three/S5": "0.41"}, ("0.41 Ω at S5", "make 0.29 Ω", "0.12 Ω apart"), "a spur",
        "(0.44 + 0.73)/4 = 0.29 Ω; 6 m of spur add 0.12 Ω (own calculation)"),
    Row("r1-r2-maximum", every("ring-three", "0.10"), ("0.10 Ω at S1", "0.19 Ω apart"), "the legs not crossed",
        "same figure, read too low"),
    Row("r2-to-r1", {"r2": "1.33"}, ("is 3.02", "makes 1.63", "0.61 Ω apart"), "a loose joint in the protective",
        "12.10/7.41 = 1.63 by the table; 1.33/0.44"),
    Row("r2-to-r1", {"r1": "0.62", "rn": "0.62", "r2": "0.91"}, ("is 1.47", "0.10 Ω apart"), "leads not nulled",
        "0.62 × 1.633 - 0.91; lead of 0.18 Ω in each"),
    Row("r2-to-r1", {"r1": "0.64"}, ("is 1.14",), "a loose joint in the line", "r1 above rn: leads raise both"),
    Row("length", {"r1": "0.28", "rn": "0.28", "r2": "0.47"}, ("stands for 38 m", "(record) gives 60 m", "22 m apart"),
        "a cable that bridges", "0.28/7.41 = 37.8 m"),
    Row("length", {"r1": "0.62", "rn": "0.62"}, ("stands for 84 m",), "leads not nulled", "0.62/7.41 = 83.7 m"),
    Row("equal-ends", {"r2": "0.44"}, ("all read 0.44 Ω", "should be 0.72 Ω"), "one reading written down",
        "0.44 × 12.10/7.41 = 0.72 Ω"),
    Row("step-two-flat", {f"ring-two/{p}": v for p, v in zip(SOCKETS, ("0.10", "0.14", "0.18", "0.20", "0.22", "0.22",
        "0.20", "0.17", "0.13", "0.09"), strict=True)}, ("0.09 Ω at S10", "0.22 Ω at S5", "0.13 Ω apart"),
        "the legs not crossed", "straight links grow from the board to the middle"),
    Row("step-two-flat", {"ring-two/S7": "0.31"}, ("0.31 Ω at S7", "0.09 Ω apart"), "a spur", "6 m of 2.5 mm² twice"),
    Row("step-two-quarter", every("ring-two", "0.40"), ("0.40 Ω everywhere", "is 0.22 Ω", "0.18 Ω apart"),
        "leads not nulled", "(0.44 + 0.44)/4 = 0.22 Ω"),
    Row("zs-above-sum", {"zs/S5": "0.85"}, ("Zs at S5 reads 0.85 Ω", "above Ze + (R1+R2) of 0.64 Ω", "0.21 Ω apart"),
        "uplift", "0.35 + 0.29 = 0.64 Ω"),
    Row("zs-above-sum", {"zs/S5": "1.40"}, ("0.76 Ω apart",), "a loose joint", "more than an uplift of 0.5 Ω"),
    Row("zs-below-sum", {"zs/S5": "0.50"}, ("below Ze + (R1+R2) of 0.64 Ω", "0.14 Ω apart"), "parallel paths",
        "0.35 + 0.29 = 0.64 Ω"),
    Row("zs-below-ze", {"zs/S1": "0.25"}, ("reads 0.25 Ω, less than Ze with 0.35 Ω", "0.10 Ω apart"), "parallel paths",
        "a part is never less than the whole"),
    Row("fault-current", {"fault-current/L-E": "1.90"}, ("reads 1.90 kA", "makes 0.66 kA", "1.24 kA apart"),
        "parallel paths", "230/0.35 = 657 A"),
    Row("fault-current", {"fault-current/L-E": "0.30"}, ("0.36 kA apart",), "a poor joint", "230/0.35 = 657 A"),
    Row("equal-zs", every("zs", "0.55"), ("0.55 Ω at all 10 points",), "one reading written down",
        "from 0.35 + 0.13 at S1 to 0.35 + 0.29 at S5"),
    Row("equal-insulation", {f"insulation/{p}": "47.20" for p in ("L-N", "L-E", "N-E")}, ("47.20 MΩ to the digit",),
        "one reading written down", "three pairs of different length and surface"),
    Row("below-null", {"null": "0.02", "ring-two/S1": "0.01"}, ("step two at S1 reads 0.01 Ω", "0.01 Ω apart"),
        "a link left in", "copper has more than the leads that read it"),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.name}: {row.first}")
def test_a_disagreement_is_said_with_size_causes_and_next_test(row: Row) -> None:
    """Given readings give a sentence: what disagrees, by how much, the likeliest cause first, what to do next."""
    assert row.source
    readings = healthy(JOB)
    for key, value in row.given.items():
        unit = UNITS.get(key.partition("/")[0], "ohm")
        readings[key] = Reading.measured(Decimal(value), unit, resolution=Decimal("0.01"))

    found = checks(JOB, readings)[row.name]
    said = f"{found.disagrees}: {found.by} apart"

    assert all(part in said for part in row.parts), said
    assert found.causes[0].startswith(row.first)
    assert found.next_test
    assert set(found.reads) <= set(readings)
    assert found.sentence.startswith(found.disagrees)
    assert found.sentence.endswith(f"Next: {found.next_test}.")


@pytest.mark.parametrize("name", ["saltmarsh-kr1-way-4", "ring-37m", "radial-5", "supervised"])
def test_a_sound_circuit_is_silent(name: str) -> None:
    """What instruments show on the sound circuit of each card disagrees nowhere, equal step-two readings included."""
    job = job_of(name)

    assert checks(job, healthy(job)) == {}


def test_equal_readings_are_said_only_where_they_should_differ() -> None:
    """Ten equal step-two readings are right; ten equal loop readings are not; nor is a digit of step three too few."""
    readings = healthy(JOB)
    assert len({readings[f"ring-two/{point}"].value for point in SOCKETS}) == 1

    flat = checks(JOB, {**readings, **{f"ring-three/{point}": low("0.29") for point in SOCKETS}})

    assert "equal-ring-three" not in flat


def test_a_taper_that_shows_makes_equal_step_three_readings_odd() -> None:
    """On 100 m of 4/1.5 mm² step three falls by some hundredths; the same digit everywhere is then said."""
    circuit = replace(JOB.card.circuit, line_mm2=Decimal(4), length_m=Known(Decimal(100), How.RECORD))
    job = replace(JOB, card=replace(JOB.card, circuit=circuit))
    readings = {f"ring-three/{point}": low("0.40") for point in SOCKETS}

    assert "equal-ring-three" in checks(job, readings)


def test_a_reading_off_the_scale_takes_no_part() -> None:
    """An open end has no number: nothing is divided by it or compared with it."""
    readings = {**healthy(JOB), "r1": Reading.over_range(Decimal("99.9"), "ohm")}

    assert not {"r2-to-r1", "length", "equal-ends", "step-two-quarter"} & set(checks(JOB, readings))


def test_a_radial_is_held_against_its_length() -> None:
    """R1+R2 of a radial far above its length is said at the point that lies farthest off."""
    job = job_of("radial-5")
    readings = healthy(job)
    worst = max((key for key in readings if key.startswith("cpc/")), key=lambda key: readings[key].value or 0)
    value = readings[worst].value
    assert value is not None

    found = checks(job, {**readings, worst: low(str(value + Decimal("0.40")))})

    assert found["radial-length"].by == "0.40 Ω"
    assert worst.partition("/")[2] in found["radial-length"].disagrees


def test_the_tolerance_is_that_of_the_limits_file() -> None:
    """A ring tolerance of 0.20 Ω in the settings silences a spread of 0.09 Ω that 0.05 Ω does not."""
    readings = {**healthy(JOB), "ring-two/S7": low("0.31")}
    wide = replace(JOB, limits=replace(JOB.limits, settings={**JOB.limits.settings, "ring-tolerance": "0.20"}))

    assert "step-two-flat" in checks(JOB, readings)
    assert "step-two-flat" not in checks(wide, readings)


def test_the_same_readings_give_the_same_words() -> None:
    """Whatever order the readings come in, the words are the same: a replay shows what was shown."""
    readings = {**healthy(JOB), "r2": low("1.33"), "zs/S5": low("0.85")}
    turned = dict(reversed(list(readings.items())))

    assert cross_checks(readings, inputs_of(JOB, {})) == cross_checks(turned, inputs_of(JOB, {}))


def test_the_cross_checks_hold_no_float() -> None:
    """No float literal, no float() and no true division of whole numbers stands in these modules."""
    folder = Path(ferrule.engine.electrics.__file__ or "").parent
    for path in sorted(folder.glob("cross*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            assert not (isinstance(node, ast.Constant) and isinstance(node.value, float)), path.name
            assert not (isinstance(node, ast.Name) and node.id == "float"), path.name
