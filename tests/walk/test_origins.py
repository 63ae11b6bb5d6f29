"""Every value that the tool shows at a step, and that nobody typed there, says where it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.engine.walk.cell_view import CellView, cell_views
from ferrule.engine.walk.evolve import start
from ferrule.engine.walk.origins import EXPECTED, LIMIT, VALUE
from ferrule.engine.walk.place import step_at
from ferrule.engine.walk.situation import situation
from ferrule.engine.walk.state import State
from ferrule.tui import screen_words, words
from ferrule.tui.origin_words import origin_line, origin_lines, origin_short, value_words
from ferrule.tui.plain_show import ask_lines
from tests.support.jobs import ALL, job_of
from tests.support.walker import Walker

JOB = job_of()


def shown(place: CellView) -> Iterator[tuple[str, str]]:
    """Each value that a place shows and nobody types there, with its kind."""
    found = ((VALUE, place.value), (EXPECTED, place.expected), (LIMIT, place.limit))
    return ((kind, value) for kind, value in found if value)


@pytest.mark.parametrize("name", ALL)
def test_every_shown_value_has_its_source_line_in_plain_mode_and_on_screen(name: str) -> None:
    """Along the whole job, beside each computed, expected or limiting value stands its origin. Shows: SP-06."""
    walker = Walker.begin(job_of(name))
    counted = 0
    while (command := walker.healthy()) is not None:
        here = situation(walker.job, walker.state, walker.now_ms)
        assert here.step is not None
        plain = ask_lines(here.step, here) if here.step.kind != "hold" else []
        why = screen_words.why_lines(here, walker.job, walker.now_ms)
        for place in here.step.cells:
            kinds = dict(shown(place))
            assert {origin.of for origin in place.origins} == set(kinds), (here.step.where, place.cell)
            notes = " ".join(screen_words.place_notes(place))
            for kind in kinds.keys() - {VALUE}:
                assert f"{kinds[kind]}, {origin_short(place, kind)}." in notes
            if place.kind == "computed":
                assert f"Computed: {value_words(place)}" in plain
            else:
                assert set(origin_lines([place])) <= set(plain) & set(why)
            counted += len(kinds)
        walker.give(command)

    assert counted > 40


@pytest.mark.parametrize("moment", ["at the opening", "at the end"])
def test_no_step_of_the_set_shows_a_value_without_its_origin(moment: str) -> None:
    """Also the searches for a fault and the repairs, which a sound job never comes to. Shows: SP-06."""
    state = start(JOB, "tech") if moment == "at the opening" else Walker.begin(JOB).walk().state
    values = 0
    for procedure in JOB.procedures.values():
        for step in procedure.steps:
            for place in cell_views(JOB, state, step):
                kinds = {kind for kind, _ in shown(place)}
                assert {origin.of for origin in place.origins} == kinds, f"{procedure.id}/{step.id} {place.cell}"
                assert all(origin.put_in for origin in place.origins)
                values += len(kinds)

    assert values > 60


def test_what_a_step_hides_has_no_origin_either() -> None:
    """A source line would give away what the step keeps back, so a hidden step has none. Shows: SP-06, SP-08."""
    walker = Walker.begin(JOB).until("ring-step-two/sockets")
    step = walker.step()
    assert step is not None
    assert step.hidden

    assert all(not place.origins for place in cell_views(JOB, walker.state, step))


def open_ring() -> Job:
    """The job with the readings of step two not hidden, so that what is expected is shown."""
    procedure = JOB.procedures["ring-step-two"]
    rows = tuple(replace(step, hidden=False) for step in procedure.steps)
    return replace(JOB, procedures={**JOB.procedures, procedure.id: replace(procedure, steps=rows)})


def expected_at(job: Job, state: State) -> CellView:
    """The first place of step two as it is shown."""
    step = step_at(job, "ring-step-two/sockets")
    assert step is not None
    return cell_views(job, state, step)[0]


def test_a_carried_reading_names_its_step_and_entry_until_it_is_struck_out() -> None:
    """The expected value says from which step and entry its readings are carried; struck out, it says so at once.

    Shows: SP-06.
    """
    job = open_ring()
    walker = Walker.begin(job).until("ring-step-two/sockets")
    before = expected_at(job, walker.state)
    entry = walker.state.readings["r1"].entry
    struck = walker.give(c.Correct("tech", walker.stamp(), entry, "read with a loose clip"))
    assert not isinstance(struck, Refusal)
    after = expected_at(job, walker.state)
    (origin,) = (x for x in before.origins if x.of == EXPECTED)

    assert {x.key for x in origin.carried} == {"r1", "rn"}
    assert f"Carried from “Read each conductor from leg 1 to leg 2.”, entry {entry}: r1." in origin_line(origin)
    assert origin_short(before, EXPECTED) == f"computed from entry {entry}"
    assert any(isinstance(x, e.StruckOut) and x.entry == entry for x in struck)
    assert origin_lines([after]) != origin_lines([before])
    assert str(entry) not in origin_short(after, EXPECTED)


def test_an_amended_card_changes_the_value_its_origin_and_the_log() -> None:
    """A figure of the card that is amended is told with its new number, and the amendment is an event. Shows: SP-06."""
    walker = Walker.begin(JOB).until("external-impedance/record")
    before = situation(JOB, walker.state, walker.now_ms).step
    given = c.Amend("tech", walker.stamp(), "supply.external impedance", "a newer letter", "0.30 ohm, record", "tech")
    found = walker.give(given)
    assert not isinstance(found, Refusal)
    after = situation(JOB, walker.state, walker.now_ms).step
    assert before is not None
    assert after is not None
    (was,), (now,) = before.cells, after.cells

    assert any(isinstance(x, e.CardAmended) for x in found)
    assert ("0.35 Ω" in value_words(was), "0.30 Ω" in value_words(now)) == (True, True)
    assert "0.35" not in value_words(now)


def test_a_verdict_that_rests_on_earlier_readings_names_them() -> None:
    """In plain mode, path and replay the verdict on a hidden step says which readings it was carried from."""
    walker = Walker.begin(JOB).until("ring-step-two/remove")
    (answered,) = (x for x in walker.trail[-1][1] if isinstance(x, e.Answered))

    assert all("Carried: r1, rn." in line for line in words.event_lines(answered, JOB)[1:])
