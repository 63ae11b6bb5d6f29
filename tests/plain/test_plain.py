"""The walk line by line: a whole job from a script, what is said, what is refused, and how it ends."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job, Step
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import Session
from ferrule.engine.walk.cells import slots_of
from ferrule.engine.walk.place import step_at
from ferrule.tui.plain import run_plain
from ferrule.tui.signs import set_ascii
from tests.support.fakeclock import FakeClock
from tests.support.plainrun import CARD, DAY, Ran, Terminal, extended, only_log, run, walk
from tests.support.script import Choices, Script, TypedInput, circuit_instrument, healthy_script
from tests.support.walker import Walker


def step_of(walker: Walker) -> Step:
    """The step at which a walker stands."""
    step = step_at(walker.job, walker.state.step)
    assert step is not None
    return step


def until(job: Job, kind: str, where: object = lambda _: True) -> Script:
    """The script of a sound job up to the first step of a kind."""

    def there(walker: Walker) -> bool:
        step = step_of(walker)
        return step.kind == kind and bool(where(step))  # type: ignore[operator]

    script = healthy_script(job, Choices(circuit_instrument(job), until=there))
    assert step_of(script.walker).kind == kind
    return script


def is_reading(step: Step) -> bool:
    """True for a step that asks for one reading."""
    return len(step.cells) == 1 and bool(step.cells[0].function)


def test_a_whole_job_runs_from_a_script(job: Job, home: Path) -> None:
    """Shows HI-18: a sound job goes by typed lines from card to closed log, and its log replays the same."""
    script = healthy_script(job, Choices(circuit_instrument(job)))
    ran = walk(home, script)

    assert ran.code == 0, ran.err
    assert "The log is closed: complete." in ran.out
    assert ran.err == ""
    again = run("replay", str(only_log(home)), "--plain", "--home", str(home))
    assert again.code == 0
    assert f"Replays the same: {len(script.lines)} commands." in again.out


def test_a_terminal_of_ascii_gets_ascii(job: Job, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the terminal is said to show ASCII only, a whole job and its replay are written in it. Shows: HI-14."""
    monkeypatch.setenv("FERRULE_ASCII", "1")
    try:
        ran = walk(home, healthy_script(job, Choices(circuit_instrument(job))))
        again = run("replay", str(only_log(home)), "--plain", "--home", str(home))
    finally:
        set_ascii(False)

    assert (ran.code, again.code) == (0, 0)
    assert ran.out.isascii()
    assert again.out.isascii()
    assert "Mohm" in ran.out


def test_the_log_of_a_script_is_that_of_the_core(job: Job, home: Path) -> None:
    """Shows HI-18: what the lines leave in the log is what the core decides for the same commands."""
    script = healthy_script(job, Choices(circuit_instrument(job)))
    walk(home, script)
    folders = find_folders(home)
    from ferrule.engine.shell.session import open_replay

    replay = open_replay(only_log(home), folders)

    assert replay.last.state.facts == script.walker.state.facts
    assert [m.command.step for m in map(replay.at, range(1, replay.count + 1)) if hasattr(m.command, "step")] == [
        command.step for command, _ in script.walker.trail if hasattr(command, "step")
    ]


def test_an_open_neutral_leads_to_its_fault_and_not_to_a_closed_log(job: Job, home: Path) -> None:
    """A neutral that is open end to end fails ring step one; the real reading and the way on are said."""

    def found(walker: Walker) -> bool:
        return walker.state.facts["result:ring step one"] == "fail"

    script = healthy_script(job, Choices(circuit_instrument(job, otherwise={"rn": ">"}), until=found))
    ran = walk(home, script)

    assert ran.code == 0
    assert "result ring step one: failed" in ran.out
    assert "ABOVE RANGE >" in ran.out
    assert "The job stays open" in ran.out
    assert "The log is closed" not in ran.out


def test_a_line_for_another_step_is_not_taken_and_reading_goes_on(job: Job, home: Path) -> None:
    """A line that names another step changes nothing, is said on stderr, and the lines after it still count."""
    script = until(job, "hold")
    here, there = script.walker.state.step, script.lines[0]
    name = step_of(script.walker).act.removeprefix("release hold point ")
    ran = walk(home, extended(script, [there, f"sign {name} as technician by tech"]))

    assert ran.code == 1
    assert f"the walk stands at “{here}”. Nothing was taken." in ran.err
    assert there.partition(":")[0] in ran.err
    assert f"Hold point {name} signed as technician by Ash Glaze." in ran.out


def test_a_line_without_its_step_is_not_taken_from_a_script(job: Job, home: Path) -> None:
    """In a script even a fitting answer without the step's name is refused, so that no line slips to another step."""
    script = until(job, "measure", is_reading)
    ran = walk(home, extended(script, ["0.01"]))

    assert ran.code == 1
    assert "names its step" in ran.err


@pytest.mark.parametrize(
    ("typed", "column"), [("0.0.1", 4), ("O.01", 1), ("1e3", 2), ("0,1", 2), ("-1", 1), ("1 2", 2)]
)
def test_a_malformed_number_is_shown_with_a_caret(job: Job, home: Path, typed: str, column: int) -> None:
    """Shows HI-06: a malformed number is blocked, with its reason and a caret under the fault; nothing is repaired."""
    script = until(job, "measure", is_reading)
    ran = walk(home, extended(script, [f"{script.walker.state.step}: {typed}"]))

    lines = ran.err.splitlines()
    at = next(i for i, line in enumerate(lines) if line.strip() == "^")
    assert ran.code == 1
    assert lines[at - 1].strip() == typed
    assert lines[at].index("^") - (len(lines[at - 1]) - len(lines[at - 1].lstrip())) == column - 1


def test_an_attempt_at_a_shut_gate_is_refused_and_kept(job: Job, home: Path) -> None:
    """Shows WB-04: a forbidden signature is not taken, and the attempt itself is in the log."""
    script = until(job, "hold")
    before = len(script.lines)
    ran = walk(home, extended(script, ["sign nine as technician by tech"]))

    assert ran.code == 1
    assert "The attempt is kept in the log." in ran.err
    replayed = run("replay", str(only_log(home)), "--plain", "--home", str(home))
    assert f"Replays the same: {before + 1} commands." in replayed.out


def test_places_can_be_filled_one_by_one(job: Job, home: Path) -> None:
    """A step with several places takes a line for each, counts them, and is answered once all are filled."""
    script = healthy_script(job, Choices(most=1))
    where, _, values = script.lines[0].partition(": ")
    cells = [slot.cell.id for slot in slots_of(job, step_at(job, where))]  # type: ignore[arg-type]
    lines = [f"{where} {cell}: {value}" for cell, value in zip(cells, values.split(" ; "), strict=True)]
    ran = walk(home, Script(tuple(lines), tuple(range(len(lines))), script.walker))

    assert len(lines) > 1
    assert ran.code == 0, ran.err
    assert f"1 of {len(lines)} places filled." in ran.out
    assert "Saved as entry 1." in ran.out
    assert "Saved as entry 2." not in ran.out


def test_a_place_filled_twice_says_so_and_the_last_counts(job: Job, home: Path) -> None:
    """Filling a place again before the answer is recorded replaces it, and both values are said."""
    first = healthy_script(job, Choices(most=1)).lines[0]
    where = first.partition(":")[0]
    cell = step_at(job, where).cells[0]  # type: ignore[union-attr]
    ran = run(
        "walk",
        CARD,
        "--plain",
        "--home",
        str(home),
        typed=f"{where} {cell.id}: 2\n{where} {cell.id}: 1\n{where}: clear\n",
    )

    assert f"{cell.id} was “{cell.states[1].seen}” and is now “{cell.states[0].seen}”." in ran.out
    assert "1 places emptied." in ran.out


def test_when_the_input_ends_the_job_can_be_taken_up_again(job: Job, home: Path) -> None:
    """A script that ends half way loses nothing: the rest of the lines, on its log, closes the job."""
    script = healthy_script(job, Choices(circuit_instrument(job)))
    half = next(n for n in range(len(script.lines) // 2, 0, -1) if not script.lines[n - 1].endswith(": start"))
    clock = FakeClock(DAY)
    head = Script(script.lines[:half], script.at_ms[:half], script.walker)
    first = walk(home, head, clock=clock)
    log = only_log(home)
    shift = script.at_ms[half - 1]
    tail = Script(script.lines[half:], tuple(at - shift for at in script.at_ms[half:]), script.walker)
    second = run("walk", str(log), "--plain", "--home", str(home), typed=TypedInput(tail, clock), clock=clock)

    assert first.code == 0
    assert f"can be taken up again with its log {log}" in first.out
    assert "Last: " in second.out
    assert second.code == 0, second.err
    assert "The log is closed: complete." in second.out


def test_after_a_long_break_what_was_proved_is_proved_again(job: Job, home: Path) -> None:
    """A proof from before a long break does not stand after it: taking the job up says so."""
    script = healthy_script(
        job, Choices(circuit_instrument(job), until=lambda w: w.state.facts["hold:two"] == "signed")
    )
    clock = FakeClock(DAY)
    first = walk(home, script, clock=clock)
    clock.advance(6 * 3_600_000)
    second = run("walk", str(only_log(home)), "--plain", "--home", str(home), clock=clock)

    assert "Busbar: no voltage found on" in first.out
    assert "Busbar: no voltage found on" not in second.out
    assert "Busbar: not proved, counts as live. Touch nothing." in second.out


def test_hidden_values_stay_hidden_until_they_are_entered(job: Job, home: Path) -> None:
    """Shows SP-08: what a hidden step expects is not said before the reading, and is said with the verdict."""

    def expected(step: Step) -> bool:
        return step.hidden and any(cell.expect for cell in step.cells)

    short = until(job, "round", expected)
    whole = healthy_script(job, Choices(circuit_instrument(job)))
    more = [line for line in whole.lines[len(short.lines) :][:2] if line.startswith(short.walker.state.step)]
    out = walk(home, extended(short, more)).out
    at_step, _, after = out.rpartition(f"NOW: {step_of(short.walker).text}")[2].partition("gave PASS")

    assert "A number in" in at_step
    assert "xpected" not in at_step
    assert "Passes" not in at_step
    assert "expected" in after.partition("Saved as entry")[0]


def test_local_words_show_and_change_nothing(job: Job, home: Path) -> None:
    """`list`, `path`, `why`, `look` and `help` only show; no entry comes from them."""
    script = until(job, "hold")
    ran = walk(home, extended(script, ["list", "path", "why", "look", "help", "by client", "by nobody"]))

    assert f"Saved as entry {len(script.lines)}." in ran.out
    assert f"Saved as entry {len(script.lines) + 1}." not in ran.out
    assert "1. Before work: done" in ran.out
    assert "Source: " in ran.out
    assert "hand over to PERSON locks WORDS" in ran.out
    assert "From here on Wren Slip acts." in ran.out
    assert "“nobody” is not named on the card" in ran.err


def test_leave_ends_the_reading(job: Job, home: Path) -> None:
    """`leave` ends at once; lines after it are not read."""
    ran = walk(home, extended(healthy_script(job, Choices(most=2)), ["leave", "remark too late"]))

    assert ran.code == 0
    assert "too late" not in ran.out
    assert "The job stays open" in ran.out


def test_stop_is_one_word_and_shows_what_is_left(job: Job, home: Path) -> None:
    """`stop` alone stops work from any step, and every screenful after it says so."""
    ran = walk(home, extended(until(job, "wait"), ["stop"]))

    assert ran.code == 0, ran.err
    assert "Work was stopped" in ran.out
    assert "WORK STOPPED" in ran.out.rpartition("NOW: ")[0].rpartition("Stage ")[2]


def typed_at_terminal(job: Job, home: Path, lines: str, prefix: Script) -> Ran:
    """Type lines at a terminal after a script has led there."""
    clock = FakeClock(DAY)
    folders = find_folders(home)
    walk(home, prefix, clock=clock)
    session = Session.resume(only_log(home), folders=folders, clock=clock)
    out, err = io.StringIO(), io.StringIO()
    try:
        code = run_plain(session, "tech", Terminal(lines), out, err)
    finally:
        session.close()
    assert session.job == job
    return Ran(code, out.getvalue(), err.getvalue())


def test_a_person_at_a_terminal_leaves_the_names_out(job: Job, home: Path) -> None:
    """At a terminal each open place is asked for by its prompt with its unit, and a slip costs no exit code."""
    ran = typed_at_terminal(job, home, "0.0.1\n0.01\n", until(job, "measure", is_reading))

    assert ran.code == 0
    assert "(Ω): " in ran.out
    assert "decimal point" in ran.err
    assert "PASS +" in ran.out


def test_warnings_come_whole_before_their_step(job: Job, home: Path) -> None:
    """Shows SP-01: each warning of a step is said whole, and before the step's own sentence."""
    script = until(job, "round", lambda step: bool(step.warnings))
    out = walk(home, script).out
    step = step_of(script.walker)
    last = out[out.rindex("Stage ") :]

    for warning in step.warnings:
        for part in (warning.hazard, warning.consequence, warning.avoid):
            assert last.index(part) < last.index(f"NOW: {step.text}")


def test_every_situation_names_mode_procedure_and_place(job: Job, home: Path) -> None:
    """Shows SP-03: mode, title, board, way, revision, section and step n of m are said with every step."""
    out = walk(home, healthy_script(job, Choices(most=6))).out
    blocks = out.split("\nPRACTICE. ")[1:]

    assert len(blocks) >= 6
    for block in blocks:
        assert "Board KR1, way 4." in block
        assert "DRAFT: not approved for work" in block
        assert "Section " in block
        assert "Step " in block
        assert "Busbar: " in block


HOSTILE = ("\x1b[2J\x1b]0;owned\x07", "\u202e reversed", "\x9b31m", "\x00", "zero\u200bwidth")


@pytest.mark.parametrize("text", HOSTILE, ids=lambda t: ascii(t))
def test_escape_sequences_never_reach_the_output(job: Job, home: Path, text: str) -> None:
    """Hidden and control characters that are typed are refused and shown as code points, never raw."""
    where = healthy_script(job, Choices(most=1)).lines[0].partition(":")[0]
    typed = f"remark {text}\n{where}: {text}\n{text}\nby {text}\nreport {text}\n"
    ran = run("walk", CARD, "--plain", "--home", str(home), typed=typed)

    assert ran.code == 1
    for stream in (ran.out, ran.err):
        assert not [char for char in text if not char.isprintable() and char in stream]
    assert "<U+" in ran.err
