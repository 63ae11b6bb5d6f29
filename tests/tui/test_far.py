"""The far view: large letters that keep to their room, one key there and back, and nothing recorded from it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.text import width
from ferrule.engine.walk import commands as c
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import State
from ferrule.tui.demand import Demand
from ferrule.tui.pictures.base import ASCII, BOX, Signs
from ferrule.tui.pictures.letters import large, plainly, set_in_lines, tall, wide
from ferrule.tui.screens.draft import Draft
from ferrule.tui.screens.far import far_lines
from ferrule.tui.screens.stages import Look
from tests.tui.fakes import FakeSession, app_of, text_of
from tests.tui.keys import press
from tests.tui.small_job import at

SIGNS = pytest.mark.parametrize("signs", [BOX, ASCII], ids=["box", "ascii"])
EVERY_SIGN = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:;!?-_+/()<>=%'\"*~#[]"


def drawn(text: str, signs: Signs = BOX) -> str:
    """A text in large letters, as one block."""
    return "\n".join(large(plainly(text), signs))


@SIGNS
def test_every_letter_has_its_own_shape(signs: Signs) -> None:
    """No two signs look the same, so that a digit is not taken for a letter or for another digit."""
    shapes = {sign: large(sign, signs) for sign in EVERY_SIGN}
    frame = large("\N{SNOWMAN}", signs)

    assert len(set(shapes.values())) == len(EVERY_SIGN)
    assert frame not in shapes.values()
    assert all(any(row.strip() for row in shape) for shape in shapes.values())


@SIGNS
@pytest.mark.parametrize("cells", [58, 78, 118])
def test_large_text_keeps_to_its_room(signs: Signs, cells: int) -> None:
    """Text in large letters is never wider than its room, and a cut leaves a mark. Shows: HI-13."""
    text = plainly("Measure the resistance of the protective conductor, 0.42 Ω, " + "x" * 90)
    lines = set_in_lines(text, cells, 3)

    assert len(lines) == 3
    assert lines[-1].endswith("~")
    assert all(wide(line) <= cells for line in lines)
    assert all(width(row) <= cells for line in lines for row in large(line, signs))
    assert all(len(large(line, signs)) <= tall(signs) for line in lines)
    assert set_in_lines("ONE TWO", cells, 3) == ("ONE TWO",)


def test_signs_of_the_trade_are_spelled() -> None:
    """A unit is spelled, an accent left off, a hidden sign named, and what has no drawing here stays one sign."""
    assert plainly("0.42 Ω é") == "0.42 OHM E"
    assert plainly("a\x1bb") == "A<U+001B>B"
    assert plainly("\N{SNOWMAN}") == "\N{SNOWMAN}"


def look_at(job: Job, state: State) -> Look:
    """What the far view is drawn from at a state."""
    found = situation(job, state, 720_000)
    places = found.step.cells if found.step is not None else ()
    return Look(job, found, Draft(job, tuple(places)), None, Demand("3"))


@SIGNS
@pytest.mark.parametrize("size", [(58, 16), (78, 20), (118, 32)], ids=str)
def test_far_view_says_step_and_what_was_found(tiny: Job, size: tuple[int, int], signs: Signs) -> None:
    """Step, signal word and finding are in the far view at each size, within its room. Shows: SP-05, INV-46."""
    cells, height = size
    lines = far_lines(look_at(tiny, at(tiny, "danger")), 720_000, cells, height, signs)
    shown = "\n".join(lines)

    assert len(lines) <= height
    assert all(width(row) <= cells for row in lines)
    assert drawn("NOW 2/12 !!!", signs).split("\n")[0] in shown
    assert "NO VOLTAGE FOUND 12 MIN AGO" in shown or drawn("FOUND", signs).split("\n")[0] in shown


@pytest.mark.parametrize("zone", ["busbar", "circuit"])
@pytest.mark.parametrize("value", ["unproved", "live"])
def test_far_view_warns_where_one_zone_is_not_proved(tiny: Job, zone: str, value: str) -> None:
    """One zone that is not proved is enough: the far view says that nothing is to be touched. Shows: INV-46."""
    state = at(tiny, "do")
    state = replace(state, facts={**state.facts, f"zone:{zone}": value})
    lines = far_lines(look_at(tiny, state), 720_000, 78, 20, BOX)

    assert drawn("TOUCH NOTHING") in "\n".join(lines)
    stopped = replace(state, facts={**state.facts, "work": "stopped"})
    assert drawn("WORK STOPPED") in "\n".join(far_lines(look_at(tiny, stopped), 720_000, 78, 20, BOX))


def test_what_is_asked_is_named_until_it_is_chosen(tiny: Job) -> None:
    """A choice that is open is named by its question, and what was chosen stands in its place afterwards."""
    look = look_at(tiny, at(tiny, "several"))
    asked = "\n".join(far_lines(look, 720_000, 78, 20, BOX))
    look.draft.key("1", "1")
    look.draft.key("up", "")
    chosen = "\n".join(far_lines(look, 720_000, 118, 32, BOX))

    assert drawn("LOCK: ?") in asked
    assert drawn("LOCK: CLOSED,").split("\n")[0] in chosen


async def test_one_key_there_and_back(tiny: Job) -> None:
    """F6 shows the far view and goes back; head, hint and key line stay, what is typed is seen large and kept."""
    app = app_of(FakeSession(tiny, at(tiny, "measure")))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, *"0.4")
        await pilot.pause()
        before = text_of(app)
        await press(app, "f6", "2")
        await pilot.pause()
        far = text_of(app).split("\n")
        await press(app, "f6")
        await pilot.pause()
        after = text_of(app)

    assert far[0] == before.split("\n")[0]
    assert far[-1] == before.split("\n")[-1]
    assert drawn("0.42_ OHM").split("\n")[0] in "\n".join(far)
    assert after == before.replace("0.4_ ", "0.42_ ")


@pytest.mark.parametrize(
    ("step", "keys", "digit"), [("do", ("enter",), ""), ("danger", (), "3"), ("measure", (*"0.4", "enter"), "")]
)
async def test_no_answer_is_recorded_from_the_far_view(tiny: Job, step: str, keys: tuple[str, ...], digit: str) -> None:
    """No answer is recorded where its warnings cannot be read; back at the step the same key does. Shows: SP-01."""
    session = FakeSession(tiny, at(tiny, step))
    confirm = (digit,) if digit else ("enter",)
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "f6", *keys, *confirm)
        await pilot.pause()
        far = list(session.given)
        await press(app, "f6", *confirm)
        await pilot.pause()

    assert not far
    assert [type(x) for x in session.given] == [c.Answer]


async def test_a_question_waits_behind_the_far_view(tiny: Job) -> None:
    """What is asked stays open behind the far view and takes no key that nobody sees."""
    session = FakeSession(tiny, at(tiny, "do"))
    app = app_of(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(app, "f4", "a")
        await pilot.pause()
        await press(app, "f6", "b", "enter", "escape")
        await pilot.pause()
        assert not session.given
        await press(app, "f6", "c", "enter")
        await pilot.pause()

    assert [x.text for x in session.given if isinstance(x, c.Remark)] == ["ac"]
