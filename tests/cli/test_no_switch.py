"""No option, setting, variable or file mode lets a step be taken that is not in the log."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import pytest

import ferrule.engine
import ferrule.tui
from ferrule.engine.procedure.compiled import Job
from ferrule.engine.procedure.setting_words import (
    HOUSE_MINUTES,
    HOUSE_SETTINGS,
    MINUTE_SETTINGS,
    NUMBER_SETTINGS,
    SETTINGS,
)
from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.logfile import StoreError, read_only
from ferrule.engine.shell.session import WORK, Session
from ferrule.engine.shell.sets import find_job, packaged_set
from tests.support.fakeclock import FakeClock
from tests.support.jobs import job_of
from tests.support.plainrun import CARD, DAY, only_log, run, walk
from tests.support.script import Choices, Script, TypedInput, healthy_script
from tests.support.walker import Walker

ABOUT_A_LOG = re.compile(
    r"\b(log|logs|logging|record|recording|trail|journal|audit|diary|entry|entries|save|history)\b"
)
OPTIONS = {"--help", "--practice", "--person", "--set", "--replaces", "--second-medium", "--plain", "--home"}
"""All that `walk` can be told; each of them is tried below."""
VARIABLES = {"FERRULE_HOME", "FERRULE_SECOND_MEDIUM", "FERRULE_ASCII"}
"""All variables of its own that ferrule reads."""
TEMPTING = ("FERRULE_LOG", "FERRULE_NO_LOG", "FERRULE_AUDIT", "FERRULE_RECORDS", "FERRULE_DEBUG")
OFF = ("", "0", "off", "none", "/dev/null")


@pytest.fixture(scope="module")
def few() -> Script:
    """A few sound answers."""
    return healthy_script(job_of(), Choices(most=4))


def saved(out: str) -> int:
    """How many entries a walk said that it had saved."""
    return len(re.findall(r"^Saved as entry \d+\.$", out, re.M))


def kept(log: Path) -> int:
    """How many commands a log holds."""
    return sum(entry.kind == "did" for entry in read_only(log).entries)


# --- what can be set ---


def keys_of(schema: object) -> set[str]:
    """Every key that a form may have, however deep."""
    if isinstance(schema, list):
        return set().union(*map(keys_of, schema))
    if not isinstance(schema, dict):
        return set()
    own = schema.get("properties", {})
    return set(own if isinstance(own, dict) else {}) | set().union(*map(keys_of, schema.values()))


def test_no_key_of_a_form_and_no_setting_is_about_the_log() -> None:
    """Of all keys of the forms and all settings, one has such a word: to type a reading twice. Shows: RI-11."""
    schemas = sorted((packaged_set() / "schema").glob("*.json"))
    keys = set().union(*(keys_of(json.loads(path.read_text("utf-8"))) for path in schemas))
    settings = {*SETTINGS, *HOUSE_SETTINGS, *MINUTE_SETTINGS, *HOUSE_MINUTES, *NUMBER_SETTINGS}

    assert len(schemas) == 5
    assert {"sign-off", "away-minutes"} <= keys | settings
    assert [name for name in sorted(keys | settings) if ABOUT_A_LOG.search(name.replace("-", " "))] == ["second-entry"]


def test_a_walk_has_these_options_and_reads_these_variables() -> None:
    """The lists that are tried here are whole: a new option or variable has to be tried too. Shows: RI-11."""
    told = set(re.findall(r"(?<![\w`-])--[a-z][a-z-]+", run("walk", "--help").out.partition("Lines with --plain")[0]))
    sources = [Path(folder) for room in (ferrule.engine, ferrule.tui) for folder in room.__path__]
    texts = {
        node.value
        for folder in sources
        for path in folder.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }

    assert told == OPTIONS
    assert {text for text in texts if re.fullmatch(r"FERRULE_[A-Z_]+", text)} == VARIABLES


# --- what is tried ---


@pytest.mark.parametrize(
    "more",
    [(), ("--second-medium", "/dev/null"), ("--replaces", "20260314t093000z-abcdefghij"), ("--person", "tech")],
    ids=" ".join,
)
def test_with_every_option_what_is_taken_is_in_the_log(home: Path, few: Script, more: tuple[str, ...]) -> None:
    """In practice and for work every answer that is taken is an entry. Shows: RI-11."""
    practised = walk(home, few, *more)
    clock = FakeClock(DAY)
    worked = run("walk", CARD, "--plain", "--home", str(home), *more, typed=TypedInput(few, clock), clock=clock)

    assert saved(practised.out) == kept(only_log(home)) == len(few.lines)
    assert saved(worked.out) == kept(only_log(home, "records")) == len(few.lines)


@pytest.mark.parametrize("name", sorted(VARIABLES) + list(TEMPTING))
def test_no_variable_takes_the_log_away(
    home: Path, job: Job, few: Script, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Set to whatever might mean off, a variable changes no count, or no job is opened at all. Shows: RI-11."""
    assert job.card.id == CARD
    monkeypatch.chdir(home)
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(home / "data"))
    for number, value in enumerate(OFF):
        monkeypatch.setenv("FERRULE_HOME", str(home / f"{number}"))
        monkeypatch.setenv(name, value)
        clock = FakeClock(DAY)
        ran = run("walk", CARD, "--plain", "--practice", typed=TypedInput(few, clock), clock=clock)
        logs = [path for path in home.rglob("practice/[0-9]*.jsonl") if kept(path)]
        assert saved(ran.out) == sum(map(kept, logs)), value
        assert saved(ran.out) == len(few.lines) or (ran.code != 0 and not logs), value
        for path in logs:
            path.unlink()


@pytest.mark.parametrize("mode", [0o000, 0o400, 0o444])
def test_no_file_mode_takes_the_log_away(home: Path, job: Job, mode: int) -> None:
    """Made unwritable under the walk's hand, log and folder take each step, or the step is not taken. Shows: RI-11."""
    folders, clock = find_folders(home), FakeClock(DAY)
    session = Session.open_new(find_job(CARD, folders), folders=folders, clock=clock, mode=WORK, operator="tech")
    walker = Walker.begin(job)
    session.path.chmod(mode)
    session.path.parent.chmod(0o500)
    try:
        for _ in range(4):
            command = walker.healthy()
            assert command is not None
            clock.advance(max(0, command.at.ms - session.now_ms()))
            try:
                session.submit(command)
            except StoreError:
                break
            walker.give(command)
    finally:
        session.path.parent.chmod(0o700)
        session.path.chmod(0o600)
        session.close()

    assert session.state.entries == kept(session.path) == walker.state.entries
    assert session.state.step == walker.state.step
