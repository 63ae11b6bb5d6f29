"""Where the files of ferrule live on each platform."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from ferrule.engine.shell.folders import Folders, find_folders

XDG = "XDG Base Directory Specification (from memory)"
APPLE = "Apple, File System Programming Guide (from memory)"
MICROSOFT = "Microsoft, Known Folders (from memory)"


@dataclass(frozen=True)
class Row:
    """One environment and the folders it leads to."""

    case: str
    platform: str
    environ: dict[str, str]
    records: str
    cache: str
    source: str


ROWS = [
    Row("plain Linux", "linux", {"HOME": "/h"}, "/h/.local/share/ferrule/records", "/h/.cache/ferrule", XDG),
    Row(
        "own data folder",
        "linux",
        {"HOME": "/h", "XDG_DATA_HOME": "/d"},
        "/d/ferrule/records",
        "/h/.cache/ferrule",
        XDG,
    ),
    Row(
        "own cache folder",
        "linux",
        {"HOME": "/h", "XDG_CACHE_HOME": "/c"},
        "/h/.local/share/ferrule/records",
        "/c/ferrule",
        XDG,
    ),
    Row(
        "relative is ignored",
        "linux",
        {"HOME": "/h", "XDG_DATA_HOME": "d"},
        "/h/.local/share/ferrule/records",
        "/h/.cache/ferrule",
        XDG,
    ),
    Row(
        "macOS",
        "darwin",
        {"HOME": "/h"},
        "/h/Library/Application Support/ferrule/records",
        "/h/Library/Caches/ferrule",
        APPLE,
    ),
    Row("Windows", "win32", {"LOCALAPPDATA": "/l"}, "/l/ferrule/records", "/l/ferrule/cache", MICROSOFT),
    Row(
        "Windows, variable missing",
        "win32",
        {"USERPROFILE": "/u"},
        "/u/AppData/Local/ferrule/records",
        "/u/AppData/Local/ferrule/cache",
        MICROSOFT,
    ),
    Row("moved", "linux", {"HOME": "/h", "FERRULE_HOME": "/m"}, "/m/records", "/m/cache", "design.md §8"),
    Row(
        "moved, empty means unset",
        "linux",
        {"HOME": "/h", "FERRULE_HOME": ""},
        "/h/.local/share/ferrule/records",
        "/h/.cache/ferrule",
        "design.md §8",
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.case)
def test_each_platform_has_its_own_folders(row: Row) -> None:
    """The folders are the platform's own; practice never shares one with work. Shows: TR-15."""
    folders = find_folders(None, row.environ, row.platform)

    assert row.source
    assert folders.records == Path(row.records)
    assert folders.cache == Path(row.cache)
    assert folders.practice == folders.records.parent / "practice"


def test_flag_wins_over_the_variable() -> None:
    """A folder given on the command line moves everything, whatever the environment says."""
    folders = find_folders(Path("/flag"), {"HOME": "/h", "FERRULE_HOME": "/m"}, "linux")

    assert folders == Folders(Path("/flag/records"), Path("/flag/practice"), Path("/flag/cache"))


def test_relative_flag_is_made_absolute() -> None:
    """A relative folder is fixed when it is read, so that a later change of folder moves nothing."""
    folders = find_folders(Path("here"), {"HOME": "/h"}, "linux")

    assert folders.records == Path.cwd() / "here" / "records"


def test_finding_folders_creates_none(tmp_path: Path) -> None:
    """Asking where files would be leaves the disk as it is."""
    find_folders(tmp_path / "new", {}, "linux")

    assert list(tmp_path.iterdir()) == []
