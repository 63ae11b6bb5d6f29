"""The whole reference job walked by keys in a real terminal of 80 by 24: in colours, in 16 colours, without colour."""

from __future__ import annotations

import io
import os
import re
import time
from contextlib import redirect_stdout
from pathlib import Path

import pytest

from ferrule.engine.shell.folders import find_folders
from ferrule.engine.shell.session import open_replay
from ferrule.engine.shell.sets import find_job
from ferrule.tui import screen_words
from ferrule.tui.cli import main
from tests.support.plainrun import CARD
from tests.support.typed import F10, Typist

pytestmark = [
    pytest.mark.nightly,
    pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal"),
]

ESCAPE = "\x1b"
ECHO_S = 1.5
"""A key that changes nothing on screen is not waited for longer than this."""
QUIET_S = 0.03
BOUNCE_S = 0.05
"""Within this time the same key would count as held down."""
NOT_SIGNED = 2
"""What verifying ends with for a log that is sound and closed, and not yet signed; 1 would be a damaged one."""
SEEN = 40
"""So many signs of a step's text tell it on screen from the one before."""
_WAITS = "it counts down by itself"
_CODE = "The code of the log"
_COLOUR = re.compile(r"(?:^|;)(?:[34][0-8]|9[0-7]|10[0-7])(?:[;:]|$)")
"""A style parameter that sets a colour."""
_STYLES = re.compile(rb"\x1b\[([0-9;:]*)m")


def _press(typist: Typist, key: str) -> None:
    """Type a key, take in what it leads to, and leave the next one outside the time in which it counts as held down."""
    terminal, heard = typist.terminal, len(typist.terminal.raw)
    terminal.type(key)
    end = time.perf_counter() + ECHO_S
    while heard == len(terminal.raw) and time.perf_counter() < end:
        terminal.pump(QUIET_S)
    while heard != len(terminal.raw):
        heard = len(terminal.raw)
        terminal.pump(QUIET_S)
    time.sleep(BOUNCE_S)


def _sees(typist: Typist) -> None:
    """Wait until the step stands on screen as the one to do now; the code of the log is read and put away."""
    wanted = "> NOW " + " ".join(typist.now.split())[:SEEN].rsplit(" ", 1)[0]
    end = time.perf_counter() + 20
    while wanted not in " ".join(typist.terminal.text().split()):
        assert time.perf_counter() < end, f"{wanted!r} did not come on screen:\n{typist.terminal.text()}"
        assert typist.terminal.pump(0.05), "the program ended"
        if _CODE in typist.terminal.text():
            _press(typist, ESCAPE)


def _wait_over(typist: Typist) -> None:
    """Wait until nothing counts down any more."""
    while _WAITS in typist.terminal.text():
        assert typist.terminal.pump(2.0), "the program ended"


def _walk(typist: Typist) -> None:
    """Do the whole job, each step read on screen before its keys are typed."""
    terminal = typist.terminal
    terminal.wait_for("> NOW", "12 STOP")
    while typist.now:
        _sees(typist)
        keys = typist.keys()
        typist.catch_up()
        _wait_over(typist)
        for key in keys:
            _press(typist, key)
            while screen_words.READ_ON[:SEEN] in terminal.text():
                _press(typist, key)


def _verified(log: Path, home: Path) -> int:
    """Return the exit code of verifying a log, with every command decided afresh."""
    with redirect_stdout(io.StringIO()):
        return main(["verify", "--replay", str(log), "--home", str(home)])


def _colours(raw: bytes) -> set[str]:
    """Return every style parameter that was sent."""
    return {found.decode() for found in _STYLES.findall(raw)}


@pytest.mark.parametrize(
    "environ",
    [{"COLORTERM": "truecolor"}, {"TERM": "linux", "COLORTERM": ""}, {"NO_COLOR": "1"}],
    ids=["colours", "16 colours", "no colour"],
)
def test_the_whole_job_is_walked_in_a_terminal(home: Path, environ: dict[str, str]) -> None:
    """Keys typed and screens read to the end; the log verifies and replays the same. Shows: HI-14, AR-02."""
    folders = find_folders(home)
    typist = Typist(find_job(CARD, folders).job, home, environ=environ)
    try:
        _walk(typist)
        typist.terminal.type(F10)
        code = typist.terminal.wait_exit()
    except BaseException:
        typist.terminal.kill()
        raise
    (log,) = folders.records.glob("[0-9]*.jsonl")
    replay = open_replay(log, folders)
    sent = _colours(bytes(typist.terminal.raw))

    assert code == 0
    assert replay.differences() == ()
    assert replay.last.state.outcome == "complete"
    assert replay.last.state.entries == typist.state.entries
    assert _verified(log, home) == NOT_SIGNED
    if "NO_COLOR" in environ:
        assert [style for style in sent if _COLOUR.search(style)] == []
    elif environ.get("TERM") == "linux":
        assert not any(re.search(r"(^|;)[34]8[;:]", style) for style in sent)
