"""Outside tools that tests compare with: missing ones skip a test, and fail it where all are promised."""

from __future__ import annotations

import importlib.util
import os
import shutil

import pytest

ALL_PROMISED = "FERRULE_ALL_TOOLS"
"""Set by the script that judges a change: there a missing tool is a fault and not a skip."""


def need(name: str) -> None:
    """Skip the calling test or module when a package is missing; fail it where every package is promised."""
    if importlib.util.find_spec(name) is not None:
        return
    if os.environ.get(ALL_PROMISED):
        pytest.fail(f"{name} is missing, and {ALL_PROMISED} promises it", pytrace=False)
    pytest.skip(f"{name} is not installed", allow_module_level=True)


def need_program(name: str) -> str:
    """The path of a program; without it the test is skipped, or fails where every tool is promised."""
    found = shutil.which(name)
    if found is not None:
        return found
    if os.environ.get(ALL_PROMISED):
        pytest.fail(f"{name} is missing, and {ALL_PROMISED} promises it", pytrace=False)
    pytest.skip(f"{name} is not on this machine")
