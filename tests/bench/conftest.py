"""The reference job for the benchmarks that walk it."""

from tests.support.reference import folders, home, job

__all__ = ["folders", "home", "job"]
