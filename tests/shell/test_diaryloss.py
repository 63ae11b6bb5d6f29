"""No acknowledged line of a diary or of the logs beside it is lost by a power loss."""

import pytest

from ferrule.engine.shell.diaryfile import DiaryWriter
from tests.shell.diaryloss import survey_diary


def test_power_loss_at_every_call_keeps_logs_and_diary() -> None:
    """Two jobs with their diary, power lost at any call of them, and at some of the next start: every acknowledged
    line is there, each log has its line again, and each torn end is set aside and named. Shows: IR-01, IR-02."""
    result = survey_diary(every=480)

    assert result.complaints == []
    assert len(result.states) >= 1_000


@pytest.mark.nightly
def test_power_loss_in_every_recovery_keeps_logs_and_diary() -> None:
    """The same with a second power loss at every call of every tenth recovery. Shows: IR-01, IR-02."""
    result = survey_diary(every=10)

    assert result.complaints == []
    assert len(result.states) >= 10_000


def test_a_diary_that_is_not_synced_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without its sync the same survey, over one job, complains: it does see what the diary loses. Shows: IR-01."""
    assert survey_diary(every=10**9, jobs=1).complaints == []
    monkeypatch.setattr(DiaryWriter, "_sync", lambda _self: None)

    assert survey_diary(every=10**9, jobs=1).complaints
