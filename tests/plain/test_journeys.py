"""Whole jobs by typed lines, on every card at hand, sound and with something that goes wrong on the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import Folders
from ferrule.engine.shell.sets import find_job
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import DAY, Ran, only_log, run, walk
from tests.support.script import Choices, Script, TypedInput, circuit_instrument, healthy_script

CARDS = sorted((Path(__file__).parents[1] / "cases" / "cards").glob("*.yaml"))


def replayed(home: Path) -> Ran:
    """The replay of the one log."""
    return run("replay", str(only_log(home)), "--plain", "--home", str(home))


@pytest.mark.parametrize("card", CARDS, ids=lambda p: p.stem)
def test_every_card_walks_from_a_script_to_a_closed_log(card: Path, home: Path, folders: Folders) -> None:
    """Each card of the cases, whatever its circuit, earthing and sign-off, is walked whole and replays the same."""
    job = find_job(str(card), folders).job
    script = healthy_script(job, Choices(circuit_instrument(job)))
    clock = FakeClock(DAY)
    technician = script.walker.state.operator
    argv = ("walk", str(card), "--plain", "--practice", "--home", str(home), "--person", technician)
    ran = run(*argv, typed=TypedInput(script, clock), clock=clock)

    assert ran.code == 0, ran.err
    assert "The log is closed: complete." in ran.out
    assert replayed(home).code == 0


def stopped_at(job: Job, where: str, *lines: str) -> Script:
    """The script of a job in which these lines are typed when the walk first stands at a step."""
    return healthy_script(job, Choices(circuit_instrument(job), instead={where: lines}))


def test_work_that_is_stopped_goes_to_a_log_closed_as_made_safe(job: Job, home: Path) -> None:
    """After a stop with everything open the walk leads to a cover that is on, locks that stay, and a closed log."""
    script = stopped_at(job, "insulation/read", "stop because the cable is scorched")
    ran = walk(home, script)

    assert ran.code == 0, ran.err
    assert "Work was stopped: the cable is scorched" in ran.out
    assert "The log is closed: made safe." in ran.out
    assert replayed(home).code == 0


@pytest.mark.parametrize(
    ("where", "line", "again"),
    [
        ("ring-step-two/sockets", "report somebody had access: the potter", "prove-dead/pairs"),
        ("ring-step-three/sockets", "report leads changed: new clips", "null-leads/null"),
        ("clear-the-place/clear", "report terminal disturbed of load-line: knocked", "landing-earth/read"),
        ("read-loop/sockets", "report device tripped: at once", "insulation/read"),
    ],
    ids=["access", "leads", "terminal", "trip"],
)
def test_what_happens_on_the_way_is_done_again_and_the_job_closes(
    job: Job, home: Path, where: str, line: str, again: str
) -> None:
    """A report leads back to what it made void, and from there the job still comes to a closed log."""
    sound = healthy_script(job, Choices(circuit_instrument(job)))
    mended = "trip-on-closing/closing: was low, found and mended"
    typed = {where: (line,), "trip-on-closing/closing": (mended,)}
    script = healthy_script(job, Choices(circuit_instrument(job), instead=typed))
    ran = walk(home, script)

    assert ran.code == 0, ran.err
    assert "Reported by Ash Glaze" in ran.out
    assert "The log is closed: complete." in ran.out
    assert count(script, again) > count(sound, again)


def count(script: Script, where: str) -> int:
    """How many lines of a script answer a step."""
    return sum(line.startswith(f"{where}: ") for line in script.lines)


def test_a_correction_and_a_remark_are_lines_like_others(job: Job, home: Path) -> None:
    """A struck-out answer and a remark are taken between the steps, and the job still closes and replays."""
    sound = healthy_script(job, Choices(circuit_instrument(job)))
    entry = next(n for n, line in enumerate(sound.lines, 1) if line.startswith("main-bonding/null"))
    script = stopped_at(
        job, "protective-conductor-ring/null", "remark it rains in", f"correct {entry} because read on the wrong range"
    )
    ran = walk(home, script)

    assert ran.code == 0, ran.err
    assert f"Entry {entry} was struck out by Ash Glaze: read on the wrong range" in ran.out
    assert "Remark by Ash Glaze on “Null the display with the long lead in the circuit.”: it rains in" in ran.out
    assert "The log is closed: complete." in ran.out
    assert replayed(home).code == 0
