"""A reading that the limits file wants typed twice is taken when the second entry, made blind, is the same.

Shows: HI-09
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from ferrule.engine.findings import Level
from ferrule.engine.procedure.load import load_limits
from ferrule.engine.shell.sets import packaged_set
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.decide import decide, refused_events
from ferrule.engine.walk.doubts import DIFFERS, SECOND
from ferrule.engine.walk.evolve import advance
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import State
from tests.support.jobs import job_of
from tests.support.walker import Walker


@pytest.fixture(scope="module")
def at_the_loop() -> Walker:
    """The reference job at the loop readings, with second entry set in its limits."""
    walker = Walker.begin(job_of()).until("read-loop/sockets")
    walker.give(c.StampRound(walker.state.operator, walker.stamp(), walker.state.step, "start"))
    walker.give(c.StampRound(walker.state.operator, walker.stamp(), walker.state.step, "end"))
    limits = replace(walker.job.limits, settings={**walker.job.limits.settings, "second-entry": "loop-and-time"})
    walker.job = replace(walker.job, limits=limits)
    return walker


def typed_twice(walker: Walker) -> set[tuple[str, str]]:
    """Point and cell of the places that are typed twice."""
    step = situation(walker.job, walker.state, 0).step
    assert step is not None
    return {(view.point, view.cell) for view in step.cells if view.twice}


def loops(walker: Walker) -> dict[str, str]:
    """The loop readings of a sound answer, by point."""
    twice = typed_twice(walker)
    return {a.point: a.entered for a in walker.answer().cells if (a.point, a.cell) in twice}


def entered(walker: Walker, values: dict[str, str], *, again: bool) -> c.Answer:
    """The sound answer with these loop readings."""
    twice = typed_twice(walker)
    sound = walker.answer()
    cells = tuple(
        replace(a, entered=values[a.point], again=again) if (a.point, a.cell) in twice else a for a in sound.cells
    )
    return replace(sound, cells=cells)


def give(walker: Walker, state: State, command: c.Answer) -> tuple[State, Refusal | tuple[e.Event, ...]]:
    """The state once an answer was decided and folded, and what was decided."""
    found = decide(walker.job, state, command)
    if isinstance(found, Refusal):
        return advance(state, command, refused_events(found, state.step)), found
    return advance(state, command, found), found


def test_first_entry_is_held_and_its_value_is_not_said_again(at_the_loop: Walker) -> None:
    """Every loop reading is held once, and the sentence names none of the values."""
    values = loops(at_the_loop)
    _, found = give(at_the_loop, at_the_loop.state, entered(at_the_loop, values, again=False))

    assert isinstance(found, Refusal)
    assert {(doubt.point, doubt.sentence) for doubt in found.doubts} == {(point, SECOND) for point in values}
    assert len(values) == 10
    assert not any(value in found.reason for value in values.values())


def test_the_same_a_second_time_is_taken(at_the_loop: Walker) -> None:
    """Two equal entries make one answer."""
    values = loops(at_the_loop)
    state, _ = give(at_the_loop, at_the_loop.state, entered(at_the_loop, values, again=False))
    _, found = give(at_the_loop, state, entered(at_the_loop, values, again=True))

    assert not isinstance(found, Refusal)
    assert any(isinstance(event, e.Answered) for event in found)


def test_another_value_is_refused_and_both_have_to_be_typed_anew(at_the_loop: Walker) -> None:
    """A second entry that differs is refused as such; only the value that stands there then has to be met."""
    values = loops(at_the_loop)
    state, _ = give(at_the_loop, at_the_loop.state, entered(at_the_loop, values, again=False))
    other = {**values, "S3": f"{values['S3']}1"[:4]}
    other["S3"] = "0.99" if other["S3"] == values["S3"] else other["S3"]
    cells = tuple(replace(a, again=a.point != "S3" and a.again) for a in entered(at_the_loop, other, again=True).cells)
    _, found = give(at_the_loop, state, replace(entered(at_the_loop, other, again=True), cells=cells))

    assert isinstance(found, Refusal)
    assert [(doubt.point, doubt.sentence) for doubt in found.doubts] == [("S3", DIFFERS)]
    assert other["S3"] not in found.reason


def test_without_the_setting_one_entry_is_enough(at_the_loop: Walker) -> None:
    """A limits file that does not ask for a second entry gets the reading at once."""
    settings = {k: v for k, v in at_the_loop.job.limits.settings.items() if k != "second-entry"}
    job = replace(at_the_loop.job, limits=replace(at_the_loop.job.limits, settings=settings))
    found = decide(job, at_the_loop.state, entered(at_the_loop, loops(at_the_loop), again=False))

    assert not isinstance(found, Refusal)


def test_form_that_is_no_number_is_not_asked_twice(at_the_loop: Walker) -> None:
    """A place that could not be reached is said once."""
    sound = entered(at_the_loop, loops(at_the_loop), again=False)
    twice = typed_twice(at_the_loop)
    cells = tuple(replace(a, form=c.NOT_REACHED, entered="") if (a.point, a.cell) in twice else a for a in sound.cells)
    found = decide(at_the_loop.job, at_the_loop.state, replace(sound, cells=cells))

    assert not isinstance(found, Refusal) or found.code != "doubtful"


@pytest.mark.parametrize(("value", "codes"), [("loop-and-time", []), ("none", []), ("always", ["wrong-value"])])
def test_limits_file_sets_it_or_is_refused(value: str, codes: list[str]) -> None:
    """A limits file may set the second entry to one of its values; without it the file is whole too."""
    text = (packaged_set() / "limits" / "uk-bs7671-a2-2022.yaml").read_text(encoding="utf-8")
    setting = f"settings:\n  second-entry:\n    value: {value}\n    why: A slip is seen.\n    source: common practice\n"
    limits, found = load_limits(text.replace("settings:\n", setting, 1), "limits")

    assert [finding.code for finding in found if finding.level is Level.ERROR] == codes
    assert limits is None or limits.settings["second-entry"] == value
    assert load_limits(text, "limits")[0] is not None
