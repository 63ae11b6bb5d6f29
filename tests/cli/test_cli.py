"""The command line: exit codes, sentences for what goes wrong, and what is loaded for what."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from ferrule.engine.journal.chain import read_log
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.calls import SYSTEM_CALLS
from ferrule.tui.cli import main
from tests.support.demolog import write_lines
from tests.support.plainrun import CARD, Terminal, only_log, run, walk
from tests.support.script import Choices, Script, circuit_instrument, healthy_script


def opened(home: Path, job: Job, count: int = 3) -> Path:
    """A practice log with a few answers in it."""
    ran = walk(home, healthy_script(job, Choices(circuit_instrument(job), most=count)))
    assert ran.code == 0, ran.err
    return only_log(home)


def closed(home: Path, job: Job) -> Path:
    """A practice log of a whole job."""
    ran = walk(home, healthy_script(job, Choices(circuit_instrument(job))))
    assert ran.code == 0, ran.err
    return only_log(home)


# --- wrong use: 64 ---


@pytest.mark.parametrize(
    "argv",
    [
        (),
        ("dance",),
        ("walk", "--loudly"),
        ("walk", CARD, "another", "--plain"),
        ("replay",),
        ("check", "--xml"),
        ("procedures", "a"),
        ("procedures", "show"),
        ("procedures", "compare", "packaged"),
        ("procedures", "graph", "--form", "svg"),
    ],
    ids=" ".join,
)
def test_wrong_use_ends_with_64_and_one_sentence(argv: tuple[str, ...]) -> None:
    """What ferrule does not know is refused with a sentence that names the help, and nothing is written to stdout."""
    ran = run(*argv)

    assert ran.code == 64
    assert ran.out == ""
    assert ran.err.startswith("ferrule: ")
    assert "--help" in ran.err
    assert ran.err.count("\n") == 1


@pytest.mark.parametrize("argv", [("walk", CARD), ("walk",), ("replay", "x.jsonl")], ids=" ".join)
def test_a_screen_without_a_terminal_names_plain(home: Path, argv: tuple[str, ...]) -> None:
    """A screen command without a terminal ends with 64 and says how to go on without a screen."""
    ran = run(*argv, "--home", str(home))

    assert ran.code == 64
    assert f"ferrule {argv[0]} --plain" in ran.err
    assert not list(home.glob("*/*.jsonl"))


def test_a_dumb_terminal_is_no_terminal_for_a_screen(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """TERM=dumb is refused like no terminal at all."""
    monkeypatch.setenv("TERM", "dumb")
    err = io.StringIO()

    assert main(["walk", CARD, "--home", str(home)], stdin=Terminal(), stdout=Terminal(), stderr=err) == 64
    assert "--plain" in err.getvalue()


def test_a_person_who_is_not_on_the_card_is_refused(home: Path) -> None:
    """Nobody opens a job whom the card does not name; the sentence lists who is named."""
    ran = run("walk", CARD, "--plain", "--home", str(home), "--person", "nobody")

    assert ran.code == 64
    assert "“nobody” is not named on the card" in ran.err
    assert "tech" in ran.err


def test_without_a_job_a_script_is_told_the_names(home: Path) -> None:
    """Without a job, and without somebody to choose, the names that can be given are listed."""
    ran = run("walk", "--plain", "--home", str(home))

    assert ran.code == 64
    assert CARD in ran.err


def test_without_a_job_a_person_chooses_by_number(home: Path) -> None:
    """At a terminal the open jobs and the example cards are numbered, and a number starts one."""
    ran = run("walk", "--plain", "--practice", "--home", str(home), typed=Terminal("99\n"))
    assert ran.code == 64
    assert "“99” is not one of the numbers" in ran.err
    line = next(x for x in ran.out.splitlines() if f"{CARD} " in x and "start" in x)
    ran = run(
        "walk", "--plain", "--practice", "--home", str(home), typed=Terminal(f"{line.partition('.')[0]}\nleave\n")
    )

    assert ran.code == 0
    assert "NOW: " in ran.out


def test_work_is_not_gone_on_with_as_practice(home: Path) -> None:
    """A job that was opened for work is never taken up as practice."""
    run("walk", CARD, "--plain", "--home", str(home))
    ran = run("walk", str(only_log(home, "work" if (home / "work").exists() else "records")), "--plain", "--practice")

    assert ran.code == 64
    assert "opened for work" in ran.err


def test_a_closed_job_takes_no_step(home: Path, job: Job) -> None:
    """A closed log is not opened again: 64 with a sentence."""
    log = closed(home, job)
    before = log.read_bytes()
    ran = run("walk", str(log), "--plain", "--home", str(home), typed="remark late\n")

    assert ran.code == 64
    assert "was closed" in ran.err
    assert log.read_bytes() == before


# --- unreadable input: 66 ---


def test_a_card_that_is_not_there_ends_with_66(home: Path) -> None:
    """A card that cannot be found is named, with those that are known."""
    ran = run("walk", "no-such-card", "--plain", "--home", str(home))

    assert ran.code == 66
    assert "no-such-card" in ran.err
    assert CARD in ran.err


def test_a_card_with_faults_ends_with_66_and_every_finding(home: Path, tmp_path: Path) -> None:
    """A faulty card is refused with its findings, each with a place, and no log is opened."""
    card = tmp_path / "bad.yaml"
    card.write_text("card: bad\ncolour: blue\n")
    ran = run("walk", str(card), "--plain", "--home", str(home))

    assert ran.code == 66
    assert "error[unknown-key]" in ran.err
    assert not list(home.glob("*/*.jsonl"))


@pytest.mark.parametrize("command", ["walk", "replay"])
def test_a_log_that_is_not_there_ends_with_66(home: Path, command: str) -> None:
    """A log that cannot be found is said to be missing, whatever it was wanted for."""
    ran = run(command, str(home / "none.jsonl"), "--plain", "--home", str(home))

    assert ran.code == 66
    assert ran.err.startswith("ferrule: ")


def test_a_damaged_log_is_left_alone(home: Path, job: Job) -> None:
    """A changed byte stops a job from being taken up (66) and from being replayed (3); the file stays as it is."""
    log = opened(home, job)
    data = bytearray(log.read_bytes())
    data[len(data) // 2] ^= 1
    log.write_bytes(data)
    walked = run("walk", str(log), "--plain", "--home", str(home))
    replayed = run("replay", str(log), "--plain", "--home", str(home))

    assert walked.code == 66
    assert replayed.code == 3
    assert "damaged" in walked.err
    assert "damaged" in replayed.err
    assert log.read_bytes() == bytes(data)


def test_input_that_is_no_text_ends_with_66_and_a_whole_log(home: Path, job: Job) -> None:
    """Bytes that are not UTF-8 end the reading; what was taken before them is in the log."""
    line = healthy_script(job, Choices(most=1)).lines[0]
    stdin = io.TextIOWrapper(io.BytesIO(f"{line}\n".encode() + b"\xff" * 20_000), encoding="utf-8")
    ran = run("walk", CARD, "--plain", "--practice", "--home", str(home), typed=stdin)

    assert ran.code == 66
    assert "UTF-8" in ran.err
    assert read_log(only_log(home).read_bytes()).entries


# --- faults of ferrule, disk, interruption: 70, 73, 130 ---


class BrokenCalls:
    """The system's calls, of which one raises."""

    def __init__(self, name: str, error: BaseException, after: int = 0) -> None:
        self._name, self._error, self._left = name, error, after

    def __getattr__(self, name: str) -> object:
        real = getattr(SYSTEM_CALLS, name)
        if name != self._name:
            return real

        def call(*args: object) -> object:
            if self._left > 0:
                self._left -= 1
                return real(*args)
            raise self._error

        return call


def test_an_unforeseen_error_is_one_sentence_and_a_file(home: Path, tmp_path: Path) -> None:
    """A fault of ferrule ends with 70, one sentence, and its details in a file; never with a traceback."""
    calls = BrokenCalls("create", RuntimeError("boom"))
    ran = run("walk", CARD, "--plain", "--home", str(home), calls=calls)  # type: ignore[arg-type]

    assert ran.code == 70
    assert "Traceback" not in ran.err + ran.out
    assert "report it" in ran.err
    assert "boom" in (tmp_path / "cache" / "last-fault.txt").read_text()


def test_a_disk_that_refuses_a_log_ends_with_73(home: Path) -> None:
    """When no log can be created, nothing starts, and the sentence says why."""
    calls = BrokenCalls("create", PermissionError(13, "denied"))
    ran = run("walk", CARD, "--plain", "--home", str(home), calls=calls)  # type: ignore[arg-type]

    assert ran.code == 73
    assert "not open to this user" in ran.err


def test_a_disk_that_refuses_an_answer_ends_with_73_and_the_answer_does_not_count(home: Path, job: Job) -> None:
    """A failed save is said and ends the walk; the step that could not be saved is open when it is taken up again."""
    script = healthy_script(job, Choices(most=2))
    calls = BrokenCalls("write", OSError(28, "full"), after=2)
    typed = "\n".join(script.lines)
    ran = run("walk", CARD, "--plain", "--practice", "--home", str(home), typed=typed, calls=calls)  # type: ignore[arg-type]
    again = run("walk", str(only_log(home)), "--plain", "--home", str(home))

    assert ran.code == 73
    assert "the disk is full" in ran.err
    assert f"Name of the step: {script.lines[1].partition(':')[0]}" in again.out


class Interrupted(io.StringIO):
    """Input at which somebody presses Ctrl-C after the first line."""

    def readline(self, size: int | None = -1, /) -> str:
        """Give the first line, then be interrupted."""
        if self.tell():
            raise KeyboardInterrupt
        return super().readline(-1 if size is None else size)


def test_an_interruption_ends_with_130_and_a_log_that_goes_on(home: Path, job: Job) -> None:
    """Ctrl-C leaves a whole log that is not locked: the job is taken up again at once."""
    line = healthy_script(job, Choices(most=1)).lines[0]
    ran = run("walk", CARD, "--plain", "--practice", "--home", str(home), typed=Interrupted(f"{line}\n"))
    again = run("walk", str(only_log(home)), "--plain", "--home", str(home))

    assert ran.code == 130
    assert "What was confirmed is in the log." in ran.err
    assert again.code == 0
    assert "Last: " in again.out


def test_two_walks_on_one_log_are_refused(home: Path, job: Job) -> None:
    """A job that is open elsewhere is not opened a second time."""
    from ferrule.engine.shell.folders import find_folders
    from ferrule.engine.shell.session import Session
    from tests.support.fakeclock import FakeClock
    from tests.support.plainrun import DAY

    log = opened(home, job)
    session = Session.resume(log, folders=find_folders(home), clock=FakeClock(DAY))
    try:
        ran = run("walk", str(log), "--plain", "--home", str(home))
    finally:
        session.close()

    assert ran.code == 73
    assert "another running copy" in ran.err


# --- replay ---


def test_replay_of_an_open_log_is_the_same(home: Path, job: Job) -> None:
    """A log replays the same with 0, one numbered block a command, and is not touched."""
    log = opened(home, job)
    before = log.read_bytes()
    ran = run("replay", str(log), "--plain", "--home", str(home))

    assert ran.code == 0
    assert "\n3. 2026-11-25T" in ran.out
    assert ", Ash Glaze: Answered “" in ran.out
    assert "The log is still open." in ran.out
    assert log.read_bytes() == before


def forged(log: Path, change: object) -> None:
    """Write a log again with its data changed and every sum made right, as a forger would."""
    parts = [
        (entry.kind, change(entry.kind, json.loads(json.dumps(entry.data))))
        for entry in read_log(log.read_bytes()).entries
    ]  # type: ignore[operator]
    log.write_bytes(b"".join(write_lines(parts)))


def test_replay_names_a_verdict_that_does_not_follow(home: Path, job: Job) -> None:
    """A log whose recorded answer word was changed under right sums differs: 1, with the entry named."""
    log = opened(home, job)

    def change(kind: str, data: dict[str, object]) -> dict[str, object]:
        for event in data["events"] if kind == "did" else ():  # type: ignore[attr-defined]
            if event["event"] == "answered" and event["entry"] == 2:
                event["word"] = "fail"
        return data

    forged(log, change)
    ran = run("replay", str(log), "--plain", "--home", str(home))

    assert ran.code == 1
    assert "DIFFERS: Event 1 was recorded as" in ran.out
    assert "Differs at 1 of 3 commands: 2." in ran.out


def test_replay_refuses_an_event_of_another_version(home: Path, job: Job) -> None:
    """An event that this version does not know is not skipped: it cannot be replayed, 3."""
    log = opened(home, job)

    def change(kind: str, data: dict[str, object]) -> dict[str, object]:
        if kind == "did":
            data["events"][0]["event"] = "levitated"  # type: ignore[index]
        return data

    forged(log, change)
    ran = run("replay", str(log), "--plain", "--home", str(home))

    assert ran.code == 3
    assert "levitated" in ran.err


def test_escape_sequences_of_a_log_from_elsewhere_are_shown_as_code_points(home: Path, job: Job) -> None:
    """A log with control characters in its texts is replayed with each of them made visible."""
    script = healthy_script(job, Choices(most=1))
    walk(home, Script((*script.lines, "remark quiet"), (*script.at_ms, script.at_ms[-1] + 1), script.walker))
    log = only_log(home)

    def change(_kind: str, data: dict[str, object]) -> dict[str, object]:
        text = json.dumps(data).replace("quiet", "quiet\\u001b[2J\\u202e")
        return json.loads(text)  # type: ignore[no-any-return]

    forged(log, change)
    ran = run("replay", str(log), "--plain", "--home", str(home))

    gone_on = run("walk", str(log), "--plain", "--home", str(home), typed="path\n")

    for out in (ran.out, gone_on.out):
        assert "quiet<U+001B>[2J<U+202E>" in out
        assert "\x1b" not in out
        assert "\u202e" not in out


def test_a_job_is_found_by_its_id(home: Path, job: Job) -> None:
    """A log can be named by the id of its job instead of its file."""
    log = opened(home, job)

    assert run("replay", log.stem, "--plain", "--home", str(home)).code == 0


# --- check ---


def test_the_packaged_set_has_no_findings() -> None:
    """`check` without files checks the packaged set: nothing found, 0, and stdout stays empty."""
    ran = run("check")

    assert (ran.code, ran.out) == (0, "")
    assert "0 findings" in ran.err


def test_check_names_the_file_as_it_was_given(tmp_path: Path) -> None:
    """Findings come with the name of the file as typed, line and column; in JSON the same."""
    bad = tmp_path / "limits.yaml"
    bad.write_text("limits: mine\ncolour: blue\n")
    text = run("check", str(bad))
    as_json = run("check", str(bad), "--json")

    assert text.code == as_json.code == 1
    assert f"{bad}:2:1 error[unknown-key]" in text.out
    found = json.loads(as_json.out)["findings"]
    assert {f["code"] for f in found} >= {"unknown-key"}
    assert next(f for f in found if f["code"] == "unknown-key")["place"]["line"] == 2


def test_check_does_not_pass_over_what_it_cannot_read(tmp_path: Path) -> None:
    """A file that cannot be read, or is no file of a set, is named and ends with 66, whatever else was found."""
    odd = tmp_path / "odd.yaml"
    odd.write_text("# nothing\nshopping: milk\n")
    raw = tmp_path / "raw.yaml"
    raw.write_bytes(b"card: \xff\n")
    ran = run("check", str(odd), str(raw), str(tmp_path / "gone.yaml"))

    assert ran.code == 66
    for name in ("odd.yaml begins with none of", "raw.yaml is not UTF-8", "gone.yaml cannot be read"):
        assert name in ran.err


@pytest.mark.parametrize("argv", [("--help",), ("--version",), ("walk", "--help")], ids=" ".join)
def test_help_and_version_are_results(argv: tuple[str, ...]) -> None:
    """Help and version go to stdout and end with 0."""
    ran = run(*argv)

    assert ran.code == 0
    assert ran.out.strip()
    assert ran.err == ""


def test_the_help_of_walk_holds_the_grammar() -> None:
    """`walk --help` shows the grammar of typed lines."""
    assert "settle pass|fail|again because REASON" in run("walk", "--help").out


# --- real processes ---


def process(
    home: Path, *argv: str, typed: str = "", code: str = "", encoding: str = "utf-8"
) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own."""
    start = code or "import sys; from ferrule.tui.cli import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-c", start, *argv, "--home", str(home)],
        input=typed,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": encoding},
    )


def test_plain_loads_no_screen_and_no_loader(home: Path) -> None:
    """With a warm cache `--plain` loads neither the screen library nor what reads YAML, from start to end."""
    code = (
        "import sys; from ferrule.tui.cli import main; rc = main();"
        "heavy = ('textual', 'rich', 'pydantic', 'ruamel.yaml', 'cryptography', 'asyncio', 'difflib');"
        "print('LOADED', *[m for m in heavy if m in sys.modules]); sys.exit(rc)"
    )
    process(home, "walk", CARD, "--plain", "--practice")
    done = process(home, "walk", CARD, "--plain", "--practice", typed="remark here\n", code=code)

    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "LOADED"


def test_a_reader_that_goes_away_is_no_fault(home: Path) -> None:
    """When nobody reads the output any more, ferrule ends in silence, without a traceback."""
    start = f"{sys.executable} -c 'import sys; from ferrule.tui.cli import main; sys.exit(main())'"
    done = subprocess.run(
        ["/bin/sh", "-c", f"{start} procedures show prove-dead | :"],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "FERRULE_HOME": str(home)},
    )

    assert done.stderr == ""


def test_a_terminal_that_lacks_a_sign_does_not_end_the_walk(home: Path) -> None:
    """On an ASCII terminal a sign such as a quotation mark is shown by its number instead of ending the program."""
    done = process(home, "walk", CARD, "--plain", "--practice", typed="help\nleave\n", encoding="ascii")

    assert done.returncode == 0, done.stderr
    assert done.stdout.isascii()
    assert "\\u201c" in done.stdout
