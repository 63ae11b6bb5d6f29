"""Fixtures of the reference job: compiled once, and a folder for logs whose cache is warm."""

from __future__ import annotations

from pathlib import Path

import pytest

from ferrule.engine.procedure.compiled import Job
from ferrule.engine.shell.folders import Folders, find_folders
from ferrule.engine.shell.sets import find_job
from tests.support.plainrun import CARD


@pytest.fixture(scope="session")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Folders:
    """Folders whose cache is warm after the first use."""
    return find_folders(tmp_path_factory.mktemp("home"))


@pytest.fixture(scope="session")
def job(folders: Folders) -> Job:
    """The reference job."""
    return find_job(CARD, folders).job


@pytest.fixture
def home(tmp_path: Path, job: Job, folders: Folders) -> Path:  # noqa: ARG001 - the job makes the cache
    """A folder for logs of its own, with the cache already warm."""
    (tmp_path / "cache").symlink_to(folders.cache)
    return tmp_path
