"""The reference job for the tests of this folder."""

from tests.support.reference import folders, home, job

__all__ = ["folders", "home", "job"]
