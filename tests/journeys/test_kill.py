"""The program is killed while somebody works; what it said was saved is there, and the walk goes on."""

from __future__ import annotations

import os
import random
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from ferrule.engine.shell.store import read_only
from tests.support.jobs import REFERENCE, job_of
from tests.support.script import healthy_script

START = "import sys; from ferrule.tui.cli import main; sys.exit(main(sys.argv[1:]))"
WAITS = re.compile(r"^wait-")


def lines_before_a_wait() -> list[str]:
    """Return the sound script up to its first wait, which a test does not wait out."""
    lines: list[str] = []
    for line in healthy_script(job_of()).lines:
        if WAITS.match(line):
            break
        lines.append(line)
    return lines


def run_until_killed(home: Path, job: str, lines: list[str], saved: int) -> list[int]:
    """Type lines into the real program and kill it once it has said so many entries saved; return those numbers."""
    program = subprocess.Popen(
        [sys.executable, "-c", START, "walk", job, "--plain", "--practice", "--home", str(home)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert program.stdin is not None
    assert program.stdout is not None
    program.stdin.write("".join(f"{line}\n" for line in lines))
    program.stdin.flush()
    numbers: list[int] = []
    for out in program.stdout:
        found = re.search(r"Saved as entry (\d+)", out)
        if found:
            numbers.append(int(found.group(1)))
            if len(numbers) >= saved:
                break
    os.kill(program.pid, signal.SIGKILL)
    for pipe in (program.stdin, program.stdout):
        try:
            pipe.close()
        except BrokenPipeError:
            continue
    program.wait()
    return numbers


def entries_of(home: Path) -> list[str]:
    """Return the steps of the answers that the one log holds, in order."""
    (log,) = (home / "practice").glob("[0-9]*.jsonl")
    return [
        event["step"]
        for entry in read_only(log).entries
        if entry.kind == "did"
        for event in entry.data["events"]
        if event["event"] == "answered"
    ]


@pytest.mark.slow
def test_killed_at_any_moment_nothing_confirmed_is_lost(tmp_path: Path) -> None:
    """Killed again and again at random, each start goes on at the step where the last one was killed.

    Shows: IR-01
    """
    chance = random.Random(7)
    lines = lines_before_a_wait()
    job, told, kills = REFERENCE, 0, 0
    while lines and kills < 12:
        numbers = run_until_killed(tmp_path, job, lines, chance.randint(1, 3))
        kills += 1
        told = max([told, *numbers])
        (log,) = (tmp_path / "practice").glob("[0-9]*.jsonl")
        job = str(log)
        held = sum(1 for entry in read_only(log).entries if entry.kind == "did")
        assert held >= told
        done = set(entries_of(tmp_path))
        lines = [line for line in lines if line.partition(":")[0].strip() not in done or line.endswith(": start")]
    steps = entries_of(tmp_path)

    assert kills >= 5
    assert len(steps) == len(set(steps))
