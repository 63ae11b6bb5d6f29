"""The laptop in other hands: second looks without sight of what was read, signatures in person, and the way back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.tui.app import FerruleApp
from ferrule.tui.screens.turning import without_values
from tests.support.walker import Walker
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press, walk_of
from tests.tui.small_job import STEPS, at

READ_BEFORE = "“Line to neutral.” gave fail. 5.43 ohm is outside"


def supervised(tiny: Job, name: str = "verify", **more: Any) -> FakeSession:
    """A job under supervision at a step, with a second technician and a supervisor on its card."""
    mate = replace(tiny.card.people[0], id="mate", name="Clay Rib", roles=("technician",))
    boss = replace(mate, id="boss", name="Terra Kiln", roles=("supervisor",))
    card = replace(tiny.card, sign_off="supervised", people=(*tiny.card.people, mate, boss))
    job = replace(tiny, card=card)
    return FakeSession(job, at(job, name, **more))


def words_of(app: FerruleApp) -> str:
    """The screen as one line of words."""
    return " ".join(text_of(app).split())


async def test_second_look_is_taken_by_another_person(tiny: Job) -> None:
    """A second look asks who takes the laptop before anything is typed; who did the work is not offered.

    Shows: VR-01
    """
    session = supervised(tiny)
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = words_of(app)
        await press(app, "1")
        await pilot.pause()
        asked = words_of(app)
        await press(app, "enter")
        await pilot.pause()
        kept = walk_of(app).turned
        await press(app, "1", "3", "enter")
        await pilot.pause()
        turned = words_of(app)
        await press(app, "1", "enter")
        await pilot.pause()
        back, person = words_of(app), walk_of(app).person

    assert "A second person looks here, with their own eyes." in before
    assert "Working alone" not in before
    assert "Who looks here?" in asked
    assert "Clay Rib" in asked
    assert "Ash Glaze (tech)" not in asked
    assert kept is None
    assert "Terra Kiln looks now, with their own eyes." in turned
    assert [(type(x), x.person) for x in session.given] == [(c.Answer, "boss")]
    assert "Hand the laptop back to Ash Glaze" in back
    assert person == "tech"


async def test_second_look_does_not_see_what_was_read(tiny: Job) -> None:
    """While the laptop is turned neither verdict, reason, path nor page names a reading of the first person.

    Shows: SP-08, VR-01
    """
    session = supervised(tiny)
    session.state = replace(session.state, why_here=READ_BEFORE)
    app = app_of(session)
    async with app.run_test(size=(80, 40)) as pilot:
        walk_of(app).say("Last: FAIL x 5.43 ohm")
        await pilot.pause()
        first = words_of(app)
        await press(app, "1", "2", "enter")
        seen = []
        for keys in ((), ("f3",), ("escape", "f5"), ("escape", "f2"), ("escape", "tab")):
            await press(app, *keys)
            await pilot.pause()
            seen.append(words_of(app))
        await press(app, "escape", "f11", "2", "enter")
        await pilot.pause()
        await press(app, "escape")
        await pilot.pause()
        back, person = words_of(app), walk_of(app).person

    assert first.count("5.43") == 2
    assert [text for text in seen if "5.43" in text] == []
    assert "without what was read" in seen[1]
    assert "5.43" in back
    assert not session.given
    assert person == "tech"


async def test_second_person_reads_marks_without_sight_of_the_card(tiny: Job) -> None:
    """While a second person reads the marks at the board the head names none of them; afterwards it does again.

    Shows: VR-01, SP-09
    """
    steps = tiny.procedures[STEPS].steps
    marks = next(step for step in steps if step.id == "type").cells
    rows = tuple(replace(step, cells=marks) if step.id == "verify" else step for step in steps)
    session = supervised(replace(tiny, procedures={STEPS: replace(tiny.procedures[STEPS], steps=rows)}))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = text_of(app).split("\n")[0]
        await press(app, "x", "2", "enter")
        await pilot.pause()
        turned = text_of(app).split("\n")[0]
        await press(app, *"4", "enter", "enter")
        await pilot.pause()
        after = text_of(app).split("\n")[0]

    assert "way 4" in before
    assert "hidden" in turned
    assert not {"KR1", "way 4"} & {part for part in ("KR1", "way 4") if part in turned}
    assert after == before
    assert [x.person for x in session.given] == ["mate"]


def test_no_figure_made_of_readings_is_left_to_a_second_person(job: Job) -> None:
    """What is expected and what passes may come from what the first person read, so neither is left, at any step."""
    walker = Walker.begin(job)
    bare = 0
    while (command := walker.healthy()) is not None:
        session = FakeSession(job, walker.state, now_ms=walker.now_ms)
        shown = session.situation()
        found = without_values(shown, session)  # type: ignore[arg-type]
        if found.step is not None and shown.step is not None:
            assert [cell.prompt for cell in found.step.cells] == [cell.prompt for cell in shown.step.cells]
            assert not any(
                (cell.value, cell.expected, cell.limit, cell.origins) != ("", "", "", ()) for cell in found.step.cells
            )
            bare += found.step != shown.step
        walker.give(command)

    assert bare > 10


async def test_path_of_a_turned_screen_strikes_nothing_out(tiny: Job) -> None:
    """The path of a second person shows the steps without results, and Enter on it strikes nothing out."""
    session = supervised(tiny, "observe")
    app = app_of(session)
    async with app.run_test(size=(80, 40)) as pilot:
        await press(app, "1", "enter")
        session.state = replace(session.state, step="small/verify")
        walk_of(app).renew()
        await press(app, "1", "2", "enter", "f3")
        await pilot.pause()
        path = words_of(app)
        await press(app, "enter")
        await pilot.pause()

    assert "Look at the lock." in path
    assert "pass" not in path.lower().replace("passed", "")
    assert not [x for x in session.given if isinstance(x, c.Correct)]


async def test_signature_of_another_person_is_theirs_to_give(tiny: Job) -> None:
    """Somebody else's signature hands the laptop over, shows what it rests on, and Enter alone does not sign.

    Shows: VR-07, HI-10
    """
    session = supervised(tiny, "hold")
    designer = replace(session.job.card.people[-1], id="draws", name="Slip Cast", roles=("designer",))
    others = [replace(p, roles=tuple(r for r in p.roles if r != "designer")) for p in session.job.card.people]
    people = (*others, designer)
    session.job = replace(session.job, card=replace(session.job.card, people=people))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "1", "enter")
        await pilot.pause()
        handed = words_of(app)
        await press(app, "enter")
        assert not session.given
        await press(app, "1", "enter", "2", "enter")
        await pilot.pause()
        after = words_of(app)

    assert "Hand the laptop to Slip Cast, designer" in handed
    assert "I am Slip Cast: I have looked, and sign as designer" in handed
    assert [(type(x), x.person) for x in session.given] == [(c.Sign, "draws")]
    assert "Hand the laptop back to Ash Glaze." in after


async def test_stop_while_turned_gives_the_laptop_back(tiny: Job) -> None:
    """A stop works from the turned screen too, in the second person's name; then the first one acts again."""
    session = supervised(tiny)
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "1", "2", "enter", "f12")
        await pilot.pause()
        shown, screen = words_of(app), walk_of(app)

    assert [(type(x), x.person) for x in session.given] == [(c.StopWork, "mate")]
    assert "WORK STOPPED" in shown
    assert (screen.turned, screen.person) == (None, "tech")
