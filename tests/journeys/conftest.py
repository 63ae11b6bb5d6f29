"""A folder for logs whose cache of compiled jobs is shared by the tests of a run."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that keeps each job once it was compiled."""
    return tmp_path_factory.mktemp("compiled")


@pytest.fixture
def home(tmp_path: Path, compiled: Path) -> Path:
    """A folder for logs of its own; what was compiled before is found in it."""
    (tmp_path / "cache").symlink_to(compiled)
    return tmp_path
