"""How long a walk takes to be usable, against a do-nothing application, and what it may not load.

The ratio is measured when asked for, on a quiet machine; its causes are held by every run.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

import ferrule.engine
from tests.bench.terminal import Terminal
from tests.support.jobs import REFERENCE

HERE = Path(__file__).parent
F1 = "\x1bOP"
TERM = {"TERM": "xterm-256color"}
HEAVY = ("pydantic", "ruamel", "cryptography", "click", "networkx", "numpy", "typst", "yaml")
RUNS = 15
MOST = 1.35
"""Our start may take this many times the peer's, by the quickest runs or by the medians, as noise allows."""


def installed() -> bool:
    """True when ferrule is an installed wheel with its byte code, as a user has it."""
    where = next(iter(ferrule.engine.__path__))
    return "site-packages" in where and shutil.which("ferrule", path=sysconfig.get_path("scripts")) is not None


def start_ferrule(home: Path) -> float:
    """Return the seconds from the command typed to the first step painted and a key answered."""
    program = str(Path(sysconfig.get_path("scripts")) / "ferrule")
    terminal = Terminal([program, "walk", REFERENCE, "--practice", "--home", str(home)], environ=TERM)
    try:
        terminal.wait_for("NOW", "F1")
        terminal.type("1")
        return terminal.wait_for("name the same board")
    finally:
        terminal.kill()


def start_minimal() -> float:
    """Return the same for the peer."""
    terminal = Terminal([sys.executable, str(HERE / "minimal.py")], environ=TERM)
    try:
        terminal.wait_for("ready to start")
        terminal.type(F1)
        return terminal.wait_for("answered a key")
    finally:
        terminal.kill()


@pytest.mark.nightly
@pytest.mark.skipif(not installed(), reason="needs an installed wheel: byte code decides the start")
def test_start_is_near_a_do_nothing_application(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With a warm cache a walk is usable within 1.35 times the start of a do-nothing application, interleaved."""
    start_ferrule(tmp_path)
    start_minimal()
    ours, peer = [], []
    for _ in range(RUNS):
        peer.append(start_minimal())
        ours.append(start_ferrule(tmp_path))
    ratio = min(ours) / min(peer)
    middle = statistics.median(ours) / statistics.median(peer)
    with capsys.disabled():
        sys.stdout.write(
            f"\nstart: {min(ours) * 1000:.0f} ms against {min(peer) * 1000:.0f} ms, {ratio:.2f} times "
            f"(medians {middle:.2f} times)\n"
        )

    assert min(ratio, middle) <= MOST


PROBE = """
import sys
from ferrule.tui import app
from ferrule.tui.screens.walk import WalkScreen
drawn = WalkScreen.on_mount
def on_mount(self):
    drawn(self)
    self.call_after_refresh(self.app.exit, 0)
WalkScreen.on_mount = on_mount
from ferrule.tui.cli import main
code = main(sys.argv[1:])
open(sys.argv[-1] + "/loaded", "w").write(" ".join(sys.modules))
sys.exit(code)
"""


def test_nothing_heavy_is_loaded_before_the_first_frame(tmp_path: Path) -> None:
    """With a warm cache neither pydantic, YAML, signing nor numbers libraries are loaded for the first frame."""
    command = [sys.executable, "-c", PROBE, "walk", REFERENCE, "--practice", "--home", str(tmp_path)]
    for _ in range(2):
        terminal = Terminal(command, environ=TERM)
        terminal.wait_exit()
    loaded = (tmp_path / "loaded").read_text().split()

    assert "textual" in loaded
    assert [m for m in loaded if m.split(".")[0] in HEAVY] == []


def test_plain_never_loads_the_screen_library(tmp_path: Path) -> None:
    """The plain walk loads neither Textual nor Rich, warm or cold."""
    code = (
        "import sys; from ferrule.tui.cli import main;"
        "code = main(sys.argv[1:]);"
        "print(*[m for m in sys.modules if m.split('.')[0] in ('textual', 'rich')], file=sys.stderr)"
    )
    command = [sys.executable, "-c", code, "walk", REFERENCE, "--practice", "--plain", "--home", str(tmp_path)]
    done = subprocess.run(command, input="", capture_output=True, text=True, check=True)

    assert done.stderr.split() == []
