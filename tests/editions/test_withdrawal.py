"""A job whose day lies past the withdrawal of its edition says so, at the opening and at each moment after."""

from __future__ import annotations

from pathlib import Path

import pytest

from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import Session
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.notices import edition_notice
from ferrule.engine.walk.situation import situation
from tests.editions.editions import ALL, INTERNATIONAL, UK_BEFORE, UK_NOW, job_under, limits_of
from tests.support.fakeclock import FakeClock
from tests.support.jobs import card_path, job_of
from tests.support.plainrun import CARD


@pytest.mark.parametrize(
    ("name", "today", "warns"),
    [
        (UK_NOW, "2026-10-14", False),
        (UK_NOW, "2026-10-15", True),
        (UK_NOW, "2026-11-25", True),
        (UK_NOW, "", False),
        (UK_BEFORE, "2015-06-30", False),
        (UK_BEFORE, "2026-01-01", True),
        (INTERNATIONAL, "2099-01-01", False),
    ],
)
def test_the_day_of_withdrawal_is_the_first_day_of_the_warning(name: str, today: str, warns: bool) -> None:
    """Before that day nothing is said; from it on the edition, its day and today stand in the sentence."""
    found = edition_notice(limits_of(name), today)

    assert bool(found) is warns
    if warns:
        assert all(part in found for part in (limits_of(name).edition, limits_of(name).withdrawn_on, today))


def test_the_situation_carries_the_warning_and_shuts_nothing() -> None:
    """The notice stands in the situation; what may be done is the same with it and without."""
    job = job_under(limits_of(UK_BEFORE))
    late, silent = (situation(job, start(job, "tech"), 0, today) for today in ("2026-11-25", ""))

    assert len(late.notices) == 1
    assert "BS 7671:2008" in late.notices[0]
    assert silent.notices == ()
    assert late.edition == "BS 7671:2008"
    assert late.may == silent.may
    assert late.step == silent.step


@pytest.mark.parametrize(("day", "warns"), [("2026-10-14", 0), ("2026-11-25", 1)])
def test_a_session_says_it_at_the_opening(tmp_path: Path, day: str, warns: int) -> None:
    """The first thing that an opened job shows tells of the withdrawn edition, by the day of the device's clock."""
    folders, clock = find_folders(tmp_path), FakeClock(f"{day}T09:30:00.000+00:00")
    found = find_job(CARD, folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode="practice", operator="tech")

    assert len(session.situation().notices) == warns
    assert found.job.limits.edition == job_of().limits.edition
    session.close()


def test_the_edition_is_frozen_with_the_job(tmp_path: Path) -> None:
    """The log's opening holds the limits that the card named and no other; the job taken up again stands on them."""
    folders, clock = find_folders(tmp_path), FakeClock("2026-11-25T09:30:00.000+00:00")
    card = tmp_path / "card.yaml"
    card.write_text(card_path(CARD).read_text("utf-8").replace(f"limits: {UK_NOW}", f"limits: {UK_BEFORE}"), "utf-8")
    found = find_job(str(card), folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode="practice", operator="tech")
    session.close()
    again = Session.resume(session.path, folders=folders, clock=clock)
    again.close()
    opening = session.path.read_text("utf-8").splitlines()[0]

    assert [name for name in ALL if f"title: {limits_of(name).title}\\n" in opening] == [UK_BEFORE]
    assert [name for name in ALL if f"limits: {name}\\n" in opening] == [UK_BEFORE]
    assert again.job.limits == limits_of(UK_BEFORE)
    assert again.situation().edition == "BS 7671:2008"
