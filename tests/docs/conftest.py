"""The reference job for the tests of this folder, and a folder for logs with a warm cache."""

from tests.support.reference import folders, home, job

__all__ = ["folders", "home", "job"]
