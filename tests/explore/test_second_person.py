"""A second person looks for themselves; alone it is a second look and never called independent."""

from dataclasses import replace
from pathlib import Path

from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.logfile import read_only
from ferrule.engine.shell.session import PRACTICE, Session
from ferrule.engine.shell.sets import find_job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.place import step_at
from tests.support.fakeclock import FakeClock
from tests.support.jobs import REFERENCE, card_path, job_of
from tests.support.walker import Walker


def at_second_look(name: str) -> Walker:
    """Return a walk that stands at its verify step."""
    walker = Walker.begin(job_of(name))
    for _ in range(40):
        step = step_at(walker.job, walker.state.step)
        if step is not None and step.kind == "verify":
            return walker
        walker.give(walker.healthy())  # type: ignore[arg-type]
    raise AssertionError("no verify step was reached")


def test_supervised_the_doer_cannot_verify_their_own_work() -> None:
    """Under supervision the one who does the work is refused at the second look, and the supervisor is taken.

    Shows: VR-01, VR-07
    """
    walker = at_second_look("supervised")
    answer = walker.answer()
    own = c.Answer(walker.state.operator, answer.at, answer.step, answer.cells)
    refused = walker.give(own)

    assert isinstance(refused, Refusal)
    assert refused.code == "same-person"
    assert not isinstance(walker.give(walker.answer()), Refusal)


def test_alone_the_second_look_is_named_a_self_check() -> None:
    """Alone the same person looks again, and the entry says so.

    Shows: VR-08
    """
    walker = at_second_look(REFERENCE)
    walker.give(walker.answer())
    answered = [event for event in walker.trail[-1][1] if isinstance(event, e.Answered)]

    assert [a.self_check for a in answered] == [True]


def test_a_second_look_names_the_thing_anew_or_is_not_taken() -> None:
    """Without one of the marks of board and way the look is refused, and its place is pointed at.

    Shows: VR-03
    """
    walker = at_second_look("supervised")
    answer = walker.answer()
    assert {cell.cell for cell in answer.cells} == {"board", "way"}
    for left_out in answer.cells:
        kept = tuple(cell for cell in answer.cells if cell is not left_out)
        for cells in (kept, (*kept, replace(left_out, entered=" "))):
            found = walker.give(replace(answer, cells=cells))
            assert isinstance(found, Refusal)
            assert (found.code, found.cell) == ("answer", left_out.cell)


def test_the_log_of_a_second_look_holds_what_was_wanted_and_what_was_read(tmp_path: Path) -> None:
    """What was read stands in the entry, also where it is another mark; what was wanted in the card of the same log.

    Shows: VR-03
    """
    folders, clock = find_folders(tmp_path), FakeClock("2026-11-25T09:30:00.000+00:00")
    found = find_job(str(card_path("supervised")), folders)
    session = Session.open_new(found, folders=folders, clock=clock, mode=PRACTICE, operator="tech")
    for command, _ in (walker := at_second_look("supervised")).trail:
        clock.advance(max(0, command.at.ms - session.now_ms()))
        session.submit(command)
    answer = walker.answer()
    other = tuple(replace(cell, entered="9") if cell.cell == "way" else cell for cell in answer.cells)
    taken = session.submit(replace(answer, at=session.stamp(), cells=other))
    session.close()
    entries = read_only(session.path).entries
    (read,) = (event for event in entries[-1].data["events"] if event["event"] == "answered")
    (card,) = (text["text"] for text in entries[0].data["texts"] if text["role"] == "card")

    assert taken.refusal is None
    assert entries[-1].data["person"] == "super"
    assert {cell["cell"]: (cell["entered"], cell["outcome"]) for cell in read["cells"]} == {
        "board": (walker.job.card.board, "pass"),
        "way": ("9", "fail"),
    }
    assert f'way: "{walker.job.card.way}"\n' in card
    assert f"board: {walker.job.card.board}\n" in card
