"""`ferrule expect`: the reference job's sheet, what it rests on, and how each figure of a card moves it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from ferrule.engine.electrics.limits import Outcome
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.lists import function_of
from ferrule.engine.quantity.reading import Reading
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.sets import find_job, packaged_set
from ferrule.engine.walk.cells import inputs_of, judge_cell, slots_of
from ferrule.engine.walk.place import holds
from ferrule.tui.expect_command import Line, sheet
from tests.support.plainrun import CARD, only_log, run, walk
from tests.support.script import Choices, circuit_instrument, healthy_script

CARD_TEXT = (packaged_set() / "cards" / f"{CARD}.yaml").read_text(encoding="utf-8")
OWN_CARDS = Path(__file__).parents[1] / "cases" / "cards"


def by_key(job: Job) -> dict[str, Line]:
    """The sheet's lines by where the reading is kept, of places that expect something or have a limit."""
    return {line.key: line for line in sheet(job, {}) if line.key}


def rounded(job: Job, start: str) -> dict[str, str]:
    """What to expect at every point of one round."""
    return {
        line.point: line.rounded for key, line in by_key(job).items() if key.startswith(f"{start}/") and line.rounded
    }


def ends(text: str) -> list[Decimal]:
    """The numbers of `0.47 to 0.63` or `0.64`."""
    return [Decimal(part) for part in text.split(" to ")]


# --- the reference job ---


def test_the_sheet_of_the_reference_job_is_the_healthy_row(job: Job) -> None:
    """r1, rn, r2 0.44, 0.44, 0.73; step two 0.22 at all; step three 0.28 (S1, S10) to 0.29 (S5); Zs 0.47 to 0.64 (S5).

    Own calculation of the training ring: 60 m of 2.5/1.5 with ten sockets.
    """
    lines = by_key(job)
    three, zs = rounded(job, "ring-three"), rounded(job, "zs")

    assert [lines[key].rounded for key in ("r1", "rn", "r2")] == ["0.44", "0.44", "0.73"]
    assert set(rounded(job, "ring-two").values()) == {"0.22"}
    assert (three["S1"], three["S5"], three["S10"]) == ("0.28", "0.29", "0.28")
    assert set(three.values()) == {"0.28", "0.29"}
    assert min(min(ends(text)) for text in zs.values()) == Decimal("0.47")
    assert zs["S5"] == "0.64"
    assert max(max(ends(text)) for text in zs.values()) == Decimal("0.64")


def test_the_limits_of_the_reference_job_are_exact(job: Job) -> None:
    """Zs up to 1.096 Ω, trip time up to 300 ms, volts from 216.2 to 253 V, each by number and with its source."""
    lines = by_key(job)
    zs, ms = (next(line for key, line in lines.items() if key.startswith(start)) for start in ("zs/", "residual"))
    volts = lines["as-found/L-N"]

    assert [stretch.high for stretch in zs.passes] == [Decimal("1.096")]
    assert [stretch.high for stretch in ms.passes] == [Decimal(300)]
    assert [(stretch.low, stretch.high) for stretch in volts.passes] == [(Decimal("216.2"), Decimal(253))]
    assert all(line.source for line in lines.values())


def test_every_judged_place_of_the_job_is_on_the_sheet(job: Job) -> None:
    """Each cell of a step that applies and expects or judges something has its line, at every point of its round."""
    wanted = {
        (procedure.id, step.id, slot.cell.id, slot.point)
        for procedure in job.procedures.values()
        for step in procedure.steps
        if holds(step.when, job.card_facts)
        for slot in slots_of(job, step)
        if slot.cell.judge or slot.cell.expect
    }
    found = {(line.procedure, line.step, line.cell, line.point) for line in sheet(job, {})}
    ruled_out = {name for name, *_ in wanted - found}

    assert {"ring-step-one", "ring-step-two", "ring-step-three", "read-loop", "insulation"} <= {
        name for name, *_ in found
    }
    assert "protective-conductor-radial" in ruled_out
    assert ruled_out <= {
        goal.by for goal in (*job.plan.goals, *job.plan.suppliers) if not holds(goal.when, job.card_facts)
    }


def test_a_radial_has_no_ring_on_its_sheet() -> None:
    """The sheet of a radial expects R1+R2 at each point and nothing of a ring."""
    ran = run("expect", str(OWN_CARDS / "radial-5.yaml"), "--json")
    names = {line["procedure"] for line in json.loads(ran.out)["lines"]}

    assert ran.code == 0
    assert "protective-conductor-radial" in names
    assert not [name for name in names if name.startswith("ring-")]


# --- the command ---


def test_the_command_writes_a_table_and_json(home: Path) -> None:
    """The table names the job, each place with its expected value and limit; the JSON has the same places."""
    text, found = (run("expect", CARD, "--home", str(home), *more) for more in ((), ("--json",)))
    lines: list[dict[str, Any]] = json.loads(found.out)["lines"]

    assert (text.code, found.code) == (0, 0)
    assert f"{len(lines)} places." in text.out
    row = next(line for line in text.out.splitlines() if line.startswith("  Line leg 1 to line leg 2"))
    assert " ".join(row.split()) == "Line leg 1 to line leg 2 0.44 Ω difference up to 0.05 Ω"
    r1 = next(line for line in lines if line["key"] == "r1")
    assert r1["expected"] == {"low": "0.44460", "high": "0.44460", "unit": "ohm", "rounded": "0.44"}
    assert r1["believable"] == "0.15 to 1.33"
    assert all(line["source"] for line in lines)


def test_what_is_not_known_yet_says_why(home: Path) -> None:
    """The length that r1 stands for needs an r1; the sheet says so instead of leaving a hole."""
    ran = run("expect", CARD, "--home", str(home))

    assert "not known yet: No r1 has been read as a plain number." in ran.out


def test_a_card_that_is_not_there_is_unreadable(home: Path) -> None:
    """A job that does not exist ends with 66 and names the example cards."""
    ran = run("expect", "saltmarsh-kr2", "--home", str(home))

    assert ran.code == 66
    assert CARD in ran.err


def test_the_sheet_of_a_log_rests_on_its_readings(home: Path, job: Job) -> None:
    """Once r1 was read, the length that it stands for is on the sheet."""
    script = healthy_script(job, Choices(circuit_instrument(job)))
    assert walk(home, script).code == 0
    log = str(only_log(home))

    lines = json.loads(run("expect", log, "--home", str(home), "--json").out)["lines"]

    length = next(line for line in lines if line["what"].startswith("Length that"))
    assert length["expected"] is not None


# --- each figure of the card in turn ---

Change = Callable[[str], str]


def moved(tmp_path: Path, folders: Folders, old: str, new: str) -> Job:
    """The job of the card with one text replaced, which must stand there just once or at every terminal."""
    assert old in CARD_TEXT
    path = tmp_path / "moved.yaml"
    path.write_text(CARD_TEXT.replace(old, new), encoding="utf-8")
    return find_job(str(path), folders).job


@pytest.mark.parametrize(
    ("old", "new", "key", "part"),
    [
        ("length: 60 m", "length: 66 m", "r1", "expected"),
        ("length: 60 m", "length: 66 m", "ring-two/S5", "expected"),
        ("line: 2.5 mm2", "line: 4 mm2", "rn", "expected"),
        ("protective: 1.5 mm2", "protective: 2.5 mm2", "ring-three/S5", "expected"),
        ("protective: 1.5 mm2", "protective: 1 mm2", "r2", "limit"),
        ("external impedance: 0.35 ohm", "external impedance: 0.20 ohm", "zs/S5", "expected"),
        ("external impedance: 0.35 ohm", "external impedance: 0.20 ohm", "fault-current/L-N", "expected"),
        ("curve: B", "curve: C", "zs/S5", "limit"),
        ("rating: 32 A", "rating: 20 A", "zs/S5", "limit"),
        ("residual: 30 mA", "residual: 100 mA", "diagnostic/leakage", "limit"),
        ("delayed: false", "delayed: true", "residual", "limit"),
        ("breaking: 10 kA", "breaking: 6 kA", "fault-current/L-N", "limit"),
        ("nominal: 230 V", "nominal: 240 V", "as-found/L-N", "limit"),
        ("earthing: TN-C-S", "earthing: TT", "zs/S5", "limit"),
        ('at: "28 m, record"', 'at: "24 m, record"', "zs/S5", "expected"),
        ("torque: 1.2 Nm", "torque: 1.4 Nm", "torque/neutral-bar", "limit"),
        ("error: 6 %", "error: 4 %", "torque/load-line", "limit"),
        ("marks: 0.1 Nm", "marks: 0.05 Nm", "torque/load-line", "expected"),
    ],
)
def test_one_figure_of_the_card_moves_what_it_should(
    job: Job, folders: Folders, tmp_path: Path, old: str, new: str, key: str, part: str
) -> None:
    """Change one figure of the card, and the expected value or the limit that rests on it changes."""
    before, after = by_key(job), by_key(moved(tmp_path, folders, old, new))
    first, second = (next(line for name, line in lines.items() if name.startswith(key)) for lines in (before, after))

    if part == "expected":
        assert (first.low, first.high) != (second.low, second.high)
    else:
        assert first.passes != second.passes


def test_the_room_temperature_moves_the_sheet_where_the_edition_asks_for_it(job: Job) -> None:
    """At 30 °C r1 is expected 3.93 % higher with the correction on, and the same with it off."""
    warm = replace(job, card=replace(job.card, temperature_c=replace(job.card.temperature_c, value=Decimal(30))))
    settings = {**job.limits.settings, "temperature-correction": "on"}

    def corrected(one: Job) -> Job:
        return replace(one, limits=replace(one.limits, settings=settings))

    cold, hot = (by_key(corrected(one))["r1"].low for one in (job, warm))
    assert cold is not None
    assert hot == cold * Decimal("1.0393")
    assert by_key(warm)["r1"].low == by_key(job)["r1"].low


def test_the_instruments_error_moves_the_verdict(job: Job, folders: Folders, tmp_path: Path) -> None:
    """1.04 Ω against 1.096 Ω is a conditional pass with 5 % and 5 digits, and a pass with 1 % and 1 digit."""
    old = 'function: loop, resolution: 0.01 ohm, full scale: 2000 ohm, error: "5 % + 5 digits"'
    better = moved(tmp_path, folders, old, old.replace("5 % + 5 digits", "1 % + 1 digits"))

    assert [verdict_on(one, "zs/S5", "1.04") for one in (job, better)] == [Outcome.CONDITIONAL_PASS, Outcome.PASS]


def verdict_on(job: Job, key: str, number: str) -> Outcome:
    """The verdict of the walk on a reading, at the place where it is kept."""
    slot = next(
        slot
        for procedure in job.procedures.values()
        for step in procedure.steps
        for slot in slots_of(job, step)
        if slot.key == key
    )
    owner = function_of(job.card, slot.cell.function)
    assert owner is not None
    reading = Reading.measured(Decimal(number), owner[1].unit, resolution=owner[1].resolution)
    verdict = judge_cell(job, inputs_of(job, {}), slot, reading, owner[1])
    assert verdict is not None
    return verdict.outcome
