"""An out-by-ten value typed into the real command line: held, confirmed, kept twice in the log, replayed alike."""

from __future__ import annotations

from pathlib import Path

from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.walk import events as e
from tests.support.jobs import job_of
from tests.support.plainrun import only_log, walk
from tests.support.script import Choices, circuit_instrument, healthy_script

STEP = "ring-step-one/read"


def test_a_slipped_point_is_typed_twice_and_stands_twice(tmp_path: Path) -> None:
    """4.40 for 0.44 is held with its sentence; confirmed, it is judged; the log holds both and replays alike.

    Shows: HI-08
    """
    job = job_of()
    shown = circuit_instrument(job, otherwise={"r1": "4.40"})
    script = healthy_script(job, Choices(instrument=shown, until=lambda w: w.state.step.startswith("find-")))
    ran = walk(tmp_path, script)
    replay = open_replay(only_log(tmp_path), find_folders(tmp_path))
    events = [event for n in range(1, replay.count + 1) for event in replay.at(n).events]
    (held,) = [event for event in events if isinstance(event, e.Doubted)]
    taken = [event for event in events if isinstance(event, e.Answered) and event.step == STEP]

    assert any("4.40 confirmed" in line for line in script.lines)
    assert "about ten times what is expected" in ran.err
    assert [cell.entered for cell in held.cells] == ["4.40"]
    assert [cell.entered for cell in taken[0].cells if cell.slot == "r1"] == ["4.40"]
    assert taken[0].word != "pass"
    assert replay.last.state.step.startswith("find-")


def test_a_line_with_a_held_value_leaves_only_that_place_open(tmp_path: Path) -> None:
    """What else was typed stands; the person is told how many values are held and how to keep one.

    Shows: HI-08
    """
    job = job_of()
    shown = circuit_instrument(job, otherwise={"ring-two/S3": "2.20"})
    script = healthy_script(job, Choices(instrument=shown, until=lambda w: w.state.step.startswith("find-")))
    ran = walk(tmp_path, script)

    assert "One value is held" in ran.out
    assert "At S3 ohm." in ran.err
    assert ran.err.count("Not taken") == 1
