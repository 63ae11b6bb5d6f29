"""The documents say what is there: commands, finding codes and the two set-up commands."""

from __future__ import annotations

import re
from pathlib import Path

from ferrule.engine.findings import CODES
from ferrule.tui import cli
from tests.support.plainrun import run

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_command_is_in_the_readme() -> None:
    """Each command that the help lists has a row in the README's table."""
    help_text = run("--help").out
    named = set(re.findall(r"^    ([a-z]+)(?: |$)", help_text, re.M))

    assert {"walk", "replay", "check", "procedures"} <= named
    assert {name for name in named if f"`ferrule {name}" not in README} == set()


def test_every_finding_code_is_explained() -> None:
    """Each finding code has its row in the table for contributors, with the sentence that the code has."""
    rows = dict(re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", DEVELOPERS, re.M))

    assert {code for code in CODES if rows.get(code) != CODES[code]} == set()


def test_readme_opens_the_example_job() -> None:
    """The first command of the README names an example card that is packaged."""
    first = README.split("```sh")[1]
    name = re.search(r"ferrule walk (\S+)", first)

    assert name is not None
    assert run("expect", name.group(1)).code == 0


def test_shown_output_is_real() -> None:
    """A block of the README that begins with a command shows just what that command writes today."""
    shown = re.findall(r"^```text\n\$ ferrule (.+)\n((?s:.+?))^```$", README, re.M)

    assert shown
    for command, output in shown:
        ran = run(*command.split())
        assert (ran.code, ran.out) == (0, output), f"now it is:\n{ran.out}"


def test_exit_codes_are_documented() -> None:
    """The exit codes that the command line defines stand in the README."""
    numbers = (cli.WRONG_USE, cli.UNREADABLE, cli.FAULT, cli.CANNOT_WRITE, cli.INTERRUPTED)

    assert all(str(number) in README for number in numbers)
