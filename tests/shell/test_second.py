"""The second medium: whole lines, each durable, one file a diary, and never a folder where a stick is missing."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest

from ferrule.engine.journal.diary import read_copied
from ferrule.engine.journal.entry import line_of
from ferrule.engine.shell.folders import SECOND_VARIABLE, find_folders
from ferrule.engine.shell.logfile import StoreError
from ferrule.engine.shell.second import SecondMedium, heads_name
from tests.support.demodiary import world
from tests.support.faultcalls import FaultCalls

LINES = world(3).diary
IDENTITY = LINES[0].sum
NAME = heads_name(IDENTITY)
STICK = Path("stick")


def test_each_diary_has_its_own_file_and_each_line_is_durable() -> None:
    """Lines of two diaries go to two files; after each, no power loss takes it away. Shows: RI-06."""
    calls = FaultCalls()
    medium = SecondMedium(STICK, calls)
    for at, line in enumerate(LINES):
        medium.add(IDENTITY, line_of(line))
        kept = b"".join(map(line_of, LINES[: at + 1]))
        assert all(image.get(NAME) == kept for image in calls.images())
    medium.add("f" * 64, line_of(LINES[0]))

    assert set(calls.contents()) == {NAME, heads_name("f" * 64)}


def test_a_line_broken_off_costs_no_other_line() -> None:
    """Pull the stick in the middle of a line: the next line begins anew, and every whole line is read. Shows: IR-02."""
    whole = line_of(LINES[0])
    for size in range(1, len(whole), 11):
        calls = FaultCalls({NAME: whole + line_of(LINES[1])[:size]})
        SecondMedium(STICK, calls).add(IDENTITY, line_of(LINES[2]))

        assert read_copied(calls.content(NAME)) == ((LINES[0], LINES[2]), 1)


@pytest.mark.parametrize("chunk", [1 << 20, 100])
@pytest.mark.parametrize("code", [errno.EIO, errno.ENOSPC, errno.EROFS])
def test_whichever_call_fails_only_our_error_comes_out(code: int, chunk: int) -> None:
    """An error at any call is told in words, and what was on the medium before stays readable. Shows: IR-01."""
    before = line_of(LINES[0])
    sound = FaultCalls({NAME: before}, chunk)
    SecondMedium(STICK, sound).add(IDENTITY, line_of(LINES[1]))
    for at in range(len(sound.trace)):
        calls = FaultCalls({NAME: before}, chunk)
        calls.fault = lambda _name, number, at=at: code if number >= at else None
        with pytest.raises(StoreError, match="The head was not copied to the second medium"):
            SecondMedium(STICK, calls).add(IDENTITY, line_of(LINES[1]))

        assert read_copied(calls.content(NAME))[0][:1] == LINES[:1]


def test_a_flag_goes_before_the_variable_and_neither_means_none() -> None:
    """The second medium is the one that is given, else that of the variable, else none."""
    named = {"HOME": "/home/tech", SECOND_VARIABLE: "/media/stick"}

    assert find_folders(environ=named).second == Path("/media/stick").absolute()
    assert find_folders(environ=named, second=Path("/media/other")).second == Path("/media/other").absolute()
    assert find_folders(environ={"HOME": "/home/tech"}).second is None
