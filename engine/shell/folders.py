"""Where ferrule keeps its files on this machine.

For: the platform's own folders, all movable by one flag or one environment variable.
Must never create a folder, and never put practice beside work.
"""

import os
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from ferrule.engine.findings import FerruleError
from ferrule.engine.light import dataclass

HOME_VARIABLE = "FERRULE_HOME"
"""The environment variable that moves all folders at once."""
SECOND_VARIABLE = "FERRULE_SECOND_MEDIUM"
"""The environment variable that names a folder on a second medium, to which heads are copied."""


class FoldersError(FerruleError):
    """No folder for ferrule's files can be worked out."""


@dataclass(frozen=True, slots=True)
class Folders:
    """The folders for job logs, practice logs, cards of one's own, and what can be made again."""

    records: Path
    practice: Path
    cache: Path
    second: Path | None = None
    """A folder on a second medium; None where there is none."""

    @property
    def keys(self) -> Path:
        """Signing keys for work; practice has none, because practice is never signed."""
        return self.records.parent / "keys"

    @property
    def roster(self) -> Path:
        """The office's roster as it was taken over, its signature, and what is trusted."""
        return self.records.parent / "roster"

    @property
    def cards(self) -> Path:
        """The folder for cards of one's own, beside the logs."""
        return self.records.parent / "cards"


def find_folders(
    override: Path | None = None,
    environ: Mapping[str, str] | None = None,
    platform: str = sys.platform,
    second: Path | None = None,
) -> Folders:
    """The folders to use: what is given here first, then the variables, then the platform's own."""
    variables = os.environ if environ is None else environ
    found = _main_folders(override, variables, platform)
    medium = second or (Path(variables[SECOND_VARIABLE]) if variables.get(SECOND_VARIABLE) else None)
    return replace(found, second=medium.expanduser().absolute() if medium else None)


def _main_folders(override: Path | None, variables: Mapping[str, str], platform: str) -> Folders:
    chosen = override or (Path(variables[HOME_VARIABLE]) if variables.get(HOME_VARIABLE) else None)
    if chosen is not None:
        base = chosen.expanduser().absolute()
        return _under(base, base / "cache")
    if platform == "win32":
        base = _named(variables, "LOCALAPPDATA", Path("AppData", "Local")) / "ferrule"
        return _under(base, base / "cache")
    if platform == "darwin":
        library = _home(variables) / "Library"
        return _under(library / "Application Support" / "ferrule", library / "Caches" / "ferrule")
    return _under(
        _named(variables, "XDG_DATA_HOME", Path(".local", "share")) / "ferrule",
        _named(variables, "XDG_CACHE_HOME", Path(".cache")) / "ferrule",
    )


def _under(base: Path, cache: Path) -> Folders:
    return Folders(records=base / "records", practice=base / "practice", cache=cache)


def _named(variables: Mapping[str, str], name: str, otherwise: Path) -> Path:
    """The folder in this variable; a relative one is ignored (XDG Base Directory Specification, from memory)."""
    value = variables.get(name, "")
    return Path(value) if Path(value).is_absolute() else _home(variables) / otherwise


def _home(variables: Mapping[str, str]) -> Path:
    home = variables.get("HOME") or variables.get("USERPROFILE")
    if home:
        return Path(home)
    try:
        return Path.home()
    except RuntimeError as error:
        raise FoldersError(
            "There is no home folder to keep job logs in. "
            f"Set {HOME_VARIABLE} to a folder that belongs to you, and start again."
        ) from error
