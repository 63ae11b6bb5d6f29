"""Each section ends with a call of what is done, not applicable, deferred and open; it is the walk's own count."""

from __future__ import annotations

from pathlib import Path

import pytest

from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.pathrows import path_rows
from ferrule.engine.shell.session import open_replay
from ferrule.engine.walk import commands as c
from ferrule.engine.walk import events as e
from ferrule.engine.walk.access import Refusal
from ferrule.tui import screen_words, words
from tests.support.jobs import ALL, job_of
from tests.support.plainrun import only_log, run, walk
from tests.support.script import Choices, healthy_script
from tests.support.walker import Walker

JOB = job_of()


def ended(walker: Walker) -> list[e.SectionEnded]:
    """Every end of a section in a walk, in order."""
    return [x for _, events in walker.trail for x in events if isinstance(x, e.SectionEnded)]


def answered_since(walker: Walker) -> list[tuple[e.SectionEnded, set[str]]]:
    """Each end of a section with its steps that were answered or signed by then, counted from the events alone."""
    answered: set[str] = set()
    found = []
    at = ""
    for _, events in walker.trail:
        for event in events:
            if isinstance(event, e.Answered):
                answered.add(event.step)
            if isinstance(event, e.Signed):
                answered.add(at)
            if isinstance(event, e.SectionEnded):
                found.append((event, {x.partition("/")[2] for x in answered if x.startswith(f"{event.section}/")}))
            if isinstance(event, e.Moved):
                at = event.step
    return found


@pytest.mark.parametrize("name", ALL)
def test_on_a_sound_job_every_section_ends_with_nothing_deferred_or_open(name: str) -> None:
    """What is called done is what was answered, all else does not apply, and every procedure that was walked is called.

    Shows: SP-13.
    """
    walker = Walker.begin(job_of(name)).walk()
    calls = answered_since(walker)
    walked = {x.step.partition("/")[0] for _, events in walker.trail for x in events if isinstance(x, e.Answered)}

    assert walked <= {call.section for call, _ in calls}
    for call, answered in calls:
        steps = [step.id for step in walker.job.procedures[call.section].steps]
        assert set(call.done) == answered, call.section
        assert (call.deferred, call.open) == ((), ())
        assert sorted((*call.done, *call.not_applicable)) == sorted(steps)


def test_a_section_that_only_waits_for_a_fact_has_not_ended() -> None:
    """Proving dead waits for the proof of the indicator and ends once, the proof ends each time. Shows: SP-13."""
    walker = Walker.begin(JOB).until("mark-conductors/mark")
    sections = [call.section for call in ended(walker)]

    assert sections.count("prove-dead") == 1
    assert sections.count("prove-indicator") == 2
    assert sections.index("prove-dead") == len(sections) - 2


def test_an_answer_struck_out_meanwhile_is_open_at_the_end_and_the_section_ends_again() -> None:
    """The call names the step that is open; come back to and answered, the section ends again whole. Shows: SP-13."""
    walker = Walker.begin(JOB).until("before-work/protective")
    struck = walker.give(c.Correct("tech", walker.stamp(), 1, "typed wrongly"))
    assert not isinstance(struck, Refusal)
    walker.until("check-instruments/each")
    first, second = ended(walker)

    assert first.open == ("job",)
    assert first.done == ("authority", "competence", "risk", "protective")
    assert (second.section, second.open, len(second.done)) == ("before-work", (), 5)


def test_the_call_says_the_four_counts_and_names_what_is_left() -> None:
    """The words hold the event's own counts, and each step that is deferred or open by its text. Shows: SP-13."""
    call = e.SectionEnded("before-work", ("job", "authority"), ("competence",), ("risk",), ("protective",))
    said = words.event_words(call, JOB)

    assert said == (
        "Section “Before work” ended: 2 done, 1 not applicable, 1 deferred, 1 open: "
        "“Go round the place of work looking for what can hurt.”; “Lay out the protective equipment.”."
    )
    assert screen_words.verdict_lines((call,), JOB) == (said,)


def test_plain_mode_and_replay_say_the_call(tmp_path: Path) -> None:
    """After the last answer of a section the same counts stand in plain mode and in the replay.

    Shows: SP-13.
    """
    script = healthy_script(JOB)
    ran = walk(tmp_path, script)
    again = run("replay", str(only_log(tmp_path)), "--plain", "--home", str(tmp_path))
    calls = [words.event_words(call, JOB) for call in ended(script.walker)]

    assert len(calls) > 50
    assert [line.strip() for line in ran.out.split("\n") if line.strip().startswith("Section “")] == calls
    assert [line.strip() for line in again.out.split("\n") if line.strip().startswith("Section “")] == calls
    assert again.code == 0


def test_the_path_shows_the_call_beside_the_answer_that_ended_the_section(tmp_path: Path) -> None:
    """The row of the path has the section's title and the counts, and stands for nothing that somebody did."""
    folders = find_folders(tmp_path)
    script = healthy_script(JOB, Choices(until=lambda walker: walker.state.step == "check-instruments/each"))
    walk(tmp_path, script)
    replay = open_replay(only_log(tmp_path), folders)
    row = path_rows(replay.job, replay.entries)[-1]

    assert (row.text, row.word, row.followed) == ("Before work", "ended", True)
    assert row.sentence == "5 done, 0 not applicable, 0 deferred, 0 open."
