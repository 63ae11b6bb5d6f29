"""What disagrees is found once for the same readings, and is the same as when it is found anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell import session as shell
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import PRACTICE, Session
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import State
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD, DAY
from tests.support.walker import Walker


def test_disagreements_are_found_once_for_the_same_readings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Along a whole job every situation equals one worked out anew; remarks and ticks compare nothing again."""
    folders, clock = find_folders(tmp_path), FakeClock(DAY)
    found = find_job(CARD, folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode=PRACTICE, operator="tech")
    real, compared = shell.disagreements, []

    def counted(job: Job, state: State) -> tuple[str, ...]:
        compared.append(state.entries)
        return real(job, state)

    monkeypatch.setattr(shell, "disagreements", counted)
    walker = Walker.begin(found.job)
    while (command := walker.healthy()) is not None:
        clock.advance(max(0, command.at.ms - session.now_ms()))
        session.submit(command)
        walker.give(command)
        anew = situation(session.job, session.state, session.now_ms(), clock.wall())
        assert session.situation() == anew
    before = len(compared)
    session.situation()
    session.close()

    assert len(compared) == before
    assert 0 < before < session.state.entries / 2
    assert session.state.outcome == "complete"
